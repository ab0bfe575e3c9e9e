"""The marking path: nbgrader's own round by its API, the box, the pure marking function, the gradebook."""

import dataclasses
import re

import nbformat
import pytest

from instructor import course, gradebook, walls
from instructor.judging import NOT_MARKED
from instructor.marking import MARKED, Result
from instructor.release import read_mark
from solarlab.exercises import CANNOT_READ, NOT_ATTEMPTED, NOT_YET, RIGHT, inputs, variant
from tests.corpus import small_lesson
from tests.corpus.returns import find, packed
from tests.marking_class import answered, codes, marked, new_class, released, scores, submit

NAME = small_lesson.NAME
RIGHT_WORK = answered()
HALF_RIGHT = answered(
    learner='learner = "bruno"',
    power='power = numbers["area"] * numbers["irradiance"] / 2',
    loss='loss = "C"',
)
WRONG = answered(
    learner='learner = "divya"',
    power="power = -1.0",
    average="def average(first, second):\n    return first + second",
    loss='loss = "B"',
    why="Because.",
)
FOUR = {"amina": RIGHT_WORK, "bruno": HALF_RIGHT, "chen": released().notebook, "divya": WRONG}
EXPECTED = {  # by hand, from the points and credits that small_lesson.py states
    "amina": {"power": 2.0, "average": 3.0, "loss": 2.0, "why": None},
    "bruno": {"power": 1.0, "average": 3.0, "loss": 0.0, "why": None},
    "chen": {"power": 0.0, "average": 0.0, "loss": 0.0, "why": 0.0},
    "divya": {"power": 0.0, "average": 0.0, "loss": 0.0, "why": None},
}


def in_gradebook(class_: course.Course, learner: str) -> dict[str, float | None]:
    """Scores as nbgrader stores them."""
    with class_.gradebook() as book:
        grades = book.find_submission(NAME, learner).notebooks[0].grades
        return {grade.name.rsplit("-", 1)[0]: grade.auto_score for grade in grades}


@pytest.mark.filterwarnings("ignore::sqlalchemy.exc.SAWarning")  # nbgrader 0.9.6 with SQLAlchemy 2.1
def test_nbgraders_own_round_marks_right_half_right_empty_and_wrong(tmp_path, monkeypatch):
    monkeypatch.setenv("PYTHONPATH", str(walls.PACKAGE))
    class_ = new_class(tmp_path / "class")
    for learner, notebook in FOUR.items():
        submit(class_, learner, notebook)
    api = class_.nbgrader()
    for learner in FOUR:
        monkeypatch.setenv("SOLARLAB_LEARNER", learner)
        with course.scripts_on_path():
            done = api.autograde(NAME, learner)
            assert done["success"], done["log"]
            assert api.generate_feedback(NAME, learner)["success"]
    assert {learner: in_gradebook(class_, learner) for learner in FOUR} == EXPECTED
    pages = [class_.folder / "feedback" / learner / NAME / f"{NAME}.html" for learner in FOUR]
    assert all(learner_page.stat().st_size > 1000 for learner_page in pages)


def test_our_path_gives_the_same_marks_in_the_same_gradebook(tmp_path):
    class_ = new_class(tmp_path / "class")
    for learner, notebook in FOUR.items():
        result = marked(notebook, learner)
        assert scores(result) == EXPECTED[learner]
        assert result.changes == ()
        gradebook.merge(class_, result)
    assert {learner: in_gradebook(class_, learner) for learner in FOUR} == EXPECTED
    with class_.gradebook() as book:
        assert book.find_submission(NAME, "bruno").score == 4.0
        assert book.find_submission(NAME, "bruno").max_score == 9.0


def test_nbgraders_feedback_works_on_our_notebooks_and_shows_the_hint_but_no_hidden_input(tmp_path):
    class_ = new_class(tmp_path / "class")
    gradebook.merge(class_, marked(WRONG, "divya"))
    with course.scripts_on_path():
        done = class_.nbgrader().generate_feedback(NAME, "divya")
    assert done["success"], done["log"]
    page = (class_.folder / "feedback" / "divya" / NAME / f"{NAME}.html").read_text("utf-8")
    assert "Is it between the two?" in page
    assert "second=" not in page


WEAPONS = """\
**So:** <script>alert(1)</script> <img src=x onerror=alert(2)> [a](javascript:alert(3)) [b][r]
<javascript:alert(4)>
![p](https://example.org/seen.png) \\<script>alert(5)\\</script> &lt;script&gt;alert(6)&lt;/script&gt;
$\\href{javascript:alert(7)}{x}$ $x <b onclick=alert(8)>y$ `<script>alert(9)</script>`

[r]: javascript:alert(10)

<svg onload=alert(11)>

<!-- --><iframe srcdoc="<script>alert(12)</script>"></iframe>
"""


def test_a_learners_words_run_nothing_in_the_browser_of_whoever_marks_them(tmp_path):
    class_ = new_class(tmp_path / "class")
    work = answered(why=WEAPONS, learner='learner = "<img src=x onerror=alert(13)>"')
    picture = "class P:\n    def _repr_png_(self): return '\"><script>alert(14)</script>'\ndisplay(P())\n"
    find(work, "loss-answer")["source"] = picture + find(work, "loss-answer")["source"]
    for kind in ("markdown", "raw"):
        work["cells"].insert(1, {"cell_type": kind, "metadata": {}, "source": WEAPONS, "id": kind})
    work["cells"][0]["source"] += "<script>alert(15)</script>"
    result = marked(work)
    assert codes(result) == {"other-id"}
    gradebook.merge(class_, result)
    with course.scripts_on_path():
        done = class_.nbgrader().generate_feedback(NAME, "amina")
    assert done["success"], done["log"]
    page = (class_.folder / "feedback" / "amina" / NAME / f"{NAME}.html").read_text("utf-8")
    body = page[page.index("<body") :]
    assert "<strong>So:</strong>" in body and body.count("alert(") >= 30
    armed = r"<(?!/)[^>]*(alert|javascript:)[^>]*>", r"<(script|iframe|svg)[^>]*>\s*alert", r"<img[^>]*seen"
    assert [word for word in (*armed, r"\\href") if re.search(word, body)] == []


def test_merging_twice_changes_nothing(tmp_path):
    class_ = new_class(tmp_path / "class")
    result = marked(HALF_RIGHT, "bruno")
    gradebook.merge(class_, result)
    once = gradebook.dump(class_)
    gradebook.merge(class_, Result.loads(result.dumps()))
    assert gradebook.dump(class_) == once and len(once) == 4


def test_a_question_that_could_not_be_marked_has_no_score_and_waits(tmp_path):
    class_ = new_class(tmp_path / "class")
    data = packed(answered())
    gradebook.merge(class_, marked(data[: data.index(b'"average-answer"')]))
    rows = {row[2]: row[3:6] for row in gradebook.dump(class_)}  # auto score, manual score, waits
    assert rows["power-mark"] == (2.0, None, False)
    assert rows["average-mark"] == rows["why-answer"] == (None, None, True)


def test_a_return_that_cannot_be_marked_leaves_no_row(tmp_path):
    class_ = new_class(tmp_path / "class")
    result = marked(b"\x00\x00", "bruno")
    assert result.state == NOT_MARKED and "empty" in result.why
    gradebook.merge(class_, result)
    assert gradebook.dump(class_) == []


def test_the_release_holds_no_solution():
    text = str(released().notebook)
    assert "BEGIN SOLUTION" not in text and "carries the warm air" not in text
    assert (released().folder / "exercises.py").is_file()


def test_states_are_told_apart():
    states = {
        m.exercise.split("/")[-1]: m.state
        for m in marked(
            answered(
                power='power = "twelve"',
                average="def average(first, second):\n    return first + second",
                loss="loss = ''",
            )
        ).marks
    }
    assert states == {"power": CANNOT_READ, "average": NOT_YET, "loss": NOT_ATTEMPTED, "": "handed in"}
    assert {m.state for m in marked(RIGHT_WORK).marks if m.exercise} == {RIGHT}


def test_the_mark_is_a_function_of_return_release_and_secret():
    once, again = marked(HALF_RIGHT), marked(HALF_RIGHT)
    assert [dataclasses.replace(r, notebook=None) for r in (once, again)] == [
        dataclasses.replace(once, notebook=None)
    ] * 2
    assert nbformat.validate(nbformat.from_dict(once.notebook)) is None
    assert marked(HALF_RIGHT, "bruno").fingerprint != once.fingerprint


def test_an_answer_for_a_classmates_numbers_is_no_answer_and_is_asked_about():
    result = marked(answered(learner='learner = "bruno"'), "amina")
    assert scores(result) == {"power": 0.0, "average": 3.0, "loss": 2.0, "why": None}
    assert codes(result) == {"anothers-numbers"}
    assert "bruno" not in str(result.changes)


@pytest.mark.parametrize(("typed", "words"), [("", "no id"), ("Ami", "the id “ami”")])
def test_an_honest_answer_for_the_numbers_shown_counts_whatever_id_was_typed(typed, words):
    shown = variant(released().exercises()["power"], typed or "guest")
    by_hand = f"power = {shown['area'] * shown['irradiance']}"  # as worked out at home, from the page
    result = marked(answered(learner=f'learner = "{typed}"', power=by_hand), "amina")
    assert scores(result)["power"] == 2.0 and codes(result) == {"other-id"}
    assert words in result.changes[0].words


def test_a_typed_id_is_tidied_as_the_lesson_does():
    assert codes(marked(answered(learner='learner = " AMINA "'))) == set()


def test_the_feedback_on_a_function_tells_no_hidden_input():
    for body in ("return 1 / 0", "raise ValueError(first)", "return [first]", "return 'x' + str(first)"):
        reply = marked(answered(average=f"def average(first, second):\n    {body}")).marks[1]
        hidden = inputs(released().exercises()["average"], "amina", "a secret")
        assert "hidden input" in reply.hint
        assert not [each for each in hidden if str(each["first"]) in reply.hint]


def test_a_learner_gets_their_own_hidden_inputs_and_they_are_not_the_public_ones():
    exercise = released().exercises()["average"]
    public, secret = inputs(exercise, "amina"), inputs(exercise, "amina", "a secret")
    assert public != secret != inputs(exercise, "bruno", "a secret")


def test_a_function_right_only_on_the_public_inputs_fails():
    table = (
        "from solarlab.exercises import inputs\n"
        'known = {tuple(i.values()): sum(i.values()) / 2 for i in inputs(exercises["average"], learner)}\n'
        "def average(first, second):\n    return known[first, second]"
    )
    result = marked(answered(average=table))
    assert scores(result)["average"] == 0.0 and scores(result)["power"] == 2.0


def test_a_release_that_could_not_be_marked_is_refused_with_one_sentence():
    assert read_mark('mark(exercises["power"], me, numbers["a"] * 2)', "x") == (
        "power",
        "me",
        "numbers['a'] * 2",
    )
    with pytest.raises(ValueError, match="must end with mark"):
        read_mark("assert power == 3", "x")


def test_the_roster_is_read_and_refused_with_one_sentence(tmp_path):
    path = tmp_path / "roster.csv"
    path.write_text("\ufeffID;First name\nzoë;Zoë\n", "utf-8")
    assert course.read_roster(path)["zoë"].name == "Zoë"
    for text, words in (
        ("name\nx", "column names"),
        ("id\na/b", "cannot be used"),
        ("id\n=1+1", "cannot be used"),
        ("id\n-ben", "cannot be used"),
        ("id\nben.", "cannot be used"),
        ("id\nCON", "Windows keeps"),
        ("id\na\nA", "twice"),
        ("id\n", "column names"),
    ):
        path.write_text(text, "utf-8")
        with pytest.raises(ValueError, match=words):
            course.read_roster(path)


@pytest.mark.parametrize(
    "data",
    [
        "id,first_name\r\nzoë,Zoë\r\n".encode("cp1252"),
        "id\tfirst_name\nzoë\tZoë\n".encode("utf-16"),
        "\ufeffsep=;\r\nid;first_name\r\nzoë;Zoë\r\n".encode(),
        'id,first_name\nzoë,"Zoë"\n,\n'.encode(),
        "id,first_name\nzoe\u0308,Zoë\n".encode(),
    ],
    ids=["windows' letters", "utf-16 and tabs", "mark and sep=", "blank line", "letters in two parts"],
)
def test_a_roster_is_read_as_spreadsheets_save_it(tmp_path, data):
    (tmp_path / "roster.csv").write_bytes(data)
    assert course.read_roster(tmp_path / "roster.csv")["zoë"].first_name == "Zoë"


def test_a_roster_may_hold_lines_in_a_name_and_strange_line_ends(tmp_path):
    (tmp_path / "roster.csv").write_text('id,first_name\namina,"A\nB\x0bC"\n\nbruno,D\n', "utf-8")
    assert list(course.read_roster(tmp_path / "roster.csv")) == ["amina", "bruno"]


@pytest.mark.parametrize("way", ["warm", "fresh", "bare"])
def test_what_a_learner_wrote_in_files_beside_the_notebook_is_found_as_in_jupyter(way):
    text = "import run, helper\n" + small_lesson.SOLUTIONS["power"] + " * helper.one * run.one"
    beside = {"helper.py": b"one = 1.0\n", "run.py": b"one = 1.0\n"}  # a name that the marker uses, too
    assert scores(marked(answered(power=text), way=way, **beside))["power"] == 2.0


@pytest.mark.parametrize("name", ["which?", "50%25"])
def test_a_folder_that_no_gradebook_can_lie_in_is_refused(tmp_path, name):
    (tmp_path / "roster.csv").write_text("id\namina\n", "utf-8")
    with pytest.raises(ValueError, match="no gradebook can lie"):
        course.create(tmp_path / name, tmp_path / "roster.csv")
    assert not (tmp_path / name).exists()


def test_the_settings_are_read_with_a_mark_and_refused_with_one_sentence(tmp_path):
    class_ = new_class(tmp_path / "class")
    path = class_.folder / "class.toml"
    path.write_text('\ufefftrack = "no-code"\n', "utf-8")
    assert course.open_course(class_.folder).settings["track"] == "no-code"
    path.write_text("track = code\n", "utf-8")
    with pytest.raises(ValueError, match=r"class\.toml cannot be read"):
        course.open_course(class_.folder)
    for wrong in ('"2030-03-01"', "2030-03-01", "18"):
        path.write_text(f"[due]\n{NAME} = {wrong}\n", "utf-8")
        with pytest.raises(ValueError, match="without quotation marks"):
            course.open_course(class_.folder).due(NAME)


def test_every_return_is_marked_in_a_notebook_of_its_own():
    result = marked(answered(why="x"))
    assert result.state == MARKED
    cell = find(result.notebook, "power-mark")
    assert cell["outputs"][-1]["data"]["text/plain"] == "2.0"
    assert codes(result) == set()

"""From marks to people: feedback pages, the class report, marks as CSV, marking by hand, the commands."""

import csv
import dataclasses
import json
import re
import shutil
from concurrent.futures import ThreadPoolExecutor
from html.parser import HTMLParser
from pathlib import Path
from types import SimpleNamespace

import pytest
from traitlets.config import PyFileConfigLoader

from instructor import _commands, export, feedback, hand, intake, invented, page, report, run
from instructor.course import Course, create, open_course, release
from instructor.marking import Return, mark
from instructor.notes import write_notes
from lessons._notebooks import find_lesson, find_lessons
from solarlab.exercises import inputs, lesson, variant
from tests.corpus import small_lesson
from tests.corpus.returns import filled, grade_id, packed
from tests.marking_class import QUICK, answered, new_class, submit

NAME = small_lesson.NAME
EACH_LESSON = pytest.mark.parametrize("folder", find_lessons(), ids=lambda folder: folder.name)


@pytest.fixture(scope="module")
def marked_folder(tmp_path_factory):
    """Four learners: all right; a misconception; a classmate's number and a copied id; unreadable."""
    class_ = new_class(tmp_path_factory.mktemp("report") / "class")
    power = class_.release(NAME).exercises()["power"]
    aminas = variant(power, "amina")
    submit(class_, "amina", answered(power=f"power = {aminas['area'] * aminas['irradiance']!r}"))
    submit(class_, "bruno", answered(
        learner='learner = "bruno"', power=f"power = {aminas['area'] * aminas['irradiance']!r}",
        average="def average(first, second):\n    return first + second", loss='loss = "<b>B</b>"',
    ))  # fmt: skip
    submit(class_, "chen", answered(
        learner='learner = "chen"', average="def average(first, second):\n    return first + second",
        loss="loss = ''",
        why="The wind.\n<script>alert(1)</script>",
    ))  # fmt: skip
    submit(class_, "divya", {}).write_bytes(b"")
    with ThreadPoolExecutor(2) as pool:
        run.mark_class(class_, NAME, executor=pool, limits=QUICK)
    bets = {
        "amina": ("quite sure", 10.0, 10.5),
        "bruno": ("quite sure", 10.0, 99.0),
        "chen": ("a guess", "a", "a"),
    }
    for name, (sure, value, outcome) in bets.items():
        path = next((class_.folder / "marked" / NAME / name).glob("*.json"))
        result = run.Result.loads(path.read_text("utf-8"))
        bet = {"question": "dry-egg/hard", "value": value, "sure": sure, "within": 1.0, "outcome": outcome,
               "chance": 0.9 if sure == "quite sure" else 0.35}  # fmt: skip
        path.write_text(dataclasses.replace(result, predictions=(bet,)).dumps(), "utf-8")
    return class_.folder


@pytest.fixture
def class_(marked_folder, tmp_path):
    """That class, in a copy of the test's own."""
    shutil.copytree(marked_folder, tmp_path / "class")
    return open_course(tmp_path / "class")


class Outline(HTMLParser):
    """Headings in order, tags used, and what is fetched from elsewhere."""

    def __init__(self, text):
        super().__init__()
        self.headings, self.tags, self.fetched = [], set(), []
        self.feed(text)

    def handle_starttag(self, tag, attrs):
        self.tags.add(tag)
        if re.fullmatch(r"h\d", tag):
            self.headings.append(int(tag[1]))
        self.fetched += [value for name, value in attrs if name in ("src", "href")]


def marks_csv(class_):
    """marks.csv, by learner."""
    with export.write_marks(class_).open(encoding="utf-8") as file:
        return {row["ID"]: row for row in csv.DictReader(file)}


def pages(class_):
    """Every page of feedback and report, by path from the class's folder."""
    feedback.write_feedback(class_, NAME)
    report.write_report(class_, NAME)
    found = [*class_.folder.glob("feedback/**/*.html"), *class_.folder.glob("report/*.html")]
    return {path.relative_to(class_.folder).as_posix(): path.read_text("utf-8") for path in found}


def test_pages_work_offline_and_read_well_aloud(class_):
    found = pages(class_)
    assert len(found) == 9
    for text in found.values():
        outline = Outline(text)
        assert outline.headings[0] == 1 and outline.headings.count(1) == 1
        assert max(outline.headings) <= 2 and outline.fetched == []
        assert "script" not in outline.tags and '<html lang="en">' in text
        assert "http" not in text
    assert all("<caption>" in text for name, text in found.items() if "divya" not in name)


def test_feedback_says_what_the_number_suggests_and_nothing_secret_or_of_others(class_):
    found = pages(class_)
    text = found[f"feedback/bruno/{NAME}/{NAME}.html"]
    assert "Is it between the two?" in text and "You answered" in text and "&lt;b&gt;B" in text
    exercises = class_.release(NAME).exercises()
    for name in ("amina", "bruno", "chen"):
        text = found[f"feedback/{name}/{NAME}/{NAME}.html"]
        others = {"amina", "bruno", "chen", "divya"} - {name}
        assert not [other for other in others if other in text.lower()]
        for test in inputs(exercises["average"], name, class_.secret):
            assert f"first={test['first']}" not in text
    own = variant(exercises["power"], "bruno")
    assert f"{own['area'] * own['irradiance']:.4g}" not in found[f"feedback/bruno/{NAME}/{NAME}.html"]


def test_what_is_not_marked_is_told_as_that_and_not_as_zero(class_):
    text = pages(class_)[f"feedback/divya/{NAME}/{NAME}.html"]
    assert "not marked" in text and "not a zero" in text and "empty" in text
    rows = marks_csv(class_)
    assert rows["divya"][NAME] == "" and rows["divya"][f"{NAME} state"].startswith("not marked")
    assert rows["amina"][NAME] == "" and rows["amina"][f"{NAME} state"] == "waits for a person"


def test_nobodys_name_is_a_formula_in_a_spreadsheet(class_):
    evil = dataclasses.replace(class_.roster["amina"], first_name="=cmd|x", last_name="")
    changed = dataclasses.replace(class_, roster={**class_.roster, "amina": evil})
    assert "\namina,'=cmd|x," in export.write_marks(changed).read_text("utf-8")


def test_the_report_counts_what_the_class_did(class_):
    release, results = class_.release(NAME), run.current(class_, NAME)
    found = {item.grade_id: item for item in report.items(release, results)}
    assert (found["power-mark"].tried, found["power-mark"].right) == (3, 2)
    assert (found["average-mark"].tried, found["average-mark"].right) == (3, 1)
    assert found["average-mark"].share == pytest.approx(1 / 3)
    assert (found["loss-mark"].tried, found["loss-mark"].right) == (2, 1)
    wrong = report.misconceptions(release, results)
    assert wrong[0][:4] == ("The middle of two", "sum", 2, 3)
    assert "The middle of two" in report.reteach(release, results)
    assert report.calibration(results) == [
        ("a guess", 0.35, 1, 1.0), ("fairly sure", 0.65, 0, None), ("quite sure", 0.9, 2, 0.5)
    ]  # fmt: skip
    assert report.sure_and_wrong(results) == {"bruno": ["dry-egg/hard"]}
    words = dict(report.needs_a_word(class_, NAME, results))
    assert set(words) == {"bruno", "chen", "divya"} and "empty" in words["divya"] and "0%" in words["bruno"]


def test_a_classmates_number_is_a_question_not_a_verdict(class_):
    asked = report.likeness(class_.release(NAME), run.current(class_, NAME))
    assert asked == ["“Sunlight on a window”: bruno gave exactly the number that is right for amina. Why?"]
    assert "Ask before you judge" in pages(class_)[f"report/{NAME}.html"]


def test_marking_by_hand_with_the_keyboard_can_be_broken_off_and_lands_in_the_gradebook(class_):
    said, shown = iter(["1", "c", "Say how.", "0.5", "q"]), []
    assert hand.sit(class_, NAME, ask=lambda words: next(said), tell=shown.append, anonymous=True) == 1
    assert [one.learner for one in hand.waiting(class_, NAME)] == ["bruno", "chen"]
    assert "amina" not in "\n".join(shown) and "predicted: dry-egg/hard = 10.0" in "\n".join(shown)
    keys = iter(["x", "9", "", "1", "b", "1", "0", "1", "1"])  # nonsense, too much, skip; back; then both
    assert hand.sit(class_, NAME, ask=lambda words: next(keys), tell=shown.append) == 2
    assert hand.waiting(class_, NAME) == []
    with class_.gradebook() as book:
        grade = book.find_grade("why-answer", NAME, NAME, "amina")
        assert (grade.score, grade.needs_manual_grade) == (1.5, False)
        assert book.find_comment("why-answer", NAME, NAME, "amina").comment == "Say how."
    text = pages(class_)[f"feedback/amina/{NAME}/{NAME}.html"]
    assert "Say how." in text and "8.5 of 9 points." in text
    rows = marks_csv(class_)
    assert rows["amina"][NAME] == "8.5" and rows["amina"][f"{NAME} state"] == "marked"


def test_more_points_than_there_are_cannot_be_given(class_):
    one = hand.waiting(class_, NAME)[0]
    with pytest.raises(ValueError, match="between 0 and 2"):
        hand.give(class_, NAME, one, 2.5)


def test_the_commands_from_a_roster_to_a_report(tmp_path, capsys):
    (tmp_path / "roster.csv").write_text(
        "id,first_name,last_name\namina,Amina,Demo\nbruno,Bruno,Demo\n", "utf-8"
    )
    class_folder, lesson = tmp_path / "class", small_lesson.write(tmp_path / "lessons")

    def command(*words):
        code = _commands.main([str(word) for word in words])
        return code, capsys.readouterr()

    assert command("create", class_folder, tmp_path / "roster.csv")[0] == 0
    code, said = command("create", class_folder, tmp_path / "roster.csv")
    assert code == 1 and said.err.count("\n") == 1 and "already holds a class" in said.err
    assert command("mark", class_folder, NAME)[1].err.startswith("Lesson '90-small' is not released")
    assert command("release", class_folder, lesson)[0] == 0
    (tmp_path / "in").mkdir()
    (tmp_path / "in" / "amina.ipynb").write_bytes(packed(answered()))
    (tmp_path / "in" / "somebody.ipynb").write_bytes(packed(answered(learner='learner = ""')))
    code, said = command("collect", class_folder, tmp_path / "in")
    assert code == 1 and "1 taken in, 1 set aside" in said.out
    code, said = command("mark", class_folder, NAME)
    assert code == 0 and "1 marked, 0 not marked" in said.out and "1 returned nothing" in said.out
    assert (class_folder / "report" / "marks.csv").is_file()
    assert (class_folder / "feedback" / "amina" / NAME / f"{NAME}.html").is_file()
    code, said = command("mark", class_folder, NAME)
    assert "1 of them known from before" in said.out
    assert command("notes", class_folder, NAME)[0] == 0
    notes = (class_folder / "report" / f"{NAME}-notes.html").read_text("utf-8")
    power = open_course(class_folder).release(NAME).exercises()["power"]
    assert f"{power.answer(variant(power, 'bruno')):.4g}" in notes and "names the wind" in notes
    assert "returns run" in command("protection")[1].out.lower()
    assert command("report", tmp_path, NAME)[1].err.endswith("python instructor create`.\n")


# --- a class without code ---


def no_code(folder: Path) -> Course:
    """A class of four that does without code, nothing released yet."""
    made = new_class(folder)
    shutil.rmtree(made.folder / "release" / NAME)
    text = (made.folder / "class.toml").read_text("utf-8")
    assert 'track = "code"' in text
    (made.folder / "class.toml").write_text(text.replace('track = "code"', 'track = "no-code"'), "utf-8")
    return open_course(made.folder)


@EACH_LESSON
def test_a_lesson_without_its_second_track_is_whole_and_its_points_agree_everywhere(folder, tmp_path):
    class_, exercises = no_code(tmp_path / "class"), lesson(folder)
    released = release(class_, folder)
    wanted = {exercise.id: exercise.points for exercise in exercises.values() if exercise.track == "no-code"}
    assert {exercise.id: exercise.points for exercise in released.asked()} == wanted
    with class_.gradebook() as book:
        assert book.find_assignment(folder.name).max_score == sum(wanted.values())
    assert export.marks(class_, folder.name)["amina"][1] == sum(wanted.values())
    notes = write_notes(class_, folder.name).read_text("utf-8")
    assert "code track" not in notes.replace("no-code track", "")


@pytest.mark.long
@EACH_LESSON
@pytest.mark.parametrize("track", ["code", "no-code"])
def test_a_lesson_s_own_answers_earn_every_point_in_the_box_on_either_track(folder, track, tmp_path):
    class_ = no_code(tmp_path / "class")
    (class_.folder / "class.toml").write_text(f'track = "{track}"\n', "utf-8")
    released = release(open_course(class_.folder), folder)
    answers = invented.solutions(json.loads((folder / f"{folder.name}.ipynb").read_text("utf-8")))
    work = packed(filled(released.notebook, {**answers, "learner": 'learner = "amina"'}))
    result = mark(Return("amina", folder.name, {"x.ipynb": work}, "x.ipynb"), released, class_.secret)
    assert result.state == "marked" and result.changes == () and result.log == ""
    assert {m.grade_id: m.score for m in result.marks if m.exercise} == {
        question.grade_id: question.points for question in released.questions if not question.by_hand
    }
    shown = [out["output_type"] for cell in result.notebook["cells"] for out in cell.get("outputs", [])]
    assert "error" not in shown


def test_code_that_a_learner_of_such_a_class_hands_in_all_the_same_costs_nothing(tmp_path):
    class_, folder = no_code(tmp_path / "class"), find_lesson("07")
    whole = json.loads((folder / f"{folder.name}.ipynb").read_text("utf-8"))
    released = release(class_, folder)
    work = packed(filled(whole, {"learner": 'learner = "amina"'}))
    result = mark(Return("amina", folder.name, {"x.ipynb": work}, "x.ipynb"), released, class_.secret)
    assert result.state == "marked" and all(m.score in (m.maximum, None) for m in result.marks)


def test_the_track_is_chosen_before_the_first_mark_and_a_wrong_word_is_refused(class_, tmp_path):
    folder = find_lesson("07")
    assert len(release(class_, folder).questions) == 7
    quiet = dataclasses.replace(class_, settings={**class_.settings, "track": "no-code"})
    assert len(release(quiet, folder).questions) == 5  # nothing of it is marked yet
    with pytest.raises(ValueError, match="'some' is not one of code, no-code"):
        release(dataclasses.replace(class_, settings={"track": "some"}), folder)
    changed = small_lesson.write(tmp_path / "lessons")
    notebook = json.loads((changed / f"{NAME}.ipynb").read_text("utf-8"))
    notebook["cells"] = [c for c in notebook["cells"] if not grade_id(c).startswith("loss")]
    (changed / f"{NAME}.ipynb").write_text(json.dumps(notebook), "utf-8")
    with pytest.raises(ValueError, match="marked already"):
        release(class_, changed)
    assert len(class_.release(NAME).questions) == 4


# --- on a hub ---


def hub(folder: Path, monkeypatch, teachers: str = "teacher"):
    """The settings of the documented hub for a class."""
    monkeypatch.setenv("SOLARLAB_CLASS", str(folder))
    monkeypatch.setenv("SOLARLAB_TEACHERS", teachers)
    place = Path(hand.__file__).parent
    return PyFileConfigLoader("jupyterhub_config.py", path=str(place)).load_config()


def test_on_the_hub_every_learner_is_a_user_of_their_own(class_, monkeypatch):
    c = hub(class_.folder, monkeypatch)
    assert c.Authenticator.allowed_users == {*class_.roster, "teacher"} and not c.Authenticator.allow_all
    assert c.Authenticator.admin_users == {"teacher"}
    assert "LocalProcessSpawner" in c.JupyterHub.spawner_class and c.JupyterHub.authenticator_class == "pam"
    assert "HOME_MODE=0700" in c.LocalAuthenticator.add_user_cmd
    told = c.Spawner.environment["SOLARLAB_LEARNER"]
    spawners = [SimpleNamespace(user=SimpleNamespace(name=name)) for name in class_.roster]
    assert [told(spawner) for spawner in spawners] == list(class_.roster)


@pytest.mark.parametrize(("roster", "teachers", "words"), [
    ("id\nAmina\n", "t", "cannot be user names"), ("id\namina\n", "amina, bo", "as teacher and as learner"),
])  # fmt: skip
def test_the_hub_refuses_ids_that_would_mix_people_up(tmp_path, monkeypatch, roster, teachers, words):
    (tmp_path / "roster.csv").write_text(roster, "utf-8")
    with pytest.raises(ValueError, match=words):
        hub(tmp_path, monkeypatch, teachers)


def test_a_class_is_for_its_teachers_eyes_only(tmp_path):
    (tmp_path / "roster.csv").write_text("id\namina\n", "utf-8")
    made = create(tmp_path / "class", tmp_path / "roster.csv")
    assert made.folder.stat().st_mode & 0o777 == 0o700
    assert (made.folder / "secret").stat().st_mode & 0o777 == 0o600


# --- what a page is like for those who cannot see it well ---


def luminance(colour: str) -> float:
    """Relative luminance of "#rgb" or "#rrggbb" [seen] WCAG 2.2, "relative luminance"."""
    digits = colour.lstrip("#")
    digits = "".join(d * 2 for d in digits) if len(digits) == 3 else digits
    parts = [int(digits[i : i + 2], 16) / 255 for i in (0, 2, 4)]
    linear = [p / 12.92 if p <= 0.04045 else ((p + 0.055) / 1.055) ** 2.4 for p in parts]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def contrast(one: str, other: str) -> float:
    """Contrast ratio of two colours [seen] WCAG 2.2, "contrast ratio"."""
    light, dark = sorted((luminance(one), luminance(other)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


def test_letters_and_lines_of_the_pages_stand_out():
    assert contrast("#fff", "#000") == pytest.approx(21)
    colours = re.findall(r"(?<![-\w])(color|border(?:-\w+)?): [^;#]*(#[0-9a-f]{3,6})", page.STYLE)
    assert {kind for kind, _ in colours} >= {"color", "border"}
    for kind, colour in colours:  # WCAG 2.2: 7 for text (AAA), 3 for what is not text
        assert contrast(colour, "#fff") >= (7 if kind == "color" else 3), (kind, colour)


def test_the_lessons_emphasis_is_shown_and_a_learners_markup_is_not():
    text = page.told("The *width*, not **the mass**: `<b>`; 2 * 3 * 4")
    assert text == (
        "<p>The <em>width</em>, not <strong>the mass</strong>: <code>&lt;b&gt;</code>; 2 * 3 * 4</p>"
    )


def test_tables_have_headers_lists_have_items_and_states_are_words(class_):
    for text in pages(class_).values():
        assert '<meta name="viewport"' in text and "<main>" in text and "<title>" in text
        for table in re.findall(r"<table>.*?</table>", text, re.S):
            head, body = table.split("<tbody>")
            assert "<caption>" in head and head.count('<th scope="col">') >= 2
            columns = head.count("<th ")
            for row in re.findall(r"<tr>.*?</tr>", body, re.S):
                assert row.count('<th scope="row">') == 1 and row.count("<t") - 1 == columns
    assert all(re.search(r"[a-z]{3}", words) for words in feedback.WORDS.values())


# --- the invented class ---


@pytest.mark.long
def test_in_the_invented_class_every_misconception_is_met_and_told(tmp_path):
    folder = find_lesson("07")
    returned = invented.invent(tmp_path / "demo", folder)
    with pytest.raises(ValueError, match="is not empty"):
        invented.invent(tmp_path / "demo", folder)
    class_ = create(tmp_path / "class", tmp_path / "demo" / "roster.csv")
    released = release(class_, folder)
    intake.take_in(class_, returned)
    summary = run.mark_class(class_, folder.name)
    assert (summary.marked, summary.not_marked, len(summary.missing)) == (28, 1, 1)
    results = run.current(class_, folder.name)
    right = [mark for n in range(1, 9) for mark in results[f"demo{n:02d}"].marks]
    assert all(mark.score in (mark.maximum, None) for mark in right)
    wrong = {(title, note) for title, note, *_ in report.misconceptions(released, results)}
    assert wrong == {
        (exercise.title, alternative.note)
        for exercise in released.asked() for alternative in exercise.alternatives
    }  # fmt: skip
    assert all(row[2] > 3 for row in report.calibration(results)) and report.sure_and_wrong(results)
    assert len(hand.waiting(class_, folder.name)) >= 25

"""Routes and plans: every user has one, its minutes are the lessons' own, and lessons say the same."""

from __future__ import annotations

import re
from dataclasses import replace

import nbformat
import pytest

from lessons import _minutes, _notebooks, _open, _routes
from lessons._minutes import NO_CODE, PARTS, Minutes, count_words, estimate, to_five
from solarlab.exercises import Exercise, Lesson
from tests import _repository as repository
from tests import _tiny

DATA = _routes.load()
COURSE = _routes.course(DATA["seconds"])
BLOCKS = [(f"{plan['title']}, {block['name']}", block) for plan in DATA["plan"] for block in plan["block"]]
TOLD = re.compile(r"\*\*Time:\*\* about (.+?) at the screen")
NUMBERS = {"half an": 0.5, "an": 1, "one": 1, "two": 2, "two and a half": 2.5, "three": 3}


def told_minutes(words: str) -> float:
    """Minutes that a lesson's head tells: "80 minutes", "two and a half hours"."""
    number, unit = words.rsplit(" ", 1)
    return float(number) if unit == "minutes" else 60 * NUMBERS[number]


# --- the page ---


def test_the_page_is_what_its_data_and_the_lessons_say():
    assert _routes.PAGE.read_text("utf-8") == _routes.page(DATA, COURSE), "run: python lessons --routes"


def test_each_of_the_four_users_has_an_order_minutes_and_what_may_be_skipped():
    assert len(DATA["route"]) == 4
    for route in DATA["route"]:
        numbers = [step["lesson"] for step in route["steps"] if "lesson" in step]
        assert numbers == sorted(set(numbers)) and numbers
        assert route["skip"] and route["never"] and route["lead"]
        assert "01" in numbers, "nobody does without food safety"
    alone = next(route for route in DATA["route"] if "own" in route["title"])
    assert [step["lesson"] for step in alone["steps"]] == list(COURSE.folders)


def test_there_are_plans_for_two_hours_two_days_and_ten_weeks():
    assert {plan["title"]: len(plan["block"]) for plan in DATA["plan"]} == {
        "Two hours": 1, "Two days": 2, "Ten weeks": 10,
    }  # fmt: skip
    weeks = [step["lesson"] for block in DATA["plan"][2]["block"] for step in block["steps"]]
    assert weeks == list(COURSE.folders)


@pytest.mark.parametrize(("name", "block"), BLOCKS, ids=[name for name, _ in BLOCKS])
def test_a_plan_fits_into_its_time(name, block):
    assert 0 < sum(_routes.took(step, COURSE) for step in block["steps"]) <= block["most"]


def test_the_page_s_sums_are_those_of_its_rows():
    tables = re.split(r"\n\n", _routes.PAGE.read_text("utf-8"))
    checked = 0
    for table in tables:
        rows = [line.strip("| ").split(" | ") for line in table.split("\n") if line.startswith("| ")]
        if rows and "In all" in table:
            steps = [int(row[-1]) for row in rows[2:-1]]
            assert rows[-1][-1] == f"**{sum(steps)}**"
            checked += 1
    assert checked == 4 + 1 + 2  # routes, two hours, two days


def test_every_link_of_the_page_and_to_it_leads_to_a_file():
    page = _routes.PAGE
    for address in re.findall(r"\]\(([^)#]+)\)", page.read_text("utf-8")):
        assert (page.parent / address).is_file(), address
    assert "(lessons/routes.md)" in repository.text(repository.ROOT / "README.md")


# --- the minutes ---


@pytest.mark.parametrize("number", list(COURSE.folders))
def test_a_lesson_says_about_the_minutes_that_are_worked_out_from_it(number):
    """Not less than without code, give or take ten; not half an hour more than all of it."""
    minutes = COURSE.minutes[number]
    text = _notebooks.read(next(COURSE.folders[number].glob("*.ipynb"))).cells[0].source
    told = told_minutes(TOLD.search(text)[1])
    if number in COURSE.first:
        (more,) = re.findall(r"If you have more time\*; (\d+) more for what stands below", text)
        assert told == COURSE.first[number].of()
        told += int(more)
    assert minutes.of() - 10 <= told <= minutes.of(PARTS) + 30


def test_the_first_lesson_can_be_left_after_a_quarter_of_an_hour_with_an_exercise_done():
    """The same sum as for all lessons, to the nearest five: a bet, its run, two exercises."""
    first = COURSE.first["00"]
    assert first.of() <= 15 and first.bets > 0 and first.exercises > 0 and first.reading > 4
    assert list(COURSE.first) == ["00"]


@pytest.mark.parametrize("folder", list(COURSE.folders.values()), ids=lambda folder: folder.name)
def test_every_lesson_runs_within_a_minute_as_measured(folder):
    assert 0 < DATA["seconds"][folder.name] <= 60


def cell(source, *, solution=False):
    marks = {"nbgrader": {"grade_id": "x", "solution": solution}}
    return nbformat.v4.new_markdown_cell(source, metadata=marks)


def exercise(kind, track="no-code"):
    rubric = ((1.0, "all"),) if kind == "explanation" else ()
    asked = "Five words are asked here."
    return Exercise(f"a/{kind}{track}", kind, "A", asked, "x", 1.0, track=track, rubric=rubric)


def test_minutes_are_words_seconds_bets_benches_and_exercises():
    code = nbformat.v4.new_code_cell
    notebook = nbformat.v4.new_notebook(
        cells=[
            cell("word " * 226 + "`code is not read`\n\n```\nnor this\n```\n| | |\n|---|---|"),
            cell("An example that no learner sees. " * 50, solution=True),
            code("my_guess = benches.bet_on_it(learner, ..., ...)\nmy_guess"),
            code("benches.first(lock=my_guess)"), code("benches.second()"), code("print(benches)"),
        ]
    )  # fmt: skip
    lesson = Lesson("a", [exercise("number"), exercise("explanation"), exercise("bug", "code")])
    made = estimate(notebook, lesson, 30.0)
    words = 226 + 3 * 5
    assert made.reading == pytest.approx(words / 238 + 0.5)
    assert (made.bets, made.benches, made.exercises, made.code) == (2.0, 16.0, 15.0, 10.0)
    assert made.of(("reading",)) == 5 and made.of() == 35 and made.of(PARTS) == 45


TWO = """from solarlab.exercises import Exercise

LESSON = tuple(Exercise(f"tiny/{name}", "choice", "A", "Which?", name, 1.0) for name in ("above", "below"))
"""


def test_a_lesson_that_may_be_left_counts_what_stands_above_and_the_exercises_answered_there(tmp_path):
    folder = _tiny.write_tiny(tmp_path)
    (folder / "exercises.py").write_text(TWO, encoding="utf-8")
    assert _minutes.first_sitting(folder, 30.0) is None
    code, text = nbformat.v4.new_code_cell, nbformat.v4.new_markdown_cell
    above, below = (code("x = ...", metadata=_tiny.grading(f"{n}-answer")) for n in ("above", "below"))
    cells = [text("word " * 118), above, text("### If you have more time\n\n" + "word " * 500), below]
    nbformat.write(nbformat.v4.new_notebook(cells=cells), folder / f"{folder.name}.ipynb")
    first = _minutes.first_sitting(folder, 30.0)
    assert first.reading == pytest.approx((118 + 1) / 238 + 0.5)  # with the question above, "Which?"
    assert (first.exercises, _minutes.minutes(folder, 30.0).exercises) == (2.0, 4.0)


def test_minutes_are_told_to_the_nearest_five_and_never_as_nothing():
    assert [to_five(exact) for exact in (0.0, 0.2, 7.4, 7.6, 73.0)] == [0, 5, 5, 10, 75]
    assert count_words("Don't run at 10:30, or 5 °C; *bold* **words** count, [links](a.md) too.") == 12


def test_a_lesson_that_does_not_tell_of_outside_or_was_not_measured_is_told(tmp_path):
    folder = tmp_path / "90-invented"
    folder.mkdir()
    half = nbformat.v4.new_markdown_cell("# A\n\n### With an oven (an hour)")
    nbformat.write(nbformat.v4.new_notebook(cells=[half]), folder / "90-invented.ipynb")
    with pytest.raises(ValueError, match="90-invented does not say how long"):
        _minutes.outside(folder)
    with pytest.raises(ValueError, match="not measured yet: 00-first-egg"):
        _routes.course({})


def test_more_minutes_in_a_lesson_are_more_on_the_page():
    longer = replace(COURSE, minutes=COURSE.minutes | {"01": Minutes(100.0, 4.0, 16.0, 39.0, 25.0)})
    assert longer.minutes["01"].of(NO_CODE) == 160
    page = _routes.page(DATA, longer)
    assert page != _routes.page(DATA, COURSE) and "| **160** | 25 |" in page


def test_the_command_makes_the_page_and_measures_what_is_named(tmp_path, monkeypatch, capsys):
    page, data = tmp_path / "routes.md", tmp_path / "routes.toml"
    data.write_text(_routes.DATA.read_text("utf-8"), encoding="utf-8")
    monkeypatch.setattr(_routes, "PAGE", page)
    monkeypatch.setattr(_routes, "DATA", data)
    monkeypatch.setattr(_minutes, "measure", lambda folder: 59)
    assert _open.main(["--routes", "03"]) == 0
    assert "03-dark-pot: ran 59 s" in capsys.readouterr().out
    kept = _routes.load()
    assert kept["seconds"] == DATA["seconds"] | {"03-dark-pot": 59} and kept["route"] == DATA["route"]
    assert page.read_text("utf-8") == _routes.page(kept, _routes.course(kept["seconds"]))
    assert sorted(path.name for path in tmp_path.iterdir()) == ["routes.md", "routes.toml"]

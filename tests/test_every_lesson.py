"""What holds in every lesson: exercises tell answers apart, hints help only, benches follow, cells mark.

What only one lesson says or teaches is in that lesson's own test file.
"""

from __future__ import annotations

import json
import re

import pytest

from lessons import _copy, _notebooks
from solarlab import exercises as ex
from solarlab.exercises import check, judge, mark, variant
from solarlab.figures import Picture
from tests import _lesson_checks as checks

LEARNERS = [f"learner {n}" for n in range(300)]
EACH_LESSON = pytest.mark.parametrize("folder", checks.FOLDERS, ids=lambda folder: folder.name)
EACH_BENCH = pytest.mark.parametrize(
    ("name", "label"), checks.bench_cells(), ids=["-".join(cell) for cell in checks.bench_cells()]
)

# What must be set before a control of a bench can show: no cloud hides no sun, a tilt is for aiming by hand.
BEFORE = {"01-safe-to-eat": {"cloud": 660, "lasts": 240}}
BEFORE_ONE = {
    ("07-dry-egg", "tilt"): {"aim": (None, True)},
    ("10-stand-and-teach", "replaced"): {"counted": True},
}
BETWEEN = {("05-where-the-sun-stands", "longitude"): (0,)}  # its two ends are one place


def each(exercises):
    """Run a test once for every one of these exercises, named by its id."""
    return pytest.mark.parametrize("exercise", exercises, ids=lambda exercise: exercise.id)


def test_every_folder_with_exercises_is_a_lesson_checked_here():
    with_exercises = {path.parent for path in _notebooks.LESSONS.glob("*/exercises.py")}
    assert with_exercises == set(checks.FOLDERS) and len(checks.ALL) == len(set(checks.ALL))


PRIVATE = re.compile(r"^\s*(from|import) solarlab\S*\._|^\s*from solarlab\S* import (.*\W)?_\w")


@EACH_LESSON
def test_a_lesson_shows_how_to_use_the_package_so_it_takes_public_names_only(folder):
    code = [path.read_text("utf-8") for path in folder.glob("*.py")]
    code += [cell.source for cell in checks.NOTEBOOKS[folder.name].cells if cell.cell_type == "code"]
    assert not [line for text in code for line in text.split("\n") if PRIVATE.search(line)]


@EACH_LESSON
def test_the_record_shows_each_bet_by_a_title_and_not_by_its_key(folder):
    outputs = json.dumps([cell.get("outputs", []) for cell in checks.NOTEBOOKS[folder.name].cells])
    (table,) = re.findall(r"<caption>Your predictions</caption>.*?</table>", outputs)
    shown = re.findall(r"<tr><td>(.*?)</td>", table)
    key = re.compile(r"[a-z-]+/[a-z-]+|[A-Z][a-z ]*: [a-z ]+")
    assert shown and not [said for said in shown if key.fullmatch(said)]


# --- exercises ---


@each(checks.ALL)
def test_each_misconception_gets_its_own_note_and_the_right_answer_none(exercise, record_property):
    if exercise.kind == "explanation":
        assert check(exercise, "ana", "Because.").state == "handed in"
        return
    redraws = 0
    if exercise.given:
        assert check(exercise, "ana", exercise.given).state == "not attempted yet"
    for who in LEARNERS:
        redraws += ex.draw(exercise, who)[1]
        right = judge(exercise, who, checks.handed(exercise, who, exercise.answer), "secret")
        assert (right.state, right.note, right.points) == ("right", "", exercise.points), who
        for alternative in exercise.alternatives:
            reply = judge(exercise, who, checks.handed(exercise, who, alternative.model), "secret")
            assert (reply.state, reply.note) == ("not yet", alternative.note), who
            assert reply.hint == alternative.hint
    rate = redraws / (redraws + len(LEARNERS))
    record_property("redraw_rate", rate)
    print(f"{exercise.id}: redraw rate {rate:.1%}")
    assert rate < 0.5, "half the draws are thrown away: the alternatives are too close"


@each(checks.FUNCTIONS)
@pytest.mark.parametrize("constant", [0.0, 1.0, -1.0, 100.0])
def test_a_function_that_always_says_the_same_earns_nothing(exercise, constant):
    assert mark(exercise, "ana", lambda **given: constant) == 0.0


@each(checks.ALL)
def test_each_exercise_is_completely_described(exercise):
    assert exercise.variable.isidentifier() and exercise.points > 0 and exercise.track in ("no-code", "code")
    assert exercise.kind == "explanation" or (exercise.hints and exercise.alternatives)
    assert (exercise.given is not None) == (exercise.kind == "bug")
    notes = [alternative.note for alternative in exercise.alternatives]
    assert len(set(notes)) == len(notes)
    for alternative in exercise.alternatives:
        assert alternative.hint and alternative.why and alternative.source and 0 <= alternative.credit < 1
    json.dumps(variant(exercise, "ana"), allow_nan=False)
    assert "{" not in ex.ask(exercise, "ana")


@each(checks.DRAWN)
def test_neighbours_get_different_numbers(exercise):
    assert len({str(variant(exercise, who)) for who in LEARNERS[:30]}) > 8


# --- hints ---


@each([exercise for exercise in checks.ALL if exercise.kind in checks.MARKED])
def test_every_step_of_the_hints_says_something_new(exercise):
    assert len(exercise.hints) >= 2
    assert len({hint.strip() for hint in exercise.hints}) == len(exercise.hints)


@each([exercise for exercise in checks.ALL if exercise.kind == "number"])
def test_no_hint_names_the_answer(exercise):
    """A number in a hint may be some learner's answer by chance, but not that of one in five."""
    hints = [*exercise.hints, *(alternative.hint for alternative in exercise.alternatives)]
    for number in {number for hint in hints for number in re.findall(r"\d+(?:[.,:]\d+)?", hint)}:
        right = sum(check(exercise, who, number).state == "right" for who in LEARNERS[:60])
        assert right < 60 / 5, number


@EACH_LESSON
def test_a_lesson_offers_no_hint_that_a_reply_has_shown_already(folder):
    """A reply shows step 1 of the hints by itself; what a learner may ask for begins with step 2."""
    offers = [
        offer
        for cell in checks.NOTEBOOKS[folder.name].cells
        for offer in re.findall(r"\bhint\(\s*exercises\[[^\]]*\]\s*([^)]*)\)", cell.source)
    ]
    assert offers and not [offer for offer in offers if not re.fullmatch(r",\s*(step=)?[2-9]\s*", offer)]


# --- benches ---


def ends(control):
    """Both ends of a slider, both states of a toggle, every option of a choice."""
    if control.kind == "slider":
        return control.low, control.high
    return (True, False) if control.kind == "toggle" else tuple(control.options.values())


@EACH_LESSON
def test_a_lesson_has_a_bench(folder):
    assert folder.name in {name for name, _ in checks.bench_cells()}


@EACH_BENCH
def test_every_control_goes_to_both_ends_and_the_picture_follows(name, label):
    bench = checks.bench(name, label, None)
    bench.set(**BEFORE.get(name, {}))
    for control in bench.controls:
        before, seen = BEFORE_ONE.get((name, control.name), {}), set()
        start = {word: bench.values[word] for word in (control.name, *before)}
        bench.set(**before)
        for value in (*ends(control), *BETWEEN.get((name, control.name), ())):
            bench.set(**{control.name: value})
            assert bench.message == "" and isinstance(bench.picture, Picture)
            seen.add(bench.picture.alt)
        assert len(seen) > 1, control.name
        bench.set(**start)


@EACH_BENCH
def test_a_bench_stays_locked_until_its_bet_is_made(name, label):
    assert checks.bench(name, label, False).picture is None


# --- cells ---


@EACH_LESSON
@pytest.mark.parametrize("who", ["example", "ana", "bruno", "chen"])
def test_the_lesson_s_own_answers_earn_every_point_for_any_learner(folder, who, capsys):
    full = checks.full(checks.EXERCISES[folder.name])
    assert checks.run(checks.NOTEBOOKS[folder.name], folder, who) == full
    assert capsys.readouterr().out.count("Right.") == len(full)


@EACH_LESSON
def test_an_untouched_copy_earns_nothing_and_says_not_attempted_yet(folder, capsys):
    full = checks.full(checks.EXERCISES[folder.name])
    copy = _copy.learner_copy(checks.NOTEBOOKS[folder.name])
    assert checks.run(copy, folder, "ana") == dict.fromkeys(full, 0.0)
    assert capsys.readouterr().out.count("Not attempted yet.") == len(full)


@EACH_LESSON
def test_points_and_grade_ids_are_those_of_the_exercises(folder):
    graded = {
        checks.label_of(cell): cell.metadata.nbgrader.points
        for cell in checks.NOTEBOOKS[folder.name].cells
        if cell.metadata.get("nbgrader", {}).get("grade")
    }
    exercises = checks.EXERCISES[folder.name].values()
    assert graded == {
        f"{checks.short(exercise)}-{'mark' if exercise.kind in checks.MARKED else 'answer'}": exercise.points
        for exercise in exercises
    }
    assert any(exercise.kind == "explanation" for exercise in exercises)

"""Lesson 03: its text says what the model gives, its benches stand at every end, its cells mark as meant."""

from __future__ import annotations

from pathlib import Path

import nbformat
import pytest

from lessons import _copy
from solarlab import catalogue, water
from solarlab.exercises import check, lesson, variant
from solarlab.figures import Picture

FOLDER = Path(__file__).resolve().parents[1] / "lessons" / "03-dark-pot"
exercises = lesson(FOLDER)
scene, benches = exercises.module.scene, exercises.module.benches
NOTEBOOK = nbformat.read(FOLDER / "03-dark-pot.ipynb", as_version=4)
FULL = {
    "boil": 1.0, "cooler": 2.0, "roll": 1.0, "thick": 2.0, "steam": 2.0, "recipe": 1.0, "feast": 3.0,
    "dose": 3.0, "gone": 2.0,
}  # fmt: skip


# --- what the text says ---


def test_the_lid_is_worth_half_an_hour_and_without_it_the_bare_box_never_boils():
    assert round(scene.minutes_to("boiling")) == 71 and round(scene.lid_minutes()) == 33
    assert not scene.minutes_to("boiling", oven="bare box", lid=False) > 0  # nan
    assert scene.minutes_to("done", lid=False) < scene.minutes_to("boiling", lid=False)


def test_the_dark_thin_pot_is_first_and_three_others_lie_within_ten_minutes():
    boils = {pot: scene.minutes_to("boiling", pot=pot) for pot in scene.POTS}
    assert min(boils, key=boils.get) == scene.DARK
    middle = [boils[pot] for pot in ("glass", "cast iron", "shiny stainless")]
    assert max(middle) - min(middle) < 10 and 15 < boils["shiny stainless"] - boils[scene.DARK] < 25
    iron = catalogue.pot("cast iron")
    assert 0.5 < iron.mass * iron.specific_heat / water.SPECIFIC_HEAT < 0.65  # "half a litre of water"


def test_more_sun_makes_the_boil_longer_and_no_higher():
    weak, strong = scene.cooked(), scene.cooked(oven="four-mirror box", until="13:00")
    boil = float(weak.warming.boiling_point)
    assert float(strong.boiling) < float(weak.boiling)
    assert abs(weak.warming.core.max() - boil) < 0.5 and abs(strong.warming.core.max() - boil) < 0.5


def test_the_mountain_pot_boils_first_and_is_done_last():
    assert scene.first_done() == "mountain boils, sea done"


def test_the_boil_falls_a_degree_in_300_metres_and_at_90_beans_take_twice_as_long():
    for height in range(0, 4500, 300):
        assert 0.9 < scene.boils_at(height) - scene.boils_at(height + 300) < 1.1
    assert 1.95 < scene.longer(90.0) < 2.05 and scene.longer(67.0) == pytest.approx(10.0)


def test_twice_the_soup_takes_nearly_twice_as_long():
    assert 1.5 < scene.minutes_to("boiling", mass=3.0) / scene.minutes_to("boiling", mass=1.5) < 2.0


def test_rice_and_soup_mind_the_height_little():
    for dish in ("rice", "soup"):
        low, high = (
            scene.minutes_to("done", scene.slope_at(h), dish=dish, loaded="09:00") for h in (0.0, 4000.0)
        )
        assert 0.8 < high / low < 1.15


# --- benches ---


@pytest.mark.parametrize("make", [benches.pots, benches.heights], ids=["pots", "heights"])
def test_every_control_goes_to_both_ends_and_the_picture_follows(make):
    bench = make(None)
    for control in bench.controls:
        start, seen = bench.values[control.name], set()
        ends = {"slider": (control.low, control.high), "toggle": (True, False)}.get(control.kind)
        for value in ends or tuple(control.options.values()):
            bench.set(**{control.name: value})
            assert bench.message == "" and isinstance(bench.picture, Picture)
            seen.add(bench.picture.alt)
        assert len(seen) > 1, control.name
        bench.set(**{control.name: start})
    assert make(False).picture is None


# --- cells ---


def label_of(cell):
    return cell.metadata.get("nbgrader", {}).get("grade_id", "")


def run(notebook, who):
    """Run the answers and marks of a notebook's code in this process; {exercise: points}."""
    names, points = {}, {}
    for cell in notebook.cells:
        label = label_of(cell)
        if cell.cell_type != "code" or not (label == "setup" or label.endswith(("-answer", "-mark"))):
            continue
        body = cell.source.replace("lesson()", f"lesson({str(FOLDER)!r})")
        names["learner"] = who
        if label.endswith("-mark"):
            *first, last = body.split("\n")
            exec("\n".join(first), names)
            points[label.removesuffix("-mark")] = eval(last, names)
        else:
            exec(body, names)
    return points


@pytest.mark.parametrize("who", ["example", "ana", "bruno", "chen"])
def test_the_lesson_s_own_answers_earn_every_point_for_any_learner(who, capsys):
    assert run(NOTEBOOK, who) == FULL
    assert capsys.readouterr().out.count("Right.") == len(FULL)


def test_an_untouched_copy_earns_nothing_and_says_not_attempted_yet(capsys):
    assert run(_copy.learner_copy(NOTEBOOK), "ana") == dict.fromkeys(FULL, 0.0)
    assert capsys.readouterr().out.count("Not attempted yet.") == len(FULL)


def test_points_and_grade_ids_are_those_of_the_exercises():
    graded = {label_of(c): c.metadata.nbgrader for c in NOTEBOOK.cells
              if c.metadata.get("nbgrader", {}).get("grade")}  # fmt: skip
    for name in (*FULL, "why"):
        assert graded[f"{name}-answer" if name == "why" else f"{name}-mark"].points == exercises[name].points
    assert len(graded) == len(exercises) == len(FULL) + 1
    kinds = {"number", "choice", "plan", "explanation", "function", "bug"}
    assert {exercise.kind for exercise in exercises.values()} == kinds


def test_neighbours_get_different_numbers():
    for name in ("boil", "cooler", "roll", "thick", "steam", "recipe", "feast"):
        assert len({str(variant(exercises[name], f"learner {n}")) for n in range(30)}) > 6


def test_a_boil_may_be_typed_in_fahrenheit():
    celsius = exercises["boil"].answer(variant(exercises["boil"], "ana"))
    assert check(exercises["boil"], "ana", f"{celsius * 1.8 + 32:.1f} °F").state == "right"

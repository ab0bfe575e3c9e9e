"""Lesson 04: its text says what the model gives, its benches stand at every end, its cells mark as meant."""

from __future__ import annotations

import math
from pathlib import Path

import nbformat
import numpy as np
import pytest

from lessons import _copy
from solarlab import catalogue
from solarlab.exercises import lesson, variant
from solarlab.figures import Picture

FOLDER = Path(__file__).resolve().parents[1] / "lessons" / "04-catching-it"
exercises = lesson(FOLDER)
scene, benches = exercises.module.scene, exercises.module.benches
NOTEBOOK = nbformat.read(FOLDER / "04-catching-it.ipynb", as_version=4)
FULL = {
    "pane": 2.0, "mirrors": 2.0, "drift": 2.0, "grey": 1.0, "tilt": 1.0, "design": 3.0, "beam": 3.0,
    "adds": 2.0,
}  # fmt: skip


# --- what the text says ---


def test_four_mirrors_make_two_and_a_half_suns_and_not_the_4_4_of_their_whole_area():
    made = catalogue.oven("four-mirror box")
    sheets = 4 * made.reflectance * made.reflectors[0].length / made.aperture_width
    assert round(1 + sheets, 1) == 4.4 and 2.4 < scene.four_times() < 2.55


def test_an_hour_costs_the_bare_box_three_percent_and_the_mirrored_box_over_a_fifth():
    assert round(100 - scene.kept("bare box", 15)) == 3
    assert 20 < 100 - scene.kept("four-mirror box", 15) < 25 and 20 < scene.hour_later() < 27


def test_every_half_hour_is_enough_in_any_season():
    for date in ("2026-06-21", "2026-03-21", "2026-12-21"):
        for start in (540, 690):
            assert scene.lost("four-mirror box", 30, start, date, 40.0, 120) < 4
            assert 7 < scene.lost("four-mirror box", 60, start, date, 40.0, 120) < 11
            assert scene.lost("one-mirror box", 60, start, date, 40.0, 120) < 4


def test_three_hours_after_it_was_aimed_four_mirrors_catch_less_than_none():
    assert scene.kept("four-mirror box", 45) * scene.four_times() < scene.kept("bare box", 45)


@pytest.mark.parametrize("length", [0.5, 1.0, 1.5])
@pytest.mark.parametrize("flare", [12.0, 25.0, 30.0, 38.0])
def test_the_rule_for_one_mirror_is_what_exact_areas_give(length, flare):
    lean = math.radians(flare)
    rule = 1 + scene.mirrors.REFLECTANCE * min(length * math.sin(lean), math.cos(2 * lean))
    assert scene.mirrors.light_on_glass("one", length, flare) == pytest.approx(rule, abs=1e-6)


@pytest.mark.parametrize(("count", "off"), [("none", 20.0), ("two", 0.0), ("two", 20.0)])
def test_drawn_rays_agree_with_exact_areas(count, off):
    """In the plane, straight on, the share of rays that reach the glass is the light they carry."""
    made = scene.mirrors
    traced = made.rays(made.EDGES[count], 1.0, 30.0, off, 4001)
    wide = 4000 / (np.ptp([float(p[0] @ side_of(off)) for p, _ in traced]))
    caught = sum(made.REFLECTANCE ** (len(p) - 2) for p, ends in traced if ends == "glass") / wide
    assert caught == pytest.approx(made.light_on_glass(count, 1.0, 30.0, off), abs=0.01)


def side_of(off):
    return np.array([math.cos(math.radians(off)), -math.sin(math.radians(off))])


def test_mirrors_are_worth_twice_the_light_in_the_sun_and_nothing_under_a_closed_sky():
    assert scene.cloud_watts(0.0) / scene.cloud_watts(0.0, False) > 2
    assert scene.cloud_watts(8.0) / scene.cloud_watts(8.0, False) < 1


def test_the_design_has_an_optimum_inside():
    workshop = exercises.module.workshop
    for count in ("one", "two", "four"):
        best = workshop.best_flare(count, 0.9, 7.5)
        assert 14 < best < 44
        most = workshop.caught(count, 0.9, float(best), 7.5)
        assert most > workshop.caught(count, 0.9, best - 6.0, 7.5)
        assert most > workshop.caught(count, 0.9, best + 6.0, 7.5)


# --- benches ---


@pytest.mark.parametrize("make", [benches.build, benches.drift], ids=["build", "drift"])
def test_every_control_goes_to_both_ends_and_the_picture_follows(make):
    bench = make(None)
    for control in bench.controls:
        start, seen = bench.values[control.name], set()
        ends = (control.low, control.high) if control.kind == "slider" else tuple(control.options.values())
        for value in ends:
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
    kinds = {"number", "plan", "explanation", "function", "bug"}
    assert {exercise.kind for exercise in exercises.values()} == kinds


def test_neighbours_get_different_numbers():
    for name in ("pane", "mirrors", "drift", "grey", "tilt", "design"):
        assert len({str(variant(exercises[name], f"learner {n}")) for n in range(30)}) > 6

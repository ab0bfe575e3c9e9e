"""Lesson 00: its text says what the model gives, its bench stands at every end, its cells mark as meant."""

from __future__ import annotations

from pathlib import Path

import nbformat
import numpy as np
import pytest

from lessons import _copy
from solarlab.exercises import check, lesson, variant
from solarlab.figures import Picture

FOLDER = Path(__file__).resolve().parents[1] / "lessons" / "00-first-egg"
exercises = lesson(FOLDER)
benches, scene = exercises.module.benches, exercises.module.scene
NOTEBOOK = nbformat.read(FOLDER / "00-first-egg.ipynb", as_version=4)
FULL = {"wait": 2.0, "say": 1.0, "sure": 1.0}
PAIR = (exercises.module.EGG, exercises.module.BEANS)


# --- what the text says ---


def test_the_egg_is_hard_within_half_an_hour_and_the_beans_are_soft_at_ten_to_one():
    hen, beans = (scene.dish_day(*scene.DISHES[name]) for name in PAIR)
    assert scene.cut_open(hen) == "hard" and 20 < float(hen.done) / 60 < 26
    assert f"{beans.at(beans.done):%H:%M}" in ("12:48", "12:49", "12:50", "12:51")


def test_in_the_minute_the_egg_is_hard_the_pots_are_as_hot_and_the_beans_as_good_as_raw():
    hen = scene.dish_day()
    for name, (dish, pot) in scene.DISHES.items():
        day = scene.dish_day(dish, pot)
        warm = np.interp(float(hen.done), scene.after(day), day.warming.core)
        assert 60 < warm < 80, name
        if "beans" in name:
            assert np.interp(float(hen.done), scene.after(day), day.progress) < 0.04


def test_the_oven_is_far_hotter_than_an_egg_that_sets():
    hen = scene.dish_day()
    assert np.interp(float(hen.done), scene.after(hen), hen.warming.cavity) > 100


def test_each_answer_of_the_bet_can_happen_under_some_sky_and_six_eighths_are_not_forgiven():
    seen = [scene.cut_open(scene.dish_day(oktas=float(oktas))) for oktas in range(9)]
    assert seen[:6] == ["hard"] * 6 and seen[6:] == ["raw"] * 3
    assert {scene.cut_open(scene.dish_day(), minutes) for minutes in range(31)} == set(scene.STATES)


# --- bench ---


def test_every_control_goes_to_both_ends_and_the_picture_follows():
    bench = benches.first_bench()
    for control in bench.controls:
        seen = set()
        for value in (control.low, control.high):
            bench.set(**{control.name: value})
            assert bench.message == "" and isinstance(bench.picture, Picture)
            seen.add(bench.picture.alt)
        assert len(seen) > 1, control.name
        bench.reset()
    assert benches.first_bench(lock=False).picture is None


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


def test_points_and_grade_ids_are_those_of_the_exercises_and_no_code_is_asked_for():
    graded = {
        label_of(c): c.metadata.nbgrader
        for c in NOTEBOOK.cells
        if c.metadata.get("nbgrader", {}).get("grade")
    }
    for name in (*FULL, "tell"):
        assert graded[f"{name}-answer" if name == "tell" else f"{name}-mark"].points == exercises[name].points
    assert len(graded) == len(exercises) == len(FULL) + 1
    assert {exercise.track for exercise in exercises.values()} == {"no-code"}


def test_neighbours_get_different_numbers_and_minutes_may_be_typed_as_hours():
    for name in FULL:
        assert len({str(variant(exercises[name], f"learner {n}")) for n in range(30)}) > 8
    wait = exercises["wait"]
    minutes = wait.answer(variant(wait, "ana"))
    assert check(wait, "ana", f"{minutes // 60} h {minutes % 60} min").state == "right"

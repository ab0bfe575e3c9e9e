"""Lesson 00: its text says what the model gives, its exercises are worth what it says."""

from __future__ import annotations

import numpy as np

from solarlab.exercises import check, variant
from tests import _lesson_checks as checks

exercises = checks.EXERCISES["00-first-egg"]
scene = exercises.module.scene
POINTS = {"wait": 2.0, "say": 1.0, "sure": 1.0, "tell": 2.0}
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


# --- exercises ---


def test_the_exercises_and_their_points_and_that_no_code_is_asked_for():
    assert checks.points(exercises) == POINTS
    assert {exercise.track for exercise in exercises.values()} == {"no-code"}


def test_minutes_may_be_typed_as_hours():
    wait = exercises["wait"]
    minutes = wait.answer(variant(wait, "ana"))
    assert check(wait, "ana", f"{minutes // 60} h {minutes % 60} min").state == "right"

"""Lesson 03: its text says what the model gives, its exercises are worth what it says."""

from __future__ import annotations

import pytest

from solarlab import catalogue, water
from solarlab.exercises import check, variant
from tests import _lesson_checks as checks

exercises = checks.EXERCISES["03-dark-pot"]
scene = exercises.module.scene
POINTS = {
    "boil": 1.0, "cooler": 2.0, "roll": 1.0, "thick": 2.0, "steam": 2.0, "recipe": 1.0, "feast": 3.0,
    "dose": 3.0, "gone": 2.0, "why": 4.0,
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


def test_a_boil_may_be_typed_in_fahrenheit():
    celsius = exercises["boil"].answer(variant(exercises["boil"], "ana"))
    assert check(exercises["boil"], "ana", f"{celsius * 1.8 + 32:.1f} °F").state == "right"


# --- points ---


def test_the_exercises_their_points_and_their_kinds():
    assert checks.points(exercises) == POINTS
    kinds = {"number", "choice", "plan", "explanation", "function", "bug"}
    assert {exercise.kind for exercise in exercises.values()} == kinds

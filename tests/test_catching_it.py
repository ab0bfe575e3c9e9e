"""Lesson 04: its text says what the model gives, its exercises are worth what it says."""

from __future__ import annotations

import math

import numpy as np
import pytest

from solarlab import catalogue
from tests import _lesson_checks as checks

exercises = checks.EXERCISES["04-catching-it"]
scene = exercises.module.scene
POINTS = {
    "pane": 2.0, "mirrors": 2.0, "drift": 2.0, "grey": 1.0, "tilt": 1.0, "design": 3.0, "beam": 3.0,
    "adds": 2.0, "why": 4.0,
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


# --- points ---


def test_the_exercises_their_points_and_their_kinds():
    assert checks.points(exercises) == POINTS
    kinds = {"number", "plan", "explanation", "function", "bug"}
    assert {exercise.kind for exercise in exercises.values()} == kinds

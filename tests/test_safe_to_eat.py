"""Lesson 01: its text says what the model gives, its exercises are worth what it says."""

from __future__ import annotations

import numpy as np
import pytest

from solarlab import safety
from solarlab.exercises import inputs, variant
from tests import _lesson_checks as checks

exercises = checks.EXERCISES["01-safe-to-eat"]
scene = exercises.module.scene
POINTS = {
    "margin": 1.0, "latest": 2.0, "cloud": 2.0, "thaw": 2.0, "beans": 1.0, "lunch": 3.0, "zone": 3.0,
    "kill": 2.0, "why": 4.0,
}  # fmt: skip


# --- what the text says ---


def test_at_half_past_ten_the_oven_shows_some_150_and_the_middle_of_the_bird_7():
    day = scene.first_day()
    assert abs(scene.oven_at(day, 630) - 150) < 3 and round(scene.coldest_at(day, 630)) == 7
    assert abs(scene.oven_at(day, 630) - scene.coldest_at(day, 630) - 145) < 3


def test_the_cloudy_bird_is_hot_at_three_and_past_four_hours_at_two():
    day = scene.cloudy_day()
    assert abs(scene.coldest_at(day, 15 * 60) - 75) < 2 and abs(scene.coldest_at(day, 14 * 60) - 54) < 2
    assert "14:30" < f"{scene.first_time(day, 60.0):%H:%M}" < "14:40"
    assert 270 < float(day.judgement.clocks["total"]) / 60 < 280  # from the skin at 5 °C
    middle = (scene.first_time(day, 60.0) - scene.first_time(day, 5.0)).total_seconds() / 60
    assert middle > 4 * 60 + 10  # past the limit however one counts
    assert (scene.cloudy_choice(), day.verdict().state) == ("throw", "refuse")
    assert f"{day.at(day.verdict().when):%H:%M}" == "14:00"


def test_half_hourly_readings_tell_what_becomes_of_the_bird_and_end_when_it_is_hot():
    for n in range(40):
        v = variant(exercises["cloud"], f"learner {n}")
        day = exercises.module.cloud_day(v)
        read = [item.split(": ") for item in v["readings"].removesuffix(" °C").split(" °C, ")]
        clock = [int(c[:2]) * 60 + int(c[3:]) for c, _ in read]
        degrees = [float(d) for _, d in read]
        assert scene.clock(clock[-1]) == v["now"] and (degrees[-1] >= 78 or v["now"] == "16:00")
        past = next(i for i, d in enumerate(degrees) if d >= 60)
        share = (60 - degrees[past - 1]) / (degrees[past] - degrees[past - 1])
        hours = (clock[past - 1] + 30 * share - 600) / 60  # as a learner reads it
        tier = "eat" if hours <= 2 else "stove" if hours <= 4 else "throw"
        assert exercises.module.FATE_OF[day.verdict().state] == tier


def test_the_earlier_cloud_is_the_worse_one_for_the_whole_bird():
    def state(cloud):
        return scene.cooked("Nairobi", "2026-03-21", cloud=cloud, lasts=120).verdict().state

    assert (state(660), state(630)) == ("expected", "too slow")


def test_melting_costs_as_much_as_some_thirty_degrees_later():
    melting = scene.heat_to(-1.0) - scene.heat_to(-5.0)
    assert 25 < melting / ((scene.heat_to(60.0) - scene.heat_to(20.0)) / 40.0) < 33


def test_the_frozen_middle_creeps_below_zero_for_over_an_hour_with_its_outside_past_sixty():
    icy = scene.cooked("Nairobi", "2026-03-21", dish="whole chicken, frozen")
    at = int(icy.loaded) + 14  # 70 minutes
    assert icy.warming.coldest[at] < 0 and icy.warming.shells[at, -1] > 80


def test_at_74_degrees_seven_powers_of_ten_take_seconds():
    lethal = safety.CHICKEN_SALMONELLA
    assert 5 < 60 * 7 * lethal.minutes * 10 ** ((lethal.reference - 74) / lethal.z) < 30


def test_standing_alone_can_spoil_a_fish_and_late_cloud_gives_rice_a_time_to_be_eaten_by():
    fish = scene.dish_day(dish="fish", standing=180.0)
    assert fish.verdict().state == "too slow" and fish.verdict().rule.key in ("standing", "total")
    rice = scene.dish_day(dish="rice", cloud=700, lasts=300)
    assert rice.verdict().state == "expected" and "eat by" in scene.clock_picture(rice).alt


def test_the_zone_and_the_kill_of_the_code_track_are_safety_s_own():
    for given in inputs(exercises["zone"], "ana"):
        judged = safety.judge(("poultry",), 60.0 * np.asarray(given["minutes"]), given["temperatures"])
        minutes = float(judged.clocks["total"] + judged.clocks["cooling"]) / 60.0
        assert exercises["zone"].answer(**given) == pytest.approx(minutes, abs=1e-6)
    assert exercises["kill"].answer([60.0], 5.1) == pytest.approx(1.0)
    assert exercises["kill"].answer([57.0], 500.0) == 0.0


# --- points ---


def test_the_exercises_their_points_and_their_kinds():
    assert checks.points(exercises) == POINTS
    kinds = {"number", "choice", "plan", "explanation", "function", "bug"}
    assert {exercise.kind for exercise in exercises.values()} == kinds

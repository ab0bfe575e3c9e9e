"""Lesson 02: its text says what the model gives, its exercises are worth what it says."""

from __future__ import annotations

import pytest

from solarlab.exercises import check, variant
from tests import _lesson_checks as checks

exercises = checks.EXERCISES["02-warm-box"]
scene = exercises.module.scene
POINTS = {
    "hot": 1.0, "wool": 2.0, "lid": 2.0, "tau": 2.0, "mend": 1.0, "build": 3.0, "temperature": 3.0,
    "panes": 2.0, "why": 4.0,
}  # fmt: skip


# --- what the text says ---


def test_twenty_degrees_more_outside_are_some_fifteen_inside():
    assert round(scene.settles(air=15.0)) == 138
    assert 13 < scene.settles(air=35.0) - scene.settles(air=15.0) < 17


def test_a_second_pane_is_the_best_change_and_a_hot_day_the_least():
    ends = {name: scene.settles(**(scene.START | change)) for name, change in scene.CHANGES.items()}
    assert scene.biggest_change() == max(ends, key=ends.get) == "pane"
    assert min(ends, key=ends.get) == "hot"


def test_the_table_of_losses_says_where_the_box_settles():
    assert round(scene.kept_light()) == 194 and 140 < scene.settles() < 150
    assert sum(scene.losses_at(scene.settles(), "bare box")) == pytest.approx(scene.kept_light(), rel=0.005)
    half = scene.settles(sun=0.5)
    assert 90 < half < 95
    assert sum(scene.losses_at(half, "bare box")) == pytest.approx(scene.kept_light(sun=0.5), rel=0.005)
    walls, glass = scene.losses_at(140.0)
    assert 65 < walls < 75 and glass > 110


def test_twice_the_wool_gives_some_fifteen_per_cent_and_perfect_walls_a_third():
    rise = scene.settles() - scene.AIR
    assert 1.12 < (scene.settles(wool=2.0) - scene.AIR) / rise < 1.18
    assert 1.28 < (scene.settles(wool=1000.0) - scene.AIR) / rise < 1.38


def test_one_minute_under_the_lid_costs_over_thirty_degrees_and_the_air_alone_two():
    _, drop, _, air = scene.opened("bare box")
    assert 32 < drop < 38
    assert 1.5 < air / scene.box("bare box").cavity_heat_capacity < 2.5


def test_the_time_constant_is_capacity_over_losses_and_a_little_for_the_panes():
    assert 22 < scene.minutes_to_share(0.632, scene.AIR) < 26
    assert 1.5 < scene.kept_light() / (scene.settles() - scene.AIR) < 1.7
    assert abs(scene.box("bare box").cavity_heat_capacity - 2100) < 50
    _, temperatures, end = scene.curve()
    for count, share in ((2, 86), (3, 95)):
        at = round(count * scene.minutes_to_share(0.632, scene.AIR))
        assert abs(100 * (temperatures[at] - scene.AIR) / (end - scene.AIR) - share) < 2


def test_in_the_ledger_the_glass_loses_most_and_the_walls_less_than_a_third():
    ledger = scene.run(hours=4.0).ledger
    lost = {name: float(getattr(ledger, name)[-1]) for name in ("wind", "sky", "walls", "venting")}
    assert lost["walls"] < sum(lost.values()) / 3 and lost["wind"] + lost["sky"] > lost["walls"] * 2


@pytest.mark.parametrize("who", [f"learner {n}" for n in range(25)])
def test_what_the_lesson_teaches_by_hand_is_accepted(who):
    hot = variant(exercises["hot"], who)
    for share in (0.8, 1.0):
        rule = hot["settled"] + share * (hot["hot"] - hot["air"])
        assert check(exercises["hot"], who, rule).state == "right"
    lid = variant(exercises["lid"], who)
    assert check(exercises["lid"], who, lid["watts"] * lid["seconds"] / lid["joules"]).state == "right"


# --- points ---


def test_the_exercises_their_points_and_their_kinds():
    assert checks.points(exercises) == POINTS
    kinds = {"number", "choice", "plan", "explanation", "function", "bug"}
    assert {exercise.kind for exercise in exercises.values()} == kinds

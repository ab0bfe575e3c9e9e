"""Lesson 07: its text says what the model gives, its exercises are worth what it says."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from solarlab import catalogue, egg
from solarlab.cook import cook
from solarlab.exercises import check, variant
from solarlab.sky import sky
from solarlab.sun import instants
from tests import _lesson_checks as checks

exercises = checks.EXERCISES["07-dry-egg"]
scene = exercises.module.scene
POINTS = {"size": 2.0, "hold": 2.0, "first": 1.0, "party": 3.0, "set": 3.0, "lag": 2.0, "why": 4.0}


def hard(**kind):
    return scene.egg_day(**kind).hard


# --- what the text says ---


def test_preheating_moves_the_clock_most_and_the_shell_s_colour_least_of_the_four():
    plain = hard()
    moved = {name: abs(hard(**kind) - plain) for name, kind in scene.CHANGES.items()}
    assert scene.biggest_change() == max(moved, key=moved.get) == "preheat"
    assert min(moved, key=moved.get) == "shell"
    assert 24 < plain < 28  # the model answer of exercise 5 says "about 26"
    assert moved["preheat"] > 2 * moved["cold"]


def test_a_minute_of_open_lid_makes_some_18_minutes_out_of_15():
    shut = scene.egg_day(preheat=60.0).cook
    place = catalogue.place("Nairobi")
    above = sky(place, instants(place, "2026-03-21", "09:00", "15:00", scene.STEP), oktas=0.0)
    handling = replace(shut.handling, lid_openings=(0.0,), opening_seconds=60.0)
    opened = cook(above, shut.oven, shut.pot, shut.food, handling)
    assert round(float(shut.done) / 60) == 15 and round(float(opened.done) / 60) == 18


@pytest.mark.parametrize("oven", scene.OVENS)
def test_brown_beats_white_by_a_minute_or_two_and_no_more(oven):
    assert 0.3 < hard(oven=oven, shell="white") - hard(oven=oven) < 2.6


def test_water_nearly_cancels_in_the_portable_box_loses_in_the_weak_and_may_win_in_the_big():
    def cost(oven):
        return hard(oven=oven, where="in a dark pot with water") - hard(oven=oven)

    assert abs(cost("four-mirror box")) < 3 < cost("cardboard box")
    assert cost("school box") < 0


def test_half_a_litre_of_water_takes_as_much_heat_as_ten_eggs():
    one = 0.060 * (
        (1 - egg.SHELL_SHARE)
        * ((1 - egg.YOLK_SHARE) * egg.WHITE.specific_heat + egg.YOLK_SHARE * egg.YOLK.specific_heat)
        + egg.SHELL_SHARE * egg.SHELL_SPECIFIC_HEAT
    )
    assert 9 < 0.5 * 4186 / one < 12


def test_the_middle_waits_then_stays_at_the_boiling_point_while_it_is_wet_and_glass_and_oven_go_on():
    day = scene.egg_day()
    core, loaded = day.cook.warming.core, int(day.cook.loaded)
    assert core[loaded + 2] - core[loaded] < 2  # four minutes
    boil = float(day.cook.warming.boiling_point)
    hour = round(3600 / scene.STEP)
    assert np.abs(core[loaded + hour : loaded + 2 * hour] - boil).max() < 0.5 and 93 < boil < 95
    assert core[loaded + hour * 3] > boil + 50  # forgotten, and dried out
    assert day.cook.highest_cavity > 170 and 127 < day.cook.highest_glazing < 133
    assert day.cook.verdict().state == "expected"


def test_the_picture_shows_the_half_hour_that_matters_and_the_whole_day_only_when_asked_or_not_hard():
    def last(day, look):
        return scene.picture(day, look).table.iloc[-1, 0]

    day = scene.egg_day()
    assert last(day, 20) == "11:24" and last(day, 240) == "14:20"
    assert last(scene.egg_day(oktas=8.0), 20) == "15:00"


def test_the_setting_share_doubles_every_two_degrees_and_white_is_the_slower_at_any_temperature():
    for c in range(56, 80, 2):
        assert 1.8 < scene.share_per_minute(egg.YOLK, c + 2) / scene.share_per_minute(egg.YOLK, c) < 2.3
    assert all(
        scene.share_per_minute(egg.WHITE, c) < scene.share_per_minute(egg.YOLK, c) for c in range(50, 100)
    )
    assert round(2.3 / scene.share_per_minute(egg.YOLK, 66)) == 15
    assert egg.time_to_set(egg.WHITE, 65.0) > 5 * 3600  # the Waiter's white


def test_under_heavy_cloud_the_yolk_sets_before_the_white_and_under_the_heaviest_nothing_is_hard():
    def cloudy(oktas):
        place = catalogue.place_at(-1.0, 0.0, 0.0, "Etc/UTC")
        return scene.egg_day(place, "2026-03-21", oktas=oktas)

    assert "slow-set" in {egg.STATES[i] for i in cloudy(7.0).setting.state}
    assert math.isfinite(cloudy(7.0).hard) and not math.isfinite(cloudy(8.0).hard)


def test_the_flask_of_the_kitchen_experiment_sets_an_egg_without_boiling():
    water, eggs = 0.75 * 4186, 2 * 200.0  # J/K: three quarters of a litre; an egg as above
    mixed = (water * 85 + eggs * 20) / (water + eggs)
    assert 75 < mixed < 79
    assert egg.time_to_set(egg.WHITE, mixed - 2.0) < 25 * 60  # after the queues, in 45 min


def test_bigger_eggs_lose_less_in_a_dry_oven_than_the_size_table_says():
    assert 1.05 < hard(grams=75.0) / hard(grams=45.0) < (75 / 45) ** (2 / 3)


# --- exercises ---


def test_the_exercises_their_points_and_their_kinds():
    assert checks.points(exercises) == POINTS
    kinds = {"number", "choice", "plan", "explanation", "function", "bug"}
    assert {exercise.kind for exercise in exercises.values()} == kinds
    no_code = [e for e in exercises.values() if e.track == "no-code"]
    assert sum(e.points for e in no_code) == 12 and len(no_code) == 5


def test_minutes_may_be_typed_as_hours_or_with_a_decimal_comma():
    v = variant(exercises["hold"], "ana")
    minutes = exercises["hold"].answer(v)
    text = f"{int(minutes // 60)} h {minutes % 60:.0f} min" if minutes >= 60 else f"{minutes:.1f} min"
    assert check(exercises["hold"], "ana", text).state == "right"
    assert check(exercises["hold"], "ana", str(round(minutes, 1)).replace(".", ",")).state == "right"

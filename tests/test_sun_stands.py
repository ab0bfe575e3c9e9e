"""Lesson 05: its text says what the model gives, its exercises are worth what it says."""

from __future__ import annotations

import math
from pathlib import Path

import numpy as np
import pytest

from solarlab import catalogue, sun
from solarlab.exercises import beside, check, variant
from tests import _lesson_checks as checks

FOLDER = Path(__file__).resolve().parents[1] / "lessons" / "05-where-the-sun-stands"
exercises = checks.EXERCISES["05-where-the-sun-stands"]
benches, scene, stick = exercises.module.benches, exercises.module.scene, exercises.module.stick
code_track = beside(FOLDER / "exercises.py", "code_track")
POINTS = {
    "height": 2.0, "noon": 2.0, "side": 1.0, "rise": 1.0, "aim": 3.0, "top": 2.0, "sky": 3.0, "clock": 2.0,
    "bug": 2.0, "why": 4.0,
}  # fmt: skip
LEARNERS = [f"learner {number}" for number in range(40)]


# --- what the text says ---


def test_nairobi_s_noon_sun_stands_in_the_north_in_june_24_7_degrees_from_overhead_at_12_35():
    day = scene.noon("Nairobi", scene.date_of(6))
    assert scene.noon_side() == "north"
    assert scene.clock(scene.noon_minutes("Nairobi", scene.date_of(6))) == "12:35"
    height, _ = scene.angles(catalogue.place("Nairobi"), day.transit)
    assert 90 - height == pytest.approx(24.7, abs=0.05)


def test_madrid_s_noon_in_july_is_the_sum_of_the_three_corrections():
    place, date = catalogue.place("Madrid"), scene.date_of(7, 1)
    parts = (4 * (15 - place.longitude), -scene.sundial_ahead(date), 60)
    assert [round(part) for part in parts] == [75, 4, 60]
    assert scene.noon_minutes("Madrid", date) - 720 == pytest.approx(sum(parts), abs=0.1)
    assert round(scene.noon_minutes("Madrid", date) - 720) == 139


def test_the_walk_on_the_map_gives_the_noon_sun_of_every_city():
    for city in catalogue.places():
        for month in (3, 6, 9, 12):
            date = scene.date_of(month)
            apart = abs(catalogue.place(city).latitude - scene.sun_latitude(date))
            assert scene.noon(city, date).highest == pytest.approx(90 - apart, abs=0.2)


def test_the_sundial_swings_from_14_minutes_behind_to_16_ahead_and_the_sun_s_latitude_to_23_4():
    # Meeus, Astronomical Algorithms, ch. 28: -14 min 15 s in February, +16 min 25 s in November [memory]
    dates = [scene.date_of(month, day) for month in range(1, 13) for day in range(1, 29)]
    swing = [scene.sundial_ahead(date) for date in dates]
    assert round(min(swing)) == -14 and round(max(swing)) == 16
    assert max(abs(scene.sun_latitude(date)) for date in dates) == pytest.approx(23.44, abs=0.01)


def test_north_of_east_in_june_everywhere_and_due_east_at_the_equinox():
    for city in ("Quito", "Mumbai", "Cairo", "Berlin", "Melbourne", "Lima"):
        place = catalogue.place(city)
        up = {
            month: scene.angles(place, scene.noon(city, scene.date_of(month)).sunrise)[1]
            for month in (3, 6, 12)
        }
        assert up[6] < 90 < up[12] and abs(up[3] - 90) < 2


def test_the_printed_tables_answer_the_exercise_of_the_sunrise_without_a_bench():
    table = scene.rising_table().frame.map(lambda told: float(told.rstrip("°")))
    latitudes = table.iloc[:, 0].to_numpy()
    suns = [float(name.split()[-1].rstrip("°")) for name in table.columns[1:]]
    allowed = exercises["rise"].tolerance[1]
    for who in LEARNERS:
        drawn = variant(exercises["rise"], who)
        over = scene.sun_latitude(drawn["date"])
        latitude = abs(catalogue.place(drawn["city"]).latitude)
        row = [np.interp(latitude, latitudes, table[name]) for name in table.columns[1:]]
        read = 90 - math.copysign(np.interp(abs(over), suns, row), over)
        assert abs(read - exercises["rise"].answer(drawn)) < 0.7 * allowed, drawn
        assert check(exercises["rise"], who, f"{read:.0f}°").state == "right"


def test_every_shadow_of_the_first_exercise_stands_in_the_printed_table():
    for who in LEARNERS:
        drawn = variant(exercises["height"], who)
        assert 0.1 <= drawn["shadow"] / drawn["stick"] <= 4.0


def test_a_noon_told_by_a_clock_of_twelve_hours_is_told_apart_from_a_wrong_one():
    noon = exercises["noon"]
    for who in LEARNERS:
        whole = round(noon.answer(variant(noon, who)))
        if whole >= 780:
            reply = check(noon, who, scene.clock(whole - 720))
            assert (reply.state, reply.note) == ("not yet", "morning-for-afternoon")
            assert check(noon, who, scene.clock(whole - 720) + " pm").state == "right"


def test_a_metre_of_stick_loses_at_most_six_tenths_of_a_degree_by_a_centimetre():
    worst = 0.0
    for height in range(5, 90):
        shadow = 100 / math.tan(math.radians(height))
        misread = math.degrees(math.atan2(100, shadow + 1))
        worst = max(worst, height - misread)
        assert stick.reading_error(100, height) == pytest.approx(height - misread, abs=0.01)
    assert 0.5 < worst <= 0.6


def test_the_clock_of_a_typed_place_is_that_of_the_city():
    for city, ahead in (("Delhi", 5.5), ("Lima", -5), ("Lhasa", 8)):
        place = catalogue.place(city)
        typed = scene.place_with_clock(place.latitude, place.longitude, ahead)
        for month in (3, 6, 10):
            one, other = (sun.sun_times(p, scene.date_of(month)) for p in (place, typed))
            assert (
                abs(
                    scene.noon_minutes(city, scene.date_of(month))
                    - (other.transit.hour * 60 + other.transit.minute + other.transit.second / 60)
                )
                < 0.5
            )
            assert one.highest == pytest.approx(other.highest, abs=0.25)


def test_the_formulas_of_the_code_track_agree_with_the_almanac():
    place, date = catalogue.place("Madrid"), scene.date_of(6)
    for hours in (8.0, 9.0, 12.0, 15.5):
        moment = scene.at_clock(place, date, scene.noon_minutes("Madrid", date) + 60 * (hours - 12))
        formula = code_track.sun_height(place.latitude, scene.sun_latitude(date), hours)
        assert formula == pytest.approx(scene.angles(place, moment)[0], abs=0.1)
    assert round(code_track.sun_height(40.4, 23.4, 9)) == 49
    assert code_track.noon_height(-1.3, 23.4) == pytest.approx(65.3)
    said = code_track.solar_noon(place.longitude, 1, scene.sundial_ahead(scene.date_of(7, 1)), 1)
    assert said == pytest.approx(scene.noon_minutes("Madrid", scene.date_of(7, 1)), abs=0.1)


# --- bench ---


def test_polar_night_and_polar_day_are_told():
    bench = benches.your_sky()
    bench.set(latitude=70.0, longitude=0.0, ahead=0.0, month=12)
    assert "Of your day: 21 December: the sun does not rise." in bench.picture.alt
    bench.set(month=6)
    assert "it does not set" in bench.picture.alt


# --- the plan ---


def test_any_plan_that_works_is_right_and_a_pencil_or_twelve_o_clock_is_not():
    aim = exercises["aim"]
    for who in ("ana", "bruno", "chen", "dina"):
        best = aim.answer(variant(aim, who))
        later = best | {"stick": 100, "tilt": best["tilt"] + 4}
        assert check(aim, who, best).state == check(aim, who, later).state == "right"
        assert check(aim, who, best | {"clock": best["clock"] + 40}).note == "not-at-noon"
        assert check(aim, who, best | {"tilt": best["tilt"] + 20}).note in (
            "tilt-off",
            "elevation-for-zenith",
        )
        assert check(aim, who, best | {"stick": 400}).state == "cannot read"


# --- points ---


def test_the_exercises_their_points_and_their_kinds():
    assert checks.points(exercises) == POINTS
    kinds = {"number", "choice", "plan", "explanation", "function", "bug"}
    assert {exercise.kind for exercise in exercises.values()} == kinds

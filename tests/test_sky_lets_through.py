"""Lesson 06: its text says what the model and the file give, its exercises are worth what it says."""

from __future__ import annotations

import itertools
import math

import numpy as np
import pytest

from solarlab import catalogue, cloud
from solarlab.exercises import check, variant
from solarlab.sky import clear_sky
from solarlab.sun import instants
from tests import _lesson_checks as checks

exercises = checks.EXERCISES["06-what-the-sky-lets-through"]
benches, light, real_year, yard = (
    getattr(exercises.module, name) for name in ("benches", "light", "real_year", "yard")
)
HAZES = (2, 3, 4, 5, 6, 7)  # columns of the table of air
tables, cloudy, code_track = (getattr(exercises.module, name) for name in ("tables", "cloudy", "code_track"))
POINTS = {
    "morning": 2.0, "level": 2.0, "cloud": 2.0, "bright": 1.0, "spread": 2.0, "yard": 3.0, "why": 4.0,
    "beam": 3.0, "light": 3.0, "enough": 2.0, "bug": 2.0,
}  # fmt: skip


def noon(day, oven="four-mirror box"):
    return real_year.midday(real_year.DAYS[day], oven)


# --- the lesson's light is the course's ---


def test_clear_light_with_the_haze_of_a_place_is_the_course_s_clear_sky():
    """Both are Ineichen's; the haze is that of the month here, run between months there."""
    for city in ("Nairobi", "Bamako", "La Paz", "Madrid"):
        place = catalogue.place(city)
        times = instants(place, "2026-03-16", "12:00", "12:05", 300)
        beam, diffuse = (float(part[0]) for part in clear_sky(place, times))
        height = float(exercises.module.yard.clear_day(place, "2026-03-16").elevation[720])
        ours = light.clear_light(height, yard.haze_of(place.latitude, place.longitude, 3), place.elevation)
        assert float(ours[0]) == pytest.approx(beam, rel=0.03)
        assert float(ours[1]) == pytest.approx(diffuse, rel=0.06)


@pytest.mark.parametrize("eighths", [0.0, 3.0, 6.5, 8.0])
def test_level_light_is_beam_times_sine_plus_diffuse_everywhere(eighths):
    for height in (5.0, 30.0, 75.0):
        clear = light.clear_light(height, 4.0)
        beam, diffuse = light.under_cloud(height, *clear, eighths)
        whole = light.sum_up(height, *clear) * float(cloud.global_fraction(eighths))
        assert light.sum_up(height, beam, diffuse) == pytest.approx(whole, abs=1e-9)


def test_the_formula_of_the_code_track_is_pvlib_s_within_two_percent():
    for haze in (3.0, 5.0, 7.0):
        for height in range(22, 76, 6):
            formula = code_track.beam_at(float(height), haze)
            assert formula == pytest.approx(float(light.clear_light(float(height), haze)[0]), rel=0.02)
    assert round(code_track.beam_at(30, 4)) == 656
    assert round(code_track.glass_light(700, 100, 45, 0.21, 2.5)) == 466
    assert code_track.glass_light(400, 400, 45, 0.21, 2.5) == pytest.approx(84)


# --- what the text says of air, haze and shadows ---


def test_half_as_high_is_nine_tenths_of_the_beam_and_a_third_76():
    beams = {height: float(light.clear_light(height, 4.0)[0]) for height in (90, 45, 30, 20, 10)}
    assert [round(beams[height]) for height in (90, 45, 30)] == [859, 769, 657]
    assert beams[45] / beams[90] == pytest.approx(0.9, abs=0.01)
    assert round(100 * beams[30] / beams[90]) == 76
    assert beams[10] < 0.3 * beams[90]
    dusty = {height: float(light.clear_light(height, 7.0)[0]) for height in (90, 45, 30)}
    assert [round(100 * dusty[height] / dusty[90]) for height in (45, 30)] == [80, 58]
    # Kasten & Young (1989): 1.99 at 30°, 5.59 at 10°, 10.3 at 5° [lib]
    assert [round(float(light.air_mass(height)), 1) for height in (90, 30, 10, 5)] == [1.0, 2.0, 5.6, 10.3]


def test_haze_from_2_to_7_takes_half_the_beam_a_quarter_of_the_level_light_a_third_of_four_mirrors():
    few, much = (light.clear_light(tables.HEIGHT, haze) for haze in (2.0, 7.0))
    assert 0.42 < 1 - much[0] / few[0] < 0.5 and much[1] > 3 * few[1]
    assert 0.2 < 1 - light.sum_up(tables.HEIGHT, *much) / light.sum_up(tables.HEIGHT, *few) < 0.28
    lost = 1 - light.watts("four-mirror box", 45, *much) / light.watts("four-mirror box", 45, *few)
    assert 0.3 < lost < 0.38


def test_the_strongest_beams_of_the_list_are_la_paz_s_and_lhasa_s_with_a_third_less_air():
    places = {city: catalogue.place(city) for city in catalogue.places()}
    for date in ("2026-03-21", "2026-07-21", "2026-11-21"):
        most = {city: clear_sky(p, instants(p, date, step=900))[0].max() for city, p in places.items()}
        assert set(sorted(most, key=most.get)[-2:]) == {"La Paz", "Lhasa"}
    assert 0.33 < 1 - float(light.station_pressure(3640.0)) / 101_325 < 0.37


def test_the_words_for_shadows_are_those_of_the_course_s_own_bounds():
    """The beam fractions of `cloud.SHADOWS` are two thirds and a fifth of the level light, near enough."""
    up, (beam, diffuse) = math.sin(math.radians(45)), light.clear_light(45.0, 3.0)
    of_beam, of_level = tables.published()
    for edge, share in ((0.75, light.CRISP), (0.15, light.SOFT)):
        whole = (beam * up + diffuse) * np.interp(edge, of_beam, of_level)
        assert beam * edge * up / whole == pytest.approx(share, abs=0.09)
    assert [light.shadow_word(share) for share in (0.9, 0.5, 0.1)] == ["crisp", "soft", "none"]
    low = light.clear_light(12.0, 4.0)
    assert light.shadow_word(1 - float(low[1]) / light.sum_up(12.0, *low)) == "soft"  # clear, below 15°
    for height, word in ((45.0, "soft"), (50.0, "crisp")):  # thick dust, no cloud
        dusty = light.clear_light(height, 7.0)
        assert light.shadow_word(1 - float(dusty[1]) / light.sum_up(height, *dusty)) == word


def test_the_sixth_and_the_seventh_eighth_hurt_the_beam_most():
    lost = -np.diff(cloud.beam_fraction(np.arange(9.0)))
    assert set(np.argsort(lost)[-2:] + 1) == {6, 7}


def test_a_reading_that_asks_more_of_the_sun_than_it_has_is_said_to_be_impossible():
    assert "not possible" in light.from_a_reading(20, 800, 20).alt
    assert "not possible" not in light.from_a_reading(50, 800, 20).alt


# --- what the text says of the year ---


def test_half_the_light_on_the_meter_is_a_seventh_in_the_mirrored_box():
    assert round(noon("4 March").level) == 781 and round(noon("30 March").level) == 398
    assert round(real_year.level_percent()) == 51 and round(real_year.percent_of_clear()) == 14
    assert noon("30 March").beam < 2 and abs(noon("30 March").air - noon("4 March").air) < 1
    assert noon("30 March").settles < noon("30 March", "bare box").settles


def test_the_cool_clear_day_beats_the_hot_hazy_one_with_mirrors_and_draws_without():
    cool, hot = noon("4 March"), noon("27 June")
    assert real_year.hotter_day() == "the cool day" and cool.settles - hot.settles > 20
    assert round(hot.level) == 882 and hot.level > cool.level and hot.beam < cool.beam
    assert (round(cool.air), round(hot.air)) == (9, 31) and round(hot.air - cool.air) == 22
    assert abs(noon("4 March", "bare box").settles - noon("27 June", "bare box").settles) < 5


def test_five_tenths_is_a_spread_and_not_fifty_percent():
    year, beams = real_year.hours(), real_year.beams(5)
    assert round(100 * float(year.of_level[year.tenths == 5].mean())) == 88
    assert round(100 * float(beams.mean())) == 70
    assert [round(100 * float(edge)) for edge in np.quantile(beams, [0.1, 0.9])] == [37, 98]
    assert 44 < real_year.chance(5, 75) < 50  # "as likely as not three quarters of the beam"
    closed = year.tenths == 10
    assert round(100 * float(year.of_level[closed].mean())) == 46
    assert float(cloud.global_fraction(8.0)) == 0.25 and round(100 * float(cloud.global_fraction(4.0))) == 93


def test_about_four_days_in_ten_are_for_mirrors_and_one_in_four_for_the_stove():
    table = real_year.month_table().frame.set_index("month").astype(int)
    good, dull = table["four hours of strong beam"], table["four hours of as good as none"]
    assert 0.36 < good.sum() / 365 < 0.42 and 0.22 < dull.sum() / 365 < 0.29
    assert good.min() > 0 and dull.min() > 0 and (table.drop(columns="days").sum(axis=1) == table.days).all()


# --- benches and exercises ---


def test_a_yard_without_sun_says_so_and_a_free_one_loses_nothing():
    bench = benches.your_yard()
    bench.set(latitude=60.0, longitude=0.0, ahead=0.0, month=12, south=30.0, east=40.0, west=40.0)
    assert bench.picture.alt.startswith("No sun reaches this yard that day.")
    bench.set(latitude=0.0, month=3, north=0.0, east=0.0, south=0.0, west=0.0)
    assert "0 % of the day's beam is lost" in bench.picture.alt and "100 % of the sky" in bench.picture.alt


def test_any_plan_within_ten_minutes_is_right_and_the_bench_tells_the_times():
    exercise = exercises["yard"]
    for who in ("ana", "bruno", "chen"):
        mine = variant(exercise, who)
        best = exercise.answer(mine)
        assert check(exercise, who, best | {"from": best["from"] + 9, "until": best["until"] - 9}).points == 3
        assert check(exercise, who, best | {"from": best["from"] + 40}).note == "times-off"
        place = catalogue.place(mine["city"])
        noon_there = instants(place, mine["date"], "12:00", "12:05", 300).local[0]
        shown = yard.yard(
            place.latitude, place.longitude, noon_there.utcoffset().total_seconds() / 3600,
            int(mine["date"][5:7]), *yard.heights_of(mine),
        )  # fmt: skip
        first, last = (60 * int(clock[:2]) + int(clock[3:]) for clock in shown.alt[9:23].split(" to "))
        assert abs(first - best["from"]) <= 6 and abs(last - best["until"]) <= 6


def test_the_table_of_the_low_sun_answers_the_yard_without_a_bench():
    exercise, module = exercises["yard"], exercises.module.yard
    for who in range(30):
        mine = variant(exercise, f"learner {who}")
        line = module.around(*module.heights_of(mine))
        read = [
            (int(clock[:2]) * 60 + int(clock[3:]), float(azimuth[:-1]), float(height[:-1]))
            for clock, azimuth, height in module.low_sun(mine).frame.itertuples(index=False)
        ]
        above = [(clock, height - float(line.height_at(azimuth))) for clock, azimuth, height in read]
        crossings = [
            a + (b - a) * under / (under - over)
            for (a, under), (b, over) in itertools.pairwise(above)
            if under * over < 0
        ]
        assert len(crossings) == 2, mine
        plan = {"from": crossings[0], "until": crossings[1], "do": mine["right"]}
        assert check(exercise, f"learner {who}", plan).state == "right", mine
        assert max(heights := module.heights_of(mine)) + 6 < module.LOW, heights


def test_the_bars_as_a_table_answer_the_exercise_of_the_spread_without_a_bench():
    frame = real_year.bars_table().frame
    starts = [int(told.split()[0]) for told in frame["beam"]]
    for who in range(60):
        mine = variant(exercises["spread"], f"learner {who}")
        bars = frame[f"{mine['tenths']} tenths"].astype(float)
        summed = sum(bar for start, bar in zip(starts, bars, strict=True) if start >= mine["least"])
        assert check(exercises["spread"], f"learner {who}", summed).state == "right", mine


def test_the_table_of_air_answers_the_exercise_of_the_morning_without_a_bench():
    frame = tables.air_table().frame.iloc[::-1]
    heights = [float(told.rstrip("°")) for told in frame["height of the sun"]]
    for who in range(60):
        mine = variant(exercises["morning"], f"learner {who}")
        columns = [frame[f"beam, haze {haze}"].astype(float) for haze in HAZES]
        beams = [np.interp(mine["twice"], heights, column) for column in columns]
        read = np.interp(mine["haze"], HAZES, beams)
        assert check(exercises["morning"], f"learner {who}", f"{read:.0f}").state == "right", mine


def test_no_two_letters_of_the_white_sky_say_nearly_the_same():
    for who in range(60):
        mine = variant(exercises["bright"], f"learner {who}")
        nothing, right, *rest = sorted(float(mine[letter].split()[1]) for letter in "abcd")
        assert nothing == 0 and rest[0] > 1.5 * right and rest[1] > 1.12 * rest[0]


def test_a_hand_test_under_a_white_sky_gives_four_mirrors_no_more_than_a_bare_glass():
    white = light.from_a_reading(50, 400, 100)
    assert "Beam 0 W/m²" in white.alt and "Shadow: none" in white.alt
    bare, four = (light.watts(oven, 50, 0.0, 400.0) for oven in light.OVENS)
    assert four < 1.15 * bare


def test_the_exercises_their_points_and_their_kinds():
    assert checks.points(exercises) == POINTS
    kinds = {"number", "choice", "plan", "explanation", "function", "bug"}
    assert {exercise.kind for exercise in exercises.values()} == kinds

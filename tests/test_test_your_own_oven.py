"""Lesson 09: its text says what logs and model give, its exercises are worth what it says."""

from __future__ import annotations

import math
import re

import numpy as np
import pytest

from solarlab import trial
from solarlab.exercises import variant
from tests import _lesson_checks as checks
from tests import _logs

exercises = checks.EXERCISES["09-test-your-own-oven"]
module = exercises.module
scene, twins, paper, modelled, points = (
    module.scene, module.twins, module.paper, module.modelled, module.points,
)  # fmt: skip
POINTS = {
    "watts": 2.0, "scaled": 2.0, "line": 3.0, "clock": 1.0, "merit": 1.0, "best": 1.0, "gap": 2.0,
    "overlap": 1.0, "day": 3.0, "why": 4.0, "standard": 3.0, "fifty": 3.0, "gaps": 2.0,
}  # fmt: skip


# --- what the text says of the invented logs ---


def test_a_sixth_of_the_light_goes_into_the_water():
    light = 700.0 * scene.area()
    assert scene.area() == 0.375 and light == pytest.approx(262, abs=1)
    assert light / scene.value() == pytest.approx(6.0, abs=0.3)


def test_the_invented_box_has_the_true_power_that_the_text_says_and_the_three_days_hold_it():
    oven, where, runs = scene.invented()
    generator, truth = np.random.default_rng(0), {"loss": _logs.LOSS, "light": _logs.LIGHT}
    logs = [
        _logs.day(generator, oven, where, f"2026-02-{date}", runs[0].pot, scene.WATER, cool=cool,
                  noise=_logs.NONE, **truth).log(plane="sun")
        for date, cool in ((10, 24.0), (11, 25.5), (13, 23.0))
    ]  # fmt: skip
    true = trial.standard_power(logs, where, oven, scene.WATER).at_50.value
    assert round(true, 1) == 42.8
    found = scene.power().at_50
    assert found.low < true < found.high
    assert (round(found.value, 1), round(found.low, 1), round(found.high, 1)) == (42.5, 40.3, 44.7)
    assert (scene.power().points, round(scene.power().r_squared, 2)) == (30, 0.6)
    for day in range(3):
        assert scene.power((day,)).at_50.low < true < scene.power((day,)).at_50.high


def test_an_interval_is_off_by_about_six_watts_and_a_third_of_a_kelvin_makes_that():
    found = scene.power()
    kept = found.intervals[found.intervals["reason"] == ""]
    off = kept["standard_power"] - (found.intercept + found.slope * kept["difference"])
    assert off.std() == pytest.approx(6.0, abs=1.0)
    watts = module.into_water(scene.WATER, math.hypot(0.3, 0.3)) * 700.0 / kept["irradiance"].mean()
    assert watts == pytest.approx(6.0, abs=1.0)


def test_counting_every_interval_makes_a_good_oven_look_bad_and_the_line_can_be_read_at_zero():
    assert scene.at_rise(scene.power().intervals, 0.0).value == pytest.approx(scene.power().intercept)
    all_of_them = scene.chosen((0, 1, 2), scene.WHOLE, True, scene.WATER)
    assert scene.at_rise(all_of_them[all_of_them["counts"]], 50.0).value < 0.5 * scene.value()
    at = scene.interval_table().frame.set_index("from").loc["13:10"]
    assert float(at["power (W)"]) < 0 and float(at["light (W/m²)"]) > 900


def test_the_fit_finds_what_the_invented_box_was_made_with():
    found = scene.fitted()
    assert found.light.low < _logs.LIGHT < found.light.high and found.loss.low < _logs.LOSS < found.loss.high
    assert 0.85 < found.light.value < 0.93 and 1.35 < found.loss.value < 1.5


# --- without a logger ---


def test_whole_degrees_and_a_ruler_come_out_where_the_logger_does():
    (value, doubt), fit, logger = (
        paper.by_hand(paper.example()),
        paper.example().at_50,
        scene.power((1,)).at_50,
    )
    assert value == pytest.approx(logger.value, abs=1.5) == fit.value
    assert fit.high - fit.low > logger.high - logger.low and 3 < doubt < 7


def test_two_heaps_and_a_ruler_hold_the_truth_about_as_often_as_they_say():
    """Ten intervals on both sides of 50 K; 95 % is meant, and a rule of thumb may miss some."""
    luck, rises, held = np.random.default_rng(1), np.linspace(30.0, 64.0, 10), 0
    for _ in range(400):
        value, doubt = paper.two_heaps(rises, 80.0 - 0.7 * rises + luck.normal(0.0, 5.0, rises.size))
        held += abs(value - 45.0) <= doubt
    assert 0.86 < held / 400 < 0.97


def test_a_clear_sky_s_light_is_within_five_percent_of_the_sensor():
    log = scene.invented()[2][1].log
    for hour in (10, 11, 12, 13):
        seen = log.irradiance[log.times.local.hour == hour].mean()
        assert paper.clear_light("Bamako", "2026-02-11", f"{hour}:00") == pytest.approx(seen, rel=0.05)


MINE = {"place": "Bamako", "date": "2026-02-11", "water": 2.6, "area": 0.375, "unit": "°C"}


def test_the_paper_table_is_shown_as_it_is_summed():
    shown = paper.example_table().frame
    assert tuple(shown.iloc[0]) == ("09:40", "34 °C (93 °F)", "24 °C (75 °F)", "780") and len(shown) == 20


@pytest.mark.parametrize("unit", ["°C", "°F"])
def test_a_learner_s_own_table_is_summed_in_either_unit_and_with_holes(unit):
    degrees = (lambda t: round(t * 1.8 + 32, 1)) if unit == "°F" else float
    turned = [(at, degrees(water), degrees(air), light) for at, water, air, light in paper.example_rows()]
    assert "42.9 W" in paper.own(MINE | {"unit": unit, "rows": turned})
    turned[9] = (turned[9][0], None, *turned[9][2:])
    assert "intervals: 8" in paper.own(MINE | {"unit": unit, "rows": turned})


def test_blanks_and_slips_in_a_learner_s_table_get_a_sentence():
    empty, rows = dict.fromkeys(MINE, ...) | {"rows": []}, paper.example_rows()
    assert paper.own(empty).startswith("Nothing to sum yet: fill in place, date, water, area")
    assert "fill in rows" in paper.own(MINE | {"rows": []})
    assert "Four readings" in paper.own(MINE | {"rows": rows[:3]})
    slips = {
        "there is no place": MINE | {"place": "Atlantis", "rows": rows},
        "needs four parts": MINE | {"rows": [("9:40", 34, 24)] * 5},
        "clock time such as": MINE | {"rows": [("early", 34, 24, 800)] * 5},
        "clock must go on": MINE | {"rows": [("9:40", 34, 24, 800)] * 5},
        "intercept area is -1": MINE | {"area": -1, "rows": rows},
        "number is wanted": MINE | {"water": "two", "rows": rows},
        "no reading of the light": MINE | {"rows": [(*row[:3], None) for row in rows]},
    }
    for told, slip in slips.items():
        assert re.match(f"This table can't be summed yet.*({told})", paper.own(slip), re.I), told


# --- two ovens ---


def test_ranges_that_overlap_and_a_difference_that_keeps_clear_of_zero():
    gap = trial.compare(*(twins.stated(*report) for report in twins.REPORTS)).difference
    assert (round(gap.low, 1), round(gap.high, 1)) == (0.6, 13.4)
    assert (
        gap.high - gap.value == pytest.approx(math.hypot(5.0, 4.0)) and twins.bet_answer() == twins.MAY_SAY[0]
    )


def share(gap, days, how, verdict, tries=300):
    """How many of 100 tests of two boxes end so, at the bench's first scatter and luck of days."""
    found = 0
    for throw in range(tries):
        first, second = twins.tested(gap, days, 5, 3, how == twins.TOGETHER, throw + 100)
        apart = (trial.regress(table).at_50 for table in (first, second))
        told = twins.day_by_day(first, second) if how == twins.TOGETHER else trial.compare(*apart)
        found += verdict(told)
    return 100.0 * found / tries


def test_one_day_each_names_a_false_winner_in_29_of_100_and_three_days_in_6():
    named = [share(0, days, twins.APART, lambda told: told.answer != "cannot tell") for days in (1, 3)]
    assert named == pytest.approx([29, 6], abs=1)


def test_side_by_side_sees_a_true_difference_far_oftener_and_holds_it_in_its_range():
    seen = [
        share(6, 6, how, lambda told: told.answer == "first", 60) for how in (twins.APART, twins.TOGETHER)
    ]
    assert seen[1] > 90 > seen[0] + 10
    assert share(6, 6, twins.TOGETHER, lambda told: told.difference.low <= 6 <= told.difference.high, 60) > 88


# --- hot is not strong ---


def test_the_school_box_gets_as_hot_as_the_bare_box_and_is_nine_times_as_strong():
    hot = [modelled.merit(name).stagnation for name in ("bare box", "school box")]
    watts = {name: modelled.power(name).at_50.value for name in modelled.OVENS}
    assert abs(hot[0] - hot[1]) < 10
    assert watts["school box"] / watts["bare box"] == pytest.approx(9, abs=0.7)
    coolest = sorted(modelled.OVENS, key=lambda name: modelled.merit(name).stagnation)[:2]
    assert "four-mirror box" in coolest and sorted(watts, key=watts.get)[-2] == "four-mirror box"


def test_the_ruler_s_line_earns_the_points_and_the_fast_line_is_the_regression_s():
    for who in range(100):
        fine = points.counted(variant(exercises["line"], f"learner {who}"))
        exact = points.fitted(fine)
        value, _ = paper.two_heaps(*zip(*fine, strict=True))
        assert value == pytest.approx(exact, rel=exercises["line"].tolerance[0])
        assert exact == pytest.approx(np.polyval(np.polyfit(*zip(*fine, strict=True), 1), 50.0))


def test_the_exercises_their_points_and_their_kinds():
    assert checks.points(exercises) == POINTS
    kinds = {"number", "choice", "plan", "explanation", "function", "bug"}
    assert {exercise.kind for exercise in exercises.values()} == kinds

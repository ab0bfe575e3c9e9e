"""What nobody has told: food with a past, a log that begins late, readings in the wrong unit."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from solarlab import Handling, cook, food, instants, oven, place, pot, sky
from solarlab.safety import RULES, appendix_a, cautions, judge, reading

TIMES = np.arange(0.0, 10 * 3600.0, 300.0)
STEEL, BOX = pot("dark enamelled steel"), oven("four-mirror box")
COAST = place("Mombasa")
DAY = instants(COAST, "2026-02-10", start="07:00", end="18:00")
HANDLING = Handling(loaded="09:00", reaim_every=30.0)


def rise(minutes_to_60, top=90.0, start=5.0):
    """A path that passes 60 °C after so many minutes, straight, up to ``top``."""
    return np.minimum(start + (60.0 - start) * TIMES / (60.0 * minutes_to_60), top)


def told(result):
    return {notice.name for notice in result.warnings}


@pytest.fixture(scope="module")
def clear():
    return sky(COAST, DAY, oktas=0)


# --- food with a past ---


@pytest.mark.parametrize("key", ["poultry", "ground_meat", "whole_cut", "fish"])
def test_raw_meat_out_of_the_cold_gets_no_verdict_until_somebody_says_for_how_long(key):
    """Chilled flesh needs most of an hour to warm to 20 °C: so it has stood, and nobody says how long."""
    cold, warm = rise(60.0, start=8.0), rise(60.0, start=20.0)
    assert judge([key], TIMES, cold).verdict().state == "expected"
    verdict = judge([key], TIMES, warm).verdict()
    assert (verdict.state, verdict.rule.key) == ("no verdict", "standing")
    assert judge([key], TIMES, warm, standing_minutes=45.0).verdict().state == "expected"
    assert judge([key], TIMES, warm, standing_minutes=90.0).verdict().state == "too slow"


@given(st.sampled_from(sorted(RULES)), st.floats(40.1, 99.0))
def test_no_perishable_food_that_comes_in_heated_is_expected(key, start):
    rule = RULES[key]
    if rule.kind in ("target", "boil") and rule.clocks:
        verdict = judge([key], TIMES, np.maximum(rise(30.0, 100.0), start)).verdict()
        assert verdict.state != "expected"


def test_a_warm_kitchen_is_no_past():
    """Rice, roots, soup and eggs are kept in the kitchen, and dough is warm: a hot shade has no say."""
    for key in ("starch_held_warm", "bean", "egg", "reheated", "bread"):
        assert judge([key], TIMES, rise(60.0, start=35.0)).verdict().state == "expected"
    assert judge(["bread"], TIMES, rise(60.0, start=45.0)).verdict().state == "expected"


def test_the_wait_for_an_instant_is_not_somebody_saying_how_long_it_stood(clear):
    warm = replace(food("chicken pieces"), initial_temperature=22.0)
    for loaded in ("09:00", "08:57"):
        result = cook(clear, BOX, None, warm, replace(HANDLING, loaded=loaded))
        assert result.verdict().state == "no verdict"
        assert "stood" in told(result)
    said = cook(clear, BOX, None, warm, replace(HANDLING, standing=30.0))
    assert said.verdict().state == "expected"
    assert "stood" not in told(said)


def test_a_shade_that_was_hot_before_loading_counts_double():
    """36 °C until it goes in at 16:00, 30 °C from then on: the two-hour rule asks how hot it was *before*."""
    air = np.where(np.arange(DAY.shape[-1]) * DAY.step < 9 * 3600.0, 36.0, 30.0)
    under = sky(COAST, DAY, oktas=0, air_temperature=air)
    fish = cook(under, BOX, None, food("fish"), Handling("16:00", standing=70.0))
    assert fish.judgement.clocks["standing"] == pytest.approx(140 * 60.0)
    later = cook(under, BOX, None, food("fish"), Handling("17:30", standing=70.0))
    assert later.judgement.clocks["standing"] == pytest.approx(70 * 60.0)


def test_frozen_beside_a_thawed_batch_is_refused_alone():
    path = np.stack([rise(60.0), rise(60.0, start=-18.0)])
    judged = judge(["poultry"], TIMES, path)
    assert [judged.verdict(i).state for i in (0, 1)] == ["expected", "refuse"]


# --- logs ---


def test_a_log_that_begins_late_hides_its_first_hours():
    with pytest.raises(ValueError, match="begins after loading"):
        judge(["poultry"], TIMES + 3 * 3600.0, rise(60.0))


def test_a_surface_colder_than_the_middle_does_not_delay_the_clock():
    slow = rise(150.0)
    assert judge(["poultry"], TIMES, slow, surface=slow - 20.0).verdict().state == "too slow"


@given(st.integers(2, 119))
def test_cutting_a_log_short_never_makes_it_expected(last):
    """A log's end is no reason for a better verdict than the whole day gets."""
    paths = np.stack([rise(90.0), rise(130.0), rise(250.0), np.minimum(rise(60.0), 70.0)])
    whole = judge(["poultry"], TIMES, paths).state
    part = judge(["poultry"], TIMES[:last], paths[:, :last]).state
    assert np.all((part != 0) | (whole == 0))


@pytest.mark.parametrize(
    ("slip", "words"),
    [
        ({"standing_temperature": np.nan}, "standing_temperature is nan"),
        ({"boiling_point": 373.15}, "boiling_point is 373.15 °C"),
        ({"served": np.nan}, "served is nan"),
        ({"dry_at": np.nan}, "dry_at is nan"),
        ({"standing_minutes": "10"}, "standing_minutes is '10'"),
        ({"waited_minutes": -1.0}, "waited_minutes is -1"),
        ({"form": "soup"}, "form is 'soup'"),
    ],
)
def test_a_slip_of_the_pen_is_one_sentence(slip, words):
    with pytest.raises(ValueError, match=words) as caught:
        judge(["poultry"], TIMES, rise(60.0), **slip)
    assert "\n" not in str(caught.value)


def test_no_rules_are_one_sentence_and_one_rule_needs_no_list():
    with pytest.raises(ValueError, match="at least one safety rule"):
        judge(None, TIMES, rise(60.0))
    assert judge(RULES["poultry"], TIMES, rise(60.0)).verdict().state == "expected"
    assert "soft_egg" in {each.key for each in cautions("egg")}


# --- beans ---


def test_beans_that_were_not_boiled_are_refused_at_every_height_and_without_water():
    """Beans at 80 °C are up to five times as toxic as raw ones (US FDA, Bad Bug Book [seen, second-hand])."""
    warm = rise(60.0, 80.0)
    for boils in (100.0, 93.0, 86.0):
        verdict = judge(["kidney_bean"], TIMES, warm, boiling_point=boils).verdict()
        assert (verdict.state, verdict.rule.key) == ("refuse", "kidney_bean")
    assert judge(["kidney_bean"], TIMES, warm, dry_at=3600.0).verdict().state == "refuse"
    assert judge(["kidney_bean"], TIMES, warm, dry_at=-np.inf).verdict().state == "refuse"


def test_unsoaked_kin_of_kidney_beans_are_never_expected(clear):
    """The published half hour is for beans soaked five hours and more (US FDA, Bad Bug Book [seen, copy])."""
    boil = rise(60.0, 100.0)
    judged = judge(["kidney_bean"], TIMES, boil, soaked=np.array([True, False]))
    assert [judged.verdict(i).state for i in (0, 1)] == ["expected", "no verdict"]
    for name, state in (("black beans, soaked", "expected"), ("black beans, unsoaked", "no verdict")):
        assert cook(clear, BOX, STEEL, food(name), HANDLING).verdict().state == state
    assert cook(clear, BOX, STEEL, food("lentils"), HANDLING).verdict().state == "expected"


# --- readings ---


@pytest.mark.parametrize("shown", [104.0, 140.0, 145.0, 150.0])
def test_a_reading_in_fahrenheit_taken_for_celsius_is_never_safe(shown):
    """145 °F is 63 °C.  The coldest point of a food is not hotter than its water boils."""
    for key in ("poultry", "egg", "water"):
        with pytest.raises(ValueError, match="is it in °F"):
            reading(shown, [key], 10.0)
    assert reading(shown, ["poultry"], 10.0, unit="°F").state == "not yet"


def test_what_no_food_can_show_depends_on_the_height():
    assert reading(96.0, ["poultry"], 10.0).state == "safe"
    with pytest.raises(ValueError, match=r"water boils at 87 °C \(189 °F\)"):
        reading(96.0, ["poultry"], 10.0, boiling_point=87.0)


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        ({"temperature": None}, "one number from a thermometer"),
        ({"temperature": np.inf}, "missing or infinite"),
        ({"minutes_in_zone": None}, "minutes_in_zone"),
        ({"minutes_in_zone": "5"}, "minutes_in_zone"),
        ({"minutes_in_zone": [5.0, 6.0]}, "minutes_in_zone is one number"),
        ({"boiling_point": 212.0}, "Is it in °F"),
    ],
)
def test_more_bad_readings_are_one_clear_sentence(arguments, words):
    given_ = {"temperature": 80.0, "rules": ["poultry"], "minutes_in_zone": 10.0} | arguments
    with pytest.raises(ValueError, match=words) as caught:
        reading(**given_)
    assert "\n" not in str(caught.value)


def test_few_decades_are_not_met_by_nothing():
    cold = np.full(TIMES.shape, 20.0)
    assert not appendix_a(TIMES, cold, 1.0).any()
    with pytest.raises(ValueError, match=r"decades is 0\.3"):
        appendix_a(TIMES, cold, 0.3)


# --- what a cook says besides ---


def test_little_to_spare_cooling_and_wind_are_said(clear):
    late = cook(clear, oven("bare box"), STEEL, food("soup"), Handling("14:30", reaim_every=30.0))
    assert late.verdict().state == "expected"
    cooled = cook(clear, BOX, STEEL, food("rice"), Handling("16:30", reaim_every=30.0))
    long = instants(COAST, "2026-02-10", start="07:00", end="23:00")
    evening = cook(sky(COAST, long, oktas=0), BOX, STEEL, food("soup"), Handling("15:00"))
    assert np.isfinite(evening.judgement.eat_by) and "cools" in told(evening)
    assert np.isfinite(cooled.judgement.eat_by) == ("cools" in told(cooled))
    winds = sky(COAST, DAY, oktas=0, wind_speed=np.array([1.0, 4.0])[:, None])
    result = cook(winds, BOX, None, food("egg"), HANDLING)
    assert [list(n.applies) for n in result.warnings if n.name == "wind"] == [[False, True]]


def test_an_expected_verdict_near_the_two_hours_is_said_to_be_near(clear):
    """Thickening cloud takes the come-up to two hours; the last of the expected ones are told."""
    under = sky(COAST, DAY, oktas=np.linspace(5.0, 8.0, 25))
    result = cook(under, oven("bare box"), STEEL, food("soup"), HANDLING)
    near = next(n.applies for n in result.warnings if n.name == "little to spare")
    total, expected = result.judgement.clocks["total"], result.judgement.state == 0
    assert near.any()
    np.testing.assert_array_equal(near, expected & (total > 96 * 60.0))


# --- hot enough, but not cooked yet ---


def test_a_dish_that_waits_for_the_sun_half_done_is_on_the_cooling_clock():
    """Lentils at 70 °C at one hour; then cloud, below 60 °C for 3 h; soft only at six hours."""
    path = np.interp(TIMES / 3600.0, [0, 1, 1.2, 1.4, 4.4, 4.6, 6, 10], [20, 72, 65, 50, 50, 65, 99, 90])
    assert judge(["bean"], TIMES, path).verdict().state == "expected"  # eaten when it was hot
    judged = judge(["bean"], TIMES, path, cooked=np.array([3600.0, 6 * 3600.0, np.nan]))
    assert [judged.verdict(i).state for i in range(3)] == ["expected", "too slow", "too slow"]
    verdict = judged.verdict(1)
    assert verdict.rule.key == "cooling"
    falls = np.interp(60.0, [50.0, 65.0], [1.4, 1.2]) * 3600.0
    assert verdict.when == pytest.approx(falls + 2 * 3600.0, abs=90.0)
    longer = np.interp(TIMES / 3600.0, [0, 1, 1.2, 1.4, 6.4, 7, 8, 10], [20, 72, 65, 50, 50, 65, 99, 90])
    assert judge(["bean"], TIMES, longer, cooked=8 * 3600.0).verdict().state == "refuse"


def test_a_cloud_between_hot_and_soft_is_never_expected():
    """Thick cloud once the pulses are hot: soft in the afternoon, after hours lukewarm."""
    for dish in ("black beans, soaked", "black beans, unsoaked"):
        under = sky(COAST, DAY, oktas={"07:00": 1.0, "09:40": 8.0, "15:00": 0.0})
        result = cook(under, BOX, STEEL, replace(food(dish), safety=("bean",)), HANDLING)
        warm = result.warming.coldest
        ready = int(result.loaded) + int(np.ceil(result.judgement.when / DAY.step))
        done = result.warming.times.shape[-1] - 1
        if np.isfinite(result.done):
            done = int(result.loaded) + int(result.done // DAY.step)
        below = np.count_nonzero(warm[ready:done] < 60.0) * DAY.step
        assert np.isfinite(result.judgement.when) and below > 2 * 3600.0
        assert result.verdict().state in ("too slow", "refuse")

"""Safety rules against the authorities' numbers."""

from __future__ import annotations

import numpy as np
import pytest

from solarlab.safety import CHICKEN_SALMONELLA, RULES, appendix_a, fahrenheit, judge, log_reduction

# USDA FSIS safe minimum internal temperatures, °F [poultry seen; rest memory]
MINIMUM = {"poultry": 165, "ground_meat": 160, "whole_cut": 145, "reheated": 165, "fish": 145, "egg": 160}


@pytest.mark.parametrize("key", MINIMUM)
def test_minimum_internal_temperatures(key):
    assert fahrenheit(RULES[key].temperature) == pytest.approx(MINIMUM[key], abs=0.1)


def test_whole_cuts_rest_three_minutes():
    assert RULES["whole_cut"].minutes == 3.0  # USDA FSIS [memory]


def held(fahrenheit_degrees, minutes):
    times = np.linspace(0.0, 60.0 * minutes, 30)
    return times, np.full(times.shape, (fahrenheit_degrees - 32.0) / 1.8)


@pytest.mark.parametrize(("degrees", "minutes"), [(136, 81.4), (140, 35.0), (144, 16.6)])
def test_appendix_a_rows_give_seven_decades(degrees, minutes):
    """FSIS Appendix A, chicken, 12 % fat, 7-log [seen, a copy]; D₆₀ 5.1 min, z 6.4 K fitted to the rows."""
    assert log_reduction(CHICKEN_SALMONELLA, *held(degrees, minutes))[-1] == pytest.approx(7.0, abs=0.4)
    assert appendix_a(*held(degrees, minutes))[-1]
    assert not appendix_a(*held(degrees, 0.8 * minutes))[-1]


def test_165_fahrenheit_passes_at_once():
    times, values = held(165.1, 0.1)
    assert appendix_a(times, values)[0]


def test_below_the_lowest_row_never_passes():
    assert not appendix_a(*held(135.0, 24 * 60))[-1]


@pytest.mark.parametrize(("celsius", "clock_runs"), [(4.9, False), (5.1, True), (59.0, True)])
def test_danger_zone(celsius, clock_runs):
    """WHO Five Keys: 5 to 60 °C [seen]; FDA Food Code: 41 to 135 °F, 5 to 57 °C [seen]: the wider is kept."""
    times = np.arange(0.0, 3601.0, 300.0)
    judged = judge(["poultry"], times, np.full(times.shape, celsius))
    assert (judged.clocks["come_up"] > 0) == clock_runs


def test_water_is_pasteurised_at_65_for_6_minutes():
    """Solar water pasteurisation [seen]; only where it is mixed or read at the bottom."""
    times = np.arange(0.0, 1801.0, 60.0)
    at_65 = np.full(times.shape, 65.0)
    stirred = judge(["water"], times, at_65, form="liquid", mixed=True)
    assert stirred.verdict().state == "expected"
    assert stirred.when == pytest.approx(360.0)
    assert judge(["water"], times, at_65, form="liquid").verdict().state != "expected"
    assert judge(["water"], times, at_65 + 5.0, form="liquid").verdict().state == "expected"


def test_rules_of_item_23_are_refusals():
    """Low-acid canning: 121 °C under pressure [seen]; lectin: a full boil of 30 min (FDA [memory])."""
    assert RULES["canning"].kind == "refusal"
    assert "121" in RULES["canning"].text
    assert (RULES["kidney_bean"].kind, RULES["kidney_bean"].minutes) == ("boil", 30.0)

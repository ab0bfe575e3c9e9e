"""Doneness: integrals exact on straight segments, hotter never later, bread without a rule of its own."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from solarlab.catalogue import food
from solarlab.doneness import RULES, CookValue, EggSet, Hold, Reach, Reaction, Rule, cook_value, done, rule
from solarlab.food import body
from tests._bath import in_bath

CORE = [key for key, each in RULES.items() if each.reads == "core"]
TIMES = np.arange(0.0, 8 * 3600.0, 300.0)


def made(*needs):
    return Rule("test", "", needs, "", "")


def test_cook_value_of_a_held_temperature():
    minutes = cook_value(TIMES, np.full(TIMES.shape, 100.0))
    np.testing.assert_allclose(minutes, TIMES / 60.0)
    np.testing.assert_allclose(cook_value(TIMES, np.full(TIMES.shape, 67.0)), TIMES / 600.0)


def test_cook_value_of_a_straight_rise_is_exact():
    """The integral of 10^((T - 100)/33) along a straight line [closed form]; 5 min or 5 s alike."""
    for step in (300.0, 5.0):
        t = np.arange(0.0, 3601.0, step)
        slope = 80.0 / 3600.0
        a = np.log(10) / 33.0 * slope
        expected = 10 ** (-80.0 / 33.0) * np.expm1(a * 3600.0) / a / 60.0
        assert cook_value(t, 20.0 + slope * t)[-1] == pytest.approx(expected, rel=1e-9)


@pytest.mark.parametrize("key", CORE)
def test_five_minute_samples_are_enough(key):
    fine = np.arange(0.0, 8 * 3600.0, 5.0)
    path = 20.0 + 79.9 * (1.0 - np.exp(-fine / 3000.0))
    exact = done(key, fine, path)[0]
    coarse = done(key, fine[::60], path[::60])[0]
    assert coarse == pytest.approx(exact, rel=0.01)


@pytest.mark.parametrize("key", CORE)
def test_progress_rises_to_one_when_done(key):
    path = 20.0 + 79.9 * (1.0 - np.exp(-TIMES / 3000.0))
    when, progress = done(key, TIMES, path)
    assert progress[0] == 0.0
    assert np.all(np.diff(progress) >= 0.0)
    assert np.all(progress[when <= TIMES] == 1.0)
    assert np.all(progress[when > TIMES] < 1.0)


@pytest.mark.parametrize("key", CORE)
def test_a_cold_dish_is_never_done(key):
    when, progress = done(key, TIMES, np.full(TIMES.shape, 40.0))
    assert np.isnan(when)
    assert progress[-1] < 1.0


@given(st.sampled_from(CORE), st.floats(500.0, 20000.0), st.floats(60.0, 99.0), st.floats(0.0, 15.0))
def test_hotter_is_never_later(key, lag, top, more):
    path = 20.0 + (top - 20.0) * (1.0 - np.exp(-TIMES / lag))
    hotter = path + more * (1.0 - np.exp(-TIMES / lag))
    first, second = done(key, TIMES, path)[0], done(key, TIMES, hotter)[0]
    if np.isfinite(first):
        assert second <= first + 1e-6


def test_many_are_as_one():
    paths = 20.0 + np.array([[60.0], [70.0], [79.0]]) * (1.0 - np.exp(-TIMES / 3000.0))
    for key in CORE:
        together, progress = done(key, TIMES, paths)
        for i in range(3):
            alone = done(key, TIMES, paths[i])
            np.testing.assert_allclose(together[i], alone[0], rtol=1e-12)
            np.testing.assert_allclose(progress[i], alone[1], rtol=1e-12)


def test_times_of_each_scenario_may_differ():
    shifted = TIMES + np.array([[0.0], [600.0]])
    when = done("fish", shifted, np.broadcast_to(20.0 + TIMES / 300.0, (2, TIMES.size)))[0]
    assert np.diff(when)[0] == pytest.approx(600.0)


def test_a_hold_counts_only_the_time_above():
    saw = np.where(np.arange(TIMES.size) % 2 == 0, 60.0, 80.0)  # above 70 half of the time
    when, progress = done(made(Hold(70.0, 30.0)), TIMES, saw)
    assert when == pytest.approx(3600.0, abs=300.0)
    assert progress[4] == pytest.approx(600.0 / 1800.0)
    falling = np.linspace(100.0, 50.0, TIMES.size)
    assert np.isnan(done(made(Hold(99.9, 60.0)), TIMES, falling)[0])


@pytest.mark.parametrize(("start", "slope"), [(60.0, 0.02), (90.0, -0.002)])
def test_a_hold_ends_inside_its_segment(start, slope):
    path = start + slope * TIMES
    need = Hold(70.0, 7.0)
    begins = max((70.0 - start) / slope, 0.0) if slope > 0 else 0.0
    assert done(made(need), TIMES, path)[0] == pytest.approx(begins + 420.0)


def test_all_needs_must_be_met():
    path = np.minimum(20.0 + TIMES / 60.0, 90.0)
    both = done(made(Reach(80.0), CookValue(10.0)), TIMES, path)[0]
    assert both == max(done(made(need), TIMES, path)[0] for need in (Reach(80.0), CookValue(10.0)))
    assert np.isnan(done(made(Reach(95.0), CookValue(10.0)), TIMES, path)[0])


def test_a_reaction_at_one_temperature():
    """1 - exp(-k t): 63.2 % after 1/k."""
    need = Reaction(1.0 - np.exp(-1.0), np.exp(10.0) / 1000.0, 8.314462618 * 363.15 * 10.0)
    assert done(made(need), TIMES, np.full(TIMES.shape, 90.0))[0] == pytest.approx(1000.0, rel=1e-6)


def test_boiling_is_lower_up_high():
    path = np.minimum(20.0 + TIMES / 60.0, 92.0)
    assert np.isnan(done("boil", TIMES, path)[0])
    assert done("boil", TIMES, path, boiling_point=np.array([92.0, 100.0]))[0][0] > 0


def test_bread_bakes_at_a_lower_temperature_for_longer():
    """A loaf whose crust is held at 100, 92 and 85 °C: later and cooler in the middle, by the same rule."""
    times = np.arange(0.0, 3 * 3600.0, 300.0)
    loaf = body(food("loaf"))
    whens, cores = [], []
    for crust in (100.0, 92.0, 85.0):
        core = in_bath(loaf, crust, 30.0, times)[:, 0]
        whens.append(float(done("bread", times, core)[0]))
        cores.append(np.interp(whens[-1], times, core))
    assert whens == sorted(whens)
    assert cores == sorted(cores, reverse=True)
    assert cores[-1] < 84.0 < 90.0 < cores[0]
    assert np.isnan(done("bread", times, in_bath(loaf, 60.0, 30.0, times)[:, 0])[0])


def test_no_egg_is_judged_by_a_cook_value():
    for each in RULES.values():
        kinds = {type(need) for need in each.needs}
        assert not {EggSet, CookValue} <= kinds
        assert each.key.startswith("egg") == (kinds == {EggSet})


def test_every_rule_says_its_source_and_mark():
    for key, each in RULES.items():
        assert each.key == key
        assert each.text.endswith(".")
        assert each.source
        assert each.mark in ("seen", "lib", "memory")
        with pytest.raises(AttributeError):
            each.mark = "seen"


def test_bad_questions_are_one_clear_sentence():
    flat = np.full(TIMES.shape, 50.0)
    with pytest.raises(ValueError, match="did you mean 'egg_hard'"):
        rule("egg hrd")
    with pytest.raises(ValueError, match="give body="):
        done("egg_hard", TIMES, flat)
    with pytest.raises(ValueError, match="share their last axis"):
        done("rice", TIMES[:-1], flat)
    with pytest.raises(ValueError, match=r"gap \(NaN\)"):
        done("rice", TIMES, np.where(TIMES == 600.0, np.nan, flat))
    with pytest.raises(ValueError, match="rise from sample to sample"):
        done("rice", TIMES[::-1], flat)
    for z in (0.0, -10.0, np.nan):
        with pytest.raises(ValueError, match=f"z is {z:g} K"):
            cook_value(TIMES, flat, z=z)


def test_a_rule_of_your_own_works():
    own = replace(rule("soup"), key="own soup", needs=(CookValue(1.0),))
    assert done(own, TIMES, np.full(TIMES.shape, 100.0))[0] == pytest.approx(60.0)

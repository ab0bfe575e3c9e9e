"""Eggs: kinetics, states and their limits."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from solarlab import egg
from solarlab.catalogue import food
from solarlab.doneness import done
from solarlab.food import body
from tests._bath import in_bath

EGG = body(food("egg"))
TIMES = np.arange(0.0, 3601.0, 20.0)


@pytest.fixture(scope="module")
def dry():
    """A dry egg in air: slow enough for five-minute samples."""
    return in_bath(EGG, 120.0, 20.0, TIMES)


@pytest.fixture(scope="module")
def boiled():
    return in_bath(EGG, 100.0, 1500.0, TIMES[:46])


def test_nothing_sets_in_the_cold_and_everything_in_long_heat():
    for part in (egg.WHITE, egg.YOLK):
        assert egg.set_fraction(part, TIMES, np.full(TIMES.shape, 30.0))[-1] < 1e-5
        assert egg.set_fraction(part, TIMES, np.full(TIMES.shape, 95.0))[-1] == pytest.approx(1.0)


@given(st.floats(55.0, 90.0), st.floats(0.05, 0.95))
def test_set_fraction_agrees_with_time_to_set(celsius, fraction):
    seconds = egg.time_to_set(egg.YOLK, celsius, fraction)
    times = np.linspace(0.0, float(seconds), 5)
    assert egg.set_fraction(egg.YOLK, times, np.full(5, celsius))[-1] == pytest.approx(fraction, rel=1e-6)


def test_what_has_set_stays_set(dry):
    cooling = np.concatenate([dry, np.linspace(dry[-1], 20.0, 40)[1:]])
    times = np.arange(len(cooling)) * 20.0
    x = egg.setting(EGG, times, cooling).shells
    assert np.all(np.diff(x, axis=0) >= 0.0)
    assert np.all((x >= 0.0) & (x <= 1.0))


def test_the_states_follow_one_another(boiled):
    """From the boil: raw, soft, runny, jammy, hard, at kitchen times (common practice, no source)."""
    found = egg.setting(EGG, TIMES[:46], boiled)
    order = [egg.STATES[i] for i in found.state[np.flatnonzero(np.diff(found.state, prepend=-1))]]
    assert order == ["raw", "soft", "runny", "jammy", "hard"]
    times = TIMES[:46]
    at = {state: float(done(f"egg_{state}", times, boiled, body=EGG)[0]) / 60.0 for state in order[2:]}
    assert 4.0 < at["runny"] < 7.0 < at["hard"]
    assert at["runny"] < at["jammy"] < 8.0
    assert 9.0 < at["hard"] < 13.0


def test_a_long_mild_heat_sets_the_yolk_before_the_white():
    times = np.arange(0.0, 2 * 3600.0, 300.0)
    mild = np.broadcast_to(np.minimum(20.0 + times / 60.0, 67.0)[:, None], (times.size, EGG.shells))
    found = egg.setting(EGG, times, mild)
    assert egg.STATES[int(found.state[-1])] == "slow-set"
    assert found.white[-1] < 0.9 < found.yolk[-1]


def test_an_egg_is_hard_from_outside_in(dry):
    found = egg.setting(EGG, TIMES, dry)
    assert np.all(found.centre <= found.yolk + 1e-9)
    whens = [float(done(f"egg_{state}", TIMES, dry, body=EGG)[0]) for state in ("runny", "jammy", "hard")]
    assert whens == sorted(whens)


def test_five_minute_samples_time_a_dry_egg(dry):
    for state in ("runny", "jammy", "hard"):
        fine = done(f"egg_{state}", TIMES, dry, body=EGG)[0]
        coarse = done(f"egg_{state}", TIMES[::15], dry[::15], body=EGG)[0]
        assert coarse == pytest.approx(float(fine), rel=0.02)


def test_means_weigh_white_and_yolk_alone():
    x = egg.setting(EGG, TIMES[:2], np.full((2, EGG.shells), 95.0))
    assert x.white[-1] == pytest.approx(1.0, abs=1e-6)
    uneven = np.where(EGG.shell_material == 0, 20.0, 95.0)
    half = egg.setting(EGG, TIMES[:2], np.broadcast_to(uneven, (2, EGG.shells)))
    assert half.yolk[-1] < 1e-6
    assert half.white[-1] == pytest.approx(1.0, abs=1e-6)


def test_many_eggs_are_as_one(dry):
    both = egg.setting(EGG, np.stack([TIMES, TIMES]), np.stack([dry, dry + 1.0]))
    alone = egg.setting(EGG, TIMES, dry)
    np.testing.assert_allclose(both.centre[0], alone.centre, rtol=1e-12)
    np.testing.assert_allclose(both.white[0], alone.white, rtol=1e-12)
    assert np.all(both.yolk[1] >= both.yolk[0])


def test_progress_ends_at_one(dry):
    found = egg.setting(EGG, TIMES, dry)
    for target in ("runny", "jammy", "hard"):
        progress = egg.progress(target, found)
        assert progress[0] < 1e-6
        assert progress[-1] == 1.0
        assert np.all(np.diff(progress) >= 0.0)


def test_a_bigger_egg_takes_longer_by_williams():
    times = egg.williams(np.array([0.045, 0.055, 0.075]), 20.0, 100.0, 63.0)
    assert np.all(np.diff(times) > 0)
    assert egg.williams(0.06, 4.0, 100.0) > egg.williams(0.06, 20.0, 100.0)
    assert egg.williams(0.06, 20.0, 90.0) > egg.williams(0.06, 20.0, 100.0)
    with pytest.raises(ValueError, match="start < boundary < water"):
        egg.williams(0.06, 20.0, 60.0)


def test_pores_lose_a_few_thousandths_of_open_water():
    """Ar et al. 1974 [memory]: 60 g loses about 10.5 mg a day for each torr."""
    assert 0.001 < egg.shell_wetness(0.06) < 0.01


def test_sphere_of_equal_volume():
    white, yolk = egg.volumes(0.06)
    assert 4 / 3 * np.pi * egg.equivalent_radius(0.06) ** 3 == pytest.approx(white + yolk)
    assert 0.022 < egg.equivalent_radius(0.06) < 0.025


def test_bad_eggs_are_one_clear_sentence():
    with pytest.raises(ValueError, match="runny, jammy or hard"):
        egg.progress("medium", egg.setting(EGG, TIMES[:2], np.full((2, EGG.shells), 20.0)))
    with pytest.raises(ValueError, match="yolk inside white"):
        egg.setting(EGG, TIMES, np.full(TIMES.shape, 20.0))
    with pytest.raises(ValueError, match="yolk inside white"):
        egg.setting(body(food("potatoes")), TIMES[:2], np.full((2, 24), 20.0))
    for slip, words in (
        ({"temperature": -300.0}, "temperature is -300 °C"),
        ({"temperature": np.nan}, "temperature is nan"),
        ({"fraction": 1.0}, "fraction is 1"),
    ):
        with pytest.raises(ValueError, match=words):
            egg.time_to_set(egg.YOLK, **{"temperature": 70.0} | slip)
    with pytest.raises(ValueError, match=r"mass is -0\.06 kg"):
        egg.williams(-0.06, 4.0, 100.0)
    with pytest.raises(ValueError, match="start < boundary < water"):
        egg.williams(0.06, 4.0, np.nan)

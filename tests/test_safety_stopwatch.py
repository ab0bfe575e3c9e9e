"""The verdicts against a stopwatch: ten seconds after ten seconds, by none of the package's tools."""

from __future__ import annotations

import numpy as np
import pytest

from solarlab.safety import RULES, STATES, judge

STEP = 10.0  # s of the stopwatch
TWO, FOUR = 2 * 3600.0, 4 * 3600.0


def stopwatch(key, seconds, coldest, surface, standing, shade, cooked):
    """State of one cook, and how near [s] a clock came to one of its limits."""
    rule = RULES[key]
    started = hot = ready = None
    held = come_up = lost = cooling = 0.0
    clock = np.arange(0.0, seconds[-1] + STEP / 2, STEP)
    inside, outside = np.interp(clock, seconds, coldest), np.interp(clock, seconds, surface)
    for now, warm, skin in zip(clock, inside, np.maximum(inside, outside), strict=True):
        started = now if started is None and skin >= 5.0 else started
        hot = now if hot is None and warm >= 60.0 else hot
        if ready is None:
            come_up += STEP if started is not None and hot is None else 0.0
            lost += STEP if hot is not None and warm < 60.0 else 0.0
            held += STEP if warm >= rule.temperature else 0.0
            if warm >= rule.temperature and held >= 60.0 * rule.minutes:
                ready = now
        elif now <= cooked:
            cooling += STEP if warm < 60.0 else 0.0
    waited = 60.0 * standing * (2.0 if shade > 32.0 else 1.0)
    total = waited + come_up + lost
    cool_enough = 10.0 if key in ("poultry", "whole_cut", "fish") else 40.0
    worst = max(total, cooling)
    told = ["expected"]
    if coldest[0] >= 60.0 or (standing == 0.0 and coldest[0] > cool_enough):
        told.append("no verdict")
    if ready is None:
        told.append("no verdict" if clock[-1] < TWO else "too slow")
    if worst > TWO:
        told.append("too slow")
    if coldest[0] < -1.0 or worst > FOUR:
        told.append("refuse")
    state = max(told, key=STATES.index)
    near = min(abs(each - limit) for each in (total, cooling) for limit in (TWO, FOUR))
    return state, min(near, abs(clock[-1] - TWO))


def day(generator):
    """A crooked day of a food: corners every half hour or so, often up, sometimes through a cloud."""
    hours = np.cumsum(np.r_[0.0, generator.uniform(0.2, 0.8, generator.integers(3, 16))])
    often = np.array([1, 6, 3, 5, 2, 2, 1]) / 20.0
    start = generator.choice([-5.0, 3.0, 9.0, 20.0, 35.0, 45.0, 65.0], p=often)
    steps = generator.choice([25.0, 12.0, 2.0, -18.0], size=hours.size - 1, p=[0.35, 0.3, 0.15, 0.2])
    steps = steps + generator.uniform(-5.0, 5.0, steps.size)
    return 3600.0 * hours, np.clip(np.cumsum(np.r_[start, steps]), -5.0, 98.0)


@pytest.mark.parametrize("key", ["poultry", "fish", "whole_cut", "egg", "reheated", "bean"])
def test_verdicts_are_those_of_a_stopwatch(key):
    generator = np.random.default_rng(sum(map(ord, key)))
    seen = dict.fromkeys(STATES, 0)
    for _ in range(150):
        seconds, coldest = day(generator)
        surface = coldest + generator.uniform(0.0, 20.0, coldest.size) * (np.arange(coldest.size) > 0)
        standing = float(generator.choice([0.0, 0.0, 20.0, 70.0, 130.0]))
        shade = float(generator.choice([25.0, 36.0]))
        cooked = float(generator.choice([0.0, 0.6, 1.0]) * seconds[-1])
        wanted, near = stopwatch(key, seconds, coldest, surface, standing, shade, cooked)
        judged = judge(
            [key], seconds, coldest, surface=surface, standing_minutes=standing,
            standing_temperature=shade, cooked=cooked,
        )  # fmt: skip
        if near > 60.0:  # a stopwatch of ten seconds is not sharper than that after many starts and stops
            assert judged.verdict().state == wanted, (seconds, coldest, standing, shade, cooked)
            seen[wanted] += 1
    assert min(seen.values()) >= 3, seen

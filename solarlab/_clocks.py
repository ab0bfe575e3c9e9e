"""The clocks of food safety on a food's coldest point: standing, come-up, loss of sun, cooling."""

from __future__ import annotations

import numpy as np

from ._rates import first_crossing

COLD, HOT = 5.0, 60.0  # °C: between them bacteria grow (WHO Five Keys)
SLOW, TOO_LATE = 2 * 3600.0, 4 * 3600.0  # s
WARM_SHADE = 32.0  # °C (90 °F): above it an hour's standing counts as two


def time_below(seconds, values, level, begin, finish):
    """Running seconds (..., T) below ``level`` from ``begin`` to ``finish`` (...,), on straight segments."""
    low, high = values[..., :-1], values[..., 1:]
    first, last = seconds[..., :-1], seconds[..., 1:]
    slope = np.where(high == low, 1.0, high - low)
    cross = first + np.clip((level - low) / slope, 0.0, 1.0) * (last - first)
    start = np.where(low < level, first, np.where(high < level, cross, last))
    stop = np.where(high < level, last, np.where(low < level, cross, first))
    inside = np.minimum(stop, finish[..., None]) - np.maximum(start, begin[..., None])
    total = np.zeros(values.shape)
    np.cumsum(np.clip(inside, 0.0, None), axis=-1, out=total[..., 1:])
    return total


def clocks_of(targets, seconds, coldest, outer, standing, shade, ready):
    """Clocks [s] (...,) by name, and their running sum (..., T)."""
    runs = {name for target in targets for name in target.clocks}
    clocks = {}
    clocks["standing"] = standing * 60.0 * np.where(shade > WARM_SHADE, 2.0, 1.0) * ("standing" in runs)
    end = seconds[..., -1]
    start = np.maximum(np.nan_to_num(first_crossing(seconds, outer, COLD), nan=np.inf), 0.0)
    hot = np.nan_to_num(first_crossing(seconds, coldest, HOT), nan=np.inf)
    clocks["come_up"] = np.clip(np.minimum(hot, end) - start, 0.0, None) * ("come_up" in runs)
    until = np.where(np.isnan(ready), end, ready)
    lost = time_below(seconds, coldest, HOT, hot, until) * ("loss_of_sun" in runs)
    clocks["loss_of_sun"] = lost[..., -1]
    risen = np.clip(seconds - start[..., None], 0.0, clocks["come_up"][..., None])
    running = clocks["standing"][..., None] + risen + lost
    clocks["total"] = running[..., -1]
    return clocks, running

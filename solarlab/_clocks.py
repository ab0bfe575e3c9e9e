"""The clocks of food safety: standing, come-up, loss of sun, cooling.

All run on a food's coldest point, but come-up starts when its outside leaves the cold.
"""

from __future__ import annotations

import numpy as np

from ._rates import first_crossing

COLD, HOT = 5.0, 60.0  # °C: between them bacteria grow (WHO Five Keys)
SLOW, TOO_LATE = 2 * 3600.0, 4 * 3600.0  # s
WARM_SHADE = 32.0  # °C (90 °F): above it an hour's standing counts as two


class TimeBelow:
    """Seconds spent below ``level``, exact for ``values`` (..., T) that are straight between samples."""

    def __init__(self, seconds, values, level):
        self.seconds, self.depth = seconds, level - values
        size, wet = np.abs(self.depth), np.maximum(self.depth, 0.0)
        share = (wet[..., 1:] + wet[..., :-1]) / np.maximum(size[..., 1:] + size[..., :-1], 1e-300)
        self.total = np.zeros(values.shape)
        np.cumsum(share * np.diff(seconds, axis=-1), axis=-1, out=self.total[..., 1:])

    def until(self, instant):
        """Seconds below the level from the first sample to ``instant`` (...,), between samples too."""
        instant = np.clip(instant, self.seconds[..., 0], self.seconds[..., -1])
        index = np.sum(self.seconds <= instant[..., None], axis=-1, keepdims=True)
        index = np.clip(index - 1, 0, self.seconds.shape[-1] - 2)
        first, last, a, b, before = (
            np.take_along_axis(array, at, axis=-1)[..., 0]
            for array, at in (
                (self.seconds, index),
                (self.seconds, index + 1),
                (self.depth, index),
                (self.depth, index + 1),
                (self.total, index),
            )
        )
        c = a + (b - a) * (instant - first) / (last - first)
        share = (np.maximum(a, 0.0) + np.maximum(c, 0.0)) / np.maximum(np.abs(a) + np.abs(c), 1e-300)
        return before + share * (instant - first)

    def between(self, begin, finish):
        """Seconds (...,) below the level from ``begin`` to ``finish`` (...,); 0 where finish comes first."""
        return np.maximum(self.until(finish) - self.until(begin), 0.0)


def clocks_of(targets, seconds, coldest, outer, standing, shade, ready, finish):
    """Clocks [s] (...,) by name, and two functions: when their sum passes a limit [s], nan if never; and the
    cooling clock at another instant than ``finish``.
    """
    runs = {name for target in targets for name in target.clocks}
    waited = standing * 60.0 * np.where(shade > WARM_SHADE, 2.0, 1.0) * ("standing" in runs)
    end = seconds[..., -1]
    start = np.maximum(np.nan_to_num(first_crossing(seconds, outer, COLD), nan=np.inf), 0.0)
    hot = np.nan_to_num(first_crossing(seconds, coldest, HOT), nan=np.inf)
    risen = np.maximum(np.minimum(hot, end) - start, 0.0) * ("come_up" in runs)
    cool = TimeBelow(seconds, coldest, HOT)
    lost = cool.between(hot, np.where(np.isnan(ready), end, ready)) * ("loss_of_sun" in runs)

    def cooling_until(instant):
        return np.where(np.isnan(ready), 0.0, cool.between(ready, instant)) * ("cooling" in runs)

    cooling = cooling_until(finish)
    total = waited + risen + lost
    clocks = {"standing": waited, "come_up": risen, "loss_of_sun": lost, "total": total, "cooling": cooling}

    def passes(limit):
        late = total > limit
        at_once = np.where(late, np.maximum(start + limit - waited, 0.0), np.nan)
        after = late & (waited + risen <= limit)  # it runs out in the shade, after 60 °C was passed
        if not np.any(after):
            return at_once
        target = (limit - waited - risen + cool.until(hot))[after]
        at_once[after] = first_crossing(seconds[after], cool.total[after] - target[:, None], 0.0)
        return at_once

    return clocks, passes, cooling_until

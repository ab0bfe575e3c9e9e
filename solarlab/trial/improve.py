"""What to improve first: one change at a time to an oven or its handling, and the minutes it would save."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pandas as pd

from .._limits import both_units, fahrenheit, within
from .._rates import first_crossing
from ..catalogue import Handling, Oven, Pot, food, portion
from ..food import body
from ..heat import warm
from ..oven import gain
from ..sky import Sky
from ..water import boiling_point
from .fit import Fit, nothing_to_tell

HOT = 90.0  # °C, or 5 K below the boil if that is lower: what the water is timed to
DRAWS = 24  # of a fitted oven's doubt
# What a careful hand reaches; our own estimates, no source.
CLEAN, BRIGHT, BLACK, TIGHT, SHELTER = 0.02, 0.90, 0.95, 0.25, 0.3


def _changes(oven: Oven, pot: Pot, handling: Handling):
    """(what to do, what it changes in oven, pot, handling; the wind's factor) for all that apply."""
    sheets = {"glazing_sheets": 2, "glazing_gap": max(float(np.mean(oven.glazing_gap)), 0.015)}
    slow = handling.reaim_every is None or np.max(handling.reaim_every) > 15.0
    clean = np.minimum(oven.dust, CLEAN)
    rows = [
        ("wipe and true glass and mirrors", np.max(oven.dust) > CLEAN, {"dust": clean}, {}, {}, 1.0),
        ("brighter mirrors", bool(oven.reflectors) and np.max(oven.reflectance) < BRIGHT,
         {"reflectance": np.maximum(oven.reflectance, BRIGHT)}, {}, {}, 1.0),
        ("twice the insulation", True, {"wall_conductance": 0.5 * np.asarray(oven.wall_conductance)}, {}, {},
         1.0),
        ("a tighter seal", True, {"air_leakage": np.asarray(oven.air_leakage) * TIGHT}, {}, {}, 1.0),
        ("a second glass", oven.glazing_sheets == 1, sheets, {}, {}, 1.0),
        ("blacken the tray", np.max(oven.tray_absorptance) < BLACK - 0.03,
         {"tray_absorptance": np.maximum(oven.tray_absorptance, BLACK)}, {}, {}, 1.0),
        ("a dark pot", np.max(pot.absorptance) < BLACK - 0.05,
         {}, {"absorptance": 0.92, "emittance": 0.9, "transmittance": 0.0}, {}, 1.0),
        ("a lid on the pot", np.max(pot.lid_leakage) > 0.1, {}, {"lid_leakage": 0.03}, {}, 1.0),
        ("aim every 15 minutes", slow, {}, {}, {"reaim_every": 15.0}, 1.0),
        ("shelter from the wind", True, {}, {}, {}, SHELTER),
    ]  # fmt: skip
    return [(what, *rest) for what, applies, *rest in rows if applies]


def what_to_improve(
    oven: Oven | Fit, sky: Sky, pot: Pot, water: float, handling: Handling, *, start: float = 20.0,
    progress: Callable[[int, int], None] = nothing_to_tell,
) -> pd.DataFrame:  # fmt: skip
    """Minutes that each change would save on a day under ``sky``, heating ``water`` kg from ``start`` °C.

    The same day, load and handling throughout, one change at a time, the best first: ``minutes_saved`` until
    the water reaches ``attrs["target"]`` °C, ``low`` and ``high`` its 80 % range over a `Fit`'s doubt (or an
    oven's scenarios), ``minutes`` it would then take, ``hottest`` water [°C, °F].  Costs and trouble are not
    weighed.
    """
    within("water", water, 0.01, 1000.0, "kg")
    box = oven.ovens(DRAWS) if isinstance(oven, Fit) else oven
    changes = _changes(box, pot, handling)
    dish = portion(food("water"), mass=water, initial_temperature=start)
    now = np.arange(sky.times.shape[-1]) * sky.times.step

    def heated(box, pot, handling, sky):
        return warm(box, pot, body(dish, pot), gain(box, sky, handling), sky, handling)

    base = heated(box, pot, handling, sky)
    loaded = now[int(np.ravel(base.loaded)[0])]
    boil = float(np.min(boiling_point(sky.pressure)))
    target = min(HOT, boil - 5.0, np.floor(np.percentile(base.liquid.max(axis=-1), 10) - 1.0))
    if target < start + 5.0:
        raise ValueError(
            f"the water hardly warms under this sky (to {target + 1:.0f} °C); choose a better day."
        )

    def minutes(run):
        return (first_crossing(now, run.liquid, target) - loaded) / 60.0

    before = minutes(base)
    rows = []
    for number, (what, of_oven, of_pot, of_handling, wind) in enumerate(changes):
        progress(number + 1, len(changes) + 1)
        run = heated(
            replace(box, **of_oven), replace(pot, **of_pot), replace(handling, **of_handling),
            replace(sky, wind_speed=sky.wind_speed * wind),
        )  # fmt: skip
        after = minutes(run)
        low, middle, high = np.nanpercentile(before - after, [10, 50, 90])
        hottest = float(np.median(run.liquid.max(axis=-1)))
        rows.append(
            {
                "change": what,
                "minutes_saved": middle,
                "low": low,
                "high": high,
                "minutes": float(np.nanmedian(after)),
                "hottest": hottest,
                "hottest_F": float(fahrenheit(hottest)),
            }
        )
    progress(len(changes) + 1, len(changes) + 1)
    table = pd.DataFrame(rows).sort_values("minutes_saved", ascending=False, ignore_index=True)
    table.attrs = {"target": float(target), "minutes": float(np.nanmedian(before))}
    return table


def first_step(table: pd.DataFrame) -> str:
    """The table's lesson in a sentence; "cannot tell" where the best two are not apart."""
    best, next_ = table.iloc[0], table.iloc[1]
    target = both_units(table.attrs["target"])
    if best["high"] <= 0.5:
        return f"None of these changes would bring the water to {target} noticeably sooner."
    told = f"To {target} the water takes {table.attrs['minutes']:.0f} min; first {best['change']}: "
    told += f"{best['minutes_saved']:.0f} min sooner ({best['low']:.0f} to {best['high']:.0f})"
    if best["low"] < next_["high"]:
        told += f"; whether that is better than {next_['change']}, these data cannot tell"
    return told + "."

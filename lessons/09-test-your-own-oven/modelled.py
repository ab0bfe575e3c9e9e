"""Lesson 09, test your own oven: the standard test of an oven in the model, where nothing scatters."""

from __future__ import annotations

import math
from dataclasses import replace
from functools import lru_cache

import numpy as np
import pandas as pd

from solarlab import catalogue, dates, trial
from solarlab.catalogue import Handling, Pot, portion
from solarlab.cook import cook
from solarlab.sky import instants, sky
from solarlab.table import Table
from solarlab.trial import standard as rules
from solarlab.trial.logger import Log

OVENS = ("bare box", "one-mirror box", "four-mirror box", "school box", "cardboard box")
AIR, TAP = 26.0, 24.0  # °C, of the air and of the water at loading
POT_HOLDS = 3.0  # kg of water in one dark enamelled pot, with room below the lid
CLOUD_EVERY, CLOUD_DIMS = 17.0, 0.3  # min between passing clouds, and what they leave of the beam


def clock(minutes: float) -> str:
    """Minutes after midnight as ``"14:18"``, to the nearest minute: a stamp set right has fractions."""
    return dates.clock(round(minutes))


def vessel(water: float) -> Pot:
    """As many dark enamelled pots as hold the water, as one wide pot."""
    one, count = catalogue.pot("dark enamelled steel"), math.ceil(water / POT_HOLDS)
    return replace(one, diameter=one.diameter * math.sqrt(count), mass=one.mass * count)


def test_log(place, date, name, water, loaded, *, wind=0.6, passing=False, step=120.0) -> Log:
    """What a perfect logger would write beside an oven of the catalogue, from loading for eight hours.

    ``loaded`` in minutes after midnight; with ``passing``, a cloud comes every quarter of an hour or so.
    """
    times = instants(place, date, clock(loaded), clock(min(loaded + 480, 1260)), step)
    count = times.shape[-1]
    above = sky(place, times, air_temperature=AIR, wind_speed=wind)
    if passing:
        phase = np.arange(count) * step / 60.0 % CLOUD_EVERY / CLOUD_EVERY
        above = replace(above, beam_normal=above.beam_normal * np.where(phase < 0.6, 1.0, CLOUD_DIMS))
    dish = portion(catalogue.food("water"), mass=water, initial_temperature=TAP)
    handling = Handling(clock(loaded), reaim_every=20.0)
    run = cook(above, catalogue.oven(name), vessel(water), dish, handling).warming
    row = np.ones(count)
    channels = {"water": run.liquid, "cavity": run.cavity, "air": AIR * row}
    light = trial.light_facing(above) * row
    return Log(f"{name}, model", times, channels, {c: (c,) for c in channels}, light, "sun", wind * row)


@lru_cache(maxsize=8)
def power(name: str) -> trial.StandardPower:
    """The standard test of an oven of the catalogue: Bamako, a still clear day of February."""
    oven, where = catalogue.oven(name), catalogue.place("Bamako")
    water = rules.LOADING * trial.intercept_area(oven)
    return trial.standard_power(test_log(where, "2026-02-11", name, water, 600), where, oven, water)


@lru_cache(maxsize=8)
def merit(name: str) -> trial.FiguresOfMerit:
    """F1 and F2 of an oven of the catalogue, its mirrors folded away."""
    return trial.modelled_merit(catalogue.oven(name))


def hottest_table() -> Table:
    """How hot each box gets empty, and how strong it is: two different questions."""
    rows = []
    for name in OVENS:
        found, strong = merit(name), power(name)
        hot = f"{found.stagnation:.0f} °C ({found.stagnation * 1.8 + 32:.0f} °F)"
        merits = f"{found.first:.3f}", f"{found.second:.2f}"
        rows.append((name, hot, *merits, f"{strong.at_50.value:.0f}", f"{strong.per_area.value:.0f}"))
    columns = [
        "oven (model)", "empty, mirrors folded", "F1 (K m²/W)", "F2", "power at 50 K (W)", "per m² (W)",
    ]  # fmt: skip
    return Table(pd.DataFrame(rows, columns=columns), "Hot is not strong")

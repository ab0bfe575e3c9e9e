"""Lesson 07, the dry egg: eggs in an oven, computed by solarlab, and the pictures and tables made of them."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np
import pandas as pd

from solarlab import catalogue, egg, figures
from solarlab.catalogue import Handling, Place
from solarlab.cook import Cook, cook
from solarlab.dates import MONTHS as MONTHS
from solarlab.dates import on_the_day as on_the_day
from solarlab.doneness import done
from solarlab.sky import sky
from solarlab.sun import instants
from solarlab.table import Table

OVEN = "four-mirror box"
STEP = 120.0  # s between the instants of a day
WATER = 0.5  # kg, for four eggs, as in the catalogue
WHERE = {  # where eggs lie: pot, water
    "on the tray": (None, False),
    "in a dark pot with water": ("dark enamelled steel", True),
    "in a dark pot, dry": ("dark enamelled steel", False),
    "in a shiny pot, dry": ("shiny stainless", False),
}


CLEAR_DAYS = (  # where and when the exercises' clear days are
    ("Nairobi", "2026-03-21"),
    ("Madrid", "2026-06-21"),
    ("Cape Town", "2026-01-15"),
    ("Delhi", "2026-04-15"),
    ("Mexico City", "2026-05-15"),
    ("Bamako", "2026-02-15"),
    ("Melbourne", "2026-12-10"),
    ("La Paz", "2026-07-15"),
)
CHANGES = {  # the four changes to bet on
    "shell": {"shell": "white"},
    "water": {"where": "in a dark pot with water"},
    "cold": {"start": 4.0},
    "preheat": {"preheat": 60.0},
}
OVENS = (OVEN, "one-mirror box", "bare box", "school box", "cardboard box")


@dataclass(frozen=True)
class EggDay:
    """One cook of eggs, and how they set.  ``white_set``, ``hard``: minutes after loading, nan if never."""

    cook: Cook
    setting: egg.Setting
    white_set: float
    hard: float

    @property
    def clock(self) -> pd.DatetimeIndex:
        """Local clock of the series."""
        return self.cook.times.local


def eggs_in_oven(
    place: Place,
    date: str,
    *,
    oven=OVEN,
    oktas=0.0,
    shell="brown",
    where="on the tray",
    preheat=0.0,
    loaded="10:00",
    until="15:00",
    grams=60.0,
    start=20.0,
    eggs=4,
    reaim=30.0,
    tilt=None,
    azimuth=None,
    step=STEP,
    keep="series",
) -> Cook:
    """Cook ``eggs`` of ``grams`` each, ``start`` °C cold, put in at ``loaded``; the rest as in `Handling`."""
    pot, wet = WHERE[where]
    food = replace(
        catalogue.food("eggs in water" if wet else "egg"),
        mass=eggs * grams / 1000.0,
        pieces=float(eggs),
        initial_temperature=float(start),
        water=WATER if wet else 0.0,
        absorptance=catalogue.food("egg" if shell == "brown" else "white egg").absorptance,
    )
    out = pd.Timestamp(f"2000-01-01 {loaded}") - pd.Timedelta(minutes=float(preheat))
    times = instants(place, date, out.strftime("%H:%M"), until, step)
    handling = Handling(loaded=loaded, reaim_every=reaim, tilt=tilt, azimuth=azimuth, preheat=float(preheat))
    pot = catalogue.pot(pot) if pot else None
    return cook(sky(place, times, oktas=oktas), catalogue.oven(oven), pot, food, handling, keep=keep)


def egg_day(place: Place | None = None, date: str = "2026-03-21", **kind) -> EggDay:
    """`eggs_in_oven` with their setting; without a place, Nairobi in March."""
    cooked = eggs_in_oven(place or catalogue.place("Nairobi"), date, **kind)
    elapsed = (np.arange(cooked.times.shape[-1]) - cooked.loaded) * cooked.times.step
    shells = cooked.warming.shells
    white = done("egg_runny", elapsed, shells, body=cooked.body)[0]
    setting = egg.setting(cooked.body, elapsed, shells)
    return EggDay(cooked, setting, float(white) / 60.0, float(cooked.done) / 60.0)


def kind_of_oven(name: str) -> str:
    """What sort of oven a name of the catalogue means: ``"double-glazed box with no mirror"``."""
    return catalogue.oven(name).about


@lru_cache(maxsize=4096)
def hard_minutes(place: str, date: str, **kind) -> float:
    """Minutes until eggs are hard to the centre, nan if never; plain keywords as in `eggs_in_oven`."""
    return float(eggs_in_oven(catalogue.place(place), date, keep="outcome", **kind).done) / 60.0


def picture(day: EggDay, look: float = 20.0, title: str = "The egg in the oven"):
    """The egg cut open ``look`` minutes after loading, beside its temperatures and the power.

    Shown until nothing more happens that one would wait for: an hour after it is hard, and after the look.
    """
    warming, clock, loaded = day.cook.warming, day.clock, int(day.cook.loaded)
    at = min(loaded + round(look * 60.0 / day.cook.times.step), len(clock) - 1)
    minutes_shown = max(day.hard + 60.0, look + 20.0) if math.isfinite(day.hard) else math.inf
    end = min(loaded + minutes_shown * 60.0 / day.cook.times.step, len(clock) - 1)
    part = slice(0, int(end) + 1)
    minutes = {"egg goes in": 0.0, "white set": day.white_set, "hard to the centre": day.hard}
    marks = [
        (name, clock[loaded] + pd.Timedelta(minutes=m) if math.isfinite(m) else None)
        for name, m in minutes.items()
    ]
    before = np.arange(len(clock)) < loaded
    mass = np.asarray(day.cook.body.shell_mass)
    radius = egg.equivalent_radius(day.cook.food.mass / day.cook.food.pieces)
    return figures.egg_bench(
        clock[part],
        {
            "oven": warming.cavity[part],
            "shell": np.where(before, np.nan, warming.shells[..., -1])[part],
            "yolk centre": np.where(before, np.nan, warming.core)[part],
        },
        {"sunlight into the oven": day.cook.gain.into_cavity[part]},
        radius * np.cbrt(np.cumsum(mass) / mass.sum()),
        day.setting.shells[at],
        day.setting.is_yolk,
        clock[at],
        marks=marks,
        title=title,
    )


def declination(month: int) -> float:
    """The sun's declination on the 21st [°], near enough to tell on which side noon is (Cooper 1969)."""
    day = pd.Timestamp(2026, month, 21).dayofyear
    return 23.45 * math.sin(math.radians(360.0 * (284 + day) / 365.0))


def one_change_at_a_time() -> Table:
    """What each change does to the minutes, from one plain start."""
    changes = {
        "nothing: brown, dry on the tray, oven from the shade": {},
        "white eggs": CHANGES["shell"],
        "in half a litre of water, dark pot": CHANGES["water"],
        "dry in a dark pot": {"where": "in a dark pot, dry"},
        "dry in a shiny pot": {"where": "in a shiny pot, dry"},
        "from the cold box, 4 °C (39 °F)": CHANGES["cold"],
        "big eggs, 75 g": {"grams": 75.0},
        "thin cloud, 5 eighths": {"oktas": 5.0},
        "oven aimed once, then left": {"reaim": None},
        "oven an hour in the sun before": CHANGES["preheat"],
    }
    rows = []
    for words, kind in changes.items():
        day = egg_day(**kind)
        rows.append((words, f"{day.white_set:.0f}", f"{day.hard:.0f}"))
    columns = ["what is changed", "white set (min)", "hard to the centre (min)"]
    return Table(pd.DataFrame(rows, columns=columns), "One change at a time")


def biggest_change() -> str:
    """Which of `CHANGES` moves the minutes to a hard egg most, either way."""
    plain = egg_day().hard
    return max(CHANGES, key=lambda name: abs(egg_day(**CHANGES[name]).hard - plain))


def share_per_minute(part: egg.EggPart, celsius):
    """Of what is still raw, the share that sets each minute at ``celsius``."""
    return 60.0 * math.log(10.0) / egg.time_to_set(part, celsius, 0.9)


def setting_table(low: int = 56, high: int = 80, every: int = 1) -> Table:
    """How fast yolk and white set, by temperature."""
    rows = [
        (
            f"{c} °C",
            f"{c * 1.8 + 32:.1f} °F",
            *(f"{share_per_minute(part, c):.3g}" for part in (egg.YOLK, egg.WHITE)),
        )
        for c in range(low, high + 1, every)
    ]
    columns = ["held at", "the same", "yolk: share per minute", "white: share per minute"]
    return Table(pd.DataFrame(rows, columns=columns), "How fast an egg sets")


def size_table() -> Table:
    """Mass, width and time of eggs that lie in the same boiling water."""
    rows = []
    for times in (1 / 8, 1 / 4, 1 / 2, 1, 2, 4, 8):
        wide = times ** (1 / 3)
        rows.append((f"{times:g} ×", f"{wide:.2f} ×", f"{wide * wide:.2f} ×"))
    return Table(pd.DataFrame(rows, columns=["as heavy", "as wide", "as long"]), "In the same boiling water")

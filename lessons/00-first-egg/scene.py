"""Lesson 00, the first egg: one egg in an oven and a pot of beans in its twin, computed by solarlab."""

from __future__ import annotations

import math
from functools import lru_cache

import numpy as np
import pandas as pd

from solarlab import catalogue, egg, figures
from solarlab.catalogue import Handling
from solarlab.cook import Cook, cook
from solarlab.dates import on_the_day as on_the_day
from solarlab.doneness import done
from solarlab.sky import sky
from solarlab.sun import instants
from solarlab.table import Table

PLACE, DATE, OVEN = "Bamako", "2026-02-15", "one-mirror box"
BEANS = "black beans, soaked"
LOADED, OUT, UNTIL = "11:00", "10:00", "17:00"  # the clocks of every run: food in, oven out, end
CUT = 30.0  # min after loading, of the bet
STEP = 120.0  # s between the instants of a day
STATES = ("raw", "soft", "hard")  # what may be bet on
DISHES = {  # as people call them: food, pot
    "an egg, dry on the tray": ("egg", None),
    "rice": ("rice", "dark enamelled steel"),
    "lentils": ("lentils", "dark enamelled steel"),
    "black beans, soaked overnight": (BEANS, "dark enamelled steel"),
    "black beans, put in dry": ("black beans, unsoaked", "dark enamelled steel"),
}
CLEAR_DAYS = (  # where and when the exercises' days are clear
    ("Nairobi", "2026-03-21"),
    ("Madrid", "2026-06-21"),
    ("Cape Town", "2026-01-15"),
    ("Delhi", "2026-04-15"),
    ("Mexico City", "2026-05-15"),
    ("Bamako", "2026-02-15"),
    ("Melbourne", "2026-12-10"),
    ("La Paz", "2026-07-15"),
)


def clock(minutes: float) -> str:
    """Minutes after midnight as ``"11:30"``."""
    whole = round(minutes)
    return f"{whole // 60:02d}:{whole % 60:02d}"


@lru_cache(maxsize=256)
def dish_day(dish="egg", pot=None, place=PLACE, date=DATE, oven=OVEN, oktas=0.0, keep="series") -> Cook:
    """One dish on one day: oven in the sun from `OUT`, dish in at `LOADED`, turned to the sun every half
    hour.
    """
    here = catalogue.place(place)
    times = instants(here, date, OUT, UNTIL, STEP)
    return cook(
        sky(here, times, oktas=oktas),
        catalogue.oven(oven),
        catalogue.pot(pot) if pot else None,
        catalogue.food(dish),
        Handling(loaded=LOADED, reaim_every=30.0, preheat=60.0),
        keep=keep,
    )


def minutes_to(dish: str, place: str, date: str, oven: str) -> tuple[float, float]:
    """Minutes after loading until a dish of `DISHES` is cooked, and until its water boils; nan for never."""
    day = dish_day(*DISHES[dish], place, date, oven, keep="outcome")
    return float(day.done) / 60.0, float(day.boiling) / 60.0


def after(day: Cook) -> np.ndarray:
    """Seconds after loading, of every instant."""
    return (np.arange(day.times.shape[-1]) - int(day.loaded)) * day.times.step


def white_set(day: Cook) -> float:
    """Minutes after loading until an egg's white is set, nan for never."""
    return float(done("egg_runny", after(day), day.warming.shells, body=day.body)[0]) / 60.0


def cut_open(day: Cook, minutes: float = CUT) -> str:
    """What one sees in an egg cut open so many minutes after loading: one of `STATES`."""
    if float(day.done) / 60.0 <= minutes:
        return "hard"
    return "soft" if white_set(day) <= minutes else "raw"


def picture(look: float = CUT, oktas: float = 0.0):
    """The egg cut open ``look`` minutes after loading, beside the temperatures of its day."""
    day = dish_day(oktas=float(oktas))
    warming, times = day.warming, day.times.local
    loaded, last = int(day.loaded), int(day.loaded) + round(75 * 60 / day.times.step)
    shown = slice(0, last + 1)
    at = loaded + round(look * 60.0 / day.times.step)
    setting = egg.setting(day.body, after(day), warming.shells)
    mass = np.asarray(day.body.shell_mass)
    radius = egg.equivalent_radius(day.food.mass / day.food.pieces) * np.cbrt(np.cumsum(mass) / mass.sum())
    before = np.arange(len(times)) < loaded
    minutes = {"white set": white_set(day), "hard to the centre": float(day.done) / 60.0}
    marks = [("egg goes in", times[loaded])] + [
        (name, times[loaded] + pd.Timedelta(minutes=m) if math.isfinite(m) and m < 75 else None)
        for name, m in minutes.items()
    ]
    return figures.egg_bench(
        times[shown],
        {
            "oven": warming.cavity[shown],
            "middle of the egg": np.where(before, np.nan, warming.core)[shown],
        },
        {"sunlight into the oven": day.gain.into_cavity[shown]},
        radius,
        setting.shells[at],
        setting.is_yolk,
        times[at],
        marks=marks,
        title="One egg, no water",
    )


def twins():
    """The egg and the beans, put into two ovens of one kind in the same minute."""
    hen, beans = dish_day(), dish_day(*DISHES["black beans, soaked overnight"])
    loaded = int(hen.loaded)
    last = loaded + int(float(beans.done) / hen.times.step) + 12
    shown = slice(loaded, last)
    times = hen.times.local
    return figures.temperatures(
        times[shown],
        {"middle of the egg": hen.warming.core[shown], "middle of the bean pot": beans.warming.core[shown]},
        marks=[("egg hard to the centre", hen.at(hen.done)), ("beans soft", beans.at(beans.done))],
        title="Two ovens of one kind, filled at 11:00",
    )


def when_the_egg_was_hard() -> Table:
    """How far each dish had come in the minute in which the egg was hard, and when it was cooked."""
    at = float(dish_day().done)
    rows = []
    for words, (dish, pot) in DISHES.items():
        day = dish_day(dish, pot)
        warm = float(np.interp(at, after(day), day.warming.core))
        share = min(1.0, float(np.interp(at, after(day), day.progress)))
        rows.append(
            (
                words,
                f"{warm:.0f} °C ({warm * 1.8 + 32:.0f} °F)",
                "hard" if dish == "egg" else f"{100 * share:.0f} %",
                f"{day.at(day.done):%H:%M}" if math.isfinite(float(day.done)) else "not today",
            )
        )
    columns = ["dish, in at 11:00", "warm in the middle", "cooked", "done at"]
    return Table(pd.DataFrame(rows, columns=columns), f"At {dish_day().at(at):%H:%M}, when the egg was hard")

"""Lesson 08, a cooking day: the days of a typical year, cooked one by one, and of a mean cloud elsewhere.

The year is the Greensboro TMY3 of lesson 06, which says where it comes from.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path

import numpy as np
import pandas as pd
import pvlib

from solarlab import catalogue, figures
from solarlab.catalogue import Handling
from solarlab.cook import cook
from solarlab.exercises import beside
from solarlab.plan.chance import Outlook, skies, span
from solarlab.plan.kitchen import clock
from solarlab.sky import Sky, sky
from solarlab.sun import instants
from solarlab.table import Table
from solarlab.weather import Weather, read_weather

scene = beside(__file__, "scene")
FILE = Path(pvlib.__file__).parent / "data" / "723170TYA.CSV"
OVEN = "four-mirror box"
FIRST, LAST, STEP = "07:30", "17:00", 600.0
DRAWN = 60  # days drawn from a month's mean cloud
KILOS = {"thick stew": 1.4, "soup": 1.4, "rice": 1.0, "lentils": 1.05, "chicken pieces": 1.0,
         "whole chicken, chilled": 1.5}  # fmt: skip
MEAL = (("thick stew", 540, 720), ("rice", 720, 780))  # dish, in at, out by: the meal of the first bet


@lru_cache(maxsize=1)
def weather() -> Weather:
    """A year of hours at Greensboro airport, put together of twelve real months."""
    return read_weather(FILE, "America/New_York")


@lru_cache(maxsize=16)
def month_sky(month: int) -> Sky:
    """Every day of a month of that year: arrays (days, T)."""
    held = [str(day)[5:] for day in weather().dates if int(str(day)[5:7]) == month]
    dates = sorted(f"2026-{day}" for day in held if day != "02-29")
    here = weather().place
    return sky(here, instants(here, dates, FIRST, LAST, STEP), weather=weather())


def mean_sky(month: int) -> Sky:
    """The mean day of a month: at each clock time the mean of all its days."""
    days = month_sky(month)
    here, middle = weather().place, instants(weather().place, f"2026-{month:02d}-15", FIRST, LAST, STEP)

    def mean(values):
        return np.broadcast_to(values, (days.times.shape[0], middle.shape[-1])).mean(axis=0)

    names = ("beam_normal", "diffuse_horizontal", "air_temperature", "sky_temperature", "wind_speed",
             "pressure")  # fmt: skip
    return Sky(middle, sky(here, middle).sun_vector, **{name: mean(getattr(days, name)) for name in names})


@dataclass(frozen=True)
class Outcome:
    """A dish on many days: clock minutes when it is ready (``inf``: never) and must be eaten by; verdicts."""

    ready: tuple[float, ...]
    eat_by: tuple[float, ...]
    state: tuple[int, ...]

    def by(self, out: float) -> np.ndarray:
        """Which days it is ready by ``out`` [min after midnight], and still fit to eat then."""
        return (np.array(self.ready) <= out) & (np.array(self.eat_by) >= out)


def cooked(under: Sky, dish: str, loaded: int) -> Outcome:
    """The dish in the four-mirror box, in a preheated oven turned every half hour."""
    hands = Handling(clock(loaded), 30.0, preheat=scene.PREHEAT)
    food = scene.pot_of(dish, KILOS[dish])
    made = cook(under, catalogue.oven(OVEN), catalogue.pot(scene.POT), food, hands, keep="outcome")
    ready, eat_by = (loaded + np.atleast_1d(seconds) / 60.0 for seconds in scene.fit_times(made))
    states = np.atleast_1d(made.judgement.state)
    return Outcome(tuple(ready.tolist()), tuple(eat_by.tolist()), tuple(int(state) for state in states))


@lru_cache(maxsize=512)
def of_month(month: int, dish: str, loaded: int) -> Outcome:
    """The dish on every day of a month."""
    return cooked(month_sky(month), dish, loaded)


@lru_cache(maxsize=512)
def of_mean_day(month: int, dish: str, loaded: int) -> float:
    """Clock minutes at which the dish is ready on the month's mean day; ``inf``: never."""
    return cooked(mean_sky(month), dish, loaded).ready[0]


def both_days(month=4, meal=MEAL) -> int:
    """Days of a month on which all dishes of a meal are ready: the outcome of the first bet."""
    made = [of_month(month, dish, put_in).by(out) for dish, put_in, out in meal]
    return int(np.logical_and.reduce(made).sum())


# --- pictures -----------------------------------------------------------------------------------------------


def strip(found: Outcome, meal: int, title: str, mean=math.nan, axis="day of the month"):
    """Day by day, the clock at which a dish is ready, and the time of the meal."""
    ready, states = np.array(found.ready), np.array(found.state)
    number = np.arange(1, ready.size + 1)
    good, never = found.by(meal), ~np.isfinite(ready)
    late = ~good & ~never
    finite = ready[np.isfinite(ready)]
    top = max(meal, float(np.max(finite, initial=0.0))) / 60.0 + 1.0
    low = max(math.floor(min(meal, float(np.min(finite, initial=meal))) / 60.0 - 0.25), 6)
    figure = figures.blank(9.6, 4.6)
    axes = figure.add_axes((0.115, 0.13, 0.865, 0.68))
    marks = (
        (good, ready, "o", figures.BLUE, "full", "ready by the meal"),
        (late, ready, "o", figures.VERMILLION, "none", "ready too late, or cold again"),
        (never, np.full(ready.size, 60.0 * top), "x", figures.BLACK, "full", "left to the sun: not that day"),
    )
    for which, when, marker, colour, fill, label in marks:
        axes.plot(number[which], when[which] / 60.0, marker=marker, color=colour, fillstyle=fill, label=label,
                  linestyle="none", markersize=9)  # fmt: skip
    lines = [(meal, figures.BLACK, "--", f"meal, {clock(meal)}")]
    if math.isfinite(mean):
        lines.append((mean, figures.GREEN, ":", f"ready on the mean day: {clock(round(mean))}"))
    for at, colour, dashes, label in lines:
        axes.axhline(at / 60.0, color=colour, linewidth=1.8, linestyle=dashes, label=label)
    figures.dress(axes, axis, "ready at (clock)")
    axes.set_ylim(low, top + 0.4)
    hours = np.arange(low, math.ceil(top - 0.5))
    axes.set_yticks([*hours, top], [*(f"{hour}:00" for hour in hours), "never"])
    axes.set_xlim(0.3, ready.size + 0.7)
    figure.legend(loc="upper left", fontsize=10, frameon=False, ncol=3, bbox_to_anchor=(0.105, 1.0))
    lost = int((states == 3).sum())
    alt = (
        f"Of {ready.size} days the dish is ready by {clock(meal)} on {good.sum()}, that is on "
        f"{100.0 * good.mean():.0f} of 100; too late on {late.sum()}, not that day on {never.sum()}. "
        f"Left to the sun alone, it must be thrown away on {lost}."
    )
    if math.isfinite(mean):
        alt += f" On the mean day it is ready at {clock(round(mean))}."
    words = np.where(good, "yes", np.where(late, "too late", "not that day"))
    shown = [clock(round(minute)) if math.isfinite(minute) else "never" for minute in ready]
    table = pd.DataFrame({"day": number, "ready": shown, "by the meal": words})
    return figures.Picture(figure, alt, table, f"{title}: {good.sum()} of {ready.size} days")


def month_picture(month, dish, loaded, meal):
    """The first bench: a month of a real year."""
    name = scene.DISHES[dish]
    mean = of_mean_day(month, name, loaded)
    title = f"Greensboro, {scene.MONTHS[month - 1]}: {dish}"
    return strip(of_month(month, name, loaded), meal, title, mean)


@lru_cache(maxsize=64)
def drawn_sky(latitude: float, month: int, oktas: float) -> Sky:
    """Days drawn from a month's mean cloud, at a place on whose clock noon is noon."""
    here = catalogue.place_at(float(latitude), 0.0, 0.0, "Etc/UTC")
    outlook = Outlook(here, f"2026-{month:02d}-15", mean_oktas=float(oktas))
    return skies(outlook, span(outlook, 7.5, 17.0, STEP), DRAWN, np.random.default_rng(8))


@lru_cache(maxsize=512)
def drawn_noon(latitude: float, month: int, percent: float) -> int:
    """Drawn days on which a stew that went in at 09:00, sun's clock, is ready at noon."""
    return int(cooked(drawn_sky(latitude, month, percent * 8.0 / 100.0), "thick stew", 540).by(720).sum())


def place_picture(latitude, month, percent, dish, loaded, meal):
    """The third bench: any place, from its mean cloud."""
    found = cooked(drawn_sky(latitude, month, percent * 8.0 / 100.0), scene.DISHES[dish], loaded)
    title = f"{scene.MONTHS[month - 1]} at {abs(latitude):g}° {'north' if latitude >= 0 else 'south'}, {dish}"
    return strip(found, meal, title, axis="a drawn day")


def meal_picture(month=4):
    """The first run: the stew of the first bet, day by day, beside the mean day."""
    dish, loaded, out = MEAL[0]
    return strip(of_month(month, dish, loaded), out, f"Greensboro, {scene.MONTHS[month - 1]}: the stew alone",
                 of_mean_day(month, dish, loaded))  # fmt: skip


# --- tables -------------------------------------------------------------------------------------------------


def meal_table(meal=MEAL) -> Table:
    """Month by month: each dish of a meal, both, and what people reckon."""
    rows = []
    for month in range(1, 13):
        done = [of_month(month, dish, put_in).by(out) for dish, put_in, out in meal]
        count = done[0].size
        mean = of_mean_day(month, *meal[0][:2])
        rows.append((
            scene.MONTHS[month - 1], count, *(int(each.sum()) for each in done),
            int(np.logical_and(*done).sum()), f"{count * done[0].mean() * done[1].mean():.0f}",
            "in time" if mean <= meal[0][2] else f"late: {clock(round(mean))}",
        ))  # fmt: skip
    columns = ["month", "days", "stew by 12:00", "rice by 13:00", "both", "multiplied",
               "stew on the mean day"]  # fmt: skip
    return Table(pd.DataFrame(rows, columns=columns), "Greensboro's year: days with lunch")


def start_table(dish="thick stew", month_starts=(540, 600, 660, 720), meal=900) -> Table:
    """The chance by month and start."""
    rows = []
    for month in range(1, 13):
        shares = [of_month(month, dish, start).by(meal).mean() for start in month_starts]
        rows.append((scene.MONTHS[month - 1], *(f"{100.0 * share:.0f}" for share in shares)))
    columns = ["month", *(f"in at {clock(start)}" for start in month_starts)]
    return Table(pd.DataFrame(rows, columns=columns), f"Stew ready by {clock(meal)}, of 100 days, Greensboro")


def seasons() -> tuple[int, int, int]:
    """Of a year: days with both dishes in time, days with the stew refused if left to the sun, all days."""
    both = sum(both_days(month) for month in range(1, 13))
    lost = sum(of_month(month, *MEAL[0][:2]).state.count(3) for month in range(1, 13))
    return both, lost, sum(len(of_month(month, *MEAL[0][:2]).ready) for month in range(1, 13))

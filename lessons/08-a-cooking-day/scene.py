"""Lesson 08, a cooking day: one pot on one day, when it is ready and when the stove must come; tables."""

from __future__ import annotations

import math
from dataclasses import replace
from functools import lru_cache
from typing import NamedTuple

import numpy as np
import pandas as pd

from solarlab import catalogue, doneness, figures, safety
from solarlab.catalogue import Food, Handling
from solarlab.cook import Cook, cook
from solarlab.dates import MONTHS as MONTHS
from solarlab.dates import on_the_day as on_the_day
from solarlab.plan.chance import ready_times
from solarlab.plan.kitchen import clock, minutes_of
from solarlab.sky import sky
from solarlab.sun import instants
from solarlab.table import Table

POT, TIN = "dark enamelled steel", "open tin"
STEP = 300.0  # s between the instants of a day
BEGIN, END = "07:00", "18:00"
PREHEAT = 30.0  # min the empty oven stands in the sun first
FULL = 2.8  # kg that the pot takes without boiling over
SLOW, LATE = (seconds / 60.0 for seconds in (safety.SLOW, safety.TOO_LATE))  # min: two hours, four hours
DISHES = {  # as people call them: name in the catalogue
    "thick stew": "thick stew",
    "vegetable soup": "soup",
    "rice": "rice",
    "lentils": "lentils",
    "chicken pieces from the cold box": "chicken pieces",
    "one whole chicken from the cold box": "whole chicken, chilled",
}
OVENS = ("four-mirror box", "one-mirror box", "bare box", "school box", "cardboard box")
DAYS = {  # where, and the day of its dry season that stands for a clear one
    "Nairobi": "2026-03-21", "Madrid": "2026-09-21", "Greensboro": "2026-04-15", "Delhi": "2026-03-15",
    "Cape Town": "2026-01-15", "Mexico City": "2026-05-15", "Bamako": "2026-02-15", "Melbourne": "2026-12-10",
}  # fmt: skip
TURNS = {"every half hour": 30, "every hour": 60, "every two hours": 120, "never again": None}


def pot_of(dish: str, kilos) -> Food:
    """``kilos`` of a dish, its cooking water included; a number, or an array over scenarios."""
    made = catalogue.food(dish)
    return catalogue.portion(made, mass=kilos * made.mass / (made.mass + made.water))


def pot_day(
    place="Nairobi", dish="thick stew", kilos=1.4, oven="four-mirror box", loaded=570, every=30, *,
    cloud=None, oktas=8.0, preheat=PREHEAT, ahead=False, keep="outcome",
) -> Cook:  # fmt: skip
    """Cook one pot on the clear day of a place; cloud of ``oktas`` comes at ``cloud`` [min] and stays.

    ``loaded`` is in minutes after midnight; ``every`` in minutes, ``None``: aimed when put out, then left;
    ``ahead``: propped all day to face the sun as it will stand at its highest.
    """
    here = catalogue.place(place)
    cover = float(oktas) if cloud is not None and cloud <= minutes_of(BEGIN) else 0.0
    if cloud is not None and minutes_of(BEGIN) < cloud < minutes_of(END):
        cover = {BEGIN: 0.0, clock(cloud): float(oktas)}
    above = sky(here, instants(here, DAYS[place], BEGIN, END, STEP), oktas=cover)
    tin = catalogue.pot(TIN if dish == "loaf" else POT)
    hands = Handling(clock(loaded), None if every is None else float(every), preheat=float(preheat))
    if ahead:
        noon = int(np.argmax(above.elevation))
        tilt, azimuth = 90.0 - float(above.elevation[noon]), float(above.azimuth[noon])
        hands = replace(hands, tilt=tilt, azimuth=azimuth)
    return cook(above, catalogue.oven(oven), tin, pot_of(dish, kilos), hands, keep=keep)


def fit_times(made: Cook) -> tuple[np.ndarray, np.ndarray]:
    """Seconds after loading when it is ready (``inf``: never, or spoiled by then) and must be eaten by."""
    ready, spoiled = ready_times(made)
    return np.where(spoiled >= ready, ready, np.inf), spoiled


class Told(NamedTuple):
    """What is told of one pot, in minutes.

    ``ready``: cooked, expected to be hot enough, and no clock run out (``inf``: never).  ``hot``: its middle
    as hot as the safety rule wants (nan: never).  ``come_up``: how long that clock runs.
    """

    ready: float
    hot: float
    come_up: float


@lru_cache(maxsize=8192)
def told(place: str, dish: str, kilos: float, oven: str, loaded: int, every=30) -> Told:
    """What becomes of one pot on the clear day of a place."""
    made = pot_day(place, dish, kilos, oven, loaded, every)
    seconds = fit_times(made)[0], made.judgement.when, made.judgement.clocks["come_up"]
    return Told(*(float(each) / 60.0 for each in seconds))


@lru_cache(maxsize=1024)
def stews(place: str, oven: str, loaded: int, share: float, most: int) -> tuple[float, ...]:
    """Minutes until a stew for one, two, … ``most`` people is ready, all cooked at once."""
    kilos = np.round(share * np.arange(1, most + 1), 2)
    ready, _ = fit_times(pot_day(place, "thick stew", kilos, oven, loaded))
    return tuple((ready / 60.0).tolist())


def soup_twice() -> float:
    """The second bet: minutes until two kilos of soup are ready in the bare box in Nairobi."""
    return round(told("Nairobi", "soup", 2.0, "bare box", 570).ready)


# --- the stove ----------------------------------------------------------------------------------------------


def stove_by(clock_start: float, warm_up: float, lighting: float, limit: float = SLOW) -> float:
    """The last minute to light the stove so that the middle passes 60 °C before ``limit`` minutes ran.

    ``clock_start`` is when the food left the cold, minutes after midnight; ``warm_up`` what the stove needs
    to bring the middle past 60 °C, and ``lighting`` what the stove itself needs.
    """
    return clock_start + limit - warm_up - lighting


# --- pictures -----------------------------------------------------------------------------------------------


def pot_picture(place, dish, kilos, oven, loaded, every, cloud):
    """The second bench: one pot, its temperatures, and the two lines that the safety clock draws."""
    made = pot_day(place, DISHES[dish], kilos, oven, loaded, every, cloud=cloud, keep="series")
    warming, local, put_in = made.warming, made.times.local, int(made.loaded)
    before = np.arange(len(local)) < put_in
    curves = {"oven": warming.cavity, "coldest point": np.where(before, np.nan, warming.coldest)}
    ready, _ = fit_times(made)
    start = local[put_in]
    shown = max(LATE, float(ready) / 60.0 if np.isfinite(ready) else 0.0) + 15.0
    first, last = max(put_in - 6, 0), min(put_in + int(shown * 60.0 / STEP), len(local) - 1)
    two, four = (start + pd.Timedelta(minutes=m) for m in (SLOW, LATE))
    marks = [
        ("goes in; the clock starts", start),
        ("ready: cooked, and expected to be hot enough", made.at(float(ready)) if ready < np.inf else None),
        ("two hours: by now past 60 °C (140 °F) somehow", two),
        ("four hours: lost, if still below 60 °C (140 °F)", four if four <= local[last] else None),
    ]
    marks.sort(key=lambda mark: mark[1] or local[-1])  # numbered from left to right
    part = slice(first, last + 1)
    return figures.temperatures(
        local[part],
        {name: np.asarray(values)[part] for name, values in curves.items()},
        marks=marks,
        levels={"60 °C": 60.0},
        title=f"{kilos:g} kg, {dish}: {said(made, float(ready))}",
    )


def said(made: Cook, ready: float) -> str:
    """What becomes of the pot, in a few words."""
    if math.isfinite(ready):
        return f"ready {made.at(ready):%H:%M}, {ready / 60.0:.0f} min"
    words = {"too slow": "too slow, to the stove", "refuse": "refuse, throw it away"}
    eat_by = float(made.judgement.eat_by)
    cools = "" if math.isnan(eat_by) else f", stove and eat by {made.at(eat_by):%H:%M}"
    return words.get(made.verdict().state, f"hot, but not cooked{cools}")


# --- tables -------------------------------------------------------------------------------------------------


def size_table(place="Nairobi", oven="bare box", loaded=570) -> Table:
    """Twice as much of a thing, and what that does to its minutes."""
    rows = []
    for words, dish, small, double in (
        ("soup", "soup", 1.0, 2.0),
        ("thick stew", "thick stew", 1.4, 2.8),
        ("chicken in pieces, then twice as many", "chicken pieces", 1.0, 2.0),
        ("one whole chicken, then one twice as heavy", "whole chicken, chilled", 1.0, 2.0),
    ):
        hot = [told(place, dish, kilos, oven, loaded).hot for kilos in (small, double)]
        done = [float(pot_day(place, dish, kilos, oven, loaded).done) / 60.0 for kilos in (small, double)]
        rows.append(
            (words, f"{small:g} and {double:g}", f"{hot[0]:.0f} and {hot[1]:.0f}", f"{hot[1] / hot[0]:.1f} ×",
             f"{done[0]:.0f} and {done[1]:.0f}", f"{done[1] / done[0]:.1f} ×")
        )  # fmt: skip
    columns = ["what", "kg", "hot to the middle (min)", "times", "cooked (min)", "that is"]
    return Table(pd.DataFrame(rows, columns=columns), f"Twice as much, {oven}, {place}, a clear day")


def feeding_table(place="Nairobi", loaded=570, share=0.35) -> Table:
    """Stew for two to eight in every oven: when it is ready."""
    rows = []
    for people in (2, 4, 6, 8):
        cells = []
        for oven in OVENS:
            needed = told(place, "thick stew", round(people * share, 2), oven, loaded).ready
            cells.append(clock(loaded + needed) if math.isfinite(needed) else "too slow")
        rows.append((people, f"{people * share:.1f} kg", *cells))
    columns = ["people", "stew", *OVENS]
    return Table(pd.DataFrame(rows, columns=columns), f"In at {clock(loaded)}, ready at: {place}, clear")


def worth(celsius: float) -> float:
    """Minutes at the boil that one minute at ``celsius`` is worth, for what softens in water."""
    need = next(n for n in doneness.rule("stew").needs if isinstance(n, doneness.CookValue))
    return 10.0 ** ((celsius - need.reference) / need.z)


def stew_minutes() -> float:
    """Minutes at the boil that a stew needs."""
    need = next(n for n in doneness.rule("stew").needs if isinstance(n, doneness.CookValue))
    return need.minutes


def worth_table() -> Table:
    """What an hour of slow cooking is worth."""
    rows = []
    for celsius in (100, 95, 90, 85, 80, 75, 70, 65):
        hours = stew_minutes() / worth(celsius) / 60.0
        rows.append((safety.both_units(celsius), f"{worth(celsius):.2f}", f"{hours:.1f} h"))
    columns = ["the middle stands at", "one minute is worth, at the boil (min)", "a whole stew takes"]
    return Table(pd.DataFrame(rows, columns=columns), "Slow cooking")


def bread_table(place="Nairobi", oven="four-mirror box", loaded=630) -> Table:
    """A loaf and a stew under more and more cloud."""
    rows = []
    for oktas in (0.0, 4.0, 5.0, 6.0, 6.5, 7.0, 8.0):
        cells = []
        for dish, kilos in (("loaf", 0.75), ("thick stew", 1.4), ("chicken pieces", 1.0)):
            made = pot_day(place, dish, kilos, oven, loaded, cloud=0, oktas=oktas, preheat=60.0)
            done = float(made.done) / 60.0
            cells.append("not that day" if math.isnan(done) else f"{done:.0f} min")
            if dish == "loaf":
                cells.insert(0, safety.both_units(float(made.highest_cavity)))
            else:
                cells.append(made.verdict().state)
        rows.append((f"{oktas:g}", *cells))
    columns = ["cloud, eighths", "hottest oven", "loaf baked in", "stew cooked in", "stew's verdict",
               "chicken cooked in", "chicken's verdict"]  # fmt: skip
    return Table(pd.DataFrame(rows, columns=columns), f"Bread under cloud, {oven}, {place}")


def walks(minutes_long: float, every) -> int:
    """How often somebody walks over to turn the oven while a dish is in it.

    It is aimed when it is put out, `PREHEAT` minutes before loading, and then ``every`` so many minutes; who
    turns it while loading is there anyway.
    """
    if every is None:
        return 0
    return int((minutes_long + PREHEAT - 1e-9) // every) - int(PREHEAT // every)


def walks_said(minutes_long: float, every) -> str:
    """`walks` in words: ``"1 walk"``, ``"7 walks"``."""
    count = walks(minutes_long, every)
    return f"{count} walk{'' if count == 1 else 's'}"


def walking_table() -> Table:
    """What every further walk saves; and what becomes of a pot aimed ahead and left."""
    pots = (("four-mirror box", 1.4), ("four-mirror box", 2.8), ("bare box", 1.4))
    left = [pot_day("Madrid", oven=oven, kilos=kilos, every=None, ahead=True) for oven, kilos in pots]
    ends = [f"cooked {float(made.done) / 60.0:.0f} min; {made.verdict().state}" for made in left]
    rows = [("never; aimed ahead, at the noon sun", *ends)]
    for words, every in reversed(TURNS.items()):
        cells = []
        for oven, kilos in pots:
            needed = told("Madrid", "thick stew", kilos, oven, 570, every).ready
            cells.append(f"{needed:.0f} min, {walks_said(needed, every)}")
        rows.append((words, *cells))
    columns = ["turned", "four mirrors, 1.4 kg", "four mirrors, 2.8 kg", "bare box, 1.4 kg"]
    return Table(pd.DataFrame(rows, columns=columns), "A stew in Madrid, 21 September, in at 09:30")


def order_table(place="Nairobi", oven="four-mirror box", loaded=570) -> Table:
    """Stew and rice through one oven, in both orders."""
    rows = []
    dishes = {"stew": ("thick stew", 1.4), "rice": ("rice", 1.0)}
    for order in (("stew", "rice"), ("rice", "stew")):
        (first, second) = (dishes[name] for name in order)
        swap = 5 * math.ceil((loaded + told(place, *first, oven, loaded).ready) / 5)
        end = 5 * math.ceil((swap + told(place, *second, oven, swap).ready) / 5)
        rows.append((" then ".join(order), clock(loaded), clock(swap), clock(end), f"{end - swap} min",
                     "yes" if end - swap <= SLOW else "no"))  # fmt: skip
    columns = ["order", "first in", "first out, second in", "all ready", "the first waits", "within 2 h?"]
    return Table(pd.DataFrame(rows, columns=columns), f"One oven, two pots: {oven}, {place}")


def stove_table(out=570, warm_up=20, lighting=10) -> Table:
    """The two times that the safety clock sets, for food that left the cold at ``out``."""
    rows = []
    limits = {"hour of plan B: within two hours": SLOW, "point of no return: four hours": LATE}
    for words, limit in limits.items():
        by = stove_by(out, warm_up, lighting, limit)
        rows.append((words, clock(out + limit), f"− {warm_up} min", f"− {lighting} min", clock(by)))
    columns = ["what", "the clock is up at", "stove, until 60 °C (140 °F)", "lighting it", "match struck by"]
    return Table(pd.DataFrame(rows, columns=columns), f"Out of the cold box at {clock(out)}")

"""Lesson 01, safe to eat: dishes under a changing sky, and the pictures and tables made of them."""

from __future__ import annotations

import math
from functools import lru_cache

import numpy as np
import pandas as pd

from solarlab import catalogue, figures, safety
from solarlab.catalogue import Handling
from solarlab.cook import Cook, cook
from solarlab.dates import clock
from solarlab.dates import on_the_day as on_the_day
from solarlab.food import body
from solarlab.sky import sky
from solarlab.sun import instants
from solarlab.table import Table

OVEN = "four-mirror box"
BIRD = "whole chicken, chilled"
STEP = 300.0  # s between the instants of a day
BEGIN, END = "06:00", "18:00"
DISHES = {  # as people call them: name in the catalogue
    "a whole chicken from the cold box": BIRD,
    "chicken pieces from the cold box": "chicken pieces",
    "a whole chicken from the freezer": "whole chicken, frozen",
    "fish from the cold box": "fish",
    "kidney beans, soaked": "kidney beans",
    "vegetable soup": "soup",
    "rice": "rice",
}
OVENS = (OVEN, "bare box", "cardboard box")
PLACES = {"Nairobi, high up": "Nairobi", "Mombasa, by the sea": "Mombasa", "Quito, very high up": "Quito"}
CLEAR_DAYS = (  # where and when the exercises' mornings are clear
    ("Nairobi", "2026-03-21"),
    ("Madrid", "2026-06-21"),
    ("Cape Town", "2026-01-15"),
    ("Delhi", "2026-04-15"),
    ("Mexico City", "2026-05-15"),
    ("Bamako", "2026-02-15"),
    ("Melbourne", "2026-12-10"),
    ("Mombasa", "2026-02-15"),
)
MARKS = {
    "seen": "read for this course",
    "memory": "from memory: check it",
    "lib": "computed",
    "practice": "common practice, no source",
}


def both(celsius: float) -> str:
    """A temperature in both scales."""
    return f"{round(celsius)} °C ({round(float(safety.fahrenheit(celsius)))} °F)".replace("-", "−")


def kind_of_oven(name: str) -> str:
    """What sort of oven a name of the catalogue means."""
    return catalogue.oven(name).about


def dish_day(
    place="Nairobi",
    date="2026-03-21",
    *,
    dish=BIRD,
    oven=OVEN,
    loaded=600,
    preheat=60.0,
    cloud=None,
    lasts=0,
    oktas=8.0,
    standing=0.0,
    keep="series",
) -> Cook:
    """Cook ``dish`` put in at ``loaded`` [min after midnight] in a clear sky.

    Cloud of ``oktas`` eighths comes at ``cloud`` and lasts ``lasts``, both in minutes.
    """
    here = catalogue.place(place)
    cover = None
    if cloud is not None and lasts > 0:
        cover = {BEGIN: 0.0, clock(cloud): float(oktas)}
        if cloud + lasts < 24 * 60:
            cover[clock(cloud + lasts)] = 0.0
    above = sky(here, instants(here, date, BEGIN, END, STEP), oktas=cover)
    handling = Handling(loaded=clock(loaded), preheat=float(preheat), standing=float(standing))
    return cook(
        above, catalogue.oven(oven), catalogue.pot("dark enamelled steel"), catalogue.food(dish), handling,
        keep=keep,
    )  # fmt: skip


@lru_cache(maxsize=2048)
def cooked(place: str, date: str, **kind) -> Cook:
    """`dish_day`, remembered; plain keywords only."""
    return dish_day(place, date, **kind)


def coldest_at(day: Cook, minutes: float) -> float:
    """The food's coldest point [°C] at ``minutes`` after midnight on the local clock."""
    return float(np.interp(minutes / 60.0, day.times.clock, day.warming.coldest))


def oven_at(day: Cook, minutes: float) -> float:
    """What a thermometer hung in the oven shows [°C] at ``minutes`` after midnight."""
    return float(np.interp(minutes / 60.0, day.times.clock, day.warming.cavity))


def goal(day: Cook) -> tuple[str, float]:
    """What the dish must reach at its coldest point, in words and °C."""
    chosen = safety.rule(day.food.safety[0])
    if chosen.kind == "boil":
        return "full boil", float(day.warming.boiling_point) - 1.0
    return both(chosen.temperature), chosen.temperature


# --- pictures ---


def window(day: Cook, before=60, after=360):
    """The part of a day that is drawn: from ``before`` minutes ahead of loading to ``after`` behind it."""
    reach = int(day.loaded) + np.array([-before * 60.0, after * 60.0]) / day.times.step
    first, last = np.clip(reach, 0, len(day.times.local) - 1).astype(int)
    return slice(first, last + 1)


def picture(day: Cook, title: str = ""):
    """Oven, outside and coldest point through the day."""
    warming, local, loaded = day.warming, day.times.local, int(day.loaded)
    part = window(day)
    before = np.arange(len(local)) < loaded
    words, degrees = goal(day)
    solid = day.food.form in ("solid", "thick")
    curves = {"oven's thermometer": warming.cavity}
    if solid:
        curves["outside of the food"] = np.where(before, np.nan, warming.shells[..., -1])
    curves["coldest point"] = np.where(before, np.nan, warming.coldest)
    hot = first_time(day, 60.0)
    ready = first_time(day, degrees)
    marks = [
        ("the food goes in", local[loaded]),
        ("coldest point at 60 °C (140 °F)", hot),
        (f"coldest point at {words}", ready),
    ]
    return figures.temperatures(
        local[part],
        {name: np.asarray(values)[part] for name, values in curves.items()},
        marks=marks,
        levels={"60 °C": 60.0, "5 °C": 5.0},
        title=title or f"{day.food.about[:1].upper()}{day.food.about[1:]}"[:60],
    )


def first_time(day: Cook, degrees: float):
    """When the coldest point first is at ``degrees`` after loading; ``None`` if it never is."""
    seconds = np.arange(len(day.times.local)) * day.times.step
    values = day.warming.coldest
    above = np.flatnonzero((values >= degrees) & (np.arange(len(values)) >= int(day.loaded)))
    if not above.size:
        return None
    at = int(above[0])
    if at == int(day.loaded):
        return day.times.local[at]
    share = (degrees - values[at - 1]) / (values[at] - values[at - 1])
    return day.times.local[0] + pd.Timedelta(seconds=float(seconds[at - 1] + share * day.times.step))


def spans(day: Cook):
    """The clocks of a cook as bars for `figures.clocks`; what it says of each follows from their sum."""
    local, loaded, clocks = day.times.local, int(day.loaded), day.judgement.clocks
    minutes = {name: float(value) / 60.0 for name, value in clocks.items()}
    rows, total = [], 0.0

    def add(name, begin, finish, counted, why):
        nonlocal total
        total += counted
        late, slow = (limit / 60.0 for limit in (safety.TOO_LATE, safety.SLOW))
        state = "refuse" if total > late else "too slow" if total > slow else "expected"
        rows.append((name, begin, finish, state, why))

    put_in = local[loaded]
    waited = float(np.asarray(day.handling.standing))
    if waited and minutes["standing"]:
        add("standing", put_in - pd.Timedelta(minutes=waited), put_in, minutes["standing"], "")
    hot = first_time(day, 60.0)
    if minutes["come_up"] > 0:
        stop = hot or local[-1]
        add("come-up", stop - pd.Timedelta(minutes=minutes["come_up"]), stop, minutes["come_up"], "")
    if minutes["loss_of_sun"] > 1:
        add("loss of sun", *dip(day, hot, first_time(day, goal(day)[1])), minutes["loss_of_sun"], "")
    if minutes["cooling"] > 1:
        total = 0.0  # cooked food starts a clock of its own
        add("cooling", *dip(day, first_time(day, goal(day)[1])), minutes["cooling"], "")
    return rows


def dip(day: Cook, since, until=None):
    """From when until when the coldest point lies below 60 °C, after ``since`` and before ``until``."""
    local = day.times.local
    below = np.flatnonzero((local > since) & (local < (until or local[-1])) & (day.warming.coldest < 60.0))
    if not below.size:  # less than a step of the day
        return since, since + pd.Timedelta(seconds=day.times.step)
    return local[below[0]], local[min(below[-1] + 1, len(local) - 1)]


def clock_picture(day: Cook, title: str = "The food-safety clocks"):
    """The clocks that ran, and the verdict."""
    verdict = day.verdict()
    when = "" if math.isnan(verdict.when) else f" {day.at(verdict.when):%H:%M}"
    said = {
        "expected": f"Expected to be hot enough at{when}; not safe until measured.",
        "too slow": f"Too slow from{when}: finish on a stove, eat at once, keep nothing.",
        "refuse": f"Refuse{' from' + when if when else ''}: do not eat it, whatever heat comes later.",
        "no verdict": "No verdict: the model cannot tell.",
    }[verdict.state]
    eat_by = float(day.judgement.eat_by)
    if verdict.state == "expected" and not math.isnan(eat_by):
        said += f" It cools: eat by {day.at(eat_by):%H:%M}."
    bars = spans(day)
    if not bars:
        put_in = day.times.local[int(day.loaded)]
        bars = [("come-up", put_in, put_in + pd.Timedelta(minutes=1), verdict.state, "It hardly runs.")]
    return figures.clocks(bars, verdict=said, title=title)


# --- benches ---


def day_bench(dish, oven, place, loaded, cloud, lasts, oktas):
    """The first bench: temperatures of one dish on one day."""
    return picture(
        dish_day(place, dish=dish, oven=oven, loaded=loaded, cloud=cloud, lasts=lasts, oktas=oktas)
    )


def clock_bench(dish, oven, standing, loaded, cloud, lasts):
    """The second bench: the clocks of one dish on one day."""
    return clock_picture(
        dish_day(dish=dish, oven=oven, loaded=loaded, cloud=cloud, lasts=lasts, standing=standing)
    )


def first_day() -> Cook:
    """The bird of the first bet."""
    return cooked("Nairobi", "2026-03-21", preheat=0.0)


def cloudy_day() -> Cook:
    """The bird of the second bet: thick cloud from 10:30 to 14:00."""
    return cooked("Nairobi", "2026-03-21", cloud=630, lasts=210)


def cloudy_choice() -> str:
    """What becomes of it at 15:00."""
    return {"expected": "eat", "too slow": "stove", "refuse": "throw"}[cloudy_day().verdict().state]


def frozen_picture():
    """The frozen bird beside the chilled one, same oven, same hour."""
    icy = cooked("Nairobi", "2026-03-21", dish="whole chicken, frozen")
    cool = cooked("Nairobi", "2026-03-21")
    part, local = window(icy, 0, 240), icy.times.local
    return figures.temperatures(
        local[part],
        {
            "frozen: outside": icy.warming.shells[..., -1][part],
            "frozen: middle": icy.warming.coldest[part],
            "from the cold box: middle": cool.warming.coldest[part],
        },
        levels={"60 °C": 60.0, "5 °C": 5.0},
        title="The same bird, frozen and from the cold box",
    )


# --- tables ---


def came_from(rule: safety.SafetyRule) -> str:
    """The source of a rule, and how well we know it."""
    if rule.mark == "practice":
        return MARKS["practice"]
    return rule.source if "memory" in rule.source else f"{rule.source} ({MARKS[rule.mark]})"


def rules_table(kind: str) -> Table:
    """The course's safety rules of one kind ("target", "clock", "refusal"), each with its source."""
    kinds = ("target", "boil") if kind == "target" else (kind,)
    rows = [(r.text, came_from(r)) for r in safety.RULES.values() if r.kind in kinds]
    names = {
        "target": "How hot, at the coldest point",
        "clock": "The clocks",
        "refusal": "Never in this oven",
    }
    return Table(pd.DataFrame(rows, columns=["rule", "where it comes from"]), names[kind])


def cautions_table(home_made: bool) -> Table:
    """What burns, breaks, blinds or poisons."""
    every = safety.cautions(("egg",), home_made=True)
    made = {r.key for r in every} - {r.key for r in safety.cautions(("egg",))}
    rows = [(r.text, came_from(r)) for r in every if (r.key in made) == home_made]
    title = "Home-made ovens" if home_made else "Around every oven"
    return Table(pd.DataFrame(rows, columns=["caution", "where it comes from"]), title)


@lru_cache(maxsize=1)
def _frozen_body():
    return body(catalogue.food("whole chicken, frozen"))


def heat_to(celsius: float, start: float = -18.0) -> float:
    """Heat [kJ] that 1 kg of chicken takes from ``start`` to ``celsius``, melting included."""
    made = _frozen_body()
    kilojoules = np.interp([start, celsius], made.temperature_of_enthalpy[0], made.enthalpy_grid[0]) / 1000.0
    return float(kilojoules[1] - kilojoules[0])


def heat_table() -> Table:
    """Heat into 1 kg of chicken, counted from the freezer."""
    rows = [(both(c), f"{heat_to(c):.0f}") for c in (-18, -10, -5, -3, -1, 4, 20, 40, 60, 74)]
    columns = ["1 kg of chicken is all at", "heat taken since the freezer (kJ)"]
    return Table(pd.DataFrame(rows, columns=columns), "What thawing costs")


def kill_table() -> Table:
    """Minutes that kill nine in ten of one germ, by temperature."""
    lethal = safety.CHICKEN_SALMONELLA
    rows = []
    for c in (58, 60, 62, 64, 66, 68, 70):
        minutes = lethal.minutes * 10 ** ((lethal.reference - c) / lethal.z)
        rows.append((both(c), f"{minutes:.2g}", f"{7 * minutes:.2g}"))
    columns = ["held at", "nine in ten are dead after (min)", "all but one in ten million (min)"]
    return Table(pd.DataFrame(rows, columns=columns), f"{lethal.organism}: {lethal.source}")


def degrees_table() -> Table:
    """A reading and a difference in the two scales."""
    rows = [(f"{f} °F", f"{(f - 32) / 1.8:.1f} °C", f"{f / 1.8:.1f} degrees C") for f in (9, 18, 36, 90, 165)]
    columns = ["number", "as a reading", "as a difference"]
    return Table(pd.DataFrame(rows, columns=columns), "The same number, twice")

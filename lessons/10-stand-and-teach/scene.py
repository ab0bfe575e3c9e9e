"""Lesson 10, stand and teach: when to load a pot for a crowd, and what that saves, computed by solarlab."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np
import pandas as pd

from solarlab import catalogue, figures, fuel, safety
from solarlab.catalogue import Handling, portion
from solarlab.cook import cook
from solarlab.dates import on_the_day
from solarlab.plan.chance import Outlook, hands, ready_times
from solarlab.plan.kitchen import Dish, Kitchen, clock
from solarlab.plan.site import FULL, filling
from solarlab.sun import declination, instants, sun_times
from solarlab.table import Table

POT = "dark enamelled steel"
FIRST, LAST, PREHEAT, EVERY = 480, 900, 30, 60.0  # min after midnight; min
DAYS, SEED = 40, 10  # drawn days behind a learner's numbers
GOAL = 0.8
GRID = tuple(range(FIRST, LAST - 60, 30))  # loading times worked out at once
TWO_HOURS = safety.SLOW / 60.0  # min


@dataclass(frozen=True)
class Case:
    """A yard, a day, an oven and a dish; ``cloud`` in eighths, ``stood`` minutes out of the cold."""

    place: str
    date: str
    oven: str
    dish: str
    cloud: float = 2.0
    stood: float = 25.0

    @property
    def noon(self) -> int:
        """The sun's noon, minutes after midnight on the clock."""
        return noon(self.place, self.date)

    @property
    def side(self) -> str:
        """The side on which the noon sun stands."""
        return noon_side(self.place, self.date)


@lru_cache(maxsize=64)
def noon(place: str, date: str) -> int:
    """The sun's noon, whole minutes after midnight on the clock, as the day sheet prints it."""
    transit = sun_times(catalogue.place(place), date).transit
    return transit.hour * 60 + transit.minute


@lru_cache(maxsize=64)
def noon_side(place: str, date: str) -> str:
    """Return "north" or "south": the side on which the noon sun stands."""
    here = catalogue.place(place)
    over = float(np.mean(declination(instants(here, date, "12:00", "13:00", 1800.0))))
    return "north" if over > here.latitude else "south"


def eighths(cloud: float) -> str:
    """A forecast of cloud in words."""
    return f"{cloud:g} eighth" + "s" * (cloud != 1)


# --- chances ---


@lru_cache(maxsize=256)
def kitchen(case: Case, kilograms: float, days: int = DAYS) -> Kitchen:
    """The drawn days of a case, and its dish in that amount."""
    outlook = Outlook(catalogue.place(case.place), case.date, oktas=case.cloud)
    dish = Dish(portion(catalogue.food(case.dish), mass=kilograms), catalogue.pot(POT))
    oven = catalogue.oven(case.oven)
    return Kitchen(outlook, (oven,), (dish,), FIRST - PREHEAT, LAST, PREHEAT, days, SEED, 600.0)


@lru_cache(maxsize=2048)
def cooked(case: Case, kilograms: float, starts: tuple[int, ...], days: int = DAYS) -> tuple:
    """Clock minutes when it is ready, by when it is eaten, and the verdicts: each (starts, days)."""
    room = kitchen(case, kilograms, days)
    plan = Handling("12:00", EVERY, preheat=float(PREHEAT), standing=case.stood)
    drawn = replace(
        hands(plan, np.random.default_rng([SEED, 4]), days),
        loaded=np.array([clock(s) for s in starts])[:, None],
    )
    food, pot = room.drawn_menu[0]
    result = cook(room.sky, room.drawn_ovens[0], pot, food, drawn, keep="outcome")
    ready, spoiled = (np.array(starts)[:, None] + each / 60.0 for each in ready_times(result))
    return ready, spoiled, result.judgement.state


def shares(case: Case, kilograms: float, starts: tuple[int, ...], meal: float, days: int = DAYS):
    """Of all days the shares that are ready by the meal, spoilt by the danger clock, and neither in time."""
    ready, spoiled, state = cooked(case, kilograms, starts, days)
    good = (ready <= meal) & (spoiled >= meal)
    clocked = ~good & (state >= safety.STATES.index("too slow"))
    parts = (good, clocked, ~good & ~clocked)
    return tuple(part.mean(axis=1) for part in parts)


def chance(case: Case, kilograms: float, loaded: float, meal: float) -> float:
    """Share of the drawn days on which the dish is ready by the meal and fit to eat."""
    start = int(5 * round(loaded / 5))
    if start in GRID:  # one batch answers for every half hour, and so for every meal
        return float(shares(case, round(kilograms, 2), GRID, meal)[0][GRID.index(start)])
    return float(shares(case, round(kilograms, 2), (start,), meal)[0][0])


def starts_before(meal: float) -> tuple[int, ...]:
    """Every half hour from `FIRST` until half an hour before the meal."""
    return tuple(start for start in GRID if start <= meal - 30)


def chance_table(case: Case, meal: float, amounts=(0.3, 0.6, 0.9, 1.8)) -> Table:
    """Drawn days on which the dish is ready by the meal, by loading time and kilograms."""
    starts = starts_before(meal)
    counts = [shares(case, amount, GRID, meal)[0][: len(starts)] for amount in amounts]
    rows = [(clock(start), *(round(DAYS * good[k]) for good in counts)) for k, start in enumerate(starts)]
    heads = ["in at", *(f"{amount:g} kg" for amount in amounts)]
    title = (
        f"{case.dish.capitalize()} in a {case.oven}, {case.place}, {on_the_day(case.date)}: "
        f"ready by {clock(meal)} on how many of {DAYS} days"
    )
    return Table(pd.DataFrame(rows, columns=heads), title)


def fits(dish: str, kilograms: float) -> bool:
    """Whether so much of the dish stays below the brim of the one pot."""
    return filling(catalogue.pot(POT), portion(catalogue.food(dish), mass=kilograms)) <= FULL


# --- the first bet and its bench ---

BET = Case("Nairobi", "2026-02-12", "bare box", "chicken pieces", 2.0, 30.0)
BET_PEOPLE, BET_MEAL, BET_KILOGRAMS = 690, 780, 1.0  # they come at 11:30, eat at 13:00


def bet_chance(loaded: int = BET_PEOPLE) -> float:
    """Days of 100 on which the first bet's chicken is ready."""
    return 100.0 * float(shares(BET, BET_KILOGRAMS, (loaded,), BET_MEAL, 200)[0][0])


def bet_table() -> Table:
    """What becomes of the first bet's chicken, by the time it goes in."""
    starts = starts_before(BET_MEAL)
    parts = shares(BET, BET_KILOGRAMS, starts, BET_MEAL, 200)
    rows = [
        (
            clock(start),
            *(f"{100 * part[k]:.0f}" for part in parts),
            "← the people come" * (start == BET_PEOPLE),
        )
        for k, start in enumerate(starts)
    ]
    heads = ["in at", "ready by 13:00", "stopped by the danger clock", "not done in time", "note"]
    return Table(pd.DataFrame(rows, columns=heads), "Chicken for the crowd: days in 100")


def window(place, month, oven, dish, kilograms, cloud, meal):
    """The first bench: what becomes of a pot, by the time at which it goes in."""
    case = Case(place, f"2026-{month:02d}-15", oven, dish, float(cloud))
    if not fits(dish, kilograms):
        raise ValueError(f"{kilograms:g} kg of {dish} overfill the pot: take less.")
    starts = starts_before(meal)
    good, clocked, late = (100.0 * part for part in shares(case, round(float(kilograms), 2), starts, meal))
    figure = figures.blank(9.2, 4.8)
    axes = figure.add_axes((0.08, 0.12, 0.9, 0.74))
    hours, bottom = np.array(starts) / 60.0, np.zeros(len(starts))
    kinds = (
        (good, "ready by the meal", figures.SKY_BLUE, ""),
        (clocked, "stopped by the danger clock", figures.ORANGE, "xx"),
        (late, "not done in time", "#FFFFFF", "//"),
    )
    for part, label, colour, hatch in kinds:
        axes.bar(
            hours,
            part,
            0.42,
            bottom,
            label=label,
            color=colour,
            hatch=hatch,
            edgecolor=figures.BLACK,
            linewidth=0.8,
        )
        bottom = bottom + part
    axes.axhline(100 * GOAL, color=figures.BLACK, linewidth=1.6, linestyle=(0, (6, 2)))
    axes.set_ylim(0, 100)
    figures.dress(axes, "the pot goes in at (local clock)", "days in 100")
    ticks = np.arange(np.ceil(hours[0]), hours[-1] + 0.1)
    axes.set_xticks(ticks, [figures.clock_text(tick) for tick in ticks])
    figure.legend(loc="upper center", ncol=3, fontsize=10, frameon=False)
    fine = [start for start, share in zip(starts, good, strict=True) if share >= 100 * GOAL]
    if fine:
        span = clock(fine[0]) if len(fine) == 1 else f"{clock(fine[0])} to {clock(fine[-1])}"
        title = f"Eaten at {clock(meal)}: ready on 80 days in 100 or more if it goes in at {span}"
    else:
        best = int(np.argmax(good))
        title = f"Eaten at {clock(meal)}: at best {good[best]:.0f} days in 100, in at {clock(starts[best])}"
    alt = (
        f"{title}. {kilograms:g} kg of {dish} in a {oven}, {place}, {on_the_day(case.date)}, "
        f"{eighths(cloud)} "
        "of cloud. " + "; ".join(
            f"in at {clock(s)}: {g:.0f} ready, {c:.0f} stopped by the danger clock, {w:.0f} not done"
            for s, g, c, w in zip(starts[::2], good[::2], clocked[::2], late[::2], strict=True)
        ) + "."
    )  # fmt: skip
    table = pd.DataFrame(
        {"in at": [clock(s) for s in starts]} | {label: np.round(part) for part, label, _, _ in kinds}
    )
    return figures.Picture(figure, alt, table, title)


# --- fuel ---

FUEL_DISHES = ("lentils", "rice", "thick stew")
POTS_A_DAY = 3  # of a family that cooks all its food on a fire (our own estimate)
BET_COOKS = 100


@lru_cache(maxsize=64)
def heat(dish: str) -> fuel.Range:
    """Heat [MJ] that a stove would put into the dish."""
    return fuel.stove_heat(catalogue.food(dish), catalogue.pot(POT))


def bet_saved() -> fuel.Range:
    """Wood [kg] that a hundred solar pots of lentils save a family with an open fire."""
    return fuel.saved(heat("lentils"), "wood, open fire", cooks=BET_COOKS).fuel


def claims(stove="wood, open fire", dish="lentils", cooks=100, counted=False, replaced=7):
    """The second bench: three ways to say what so many solar pots save, beside the honest range.

    ``replaced`` of ten solar pots stood in for a pot on the stove, if that was ``counted``.
    """
    burner, needed = fuel.fuel(stove), heat(dish)
    share = (replaced / 10.0, replaced / 10.0) if counted else fuel.REPLACED
    honest = fuel.saved(needed, burner, cooks=float(cooks), replaced=share).fuel
    inside = cooks * needed.middle / burner.heating_value
    off = cooks * float(fuel.fuel_needed(needed.middle, sum(burner.efficiency) / 2.0, burner.heating_value))
    said = (
        ("“The heat that is in the food,\nas fuel.”", inside),
        ("“Each solar pot is a pot\noff the stove.”", off),
        (f"“A day with sun is a day\nwith no stove”: {POTS_A_DAY} pots.", POTS_A_DAY * off),
    )
    how = f"{replaced} of 10 replaced one, counted" if counted else "nobody counted what they replaced"
    title = f"{cooks} solar pots of {dish}, not on {stove} ({how}): {honest}"
    figure = figures.blank(9.2, 3.6)
    axes = figure.add_axes((0.24, 0.16, 0.73, 0.8))
    axes.axvspan(honest.low, honest.high, color=figures.YELLOW)
    for row, (_, kilos) in enumerate(said):
        axes.barh(3 - row, kilos, 0.55, color="#FFFFFF", hatch="//", edgecolor=figures.BLACK)
        axes.text(kilos, 3 - row, f" {_kilos(kilos)}", va="center", fontsize=10)
    axes.plot([honest.low, honest.high], [0, 0], color=figures.BLUE, linewidth=4, solid_capstyle="butt")
    axes.plot([honest.middle], [0], color=figures.BLUE, marker="D", markersize=9)
    span = f" {honest.low:.2g} to {honest.high:.2g} kg"
    axes.text(honest.high, 0, span, va="center", fontsize=10)
    axes.set_yticks([3, 2, 1, 0], [*(words for words, _ in said), "what can be said honestly"])
    axes.set_ylim(-0.5, 3.5)
    axes.set_xlim(0, 1.15 * max(max(kilos for _, kilos in said), 1.3 * honest.high))
    figures.dress(axes, "fuel saved (kg)")
    words = "; ".join(f"{saying.replace(chr(10), ' ')} {_kilos(kilos)}" for saying, kilos in said)
    alt = f"{title}. Said: {words}. The honest range is drawn as a band behind them."
    rows = [(saying.replace("\n", " "), _kilos(kilos), "") for saying, kilos in said]
    rows.append(
        ("what can be said honestly", f"{honest.low:.2g} to {honest.high:.2g} kg", f"{honest.middle:.2g} kg")
    )
    return figures.Picture(figure, alt, pd.DataFrame(rows, columns=["said", "fuel saved", "middle"]), title)


def _kilos(value: float) -> str:
    """Two figures: more would promise too much."""
    return f"{float(f'{value:.2g}'):g} kg"


def fuel_table() -> Table:
    """One pot of lentils on each stove, and a hundred solar ones."""
    rows = []
    needed = heat("lentils")
    for name, burner in fuel.FUELS.items():
        low, high = (
            float(fuel.fuel_needed(needed.middle, share, burner.heating_value))
            for share in burner.efficiency[::-1]
        )
        saving = fuel.saved(needed, burner, cooks=float(BET_COOKS))
        span = "{:.0f} to {:.0f} %".format(*(100 * share for share in burner.efficiency))
        rows.append((name, span, f"{low:.2f} to {high:.2f} kg", str(saving.fuel), str(saving.carbon_dioxide)))
    heads = [
        "stove",
        "of its heat into the pot",
        "fuel for one pot",
        "saved by 100 solar pots",
        "and carbon dioxide",
    ]
    title = f"Lentils, {needed.middle:.1f} MJ into the pot; half to all of the solar pots replaced one"
    return Table(pd.DataFrame(rows, columns=heads), title)

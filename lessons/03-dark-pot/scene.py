"""Lesson 03, the dark pot: pots in an oven, computed by solarlab; their pictures and tables."""

from __future__ import annotations

import math
from dataclasses import replace
from functools import lru_cache

import numpy as np
import pandas as pd

from solarlab import catalogue, figures, water
from solarlab.catalogue import Handling, Place, portion
from solarlab.cook import Cook, cook
from solarlab.dates import clock as clock
from solarlab.doneness import cook_value, rule
from solarlab.sky import sky
from solarlab.sun import instants
from solarlab.table import Table

OVEN = "one-mirror box"
OVENS = (OVEN, "bare box", "four-mirror box", "school box", "cardboard box")
DARK = "dark enamelled steel"
POTS = (DARK, "glass", "cast iron", "shiny stainless", "clay")
SHORT = {DARK: "dark", "glass": "glass", "cast iron": "iron", "shiny stainless": "shiny", "clay": "clay"}
STEP = 180.0  # s between the instants of a day
ROOM = 25.0  # °C
BEANS = "black beans, soaked"
SEA, MOUNTAIN = 0.0, 4000.0  # m, of the two pots of beans
SHORE_DISHES = ("soup", "rice", BEANS, "potatoes in water", "pasta")


def both(celsius) -> str:
    """A temperature in both scales."""
    return f"{float(celsius):.0f} °C ({float(celsius) * 1.8 + 32.0:.0f} °F)".replace("-", "−")


def boils_at(elevation) -> float:
    """Where water boils [°C] at an elevation [m], in the standard atmosphere."""
    return float(water.boiling_point(water.pressure_at(elevation)))


def slope_at(elevation: float) -> Place:
    """A place near the equator at any height, on whose clock noon is noon (invented)."""
    return catalogue.place_at(-1.0, 0.0, float(elevation), "Etc/UTC", "a slope")


def cooked(
    place="Nairobi",
    date="2026-03-21",
    *,
    oven=OVEN,
    pot=DARK,
    lid=True,
    dish="soup",
    mass=None,
    added=None,
    pieces=None,
    loaded="10:00",
    until="17:00",
    oktas=0.0,
    step=STEP,
    keep="series",
) -> Cook:
    """A dish in a pot, from cold, re-aimed every half hour; ``added`` is its cooking water [kg]."""
    here = place if isinstance(place, Place) else catalogue.place(place)
    vessel = catalogue.pot(pot)
    vessel = vessel if lid else replace(vessel, lid_leakage=1.0)
    food = portion(catalogue.food(dish), mass=mass, water=added, pieces=pieces)
    above = sky(here, instants(here, date, loaded, until, step), oktas=oktas)
    return cook(above, catalogue.oven(oven), vessel, food, Handling(loaded=loaded), keep=keep)


@lru_cache(maxsize=4096)
def minutes_to(what: str, place="Nairobi", date="2026-03-21", **kind) -> float:
    """Minutes until a dish is ``"done"`` or its water is ``"boiling"``, nan if never; keywords: `cooked`."""
    outcome = cooked(place, date, keep="outcome", **kind)
    return float(getattr(outcome, what)) / 60.0


def water_lost(day: Cook) -> float:
    """Grams of water that left the pot until the dish was done (or the day ended)."""
    pot = day.warming.water
    last = float(day.done) / day.times.step if math.isfinite(day.done) else len(pot) - 1
    return 1000.0 * float(pot[int(day.loaded)] - np.interp(last, np.arange(len(pot)), pot))


@lru_cache(maxsize=256)
def oven_loses(place: str, date: str, oven: str, dish: str) -> float:
    """`water_lost` of a dish in the dark pot with its lid [g]."""
    return water_lost(cooked(place, date, oven=oven, dish=dish))


# --- pictures ---


def picture(day: Cook, title: str):
    """Oven, pot and food through a day; when it boiled, when it was done, and what the steam took."""
    warming, local, loaded = day.warming, day.times.local, int(day.loaded)
    curves = {"oven": warming.cavity, "pot": warming.pot, "food": warming.core}
    moments = {"boils": float(day.boiling), "done": float(day.done)}
    marks = [
        (name, local[loaded] + pd.Timedelta(seconds=s) if math.isfinite(s) else None)
        for name, s in moments.items()
    ]
    levels = {f"boils at {float(warming.boiling_point):.0f} °C": float(warming.boiling_point)}
    return figures.temperatures(local, curves, marks=marks, levels=levels, title=title)


def told(day: Cook) -> str:
    """A day in a line: boiling, done, and the water lost."""
    boil, done = float(day.boiling) / 60.0, float(day.done) / 60.0
    boiled = f"boils after {boil:.0f} min" if math.isfinite(boil) else "never boils"
    ready = f"done after {done:.0f}" if math.isfinite(done) else "not done by five"
    return f"{boiled}, {ready}; steam took {max(water_lost(day), 0.0):.0f} g"


def pots_bench(oven, pot, lid, mass, oktas):
    """The first bench: soup at ten, in one pot or another."""
    day = cooked(oven=oven, pot=pot, lid=lid, mass=float(mass), oktas=float(oktas))
    return picture(day, f"{mass:g} kg of soup, {SHORT[pot]} pot, lid {'on' if lid else 'off'}: {told(day)}")


def height_bench(elevation, dish, oven):
    """The second bench: one dish, higher and higher up."""
    day = cooked(slope_at(elevation), dish=dish, oven=oven, loaded="09:00")
    name = dish.split(",")[0].capitalize()
    return picture(day, f"{name} at {elevation:g} m: {told(day)}")


def without_lid():
    """The soup of the first bet, with no lid."""
    day = cooked(lid=False)
    return picture(day, f"1.5 kg of soup, dark pot, no lid: {told(day)}")


def lid_minutes() -> float:
    """Minutes that leaving off the lid adds until the soup of the first bet boils."""
    return minutes_to("boiling", lid=False) - minutes_to("boiling")


def two_heights() -> dict[str, Cook]:
    """The same beans in the same oven at the sea and on the mountain."""
    heights = {"sea": SEA, "mountain": MOUNTAIN}
    return {name: cooked(slope_at(h), dish=BEANS, loaded="09:00") for name, h in heights.items()}


def first_done() -> str:
    """Which of `two_heights` boils first, and which is done first: the answer of the second bet."""
    days = two_heights()
    boils = min(days, key=lambda name: float(days[name].boiling))
    done = min(days, key=lambda name: float(days[name].done))
    return {
        ("mountain", "mountain"): "mountain",
        ("sea", "sea"): "sea",
        ("mountain", "sea"): "mountain boils, sea done",
        ("sea", "mountain"): "sea boils, mountain done",
    }[boils, done]


# --- tables ---


def lid_table() -> Table:
    """With and without a lid, in three ovens."""
    rows = []
    for oven in ("bare box", OVEN, "four-mirror box"):
        for lid in (True, False):
            day = cooked(oven=oven, lid=lid)
            boil = float(day.boiling) / 60.0
            rows.append(
                (
                    oven,
                    "on" if lid else "off",
                    f"{boil:.0f}" if math.isfinite(boil) else "never",
                    f"{float(day.done) / 60.0:.0f}",
                    f"{water_lost(day):.0f}",
                )
            )
    columns = ["oven", "lid", "boils (min)", "done (min)", "steam took until done (g)"]
    return Table(pd.DataFrame(rows, columns=columns), "1.5 kg of soup, dark pot")


def pot_table() -> Table:
    """Every pot with the same soup."""
    rows = []
    for name in POTS:
        pot = catalogue.pot(name)
        boil, done = minutes_to("boiling", pot=name), minutes_to("done", pot=name)
        heat = pot.mass * pot.specific_heat
        caught = pot.absorptance + pot.transmittance
        rows.append(
            (
                f"{name}, {pot.mass:.2g} kg",
                f"{100 * pot.absorptance:.0f} %" + (" (lets 82 % through)" if caught > 0.9 > pot.absorptance
                                                    else ""),
                f"{heat / water.SPECIFIC_HEAT:.2f} kg",
                f"{boil:.0f}",
                f"{done:.0f}",
            )
        )  # fmt: skip
    columns = ["pot", "of the light, it keeps", "to warm it is like water of", "boils (min)", "done (min)"]
    return Table(pd.DataFrame(rows, columns=columns), f"The same soup, 1.5 kg, in a {OVEN}")


def load_table() -> Table:
    """More soup, and thicker pieces."""
    rows = []
    for mass in (0.75, 1.5, 3.0):
        rows.append((f"{mass:g} kg of soup", f"{minutes_to('boiling', mass=mass):.0f}"))
    return Table(pd.DataFrame(rows, columns=["in the dark pot, lid on", "boils (min)"]), "More in the pot")


def thick_table() -> Table:
    """What a thicker piece costs in boiling water: the law of the square."""
    rows = [
        (f"{n:g} ×", f"{n**3:g} ×", f"{n * n:g} ×") for n in (0.5, 1.0, 1.5, 2.0, 2.5, 3.0)
    ]  # fmt: skip
    columns = ["as thick", "as heavy", "as long"]
    return Table(pd.DataFrame(rows, columns=columns), "One piece in boiling water")


def height_table(low: int = 0, high: int = 4500, every: int = 500) -> Table:
    """Where water boils, and how much longer a dish takes there that depends on cooking."""
    rows = []
    for height in range(low, high + 1, every):
        boil = boils_at(height)
        rows.append((f"{height} m ({height / 0.3048:.0f} ft)", f"{boil:.1f} °C", f"{boil * 1.8 + 32:.1f} °F"))
    return Table(pd.DataFrame(rows, columns=["height", "water boils at", "the same"]), "The boil, by height")


def longer(celsius, z: float = 33.0) -> float:
    """How many times as long a dish takes that is held at ``celsius`` instead of 100 °C."""
    return 1.0 / float(cook_value([0.0, 60.0], [float(celsius)] * 2, z)[-1])


def longer_table(low: int = 80, high: int = 100, every: int = 2) -> Table:
    """`longer`, by temperature."""
    rows = [
        (f"{c} °C", f"{c * 1.8 + 32:.1f} °F", f"{100 / c:.2f} ×", f"{longer(c):.2f} ×")
        for c in range(high, low - 1, -every)
    ]
    columns = ["water at", "the same", "in proportion (wrong)", "as long as at 100 °C"]
    return Table(pd.DataFrame(rows, columns=columns), "Beans, roots and rice in cooler water")


def heights_table() -> Table:
    """The two pots of the second bet."""
    rows = []
    for name, day in two_heights().items():
        at = SEA if name == "sea" else MOUNTAIN
        rows.append(
            (
                f"{name}, {at:g} m",
                both(day.warming.boiling_point),
                f"{float(day.boiling) / 60.0:.0f}",
                f"{float(day.done) / 60.0:.0f}",
            )
        )
    columns = ["soaked black beans", "boils at", "boils after (min)", "soft after (min)"]
    return Table(pd.DataFrame(rows, columns=columns), f"The same pot in the same {OVEN}, from 9:00")


def watts_table() -> Table:
    """Heat to warm a litre, and heat to turn it into steam."""
    warm = water.SPECIFIC_HEAT * (100.0 - ROOM)
    steam = float(water.latent_heat(100.0))
    rows = [
        (f"warm it from {both(ROOM)} to {both(100)}", f"{warm / 1e6:.2f}", f"{warm / 300 / 60:.0f} min"),
        ("turn all of it into steam", f"{steam / 1e6:.2f}", f"{steam / 300 / 60:.0f} min"),
    ]
    columns = ["with one litre of water", "million joules", "at 300 W"]
    return Table(pd.DataFrame(rows, columns=columns), "A litre of water")


def boil_minutes(dish: str) -> float:
    """Minutes at 100 °C after which the course calls a dish soft."""
    return next(need.minutes for need in rule(catalogue.food(dish).doneness).needs if hasattr(need, "z"))

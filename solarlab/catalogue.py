"""The course's own shelf of things, and what is made of them: draws, portions, an oven of one's own.

``oven("four-mirror box")``, ``pot``, ``food`` and ``place`` take a thing (`_things` says what each holds)
from the data files, where every number has its unit, spread and source; these come along in ``sources``, and
``describe(thing)`` prints them.
"""

from __future__ import annotations

from dataclasses import fields, replace
from datetime import datetime
from functools import cache
from pathlib import Path
from zoneinfo import ZoneInfo

import numpy as np

from . import _shelf
from ._limits import LIMITS, suggest
from ._quantity import Description, Quantity, describe, draw
from ._things import Food, Handling, Oven, Place, Pot, Reflector

__all__ = [
    "Description", "Food", "Handling", "Oven", "Place", "Pot", "Quantity", "Reflector",
    "describe", "food", "foods", "load_oven", "oven", "ovens", "place", "place_at", "places", "portion",
    "pot", "pots", "save_oven", "vary",
]  # fmt: skip


# --- the shelf ---------------------------------------------------------------------------------------------


@cache
def _ovens():
    return _shelf.shelf("ovens.toml", Oven, Reflector)


@cache
def _pots():
    return _shelf.shelf("pots.toml", Pot)


@cache
def _foods():
    return _shelf.shelf("foods.toml", Food)


@cache
def _places():
    return _shelf.shelf("places.toml", Place)


def _folded(name: str) -> str:
    for sign in "-_,":
        name = name.replace(sign, " ")
    return " ".join(name.casefold().split())


def _find(things, name, kind):
    if not isinstance(name, str):
        raise ValueError(f"{kind} names are text; {name!r} is not.")
    folded = {_folded(known): known for known in things}
    if _folded(name) not in folded:
        otherwise = f"there are {', '.join(things)}"
        raise ValueError(f"there is no {kind} {name!r}; {suggest(name, things, otherwise)}")
    return things[folded[_folded(name)]]


def oven(name: str) -> Oven:
    """The oven of that name on the shelf (`ovens` lists them), else one of your own (`own.own_ovens`); case,
    hyphens and commas don't matter.
    """
    from .own import own_ovens

    shelf = _ovens()
    on_shelf = not isinstance(name, str) or _folded(name) in map(_folded, shelf)
    return _find(shelf if on_shelf else {**shelf, **own_ovens()}, name, "oven")


def pot(name: str) -> Pot:
    """The pot of that name on the course's shelf (`pots` lists them)."""
    return _find(_pots(), name, "pot")


def food(name: str) -> Food:
    """The food or dish of that name on the course's shelf (`foods` lists them)."""
    return _find(_foods(), name, "food")


def place(name: str) -> Place:
    """The city of that name on the course's shelf (`places` lists them); elsewhere, use `place_at`."""
    return _find(_places(), name, "place")


def ovens() -> tuple[str, ...]:
    """Names of the ovens on the shelf."""
    return tuple(_ovens())


def pots() -> tuple[str, ...]:
    """Names of the pots on the shelf."""
    return tuple(_pots())


def foods() -> tuple[str, ...]:
    """Names of the foods on the shelf."""
    return tuple(_foods())


def places() -> tuple[str, ...]:
    """Names of the places on the shelf."""
    return tuple(_places())


def place_at(latitude: float, longitude: float, elevation: float, timezone: str, name: str = "here") -> Place:
    """A `Place` from its coordinates, whose time zone must suit its longitude.

    Clocks keep within about three hours of the sun everywhere; ValueError beyond four, where most often the
    sign of the longitude is wrong.  ``UTC`` and ``Etc/…`` zones are taken as given.
    """
    here = Place(name, latitude, longitude, elevation, timezone)
    if timezone != "UTC" and not timezone.startswith("Etc/"):
        clock = datetime(2025, 1, 15, tzinfo=ZoneInfo(timezone)).utcoffset().total_seconds() / 3600.0
        apart = (clock - longitude / 15.0 + 12.0) % 24.0 - 12.0
        if abs(apart) > 4.0:
            raise ValueError(
                f"longitude {longitude:g}° and timezone {timezone} are {abs(apart):.1f} hours apart; "
                "check the sign of the longitude (east is positive) and the zone."
            )
    return here


# --- draws and portions ------------------------------------------------------------------------------------

#: What `vary` leaves alone: dimensions one reads off a tape, and what tables of light and heat are made from.
FIXED = (
    "aperture_width", "aperture_length", "tilt_min", "tilt_max", "glazing_sheets", "glazing_refractive_index",
    "glazing_extinction", "glazing_thickness", "cavity_depth", "tray_area", "wall_area", "porosity",
)  # fmt: skip


def vary(thing, generator: np.random.Generator, n: int | tuple[int, ...]):
    """``n`` draws of an oven, pot or food from the spreads its sources state: arrays ``(n,)`` in its fields.

    Each number is drawn on its own, normal about its present value with the spread its source states, kept
    inside the source's ``low``..``high`` (inside the physical limits, if the value was changed to lie outside
    them).  The same generator state gives the same draws.  An oven's geometry (`FIXED`, and its reflectors)
    and a food's composition and porosity stay as they are, and so does a number whose spread is 0 or that has
    no source.
    """
    changed = {}
    for item in fields(thing):
        quantity = thing.sources.get(item.name)
        if quantity is None or quantity.spread == 0.0 or item.name in FIXED:
            continue
        value = getattr(thing, item.name)
        if np.ndim(value):
            raise ValueError(
                f"{thing.name}: {item.name} holds draws already; vary a thing of single numbers."
            )
        low, high = quantity.low, quantity.high
        if not low <= value <= high:
            low, high, _ = LIMITS[type(thing).__name__][item.name]
        changed[item.name] = draw(generator, n, value, quantity.spread, low, high)
    if not changed:
        raise ValueError(f"{thing.name}: no number states a spread; start from a thing on the shelf.")
    return replace(thing, **changed)


def portion(food: Food, *, mass=None, water=None, pieces=None, initial_temperature=None) -> Food:
    """The same dish in another amount [kg], or at another starting temperature [°C].

    ``mass`` alone: cooking water scales with it; a dish of several pieces gets more or fewer of the same
    size, to the nearest whole one; a single body (egg, loaf, bird) grows alike in all directions.  With
    ``pieces`` given, the mass is shared among them.  Whatever the mass of one piece becomes, its half
    thickness follows as the cube root. Liquid and thick dishes have no pieces: their size is the pot's.
    Sources and spreads scale along.
    """
    ratio = 1.0 if mass is None else np.asarray(mass, float) / food.mass
    new = {} if mass is None else {"mass": mass}
    new["water"] = food.water * ratio if water is None else water
    if food.form in ("pieces", "solid"):
        single = np.asarray(food.pieces) <= 1.0
        same = np.where(single, food.pieces, np.maximum(np.round(food.pieces * ratio), 1.0))
        new["pieces"] = same if pieces is None else pieces
        each = ratio * food.pieces / np.asarray(new["pieces"], float)
        new["half_thickness"] = food.half_thickness * np.cbrt(each)
    if initial_temperature is not None:
        new["initial_temperature"] = initial_temperature
    new = {name: value if np.ndim(value) else float(value) for name, value in new.items()}
    kept = {name: value for name, value in new.items() if np.any(value != getattr(food, name))}
    sources = dict(food.sources)
    for name, value in kept.items():
        if name in sources and np.ndim(value) == 0:
            sources[name] = _rescaled(sources[name], value, name)
    return replace(food, **kept, sources=sources)


def _rescaled(old: Quantity, value: float, name: str) -> Quantity:
    low, high, _ = LIMITS["Food"][name]
    same = name == "initial_temperature" or old.value == 0.0  # a thermometer's doubt does not scale
    spread = old.spread if same else old.spread * value / old.value
    if not same:
        low, high = max(low, old.low * value / old.value), min(high, old.high * value / old.value)
    source = f"portion chosen; was {old.value:g} {old.unit}: {old.source}"
    return Quantity(value, old.unit, spread, source, low, high)


# --- an oven of one's own ----------------------------------------------------------------------------------


def load_oven(path) -> Oven:
    """The oven in a TOML file written by `save_oven`, or by hand in the form of data/ovens.toml."""
    path = Path(path)
    try:
        text = path.read_text("utf-8")
    except OSError:
        raise FileNotFoundError(f"{path.name} can't be read; give the path of an oven's TOML file.") from None
    except UnicodeDecodeError:
        raise ValueError(f"{path.name} is not text in UTF-8; give the path of an oven's TOML file.") from None
    found = _shelf.parse(text, path.name, Oven, Reflector)
    if len(found) != 1:
        raise ValueError(f"{path.name} holds {len(found)} ovens; a file of one's own holds one.")
    return next(iter(found.values()))


def save_oven(oven: Oven, path, *, replace: bool = False) -> None:
    """Write ``oven`` with units, spreads and sources as TOML; an existing file stays unless ``replace``.

    A number that differs from what its source states is marked as changed, one without a source as stated by
    hand.
    """
    _shelf.write(path, _shelf.entry(oven), replace=replace)

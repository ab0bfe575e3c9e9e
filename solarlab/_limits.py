"""What each field of a thing may be: one table of units and ranges, one check.

The ranges are physical or plainly practical limits, wide enough for any box oven; they are not spreads.
"""

from __future__ import annotations

import zoneinfo
from difflib import get_close_matches

import numpy as np

COMPOSITION = ("water", "protein", "fat", "carbohydrate", "fibre", "ash")
CHOICES = {
    "edge": ("top", "bottom", "left", "right"),
    "form": ("liquid", "thick", "pieces", "solid"),
    "shape": ("sphere", "cylinder", "slab"),
}
OPTIONAL = ("reaim_every", "tilt", "azimuth")  # fields in which None has a meaning
_SHARE = (0.0, 1.0, "1")

#: class: {field: (lowest, highest, unit)}
LIMITS = {
    "Place": {
        "latitude": (-90.0, 90.0, "°"),
        "longitude": (-180.0, 180.0, "°"),
        "elevation": (-450.0, 6000.0, "m"),
    },
    "Reflector": {"length": (0.001, 5.0, "m"), "flare": (0.0, 90.0, "°")},
    "Oven": {
        "aperture_width": (0.05, 5.0, "m"),
        "aperture_length": (0.05, 5.0, "m"),
        "reflectance": _SHARE,
        "specular_fraction": _SHARE,
        "slope_error": (0.0, 20.0, "°"),
        "dust": _SHARE,
        "tilt_min": (0.0, 90.0, "°"),
        "tilt_max": (0.0, 90.0, "°"),
        "glazing_sheets": (1, 2, "1"),
        "glazing_refractive_index": (1.0, 2.0, "1"),
        "glazing_extinction": (0.0, 2000.0, "1/m"),
        "glazing_thickness": (5e-6, 0.03, "m"),
        "glazing_density": (500.0, 4000.0, "kg/m³"),
        "glazing_specific_heat": (300.0, 3000.0, "J/(kg K)"),
        "glazing_emittance": (0.01, 1.0, "1"),
        "glazing_gap": (0.0, 0.2, "m"),
        "cavity_depth": (0.02, 2.0, "m"),
        "cavity_heat_capacity": (10.0, 1e6, "J/K"),
        "cavity_emittance": (0.01, 1.0, "1"),
        "tray_area": (0.001, 25.0, "m²"),
        "tray_absorptance": _SHARE,
        "wall_area": (0.001, 100.0, "m²"),
        "wall_absorptance": _SHARE,
        "wall_conductance": (0.0, 50.0, "W/(m² K)"),
        "air_leakage": (0.0, 500.0, "1/h"),
        "tray_conductance": (1e-4, 20.0, "W/K"),
    },
    "Pot": {
        "diameter": (0.02, 2.0, "m"),
        "height": (0.005, 2.0, "m"),
        "mass": (0.001, 200.0, "kg"),
        "specific_heat": (100.0, 5000.0, "J/(kg K)"),
        "absorptance": _SHARE,
        "transmittance": _SHARE,
        "emittance": (0.01, 1.0, "1"),
        "wall_resistance": (0.0, 0.1, "m² K/W"),
        "lid_leakage": _SHARE,
        "contact_conductance": (0.0, 5000.0, "W/(m² K)"),
    },
    "Food": {
        "mass": (0.0, 1000.0, "kg"),
        "water": (0.0, 1000.0, "kg"),
        "initial_temperature": (-40.0, 120.0, "°C"),
        "initial_freezing_point": (-30.0, 0.0, "°C"),
        "half_thickness": (1e-4, 0.5, "m"),
        "pieces": (1.0, 1e7, "1"),
        "absorptance": _SHARE,
        "emittance": (0.01, 1.0, "1"),
        "surface_wetness": _SHARE,
        "porosity": (0.0, 0.9, "1"),
    },
    "Handling": {
        "reaim_every": (1.0, 1440.0, "min"),
        "tilt": (0.0, 90.0, "°"),
        "azimuth": (-360.0, 360.0, "°"),
        "aim_error": (0.0, 45.0, "°"),
        "opening_seconds": (0.0, 3600.0, "s"),
        "preheat": (0.0, 720.0, "min"),
        "standing": (0.0, 10080.0, "min"),
    },
}


def fahrenheit(celsius):
    """°F of a temperature in °C."""
    return np.asarray(celsius, float) * 1.8 + 32.0


def both_units(celsius) -> str:
    """A temperature as a person reads it: "71 °C (160 °F)", and never "-0"."""
    in_both = (np.round(float(value)) + 0.0 for value in (celsius, fahrenheit(celsius)))
    return "{:.0f} °C ({:.0f} °F)".format(*in_both)


def within(label, value, low, high, unit):
    """Raise ValueError in one sentence unless every number of ``value`` lies in ``low``..``high``."""
    unit = "" if unit == "1" else f" {unit}"
    try:
        numbers = np.asarray("" if value is None else value)
        if numbers.dtype.kind in "USc":  # "5" is no number, and a complex one would lose its half
            raise TypeError
        numbers = numbers.astype(float)
    except (TypeError, ValueError):
        told = f"{label} is {value!r}; it must be a number from {low:g} to {high:g}{unit}."
        raise ValueError(told) from None
    good = (numbers >= low) & (numbers <= high)  # a NaN is neither
    if not good.all():
        worst = numbers[~good].flat[0]
        hint = " Is it in °F?" if unit == " °C" and worst > high else ""
        raise ValueError(f"{label} is {worst:g}{unit}; it must lie between {low:g} and {high:g}{unit}.{hint}")


def check(thing) -> None:
    """Raise ValueError for the first field of ``thing`` that is out of range; arrays are checked whole."""
    kind = type(thing).__name__
    called = getattr(thing, "name", None)
    owner = f"{called}: " if isinstance(called, str) and called else f"{kind.lower()}: "
    sizes = {}
    for field, (low, high, unit) in LIMITS[kind].items():
        value = getattr(thing, field)
        if value is None and field in OPTIONAL:
            continue
        if field in ("half_thickness", "pieces") and thing.form == "liquid":
            low = 0.0  # a liquid has no shape
        if type(value) in (float, int) and low <= value <= high:
            continue  # the common case, without numpy
        within(owner + field, value, low, high, unit)
        if np.ndim(value):
            sizes[field] = np.shape(value)
    try:
        np.broadcast_shapes(*sizes.values())
    except ValueError:
        told = ", ".join(f"{field} {size}" for field, size in sizes.items())
        raise ValueError(f"{owner}fields hold different numbers of scenarios: {told}.") from None
    _SPECIAL[kind](thing, owner)


def _one_of(thing, field, owner):
    value, allowed = getattr(thing, field), CHOICES[field]
    if value not in allowed:
        raise ValueError(f"{owner}{field} is {value!r}; it is one of {', '.join(allowed)}.")


def _place(place, owner):
    try:
        zoneinfo.ZoneInfo(place.timezone)
    except (zoneinfo.ZoneInfoNotFoundError, ValueError, TypeError, OSError):
        known = sorted(zoneinfo.available_timezones())
        help_ = suggest(str(place.timezone), known, "give a name such as Africa/Nairobi")
        raise ValueError(f"{owner}timezone {place.timezone!r} is not known; {help_}") from None


def _reflector(reflector, owner):
    _one_of(reflector, "edge", owner)


def _oven(oven, owner):
    if np.any(np.asarray(oven.tilt_min) > np.asarray(oven.tilt_max)):
        raise ValueError(f"{owner}tilt_min is above tilt_max; the flattest tilt comes first.")
    if oven.glazing_sheets not in (1, 2):
        raise ValueError(f"{owner}glazing_sheets is {oven.glazing_sheets!r}; it is 1 or 2.")
    edges = [reflector.edge for reflector in oven.reflectors]
    if len(set(edges)) < len(edges):
        raise ValueError(f"{owner}reflectors hang on {', '.join(edges)}; each edge carries at most one.")


def _pot(pot, owner):
    if np.any(np.asarray(pot.absorptance) + np.asarray(pot.transmittance) > 1.0 + 1e-9):
        raise ValueError(f"{owner}absorptance and transmittance add up to more than 1.")


def _food(food, owner):
    _one_of(food, "form", owner)
    _one_of(food, "shape", owner)
    if np.any(np.asarray(food.mass) + np.asarray(food.water) <= 0.0):
        raise ValueError(f"{owner}mass and water are both 0 kg, which leaves nothing to cook.")
    for name, share in food.composition.items():
        if name not in COMPOSITION:
            raise ValueError(f"{owner}composition has no part {name!r}; it takes {', '.join(COMPOSITION)}.")
        within(f"{owner}{name} in the composition", share, 0.0, 1.0, "1")
    total = sum(np.asarray(share, float) for share in food.composition.values())
    if not np.all(np.abs(total - 1.0) <= 0.01):
        raise ValueError(f"{owner}composition sums to {np.ravel(total)[0]:.3f}; its shares must sum to 1.")
    if not isinstance(food.doneness, str) or isinstance(food.safety, str):
        raise ValueError(f"{owner}doneness is the name of one rule, safety a tuple of names.")


def _handling(handling, owner):
    for clock in np.ravel(np.asarray(handling.loaded)):
        hour, colon, minute = str(clock).partition(":")
        good = colon and hour.isdecimal() and minute.isdecimal() and len(minute) == 2
        if not (good and int(hour) < 24 and int(minute) < 60):
            raise ValueError(f"{owner}loaded is {str(clock)!r}; give a local clock time such as '09:30'.")
    if np.ndim(handling.lid_openings) == 0:
        told = f"{owner}lid_openings is {handling.lid_openings!r}; give minutes after loading as a tuple"
        raise ValueError(f"{told}, such as (30, 60).")
    for after in handling.lid_openings:
        within(f"{owner}lid_openings", after, 0.0, 1440.0, "min")


_SPECIAL = {
    "Place": _place,
    "Reflector": _reflector,
    "Oven": _oven,
    "Pot": _pot,
    "Food": _food,
    "Handling": _handling,
}


def suggest(word, known, otherwise):
    """'did you mean …?' for the names in ``known`` nearest to ``word``, or ``otherwise`` if none is near."""
    folded = {name.casefold(): name for name in known}
    word = word.casefold()
    near = get_close_matches(word, folded, n=3, cutoff=0.6)
    near += [name for name in folded if word and word in name and name not in near][: 3 - len(near)]
    if not near:
        return f"{otherwise}."
    return f"did you mean {' or '.join(repr(folded[name]) for name in near)}?"

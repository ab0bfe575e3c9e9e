"""What pictures say in words, and the tables of the numbers they draw."""

from __future__ import annotations

import textwrap
from collections.abc import Mapping, Sequence
from typing import NamedTuple

import numpy as np
import pandas as pd

from ._limits import both_units, fahrenheit
from ._picture import clock_hours, clock_text, local_clock, sampled

COMPASS = ("north", "north-east", "east", "south-east", "south", "south-west", "west", "north-west")


class Event(NamedTuple):
    """A numbered mark: what happens and when, in hours on the local clock, ``None`` if it never does."""

    number: int
    what: str
    hour: float | None

    @property
    def text(self) -> str:
        return f"{self.what}: not reached" if self.hour is None else f"{self.what}: {clock_text(self.hour)}"


def events(marks: Sequence[tuple[str, pd.Timestamp | None]], clock: pd.DatetimeIndex) -> list[Event]:
    """The marks numbered from 1, on the local clock whose first instant is ``clock[0]``."""
    found = []
    for number, (what, when) in enumerate(marks, 1):
        never = when is None or pd.isna(when)
        found.append(Event(number, what, None if never else hour_of(when, clock)))
    return found


def hour_of(when, clock: pd.DatetimeIndex) -> float:
    """One tz-aware instant in hours since the midnight that began the day of ``clock[0]``."""
    return float(clock_hours(local_clock([when, when]), clock[0])[0])


def temperatures(hours, curves: Mapping[str, np.ndarray], marked: Sequence[Event] = ()) -> str:
    """Start and peak of each curve, then the marks."""
    parts = []
    for name, curve in curves.items():
        top = int(np.nanargmax(curve))
        first = curve[np.flatnonzero(np.isfinite(curve))[0]]
        peak = f"{both_units(curve[top])} at {clock_text(hours[top])}"
        parts.append(f"{name} starts at {both_units(first)} and peaks at {peak}")
    said = f"From {clock_text(hours[0])} to {clock_text(hours[-1])}: " + "; ".join(parts) + "."
    return said + "".join(f" {event.text}." for event in marked)


def powers(hours, curves: Mapping[str, np.ndarray]) -> str:
    """Peak and energy of each power."""
    parts = []
    for name, curve in curves.items():
        top = int(np.nanargmax(curve))
        energy = float(np.trapezoid(np.nan_to_num(curve), hours))
        parts.append(
            f"{name} peaks at {curve[top]:.0f} W at {clock_text(hours[top])}, {energy:.0f} Wh in all"
        )
    return "Power: " + "; ".join(parts) + "."


def day_table(hours, temperatures: Mapping | None = None, powers: Mapping | None = None) -> pd.DataFrame:
    """About a dozen rows on the local clock: °C and °F of each temperature, then each power."""
    rows = sampled(len(hours))
    columns = {"local clock": [clock_text(hours[i]) for i in rows]}
    for name, curve in (temperatures or {}).items():
        columns[f"{name} (°C)"] = curve[rows].round()
        columns[f"{name} (°F)"] = fahrenheit(curve[rows]).round()
    for name, curve in (powers or {}).items():
        columns[f"{name} (W)"] = curve[rows].round()
    return pd.DataFrame(columns)


def egg_parts(egg):
    """(name, percent set by volume, percent set at the innermost shell) of white and yolk, as present."""
    radius, state, yolk = egg
    volume = np.diff(radius**3, prepend=0.0)
    for name, part in (("white", ~yolk), ("yolk", yolk)):
        if part.any():
            yield (
                name,
                100 * float(np.average(state[part], weights=volume[part])),
                100 * float(state[part][0]),
            )


def egg_lines(egg) -> str:
    """One short line a part, for beside the drawing."""
    return "\n".join(f"{name}: {mean:.0f} % set" for name, mean, _ in egg_parts(egg))


def egg(parts) -> str:
    """The cut egg in a sentence; ``parts`` as from the checked arrays."""
    said = (
        f"the {name} is {mean:.0f} % set ({deep:.0f} % at its innermost)"
        for name, mean, deep in egg_parts(parts)
    )
    return f"The egg cut in half: {', '.join(said)}."


def egg_table(egg) -> pd.DataFrame:
    """One row a shell, centre first."""
    radius, state, yolk = egg
    part = np.where(yolk, "yolk", "white")
    return pd.DataFrame(
        {"out to (mm)": (1e3 * radius).round(1), "part": part, "set (%)": (100 * state).round()}
    )


def compass(azimuth: float) -> str:
    """The nearest of eight directions; azimuth in degrees clockwise from north."""
    return COMPASS[round(float(azimuth) / 45.0) % 8]


def duration(hours: float) -> str:
    """Hours as "45 min" or "3 h 20 min"."""
    minutes = round(60 * hours)
    return f"{minutes} min" if minutes < 60 else f"{minutes // 60} h {minutes % 60:02d} min"


def span(low: float, high: float) -> str:
    """A range in words; an infinite end is open."""
    if np.isinf(low) or np.isinf(high):
        return f"at least {low:g}" if np.isinf(high) else f"at most {high:g}"
    return f"{low:g}" if low == high else f"{low:g}–{high:g}"


def wrapped(text: str, width: int) -> str:
    """Text broken into lines of at most ``width`` characters."""
    return "\n".join(textwrap.wrap(text, width))

"""What the sayings share: a row of the table, the weather they leave open, and draws from the catalogue."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from solarlab import Handling, food, gain, instants, oven, place, portion, pot, sky, vary, warm
from solarlab._scenario import nothing

DRAWS = 200
NEVER = float("inf")
WHERE, DATE = "Phoenix", "2026-03-20"  # a middling sun in clear air, near the sea's boiling point
OKTAS, WIND, AIR = (0.0, 1.0), (0.5, 3.0), (15.0, 30.0)
CLEAR = "Phoenix (33° N, 331 m), 20 March, 0-1 oktas, wind 0.5-3 m/s, air 15-30 °C"
TURNED = "re-aimed every 30 min"
DARK = "dark enamelled steel"


@dataclass(frozen=True)
class Row:
    """A saying under one condition: how it is read, and the model's draws of the same quantity.

    ``said`` is our reading of it, from and to; ``note`` says so where it is not plain.  ``dangerous`` marks
    what the course contradicts.
    """

    saying: str
    condition: str
    quantity: str
    unit: str
    said: tuple[float, float]
    draws: np.ndarray
    note: str = ""
    dangerous: bool = False

    @property
    def model(self) -> tuple[float, float, float]:
        """Values that a tenth, half and nine tenths of the draws stay below; a nan counts as `NEVER`."""
        ordered = np.sort(np.where(np.isnan(self.draws), NEVER, self.draws))
        return tuple(float(ordered[round(share * (ordered.size - 1))]) for share in (0.1, 0.5, 0.9))

    @property
    def agrees(self) -> bool:
        low, _, high = self.model
        return low <= self.said[1] and high >= self.said[0]


def weather(g, n=DRAWS, *, oktas=OKTAS):
    """Skies (n, T) of 07:00-18:00; cloud (unless a mapping by the clock), wind and air are drawn evenly."""
    here = place(WHERE)
    return sky(
        here,
        instants(here, DATE, start="07:00", end="18:00"),
        oktas=oktas if isinstance(oktas, dict) else g.uniform(*oktas, n),
        wind_speed=g.uniform(*WIND, n)[:, None],
        air_temperature=g.uniform(*AIR, n)[:, None],
    )


def ovens(name, g, n=DRAWS):
    return vary(oven(name), g, n)


def pots(name, g, n=DRAWS):
    return vary(pot(name), g, n)


def dishes(name, g, n=DRAWS, mass=None):
    """Draws of a food, of the catalogue's mass or of ``mass`` kg, from and to."""
    drawn = vary(food(name), g, n)
    return drawn if mass is None else portion(drawn, mass=g.uniform(*mass, n))


def minutes(seconds):
    return np.where(np.isnan(seconds), NEVER, seconds) / 60.0


def empty(box, under, handling: Handling, vessel=None):
    """The `Warming` of an oven with nothing in it, or with a dry pot."""
    return warm(box, vessel, nothing(25.0), gain(box, under, handling), under, handling)


def between(times, begin, end):
    """Slice of the instants from ``begin`` to ``end``, hours of the local clock."""
    hour = np.asarray(times.local.hour + times.local.minute / 60.0)
    return slice(int(np.argmax(hour >= begin)), int(np.argmax(hour >= end)) + 1)


def at(times, series, when):
    """``series`` (n, T) read at ``when`` (n,), nan where that is never; ``times`` (n, T) or (T,)."""
    times = np.broadcast_to(times, series.shape)
    known = np.where(np.isfinite(when), when, 0.0)
    read = [np.interp(w, t, s) for w, t, s in zip(known, times, series, strict=True)]
    return np.where(np.isfinite(when), read, np.nan)

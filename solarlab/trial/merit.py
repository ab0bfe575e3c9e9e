"""The two figures of merit of a box without mirrors: IS 13429, after Mullick, Kandpal & Saxena (1987).

F1 = (T_stagnation − T_air) / H, of the empty box; F2 from the time water takes between two temperatures.
H is light on level ground and the box lies level with its mirrors covered or folded away.  Formulas and
grades are from memory.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from .._limits import both_units, within
from .._rates import first_crossing
from ..catalogue import Handling, Oven, Place, Pot, food, portion, pot
from ..food import body
from ..heat import stagnation, warm
from ..oven import Gain, glazing_transmittance
from ..sky import Sky, sky_temperature
from ..sun import Instants, station_pressure
from ..water import SPECIFIC_HEAT, boiling_point
from .light import sky_of
from .logger import Log

GRADE_A, GRADE_B, SECOND = 0.12, 0.11, 0.40  # K m²/W, K m²/W, 1
LOAD = 8.0  # kg of water per m² of aperture
FROM, TO = 60.0, 90.0  # °C, between which the water is timed
STEADY, DRIFT = 900.0, 2.0  # s, K: a cavity that moves less in that time has settled
WEAKEST = 600.0  # W/m², from memory: the tests ask at least this


@dataclass(frozen=True)
class FiguresOfMerit:
    """``first`` [K m²/W] and ``second`` [1]; NaN where not measured.  ``notes``: what was amiss."""

    first: float
    second: float
    stagnation: float
    notes: tuple[str, ...] = ()

    @property
    def grade(self) -> str:
        """The grade: "A", "B" or "none"."""
        return grade(self.first, self.second)

    def __str__(self) -> str:
        return " ".join(self.told())

    def told(self) -> list[str]:
        """The figures and their notes, a sentence each."""
        hot = both_units(self.stagnation)
        told = [
            f"F1 {self.first:.3f} K m²/W (stagnation {hot})"
            if np.isfinite(self.first)
            else "F1 not measured",
            f"F2 {self.second:.2f}, grade {self.grade}" if np.isfinite(self.second) else "F2 not measured",
        ]
        return ["; ".join(told) + ".", *self.notes]


def first_figure(stagnation_temperature, air_temperature, irradiance):
    """F1 [K m²/W] of an empty box that settled at ``stagnation_temperature`` [°C] under ``irradiance``."""
    within("irradiance", irradiance, 1.0, 1800.0, "W/m²")
    return (np.asarray(stagnation_temperature, float) - air_temperature) / np.asarray(irradiance, float)


def stagnation_from(first, air_temperature, irradiance):
    """Temperature [°C] at which a box of that F1 settles: the inverse of `first_figure`."""
    return air_temperature + np.asarray(first, float) * irradiance


def second_figure(first, *, water, area, seconds, air_temperature, irradiance, start=FROM, end=TO):
    """F2 of ``water`` [kg] over ``area`` [m²] of aperture that took ``seconds`` from ``start`` to ``end``."""
    return _logarithm(first, air_temperature, irradiance, start, end) * (
        np.asarray(first, float) * water * SPECIFIC_HEAT / (np.asarray(area, float) * seconds)
    )


def heating_time(first, second, *, water, area, air_temperature, irradiance, start=FROM, end=TO):
    """Seconds from ``start`` to ``end`` [°C] in a box of these figures: the inverse of `second_figure`."""
    return second_figure(
        first, water=water, area=area, seconds=1.0, air_temperature=air_temperature, irradiance=irradiance,
        start=start, end=end,
    ) / np.asarray(second, float)  # fmt: skip


def _logarithm(first, air, irradiance, start, end):
    most = stagnation_from(first, air, irradiance)
    if np.any(np.asarray(end) >= most) or np.any(np.asarray(start) >= end):
        raise ValueError(
            f"water can't be timed from {np.ravel(start)[0]:g} to {np.ravel(end)[0]:g} °C in a box "
            f"settling at {np.min(most):.0f} °C; choose temperatures below that, the lower first."
        )
    return np.log((most - start) / (most - end))


def grade(first: float, second: float) -> str:
    """The grade: "A" (F1 above .12), "B" (above .11) or "none"; both ask F2 above .40."""
    if not second > SECOND:
        return "none"
    return "A" if first > GRADE_A else "B" if first > GRADE_B else "none"


def modelled_merit(
    oven: Oven,
    vessel: Pot | None = None,
    *,
    irradiance=800.0,
    air_temperature=30.0,
    wind_speed=1.0,
    load=LOAD,
) -> FiguresOfMerit:
    """The model's oven put through the same test: mirrors away, level, steady light from straight above.

    ``load`` [kg/m²] of water stands in one pot of ``vessel``'s kind, made wide enough for it.
    """
    box = replace(oven, reflectors=())
    area = float(box.aperture_width * box.aperture_length)
    through, kept = (
        float(part) * (1.0 - float(box.dust)) for part in glazing_transmittance(box, np.array(0.0))
    )
    powers = {"into_cavity": through * irradiance * area, "into_glazing": kept * irradiance * area}
    air = {"air_temperature": air_temperature, "wind_speed": wind_speed}
    settled = float(stagnation(box, tilt=0.0, **powers, **air).cavity)
    first = float(first_figure(settled, air_temperature, irradiance))
    water = load * area
    wide = _vessel(vessel or pot("dark enamelled steel"), water)
    minutes = np.datetime64("2000-01-01T00", "ns") + np.arange(1441) * np.timedelta64(60, "s")
    flat, vectors = np.ones(minutes.size), np.zeros((minutes.size, 3))
    cold = float(sky_temperature(air_temperature))
    dark = Sky(Instants(minutes, "UTC"), vectors, 0 * flat, 0 * flat, air_temperature * flat, cold * flat,
               wind_speed * flat, 101325.0 * flat)  # fmt: skip
    light = Gain(powers["into_cavity"] * flat, powers["into_glazing"] * flat, 0 * flat, vectors)
    dish = body(portion(food("water"), mass=water, initial_temperature=air_temperature), wide)
    heated = warm(box, wide, dish, light, dark, Handling(loaded="00:00")).liquid
    now = np.arange(minutes.size) * 60.0
    begins, ends = (float(first_crossing(now[None], heated[None], level)[0]) for level in (FROM, TO))
    if not np.isfinite(ends):
        return FiguresOfMerit(first, np.nan, settled, (f"The water does not reach {TO:g} °C.",))
    second = second_figure(first, water=water, area=area, seconds=ends - begins, irradiance=irradiance,
                           air_temperature=air_temperature)  # fmt: skip
    return FiguresOfMerit(first, float(second), settled)


def _vessel(kind: Pot, water: float) -> Pot:
    """As many pots of that kind as hold the water when three fifths full, as one wide pot of their mass."""
    count = water / (0.6 * 998.0 * np.pi / 4.0 * float(kind.diameter) ** 2 * float(kind.height))
    return replace(kind, diameter=float(kind.diameter) * np.sqrt(count), mass=float(kind.mass) * count)


def measured_merit(
    empty: Log | None, loaded: Log | None, place: Place, oven: Oven, water: float
) -> FiguresOfMerit:
    """The figures from a log of the empty box (its "cavity") and one of ``water`` kg heated in it ("water").

    Either may be None; F2 needs F1.  F1 is taken where the cavity was steadiest near its hottest: over 15
    minutes in which it moved less than 2 K.
    """
    area = float(oven.aperture_width * oven.aperture_length)
    notes = []
    if oven.reflectors:
        notes.append("The figures are for a box without mirrors: cover them or fold them away for the test.")
    if empty is None:
        return FiguresOfMerit(np.nan, np.nan, np.nan, (*notes, "F1 needs a log of the empty box."))
    first, settled = _measured_first(empty, place, notes)
    if loaded is None or not np.isfinite(first):
        return FiguresOfMerit(
            first, np.nan, settled, (*notes, "F2 needs F1, and a log of water being heated.")
        )
    if abs(water / area / LOAD - 1.0) > 0.1:
        notes.append(f"The load was {water / area:.1f} kg/m² of aperture; the test asks {LOAD:g}.")
    loaded.needs("water")
    sky, said = sky_of(loaded, place)
    heat = _smooth(loaded.temperature("water"), loaded.times.step)
    now = np.arange(heat.size) * loaded.times.step
    known = np.isfinite(heat)
    boil = float(boiling_point(station_pressure(place.elevation)))
    end = min(TO, boil - 5.0)
    begins, ends = (
        float(first_crossing(now[known][None], heat[known][None], level)[0]) for level in (FROM, end)
    )
    if not (np.isfinite(begins) and np.isfinite(ends) and begins < ends):
        note = f"The water was not seen to pass both {FROM:g} and {end:.0f} °C, so there is no F2."
        return FiguresOfMerit(first, np.nan, settled, (*notes, *said, note))
    during = (now >= begins) & (now <= ends)
    light, air = float(sky.global_horizontal[during].mean()), float(sky.air_temperature[during].mean())
    if light < WEAKEST:
        notes.append(f"The light was {light:.0f} W/m² while the water was timed, below {WEAKEST:g}.")
    try:
        second = second_figure(first, water=water, area=area, seconds=ends - begins, air_temperature=air,
                               irradiance=light, end=end)  # fmt: skip
    except ValueError as reason:
        return FiguresOfMerit(first, np.nan, settled, (*notes, *said, f"There is no F2: {reason}"))
    return FiguresOfMerit(first, float(second), settled, (*notes, *said))


def _measured_first(log: Log, place: Place, notes: list[str]) -> tuple[float, float]:
    """F1 and the temperature at which the cavity settled."""
    log.needs("cavity")
    sky, said = sky_of(log, place)
    notes += said
    inside = _smooth(log.temperature("cavity"), log.times.step)
    count = max(round(STEADY / log.times.step), 1)
    if inside.size <= count:
        notes.append("The log of the empty box is too short to see it settle.")
        return np.nan, np.nan
    moved = np.abs(inside[count:] - inside[:-count])
    middle = inside[count // 2 : inside.size - count + count // 2]
    steady = np.isfinite(moved) & (moved < DRIFT) & (middle > np.nanmax(inside) - 5.0)
    if not steady.any():
        notes.append(
            f"The empty box never settled to within {DRIFT:g} K in {STEADY / 60:g} min, so there is no F1."
        )
        return np.nan, np.nan
    at = int(np.flatnonzero(steady)[np.argmin(moved[steady])])
    rows = slice(at, at + count + 1)
    light, air = float(sky.global_horizontal[rows].mean()), float(sky.air_temperature[rows].mean())
    if light < WEAKEST:
        notes.append(f"The light was {light:.0f} W/m² when the box settled, below {WEAKEST:g}.")
    settled = float(np.nanmean(inside[rows]))
    return float(first_figure(settled, air, light)), settled


def _smooth(row: np.ndarray, step: float) -> np.ndarray:
    """Means over five minutes around each reading; NaN where one is missing."""
    half = round(150.0 / step)
    if half < 1:
        return row
    wide = np.lib.stride_tricks.sliding_window_view(np.pad(row, half, mode="reflect"), 2 * half + 1)
    return wide.mean(axis=-1)

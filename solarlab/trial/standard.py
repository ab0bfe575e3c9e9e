"""Standard cooking power from logs, interval by interval, after ASAE S580.1.

The clauses on intervals, standardising and regression are the standard's [seen]; its limits are from memory.
Sources differ on the water's range: "from 5 K above the air to 5 K below the local boil" is used here, not
"40 to 90 °C".
"""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
import pandas as pd
from scipy import stats

from .._limits import fahrenheit, within
from ..catalogue import Oven, Place
from ..sun import solar_time, station_pressure
from ..water import SPECIFIC_HEAT, boiling_point
from .estimate import Estimate, spread_about
from .light import facing_of
from .logger import Log

INTERVAL = 600.0  # s
STANDARD_LIGHT = 700.0  # W/m²
AT = 50.0  # K, where the value is reported
LIGHT_LOW, LIGHT_HIGH, LIGHT_VARIES = 450.0, 1100.0, 100.0  # W/m²
WIND_MOST, WIND_DISCARD = 1.0, 2.5  # m/s
AIR_LOW, AIR_HIGH = 20.0, 35.0  # °C
MARGIN = 5.0  # K above the air, and below the boil
FROM, TO = 10.0, 14.0  # h, solar time
POINTS, DAYS, R_SQUARED = 30, 3, 0.75
LOADING = 7.0  # kg of water per m² of intercept area
# Of the F test for days: below it the days, not the points, make the interval.  At .05 the 95 % interval
# covered 86 % where days scatter half as much as points; at .3, 93 to 97 % at any scatter of 3 to 6 days.
_DAYS_DIFFER = 0.3


@dataclass(frozen=True, eq=False)
class StandardPower:
    """The regression of standardised cooking power [W] on water less air [K].

    ``at_50``: the value at 50 K.  ``intervals``: one row an interval with its ``reason``, empty where it was
    kept.  ``per_area``: ``at_50`` over the intercept area [W/m²].  ``fulfilled``: whether all the standard
    asks was met; ``notes`` say what was not.
    """

    intercept: float
    slope: float
    at_50: Estimate
    per_area: Estimate
    r_squared: float
    points: int
    days: int
    intervals: pd.DataFrame = field(repr=False)
    fulfilled: bool
    notes: tuple[str, ...]

    def __str__(self) -> str:
        return " ".join(self.told())

    def told(self) -> list[str]:
        """The power and its notes, a sentence each."""
        if not np.isfinite(self.slope):
            return ["No line can be drawn.", *self.notes]
        sign = "−" if self.slope < 0 else "+"
        line = (
            f"{self.at_50}; P = {self.intercept:.1f} W {sign} {abs(self.slope):.2f} W/K × ΔT, R² "
            f"{self.r_squared:.2f}, intervals: {self.points}, days: {self.days}."
        )
        return [line, *self.notes]


def standardised(power, irradiance):
    """Cooking power [W] scaled to the standard's 700 W/m²."""
    return np.asarray(power, float) * (STANDARD_LIGHT / np.asarray(irradiance, float))


def intercept_area(oven: Oven) -> float:
    """Aperture and reflectors as the sun sees them when the oven faces it, m²: what the standard loads by."""
    width, length = float(oven.aperture_width), float(oven.aperture_length)
    area = width * length
    for mirror in oven.reflectors:
        edge = width if mirror.edge in ("top", "bottom") else length
        area += edge * mirror.length * np.sin(np.radians(mirror.flare))
    return float(area)


def standard_power(logs, place: Place, oven: Oven, water: float) -> StandardPower:
    """Standard cooking power of ``oven`` from `Log`s of ``water`` kg heated in it on one or more days.

    Each log is cut into 10-minute intervals from its first reading on each day.  An interval that breaks a
    rule is rejected with its reasons; none is lost.  The interval of the 50 K value is Student's, treating
    intervals as independent, unless the days differ by more than their scatter: then it rests on the days.
    """
    within("water", water, 0.01, 1000.0, "kg")
    logs = [logs] if isinstance(logs, Log) else list(logs)
    notes, rows = [], []
    for log in logs:
        log.needs("water", "air", "irradiance")
        facing, note = facing_of(log, place)
        notes += [note] if note else []
        if log.wind is None:
            notes.append(f"The wind was not measured in {log.name}: its rule was not applied.")
        rows += _intervals(log, facing, place, float(water))
    table = pd.DataFrame(rows).drop_duplicates(["start"]) if rows else pd.DataFrame(columns=_COLUMNS)
    load = float(water) / intercept_area(oven)
    if abs(load / LOADING - 1.0) > 0.1:
        notes.append(f"The load was {load:.1f} kg/m² of intercept area; the standard asks {LOADING:g}.")
    return regress(table, area=intercept_area(oven), notes=tuple(dict.fromkeys(notes)))


_COLUMNS = ["day", "start", "water", "air", "irradiance", "wind", "water_F", "difference", "power",
            "standard_power", "reason"]  # fmt: skip


def _intervals(log: Log, facing: np.ndarray, place: Place, water: float):
    """One dict an interval."""
    count = round(INTERVAL / log.times.step)
    seconds = count * log.times.step
    if count < 1 or abs(seconds - INTERVAL) > 0.05 * INTERVAL:
        raise ValueError(
            f"{log.name} has a reading every {log.times.step:g} s, which does not make up 10 minutes; "
            "the standard needs one at least every 10 minutes."
        )
    warm, air, clock = log.temperature("water"), log.temperature("air"), log.times.local
    sun = solar_time(place, log.times)
    boil = float(boiling_point(station_pressure(place.elevation)))
    stormy = _stormy_days(log)
    known = np.flatnonzero(np.isfinite(warm))
    firsts = [known[clock.date[known] == day][0] for day in dict.fromkeys(clock.date[known])]
    for first, end in zip(firsts, [*firsts[1:], warm.size], strict=True):
        for a in range(first, end - count, count):
            rows = slice(a, a + count + 1)
            power = water * SPECIFIC_HEAT * (warm[a + count] - warm[a]) / seconds
            light, heat = facing[rows], warm[rows]
            gap = not all(np.isfinite(part).all() for part in (light, heat, air[rows]))
            mean = {"water": heat.mean(), "air": air[rows].mean(), "irradiance": light.mean()}
            mean["wind"] = np.nan if log.wind is None else log.wind[rows].mean()
            reasons = (
                ["gap in the readings"] if gap else _reasons(mean, light, heat, boil, sun[a], sun[a + count])
            )
            if clock.date[a] in stormy:
                reasons.append(
                    f"wind above {WIND_DISCARD:g} m/s for over 10 min that day: the day is discarded"
                )
            yield {
                "day": clock.date[a], "start": clock[a], **mean, "water_F": float(fahrenheit(mean["water"])),
                "difference": mean["water"] - mean["air"], "power": power,
                "standard_power": np.nan if gap else float(standardised(power, max(mean["irradiance"], 1.0))),
                "reason": "; ".join(reasons),
            }  # fmt: skip


def _reasons(mean, light, heat, boil, begins, ends) -> list[str]:
    """What the interval breaks."""
    found = []
    if light.min() < LIGHT_LOW:
        found.append(f"light {light.min():.0f} W/m², below {LIGHT_LOW:g}")
    if light.max() > LIGHT_HIGH:
        found.append(f"light {light.max():.0f} W/m², above {LIGHT_HIGH:g}")
    if np.ptp(light) > LIGHT_VARIES:
        found.append(f"light varies by {np.ptp(light):.0f} W/m², more than {LIGHT_VARIES:g}")
    if mean["wind"] > WIND_MOST:
        found.append(f"wind {mean['wind']:.3g} m/s, above {WIND_MOST:.1f}")
    if not AIR_LOW <= mean["air"] <= AIR_HIGH:
        found.append(f"air {mean['air']:.0f} °C, outside {AIR_LOW:g} to {AIR_HIGH:g}")
    if begins < FROM or ends > TO or ends < begins:
        found.append("outside 10:00 to 14:00 solar time")
    if min(heat[0], heat[-1]) < mean["air"] + MARGIN:
        found.append(f"water less than {MARGIN:g} K above the air")
    if max(heat[0], heat[-1]) > boil - MARGIN:
        found.append(f"water within {MARGIN:g} K of the boil ({boil:.0f} °C here)")
    return found


def _stormy_days(log: Log) -> set:
    if log.wind is None:
        return set()
    strong = np.flatnonzero(np.diff(np.r_[False, log.wind > WIND_DISCARD, False]))
    runs = zip(strong[::2], strong[1::2], strict=True)
    return {log.times.local.date[a] for a, b in runs if (b - a) * log.times.step > INTERVAL}


def regress(intervals: pd.DataFrame, *, area: float = 1.0, notes: tuple[str, ...] = ()) -> StandardPower:
    """The line through the intervals that were kept: columns ``day``, ``difference`` [K], ``standard_power``
    [W] and ``reason`` ("" for kept)."""
    kept = intervals[intervals["reason"] == ""]
    x, y = kept["difference"].to_numpy(float), kept["standard_power"].to_numpy(float)
    points, days = len(kept), kept["day"].nunique()
    notes = list(notes)
    what = "standard cooking power at 50 K"
    if points < 3 or np.ptp(x) < 1e-6:
        common = intervals.loc[intervals["reason"] != "", "reason"].str.split(";").str[0].value_counts()
        notes.append(f"{points} of {len(intervals)} intervals were kept and a line needs 3 apart.")
        notes += [f"Most often: {common.index[0]}."] if len(common) else []
        none = Estimate(what, np.nan, np.nan, np.nan, "W", np.nan, 0)
        per = Estimate(f"{what} per area", np.nan, np.nan, np.nan, "W/m²", np.nan, 0)
        return StandardPower(np.nan, np.nan, none, per, np.nan, points, days, intervals, False, tuple(notes))
    slope, intercept = np.polyfit(x, y, 1)
    rest = y - (intercept + slope * x)
    whole = ((y - y.mean()) ** 2).sum()
    r_squared = 1.0 - (rest**2).sum() / whole if whole > 0 else 1.0
    value, error, freedom, told = _doubt(x, y, rest, slope, intercept, kept["day"].to_numpy())
    notes += [told] if told else []
    if points < POINTS or days < DAYS:
        notes.append(f"The standard asks {POINTS} points on {DAYS} days.")
    if r_squared < R_SQUARED:
        notes.append(f"R² is below the standard's {R_SQUARED}: the line explains little of the scatter.")
    if not x.min() <= AT <= x.max():
        notes.append(
            f"No interval near 50 K: the points span {x.min():.0f} to {x.max():.0f} K, the value is drawn on."
        )
    good = (
        points >= POINTS
        and days >= DAYS
        and r_squared >= R_SQUARED
        and not any("wind was not" in n for n in notes)
    )
    at_50 = spread_about(what, value, error, freedom, "W")
    per = spread_about(f"{what} per area", value / area, error / area, freedom, "W/m²")
    return StandardPower(
        float(intercept),
        float(slope),
        at_50,
        per,
        float(r_squared),
        points,
        days,
        intervals,
        good,
        tuple(notes),
    )


def _doubt(x, y, rest, slope, intercept, day):
    """Value at 50 K, its standard error and degrees of freedom, and a note if the days differ."""
    n = x.size
    variance = (rest**2).sum() / (n - 2)
    error = np.sqrt(variance * (1.0 / n + (AT - x.mean()) ** 2 / ((x - x.mean()) ** 2).sum()))
    value = intercept + slope * AT
    names = np.unique(day)
    if names.size < 2 or n < names.size + 2:
        return value, error, n - 2, ""
    # One slope, a level of its own for each day.
    columns = np.column_stack([x - AT, *(day == name for name in names)]).astype(float)
    levels, *_ = np.linalg.lstsq(columns, y, rcond=None)
    left = ((y - columns @ levels) ** 2).sum()
    free = n - names.size - 1
    ratio = ((rest**2).sum() - left) / (names.size - 1) / max(left / free, 1e-12)
    if stats.f.sf(ratio, names.size - 1, free) >= _DAYS_DIFFER:
        return value, error, n - 2, ""
    each = levels[1:]
    note = "The days differ by more than their scatter, so the interval rests on the days."
    return each.mean(), max(each.std(ddof=1) / np.sqrt(names.size), error), names.size - 1, note

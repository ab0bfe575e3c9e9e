"""Lesson 09, test your own oven: the way without a logger.  A paper table, and the sums done by hand."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

import numpy as np
import pandas as pd

from solarlab import catalogue, trial
from solarlab.catalogue import Place
from solarlab.exercises import beside, blank, number, plain
from solarlab.sky import instants, sky
from solarlab.table import Table
from solarlab.trial.logger import Log, read_log

scene = beside(__file__, "scene")
clock = beside(__file__, "modelled").clock
TWICE = 2.0  # standard errors to either side, for about 95 %
MEAN_TO_SPREAD = 1.25  # of a bell curve: its standard deviation over its mean miss, √(π/2)


def place_of(place: str | Place) -> Place:
    """A place of the catalogue by its name, or any `Place` (see catalogue.place_at)."""
    return catalogue.place(place) if isinstance(place, str) else place


def log(rows: Sequence[Sequence], place: str | Place, date: str, unit: str = "°C") -> Log:
    """A paper table as a log: rows of (clock, water, air in the shade, light facing the sun in W/m²).

    A reading that was missed is ``None`` and stays missing.
    """
    if any(len(row) != 4 for row in rows):
        raise ValueError("Each row needs four parts: clock, water, air, light; None where one was missed.")
    at = np.array([number(plain(row[0]), "clock") for row in rows])
    if (np.diff(at) <= 0).any():
        raise ValueError("The clock must go on from each row to the next.")
    cells = np.array([[np.nan if blank(plain(c)) else number(plain(c)) for c in row[1:]] for row in rows])
    for name, column in zip(("water", "air", "light"), cells.T, strict=True):
        if not np.isfinite(column).any():
            raise ValueError(f"There is no reading of the {name} in it.")
    lines = [f"Time,Water ({unit}),Air in the shade ({unit}),Light facing the sun (W/m²)"]
    for minutes, row in zip(at, cells, strict=True):
        lines.append(",".join([clock(minutes), *("" if np.isnan(c) else f"{c:g}" for c in row)]))
    read = read_log("\n".join(lines) + "\n", place_of(place).timezone, date=date, plane="sun")
    # The reader of logs bridges one reading that was missed: fair for a minute, not for ten.
    steps = np.round((at - at[0]) * 60.0 / read.times.step).astype(int).clip(0, read.times.shape[-1] - 1)
    for series, column in zip([*read.channels.values(), read.irradiance], cells.T, strict=True):
        series[steps[np.isnan(column)]] = np.nan
    return replace(read, name="the paper table")


def test(rows, *, water: float, area: float, place: str | Place, date: str, unit: str = "°C"):
    """Standard cooking power from a paper table of ``water`` kg in an oven of intercept ``area`` [m²]."""
    water, area = number(plain(water), "kg"), number(plain(area), "m²")
    if not 0.01 <= area <= 10.0:
        raise ValueError(f"The intercept area is {area:g} m²; 0.01 to 10 can be summed.")
    side = area**0.5  # the standard asks for the oven's area and for nothing else of it
    oven = replace(catalogue.oven("bare box"), aperture_width=side, aperture_length=side)
    return trial.standard_power(log(rows, place, date, unit), place_of(place), oven, water)


def sums(found: trial.StandardPower) -> Table:
    """The sums of a paper table, ten minutes a line, as they are done by hand."""
    rows = [
        (f"{row.start:%H:%M}", f"{row.difference:.1f}", f"{row.power:.0f}", f"{row.irradiance:.0f}",
         f"{row.standard_power:.0f}", row.reason or "counts")
        for row in found.intervals.itertuples() if np.isfinite(row.power)
    ]  # fmt: skip
    columns = [
        "from",
        "above the air (K)",
        "power (W)",
        "light (W/m²)",
        "scaled to 700 (W)",
        "does it count?",
    ]
    return Table(pd.DataFrame(rows, columns=columns), "The sums, ten minutes a line")


def two_heaps(rises: Sequence[float], powers: Sequence[float], at: float = 50.0) -> tuple[float, float]:
    """A line by hand: its power [W] at a rise of ``at`` [K], and the doubt to either side.

    Half of the points have the smaller rises: mark the middle of that heap, and of the other, and lay a ruler
    through both.  The doubt is twice 1.25 × the mean miss ÷ √(how many points).
    """
    order = np.argsort(rises)
    x, y = np.asarray(rises, float)[order], np.asarray(powers, float)[order]
    half = x.size // 2
    (x1, y1), (x2, y2) = ((x[part].mean(), y[part].mean()) for part in (slice(half), slice(-half, None)))
    slope = (y2 - y1) / (x2 - x1)
    misses = np.abs(y - (y1 + slope * (x - x1)))
    doubt = TWICE * MEAN_TO_SPREAD * float(misses.mean()) / np.sqrt(x.size)
    return float(y1 + slope * (at - x1)), float(doubt)


def by_hand(found: trial.StandardPower) -> tuple[float, float]:
    """The two heaps of the intervals that count."""
    kept = found.intervals[found.intervals["reason"] == ""]
    return two_heaps(kept["difference"], kept["standard_power"])


def clear_light(place: str | Place, date: str, from_: str, minutes: int = 60) -> float:
    """Light facing a cloudless sun [W/m²], mean of the time from ``from_`` on: for want of a light meter."""
    where, start = place_of(place), number(from_, "clock")
    times = instants(where, date, clock(start), clock(start + minutes), 300.0)
    return float(np.mean(trial.light_facing(sky(where, times))))


# --- an example: the second invented day, as somebody with a kitchen thermometer would have seen it ---


def example_rows() -> list[tuple]:
    """11 February every ten minutes from 09:40, read to whole degrees, the light to tens."""
    seen = scene.invented()[2][1].log
    hours = seen.times.local
    water, air, rows = seen.temperature("water"), seen.temperature("air"), []
    for i in range(70, 270, 10):
        near = hours[i].round("min")
        rows.append((f"{near:%H:%M}", round(water[i]), round(air[i]), int(round(seen.irradiance[i], -1))))
    return rows


def example() -> trial.StandardPower:
    """The example, put through the standard's sums."""
    return test(example_rows(), water=scene.WATER, area=scene.area(), place="Bamako", date="2026-02-11")


def example_table() -> Table:
    """The paper table of the example as it is written in the yard, in both units."""
    rows = [
        (
            at,
            f"{water} °C ({water * 1.8 + 32:.0f} °F)",
            f"{air} °C ({air * 1.8 + 32:.0f} °F)",
            f"{light:.0f}",
        )
        for at, water, air, light in example_rows()
    ]
    columns = ["clock", "water", "air in the shade", "light facing the sun (W/m²)"]
    return Table(pd.DataFrame(rows, columns=columns), "A paper table (invented), 2.6 kg of water")


# --- the learner's own ---


class Told(str):
    """Sentences that a notebook shows as Markdown."""

    def _repr_markdown_(self) -> str:
        return str(self)

    __repr__ = str.__str__


def own(test_: Mapping[str, object]) -> Told:
    """What the learner's own test says, in sentences; blanks and slips get a sentence, too."""
    lacking = [name for name in ("place", "date", "water", "area", "rows") if blank(plain(test_.get(name)))]
    if lacking or not test_["rows"]:
        return Told(
            f"Nothing to sum yet: fill in {', '.join(lacking or ['rows'])} when you come back from the sun."
        )
    if len(test_["rows"]) < 4:
        return Told(
            "Four readings, ten minutes apart, are the least that can be summed; a dozen say something."
        )
    try:
        found = test(**{"unit": "°C", **test_})
    except (ValueError, TypeError) as error:
        return Told(f"This table can't be summed yet. {error}")
    told = [str(found)[0].upper() + str(found)[1:]]
    if found.points >= 4:
        value, doubt = by_hand(found)
        told.append(f"By two heaps and a ruler: {value:.0f} W, give or take {doubt:.0f} W.")
    return Told("\n\n".join(told))

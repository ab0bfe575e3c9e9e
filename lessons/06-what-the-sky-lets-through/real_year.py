"""Lesson 06, what the sky lets through: a typical year of real hours, its cloud and its beam.

The file is the Greensboro TMY3 that comes inside pvlib's wheel (station 723170; TMY3: Wilcox & Marion 2008,
Users Manual for TMY3 Data Sets, public domain of the United States).  Twelve real months from several years
make one typical year; people watched its cloud and instruments its air, but its light was mostly worked out
from these with a model, good to 9-15 % in most hours by the file's own note.
"""

from __future__ import annotations

import calendar
from functools import lru_cache
from pathlib import Path
from typing import NamedTuple

import numpy as np
import pandas as pd
import pvlib

from solarlab import catalogue, cloud, figures
from solarlab.catalogue import Handling
from solarlab.heat import stagnation
from solarlab.oven import gain
from solarlab.safety import both_units
from solarlab.sky import clear_sky, sky
from solarlab.sun import instants, sun_vector
from solarlab.table import Table
from solarlab.weather import Weather, read_weather

FILE = "723170TYA.CSV"
LOWEST = 10.0  # °: hours with a lower sun are left out, as their light is small and badly known
DAYS = {
    "4 March": "1990-03-04",  # no cloud, cool
    "30 March": "1990-03-30",  # white all over, as cool
    "27 June": "1989-06-27",  # hot and hazy, a few clouds
}
NOON = ("11:00", "13:00")  # of the file's clock: the middle of the day, all the year
SEASONS = {"the whole year": range(1, 13), "October to March": (10, 11, 12, 1, 2, 3),
           "April to September": range(4, 10)}  # fmt: skip


def path() -> Path:
    """Where the file lies on this machine."""
    return Path(pvlib.__file__).parent / "data" / FILE


@lru_cache(maxsize=1)
def weather() -> Weather:
    """The year, on the file's own clock (standard time, five hours behind UTC)."""
    return read_weather(path())


class Hours(NamedTuple):
    """The year's hours with the sun above `LOWEST`; arrays of one length.

    ``tenths`` of the sky covered; beam and level light over those of a cloudless sky of this very file (the
    median of its cloudless hours, so that haze does not count as cloud); ``month``, ``day`` (0 … 364), and
    ``hour``, at whose beginning it starts.
    """

    tenths: np.ndarray
    of_beam: np.ndarray
    of_level: np.ndarray
    month: np.ndarray
    day: np.ndarray
    hour: np.ndarray


@lru_cache(maxsize=1)
def hours() -> Hours:
    """The year, hour by hour."""
    table, _ = pvlib.iotools.read_tmy3(path())
    made = weather()
    times = made.instants("00:30", "23:30", 3600.0)
    up = sun_vector(made.place, times)[..., 2]
    clear_beam, clear_diffuse = clear_sky(made.place, times)
    high = up > np.sin(np.radians(LOWEST))
    tenths = table["TotCld (tenths)"].to_numpy(float).reshape(up.shape)[high].round().astype(int)
    of_beam = made.beam_normal[high] / clear_beam[high]
    whole = made.beam_normal * np.maximum(up, 0.0) + made.diffuse_horizontal
    of_level = whole[high] / (clear_beam * up + clear_diffuse)[high]
    none = tenths == 0
    day, hour = (np.broadcast_to(axis, up.shape)[high] for axis in np.ogrid[: up.shape[0], : up.shape[1]])
    month = made.dates.astype("datetime64[M]").astype(int)[day] % 12 + 1
    of_beam = np.clip(of_beam / np.median(of_beam[none]), 0.0, 1.0)
    return Hours(tenths, of_beam, of_level / np.median(of_level[none]), month, day, hour)


def beams(tenths: int, season: str = "the whole year") -> np.ndarray:
    """Beam over a cloudless sky's in every hour with that many tenths covered."""
    year = hours()
    return year.of_beam[(year.tenths == tenths) & np.isin(year.month, list(SEASONS[season]))]


def chance(tenths: int, percent: float) -> float:
    """Of 100 hours with so many tenths covered, those that had at least ``percent`` of the clear beam."""
    return 100.0 * float((beams(tenths) >= percent / 100.0).mean())


def spread(tenths, season):
    """The second bench: how the hours with so much cloud differ."""
    found = 100.0 * beams(tenths, season)
    edges = np.arange(0, 101, 10)
    counts = np.histogram(np.minimum(found, 99.999), edges)[0]
    share = 100.0 * counts / counts.sum()
    low, mean, high = float(np.quantile(found, 0.1)), float(found.mean()), float(np.quantile(found, 0.9))
    figure = figures.blank(9, 4.2)
    axes = figure.add_axes((0.075, 0.125, 0.905, 0.75))
    figures.dress(axes, "beam, % of what a cloudless sky sends", "of 100 such hours")
    axes.bar(edges[:-1] + 5, share, width=9.2, color=figures.ORANGE, edgecolor=figures.BLACK, hatch="//",
             linewidth=0.6)  # fmt: skip
    most = max(float(share.max()), 20.0)
    for left, each in zip(edges[:-1], share, strict=True):
        axes.text(left + 5, each + most / 80, f"{each:.0f}", ha="center", fontsize=10)
    axes.axvline(mean, color=figures.BLACK, linewidth=2.2, label=f"mean of the hours: {mean:.0f} %")
    saying = 100 - 10 * tenths
    axes.axvline(saying, color=figures.BLUE, linewidth=2.2, linestyle=(0, (5, 2)),
                 label=f"“{tenths} tenths cloud, {10 - tenths} tenths sun”: {saying} %")  # fmt: skip
    axes.set_xticks(edges)
    axes.set_xlim(-1, 101)
    axes.set_ylim(0, most * 1.12)
    axes.legend(loc="lower left", bbox_to_anchor=(0.0, 1.0), ncols=2, fontsize=10, frameon=False)
    title = f"{counts.sum()} hours with {tenths} tenths of the sky covered, {season}"
    alt = (
        f"{title}. Their beam, of a cloudless sky's: mean {mean:.0f} %; a tenth of the hours had less than "
        f"{low:.0f} %, a tenth more than {high:.0f} %. In {chance_in(found, 75):.0f} of 100 it was three "
        f"quarters or more, in {100 - chance_in(found, 15):.0f} less than a seventh."
    )
    rows = [(f"{a} to {a + 10} %", f"{n}", f"{s:.0f}") for a, n, s in zip(edges, counts, share, strict=False)]
    table = pd.DataFrame(rows, columns=["beam", "hours", "of 100 such hours"])
    return figures.Picture(figure, alt, table, title)


def chance_in(found: np.ndarray, percent: float) -> float:
    return 100.0 * float((found >= percent).mean())


def tenths_table() -> Table:
    """By cloud: the published rule, and what the year's hours did."""
    year, rows = hours(), []
    for tenths in range(0, 11):
        here = year.tenths == tenths
        level, beam = year.of_level[here], year.of_beam[here]
        low, high = np.quantile(beam, [0.1, 0.9])
        rule = float(cloud.global_fraction(0.8 * tenths))
        shares = [f"{100 * share:.0f} %" for share in (rule, level.mean(), beam.mean())]
        strong = f"{chance_in(100 * beam, 75):.0f}"
        rows.append((f"{tenths}", *shares, f"{100 * low:.0f} to {100 * high:.0f} %", strong))
    columns = ["tenths covered", "level light, by the rule", "level light, the year", "beam, mean",
               "beam, 8 hours of 10 lie in", "hours of 100 with 3/4 of the beam or more"]  # fmt: skip
    return Table(pd.DataFrame(rows, columns=columns), "Cloud and light, of a cloudless sky's")


def bars_table() -> Table:
    """The bars of the second bench for the whole year, tenths side by side: of 100 hours each."""
    edges = np.arange(0, 101, 10)
    shares = {}
    for tenths in range(3, 9):
        counts = np.histogram(np.minimum(100.0 * beams(tenths), 99.999), edges)[0]
        shares[f"{tenths} tenths"] = [f"{share:.0f}" for share in 100.0 * counts / counts.sum()]
    rows = {"beam": [f"{low} to {low + 10} %" for low in edges[:-1]]}
    return Table(pd.DataFrame(rows | shares), "Of 100 hours, by their beam and by the cloud counted")


def month_table() -> Table:
    """By month: the days of the year on which one can cook."""
    year, rows = hours(), []
    middle = (year.hour >= 9) & (year.hour < 15)
    sunny = np.bincount(year.day[middle & (year.of_beam >= 0.75)], minlength=365)
    dull = np.bincount(year.day[middle & (year.of_beam < 0.15)], minlength=365)
    month = weather().dates.astype("datetime64[M]").astype(int) % 12 + 1
    for number in range(1, 13):
        here = month == number
        good, bad, days = (sunny[here] >= 4).sum(), (dull[here] >= 4).sum(), here.sum()
        rows.append((calendar.month_name[number], f"{days}", f"{good}", f"{days - good - bad}", f"{bad}"))
    columns = ["month", "days", "four hours of strong beam", "between", "four hours of as good as none"]
    return Table(pd.DataFrame(rows, columns=columns), "Between nine and three by the file's clock")


# --- three real days ---


class Noon(NamedTuple):
    """The middle of a real day: means, and what an empty oven makes of it."""

    air: float
    level: float
    beam: float
    watts: float
    settles: float


@lru_cache(maxsize=16)
def midday(date: str, oven: str) -> Noon:
    """`NOON` of a day of the file, in an oven that is kept aimed; °C, W/m², W."""
    made, year = catalogue.oven(oven), weather()
    here = sky(year.place, instants(year.place, date, *NOON, 300.0), weather=year)
    got = gain(made, here, Handling(NOON[0], reaim_every=15.0))
    means = [float(np.mean(series[..., :-1])) for series in (
        here.air_temperature, here.global_horizontal, here.beam_normal, got.into_cavity, got.into_glazing,
        here.sky_temperature, here.wind_speed, got.tilt)]  # fmt: skip
    air, level, beam, inside, glass, cold, wind, tilt = means
    hot = stagnation(made, into_cavity=inside, into_glazing=glass, air_temperature=air, sky_temperature=cold,
                     wind_speed=wind, tilt=tilt)  # fmt: skip
    return Noon(air, level, beam, inside, float(hot.cavity))


def percent_of_clear() -> float:
    """The first bet: the four-mirror box's light under the white sky of 30 March, % of 4 March's."""
    white, clear = (midday(DAYS[day], "four-mirror box").watts for day in ("30 March", "4 March"))
    return 100.0 * white / clear


def hotter_day() -> str:
    """The second bet: the day on which the empty four-mirror box gets hotter."""
    cool, hot = (midday(DAYS[day], "four-mirror box").settles for day in ("4 March", "27 June"))
    return "about the same" if abs(cool - hot) < 5.0 else "the cool day" if cool > hot else "the hot day"


def level_percent() -> float:
    """Level light of 30 March, % of 4 March's."""
    white, clear = (midday(DAYS[day], "bare box").level for day in ("30 March", "4 March"))
    return 100.0 * white / clear


def days_picture(names):
    """Real days side by side: level light, beam, and what the four-mirror box lets in."""
    figure = figures.blank(9, 3.9)
    axes = figure.add_axes((0.085, 0.19, 0.9, 0.68))
    figures.dress(axes, "", "W/m² of light, W let in")
    parts = ("level light (W/m²)", "beam, facing the sun (W/m²)", "four-mirror box lets in (W)")
    kinds = (("white", ""), (figures.ORANGE, "//"), (figures.BLUE, ".."))
    rows, said = [], []
    for column, name in enumerate(names):
        day = midday(DAYS[name], "four-mirror box")
        for index, (value, (colour, hatch)) in enumerate(zip(day[1:4], kinds, strict=True)):
            x = column + 0.27 * (index - 1)
            axes.bar(x, value, width=0.25, color=colour, hatch=hatch, edgecolor=figures.BLACK, linewidth=0.9,
                     label=parts[index] if column == 0 else None)  # fmt: skip
            axes.text(x, value + 12, f"{value:.0f}", ha="center", fontsize=10)
        rows.append((name, both_units(day.air), *(f"{value:.0f}" for value in day[1:4])))
        said.append(f"{name}, air {both_units(day.air)}: level light {day.level:.0f} W/m², beam "
                    f"{day.beam:.0f} W/m², the four-mirror box lets in {day.watts:.0f} W")  # fmt: skip
    labels = [f"{name}\nair {row[1]}" for name, row in zip(names, rows, strict=True)]
    axes.set_xticks(range(len(names)), labels, fontsize=10)
    axes.grid(axis="x", visible=False)
    axes.set_ylim(0, 1120)
    axes.legend(loc="lower left", bbox_to_anchor=(0.0, 1.0), ncols=3, fontsize=10, frameon=False)
    table = pd.DataFrame(rows, columns=["day", "air", *parts])
    title = f"Greensboro's year, {' and '.join(names)}, eleven to one"
    return figures.Picture(figure, ". ".join(said) + ".", table, title)


def days_table() -> Table:
    """The three days, with where two empty boxes settle."""
    rows = []
    for name, date in DAYS.items():
        bare, four = midday(date, "bare box"), midday(date, "four-mirror box")
        rows.append((name, both_units(bare.air), f"{bare.level:.0f}", f"{bare.beam:.0f}", f"{bare.watts:.0f}",
                     f"{four.watts:.0f}", both_units(bare.settles), both_units(four.settles)))  # fmt: skip
    columns = ["day", "air", "level light (W/m²)", "beam (W/m²)", "bare box lets in (W)", "four-mirror (W)",
               "bare box, empty", "four-mirror, empty"]  # fmt: skip
    return Table(pd.DataFrame(rows, columns=columns), "Three real noons in Greensboro's year")

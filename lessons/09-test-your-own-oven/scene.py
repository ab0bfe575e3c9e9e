"""Lesson 09, test your own oven: the invented logs, the standard's rules, and a line through ten minutes."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
import pandas as pd

from solarlab import figures, trial
from solarlab.table import Table
from solarlab.trial import standard as rules

WATER = 2.6  # kg, as the heads of the three files say
DAYS = {"all three days": (0, 1, 2), "10 February": (0,), "11 February": (1,), "13 February": (2,)}
MARKERS = ("o", "s", "^")
RULED, WHOLE = "those the rules keep", "every one, boiling and all"
ALONG = np.linspace(0.0, 75.0, 16)  # K, rises at which a line is drawn


@lru_cache(maxsize=1)
def invented():
    """The catalogue oven, the place and the three runs of the invented logs."""
    return trial.invented_runs()


@lru_cache(maxsize=8)
def power(days: tuple[int, ...] = (0, 1, 2)) -> trial.StandardPower:
    """Standard cooking power from the logs of these days."""
    oven, where, runs = invented()
    return trial.standard_power([runs[day].log for day in days], where, oven, WATER)


def value() -> float:
    """What three days of the invented box give: standard cooking power at 50 K [W]."""
    return power().at_50.value


def area() -> float:
    """Intercept area of the invented box [m²]."""
    return trial.intercept_area(invented()[0])


def at_rise(table: pd.DataFrame, rise: float) -> trial.Estimate:
    """The line's value at any ``rise`` [K]: `regress` reports at 50 K, so the points are shifted there."""
    return trial.regress(table.assign(difference=table["difference"] - rise + rules.AT)).at_50


# --- the first bench ---


def chosen(days, which: str, scaled: bool, water: float) -> pd.DataFrame:
    """Intervals of those days that count, with the power that is drawn in ``standard_power``."""
    table = power(days).intervals
    watts = table["standard_power" if scaled else "power"] * (water / WATER)
    fine = np.isfinite(watts) & ((table["reason"] == "") | (which == WHOLE))
    return table.assign(standard_power=watts, counts=fine, reason=np.where(fine, "", "left out"))


@dataclass(frozen=True, eq=False)
class Line:
    """A line through points: its words, its power [W] along ALONG and at the rise where it is read."""

    words: tuple[str, ...]
    along: tuple[float, ...]
    at: float
    band: tuple[trial.Estimate, ...] = ()


def free_line(counted: pd.DataFrame, rise: float) -> Line:
    """The line of best fit, with its 95 % range."""
    found, band = at_rise(counted, rise), tuple(at_rise(counted, r) for r in ALONG)
    slope = (band[-1].value - band[0].value) / (ALONG[-1] - ALONG[0])
    sign = "−" if slope < 0 else "+"
    words = (
        f"P = {band[0].value:.0f} W {sign} {abs(slope):.2f} W/K × rise",
        f"at {rise:g} K: {found.value:.1f} W",
        f"95 %: {found.low:.1f} to {found.high:.1f} W",
    )
    return Line(words, tuple(b.value for b in band), found.value, band)


def line_through_zero(counted: pd.DataFrame, rise: float) -> Line:
    """The best of the lines that begin at zero power for zero rise."""
    x, y = counted["difference"].to_numpy(float), counted["standard_power"].to_numpy(float)
    slope = float(x @ y / (x @ x))
    words = f"P = {slope:.2f} W/K × rise", f"at {rise:g} K: {slope * rise:.1f} W"
    return Line(words, tuple(slope * ALONG), slope * rise)


def the_line(days, which: str, scaled: bool, through: str, rise: float, water: float) -> figures.Picture:
    """The first bench: each ten minutes a point, and a line through those that count."""
    table = chosen(days, which, scaled, water)
    counted = table[table["counts"]]
    line = (line_through_zero if through == "zero" else free_line)(counted, rise)
    told = [*line.words, f"{len(counted)} of {len(table)} intervals count"]
    if abs(water - WATER) > 1e-9:
        told.append(f"(in truth {WATER:g} kg of water)")
    what = "scaled to 700 W/m²" if scaled else "as measured"
    figure = figures.blank(9.0, 4.6)
    axes = figure.add_axes((0.08, 0.12, 0.56, 0.8))
    figures.dress(axes, "water above the air (K; 1 K = 1.8 °F)", f"power into the water (W), {what}")
    draw_points(axes, table)
    if line.band:
        ends = [b.low for b in line.band], [b.high for b in line.band]
        axes.fill_between(ALONG, *ends, facecolor=figures.SKY_BLUE, alpha=0.35, edgecolor=figures.BLUE,
                          linewidth=0.8, label="95 % range of the line")  # fmt: skip
    axes.plot(ALONG, line.along, color=figures.BLACK, linewidth=1.8, label="the line")
    axes.plot([rise], [line.at], "D", color=figures.VERMILLION, markersize=9, label=f"read at {rise:g} K")
    axes.set_xlim(ALONG[0], ALONG[-1])
    axes.set_ylim(-25.0, max(90.0, 1.08 * float(np.nanmax(table["standard_power"]))))
    axes.axhline(0.0, color=figures.BLACK, linewidth=0.8)
    figure.text(0.665, 0.9, "\n".join(told), fontsize=10.5, va="top", linespacing=1.5)
    figure.legend(*axes.get_legend_handles_labels(), loc="lower right", fontsize=10, frameon=False)
    alt = f"Power {what} against the water's rise above the air. The line: {'; '.join(told)}."
    title = f"A line through ten minutes each: {line.at:.0f} W at {rise:g} K"
    return figures.Picture(figure, alt, listed(counted), title)


def draw_points(axes, table: pd.DataFrame) -> None:
    """Intervals that count, each day with its own marker, and those left out as crosses."""
    counted, left_out = table[table["counts"]], table[~table["counts"] & np.isfinite(table["standard_power"])]
    if len(left_out):
        axes.plot(left_out["difference"], left_out["standard_power"], "x", color=figures.GREY, markersize=5,
                  label="left out")  # fmt: skip
    for number, day in enumerate(counted["day"].unique()):
        rows = counted[counted["day"] == day]
        axes.plot(rows["difference"], rows["standard_power"], MARKERS[number % 3], color=figures.BLUE,
                  markersize=6, label=f"counts, {day:%d} Feb")  # fmt: skip


def listed(counted: pd.DataFrame) -> pd.DataFrame:
    """The points that count, as numbers to read; of very many some."""
    rows = counted.iloc[figures.sampled(len(counted), 34)]
    return pd.DataFrame({
        "day and clock": [f"{t:%d} Feb {t:%H:%M}" for t in rows["start"].dt.round("min")],
        "water above the air (K)": rows["difference"].round(1),
        "light (W/m²)": rows["irradiance"].round(),
        "power (W)": rows["standard_power"].round(1),
    })  # fmt: skip


# --- tables ---


def findings() -> Table:
    """What the reader of logs found in each of the three files."""
    rows = []
    for run in invented()[2]:
        rows += [(run.log.name, note) for note in run.log.notes if not note.startswith("Read as")]
    return Table(pd.DataFrame(rows, columns=["file", "what was found in it"]), "Three invented files, read")


def rule_table() -> Table:
    """The standard's rules for an interval, and why each is there."""
    rows = (
        ("light", f"{rules.LIGHT_LOW:g} to {rules.LIGHT_HIGH:g} W/m², facing the sun",
         "too little: all is noise"),
        ("light, in the ten minutes", f"varies by {rules.LIGHT_VARIES:g} W/m² at most",
         "the box gives back what it took in before the cloud"),
        ("wind", f"{rules.WIND_MOST:g} m/s at most", "wind takes heat that is not the oven's fault"),
        ("wind, that day", f"never above {rules.WIND_DISCARD:g} m/s for ten minutes",
         "else the whole day is dropped"),
        ("air", f"{rules.AIR_LOW:g} to {rules.AIR_HIGH:g} °C (68 to 95 °F)", "losses change with it"),
        ("hour", f"{rules.FROM:g}:00 to {rules.TO:g}:00 solar time", "a low sun meets the glass at a slant"),
        ("water, low end", f"{rules.MARGIN:g} K (9 °F) above the air", "cold pot and box take heat first"),
        ("water, high end", f"{rules.MARGIN:g} K (9 °F) below the boil of that place",
         "near the boil heat goes into steam, not degrees"),
        ("load", f"{rules.LOADING:g} kg of water for each m² of intercept area", "the same task for all"),
        ("in all", f"{rules.POINTS} intervals on {rules.DAYS} days, R² {rules.R_SQUARED:g} or more",
         "one day is luck"),
    )  # fmt: skip
    return Table(pd.DataFrame(rows, columns=["what", "rule", "why"]), "Which ten minutes count")


def interval_table(day: int = 0, first: int = 12, last: int = 32) -> Table:
    """Some of a day's intervals, kept and left out, with the reason."""
    rows = []
    for row in power((day,)).intervals.iloc[first:last].itertuples():
        cells = [
            f"{row.difference:.1f}",
            f"{row.irradiance:.0f}",
            f"{row.power:.0f}",
            f"{row.standard_power:.0f}",
        ]
        cells = [cell if np.isfinite(row.power) and cell != "nan" else "–" for cell in cells]
        rows.append((f"{row.start:%H:%M}", *cells, row.reason or "counts"))
    columns = [
        "from",
        "above the air (K)",
        "light (W/m²)",
        "power (W)",
        "scaled to 700 (W)",
        "does it count?",
    ]
    return Table(pd.DataFrame(rows, columns=columns), "10 February, ten minutes at a time")


def by_day() -> Table:
    """What each day says by itself, and all three together."""
    rows = []
    for name in ("10 February", "11 February", "13 February", "all three days"):
        found = power(DAYS[name])
        ends = f"{found.at_50.low:.1f} to {found.at_50.high:.1f}"
        rows.append((name, found.points, f"{found.at_50.value:.1f}", ends))
    columns = ["logs", "intervals that count", "power at 50 K (W)", "95 % (W)"]
    return Table(pd.DataFrame(rows, columns=columns), "One day, and three")


# --- optional: the fit ---


@lru_cache(maxsize=1)
def fitted() -> trial.Fit:
    """The optional fit of one day, 11 February: loss and light of the invented box; some seconds."""
    oven, where, runs = invented()
    return trial.fit_oven(oven, where, runs[1], draws=300)


def fit_table() -> Table:
    """What the fit found of the invented box, beside the box of the catalogue it was built like."""
    oven, found = invented()[0], fitted()
    walls = found.wall_conductance
    rows = (
        ("light it takes in, of the catalogue's box", "100 %", f"{found.light.value:.0%}".replace("%", " %"),
         f"{100 * found.light.low:.0f} to {100 * found.light.high:.0f} %"),
        ("what its walls lose, W/(m² K)", f"{float(oven.wall_conductance):.2f}", f"{walls.value:.2f}",
         f"{walls.low:.2f} to {walls.high:.2f}"),
        ("model misses the readings by, K", "", f"{found.misfit:.1f}", ""),
    )  # fmt: skip
    columns = ["what", "catalogue", "fitted to 11 February", "95 %"]
    return Table(pd.DataFrame(rows, columns=columns), "Light and loss of the invented box, from one day")

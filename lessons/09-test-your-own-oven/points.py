"""Lesson 09, test your own oven: a handful of intervals, and the line that a ruler lays through them."""

from __future__ import annotations

import pandas as pd

from solarlab import figures
from solarlab.exercises import Alternative, Exercise

FINE = "all in order"
BOILING = "water 2 K below the boil"
COUNT = 8  # intervals in order


# --- 3 line: read at 50 K ---


def line_variant(draw):
    start = draw.step(60, 120, 1)
    slope = start * draw.uniform(0.4, 0.5) / 50.0
    rises = [round(11.0 + 6.6 * i + draw.uniform(-1.5, 1.5)) for i in range(COUNT)]
    rows = [
        [rise, round((start - slope * rise) * (1.0 + (-1) ** i * draw.uniform(0.0, 0.09))), FINE]
        for i, rise in enumerate(rises)
    ]
    boiling = [[rise, round(draw.uniform(0.0, 0.1) * start), BOILING] for rise in (69, 70)]
    rows += boiling
    lines = "\n".join(f"| {rise} | {watts} | {note} |" for rise, watts, note in rows)
    head = "| above the air (K) | power, scaled (W) | remark |\n|---|---|---|\n"
    return {"rows": rows, "table": head + lines}


def counted(v, *notes):
    return [(rise, watts) for rise, watts, note in v["rows"] if note in (FINE, *notes)]


def fitted(points, at=50.0):
    """The least-squares line's value at a rise of ``at`` [K]: that of `trial.regress`, much faster."""
    x, y = (sum(column) / len(points) for column in zip(*points, strict=True))
    slope = sum((a - x) * (b - y) for a, b in points) / sum((a - x) ** 2 for a, _ in points)
    return y + slope * (at - x)


def through_zero(points):
    return 50.0 * sum(x * y for x, y in points) / sum(x * x for x, _ in points)


def nearest(points):
    return float(min(points, key=lambda point: abs(point[0] - 50))[1])


def picture(v) -> figures.Picture:
    """The learner's own intervals on squared paper, for a ruler; no line is drawn."""
    figure = figures.blank(8.0, 4.6)
    axes = figure.add_axes((0.09, 0.12, 0.88, 0.82))
    figures.dress(axes, "water above the air (K)", "power, scaled to 700 W/m² (W)")
    for note, marker, label in ((FINE, "o", "in order"), (BOILING, "x", "near the boil")):
        points = [(rise, watts) for rise, watts, said in v["rows"] if said == note]
        axes.plot(*zip(*points, strict=True), marker, color=figures.BLUE, markersize=7, label=label)
    axes.set_xlim(0, 80)
    axes.set_ylim(0, 10 * (max(row[1] for row in v["rows"]) // 10 + 2))
    axes.set_xticks(range(0, 81, 10))
    axes.minorticks_on()
    axes.grid(True, which="minor", color=figures.GRID, linewidth=0.4)
    axes.legend(loc="upper right", fontsize=10)
    table = pd.DataFrame(v["rows"], columns=["above the air (K)", "power (W)", "remark"])
    alt = f"{len(v['rows'])} intervals: " + "; ".join(f"{r} K {w} W, {n}" for r, w, n in v["rows"]) + "."
    return figures.Picture(figure, alt, table, "Your intervals on squared paper")


LINE = Exercise(
    id="own-oven/line",
    kind="number",
    title="Lay a ruler through it",
    variable="power_at_fifty",
    points=3.0,
    unit="W",
    question=(
        "Ten intervals of an invented oven, each of ten minutes:\n\n{table}\n\nWhat is the standard cooking "
        "power at **50 K**? A ruler will do: one part in twenty-five to either side is right."
    ),
    variant=line_variant,
    answer=lambda v: fitted(counted(v)),
    tolerance=(0.04, 0.0),
    alternatives=(
        Alternative(
            "near-the-boil-counts",
            lambda v: fitted(counted(v, BOILING)),
            "Your line dips at its end. Read the remarks: in which intervals did the heat go into steam, "
            "and not into degrees?",
            "More data is better, and leaving some out smells of cheating.",
            credit=0.25,
        ),
        Alternative(
            "line-through-zero",
            lambda v: through_zero(counted(v)),
            "Your line starts at zero power for zero rise. But when is the oven strongest: with the water "
            "cold, or hot?",
            "Graphs in school go through the corner.",
        ),
        Alternative(
            "start-of-the-line",
            lambda v: fitted(counted(v), 0.0),
            "That is where the line begins, with water as cold as the air. Nobody cooks there. Read it at "
            "50 K.",
            "The number where the line meets the axis is the one that can be read off best.",
            credit=0.25,
        ),
        Alternative(
            "first-to-last-power",
            lambda v: sum(watts for _, watts in counted(v)) / COUNT,
            "That is the mean of the whole warming-up: all heat from first to last, over all the time. It "
            "hangs on how cold you began. What does the line say at 50 K?",
            "Last reading less first reading, over the hours: it is the quickest sum.",
            credit=0.25,
        ),
    ),
    hints=(
        "Cross out what breaks a rule. Lay the ruler so that as much lies above it as below, all along.",
        "Two heaps: the middle of the four smaller rises and the middle of the four larger ones; the ruler "
        "goes through both. Read it at 50 K.",
    ),
)

"""Lesson 09, test your own oven: two ovens, drawn with luck, and what may be said of them."""

from __future__ import annotations

import numpy as np
import pandas as pd

from solarlab import figures, trial
from solarlab.trial.estimate import Estimate, spread_about

NAMES = ("the first box", "the second box")
START, SLOPE = 78.0, -0.7  # W and W/K: about the line of the invented logs
RISES = np.linspace(10.0, 64.0, 10)  # K, ten intervals a day
APART, TOGETHER = "each on days of its own", "side by side, on the same days"
WHAT = "standard cooking power at 50 K"
VERDICTS = {"first": "the first is better", "second": "the second is better", "cannot tell": "cannot tell"}


def stated(value: float, half: float) -> Estimate:
    """A result as people report it: ``value`` ± ``half`` W at 95 %, from many intervals."""
    reach = spread_about(WHAT, 0.0, 1.0, np.inf, "W").high
    return spread_about(WHAT, value, half / reach, np.inf, "W")


# --- the second bet: two results whose ranges overlap ---

REPORTS = ((47.0, 5.0), (40.0, 4.0))
MAY_SAY = ("the first is better", "they are equal", "nobody can tell")


def bet_answer() -> str:
    """What may be said of the two reports: one of MAY_SAY."""
    answer = trial.compare(*(stated(*report) for report in REPORTS)).answer
    return {"first": MAY_SAY[0], "cannot tell": MAY_SAY[2]}[answer]


def bet_picture() -> figures.Picture:
    """The two reports and their difference."""
    one, other = (stated(*report) for report in REPORTS)
    return drawn(one, other, trial.compare(one, other, NAMES), "Two reports, and their difference")


# --- the second bench ---


def tested(gap, days, scatter, between, together, throw):
    """Intervals of two boxes, the first truly better by ``gap`` [W]; each day has luck of its own."""
    luck = np.random.default_rng(1000 + int(throw))
    shared = luck.standard_normal(days)
    tables = []
    for extra in (gap, 0.0):
        own = shared if together else luck.standard_normal(days)
        watts = START + extra + SLOPE * RISES + between * own[:, None]
        watts = watts + scatter * luck.standard_normal((days, RISES.size))
        tables.append(pd.DataFrame({
            "day": np.repeat(np.arange(days), RISES.size), "difference": np.tile(RISES, days),
            "standard_power": watts.ravel(), "reason": "",
        }))  # fmt: skip
    return tables


def day_by_day(first: pd.DataFrame, second: pd.DataFrame) -> trial.Comparison:
    """Two boxes that stood side by side: subtract on each day, then see how the differences scatter."""
    daily = [
        [trial.regress(part).at_50.value for _, part in table.groupby("day")] for table in (first, second)
    ]
    apart = np.subtract(*daily)
    count = apart.size
    error = apart.std(ddof=1) / np.sqrt(count) if count > 1 else np.nan
    return trial.compare(
        spread_about(WHAT, apart.mean(), error, count - 1, "W"),
        spread_about(WHAT, 0.0, 0.0, np.inf, "W"),
        NAMES,
    )


def two_boxes(gap, days, scatter, between, how, throw) -> figures.Picture:
    """The second bench: what a test of two boxes says, beside what is true."""
    first, second = tested(gap, days, scatter, between, how == TOGETHER, throw)
    one, other = (trial.regress(table).at_50 for table in (first, second))
    found = day_by_day(first, second) if how == TOGETHER else trial.compare(one, other, NAMES)
    return drawn(one, other, found, f"Two boxes, {days} day{'s' * (days > 1)}, {how}", gap)


def drawn(one: Estimate, other: Estimate, found: trial.Comparison, title: str, truth=None) -> figures.Picture:
    """Two results and their difference, each with its 95 % range."""
    figure = figures.blank(9.0, 3.9)
    top = figure.add_axes((0.2, 0.57, 0.75, 0.34))
    low = figure.add_axes((0.2, 0.2, 0.75, 0.17))
    figures.dress(top, "standard cooking power at 50 K (W)")
    figures.dress(low, "difference, first less second (W)")
    for y, result in ((1, one), (0, other)):
        _bar(top, y, result)
    top.set_yticks([1, 0], ["first box", "second box"], fontsize=10)
    top.set_ylim(-0.6, 1.6)
    top.set_xlim(15, 75)
    gap = found.difference
    _bar(low, 0, gap)
    low.axvline(0.0, color=figures.BLACK, linewidth=1.8)
    if truth is not None:
        low.plot(
            [truth], [0], "D", color=figures.VERMILLION, markersize=9, fillstyle="none", markeredgewidth=2
        )
    low.set_yticks([0], ["difference"], fontsize=10)
    low.set_ylim(-0.7, 0.7)
    low.set_xlim(-30, 30)
    verdict = f"Verdict: {VERDICTS[found.answer]}."
    true = "" if truth is None else f" In truth the first is {truth:g} W better (diamond)."
    figure.text(0.02, 0.02, verdict + true, fontsize=11, weight="bold")
    rows = [("first box", one), ("second box", other), ("first less second", gap)]
    table = pd.DataFrame(
        [(name, f"{e.value:.1f}", _ends(e)) for name, e in rows], columns=["what", "result (W)", "95 % (W)"]
    )
    said = "; ".join(f"{name} {e.value:.1f} W ({_ends(e)})" for name, e in rows)
    return figures.Picture(figure, f"{said}. {verdict}{true}", table, title)


def _bar(axes, y: float, result: Estimate) -> None:
    if np.isfinite(result.low):
        axes.plot([result.low, result.high], [y, y], color=figures.BLUE, linewidth=5, solid_capstyle="butt")
    axes.plot([result.value], [y], "o", color=figures.BLACK, markersize=9)


def _ends(result: Estimate) -> str:
    return f"{result.low:.1f} to {result.high:.1f}" if np.isfinite(result.low) else "no range"

"""A lesson on paper: nothing is locked, a form is a line to write on, a record is a table to fill in.

Run inside the kernel that runs a lesson for its pages, before the lesson's own first cell.  The lesson is the
learner's copy: no prediction is made in it, so without this its runs would stay locked and its pages empty.
"""

from __future__ import annotations

from dataclasses import dataclass
from html import escape

import numpy as np
import pandas as pd

from solarlab import controls, record
from solarlab.figures import BLACK, GREY, Picture, blank, dress
from solarlab.record import SURENESS, Waiting

BOX = '<span class="box" aria-hidden="true"></span>'
LINE = '<span class="line" aria-hidden="true"></span>'


@dataclass(frozen=True)
class Bet(Waiting):
    """A prediction that stands on the reader's paper; false, like all that is not known here."""

    title: str = ""
    unit: str = ""
    within: float = 0.0


@dataclass(frozen=True)
class CameOut:
    """How a bet came out, for a reader who holds it against what they wrote."""

    bet: Bet
    outcome: str

    def __repr__(self) -> str:
        return f"It came out as {self.outcome}."

    def _repr_html_(self) -> str:
        within = record._shown(self.bet.within, self.bet.unit)
        band = f" Within {escape(within)} counts as right." if self.bet.within else ""
        return (
            f"<p>It came out as <strong>{escape(self.outcome)}</strong>.{band}</p>"
            f'<p class="write">My bet {BOX} held {BOX} did not hold</p>'
        )


def lay_on_paper() -> None:
    """Change how predictions and benches behave, in this process."""
    record.predict, record.settle = predict, settle
    record.unlock = lambda prediction, run: run()
    record.table, record.picture = table, picture
    controls.Guess.static_html = form
    controls.Bench.locked = property(lambda bench: False)
    controls._Shown.outputs = lambda shown: [{"text/plain": repr(shown), "text/html": shown.static_html()}]


def predict(question, who, value, sure, *, unit="", within=0.0, choices=(), title="", folder=None) -> Bet:
    """Take the place of ``record.predict``."""
    asked = record.Prediction(question, "", 0.0, "", 0.0, title=title).asked
    return Bet("On paper.", asked, unit, within)


def settle(prediction, outcome, folder=None) -> CameOut | Bet:
    """Take the place of ``record.settle``."""
    if outcome is None or not isinstance(prediction, Bet):
        return prediction
    return CameOut(prediction, record._shown(outcome, prediction.unit))


def form(guess: controls.Guess) -> str:
    """A question with room for a bet and for how sure one is of it."""
    bet = "".join(f'<span class="pick">{BOX} {escape(str(choice))}</span> ' for choice in guess.choices)
    sure = "".join(
        f'<span class="pick">{BOX} {escape(word)} ({SURENESS[word]:.0%})</span> ' for word in guess.sureness
    )
    return (
        f'<div class="form"><p><strong>{escape(guess.question)}</strong></p>'
        f'<p class="write">My bet: {bet or LINE + " " + escape(guess.unit)}</p>'
        f'<p class="write">How sure: {sure}</p></div>'
    )


def table(bets) -> record.Table:
    """The lesson's bets as a table to fill in."""
    columns = ["question", "came out", "my bet", "how sure", "held?"]
    rows = [(bet.bet.title, bet.outcome, "", "", "") for bet in bets if isinstance(bet, CameOut)]
    return record.Table(pd.DataFrame(rows, columns=columns), "My bets")


def picture(bets, draw) -> Picture:
    """An empty diagram of how sure against how often right, for a pencil."""
    figure = blank(6, 4.6)
    axes = figure.add_axes((0.13, 0.12, 0.84, 0.79))
    dress(axes, "how sure I said I was (%)", "how often I was right (%)")
    axes.plot([0, 100], [0, 100], color=GREY, linestyle=(0, (1.5, 1.8)), linewidth=1.5)
    axes.set(xlim=(0, 104), ylim=(-4, 104), xticks=range(0, 101, 20), yticks=range(0, 101, 20))
    stated = np.array([100.0 * chance for chance in SURENESS.values()])
    for word, place in zip(SURENESS, stated, strict=True):
        axes.axvline(place, color=GREY, linewidth=0.8)
        beside = {"textcoords": "offset points", "fontsize": 9, "color": BLACK, "rotation": 90}
        axes.annotate(word, (place, 1), (3, 0), **beside)
    alt = (
        "An empty diagram to fill in. To the right, how sure you said you were; upwards, how often you were "
        "right. Three thin lines stand at 35, 65 and 90 %. On the dotted line from corner to corner you know "
        "exactly how much you know."
    )
    rows = [(word, f"{place:.0f}", "", "") for word, place in zip(SURENESS, stated, strict=True)]
    columns = ["how sure", "of 100 times right", "how many bets", "how many held"]
    return Picture(figure, alt, pd.DataFrame(rows, columns=columns), "My own points, all lessons together")

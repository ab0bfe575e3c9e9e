"""Lesson 00, the first egg: its bet and its bench."""

from __future__ import annotations

from solarlab import controls
from solarlab.bets import Bet
from solarlab.exercises import beside

scene = beside(__file__, "scene")


#: What the egg looks like when it is cut open.
bet_on_egg = Bet(
    "first-egg/cut",
    "In at 11:00, dry, and cut open at 11:30: what is it?",
    title="an egg after 30 minutes",
    choices=scene.STATES,
)


def first_bench(lock=None) -> controls.Bench:
    """When the egg is cut, and how much cloud there is."""
    return controls.bench(
        scene.picture,
        [
            controls.slider("look", "cut it open after", 0, 60, int(scene.CUT), step=2, unit="min"),
            controls.slider("oktas", "cloud, in eighths of the sky", 0, 8, 0, step=1),
        ],
        lock=lock,
        title="One egg, no water",
    )

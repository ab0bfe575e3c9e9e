"""Lesson 00, the first egg: its bet and its bench."""

from __future__ import annotations

from solarlab import controls, record
from solarlab.exercises import beside

scene = beside(__file__, "scene")


def bet_on_egg(learner, cut_open, sure) -> controls.Guess:
    """What the egg looks like when it is cut open."""
    return controls.predict(
        "In at 11:00, dry, and cut open at 11:30: what is it?",
        lambda value, how: record.predict(
            "first-egg/cut", learner, value, how, choices=scene.STATES, title="an egg after 30 minutes"
        ),
        sureness=record.SURENESS,
        choices=scene.STATES,
        value=cut_open,
        sure=sure,
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

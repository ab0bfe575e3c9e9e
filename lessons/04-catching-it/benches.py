"""Lesson 04, catching it: the two bets, and the two benches that they unlock."""

from __future__ import annotations

from solarlab import controls
from solarlab.bets import Bet
from solarlab.exercises import beside
from solarlab.own import with_own

scene = beside(__file__, "scene")
AIMS = {
    "every 10 minutes": 10.0,
    "every half hour": 30.0,
    "every hour": 60.0,
    "once, then left": None,
}


#: The first bet: what four mirrors do.
bet_on_mirrors = Bet(
    "catching-it/mirrors",
    "How many times the light of the bare glass?",
    title="light with four mirrors, times the bare glass",
    within=0.3,
)

#: The second bet: what an hour without turning takes.
bet_on_hour = Bet(
    "catching-it/hour",
    "How many percent less light comes in at noon?",
    title="light lost after an hour without turning",
    unit="%",
    within=5,
)


def build(lock) -> controls.Bench:
    """The first bench: a glass and its mirrors, cut across."""
    return controls.bench(
        scene.mirrors.catcher,
        [
            controls.choice("mirrors", "mirrors", tuple(scene.mirrors.EDGES), "two"),
            controls.slider("length", "length of a mirror, times the glass", 0.25, 1.5, 1.0, step=0.25),
            controls.slider("flare", "flare: leaning out", 0, 60, 30, step=1, unit="°"),
            controls.slider("off", "sun off to the side", -45, 45, 0, step=1, unit="°"),
        ],
        lock=lock,
        title="Build a catcher",
    )


def drift(lock) -> controls.Bench:
    """The second bench: an oven left alone."""
    return controls.bench(
        scene.left_alone,
        [
            controls.choice("oven", "oven", with_own(scene.OVENS)),
            controls.slider("month", "month", 1, 12, 3, step=1, whole=True),
            controls.slider("latitude", "latitude (south is minus)", -60, 60, 30, step=1, unit="°"),
            controls.slider("start", "first aimed at", 480, 840, 600, step=30, unit="clock", whole=True),
            controls.choice("every", "aimed", AIMS, 60.0),
        ],
        lock=lock,
        title="Left alone",
    )

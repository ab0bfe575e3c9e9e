"""Lesson 03, the dark pot: the two bets, and the two benches that they unlock."""

from __future__ import annotations

from solarlab import controls
from solarlab.bets import Bet
from solarlab.exercises import beside
from solarlab.own import with_own

scene = beside(__file__, "scene")
ORDERS = ("mountain", "sea", "mountain boils, sea done", "sea boils, mountain done")


#: The first bet: what a forgotten lid costs.
bet_on_lid = Bet(
    "dark-pot/lid",
    "How many more minutes until the soup boils, without the lid?",
    title="minutes more without the lid",
    unit="min",
    within=10,
)

#: The second bet: the beans at the sea and on the mountain.
bet_on_beans = Bet(
    "dark-pot/beans",
    "Which pot boils first, and in which are the beans soft first?",
    title="beans by the sea and on the mountain",
    choices=ORDERS,
)


def pots(lock) -> controls.Bench:
    """The first bench: soup in one pot or another."""
    return controls.bench(
        scene.pots_bench,
        [
            controls.choice("oven", "oven", with_own(scene.OVENS)),
            controls.choice("pot", "pot", scene.POTS),
            controls.toggle("lid", "lid on", True),
            controls.slider("mass", "soup in the pot", 0.5, 2.5, 1.5, step=0.25, unit="kg"),
            controls.slider("oktas", "cloud, in eighths of the sky", 0, 8, 0, step=1),
        ],
        lock=lock,
        title="One soup, many pots",
    )


def heights(lock) -> controls.Bench:
    """The second bench: higher and higher up."""
    return controls.bench(
        scene.height_bench,
        [
            controls.slider("elevation", "height above the sea", 0, 4500, 2000, step=100, unit="m"),
            controls.choice("dish", "dish", scene.SHORE_DISHES, scene.BEANS),
            controls.choice("oven", "oven", with_own(scene.OVENS)),
        ],
        lock=lock,
        title="Up the mountain",
    )

"""Lesson 01, safe to eat: the two bets, and the two benches that they unlock."""

from __future__ import annotations

from solarlab import controls
from solarlab.bets import Bet
from solarlab.exercises import beside
from solarlab.own import with_own

scene = beside(__file__, "scene")
FATES = ("eat", "stove", "throw")
HOT_OVEN = "oven (an hour in the sun already)"


#: The first bet: how warm the middle of the bird is after half an hour.
bet_on_middle = Bet(
    "safe-to-eat/middle",
    "How warm is the middle of the bird at 10:30?",
    title="the bird's middle at 10:30",
    unit="°C",
    within=8,
)

#: The second bet: what becomes of a bird that is hot at last.
bet_on_fate = Bet(
    "safe-to-eat/fate",
    "Hot at three, after hours of cloud: what now?",
    title="hot at three, after hours of cloud",
    choices=FATES,
)


def one_day(lock) -> controls.Bench:
    """Temperatures of one dish on one day."""
    return controls.bench(
        scene.day_bench,
        [
            controls.choice("dish", "dish", scene.DISHES),
            controls.choice("oven", HOT_OVEN, with_own(scene.OVENS)),
            controls.choice("place", "place", scene.PLACES),
            controls.slider("loaded", "goes in at", 420, 840, 600, step=15, unit="clock"),
            controls.slider("cloud", "cloud comes at", 480, 900, 630, step=10, unit="clock"),
            controls.slider("lasts", "cloud stays for", 0, 300, 60, step=15, unit="min"),
            controls.slider("oktas", "cloud, in eighths of the sky", 0, 8, 8, step=1, whole=True),
        ],
        lock=lock,
        title="One dish, one day",
    )


def clocks(lock) -> controls.Bench:
    """The clocks of one dish on one day."""
    return controls.bench(
        scene.clock_bench,
        [
            controls.choice("dish", "dish", scene.DISHES),
            controls.choice("oven", HOT_OVEN, with_own(scene.OVENS)),
            controls.slider("standing", "stood on the table before", 0, 180, 0, step=5, unit="min"),
            controls.slider("loaded", "goes in at", 420, 840, 600, step=15, unit="clock"),
            controls.slider("cloud", "cloud comes at", 480, 900, 630, step=10, unit="clock"),
            controls.slider("lasts", "cloud stays for", 0, 300, 210, step=15, unit="min"),
        ],
        lock=lock,
        title="The clocks",
    )

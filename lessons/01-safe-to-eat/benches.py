"""Lesson 01, safe to eat: the two bets, and the two benches that they unlock."""

from __future__ import annotations

from solarlab import controls, record
from solarlab.exercises import beside

scene = beside(__file__, "scene")
FATES = ("eat", "stove", "throw")
HOT_OVEN = "oven (an hour in the sun already)"


def bet_on_middle(learner, value, sure) -> controls.Guess:
    """The first bet: how warm the middle of the bird is after half an hour."""
    return controls.predict(
        "How warm is the middle of the bird at 10:30?",
        lambda value, how: record.predict(
            "safe-to-eat/middle", learner, value, how, unit="°C", within=8, title="the bird's middle at 10:30"
        ),
        sureness=record.SURENESS,
        unit="°C",
        value=value,
        sure=sure,
    )


def bet_on_fate(learner, value, sure) -> controls.Guess:
    """The second bet: what becomes of a bird that is hot at last."""
    return controls.predict(
        "Hot at three, after hours of cloud: what now?",
        lambda value, how: record.predict(
            "safe-to-eat/fate", learner, value, how, choices=FATES, title="hot at three, after hours of cloud"
        ),
        sureness=record.SURENESS,
        choices=FATES,
        value=value,
        sure=sure,
    )


def one_day(lock) -> controls.Bench:
    """Temperatures of one dish on one day."""
    return controls.bench(
        scene.day_bench,
        [
            controls.choice("dish", "dish", scene.DISHES),
            controls.choice("oven", HOT_OVEN, scene.OVENS),
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
            controls.choice("oven", HOT_OVEN, scene.OVENS),
            controls.slider("standing", "stood on the table before", 0, 180, 0, step=5, unit="min"),
            controls.slider("loaded", "goes in at", 420, 840, 600, step=15, unit="clock"),
            controls.slider("cloud", "cloud comes at", 480, 900, 630, step=10, unit="clock"),
            controls.slider("lasts", "cloud stays for", 0, 300, 210, step=15, unit="min"),
        ],
        lock=lock,
        title="The clocks",
    )

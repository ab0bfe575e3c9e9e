"""Lesson 02, the warm box: the two bets, and the two benches that they unlock."""

from __future__ import annotations

from solarlab import controls, record
from solarlab.exercises import beside

scene = beside(__file__, "scene")


def bet_on_hot_day(learner, value, sure) -> controls.Guess:
    """The first bet: where the box settles on a hot day."""
    return controls.predict(
        "Where does the box settle on the hot day?",
        lambda value, how: record.predict(
            "warm-box/hot-day", learner, value, how, unit="°C", within=8, title="the box on the hot day"
        ),
        sureness=record.SURENESS,
        unit="°C",
        value=value,
        sure=sure,
    )


def bet_on_change(learner, value, sure) -> controls.Guess:
    """The second bet: which of `scene.CHANGES` warms the box most."""
    return controls.predict(
        "Which change warms the box most?",
        lambda value, how: record.predict(
            "warm-box/change", learner, value, how, choices=scene.CHANGES,
            title="which change warms the box most",
        ),
        sureness=record.SURENESS,
        choices=tuple(scene.CHANGES),
        value=value,
        sure=sure,
    )


def conditions() -> list[controls.Control]:
    """What both benches may change: the box, and the weather around it."""
    return [
        controls.choice("oven", "box", scene.OVENS),
        controls.slider("sun", "sun, in % of a clear noon", 20, 110, 100, step=5, unit="%"),
        controls.slider("air", "air outside", -10, 45, 25, step=1, unit="°C"),
        controls.slider("wind", "wind at the box", 0, 8, 1.5, step=0.5, unit="m/s"),
        controls.slider("wool", "insulation, times what it has", 0.25, 4, 1, step=0.25),
        controls.choice("panes", "panes of glass", {"two": 2, "one": 1}),
    ]


def warming_up(lock) -> controls.Bench:
    """A box set out in a steady sun."""
    return controls.bench(
        scene.warm_bench,
        [*conditions(), controls.toggle("opened", "open the lid for a minute at 11:00")],
        lock=lock,
        title="A box in a steady sun",
    )


def ledger(lock) -> controls.Bench:
    """Where the sunlight of one hour went."""
    return controls.bench(
        scene.ledger_bench,
        [
            *conditions(),
            controls.slider("looks", "half-minute looks under the lid", 0, 6, 0, step=1, whole=True),
        ],
        lock=lock,
        title="Where a watt goes",
    )

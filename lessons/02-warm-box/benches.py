"""Lesson 02, the warm box: the two bets, and the two benches that they unlock."""

from __future__ import annotations

from solarlab import controls
from solarlab.bets import Bet
from solarlab.exercises import beside
from solarlab.own import with_own

scene = beside(__file__, "scene")


#: The first bet: where the box settles on a hot day.
bet_on_hot_day = Bet(
    "warm-box/hot-day",
    "Where does the box settle on the hot day?",
    title="the box on the hot day",
    unit="°C",
    within=8,
)

#: The second bet: which of `scene.CHANGES` warms the box most.
bet_on_change = Bet(
    "warm-box/change",
    "Which change warms the box most?",
    title="which change warms the box most",
    choices=scene.CHANGES,
)


def conditions() -> list[controls.Control]:
    """What both benches may change: the box, and the weather around it."""
    return [
        controls.choice("oven", "box", with_own(scene.OVENS)),
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

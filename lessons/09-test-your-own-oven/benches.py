"""Lesson 09, test your own oven: its two bets and its two benches."""

from __future__ import annotations

from solarlab import controls
from solarlab.bets import Bet
from solarlab.exercises import beside

scene = beside(__file__, "scene")
twins = beside(__file__, "twins")


#: The first bet: how many watts go into the water when it is 50 K warmer than the air.
bet_on_power = Bet(
    "own-oven/power",
    "How many watts go into the water at 50 K above the air?",
    title="watts at 50 K above the air",
    unit="W",
    within=10,
)

#: The second bet: what two overlapping results allow to say.
bet_on_reports = Bet(
    "own-oven/reports",
    "47 W (42 to 52) and 40 W (36 to 44): what may be said?",
    title="47 W and 40 W, whose ranges overlap",
    choices=twins.MAY_SAY,
)


def line(lock=None) -> controls.Bench:
    """The first bench: the invented logs, ten minutes a point, and a line."""
    through = {"free: wherever the points want it": "free", "forced through zero": "zero"}
    return controls.bench(
        scene.the_line,
        [
            controls.choice("days", "logs", scene.DAYS),
            controls.choice("which", "which ten minutes count", (scene.RULED, scene.WHOLE)),
            controls.toggle("scaled", "scaled to 700 W/m² of light", True),
            controls.choice("through", "the line", through),
            controls.slider("rise", "read the line at", 0, 70, 50, step=5, unit="K"),
            controls.slider("water", "water you believe is in the pot", 2.0, 3.2, scene.WATER, step=0.1,
                            unit="kg"),
        ],
        lock=lock,
        title="A line through ten minutes",
    )  # fmt: skip


def two(lock=None) -> controls.Bench:
    """The second bench: two boxes, tested with luck."""
    return controls.bench(
        twins.two_boxes,
        [
            controls.slider("gap", "the first is truly better by", 0, 12, 6, step=1, unit="W"),
            controls.slider("days", "days of testing", 1, 8, 3, step=1, whole=True),
            controls.slider("scatter", "scatter of ten minutes", 1, 10, 5, step=1, unit="W"),
            controls.slider("between", "one day differs from the next by", 0, 6, 3, step=1, unit="W"),
            controls.choice("how", "tested", (twins.APART, twins.TOGETHER)),
            controls.slider("throw", "another throw of luck", 1, 30, 1, step=1, whole=True),
        ],
        lock=lock,
        title="Two boxes",
    )

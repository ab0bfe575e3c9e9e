"""Lesson 02, the warm box: the exercises of the second track, in which learners write code."""

from __future__ import annotations

import math

from solarlab.exercises import Alternative, Exercise

# --- 8 warm_up: a function (code track) ---


def box_temperature(power, loss, capacity, air, minutes):
    """°C of a box ``minutes`` after it was set out: rise P/U (1 - exp(-U t / C)) above the air."""
    return air + power / loss * (1.0 - math.exp(-loss * 60.0 * minutes / capacity))


WARM_UP = Exercise(
    id="warm-box/temperature",
    kind="function",
    title="A box, minute by minute",
    variable="box_temperature",
    points=3.0,
    track="code",
    question=(
        "Write `box_temperature(power, loss, capacity, air, minutes)`: the temperature [°C] of a box "
        "`minutes` after it was set out, as warm as the air. It keeps `power` [W] of sunlight, loses "
        "`loss` watts for each degree above the air [W/K], takes `capacity` joules for one degree [J/K], "
        "and the air is at `air` [°C]. The rise is P/U · (1 − exp(−t/τ)), with the time constant τ = C/U "
        "in *seconds*."
    ),
    answer=box_temperature,
    inputs=lambda draw: {
        "power": draw.step(60, 400, 5),
        "loss": draw.step(0.8, 4.0, 0.05),
        "capacity": draw.step(1200, 15000, 100),
        "air": draw.step(-5, 40, 1),
        "minutes": draw.step(5, 120, 1),
    },
    tolerance=(0.002, 0.1),
    alternatives=(
        Alternative(
            "minutes-for-seconds",
            lambda power, loss, capacity, air, minutes: box_temperature(
                power, loss, capacity, air, minutes / 60.0
            ),
            "Your box hardly warms at all. C/U is in seconds; in what are your minutes?",
            "A formula does not say in which unit it wants its time.",
            credit=0.5,
        ),
        Alternative(
            "rise-without-the-air",
            lambda power, loss, capacity, air, minutes: (
                box_temperature(power, loss, capacity, air, minutes) - air
            ),
            "That is the *rise*. From where does the box rise?",
            "The formula ends where the physics ends, and the sum is left to the reader.",
            credit=0.5,
        ),
        Alternative(
            "never-loses",
            lambda power, loss, capacity, air, minutes: air + power * 60.0 * minutes / capacity,
            "Your box gets hotter for ever, as if it lost nothing.",
            "Filling a bucket is the everyday picture of something that goes on.",
            credit=0.25,
        ),
        Alternative(
            "settled-at-once",
            lambda power, loss, capacity, air, minutes: air + power / loss,
            "That is where it settles in the end. You were asked for a moment on the way.",
            "The end value is easy, and it does not depend on the clock.",
            credit=0.25,
        ),
    ),
    hints=("First τ = capacity / loss, in seconds.", "air + power / loss * (1 - exp(-60 * minutes / τ))."),
)


# --- 9 panes: a bug (code track) ---


def glass_loss(inside, between, outside):
    """W/(m² K) through panes whose air layers follow each other: resistances add, 1/U = sum of 1/h."""
    return 1.0 / (1.0 / inside + 1.0 / between + 1.0 / outside)


PANES = Exercise(
    id="warm-box/panes",
    kind="bug",
    title="A pane that lets out more",
    variable="glass_loss",
    points=2.0,
    track="code",
    question=(
        "`glass_loss(inside, between, outside)` should give what a square metre of double glass lets out "
        "for each degree [W/(m² K)]. The same heat passes three layers *one after the other*: from the "
        "box to the inner pane, `between` the panes, and off the outer pane to the `outside`; each layer "
        "lets through so many W/(m² K). As it stands, a second pane makes the box lose *more*. Mend it."
    ),
    answer=glass_loss,
    given=lambda inside, between, outside: inside + between + outside,
    inputs=lambda draw: {
        "inside": draw.step(6, 16, 0.1),
        "between": draw.step(4, 12, 0.1),
        "outside": draw.step(8, 35, 0.1),
    },
    tolerance=(0.002, 0.0),
    alternatives=(
        Alternative(
            "mean-of-layers",
            lambda inside, between, outside: (inside + between + outside) / 3.0,
            "A mean would be right if a third of the heat went each way. Here all of it must pass all three.",
            "The mean is what one does with several numbers of one kind.",
        ),
        Alternative(
            "weakest-link",
            lambda inside, between, outside: min(inside, between, outside),
            "The worst layer rules, nearly. But the other two hold back a little, too.",
            "A chain is as strong as its weakest link.",
            credit=0.25,
        ),
        Alternative(
            "resistance-not-turned-back",
            lambda inside, between, outside: 1.0 / inside + 1.0 / between + 1.0 / outside,
            "These are resistances, and they add up rightly. What lets through is one *over* a resistance.",
            "The last step of a reciprocal is the one that is forgotten.",
            credit=0.5,
        ),
        Alternative(
            "a-layer-forgotten",
            lambda inside, between, outside: 1.0 / (1.0 / inside + 1.0 / outside),
            "That is a single pane now. Where is the air between the two?",
            "Still air looks like nothing.",
            credit=0.5,
        ),
    ),
    hints=(
        "Queue after queue: do the hold-ups add, or the speeds?",
        "Each layer resists by 1/h. The sum of the three is 1/U.",
    ),
)

EXERCISES = (WARM_UP, PANES)

"""Lesson 03, the dark pot: the exercises of the second track, in which learners write code."""

from __future__ import annotations

import math

import numpy as np

from solarlab import water
from solarlab.doneness import cook_value
from solarlab.exercises import Alternative, Exercise

LINEAR = "De Bock, Van Dooren, Janssens & Verschaffel 2007, The Illusion of Linearity (from memory)"

# --- 9 dose: a function (code track) ---


def boil_minutes(temperatures, step):
    """Minutes at 100 °C that equal the path: each of ``temperatures`` [°C] held for ``step`` seconds."""
    held = np.repeat(np.asarray(temperatures, float)[:, np.newaxis], 2, axis=1)
    return float(cook_value([0.0, step], held)[:, -1].sum())


def dose_inputs(draw):
    # Half of the loggers go into a pot that is hot already: there the first reading counts, too.
    start, top = draw.pick((draw.uniform(15, 30), draw.uniform(65, 80))), draw.uniform(84, 100)
    count, lag = int(draw.step(12, 40, 1)), draw.uniform(3, 8)
    fall = draw.uniform(0, 12)
    rise = [start + (top - start) * (1 - math.exp(-n / lag)) for n in range(count)]
    return {
        "temperatures": [round(c - fall * max(0.0, n / count - 0.6), 2) for n, c in enumerate(rise)],
        "step": draw.pick((120.0, 300.0, 600.0)),
    }


DOSE = Exercise(
    id="dark-pot/dose",
    kind="function",
    title="Minutes that count",
    variable="boil_minutes",
    points=3.0,
    track="code",
    question=(
        "A logger in the pot of beans reads one temperature every `step` seconds. Write "
        "`boil_minutes(temperatures, step)`: how many minutes at a 100 °C boil all of it is worth. "
        "A minute at "
        "T °C is worth 10^((T − 100) / 33) minutes. Each reading holds for `step` seconds."
    ),
    answer=boil_minutes,
    inputs=dose_inputs,
    tolerance=(0.005, 0.02),
    alternatives=(
        Alternative(
            "worth-in-proportion",
            lambda temperatures, step: sum(t / 100.0 * step / 60.0 for t in temperatures),
            "You let a minute at 50 °C count for half. Beans lie in 50 °C all night and stay hard. Use the "
            "power of ten.",
            "Half as hot, half as good: proportion is the first law everyone learns.",
            source=LINEAR,
        ),
        Alternative(
            "mean-before-the-power",
            lambda temperatures, step: len(temperatures) * step / 60.0
            * 10 ** ((sum(temperatures) / len(temperatures) - 100.0) / 33.0),
            "You took the mean temperature first. A minute at the boil does far more than a cold one undoes: "
            "worth of each reading first, then the sum.",
            "Averaging first is right for straight-line things.",
            source=LINEAR,
            credit=0.25,
        ),
        Alternative(
            "e-for-ten",
            lambda temperatures, step: sum(math.exp((t - 100.0) / 33.0) * step / 60.0 for t in temperatures),
            "`exp` is a power of 2.718. The rule says a power of ten.",
            "exp is the power function that comes to hand.",
            credit=0.5,
        ),
        Alternative(
            "counts-seconds",
            lambda temperatures, step: 60.0 * boil_minutes(temperatures, step),
            "Right in seconds. You were asked for minutes.",
            "`step` comes in seconds, and so the sum does.",
            credit=0.5,
        ),
    ),
    hints=("One worth per reading, then add.", "Each is worth step / 60 * 10 ** ((t - 100) / 33)."),
)  # fmt: skip


# --- 10 gone: a bug (code track) ---


def steam_off(power, minutes, celsius):
    """Kilograms that ``power`` [W] boils off in ``minutes`` from water boiling at ``celsius``."""
    return 60.0 * minutes * power / float(water.latent_heat(celsius))


GONE = Exercise(
    id="dark-pot/gone",
    kind="bug",
    title="A pot that boils dry at once",
    variable="steam_off",
    points=2.0,
    track="code",
    question=(
        "`steam_off(power, minutes, celsius)` should give the kilograms of water that `power` watts "
        "turn into "
        "steam in so many `minutes`, from a pot that boils at `celsius`. It says that 300 W empty a pot of "
        "one and a half litres in half an hour. One line is wrong; mend it."
    ),
    answer=steam_off,
    given=lambda power, minutes, celsius: 60.0 * minutes * power
    / (water.SPECIFIC_HEAT * (celsius - 25.0)),
    inputs=lambda draw: {
        "power": draw.step(50, 600, 10),
        "minutes": draw.step(5, 120, 5),
        "celsius": draw.step(84, 100, 1),
    },
    tolerance=(0.005, 0.0),
    alternatives=(
        Alternative(
            "warming-and-steaming",
            lambda power, minutes, celsius: 60.0 * minutes * power
            / (water.SPECIFIC_HEAT * (celsius - 25.0) + float(water.latent_heat(celsius))),
            "You make it pay for the warming, too. This pot boils already.",
            "Two heats are known, so both are charged.",
            credit=0.5,
        ),
        Alternative(
            "minutes-for-seconds",
            lambda power, minutes, celsius: minutes * power / float(water.latent_heat(celsius)),
            "The heat is right now, and the sixty got lost.",
            "Mending one thing breaks its neighbour.",
            credit=0.5,
        ),
        Alternative(
            "melts-instead-of-boils",
            lambda power, minutes, celsius: 60.0 * minutes * power / water.LATENT_HEAT_OF_FUSION,
            "That is the latent heat of melting ice. Steam costs nearly seven times as much.",
            "There are two latent heats, and one name.",
            credit=0.5,
        ),
    ),
    hints=("Which heat does water take that boils already?", "`latent_heat(celsius)` gives it in J/kg."),
)  # fmt: skip

EXERCISES = (DOSE, GONE)

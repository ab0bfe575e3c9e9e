"""Lesson 07, the dry egg: the exercises of the second track, in which learners write code."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np

from solarlab import egg
from solarlab.exercises import Alternative, Exercise

GAS_CONSTANT = 8.314462618  # J/(mol K)
LINEAR = "De Bock, Van Dooren, Janssens & Verschaffel 2007, The Illusion of Linearity (from memory)"

# --- 6 set: a function (code track) ---


def rate(celsius, frequency, activation_energy):
    """Setting rate [1/s], computed by the package for a part with these constants."""
    part = replace(egg.YOLK, frequency=frequency, activation_energy=activation_energy)
    return math.log(10.0) / egg.time_to_set(part, np.asarray(celsius, float), 0.9)


def set_fraction(temperatures, step, frequency, activation_energy):
    """Share set after each of ``temperatures`` [°C] was held for ``step`` seconds."""
    return float(-np.expm1(-np.sum(step * rate(temperatures, frequency, activation_energy))))


def in_celsius(temperatures, step, frequency, activation_energy):
    rates = (frequency * math.exp(-activation_energy / (GAS_CONSTANT * c)) for c in temperatures)
    return -math.expm1(-sum(step * k for k in rates))


def at_the_last(temperatures, step, frequency, activation_energy):
    return set_fraction([temperatures[-1]] * len(temperatures), step, frequency, activation_energy)


def at_the_mean(temperatures, step, frequency, activation_energy):
    mean = sum(temperatures) / len(temperatures)
    return set_fraction([mean] * len(temperatures), step, frequency, activation_energy)


def straight(temperatures, step, frequency, activation_energy):
    return min(1.0, float(np.sum(step * rate(temperatures, frequency, activation_energy))))


def one_second_each(temperatures, step, frequency, activation_energy):
    return set_fraction(temperatures, 1.0, frequency, activation_energy)


def set_inputs(draw):
    part, low, high = draw.pick(((egg.YOLK, 60.0, 66.0), (egg.WHITE, 71.0, 77.0)))
    count, peak, start = int(draw.step(16, 40, 1)), draw.uniform(low, high), draw.uniform(5, 25)
    fall, lag = draw.uniform(0, 5), draw.uniform(2, 5)
    rise = [start + (peak - start) * (1 - math.exp(-n / lag)) for n in range(count)]
    trace = [round(c - fall * max(0, n - 0.6 * count) / count, 2) for n, c in enumerate(rise)]
    return {
        "temperatures": trace,
        "step": draw.pick((30.0, 60.0, 120.0)),
        "frequency": part.frequency,
        "activation_energy": part.activation_energy,
    }


SET = Exercise(
    id="dry-egg/set",
    kind="function",
    title="How far has it set?",
    variable="set_fraction",
    points=3.0,
    track="code",
    question=(
        "Write `set_fraction(temperatures, step, frequency, activation_energy)`: the share of an egg part "
        "that has set (0 raw, 1 set) after each of the `temperatures` [°C] was held for `step` seconds. "
        "The speed of setting is k = A·exp(−Ea / (R·T)), with A the `frequency` [1/s], Ea the "
        "`activation_energy` [J/mol], R = 8.314462618 and T counted from absolute zero (0 °C is 273.15 of "
        "the same degrees). Each second, the share k of what is still raw sets."
    ),
    answer=set_fraction,
    inputs=set_inputs,
    tolerance=(0.02, 0.003),
    alternatives=(
        Alternative(
            "celsius-in-exponent",
            in_celsius,
            "Your egg stays raw for ever. The T in the exponent counts from the coldest cold there is: "
            "what must be added to °C?",
            "°C is what thermometers say, and nothing warns when it is put into exp(−Ea/RT).",
        ),
        Alternative(
            "last-temperature-only",
            at_the_last,
            "You let the last temperature stand for the whole time. What did the egg do on the way there?",
            "The temperature at the end is the one people look at.",
            credit=0.25,
        ),
        Alternative(
            "mean-temperature",
            at_the_mean,
            "You took the average temperature. A minute at 75 °C does far more than a minute at 65 °C can "
            "undo: take the speed at each temperature first, then add.",
            "Averaging first is right for straight-line things, and most things are taught as straight "
            "lines.",
            source=LINEAR,
            credit=0.25,
        ),
        Alternative(
            "straight-line-setting",
            straight,
            "You added up the shares. But each second takes its share of what is *still raw*, and that "
            "gets less.",
            "Filling a bucket is the everyday picture of 'a share per second'.",
            source=LINEAR,
            credit=0.5,
        ),
        Alternative(
            "seconds-forgotten",
            one_second_each,
            "Each temperature counts for one second in your sum. How long was it held?",
            "A list of readings looks like time itself; the step between them is easily lost.",
            credit=0.5,
        ),
    ),
    hints=(
        "Speed k at each temperature (from absolute zero), times `step`, all added up: call that sum d.",
        "The raw share left is exp(−d).",
    ),
)


# --- 7 lag: a bug (code track) ---

DIFFUSIVITY = 1.4e-7  # m²/s: k / (density c) of white, .55 / (1040 × 3800)


def middle_lag(mass, diffusivity=DIFFUSIVITY):
    """Seconds by which an egg's middle lags behind its skin, R²/(π² α): first term of the sphere's series."""
    return float(egg.equivalent_radius(mass)) ** 2 / (math.pi**2 * diffusivity)


LAG = Exercise(
    id="dry-egg/lag",
    kind="bug",
    title="A lag that cannot be",
    variable="middle_lag",
    points=2.0,
    track="code",
    question=(
        "`middle_lag(mass, diffusivity)` should give the seconds by which an egg's middle lags behind its "
        "skin: R² / (π² α), R the radius [m] of an egg of `mass` [kg], α the `diffusivity` [m²/s]. It says "
        "that a hen's egg lags more than four hours. One line is wrong; mend it."
    ),
    answer=middle_lag,
    given=lambda mass, diffusivity: float(egg.equivalent_radius(mass)) / (math.pi**2 * diffusivity),
    inputs=lambda draw: {
        "mass": round(draw.uniform(0.01, 1.5), 4),
        "diffusivity": draw.uniform(1.1e-7, 1.6e-7),
    },
    tolerance=(0.005, 0.0),
    alternatives=(
        Alternative(
            "mass-for-size",
            lambda mass, diffusivity: float(mass) / (math.pi**2 * diffusivity),
            "Kilograms over m²/s is no time at all. Which length does heat have to cross?",
            "Heavier takes longer, so the mass is put where the time should come from.",
        ),
        Alternative(
            "diameter-for-radius",
            lambda mass, diffusivity: (
                (2 * float(egg.equivalent_radius(mass))) ** 2 / (math.pi**2 * diffusivity)
            ),
            "Four times too long now. Heat comes in from all round: how far has it to go to the middle?",
            "A calliper measures the whole width.",
            credit=0.5,
        ),
        Alternative(
            "cubed",
            lambda mass, diffusivity: float(egg.equivalent_radius(mass)) ** 3 / (math.pi**2 * diffusivity),
            "The cube of the radius goes with the mass. The units do not come out in seconds: try again.",
            "More food, more time: the cube smuggles the mass back in.",
        ),
        Alternative(
            "pi-not-squared",
            lambda mass, diffusivity: float(egg.equivalent_radius(mass)) ** 2 / (math.pi * diffusivity),
            "The radius is right now, and π lost its square on the way.",
            "Mending one thing breaks its neighbour.",
            credit=0.5,
        ),
    ),
    hints=("Which line gives something that is not in seconds?", "R² over α has the unit m² / (m²/s)."),
)


EXERCISES = (SET, LAG)

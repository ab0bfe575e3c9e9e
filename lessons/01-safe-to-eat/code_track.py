"""Lesson 01, safe to eat: the exercises of the second track, in which learners write code."""

from __future__ import annotations

import math

import numpy as np

from solarlab import safety
from solarlab.exercises import Alternative, Exercise
from solarlab.safety import COLD, HOT, TimeBelow

# --- 8 zone: a function (code track) ---


def zone_minutes(minutes, temperatures):
    """Minutes between 5 and 60 °C, straight lines between readings: the safety room's own clock."""
    seconds, values = 60.0 * np.asarray(minutes, float), np.asarray(temperatures, float)
    hot, cold = (TimeBelow(seconds, values, level).total[-1] for level in (HOT, COLD))
    return float(hot - cold) / 60.0


def forgiving(minutes, temperatures):
    """Starts anew each time the food is hot."""
    last = max((i for i, t in enumerate(temperatures) if t >= HOT), default=None)
    if last is None:
        return zone_minutes(minutes, temperatures)
    if last == len(temperatures) - 1:
        return 0.0
    return zone_minutes([m - minutes[last] for m in minutes[last:]], temperatures[last:])


def steps_only(minutes, temperatures):
    """Takes each reading to last until the next."""
    return float(
        sum(b - a for a, b, t in zip(minutes, minutes[1:], temperatures, strict=False) if COLD <= t < HOT)
    )


def cold_counts(minutes, temperatures):
    seconds, values = 60.0 * np.asarray(minutes, float), np.asarray(temperatures, float)
    return float(TimeBelow(seconds, values, HOT).total[-1]) / 60.0


def first_to_last(minutes, temperatures):
    inside = [m for m, t in zip(minutes, temperatures, strict=True) if COLD <= t < HOT]
    return float(inside[-1] - inside[0]) if inside else 0.0


def zone_inputs(draw):
    shape = (2.0, 14.0, 35.0, 55.0, 68.0, 75.0, 64.0, 52.0, 47.0, 57.0, 70.0, draw.pick((82.0, 84.0, 50.0)))
    minutes, temperatures, now = [], [], 0.0
    for degrees in shape:
        minutes.append(now)
        temperatures.append(round(degrees + draw.uniform(-1.9, 2.9), 1))
        now += draw.step(10, 40, 1)
    return {"minutes": minutes, "temperatures": temperatures}


ZONE = Exercise(
    id="safe-to-eat/zone",
    kind="function",
    title="Minutes in the danger zone",
    variable="zone_minutes",
    points=3.0,
    track="code",
    question=(
        "Write `zone_minutes(minutes, temperatures)`: for how many minutes did a probe read between "
        "5 °C and 60 °C? (One probe, one place. The come-up clock takes its start from the skin and its end "
        "from the middle.) `minutes` are the times of the readings (rising, not evenly spaced), "
        "`temperatures` the readings in °C. Between two readings the temperature runs along a straight "
        "line. A clock is never turned back."
    ),
    answer=zone_minutes,
    inputs=zone_inputs,
    tolerance=(0.005, 0.3),
    alternatives=(
        Alternative(
            "hot-at-the-end-means-safe",
            forgiving,
            "Your clock starts anew whenever the food was hot. A clock of this kind is never turned back: "
            "what poisons are made stay.",
            "Boiling kills germs: that is taught in every school, and their poisons are not mentioned.",
            credit=0.25,
        ),
        Alternative(
            "readings-last-until-the-next",
            steps_only,
            "You let each reading stand until the next one comes. Between 14 °C and 75 °C the line "
            "crosses 60 °C somewhere in the middle: find out where.",
            "A list of numbers looks like stairs.",
            credit=0.5,
        ),
        Alternative(
            "cold-counts-too",
            cold_counts,
            "You count the minutes below 5 °C as well. There germs sleep.",
            "One limit is easier than two.",
            credit=0.5,
        ),
        Alternative(
            "first-to-last",
            first_to_last,
            "You took the last reading in the zone less the first one. In between it was out of the zone "
            "for a while, and at both ends it was in it a little longer.",
            "From–to is how shops and trains tell time.",
            credit=0.25,
        ),
    ),
    hints=(
        "Take one step from reading a to reading b. Which share of the way lies between 5 and 60?",
        "Cut both ends of the step to 5…60; the share is (cut b − cut a) / (b − a), and all or nothing "
        "where a equals b.",
    ),
)


# --- 9 kill: a bug (code track) ---

SALMONELLA = safety.CHICKEN_SALMONELLA


def decades_killed(temperatures, step):
    """Powers of ten killed while each of ``temperatures`` [°C] was held for ``step`` minutes."""
    held = np.repeat(np.asarray(temperatures, float)[:, None], 2, axis=1)
    return float(safety.log_reduction(SALMONELLA, [0.0, 60.0 * step], held)[:, -1].sum())


def decades_with(decade, lowest=SALMONELLA.lowest):
    return lambda temperatures, step: float(sum(step / decade(t) for t in temperatures if t >= lowest))


KILL = Exercise(
    id="safe-to-eat/kill",
    kind="bug",
    title="A germ that likes it hot",
    variable="decades_killed",
    points=2.0,
    track="code",
    question=(
        "`decades_killed(temperatures, step)` should say how many powers of ten of *Salmonella* die in "
        "moist chicken while each of the `temperatures` [°C] is held for `step` minutes. One power of ten "
        "takes 5.1 minutes at 60 °C, and ten times less for every 6.4 degrees more. Below 57.7 °C nothing "
        "may be counted. As it stands, the germ likes it hot. One line is wrong; mend it."
    ),
    answer=decades_killed,
    given=decades_with(lambda t: 5.1 * 10 ** ((t - 60.0) / 6.4)),
    inputs=lambda draw: {
        "temperatures": [round(draw.uniform(54.0, 66.0), 1) for _ in range(int(draw.step(6, 20, 1)))],
        "step": draw.pick((1.0, 2.0, 5.0)),
    },
    tolerance=(0.005, 0.0),
    alternatives=(
        Alternative(
            "e-for-ten",
            decades_with(lambda t: 5.1 * math.exp((60.0 - t) / 6.4)),
            "The way is right now, but `exp` goes by 2.7 where the rule says *ten* times less.",
            "`exp` is what textbooks write for anything that grows or falls fast.",
            credit=0.5,
        ),
        Alternative(
            "lukewarm-kills-too",
            decades_with(lambda t: 5.1 * 10 ** ((60.0 - t) / 6.4), lowest=0.0),
            "The mended line is right, but the limit of 57.7 °C got lost: there nobody has measured.",
            "A formula gives a number anywhere, measured or not.",
            credit=0.5,
        ),
        Alternative(
            "heat-without-time-scale",
            decades_with(lambda t: 5.1 * 10 ** (60.0 - t)),
            "Now each single degree makes a tenfold difference. How many degrees should it take?",
            "Mending one thing breaks its neighbour.",
            credit=0.25,
        ),
        Alternative(
            "all-at-sixty",
            decades_with(lambda t: 5.1),
            "You count every reading as if it were 60 °C. The hotter ones do far more.",
            "One number per germ is easier to remember than a slope.",
        ),
    ),
    hints=(
        "At 66.4 °C one power of ten should take .51 minutes. What does the function use there?",
        "Look at the sign in the exponent.",
    ),
)

EXERCISES = (ZONE, KILL)

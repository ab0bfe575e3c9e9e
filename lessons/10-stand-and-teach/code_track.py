"""Lesson 10, stand and teach: the exercises of the second track, in which learners write code."""

from __future__ import annotations

import math

from solarlab import fuel
from solarlab.exercises import Alternative, Exercise

# --- 8 latest: the last loading time that will do ---


def latest_start(starts, chances, wanted):
    """The latest of ``starts`` [min] whose chance [%] is at least ``wanted``; 0 if there is none."""
    return max((s for s, c in zip(starts, chances, strict=True) if c >= wanted), default=0)


def latest_inputs(draw):
    """A morning's table: low at first (the danger clock), high for a while, then falling (the meal)."""
    first, count = int(draw.step(450, 540, 30)), int(draw.step(8, 12, 1))
    up, down = draw.uniform(-2.5, 3.0), draw.uniform(4.5, count - 1.5)
    top = draw.pick((62, 85, 92, 97, 99))
    chances = []
    for k in range(count):
        rise, fall = 1 / (1 + math.exp(-2.2 * (k - up))), 1 / (1 + math.exp(2.6 * (k - down)))
        chances.append(max(0, min(100, round(top * rise * fall + draw.uniform(-3, 3)))))
    starts = [first + 30 * k for k in range(count)]
    return {"starts": starts, "chances": chances, "wanted": draw.pick((60, 70, 80, 90))}


def first_gap(starts, chances, wanted):
    """Goes on while it is good enough, and so stops at once when the early hours are not."""
    found = 0
    for start, chance in zip(starts, chances, strict=True):
        if chance < wanted:
            return found
        found = start
    return found


LATEST = Exercise(
    id="teach/latest",
    kind="function",
    title="The last time that will do",
    variable="latest_start",
    points=3.0,
    track="code",
    question=(
        "Write `latest_start(starts, chances, wanted)`: the latest loading time that will do. `starts` are "
        "minutes after midnight, in order; `chances` are the days in 100 on which the meal is ready, one "
        "for each start; `wanted` is the least that will do. If no start is good enough, give 0. (Remember "
        "that the window has *two* edges.)"
    ),
    answer=latest_start,
    inputs=latest_inputs,
    tolerance=(0.0, 0.5),
    alternatives=(
        Alternative(
            "surest-not-latest",
            lambda starts, chances, wanted: starts[chances.index(max(chances))],
            "Yours is the likeliest time. The latest that will *do* was wanted. And what if even the "
            "likeliest does not do?",
            "The best is taken for what was asked.",
            credit=0.5,
        ),
        Alternative(
            "first-that-will-do",
            lambda starts, chances, wanted: min(
                (s for s, c in zip(starts, chances, strict=True) if c >= wanted), default=0
            ),
            "It will do, but it is the *earliest*. How long do you want to sit there?",
            "A search stops when it has found something.",
            credit=0.5,
        ),
        Alternative(
            "the-earlier-the-surer",
            first_gap,
            "You stop at the first start that is not good enough. At what end of the morning may that be, "
            "and what comes after it?",
            "Whoever begins early must be on the safe side: so good hours are looked for from the beginning.",
            credit=0.25,
        ),
        Alternative(
            "more-likely-than-not",
            lambda starts, chances, wanted: latest_start(starts, chances, 50),
            "Fifty in a hundred is a coin. Did you use `wanted`?",
            "More likely than not feels like a yes.",
            credit=0.25,
        ),
    ),
    hints=(
        "Look at every start, not only until something happens.",
        "Keep the ones that will do. The last of them, or 0.",
    ),
)


# --- 9 least: the saving one can promise ---


def least_saved(heat, efficiency, replaced, cooks):
    """The least [kg] of dry wood that ``cooks`` solar pots save: fire at its best, habit at its worst."""
    return float(fuel.fuel_needed(heat * cooks * replaced[0], efficiency[1]))


def with_wood(share):
    return lambda heat, efficiency, replaced, cooks: float(
        fuel.fuel_needed(heat * cooks * share(efficiency, replaced)[0], share(efficiency, replaced)[1])
    )


def least_inputs(draw):
    low, least = draw.step(0.08, 0.2, 0.01), draw.step(0.2, 0.7, 0.05)
    return {
        "heat": draw.step(0.6, 2.4, 0.1),
        "efficiency": [low, round(low + draw.step(0.04, 0.15, 0.01), 2)],
        "replaced": [least, round(least + draw.step(0.1, 0.3, 0.05), 2)],
        "cooks": int(draw.step(20, 250, 10)),
    }


LEAST = Exercise(
    id="teach/least",
    kind="function",
    title="What one can promise",
    variable="least_saved",
    points=3.0,
    track="code",
    question=(
        "Write `least_saved(heat, efficiency, replaced, cooks)`: the *cautious* end of the wood saved, in "
        "kg. `heat` is the MJ that one pot wants, `cooks` the number of solar pots. `efficiency` is a pair, "
        "low and high: the part of the wood's heat that reaches the pot. `replaced` is a pair, low and "
        "high: the part of the solar pots that stood in for a pot on the fire. Dry wood holds 15.6 MJ a "
        "kilogram."
    ),
    answer=least_saved,
    inputs=least_inputs,
    tolerance=(0.005, 0.0),
    alternatives=(
        Alternative(
            "low-with-low",
            with_wood(lambda efficiency, replaced: (replaced[0], efficiency[0])),
            "You took both low ends. With a *worse* fire, does a pot cost more wood or less? Then does the "
            "oven save more or less?",
            "Low goes with low: it looks tidy.",
            credit=0.5,
        ),
        Alternative(
            "food-s-heat-for-fuel",
            with_wood(lambda efficiency, replaced: (replaced[0], 1.0)),
            "That is less than any fire would burn: the wood whose heat is in the food. What did you do with "
            "`efficiency`?",
            "Energy is energy, and the food's is the one that can be worked out.",
            credit=0.25,
        ),
        Alternative(
            "habits-change-at-once",
            with_wood(lambda efficiency, replaced: (1.0, efficiency[1])),
            "As if every solar pot took one off the fire. What did you do with `replaced`?",
            "A new stove is thought of as instead of the old one; in most kitchens it stands beside it.",
            source="Ruiz-Mercado & Masera 2015, stacking of stoves and fuels (from memory)",
            credit=0.25,
        ),
        Alternative(
            "best-case-told",
            with_wood(lambda efficiency, replaced: (replaced[1], efficiency[0])),
            "A fine number for a report: everything at its most. Which end can you promise?",
            "Whoever gives money likes large numbers.",
            credit=0.25,
        ),
    ),
    hints=(
        "One pot costs heat ÷ (efficiency × 15.6) kilograms. For which efficiency is that least?",
        "The fire at its best, the habit at its worst.",
    ),
)


# --- 10 fed: a bug ---


def plates(people, per_pot, ovens, first, last, minutes):
    """People who can be fed: whole rounds only, and no more people than there are."""
    rounds = max(0, math.floor((last - first) / minutes))
    return float(min(people, rounds * ovens * per_pot))


def fed_given(people, per_pot, ovens, first, last, minutes):
    return float(min(people, max(0, math.ceil((last - first) / minutes)) * ovens * per_pot))


def fed_inputs(draw):
    first = int(draw.step(480, 600, 10))
    return {
        "people": int(draw.step(10, 60, 1)),
        "per_pot": int(draw.step(3, 8, 1)),
        "ovens": int(draw.step(1, 3, 1)),
        "first": first,
        "last": first + int(draw.step(60, 320, 10)),
        "minutes": int(draw.step(70, 150, 5)),
    }


FED = Exercise(
    id="teach/fed",
    kind="bug",
    title="More plates than there are",
    variable="plates",
    points=2.0,
    track="code",
    question=(
        "`plates(people, per_pot, ovens, first, last, minutes)` should give how many people are fed: one "
        "pot an oven, `per_pot` plates from a pot, the first pot in at `first`, everything out by `last` "
        "(minutes after midnight), `minutes` of cooking for a pot. It once promised thirty people a plate, "
        "and half of them got raw chicken. One word is wrong; mend it."
    ),
    answer=plates,
    given=fed_given,
    inputs=fed_inputs,
    tolerance=(0.0, 0.01),
    alternatives=(
        Alternative(
            "nearest-whole-round",
            lambda people, per_pot, ovens, first, last, minutes: float(
                min(people, round((last - first) / minutes) * ovens * per_pot)
            ),
            "You round to the nearest. Is a pot that lacks a third of its time food?",
            "Rounding means to the nearest, at school.",
            credit=0.5,
        ),
        Alternative(
            "half-a-round-is-half-a-meal",
            lambda people, per_pot, ovens, first, last, minutes: float(
                min(people, (last - first) / minutes * ovens * per_pot)
            ),
            "Your plates come in fractions. What does a pot give that has had half its time?",
            "In proportion: half the time, half the food.",
            source="De Bock et al. 2007, The Illusion of Linearity (from memory)",
            credit=0.25,
        ),
        Alternative(
            "one-round-for-all",
            lambda people, per_pot, ovens, first, last, minutes: float(min(people, ovens * per_pot)),
            "Only one round, and even if there is no time for one. How often does a pot come out between "
            "first and last?",
            "One pot, one meal.",
            credit=0.25,
        ),
        Alternative(
            "more-plates-than-people",
            lambda people, per_pot, ovens, first, last, minutes: float(
                max(0, math.floor((last - first) / minutes)) * ovens * per_pot
            ),
            "Right for a large crowd. How many people did you feed when only ten came?",
            "The last line falls out while the one above is mended.",
            credit=0.5,
        ),
    ),
    hints=(
        "With 100 minutes of cooking and 150 minutes of time: how many rounds come out *done*?",
        "A round that is not finished feeds nobody. Which function of `math` rounds so?",
    ),
)

EXERCISES = (LATEST, LEAST, FED)

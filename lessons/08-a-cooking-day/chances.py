"""Lesson 08, a cooking day: two dishes under one cloud, counted on a real month."""

from __future__ import annotations

import numpy as np

from solarlab.exercises import Alternative, Exercise, beside
from solarlab.plan.kitchen import clock

days = beside(__file__, "days")
scene = days.scene
INDEPENDENT = "Tversky & Kahneman 1974, Judgment under uncertainty: conjunctions misjudged (from memory)"

MEALS = (  # two meals of one day from one oven: a dish, in at, eaten at; in most months not on the same days
    (("lentils", 510, 600), ("soup", 840, 900)),
    (("lentils", 600, 690), ("rice", 840, 900)),
    (("lentils", 600, 690), ("chicken pieces", 780, 870)),
    (("thick stew", 540, 720), ("soup", 840, 900)),
    (("thick stew", 540, 720), ("rice", 840, 900)),
    (("thick stew", 540, 720), ("chicken pieces", 780, 870)),
    (("rice", 540, 600), ("soup", 840, 900)),
    (("rice", 660, 720), ("soup", 840, 900)),
    (("rice", 660, 720), ("rice", 840, 900)),
    (("chicken pieces", 600, 660), ("soup", 840, 900)),
    (("soup", 540, 630), ("chicken pieces", 780, 870)),
    (("soup", 540, 630), ("rice", 780, 840)),
)  # fmt: skip
CALLED = {"chicken pieces": "chicken", "thick stew": "stew"}
SIGNS = {(True, True): "B", (True, False): "1", (False, True): "2", (False, False): "–"}


def on_days(v):
    """Which days of the learner's month each dish is ready by its time: two arrays."""
    return [days.of_month(v["month"], dish, put_in).by(out) for dish, put_in, out in MEALS[v["meal"]]]


def both_variant(draw):
    v = {"month": int(draw.step(1, 12, 1)), "meal": int(draw.step(0, len(MEALS) - 1, 1))}
    first, second = on_days(v)
    signs = [SIGNS[bool(a), bool(b)] for a, b in zip(first, second, strict=True)]
    tens = [" ".join(signs[k : k + 10]) for k in range(0, len(signs), 10)]
    (one, in_one, out_one), (two, in_two, out_two) = MEALS[v["meal"]]
    called = CALLED.get(two, two)
    return v | {
        "name": scene.MONTHS[v["month"] - 1], "strip": " / ".join(tens), "count": len(signs),
        "one": CALLED.get(one, one), "two": f"{called} once more" if one == two else called,
        "in_one": clock(in_one), "out_one": clock(out_one),
        "in_two": clock(in_two), "out_two": clock(out_two),
        "share_one": round(100.0 * first.mean()), "share_two": round(100.0 * second.mean()),
    }  # fmt: skip


def of_hundred(combine):
    return lambda v: 100.0 * float(combine(*on_days(v)))


BOTH = Exercise(
    id="cooking-day/both",
    kind="number",
    title="Two meals, one sky",
    variable="both_chance",
    points=2.0,
    unit="of 100",
    question=(
        "A real **{name}** in Greensboro, one four-mirror box, two meals a day, each eaten when it is out. "
        "Meal 1, {one}: in at {in_one}, eaten at {out_one}. Meal 2, {two}: in at {in_two}, eaten at "
        "{out_two}. Day by day, **1** and **2** say which of them alone was ready, **B** that both were, – "
        "neither:\n\n`{strip}`\n\nSo meal 1 is ready on {share_one} of 100 days, meal 2 on {share_two}. On "
        "how many of 100 such days do *both* meals come from the sun?"
    ),
    variant=both_variant,
    answer=of_hundred(lambda a, b: np.mean(a & b)),
    tolerance=(0.0, 1.2),
    alternatives=(
        Alternative(
            "chances-multiplied",
            of_hundred(lambda a, b: a.mean() * b.mean()),
            "You multiplied, as one does with two dice. Dice do not know of each other. But what do your two "
            "meals share? Count the days.",
            "Multiplying is the one rule of chance that school teaches, and the 'if independent' is dropped.",
            source="Tversky & Kahneman 1974 (from memory)",
            credit=0.25,
        ),
        Alternative(
            "as-sure-as-one-dish",
            of_hundred(lambda a, b: min(a.mean(), b.mean())),
            "That would hold if the surer meal never failed on a day on which the other came out. Look for "
            "such days.",
            "Two numbers that are alike seem to speak of the same days.",
            source=INDEPENDENT,
            credit=0.5,
        ),
        Alternative(
            "one-of-the-two-will-do",
            of_hundred(lambda a, b: np.mean(a | b)),
            "So often *something* is ready. Do your guests get both?",
            "Half a success is counted as one.",
            credit=0.25,
        ),
    ),
    hints=(
        "Count the letters B.",
        "So many B of so many days: how many would that be of a hundred?",
    ),
)


# --- 6 promise: what a chance costs over a season ---


def promise_variant(draw):
    city, month = draw.pick(tuple(scene.DAYS)), int(draw.pick((3, 9)))
    v = {"city": city, "month": month, "percent": int(draw.step(30, 60, 15))}
    v |= {"good": ready_of_drawn(v), "drawn": days.DRAWN}
    # not twice the days that failed: half of the dinners, the fallacy of two outcomes, would be as many
    v["times"] = draw.pick([n for n in range(12, 42, 2) if abs(n / 2 - v["drawn"] + v["good"]) > 2])
    return v | {"name": scene.MONTHS[month - 1]}


def ready_of_drawn(v):
    """Drawn days on which the stew is ready at the sun's noon, at the city's latitude."""
    return days.drawn_noon(round(days.catalogue.place(v["city"]).latitude), v["month"], v["percent"])


PROMISE = Exercise(
    id="cooking-day/promise",
    kind="number",
    title="A promise for a season",
    variable="stove_dinners",
    points=1.0,
    unit="dinners",
    question=(
        "{city} in {name}; the climate table says **{percent} %** mean cloud. The third bench draws {drawn} "
        "days: on **{good}** of them the stew is ready by noon. You invite guests on **{times} days** of "
        "such a season. How many of these dinners will need the stove and its fuel, in the mean? (It need "
        "not be a whole number.)"
    ),
    variant=promise_variant,
    answer=lambda v: v["times"] * (1.0 - v["good"] / v["drawn"]),
    tolerance=(0.03, 0.5),
    alternatives=(
        Alternative(
            "likely-means-always",
            lambda v: 0.0,
            "More likely than not, and so each time? On how many of the drawn days did it fail?",
            "A forecast is heard as yes or no, and above one half as yes.",
            source="Konold 1989, Informal conceptions of probability: the outcome approach (from memory)",
        ),
        Alternative(
            "what-is-left",
            lambda v: v["times"] * v["good"] / v["drawn"],
            "Those are the dinners from the *sun*. You were asked for the others.",
            "Benches give one, questions ask for the other.",
            credit=0.5,
        ),
        Alternative(
            "right-or-wrong-so-half",
            lambda v: v["times"] / 2.0,
            "It works or it does not: two outcomes, but are they equally likely? The bench drew sixty days "
            "for you.",
            "Two outcomes seem to have equal shares.",
            source="Lecoutre 1992, the equiprobability bias (from memory)",
        ),
        Alternative(
            "failed-days-for-dinners",
            lambda v: float(v["drawn"] - v["good"]),
            "So many of the *drawn* days failed. How many is that of your dinners?",
            "A count is taken over as it stands, without asking of how many.",
            credit=0.5,
        ),
    ),
    hints=(
        "On what share of the drawn days was the stew not ready?",
        "That share of your dinners.",
    ),
)

"""Lesson 08, a cooking day: two dishes under one cloud, counted on a real month."""

from __future__ import annotations

import numpy as np

from solarlab.exercises import Alternative, Exercise, beside
from solarlab.plan.kitchen import clock

days = beside(__file__, "days")
scene = days.scene
INDEPENDENT = "Tversky & Kahneman 1974, Judgment under uncertainty: conjunctions misjudged (from memory)"

MEALS = (  # a dish, in at, out by; and the next in the same oven
    (("lentils", 510, 600), ("soup", 840, 900)),
    (("lentils", 510, 600), ("rice", 780, 840)),
    (("lentils", 510, 600), ("chicken pieces", 780, 870)),
    (("thick stew", 540, 720), ("soup", 840, 900)),
    (("thick stew", 540, 720), ("rice", 780, 840)),
    (("thick stew", 540, 720), ("chicken pieces", 780, 870)),
    (("thick stew", 540, 720), ("lentils", 840, 930)),
    (("rice", 660, 720), ("soup", 840, 900)),
    (("rice", 660, 720), ("lentils", 840, 930)),
    (("chicken pieces", 600, 660), ("soup", 840, 900)),
    (("chicken pieces", 600, 660), ("chicken pieces", 780, 870)),
    (("chicken pieces", 600, 660), ("rice", 780, 840)),
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
    return v | {
        "name": scene.MONTHS[v["month"] - 1], "strip": " / ".join(tens), "count": len(signs),
        "one": CALLED.get(one, one), "two": CALLED.get(two, two), "in_one": clock(in_one),
        "out_one": clock(out_one), "in_two": clock(in_two), "out_two": clock(out_two),
        "share_one": round(100.0 * first.mean()), "share_two": round(100.0 * second.mean()),
    }  # fmt: skip


def of_hundred(combine):
    return lambda v: 100.0 * float(combine(*on_days(v)))


BOTH = Exercise(
    id="cooking-day/both",
    kind="number",
    title="Two dishes, one sky",
    variable="both_chance",
    points=2.0,
    unit="of 100",
    question=(
        "A real **{name}** in Greensboro, one four-mirror box. Dish 1, {one}: in at {in_one}, out by {out_one}. "
        "Dish 2, {two}: in at {in_two}, out by {out_two}. Day by day, **1** and **2** say which dish alone was "
        "ready, **B** that both were, – neither:\n\n`{strip}`\n\n"
        "So dish 1 is ready on {share_one} of 100 days, dish 2 on {share_two}. On how many of 100 such days is "
        "the *whole* meal ready?"
    ),
    variant=both_variant,
    answer=of_hundred(lambda a, b: np.mean(a & b)),
    tolerance=(0.0, 1.2),
    alternatives=(
        Alternative(
            "chances-multiplied",
            of_hundred(lambda a, b: a.mean() * b.mean()),
            "You multiplied, as one does with two dice. Dice do not know of each other. But what do your two "
            "dishes share? Count the days.",
            "Multiplying is the one rule of chance that school teaches, and the 'if independent' is dropped.",
            source="Tversky & Kahneman 1974 (from memory)",
            credit=0.25,
        ),
        Alternative(
            "as-sure-as-one-dish",
            of_hundred(lambda a, b: min(a.mean(), b.mean())),
            "That would hold if the surer dish never failed on a day on which the other came out. Look for "
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

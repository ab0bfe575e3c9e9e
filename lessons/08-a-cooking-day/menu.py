"""Lesson 08, a cooking day: walks to the oven, and the match for the stove."""

from __future__ import annotations

import math

from solarlab import safety
from solarlab.exercises import Alternative, Exercise, beside
from solarlab.plan.kitchen import clock
from solarlab.safety import WARM_SHADE

scene = beside(__file__, "scene")

# --- 4 walks: what turning more often is worth ---

WALKED = (  # where an oven left alone falls behind, but not by hours
    ("Greensboro", 510), ("Greensboro", 570), ("Greensboro", 600), ("Greensboro", 630), ("Delhi", 510),
    ("Delhi", 540), ("Delhi", 570), ("Delhi", 600), ("Madrid", 570), ("Madrid", 600), ("Bamako", 600),
    ("Bamako", 630),
)  # fmt: skip


def turned(v, every):
    """Minutes until the big stew is ready, turned so often."""
    return scene.told(v["place"], "thick stew", v["kilos"], "four-mirror box", v["loaded"], every).ready


def walks_variant(draw):
    place, loaded = draw.pick(WALKED)
    v = {"place": place, "loaded": loaded, "kilos": draw.step(2.2, 2.5, 0.05)}
    alone, twice, often = (turned(v, every) for every in (None, 120, 30))
    if not math.isfinite(alone):
        alone = twice  # no question then: drawn again, as two wrong answers are one
    return v | {
        "day": scene.on_the_day(scene.DAYS[place]), "in": clock(loaded), "alone": round(alone),
        "twice": round(twice), "few": scene.walks_said(twice, 120),
        "many": scene.walks_said(often, 30),
    }  # fmt: skip


WALKS = Exercise(
    id="cooking-day/walks",
    kind="number",
    title="Legs",
    variable="walked_minutes",
    points=1.0,
    unit="min",
    question=(
        "{place}, a clear {day}: **{kilos:g} kg** of thick stew go into a four-mirror box at **{in}**. "
        "Aimed when the box was put out, half an hour before, and never again, it is ready after **{alone} "
        "minutes**. Turned every two hours ({few}), after **{twice}**. An eager helper offers to turn it "
        "*every half hour* ({many}). After how many minutes is it ready then? Six to either side are right: "
        "the table of walks in part 4 says what such pots save; the second bench says it exactly."
    ),
    variant=walks_variant,
    answer=lambda v: turned(v, 30),
    tolerance=(0.0, 6.0),  # savings differ by less from those of the table's full pot
    alternatives=(
        Alternative(
            "twice-as-often-twice-as-good",
            lambda v: max(v["twice"] - 2.0 * (v["alone"] - v["twice"]), 0.0),
            "You let each doubling save as much again as the first one did. But what was there left to save? "
            "Look down a column of the table of walks.",
            "What helped once is expected to help again, by as much.",
            source="De Bock et al. 2007, The Illusion of Linearity (from memory)",
        ),
        Alternative(
            "first-walks-are-all",
            lambda v: float(v["twice"]),
            "The first walks save the most. The next ones save less, and not nothing: look down the column "
            "of the full pot.",
            "Less and less is heard as no more.",
            credit=0.5,
        ),
        Alternative(
            "turning-does-nothing",
            lambda v: float(v["alone"]),
            "That is the oven that nobody turns. The first walk was worth something.",
            "It was aimed once, and it looked right.",
        ),
    ),
    hints=(
        "The first walk saves the most, every further one a good deal less.",
        "In the table of walks, the full pot with four mirrors: from every two hours to every half hour, how "
        "many minutes less? (The second bench has a control for turning.)",
    ),
)


# --- 7 match: when the stove must be lit ---


def match_variant(draw):
    out = int(draw.step(530, 600, 5))
    standing, shade = int(draw.step(10, 25, 5)), draw.step(33, 38, 1)
    loaded = out + standing
    stoves = [  # whose minutes are not by chance those of the wait, or twice those
        (lighting, warm_up)
        for lighting in (5, 10, 15)
        for warm_up in (10, 15, 20, 25, 30)
        if lighting + warm_up not in (standing, 2 * standing)
    ]
    lighting, warm_up = draw.pick(stoves)
    finish = warm_up + int(draw.step(15, 30, 5))
    meal = loaded + int(draw.step(240, 300, 15))
    return {
        "what": draw.pick(("chicken pieces", "fish")), "out_at": out, "standing": standing,
        "loaded_at": loaded, "shade": shade, "shade_f": round(float(safety.fahrenheit(shade))),
        "lighting": lighting, "warm_up": warm_up, "finish": finish, "meal_at": meal, "out": clock(out),
        "loaded": clock(loaded), "meal": clock(meal),
    }  # fmt: skip


def strike(v, standing=None, warm_up=None, lighting=None, limit=scene.SLOW):
    """Latest minute to strike the match by the safety clock; what is left out is as the question has it."""
    factor = 2.0 if v["shade"] > WARM_SHADE else 1.0
    waited = factor * v["standing"] if standing is None else standing
    lit = v["lighting"] if lighting is None else lighting
    return scene.stove_by(v["loaded_at"] - waited, v["warm_up"] if warm_up is None else warm_up, lit, limit)


MATCH = Exercise(
    id="cooking-day/match",
    kind="number",
    title="When to strike the match",
    variable="match_clock",
    points=2.0,
    unit="clock",
    question=(
        "The {what} left the cold box at **{out}** and lay in a shade of **{shade:.0f} °C ({shade_f} °F)** "
        "until they went into the oven at **{loaded}**. Then it clouds over. Your stove takes **{lighting} "
        "minutes** to light; a pot on the burning stove has its middle past 60 °C (140 °F) after **{warm_up} "
        "minutes** and is cooked after **{finish}**. The meal is at **{meal}**. At what time must the match "
        "be struck at the latest, so that the two-hour clock is kept? A clock time in quotes, such as "
        "`\"10:40\"`."
    ),
    variant=match_variant,
    answer=strike,
    tolerance=(0.0, 1.0),
    alternatives=(
        Alternative(
            "plan-b-when-hungry",
            lambda v: float(v["meal_at"] - v["finish"] - v["lighting"]),
            "You counted back from the meal, as a cook does. The guests would be served in time. But how "
            "long has the food been lukewarm by then? Count from the cold box.",
            "Plan B is thought of as saving the meal; nobody is hungry at half past ten.",
            credit=0.25,
        ),
        Alternative(
            "clock-starts-at-the-oven",
            lambda v: strike(v, standing=0.0),
            "Your clock starts when the oven's lid shuts. Where was the food before?",
            "Cooking starts at the oven, so the clock seems to, too.",
            credit=0.5,
        ),
        Alternative(
            "shade-is-cool",
            lambda v: strike(v, standing=float(v["standing"])),
            "Nearly. How warm was that shade, and what does lesson 01 say of such a shade?",
            "Shade feels cool, whatever the thermometer says.",
            credit=0.5,
        ),
        Alternative(
            "stove-heats-at-once",
            lambda v: strike(v, warm_up=0.0, lighting=0.0),
            "At that minute the two hours are *over*, and your stove is cold. What must have happened "
            "before?",
            "A deadline is taken for the time to begin.",
            credit=0.5,
        ),
        Alternative(
            "four-hours-for-two",
            lambda v: strike(v, limit=scene.LATE),
            "Four hours is where food is thrown away. Your question was about two.",
            "The later limit leaves more room for hope.",
            credit=0.25,
        ),
    ),
    hints=(
        "How much of the two hours was used up before the oven? What is left runs from the loading.",
        "From the end of the two hours go back: the stove's way to 60 °C, then the lighting.",
    ),
)

"""Lesson 08, a cooking day: the walks, the match, a dinner that must come out right, and an answer to the yard."""

from __future__ import annotations

import math

from solarlab._clocks import WARM_SHADE
from solarlab.exercises import Alternative, Exercise, beside
from solarlab.plan.kitchen import clock

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
        "twice": round(twice), "few": scene.walks(twice, 120), "many": scene.walks(often, 30),
    }  # fmt: skip


WALKS = Exercise(
    id="cooking-day/walks",
    kind="number",
    title="Legs",
    variable="walked_minutes",
    points=1.0,
    unit="min",
    question=(
        "{place}, a clear {day}: **{kilos:g} kg** of thick stew go into a four-mirror box at **{in}**. Aimed "
        "then and never again, it is ready after **{alone} minutes**. Turned every two hours ({few} walk), "
        "after **{twice}**. An eager helper offers to turn it *every half hour* ({many} walks). After how many "
        "minutes is it ready then? Four to either side are right."
    ),
    variant=walks_variant,
    answer=lambda v: turned(v, 30),
    tolerance=(0.0, 4.0),
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
            "turning-does-nothing",
            lambda v: float(v["alone"]),
            "That is the oven that nobody turns. The first walk was worth something.",
            "It was aimed once, and it looked right.",
        ),
    ),
    hints=(
        "The second bench has a control for turning.",
        "The first walk saves the most, every further one a good deal less.",
    ),
)


# --- 6 match: when the stove must be lit ---


def match_variant(draw):
    out = int(draw.step(530, 600, 5))
    standing = int(draw.step(10, 25, 5))
    loaded = out + standing
    lighting, warm_up = int(draw.step(5, 15, 5)), int(draw.step(10, 30, 5))
    finish = warm_up + int(draw.step(15, 30, 5))
    meal = loaded + int(draw.step(240, 300, 15))
    return {
        "what": draw.pick(("chicken pieces", "fish")), "out_at": out, "standing": standing, "loaded_at": loaded,
        "shade": draw.step(33, 38, 1), "lighting": lighting, "warm_up": warm_up, "finish": finish,
        "meal_at": meal, "out": clock(out), "loaded": clock(loaded), "meal": clock(meal),
    } | {"shade_f": 0}  # fmt: skip


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
        "The {what} left the cold box at **{out}** and lay in a shade of **{shade:.0f} °C ({shade_f} °F)** until "
        "they went into the oven at **{loaded}**. Then it clouds over. Your stove takes **{lighting} minutes** to "
        "light; a pot on it has its middle past 60 °C after **{warm_up} minutes** and is cooked after "
        "**{finish}**. The meal is at **{meal}**. At what time must the match be struck at the latest, so that "
        "the two-hour clock is kept? A clock time in quotes, such as `\"10:40\"`."
    ),
    variant=lambda draw: (v := match_variant(draw)) | {"shade_f": round(v["shade"] * 1.8 + 32.0)},
    answer=strike,
    tolerance=(0.0, 1.0),
    alternatives=(
        Alternative(
            "plan-b-when-hungry",
            lambda v: float(v["meal_at"] - v["finish"] - v["lighting"]),
            "You counted back from the meal, as a cook does. The guests would be served in time. But how long "
            "has the food been lukewarm by then? Count from the cold box.",
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
            "At that minute the two hours are *over*, and your stove is cold. What must have happened before?",
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


# --- 7 dinner: a plan ---

NAMES = {"stew": ("thick stew", 0.35), "rice": ("rice", 0.25)}  # in the catalogue; kg a person, with water
WARM_UP, LIGHTING, FINISH = 20, 10, 70  # min, of the stove: to 60 °C, to burn, until a stew is cooked
SELDOM = 60  # min between aims, with which the meal is reckoned
SPARE = 45  # min in hand


def cooked(v, name, loaded, every=SELDOM):
    """What becomes of a dish of the dinner, put in at ``loaded`` and turned ``every`` so many minutes."""
    dish, share = NAMES[name]
    return scene.told(v["place"], dish, round(share * v["people"], 2), v["oven"], int(loaded), every)


def dinner(v, **change):
    swap = v["arrive"] + 5 * math.ceil((cooked(v, "stew", v["arrive"]).ready + 5) / 5)
    best = {"first": "stew", "in": v["arrive"], "swap": swap, "every": SELDOM,
            "match": v["arrive"] + scene.SLOW - WARM_UP - LIGHTING}  # fmt: skip
    return best | {name: value(v) if callable(value) else value for name, value in change.items()}


def dinner_variant(draw):
    place = draw.pick(tuple(scene.DAYS))
    v = {"place": place, "day": scene.on_the_day(scene.DAYS[place]), "people": int(draw.step(3, 5, 1)),
         "oven": draw.pick(("four-mirror box", "one-mirror box", "school box")),
         "arrive": draw.pick((570, 600))}  # fmt: skip
    good = dinner(v)
    meal = good["swap"] + SPARE + 5 * math.ceil(cooked(v, "rice", good["swap"]).ready / 5)
    return v | {
        "meal": meal, "walks": walked(good | {"every": SELDOM - 15}, meal), "come": clock(v["arrive"]),
        "served": clock(meal), "stew": round(0.35 * v["people"], 2), "rice": round(0.25 * v["people"], 2),
        "lighting": LIGHTING, "warm_up": WARM_UP, "finish": FINISH,
    }  # fmt: skip


def walked(plan, meal):
    """Walks over the whole morning: the oven is aimed anew at each loading."""
    spans = (plan["swap"] - plan["in"], meal - plan["swap"])
    return sum(scene.walks(max(span, 0.0), plan["every"]) for span in spans)


def dinner_fault(v, plan):
    first, every = plan["first"], float(plan["every"])
    put_in, swap, match = (5 * round(float(plan[name]) / 5) for name in ("in", "swap", "match"))
    if not 5.0 <= every <= 600.0:
        raise ValueError(f"the oven is turned every 5 to 600 minutes, not every {every:g}")
    if put_in < v["arrive"]:
        return "before-the-sun"
    if not put_in < swap < v["meal"]:
        return "stove-minutes"
    if walked({"in": put_in, "swap": swap, "every": every}, v["meal"]) > v["walks"]:
        return "twice-as-often-twice-as-good"
    second = "rice" if first == "stew" else "stew"
    if not (
        put_in + cooked(v, first, put_in, every).ready <= swap
        and swap + cooked(v, second, swap, every).ready <= v["meal"]
        and v["meal"] - swap <= scene.SLOW
    ):
        return "easiest-first" if first == "rice" else "stove-minutes"
    return match_fault(v, put_in, float(plan["match"]))


def match_fault(v, put_in, match):
    """What is wrong with the hour of plan B of the stew."""
    if match < put_in + cooked(v, "stew", put_in).come_up:
        return "gives-up-too-soon"
    if match <= scene.stove_by(put_in, WARM_UP, LIGHTING):
        return ""
    if match <= put_in + scene.SLOW:
        return "stove-heats-at-once"
    return "plan-b-when-hungry"


DINNER = Exercise(
    id="cooking-day/dinner",
    kind="plan",
    title="Dinner for the class",
    variable="dinner_plan",
    points=4.0,
    question=(
        "{place}, {day}, clear so far. Dinner for **{people}**: **{stew} kg** of thick stew and **{rice} kg** of "
        "rice (water included). One {oven}, hot in the sun already; it takes one pot at a time, from **{come}** "
        "on. All must be ready at **{served}**. What comes out early waits wrapped, two hours at most. You "
        "teach nearby and can leave for **{walks} walks** to turn the oven (at each loading it is aimed anyway). "
        "And plan B for the stew: the stove takes {lighting} minutes to light, brings the pot past 60 °C in "
        "{warm_up} more and cooks it in {finish}. Which pot goes first, in at what time, when do the pots swap, "
        "turned every how many minutes? And at what time do you strike the match, if by then the stew's "
        "middle is not past 60 °C?"
    ),
    fields={"first": tuple(NAMES), "in": "clock", "swap": "clock", "every": "min", "match": "clock"},
    variant=dinner_variant,
    answer=dinner,
    fault=dinner_fault,
    alternatives=(
        Alternative(
            "easiest-first",
            lambda v: dinner(v, first="rice", swap=v["arrive"] + 60),
            "The quick one is out of the way, and then? How long does it stand about while the slow one "
            "cooks? Two hours is all it has.",
            "A list of chores starts with the shortest.",
            credit=0.25,
        ),
        Alternative(
            "stove-minutes",
            lambda v: dinner(v, swap=v["arrive"] + FINISH),
            "One of the pots comes out too soon, or goes in too late. Are those the minutes of a stove? Cook "
            "both on the second bench, with your kilograms and hours.",
            "Recipes are written for stoves, and so are cooks.",
            credit=0.25,
        ),
        Alternative(
            "twice-as-often-twice-as-good",
            lambda v: dinner(v, every=15),
            "The food would be fine. But count your walks. How many minutes sooner is it ready for all of "
            "them?",
            "What helped once is expected to help again, by as much.",
            credit=0.5,
        ),
        Alternative(
            "before-the-sun",
            lambda v: dinner(v, **{"in": v["arrive"] - 60}),
            "The oven is not free, or not hot, at that hour. Food that waits in a lukewarm oven runs its "
            "clock.",
            "Earlier is safer, one thinks.",
            credit=0.25,
        ),
        Alternative(
            "plan-b-when-hungry",
            lambda v: dinner(v, match=v["meal"] - FINISH - LIGHTING),
            "By then the guests begin to ask, and the stew has been lukewarm for hours. Which clock ran out "
            "first?",
            "Plan B is thought of as saving the meal.",
            credit=0.5,
        ),
        Alternative(
            "stove-heats-at-once",
            lambda v: dinner(v, match=v["arrive"] + scene.SLOW),
            "At that minute the two hours are over and the stove is cold. Count back from there.",
            "A deadline is taken for the time to begin.",
            credit=0.5,
        ),
        Alternative(
            "gives-up-too-soon",
            lambda v: dinner(v, match=v["arrive"] + 5),
            "On a perfectly clear day the stew would not be at 60 °C by then, either. You would light the "
            "stove every time.",
            "Once bitten by a cloud, one trusts no sun.",
            credit=0.5,
        ),
    ),
    hints=(
        "Long dish first: what waits must not wait long. Then the second bench, once for each pot.",
        "Turn every hour. The match: two hours after the stew went in, less the stove's two numbers.",
    ),
)


# --- 8 why ---

WHY = Exercise(
    id="cooking-day/why",
    kind="explanation",
    title="Answer the four in the kitchen",
    variable="why",
    points=4.0,
    question="Answer the Ladle, the Legs, the Bookkeeper and the Optimist in six to ten sentences.",
    rubric=(
        (1.0, "Ladle: a pot's way to the boil grows about as its kilograms, the minutes at the boil do not, a "
              "single piece goes by its thickness squared; so plates are limited by hours and not by the pot."),
        (1.0, "Legs: the first walk saves most, each further one less; one pair of numbers."),
        (1.0, "Bookkeeper: a mean day is no day; the same cloud hits both dishes, so count days and do not "
              "multiply; one number out of the real year, or of the writer's own place."),
        (1.0, "Optimist: the hour of plan B is counted from the cold box by the safety clock and not back from "
              "the meal; says when, for an own dish and stove, and what the point of no return is."),
    ),
)  # fmt: skip

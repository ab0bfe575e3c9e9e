"""Lesson 08, a cooking day: a dinner that must come out right, and an answer to the kitchen."""

from __future__ import annotations

import math

import pandas as pd

from solarlab.exercises import Alternative, Exercise, beside
from solarlab.plan.kitchen import clock
from solarlab.table import Table

scene = beside(__file__, "scene")

# --- 8 dinner: a plan ---

NAMES = {"stew": ("thick stew", 0.35), "rice": ("rice", 0.25)}  # in the catalogue; kg a person, with water
WARM_UP, LIGHTING, FINISH = 20, 10, 70  # min, of the stove: to 60 °C, to burn, until a stew is cooked
SELDOM = 60  # min between aims, with which the meal is reckoned
SPARE = 45  # min in hand
LOST = ("throw it away", "boil it hard, then serve", "keep it for tomorrow")


def cooked(v, name, loaded, every=SELDOM):
    """What becomes of a dish of the dinner, put in at ``loaded`` and turned ``every`` so many minutes."""
    dish, share = NAMES[name]
    return scene.told(v["place"], dish, round(share * v["people"], 2), v["oven"], int(loaded), every)


def pots_table(v) -> Table:
    """Both pots of a learner's dinner, put in every half hour: what the bench tells, to read on paper."""
    rows = []
    for loaded in range(v["arrive"], v["meal"], 30):
        stew, rice = (cooked(v, name, loaded) for name in NAMES)
        minutes = (stew.come_up, stew.ready, rice.ready)
        rows.append((clock(loaded), *(f"{m:.0f}" if math.isfinite(m) else "not that day" for m in minutes)))
    columns = ["in at", "stew past 60 °C in the middle after (min)", "stew ready after (min)",
               "rice ready after (min)"]  # fmt: skip
    return Table(pd.DataFrame(rows, columns=columns), f"Your two pots, {v['oven']}, turned every hour")


def dinner(v, **change):
    swap = v["arrive"] + 5 * math.ceil((cooked(v, "stew", v["arrive"]).ready + 5) / 5)
    best = {"first": "stew", "in": v["arrive"], "swap": swap, "every": SELDOM,
            "match": v["arrive"] + scene.SLOW - WARM_UP - LIGHTING, "lost": LOST[0]}  # fmt: skip
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
    """Walks over the whole morning, counted from each loading, at which it is turned anyway."""
    spans = (plan["swap"] - plan["in"], meal - plan["swap"])
    return sum(int((max(span, 1.0) - 1e-9) // plan["every"]) for span in spans)


def dinner_fault(v, plan):
    first, every = plan["first"], float(plan["every"])
    put_in, swap = (5 * round(float(plan[name]) / 5) for name in ("in", "swap"))
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
    if plan["lost"] != LOST[0]:
        return "half-cooked-for-tomorrow" if plan["lost"] == LOST[2] else "hot-at-the-end-means-safe"
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
        "{place}, {day}, clear so far. Dinner for **{people}**: **{stew} kg** of thick stew, just "
        "mixed, no minute on its clock yet, and **{rice} kg** of rice, water included.\n\n"
        "- **The oven:** a {oven}, hot in the sun already; one pot at a time, from **{come}** on.\n"
        "- **The guests:** all must be ready at **{served}**. What comes out early waits wrapped, two hours "
        "at most.\n"
        "- **Your legs:** you teach nearby and can leave for **{walks} walks** in all to turn the oven. At "
        "each loading you turn it anyway; count the minutes from there.\n"
        "- **The stove**, plan B for the stew: {lighting} minutes to light, {warm_up} more until the pot's "
        "middle is past 60 °C (140 °F), {finish} until it is cooked.\n\n"
        "Which pot goes first, in at what time, when do the pots swap, turned every how many minutes? At "
        "what time do you strike the match, if by then the stew's middle is not past 60 °C? And if all goes "
        "wrong, and it is still lukewarm four hours after it went in: what becomes of it?"
    ),
    fields={"first": tuple(NAMES), "in": "clock", "swap": "clock", "every": "min", "match": "clock",
            "lost": LOST},
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
            "One of the pots comes out too soon, or goes in too late. Are those the minutes of a stove? Look "
            "both up in the table below the question, at the hours at which *you* put them in.",
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
            "hot-at-the-end-means-safe",
            lambda v: dinner(v, lost=LOST[1]),
            "Four hours lukewarm, then boiled. What does heat do to germs, and what to the poisons that they "
            "left? Is a clock ever turned back?",
            "Boiling kills germs: that is taught in every school, and their poisons are not mentioned.",
            credit=0.25,
        ),
        Alternative(
            "half-cooked-for-tomorrow",
            lambda v: dinner(v, lost=LOST[2]),
            "Half warm all the way through is the best that a germ can hope for. What does lesson 01 say of "
            "half-cooked food?",
            "Throwing food away hurts, and tomorrow there will be sun.",
            credit=0.25,
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
        "Long dish first: what waits must not wait long. Then the table below the question, a line for each "
        "pot.",
        "The walks: divide both pots' minutes by what you have. The match: the sum of part 6, with this "
        "stove's two numbers.",
    ),
)


# --- 9 why ---

WHY = Exercise(
    id="cooking-day/why",
    kind="explanation",
    title="Answer the four in the kitchen",
    variable="why",
    points=4.0,
    question="Answer the Ladle, the Legs, the Bookkeeper and the Optimist in six to ten sentences.",
    rubric=(
        (
            1.0,
            "Ladle: a pot's way to the boil grows about as its kilograms, the minutes at the boil do not, a "
            "single piece goes by its thickness squared; so hours limit the plates before the pot does.",
        ),
        (1.0, "Legs: the first walk saves most, each further one less; one pair of numbers."),
        (
            1.0,
            "Bookkeeper: a mean day is no day; the same cloud hits both dishes, so count days and do not "
            "multiply; one number out of Greensboro's year, or of the writer's own place.",
        ),
        (
            1.0,
            "Optimist: the hour of plan B is counted from the cold box by the safety clock and not back from "
            "the meal; says when, for an own dish and stove, and what the point of no return is.",
        ),
    ),
)

"""Lesson 10, stand and teach: a demonstration that must work, and two pieces of writing."""

from __future__ import annotations

from functools import lru_cache

from solarlab.exercises import Alternative, Exercise, beside

demo = beside(__file__, "demo")
scene = demo.scene

CASES = tuple(
    scene.Case(*words)
    for words in (
        ("Nairobi", "2026-02-12", "bare box", "chicken pieces", 2.0),
        ("Nairobi", "2026-07-20", "one-mirror box", "chicken pieces", 3.0),
        ("Cape Town", "2026-11-14", "one-mirror box", "thick stew", 2.0),
        ("Bamako", "2026-01-20", "one-mirror box", "chicken pieces", 1.0),
        ("Melbourne", "2026-12-10", "school box", "thick stew", 2.0),
        ("Santiago", "2026-01-15", "bare box", "chicken pieces", 1.0),
    )
)
MEALS = (765, 795, 825)  # quarter past and to: never two hours after a half hour
TABLES = ((20, 30), (24, 25), (30, 20), (30, 30), (36, 25))  # people, grams each
PLATE = 0.35  # kg, a whole plate for one (lesson 08)
STOVE = 10  # min that a burning stove needs to bring such a pot past 60 °C (estimate, no source)
LEAST_START = scene.FIRST


@lru_cache(maxsize=512)
def latest(case, kilograms: float, meal: int) -> int:
    """The latest half hour at which the pot may go in, or 0 if there is none."""
    starts = scene.starts_before(meal)
    fine = [start for start in starts if scene.chance(case, kilograms, start, meal) >= scene.GOAL]
    return fine[-1] if fine else 0


@lru_cache(maxsize=512)
def most(dish: str) -> float:
    """The most [kg, by tenths] that stays below the pot's brim."""
    return max(k / 10.0 for k in range(1, 60) if scene.fits(dish, k / 10.0))


def case_of(v):
    return CASES[v["case"]]


def plan_b(case, start: float) -> float:
    """The hour of plan B (lesson 08): two hours after the cold, less the stove's own minutes."""
    return start - case.stood + scene.TWO_HOURS - STOVE


def needed(v) -> float:
    return round(v["people"] * v["taste"] / 1000.0, 2)


def hour_variant(draw):
    index = int(draw.uniform(0, len(CASES)))
    case, meal = CASES[index], draw.pick(MEALS)
    # not at the sun's noon: who loads then and who loads when they come could not be told apart
    arrive = draw.pick([meal - early for early in (45, 60, 75) if abs(meal - early - case.noon) > 15])
    people, taste = draw.pick(TABLES)
    return {
        "case": index,
        "village": draw.pick(demo.VILLAGES),
        "place": case.place,
        "day": scene.on_the_day(case.date),
        "oven": case.oven,
        "dish": case.dish,
        "cloud": scene.eighths(case.cloud),
        "stood": case.stood,
        "stove": STOVE,
        "people": people,
        "taste": taste,
        "meal": meal,
        "arrive": arrive,
        "eat": scene.clock(meal),
        "come": scene.clock(arrive),
        "brim": most(case.dish),
    }


def hour_plan(v, **change):
    start = latest(case_of(v), needed(v), v["meal"])
    best = {
        "loaded": start,
        "kilograms": needed(v),
        "crowd": {"north": "south", "south": "north"}[case_of(v).side],
        "plan_b": plan_b(case_of(v), start),
    }
    return best | {name: value(v) if callable(value) else value for name, value in change.items()}


def hour_fault(v, plan):
    loaded, kilograms, alarm = float(plan["loaded"]), float(plan["kilograms"]), float(plan["plan_b"])
    case = case_of(v)
    if not 0.1 <= kilograms <= 100.0:
        raise ValueError(f"a pot takes 0.1 kg and more, not {kilograms:g} kg")
    if not LEAST_START <= loaded <= 840.0:
        raise ValueError(
            f"the yard is open from {scene.clock(LEAST_START)} to 14:00, so nothing goes in outside"
        )
    if not scene.fits(v["dish"], kilograms):
        return "plates-times-people"
    if kilograms < needed(v) - 0.02:
        return "not-a-taste-for-all"
    if scene.chance(case, kilograms, loaded, v["meal"]) < scene.GOAL:
        if abs(loaded - v["arrive"]) <= 5:
            return "loaded-when-they-arrive"
        if abs(loaded - case.noon) <= 10:
            return "noon-is-soon-enough"
        alone = scene.chance(case, needed(v), loaded, v["meal"]) >= scene.GOAL
        return "portions-from-volume-only" if alone else "outside-the-window"
    if plan["crowd"] == case.side:
        return "south-for-north"
    if alarm <= loaded:
        return "alarm-before-the-cook"
    if alarm > plan_b(case, loaded) + 1:
        return late_alarm(case, alarm - loaded, alarm - v["meal"])
    return ""


def late_alarm(case, minutes: float, after_meal: float) -> str:
    """Why plan B comes so many ``minutes`` after loading, and ``after_meal`` minutes after the meal."""
    if abs(minutes - scene.TWO_HOURS + case.stood) <= 3:
        return "stove-heats-at-once"
    if min(abs(minutes - scene.TWO_HOURS), abs(minutes - scene.TWO_HOURS + STOVE)) <= 3:
        return "clock-starts-at-the-oven"
    at_the_meal = after_meal >= -3 or abs(after_meal + STOVE) <= 3
    return "plan-b-when-hungry" if at_the_meal else "two-hours-overrun"


HOUR = Exercise(
    id="teach/hour",
    kind="plan",
    title="A demonstration that works",
    variable="hour_plan",
    points=4.0,
    question=(
        "The invented village of {village}, set in {place}, {day}; {cloud} of cloud forecast. **{people} "
        "people** come at **{come}** and eat at **{eat}**. You have a {oven}, one dark pot that holds up "
        "to {brim:g} kg, and {dish}, **{stood:g} minutes** out of the cold box (cutting, seasoning) before "
        "the pot goes in. The yard opens at 08:00. A stove burns at the side; on it such a pot is past 60 "
        "°C (140 °F) in the middle within **{stove} minutes**. Everybody is to get at least **{taste} g**, "
        "weighed raw.\n\n- When does the pot go in, and with how many kilograms, so that it is ready on at "
        "least 32 of the 40 drawn days?\n- On which side of the oven do people stand at noon so that they "
        "do not shade it?\n- The hour of plan B: at what clock time, at the latest, does the pot go onto "
        "the stove if its middle is not past 60 °C?"
    ),
    fields={"loaded": "clock", "kilograms": "kg", "crowd": ("north", "south"), "plan_b": "clock"},
    variant=hour_variant,
    answer=hour_plan,
    fault=hour_fault,
    alternatives=(
        Alternative(
            "loaded-when-they-arrive",
            lambda v: hour_plan(v, loaded=v["arrive"]),
            "Then they see all of it, except a meal. How long does your table want between the pot and the "
            "plate? What *may* they see being loaded when they come?",
            "A show begins when the audience is there; a stove needs no more warning than that.",
        ),
        Alternative(
            "noon-is-soon-enough",
            lambda v: hour_plan(v, loaded=case_of(v).noon),
            "The sun is strongest then, true. But heat has to get *into* the pot, and that takes its time. "
            "Count backwards from the meal.",
            "The best sun seems to be the best time to begin.",
        ),
        Alternative(
            "plates-times-people",
            lambda v: hour_plan(v, kilograms=lambda v: v["people"] * PLATE),
            "A plate for everybody, very kind. Does it go into the pot? Read what the pot holds, and what "
            "was promised: a meal or a taste?",
            "Recipes are scaled by people, and on a stove one takes a bigger pot.",
            credit=0.25,
        ),
        Alternative(
            "portions-from-volume-only",
            lambda v: hour_plan(v, kilograms=lambda v: most(v["dish"])),
            "It goes into the pot. But look along the line of your table: what does more food do to the "
            "days?",
            "A pot's size can be seen, its hours can't. On a stove the two never quarrel.",
            credit=0.25,
        ),
        Alternative(
            "south-for-north",
            lambda v: hour_plan(v, crowd=lambda v: case_of(v).side),
            "There they stand between the oven and the noon sun. On which side is the noon sun at this "
            "place, in this month (lesson 05)? The people go to the other.",
            "Schoolbooks are written where the noon sun is always in the south (or always in the north).",
            credit=0.5,
        ),
        Alternative(
            "clock-starts-at-the-oven",
            lambda v: hour_plan(v, plan_b=lambda v: hour_plan(v)["loaded"] + scene.TWO_HOURS - STOVE),
            "You started the two hours at the oven's door. What did the food do before that?",
            "Cooking time is counted from the oven, so safety time seems to be, too.",
            credit=0.5,
        ),
        Alternative(
            "stove-heats-at-once",
            lambda v: hour_plan(v, plan_b=lambda v: hour_plan(v)["plan_b"] + STOVE),
            "At that minute the two hours are *over*. How long does the stove need until the middle is past "
            "60 °C?",
            "A deadline is taken for the time to begin.",
            credit=0.5,
        ),
        Alternative(
            "two-hours-overrun",
            lambda v: hour_plan(v, plan_b=lambda v: hour_plan(v)["plan_b"] + 5),
            "Later than the two hours allow. Count once more from the minute in which the food left the "
            "cold, and take off what the stove needs.",
            "Three clock times are counted in the head, and one slips.",
            credit=0.5,
        ),
        Alternative(
            "plan-b-when-hungry",
            lambda v: hour_plan(v, plan_b=v["meal"]),
            "At the table it is too late for a plan. Which clock runs, since when, and how long may it?",
            "Plan B is thought of as saving the meal. It is there to save the eaters.",
            credit=0.25,
        ),
    ),
    hints=(
        "Is there enough for everybody that was promised a taste? Then your table's column for so much: its "
        "window of hours has two edges. What ends it early in the morning, what ends it late?",
        "First the kilograms: people times the taste. Then an hour from their column. Plan B: two hours, "
        "less the minutes on the cutting board.",
    ),
)


def hour_table(v):
    """The learner's own table of chances."""
    return scene.chance_table(case_of(v), v["meal"])


REPLY = Exercise(
    id="teach/reply",
    kind="explanation",
    title="Answer the four in the truck",
    variable="reply",
    points=4.0,
    question="Answer the Punctual, the Noon Man, the Smiler and the Report in five to ten sentences.",
    rubric=(
        (
            1.0,
            "Punctual and Noon Man: count backwards from the meal; the window has two edges, the danger "
            "clock and the meal; one number from a table.",
        ),
        (
            1.0,
            "Smiler: a nod (or a yes) shows politeness; names something a person must *do or predict* that "
            "would show it.",
        ),
        (
            1.0,
            "Report: the stove's losses make the fuel more than the food's heat, pots cooked besides make "
            "it less; a range, and what would have happened otherwise.",
        ),
        (
            1.0,
            "Holds an own bet (or a reading of an own oven) against the run, with both numbers, and says "
            "what it had missed.",
        ),
    ),
)

LEVELS = "2 {}; 1 {}; 0 {}."
CRITERIA = (
    (
        "time and place",
        "hour, sheet and yard fit together: start counted back from the meal, its chance said, the crowd's "
        "side right, two things added that the sheet lacks",
        "start right; one of the others wrong or missing",
        "start at the crowd's coming, or copied without a reason",
    ),
    (
        "menu and portions",
        "amount, pots and plates reckoned for this group, and called a meal or a taste; kept cold or dry "
        "until loaded",
        "reckoned with one slip, or the keeping forgotten",
        "a recipe times people",
    ),
    (
        "safety talk",
        "before the lid opens, in words a child knows: glass, steam, glare, children, the clock, local "
        "rules; somebody says it back",
        "four of the six, or read out from paper",
        "fewer, or a model called safe",
    ),
    (
        "plan B",
        "a clock time by the safety clock, less the minutes on the cutting board and of the stove; the stove "
        "lit and owned; what is thrown away is said beforehand",
        "the clock time right; stove or throwing away missing",
        "at the meal, or by hope",
    ),
    (
        "the crowd",
        "five questions to bet on before the lid opens, each with a wrong answer to expect and a thing to do "
        "about it",
        "five questions, but some want only a yes, or are set right by telling",
        "questions for nodding",
    ),
    (
        "who can do it alone, and what it saved",
        "says what each person must do unaided on another day; fuel as a range against a stated otherwise, "
        "to be counted at the visit",
        "one of the two",
        "“they understood”, or one number",
    ),
)


DEMONSTRATION = Exercise(
    id="teach/demonstration",
    kind="explanation",
    title="Your demonstration",
    variable="demonstration",
    points=12.0,
    question=(
        "Yours: **{group}** in the invented village of **{village}**, set in {place}. **{day}**, "
        "{cloud_words} of cloud forecast. **{people} people**, {oven_words}. They wish for **{menu_words}** "
        "and want to eat at **{eat}**. Today they cook on: {stove}."
    ),
    variant=demo.drawn,
    rubric=tuple((2.0, f"{name}: " + LEVELS.format(*levels)) for name, *levels in CRITERIA),
)


def rubric_table():
    """The capstone's rubric, to be read before one writes."""
    import pandas as pd

    heads = ["criterion", "2 points", "1 point", "0 points"]
    return scene.Table(pd.DataFrame(list(CRITERIA), columns=heads), "What your demonstration is read for")


EXERCISES = (HOUR, REPLY, DEMONSTRATION)

"""Lesson 01, safe to eat: the freezer, the beans and a lunch that must come out right."""

from __future__ import annotations

import math

import numpy as np

from solarlab import safety, water
from solarlab.exercises import Alternative, Exercise, beside, letter_of, lettered

scene = beside(__file__, "scene")

# --- 4 thaw: what the freezer costs ---


def thaw_minutes(v, kilojoules):
    return v["mass"] * kilojoules * 1000.0 / v["watts"] / 60.0


THAW = Exercise(
    id="safe-to-eat/thaw",
    kind="number",
    title="Frozen is not just colder",
    variable="thaw_minutes",
    points=2.0,
    unit="min",
    question=(
        "Two birds of **{mass:.1f} kg** go into two ovens of one kind; each oven sends **{watts:.0f} W** "
        "into the meat. One bird comes from the cold box, 4 °C (39 °F), the other from the freezer, −18 "
        "°C (0 °F). For how many minutes must the oven work on the frozen bird until it is all at 4 °C, "
        "where the other one *starts*?"
    ),
    variant=lambda draw: {"mass": draw.step(1.2, 2.4, 0.1), "watts": draw.step(80, 200, 5)},
    answer=lambda v: thaw_minutes(v, scene.heat_to(4.0)),
    tolerance=(0.04, 0.0),
    alternatives=(
        Alternative(
            "frozen-is-just-colder",
            lambda v: thaw_minutes(v, scene.heat_to(26.0, start=4.0)),
            "You paid for 22 degrees, as if the meat only had to get warmer. It also has to *melt*, and "
            "while ice melts a thermometer stands still. Look at the table between −5 and −1 °C.",
            "A thermometer shows no difference between warming and melting.",
            source="Kesidou & Duit 1993, Students' conceptions of the second law (from memory)",
        ),
        Alternative(
            "melting-only",
            lambda v: thaw_minutes(v, scene.heat_to(-1.0) - scene.heat_to(-5.0)),
            "You paid for the melting and forgot the way from −18 °C up to it, and from there to 4 °C.",
            "The surprising part pushes out the ordinary one.",
            credit=0.5,
        ),
        Alternative(
            "seconds-for-minutes",
            lambda v: 60.0 * thaw_minutes(v, scene.heat_to(4.0)),
            "So many *seconds*. How many minutes are they?",
            "A watt hides its second, and a sum that comes out looks finished.",
            credit=0.5,
        ),
        Alternative(
            "one-kilo",
            lambda v: thaw_minutes(v, scene.heat_to(4.0)) / v["mass"],
            "The table is for one kilogram. How heavy is the bird?",
            "A number taken from a table feels finished.",
            credit=0.5,
        ),
        Alternative(
            "whole-way-to-done",
            lambda v: thaw_minutes(v, scene.heat_to(74.0)),
            "You went on to 74 °C. The question stops where the other bird starts.",
            "74 °C is the number this lesson hammers home.",
            credit=0.25,
        ),
    ),
    hints=(
        "Which line of the table, times how many kilograms?",
        "Watts are joules a second. Kilojoules × 1000, divided by watts, are seconds.",
    ),
)


# --- 5 beans: only a full boil ---

WARM_UP = 600.0  # s, on a stove


def beans_variant(draw):
    v = {
        "rolls": draw.step(35, 60, 5),
        "gentle": draw.step(78, 86, 1),
        "hours": draw.step(5, 8, 1),
        "short": draw.step(8, 20, 1),
        "village": draw.step(2400, 3800, 100),
    }
    order = draw.shuffle(("full", "soft", "short", "high"))
    v["cool"] = round(float(boiling_at(v["village"])))
    return v | lettered(order, {name: pot[0] for name, pot in pots(v).items()})


def boiling_at(metres):
    return water.boiling_point(water.pressure_at(metres))


def pots(v):
    """The four pots: words, °C held, minutes held, boiling point there."""
    sea, high = 100.0, float(boiling_at(v["village"]))
    return {
        "full": (
            f"By the sea: rolling all over for {v['rolls']:.0f} minutes.", sea, v["rolls"], sea),
        "soft": (
            f"By the sea: a probe in the pot showed {v['gentle']:.0f} °C for {v['hours']:.0f} hours. The "
            f"beans "
            "are soft as butter.", v["gentle"], 60.0 * v["hours"], sea),
        "short": (
            f"By the sea: rolling all over for {v['short']:.0f} minutes, then four hours at 90 °C.", sea,
            v["short"], sea),
        "high": (
            f"In a village {v['village']:.0f} m up: rolling all over for 60 minutes. Water boils at "
            f"{v['cool']:.0f} °C there.", high, 60.0, high),
    }  # fmt: skip


def beans_answer(v):
    names, held, seconds, boils = list(pots(v)), [], [], []
    for name, (_, degrees, minutes, boil) in pots(v).items():
        after = 90.0 if name == "short" else 70.0
        held.append([20.0, degrees, degrees, after, after])
        off = WARM_UP + 60.0 * minutes
        seconds.append([0.0, WARM_UP, off, off + 1.0, off + 4 * 3600.0])
        boils.append(boil)
    judged = safety.judge(("kidney_bean",), seconds, held, boiling_point=np.array(boils))
    (only,) = (name for i, name in enumerate(names) if judged.verdict(i).state == "expected")
    return letter_of(only)(v)


BEANS = Exercise(
    id="safe-to-eat/beans",
    kind="choice",
    title="Four pots of kidney beans",
    variable="beans_pot",
    points=1.0,
    question=(
        "Four pots of red kidney beans. All were soaked overnight, and the soaking water was thrown away. "
        "Which one does the rule let you serve?"
    ),
    choices={letter: f"{{{letter}}}" for letter in "abcd"},
    variant=beans_variant,
    answer=beans_answer,
    alternatives=(
        Alternative(
            "soft-means-safe",
            letter_of("soft"),
            "Soft is what the cook wants. The poison in these beans asks for something else, and warm "
            "without boiling makes it worse.",
            "With every other bean, soft means ready.",
        ),
        Alternative(
            "any-boil-will-do",
            letter_of("short"),
            "It boiled, yes. For how long does the rule want it?",
            "'Bring to the boil' is said of everything in a kitchen.",
        ),
        Alternative(
            "a-boil-is-a-boil",
            letter_of("high"),
            "It bubbled like any other pot. But look at the temperature at which it bubbled: does anybody "
            "know how long *that* takes?",
            "Bubbles look the same at every height.",
            source="Andersson 1980, pupils' ideas of boiling (from memory)",
        ),
    ),
    hints=(
        "Read the last line of the first table again.",
        "Two things must hold together: a full boil of nearly 100 °C, and thirty minutes of it.",
    ),
)


# --- 6 lunch: a plan ---

BIRDS = ("from the freezer", "from the cold box", "out on the table since breakfast")
CUTS = ("whole", "in pieces")
PROBES = ("on the oven's rack", "under the skin", "deep, by the bone")
THEN = ("to the stove, eaten at once", "stays in until it is hot", "is kept for tomorrow")
BREAKFAST = 180.0  # minutes on the table


def lunch_cook(v, plan):
    whole = plan["cut"] == "whole"
    return scene.cooked(
        v["place"],
        v["date"],
        dish=scene.BIRD if whole else "chicken pieces",
        oven=v["oven"],
        loaded=int(round(plan["loaded"] / 5.0) * 5),
        cloud=v["cloudy"],
        lasts=24 * 60 - v["cloudy"],
        keep="outcome",
    )


def lunch_plan(v, **change):
    best = {
        "bird": "from the cold box",
        "cut": "in pieces",
        "loaded": v["start"],
        "probe": "deep, by the bone",
        "decide": v["start"] + 115,
        "then": "to the stove, eaten at once",
    }
    return best | {name: value(v) if callable(value) else value for name, value in change.items()}


def lunch_variant(draw):
    place, date = draw.pick(scene.CLEAR_DAYS)
    start = draw.pick((570, 600, 630))
    v = {
        "place": place,
        "date": date,
        "day": scene.on_the_day(date),
        "oven": draw.pick(scene.OVENS),
        "start": start,
        "cloudy": start + 150,
    }
    ready = float(lunch_cook(v, lunch_plan(v)).judgement.when) / 60.0
    lunch = start + 5 * math.ceil((ready * 1.1 + 5) / 5) if math.isfinite(ready) else start
    v["cloudy"] = lunch + 10
    v["kind"] = scene.kind_of_oven(v["oven"])
    return v | {
        "lunch": lunch,
        "come": scene.clock(start),
        "serve": scene.clock(lunch),
        "cloud": scene.clock(v["cloudy"]),
    }


def lunch_fault(v, plan):
    loaded, decide = float(plan["loaded"]), float(plan["decide"])
    if plan["bird"] == "from the freezer":
        return "frozen-is-just-colder"
    if loaded < v["start"] or loaded >= v["lunch"]:
        return "outside-the-hours"
    standing = BREAKFAST if plan["bird"] == BIRDS[2] else 0.0
    if standing:
        return "clock-starts-at-the-oven"
    if plan["probe"] != "deep, by the bone":
        return "oven-thermometer-shows-the-food" if plan["probe"] == PROBES[0] else "surface-for-core"
    judged = lunch_cook(v, plan)
    ready = float(judged.judgement.when) / 60.0
    if judged.verdict().state != "expected" or not loaded + ready <= v["lunch"]:
        return "whole-like-pieces" if plan["cut"] == "whole" else "outside-the-hours"
    if plan["then"] == "is kept for tomorrow":
        return "half-cooked-for-tomorrow"
    if decide <= loaded:
        raise ValueError(
            f"it goes in at {scene.clock(loaded)}, so you cannot stop hoping at {scene.clock(decide)} already"
        )
    if plan["then"] != "to the stove, eaten at once" or decide > loaded + safety.SLOW / 60.0:
        return "hot-at-the-end-means-safe"
    return ""


LUNCH = Exercise(
    id="safe-to-eat/lunch",
    kind="plan",
    title="Chicken for lunch",
    variable="lunch_plan",
    points=3.0,
    question=(
        "{place}, {day}. A {oven} ({kind}) has stood in the clear sun for an hour when you come at "
        "**{come}** with a kilo and a half of chicken. Lunch is at **{serve}**, and by {cloud} the sky "
        "will be shut. Which bird, how cut, in at what time? Where does the probe go? And if the cloud "
        "comes *early*: at what time do you stop hoping, at the latest by the two-hour clock, and what "
        "becomes of the meat then?"
    ),
    fields={"bird": BIRDS, "cut": CUTS, "loaded": "clock", "probe": PROBES, "decide": "clock", "then": THEN},
    variant=lunch_variant,
    answer=lunch_plan,
    fault=lunch_fault,
    alternatives=(
        Alternative(
            "frozen-is-just-colder",
            lambda v: lunch_plan(v, bird="from the freezer"),
            "From the freezer: then most of the morning goes into melting, and the outside lies warm for "
            "all of it. What does the list of refusals say?",
            "A thermometer shows no difference between warming and melting.",
        ),
        Alternative(
            "whole-like-pieces",
            lambda v: lunch_plan(v, cut="whole"),
            "The same kilos, but how far has heat to go to the middle of a whole bird? Try both on the "
            "first bench.",
            "Recipes give minutes per kilo.",
        ),
        Alternative(
            "clock-starts-at-the-oven",
            lambda v: lunch_plan(v, bird=BIRDS[2]),
            "It is nice and warm already, and that is the trouble. How long has its clock been running?",
            "Old advice: let meat come to the warmth of the room first. It means minutes.",
        ),
        Alternative(
            "oven-thermometer-shows-the-food",
            lambda v: lunch_plan(v, probe=PROBES[0]),
            "That thermometer tells you about the oven. In the first run, how far apart were oven and "
            "middle?",
            "Kitchen ovens show one temperature, and recipes speak of no other.",
            credit=0.25,
        ),
        Alternative(
            "surface-for-core",
            lambda v: lunch_plan(v, probe=PROBES[1]),
            "Under the skin it is hot first. Which place is last?",
            "The outside is what one can see.",
            credit=0.25,
        ),
        Alternative(
            "hot-at-the-end-means-safe",
            lambda v: lunch_plan(v, then="stays in until it is hot"),
            "You wait for heat to put it right. Does heat turn a clock back? Say when two hours are over, "
            "and act by then.",
            "Boiling kills germs: that is taught in every school, and their poisons are not mentioned.",
            credit=0.25,
        ),
        Alternative(
            "half-cooked-for-tomorrow",
            lambda v: lunch_plan(v, then="is kept for tomorrow"),
            "Half warm all the way through: that is the best a germ can hope for. What does the list of "
            "refusals say?",
            "Throwing food away hurts, and tomorrow there will be sun.",
            credit=0.25,
        ),
        Alternative(
            "outside-the-hours",
            lambda v: lunch_plan(v, loaded=lambda v: v["lunch"] - 15),
            "It must go in after you come, and early enough to be hot by lunch. How long does the first "
            "bench give it?",
            "A stove is quick, so nobody counts backwards.",
        ),
    ),
    hints=(
        "Small pieces, at once, from the cold. Then the two-hour clock.",
        "The clock starts when it leaves the cold box. Two hours later at the latest it goes to a stove.",
    ),
)

EXERCISES = (THAW, BEANS, LUNCH)

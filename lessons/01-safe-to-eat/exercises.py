"""Lesson 01, safe to eat: its exercises as data.  solarlab computes the answers when they are asked for."""

from __future__ import annotations

from functools import lru_cache

from solarlab import safety
from solarlab.exercises import Alternative, Exercise, beside, letter_of, lettered

benches = beside(__file__, "benches")
scene = beside(__file__, "scene")
kitchen = beside(__file__, "kitchen")
code_track = beside(__file__, "code_track")
HALF_HOUR = 30
HOT_ALL_THROUGH = 78.0  # °C, at which the readings end: nobody waits for more
NEAR = 12.0  # min from a limit of the clock: closer than half-hourly readings can tell

# --- 1 margin: a difference of degrees ---

RULES = {
    "a chicken leg": "poultry",
    "a meat ball": "ground_meat",
    "a fish": "fish",
    "a warmed-up stew": "reheated",
}
MARGINS = (5, 7, 8, 9, 10, 12, 14, 16, 17, 18, 19, 21, 23)  # °F: rounded up to a whole °C they stay right


def margin_variant(draw):
    dish = draw.pick(tuple(RULES))
    rule = safety.rule(RULES[dish])
    return {
        "dish": dish,
        "rule": rule.text.split(", deep")[0].rstrip("."),
        "temperature": rule.temperature,
        "margin": draw.pick(MARGINS),
    }


def margin_answer(v):
    # degrees of °F differ by as much as two readings in °F do
    low, high = (safety.fahrenheit(v["temperature"]), safety.fahrenheit(v["temperature"]) + v["margin"])
    return v["temperature"] + (high - low) / (safety.fahrenheit(1.0) - safety.fahrenheit(0.0))


MARGIN = Exercise(
    id="safe-to-eat/margin",
    kind="number",
    title="A little in hand",
    variable="margin_reading",
    points=1.0,
    unit="°C",
    question=(
        "The rule for {dish}: *{rule}*. Your probe thermometer is cheap: in a test beside a good one it "
        "showed up to **{margin:.0f} °F too much**. So you want it to show at least {margin:.0f} °F more "
        "than the rule. Your probe reads in °C. What must it show at the least?"
    ),
    variant=margin_variant,
    answer=margin_answer,
    tolerance=(0.0, 0.6),
    alternatives=(
        Alternative(
            "difference-minus-32",
            lambda v: v["temperature"] + (v["margin"] - 32) / 1.8,
            "You took 32 away. That belongs to a *reading*: it says where the scale's zero lies. A margin "
            "is a step on the scale, and a step has no zero. See what you got: is it above the rule, or "
            "below?",
            "'Minus 32, times 5, over 9' is learnt as one spell, for everything in °F.",
            credit=0.25,
        ),
        Alternative(
            "difference-not-converted",
            lambda v: v["temperature"] + v["margin"],
            "You added °F to °C as they stand. One step in °F is smaller than one step in °C: from ice to "
            "boiling there are 180 of the one and 100 of the other.",
            "Both are called degrees.",
            credit=0.5,
        ),
        Alternative(
            "margin-forgotten",
            lambda v: v["temperature"],
            "That is the rule itself. If your probe shows too much, how warm is the food in truth when it "
            "shows this?",
            "A number on a display looks like the truth.",
        ),
        Alternative(
            "margin-taken-off",
            lambda v: v["temperature"] - v["margin"] / 1.8,
            "Right size, wrong way. The probe shows *too much*: must you wait for more, or for less?",
            "Correcting an error and leaving room for it point in opposite ways.",
            credit=0.25,
        ),
    ),
    hints=(
        "How many °C is a step of 18 °F?",
        "A step in °C is the step in °F divided by 1.8. Nothing is taken away. Then add it to the rule.",
    ),
)


# --- 2 latest: the clock that started before the oven ---


def latest_variant(draw):
    loaded = draw.step(9 * 60, 11 * 60, 5)
    standing = draw.step(15, 45, 5)
    return {
        "loaded": loaded,
        "standing": standing,
        "shade": draw.step(34, 39, 1),
        "left": scene.clock(loaded - standing),
        "in": scene.clock(loaded),
    } | {"dish": draw.pick(("chicken legs", "fish", "minced meat"))}


@lru_cache(maxsize=512)
def two_hours(standing, shade):
    """Minutes from loading until two hours are over for raw meat that stood so long in such a shade."""
    lukewarm = [30.0, 45.0]  # in the zone all day: the clock alone decides
    judged = safety.judge(
        ("poultry",), [0.0, 8 * 3600.0], lukewarm, standing_minutes=standing, standing_temperature=shade
    )
    return float(judged.slow_from) / 60.0


def slow_from(v, standing, shade):
    return v["loaded"] + two_hours(standing, shade)


LATEST = Exercise(
    id="safe-to-eat/latest",
    kind="number",
    title="The clock that started early",
    variable="latest_clock",
    points=2.0,
    unit="clock",
    question=(
        "The {dish} came out of the cold box at **{left}** and lay in the shade, where it is {shade:.0f} "
        "°C. At **{in}** all of it went into the oven. Clouds keep the middle lukewarm. At what time does "
        "the two-hour limit run out, so that you must finish on a stove? Write a clock time in quotes, such "
        'as `"11:40"`.'
    ),
    variant=latest_variant,
    answer=lambda v: slow_from(v, v["standing"], v["shade"]),
    tolerance=(0.0, 4.0),
    alternatives=(
        Alternative(
            "clock-starts-at-the-oven",
            lambda v: slow_from(v, 0.0, 25.0),
            "You started the clock at the oven's door. What did the germs do before that?",
            "Cooking time is counted from the oven, so safety time seems to be, too.",
            credit=0.25,
        ),
        Alternative(
            "shade-is-cool",
            lambda v: slow_from(v, v["standing"], 25.0),
            "You counted the shade minute for minute. Look at its temperature, and at the first of the "
            "clock rules.",
            "Shade means cool to anybody who comes out of the sun.",
            credit=0.5,
        ),
        Alternative(
            "four-hours-for-two",
            lambda v: slow_from(v, v["standing"], v["shade"]) + 120.0,
            "That is when it goes into the bin. When must you *act* so that it need not?",
            "Of two limits people remember the one that allows more.",
        ),
        Alternative(
            "standing-added-on",
            lambda v: v["loaded"] + 120.0 + v["standing"],
            "You added the standing to the time that is left. It has used time up.",
            "More minutes on the paper, so plus.",
        ),
    ),
    hints=(
        "How much of the two hours was used up before the oven?",
        "Is the shade hotter than 32 °C (90 °F)? Part 2 says how its minutes count then. Take them off two "
        "hours, and count the rest from the oven.",
    ),
)


# --- 3 cloud: hot at the end ---

FATES = {
    "eat": "Eat it now and keep the rest in the warm oven for supper: it is hot, and heat kills germs.",
    "stove": "Eat it at once, keep nothing.  (Were it not hot yet: onto a stove with it first.)",
    "throw": "Throw it away, however hot it is now.",
    "tomorrow": "Let it cool in the shut oven and heat it well tomorrow.",
}
FATE_OF = {"expected": "eat", "too slow": "stove", "refuse": "throw"}


def cloud_day(v):
    return scene.cooked(
        v["place"], v["date"], dish=scene.BIRD, oven=v["oven"], loaded=600, cloud=v["from"], lasts=v["lasts"]
    )


def readable(day):
    """Whether half-hourly readings of the middle tell the tier: no dip, and no limit within a few minutes."""
    clocks = {name: float(value) / 60.0 for name, value in day.judgement.clocks.items()}
    near = min(abs(clocks["total"] - limit / 60.0) for limit in (safety.SLOW, safety.TOO_LATE))
    return clocks["loss_of_sun"] == 0.0 and near > NEAR


def cloud_variant(draw):
    while True:
        place, date = draw.pick(scene.CLEAR_DAYS)
        v = {
            "place": place,
            "date": date,
            "day": scene.on_the_day(date),
            "oven": draw.pick(scene.OVENS),
            "from": draw.pick((620, 640)),
            "lasts": draw.step(75, 225, 30),
        }
        if readable(cloud_day(v)):
            break
    day, rows = cloud_day(v), []
    for minute in range(600, 16 * 60 + 1, HALF_HOUR):
        rows.append(f"{scene.clock(minute)}: {scene.coldest_at(day, minute):.0f} °C")
        v["now"] = scene.clock(minute)
        if scene.coldest_at(day, minute) >= HOT_ALL_THROUGH:
            break
    v["readings"] = ", ".join(rows)
    return v | lettered(draw.shuffle(FATES), FATES)


def cloud_answer(v):
    return letter_of(FATE_OF[cloud_day(v).verdict().state])(v)


def other_tier(v):
    right = FATE_OF[cloud_day(v).verdict().state]
    return letter_of("stove" if right == "throw" else "throw")(v)


CLOUD = Exercise(
    id="safe-to-eat/cloud",
    kind="choice",
    title="Hot at the end",
    variable="cloud_choice",
    points=2.0,
    question=(
        "{place}, {day}. A whole chicken went from the cold box straight into a hot {oven} at 10:00. Then "
        "thick cloud came, and went again. A probe in the middle of the bird says: {readings}. It is "
        "{now}. What do you do?"
    ),
    choices={letter: f"{{{letter}}}" for letter in "abcd"},
    variant=cloud_variant,
    answer=cloud_answer,
    alternatives=(
        Alternative(
            "hot-at-the-end-means-safe",
            letter_of("eat"),
            "It is hot now, true. But how long was it lukewarm on the way? Germs that are dead may have "
            "left poison behind, and heat does not undo that.",
            "Boiling kills germs: that is taught in every school, and their poisons are not mentioned.",
        ),
        Alternative(
            "wrong-tier",
            other_tier,
            "You saw that the clock matters. Now count it: from when the cold bird met the hot oven until "
            "its middle passed 60 °C, how many hours? Two limits, two different things to do.",
            "Two limits and two remedies are easily crossed.",
            credit=0.5,
        ),
        Alternative(
            "half-cooked-for-tomorrow",
            letter_of("tomorrow"),
            "A shut oven that cools down goes through the danger zone once more, slowly. What grows there "
            "overnight?",
            "Throwing food away hurts, and tomorrow there will be sun.",
        ),
    ),
    hints=(
        "When did the *skin* leave the cold, and when did the *middle* pass 60 °C?",
        "Up to 2 hours: expected. Up to 4: too slow. Over 4: nothing helps.",
    ),
)


# --- 7 why: an explanation for a person to read ---

WHY = Exercise(
    id="safe-to-eat/why",
    kind="explanation",
    title="At the table",
    variable="why",
    points=4.0,
    question=(
        "The Host, the Nurse and the Grandmother from the top of this lesson want an answer. Give it, in "
        "five to ten sentences."
    ),
    rubric=(
        (
            1.0,
            "Says where the thermometer goes (the coldest point, deep by the bone) and why the oven's own "
            "does not do: with two numbers from one time.",
        ),
        (
            1.0,
            "Names the clock from the skin at 5 °C to the middle at 60 °C (41 and 140 °F), its two limits "
            "and what to do at each.",
        ),
        (
            1.0,
            "Says why later heat does not help: poisons or spores that outlast the germs, with one example.",
        ),
        (
            1.0,
            "Holds own bets against the run; ends with who decides: a thermometer and the local rules, "
            "never a model.",
        ),
    ),
)

LESSON = (MARGIN, LATEST, CLOUD, *kitchen.EXERCISES, WHY, *code_track.EXERCISES)

"""Lesson 08, a cooking day: its exercises as data.  solarlab computes the answers when they are asked for."""

from __future__ import annotations

import math

from solarlab import safety
from solarlab.exercises import Alternative, Exercise, beside, letter_of, lettered
from solarlab.plan.kitchen import clock

benches = beside(__file__, "benches")
days = benches.days
scene = benches.scene
menu = beside(__file__, "menu")
dinner = beside(__file__, "dinner")
chances = beside(__file__, "chances")
code_track = beside(__file__, "code_track")
LINEAR = "De Bock, Van Dooren, Janssens & Verschaffel 2007, The Illusion of Linearity (from memory)"

# --- 1 crowd: twice as much, both ways ---

GUESSES = ("model", "linear", "swapped", "same")


def crowd_variant(draw):
    place, oven = draw.pick(tuple(scene.DAYS)), draw.pick(("one-mirror box", "bare box", "cardboard box"))
    v = {"place": place, "oven": oven, "day": scene.on_the_day(scene.DAYS[place]),
         "small": draw.pick((1.0, 1.1, 1.2))}  # fmt: skip
    v["large"] = 2.0 * v["small"]
    soup, bird = (hot(v, dish, v["small"]) for dish in ("soup", "whole chicken, chilled"))
    order = draw.shuffle(GUESSES)
    v |= {"soup": round(soup), "bird": round(bird)}
    said = {}
    for name in GUESSES:
        pot, piece = guess(v, name)
        said[name] = f"the soup {pot:.0f} minutes, the chicken {piece:.0f}"
    return v | lettered(order, said)


def hot(v, dish, kilos):
    """Minutes until the middle is as hot as the rule wants."""
    return scene.told(v["place"], dish, kilos, v["oven"], 570).hot


def guess(v, name):
    """(soup, bird) in minutes, twice the mass, as the model has it or as people reckon."""
    twice, piece = 2.0, 2.0 ** (2.0 / 3.0)
    return {
        "model": tuple(hot(v, dish, v["large"]) for dish in ("soup", "whole chicken, chilled")),
        "linear": (twice * v["soup"], twice * v["bird"]),
        "swapped": (piece * v["soup"], twice * v["bird"]),
        "same": (v["soup"], v["bird"]),
    }[name]


CROWD = Exercise(
    id="cooking-day/crowd",
    kind="choice",
    title="Twice as much",
    variable="crowd_guess",
    points=2.0,
    question=(
        "{place}, a clear {day}, a {oven}. A pot of **{small:g} kg** of soup is hot (74 °C, 165 °F) after "
        "**{soup:.0f} minutes**. One whole chicken of **{small:g} kg** is as hot in its middle after "
        "**{bird:.0f}**. Today there are twice as many guests: **{large:g} kg** of soup in the one pot, or "
        "*one* chicken of **{large:g} kg**. Which guess do you believe?"
    ),
    choices={letter: f"{{{letter}}}" for letter in "abcd"},
    variant=crowd_variant,
    answer=letter_of("model"),
    alternatives=(
        Alternative(
            "twice-the-meat-twice-the-time",
            letter_of("linear"),
            "Fair for the soup: twice as much water wants nearly twice the heat. But what does the middle of "
            "the bird wait for? A bird twice as heavy is not twice as *thick*.",
            "Cookery books give minutes per kilogram, for everything.",
            source=LINEAR,
        ),
        Alternative(
            "pot-like-a-piece",
            letter_of("swapped"),
            "Now it is the wrong way round. Which of the two mixes itself as it warms, so that only the "
            "whole heat counts? And in which must heat creep to the middle?",
            "That a piece goes by its thickness was learned well, and is put to use at the wrong place.",
            credit=0.25,
        ),
        Alternative(
            "size-does-not-matter",
            letter_of("same"),
            "The oven would stand as hot only if it had heat to spare. Who pays for the second kilogram?",
            "A kitchen oven set to 180 stays at 180, whatever goes in.",
        ),
    ),
    hints=(
        "Look at the table of twice as much: which line is near 2, which is not?",
        "A mixed pot: nearly as the kilograms. One piece: as the square of its thickness, and a body of "
        "twice the mass is a quarter thicker.",
    ),
)


# --- 2 feeds: how many people ---

SHARE = 0.35  # kg of stew a person
FULLEST = int(scene.FULL / SHARE + 1e-9)  # people from one full pot
TOLD = {"two": 2, "four": 4, "six": 6, "eight": 8}  # plates whose minutes are given


def stew_for(v, people):
    """Minutes until a stew for so many people is ready."""
    return scene.stews(v["place"], v["oven"], v["loaded"], SHARE, FULLEST)[people - 1]


def feeds(v):
    return float(max((p for p in range(1, FULLEST + 1) if stew_for(v, p) <= v["span"]), default=0))


def feeds_variant(draw):
    """A meal half-way between the minutes of so many plates and those of one more: three to six plates.

    Of fewer, a stew's minutes in proportion say the same; of more, a full pot does.
    """
    while True:
        place = draw.pick(tuple(scene.DAYS))
        v = {"place": place, "oven": draw.pick(scene.OVENS), "loaded": int(draw.step(540, 660, 30))}
        people = int(draw.step(3, 6, 1))
        if math.isfinite(stew_for(v, FULLEST)):
            break
    v["span"] = 5 * round((stew_for(v, people) + stew_for(v, people + 1)) / 10.0)
    told = {name: round(stew_for(v, plates)) for name, plates in TOLD.items()}
    return v | told | {
        "day": scene.on_the_day(scene.DAYS[place]), "in": clock(v["loaded"]),
        "meal": clock(v["loaded"] + v["span"]),
    }  # fmt: skip


FEEDS = Exercise(
    id="cooking-day/feeds",
    kind="number",
    title="How many plates?",
    variable="plates_fed",
    points=2.0,
    unit="people",
    question=(
        "{place}, a clear {day}. A {oven}, in the sun already, turned every half hour; one pot, which "
        "takes **2.8 kg**; **0.35 kg** of thick stew for each plate. It goes in at **{in}** and must be "
        "ready at **{meal}**. A stew for two is ready after {two} minutes, for four after {four}, for six "
        "after {six}, for eight after {eight}. How many people does this oven feed at the most?"
    ),
    variant=feeds_variant,
    answer=feeds,
    tolerance=(0.0, 0.25),
    alternatives=(
        Alternative(
            "portions-from-volume-only",
            lambda v: float(FULLEST),
            "So many plates go into the pot. Is a full pot ready in time? Look at its minutes, and at the "
            "clock.",
            "A pot's size can be seen, its hours can't. On a stove the two never quarrel.",
        ),
        Alternative(
            "minutes-per-kilo",
            lambda v: float(math.floor(2.0 * v["span"] / v["two"])),
            "You let all the minutes grow with the pot. But once it boils, a big pot needs no longer than a "
            "small one. Only the *way to the boil* grows.",
            "Minutes per kilogram is the one rule everybody knows.",
            source=LINEAR,
            credit=0.5,
        ),
        Alternative(
            "one-more-plate",
            lambda v: feeds(v) + 1.0,
            "So close. With that plate, too, is it still ready at the meal, or just after?",
            "What is nearly ready is counted as ready.",
            credit=0.5,
        ),
    ),
    hints=(
        "How many minutes are there between loading and meal? For three, five or seven plates go half-way.",
        "Go up plate by plate, until it is ready too late. (The second bench cooks each pot for you.)",
    ),
)


# --- 3 slow: the cloud, and what is left to do ---


def slow_variant(draw):
    v = {
        "first": draw.step(92, 98, 1), "first_minutes": draw.step(10, 20, 5),
        "cloud": draw.step(68, 80, 1), "cloud_minutes": draw.step(20, 35, 5),
        "then": draw.step(84, 92, 1), "wanted": int(scene.stew_minutes()),
    }  # fmt: skip
    return v | {f"{name}_both": safety.both_units(v[name]) for name in ("first", "cloud", "then")}


def left_over(v, worth=scene.worth, last=scene.worth):
    """Minutes still to do after two stretches, if a minute is worth ``worth(°C)`` and at last ``last``."""
    done = v["first_minutes"] * worth(v["first"]) + v["cloud_minutes"] * worth(v["cloud"])
    return max(v["wanted"] - done, 0.0) / last(v["then"])


SLOW = Exercise(
    id="cooking-day/slow",
    kind="number",
    title="What is left to do",
    variable="slow_minutes",
    points=2.0,
    unit="min",
    question=(
        "A stew wants {wanted} minutes at 100 °C (212 °F), or what is worth as much. Its middle stood at "
        "**{first_both}** for **{first_minutes:.0f} minutes**. Then came cloud, and it stood at "
        "**{cloud_both}** for **{cloud_minutes:.0f} minutes**. Now the sun is back and it stands at "
        "**{then_both}**. For how many more minutes?"
    ),
    variant=slow_variant,
    answer=left_over,
    tolerance=(0.06, 1.0),
    alternatives=(
        Alternative(
            "minutes-are-minutes",
            lambda v: left_over(v, lambda celsius: 1.0, lambda celsius: 1.0),
            "You counted minutes, hot or less hot, as equal. What is a minute worth at each of the three "
            "temperatures?",
            "A recipe says 'one hour' and never at what.",
        ),
        Alternative(
            "ten-percent-cooler-ten-percent-longer",
            lambda v: left_over(v, lambda celsius: celsius / 100.0, lambda celsius: celsius / 100.0),
            "You let a minute be worth as much as the degrees. It falls off far more steeply: ten degrees "
            "less, and it is worth half.",
            "Everyday proportions: a bit less of this, a bit more of that.",
            source=LINEAR,
            credit=0.25,
        ),
        Alternative(
            "starts-all-over",
            lambda v: v["wanted"] / scene.worth(v["then"]),
            "You begin again from nothing. Cooking is not undone when it gets cooler: a bean that has "
            "softened stays soft. (The *safety* clock is another matter, and it never goes back either.)",
            "A stopped clock is started anew.",
            credit=0.25,
        ),
        Alternative(
            "rest-at-the-boil",
            lambda v: left_over(v, last=lambda celsius: 1.0),
            "Right, that is what is left *at the boil*. But it does not boil.",
            "The last step looks like the end.",
            credit=0.5,
        ),
    ),
    hints=(
        "What has been done already? Minutes × worth, for each stretch; the table of slow cooking has the "
        "worth (go between its rows).",
        "Take that from what the stew wants. The rest is in minutes at the boil: divide by the worth now.",
    ),
)


LESSON = (
    CROWD, FEEDS, SLOW, menu.WALKS, chances.BOTH, chances.PROMISE, menu.MATCH, dinner.DINNER, dinner.WHY,
    *code_track.EXERCISES,
)  # fmt: skip

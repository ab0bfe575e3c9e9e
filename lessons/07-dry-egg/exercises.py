"""Lesson 07, the dry egg: its exercises as data.  solarlab computes the answers when they are asked for."""

from __future__ import annotations

from solarlab import egg
from solarlab.exercises import Alternative, Exercise, beside, letter_of, lettered

scene = beside(__file__, "scene")
benches = beside(__file__, "benches")
party = beside(__file__, "party")
code_track = beside(__file__, "code_track")
LINEAR = "De Bock, Van Dooren, Janssens & Verschaffel 2007, The Illusion of Linearity (from memory)"

# --- 1 size: a bigger egg in boiling water ---

BIRDS = (
    ("quail", 9, 13),
    ("duck", 70, 86),
    ("goose", 125, 160),
    ("turkey", 88, 104),
)


def size_variant(draw):
    bird, low, high = draw.pick(BIRDS)
    v = {
        "bird": bird,
        "other": draw.step(low, high, 1),
        "hen": draw.step(50, 66, 1),
        "boil": draw.pick((100, 97, 93)),
        "start": draw.pick((4, 20)),
    }
    minutes = float(egg.williams(v["hen"] / 1000, v["start"], v["boil"])) / 60.0
    return v | {"minutes": round(minutes, 1)}


def size_answer(v):
    return float(egg.williams(v["other"] / 1000, v["start"], v["boil"])) / 60.0


def by_mass(power):
    return lambda v: v["minutes"] * (v["other"] / v["hen"]) ** power


SIZE = Exercise(
    id="dry-egg/size",
    kind="number",
    title="A bigger egg",
    variable="size_minutes",
    points=2.0,
    unit="min",
    question=(
        "In a pan boiling at {boil} °C, a hen's egg of **{hen:.0f} g** taken from {start} °C is just set "
        "at the yolk's edge after **{minutes} min**. Into the same pan goes a {bird}'s egg of "
        "**{other:.0f} g**, from the same shelf. After how many minutes is *its* yolk set at the edge?"
    ),
    variant=size_variant,
    answer=size_answer,
    tolerance=(0.04, 0.0),
    alternatives=(
        Alternative(
            "twice-the-meat-twice-the-time",
            by_mass(1.0),
            "You let the time grow as fast as the grams do. But heat has to cross the egg's width, not carry "
            "its weight. Twice the mass is far from twice the width.",
            "In a full pot or a stack of plates, twice the food often does take about twice as long.",
            source=LINEAR,
        ),
        Alternative(
            "twice-as-thick-twice-the-time",
            by_mass(1 / 3),
            "You scaled the time with the egg's width. That would do for a walk across it. Heat spreads: "
            "twice as far takes more than twice as long. How much more?",
            "Distance over speed is the only travel law most people ever needed.",
            source=LINEAR,
            credit=0.5,
        ),
        Alternative(
            "size-does-not-matter",
            lambda v: v["minutes"],
            "You gave the hen's egg's own time. The water is as hot for both, true. But is the middle as "
            "far in?",
            "The water has one temperature, so everything in it seems to cook alike.",
        ),
        Alternative(
            "mass-squared",
            by_mass(2.0),
            "You squared, which is the right thought, but you squared the mass. It is the *width* that "
            "is squared, so find the width from the mass first.",
            "The square law is remembered, what it is the square of is not.",
            credit=0.25,
        ),
        Alternative(
            "upside-down",
            by_mass(-2 / 3),
            "Your factor is right and upside down. Should a bigger egg be faster or slower?",
            "Which of two numbers goes on top of a fraction is a coin toss under stress.",
            credit=0.5,
        ),
    ),
    hints=(
        "How many times heavier is it? How many times *wider* is a ball that much heavier?",
        "A ball 8 times as heavy is 2 times as wide: take the cube root of the mass ratio, or "
        "read between the lines of the table in part 2.",
        "Time goes with width × width. So: mass ratio, cube root of it, squared, times the hen's minutes.",
    ),
)


# --- 2 hold: how long at a low heat ---


def hold_variant(draw):
    core = draw.step(60, 65, 1)
    shell = core + draw.step(3, 7, 1)
    return {
        "core": core,
        "shell": shell,
        "core_f": round(core * 1.8 + 32, 1),
        "shell_f": round(shell * 1.8 + 32, 1),
    }


def minutes_at(part, celsius):
    return float(egg.time_to_set(part, celsius, 0.9)) / 60.0


HOLD = Exercise(
    id="dry-egg/hold",
    kind="number",
    title="Held under thin cloud",
    variable="hold_minutes",
    points=2.0,
    unit="min",
    question=(
        "A veil of cloud holds your oven low. One probe sits in the middle of the yolk and stays at "
        "**{core_f} °F**; another lies on the shell and stays at **{shell_f} °F**. From now on, how many "
        "minutes until **nine tenths** of the middle of the yolk are set?"
    ),
    variant=hold_variant,
    answer=lambda v: minutes_at(egg.YOLK, v["core"]),
    tolerance=(0.06, 0.0),
    alternatives=(
        Alternative(
            "surface-for-core",
            lambda v: minutes_at(egg.YOLK, v["shell"]),
            "You read the probe on the shell. Which probe knows how the middle of the yolk is doing?",
            "The outside is what one can see and touch, and its number looks more hopeful.",
            credit=0.25,
        ),
        Alternative(
            "white-for-yolk",
            lambda v: minutes_at(egg.WHITE, v["core"]),
            "You took the white's column. Yolk and white set at different speeds: find the yolk's.",
            "People expect one 'egg temperature'; that there are two is the surprise of this lesson.",
            credit=0.5,
        ),
        Alternative(
            "straight-line-setting",
            lambda v: 0.9 / float(scene.share_per_minute(egg.YOLK, v["core"])),
            "You shared .9 out evenly, minute by minute. But each minute takes its share of what is *still "
            "raw*, and that gets less. How long until only a tenth is left?",
            "Filling a bucket is the everyday picture of 'a share per minute'.",
            source=LINEAR,
            credit=0.5,
        ),
        Alternative(
            "thirty-and-half",
            lambda v: minutes_at(egg.YOLK, round((v["core_f"] - 30) / 2)),
            "It looks as if you turned °F into °C by 'minus 30, then half'. That is fine for the weather. "
            "Setting doubles with every 2 °C, so here it is not: use minus 32, times 5, over 9.",
            "A handy rule for air temperatures, five degrees off at an egg's.",
            credit=0.5,
        ),
        Alternative(
            "ten-percent-cooler-ten-percent-longer",
            lambda v: minutes_at(egg.YOLK, 70.0) * 70.0 / v["core"],
            "You started from 70 °C and made it a little longer, in step with the temperature. Look down the "
            "column: how does the share change over 5 °C?",
            "For most things in a kitchen, ten percent less of one means ten percent more of another.",
            source=LINEAR,
        ),
    ),
    hints=(
        "Three steps: which probe, what is it in °C, which column.",
        "°C = (°F − 32) × 5 ÷ 9. Then read the share per minute in the yolk's column.",
        "A tenth is left after 2.3 divided by the share per minute.",
    ),
)


# --- 3 first: which egg is hard first ---

EGGS = {
    "hot": (
        "big white eggs (66 g) straight from the cold box, on the tray; the oven stood empty in the sun "
        "for an hour before",
        {"shell": "white", "grams": 66.0, "start": 4.0, "preheat": 60.0},
    ),
    "small": (
        "small white eggs (48 g) from the shelf, on the tray; the oven comes out of the shade with them",
        {"shell": "white", "grams": 48.0},
    ),
    "brown": ("brown eggs (60 g) from the shelf, on the tray; the oven comes out of the shade with them", {}),
    "water": (
        "brown eggs (60 g) from the shelf, in a dark lidded pot with half a litre of water; the oven comes "
        "out of the shade with them",
        {"where": "in a dark pot with water"},
    ),
}


def first_variant(draw):
    place, date = draw.pick(scene.CLEAR_DAYS)
    order = draw.shuffle(EGGS)
    v = {
        "place": place,
        "date": date,
        "day": scene.on_the_day(date),
        "oven": draw.pick(("four-mirror box", "one-mirror box", "bare box")),
    }
    v["kind"] = scene.kind_of_oven(v["oven"])
    return v | lettered(order, {name: egg[0] for name, egg in EGGS.items()})


def first_answer(v):
    times = {
        name: scene.hard_minutes(v["place"], v["date"], oven=v["oven"], loaded="11:00", **kind)
        for name, (_, kind) in EGGS.items()
    }
    return letter_of(min(times, key=times.get))(v)


FIRST = Exercise(
    id="dry-egg/first",
    kind="choice",
    title="Which is hard first?",
    variable="first_egg",
    points=1.0,
    question=(
        "In {place} on a clear {day}, four ovens of one kind ({oven}: {kind}) stand side by side. At 11:00 "
        "four eggs go into each. Which eggs are hard to the centre first?"
    ),
    choices={letter: f"{{{letter}}}" for letter in "abcd"},
    variant=first_variant,
    answer=first_answer,
    alternatives=(
        Alternative(
            "water-cooks-eggs",
            letter_of("water"),
            "Water feels like the thing that cooks an egg. But who heats the water? Ask what the sun must "
            "warm up besides the eggs.",
            "Every boiled egg they ever ate came out of water.",
        ),
        Alternative(
            "colour-decides",
            letter_of("brown"),
            "A brown shell does catch more light. Weigh it: how much light falls on an egg, and how much "
            "comes to it from the hot oven all round? The table of changes has brown and white.",
            "Dark pots win clearly in solar cooking, so dark eggs should, too.",
        ),
        Alternative(
            "small-beats-hot",
            letter_of("small"),
            "Small is faster, all else alike. All else is not alike here: look at what each oven did "
            "before 11:00.",
            "Size is seen; an hour of waiting sunshine is not.",
        ),
    ),
    hints=(
        "Which of the four changes moves the clock most: colour, size, water, or an oven that is already "
        "hot?",
        "The table of changes has a line for each. (Or change one thing at a time on the second bench.)",
    ),
)


# --- 5 why: an explanation for a person to read ---

WHY = Exercise(
    id="dry-egg/why",
    kind="explanation",
    title="Answer the three at the oven",
    variable="why",
    points=4.0,
    question=(
        "The Boiler, the Baker and the Waiter from the top of this lesson want an answer. Tell them, in "
        "five to ten sentences, what happened to the egg."
    ),
    rubric=(
        (
            1.0,
            "Names at least two ways heat came in without water: hot air, glow of the walls, the tray it "
            "lies on, sunlight on the shell.",
        ),
        (
            1.0,
            "Says that setting is a matter of temperature *and* time, with one number: about 65 °C for "
            "twenty minutes or 70 °C for four sets yolk; no boiling needed. A hotter oven is only sooner.",
        ),
        (1.0, "Holds own prediction against the run, with both numbers, and says what it had missed."),
        (
            1.0,
            "Says what a set egg does not prove: not that beans are soft, not that it is safe. Safe is a "
            "reading of at least 71 °C (160 °F) in the middle.",
        ),
    ),
)


LESSON = (SIZE, HOLD, FIRST, party.PARTY, WHY, *code_track.EXERCISES)

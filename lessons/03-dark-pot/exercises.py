"""Lesson 03, the dark pot: its exercises as data.  solarlab computes the answers when they are asked for."""

from __future__ import annotations

from solarlab import water
from solarlab.exercises import Alternative, Exercise, beside, letter_of, lettered

benches = beside(__file__, "benches")
scene = beside(__file__, "scene")
feast = beside(__file__, "feast")
code_track = beside(__file__, "code_track")
LINEAR = "De Bock, Van Dooren, Janssens & Verschaffel 2007, The Illusion of Linearity (from memory)"
BOILING = "Driver, Squires, Rushworth & Wood-Robinson 1994, Making Sense of Secondary Science (from memory)"
FOOT = 0.3048  # m

# --- 1 boil: where water boils ---


BOIL = Exercise(
    id="dark-pot/boil",
    kind="number",
    title="Tea on the pass",
    variable="pass_boils",
    points=1.0,
    unit="°C",
    question=(
        "A trader puts the kettle on at a mountain pass. The sign there says **{feet:.0f} ft**. At how many "
        "°C does the water boil? Half a degree to either side is right."
    ),
    variant=lambda draw: {"feet": draw.step(3500, 14500, 100)},
    answer=lambda v: scene.boils_at(v["feet"] * FOOT),
    tolerance=(0.0, 0.5),
    alternatives=(
        Alternative(
            "boils-at-100-everywhere",
            lambda v: 100.0,
            "That is where water boils at the sea. Up here there is less air on top of the water. Look it "
            "up in the table of heights.",
            "100 °C is taught as a property of water, and most schools stand low.",
            source=BOILING,
        ),
        Alternative(
            "metre-for-foot",
            lambda v: scene.boils_at(min(v["feet"], 10900.0)),
            "You took the number on the sign for metres. One foot is 0.3048 m: about a third.",
            "A sign gives a number, and the unit is what one is used to.",
            credit=0.5,
        ),
        Alternative(
            "boils-hotter-higher-up",
            lambda v: 200.0 - scene.boils_at(v["feet"] * FOOT),
            "The step is right and goes the wrong way. Does less air above the water make it easier or "
            "harder for bubbles to form?",
            "More height sounds like more of everything.",
            credit=0.25,
        ),
    ),
    hints=(
        "Feet into metres first, then the table of heights; between two of its rows, the share of the way.",
        "From one row to the next it is 500 m and nearly 1.7 degrees C. How far above the lower row are you?",
    ),
)


# --- 2 cooler: the same beans in cooler water ---


def cooler_variant(draw):
    boils = draw.step(86, 93, 1)
    return {
        "minutes": draw.step(30, 80, 5),
        "boils": boils,
        "boils_f": round(boils * 1.8 + 32, 1),
        "dish": draw.pick(("chickpeas", "soaked beans", "lentils", "turnips")),
    }


COOLER = Exercise(
    id="dark-pot/cooler",
    kind="number",
    title="The same beans in cooler water",
    variable="cooler_minutes",
    points=2.0,
    unit="min",
    question=(
        "By the sea your {dish} are soft after **{minutes:.0f} minutes** at the full boil, 100 °C "
        "(212 °F). In a mountain village the pot boils at **{boils_f} °F**. After how many minutes at *that* "
        "boil are they as soft?"
    ),
    variant=cooler_variant,
    answer=lambda v: v["minutes"] * scene.longer(v["boils"]),
    tolerance=(0.02, 0.0),
    alternatives=(
        Alternative(
            "ten-percent-cooler-ten-percent-longer",
            lambda v: v["minutes"] * 100.0 / v["boils"],
            "You stretched the time in step with the thermometer. But softening slows by the same *factor* "
            "with every degree, and factors pile up. Look at the last two columns of the table.",
            "For most things in a kitchen, ten percent less of one means ten percent more of another.",
            source=LINEAR,
        ),
        Alternative(
            "same-minutes-at-any-height",
            lambda v: v["minutes"],
            "It bubbles the same, yes. Does a bean feel the bubbles, or the temperature?",
            "Recipes say 'boil for', never 'hold at 100 °C for'.",
        ),
        Alternative(
            "fahrenheit-step-for-celsius",
            lambda v: v["minutes"] * 10 ** ((212.0 - v["boils_f"]) / 33.0),
            "Your way is right, but you counted the degrees below the boil in °F, and the rule counts in °C. "
            "How many °C are they?",
            "A difference of degrees looks the same on either scale.",
            credit=0.5,
        ),
        Alternative(
            "cooler-is-faster",
            lambda v: v["minutes"] / scene.longer(v["boils"]),
            "You divided where you should multiply. Can cooler water be quicker?",
            "Which way a factor goes is a coin toss under stress.",
            credit=0.5,
        ),
    ),
    hints=(
        "Turn the reading into °C, then find its row in the table.",
        "The last column says how many times as long.",
    ),
)


# --- 3 roll: two pots, one boils harder ---

ROLL_WAYS = {
    "sooner": "the one that boils hard, by a good deal: more fire, more cooking",
    "hotter": "the one that boils hard, by a little: its water is some degrees hotter",
    "same": "both at the same time, within a minute; the one that boils hard has lost more water",
    "gentle": "the one that simmers: the other wastes its heat on steam",
}


def roll_variant(draw):
    order = draw.shuffle(ROLL_WAYS)
    v = {
        "place": draw.pick(("Nairobi", "Quito", "Mumbai", "Lima", "Addis Ababa")),
        "more": draw.step(100, 400, 50),
        "minutes": draw.step(15, 40, 5),
    }
    return v | lettered(order, ROLL_WAYS)


def roll_answer(v):
    """Both waters at the boil: cook values compared; the harder boil only makes more steam."""
    boils = scene.boils_at(scene.catalogue.place(v["place"]).elevation)
    simmering, rolling = (v["minutes"] * scene.longer(boils) for _ in ("simmers", "boils hard"))
    steam = 60.0 * v["minutes"] * v["more"] / float(water.latent_heat(boils))
    if abs(simmering - rolling) <= 1.0:
        return letter_of("same" if steam > 0 else "gentle")(v)
    return letter_of("sooner" if rolling < simmering else "gentle")(v)


ROLL = Exercise(
    id="dark-pot/roll",
    kind="choice",
    title="The harder boil",
    variable="harder_boil",
    points=1.0,
    question=(
        "In {place} two lidded pots of the same potatoes, cut alike, came to the boil in the same minute. "
        "One gets just enough heat to simmer, a bubble here and there. The other gets **{more:.0f} W** more "
        "and boils hard. Both go on so, with water enough. At a simmer these potatoes are soft after "
        "{minutes:.0f} minutes. Which pot is soft first?"
    ),
    choices={letter: f"{{{letter}}}" for letter in "abcd"},
    variant=roll_variant,
    answer=roll_answer,
    alternatives=(
        Alternative(
            "harder-boil-cooks-faster",
            letter_of("sooner"),
            "More goes in, true. Now follow it: does it stay in the water, or leave it? Put a thermometer "
            "into both pots, in your mind.",
            "Big bubbles look like work being done, and with a *cold* pot more fire does help.",
            source=BOILING,
        ),
        Alternative(
            "harder-boil-is-hotter",
            letter_of("hotter"),
            "What happens to the extra heat at the boil? Look at the flat part of the curve on the first "
            "bench: more sun makes it longer, does it make it higher?",
            "Everywhere else, more heating makes things hotter.",
            source=BOILING,
        ),
        Alternative(
            "gentle-boil-is-quicker",
            letter_of("gentle"),
            "The hard boil wastes heat, right. But is the water in which the potatoes lie any cooler for it?",
            "Waste is taken for loss: what is thrown away must be missing somewhere.",
            credit=0.25,
        ),
    ),
    hints=("What does a potato feel: watts, bubbles, or degrees?", "At the boil, extra heat makes steam."),
)


# --- 4 thick: a thicker piece ---


def thick_variant(draw):
    thin = draw.step(2, 4, 0.5)
    return {
        "thin": thin,
        "thick": round(thin * draw.pick((1.5, 2.0, 2.5)), 2),
        "minutes": draw.step(8, 24, 1),
        "what": draw.pick(("beef", "goat", "mutton", "pork")),
    }


def as_power(power):
    return lambda v: v["minutes"] * (v["thick"] / v["thin"]) ** power


THICK = Exercise(
    id="dark-pot/thick",
    kind="number",
    title="A bigger cube",
    variable="thick_minutes",
    points=2.0,
    unit="min",
    question=(
        "In boiling broth, cubes of {what} **{thin:g} cm** thick are hot to the middle after "
        "**{minutes:.0f} minutes**. Next day the cook cuts them **{thick:g} cm** thick. After how many "
        "minutes is the *middle* of these as hot?"
    ),
    variant=thick_variant,
    answer=as_power(2.0),
    tolerance=(0.03, 0.0),
    alternatives=(
        Alternative(
            "twice-the-meat-twice-the-time",
            as_power(3.0),
            "You let the time grow with the *weight* of a cube. Heat does not carry the cube. It has to "
            "creep from the outside to the middle: how much farther is that?",
            "Cookery books give minutes per kilogram.",
            source=LINEAR,
        ),
        Alternative(
            "twice-as-thick-twice-the-time",
            as_power(1.0),
            "Heat does not walk at a steady pace. Twice the way is twice as far *and* half as steep. So how "
            "many times as long?",
            "Distance over speed is the only travel law most people ever needed.",
            source=LINEAR,
            credit=0.5,
        ),
        Alternative(
            "size-does-not-matter",
            as_power(0.0),
            "The broth is as hot as before, and so is the *outside* of the meat. And the middle?",
            "One pot, one temperature, so everything in it seems to be equally hot.",
        ),
    ),
    hints=(
        "How many times as thick are they?",
        "The table 'One piece in boiling water': from thickness to time.",
    ),
)


# --- 5 steam: what a boil costs ---


def steam_variant(draw):
    place = draw.pick(("Mombasa", "Nairobi", "Quito", "La Paz", "Delhi", "Lhasa"))
    boils = scene.boils_at(scene.catalogue.place(place).elevation)
    return {
        "place": place,
        "boils": round(boils),
        "watts": draw.step(60, 250, 10),
        "minutes": draw.step(30, 90, 5),
        "latent": round(float(water.latent_heat(boils)) / 1e6, 2),
    }


def steam_grams(v):
    boils = scene.boils_at(scene.catalogue.place(v["place"]).elevation)
    return 1000.0 * v["watts"] * 60.0 * v["minutes"] / float(water.latent_heat(boils))


STEAM = Exercise(
    id="dark-pot/steam",
    kind="number",
    title="Gone as steam",
    variable="steam_grams",
    points=2.0,
    unit="g",
    question=(
        "In {place} your pot boils at {boils:.0f} °C. It gets **{watts:.0f} W** more than it loses, for "
        "**{minutes:.0f} minutes**, and the steam leaves. One kilogram of that water takes "
        "**{latent} million "
        "joules** to turn into steam. How many grams are gone?"
    ),
    variant=steam_variant,
    answer=steam_grams,
    tolerance=(0.03, 0.0),
    alternatives=(
        Alternative(
            "steam-costs-only-warming",
            lambda v: 1000.0 * v["watts"] * 60.0 * v["minutes"]
            / (water.SPECIFIC_HEAT * (v["boils"] - scene.ROOM)),
            "So much water could be *warmed* to the boil by that heat. To turn it into steam costs several "
            "times as much again. Which number in the question says how much?",
            "'Once it boils, the work is done': the heat hidden in steam is not felt.",
            source=BOILING,
        ),
        Alternative(
            "minutes-for-seconds",
            lambda v: 1000.0 * v["watts"] * v["minutes"] / (1e6 * v["latent"]),
            "A watt is a joule each *second*. How many seconds did it boil?",
            "The clock counts in minutes, and the watt hides its second.",
            credit=0.5,
        ),
        Alternative(
            "watt-hours-for-joules",
            lambda v: v["watts"] * v["minutes"] / 60.0 / v["latent"],
            "You worked in watt hours, but the heat of steam is given in joules. One watt hour is 3600 "
            "joules.",
            "Energy comes in two units, and each is at home in another book.",
            credit=0.5,
        ),
    ),
    hints=(
        "Joules = watts × seconds.",
        "Joules, divided by the joules one kilogram takes, gives kilograms. You were asked for grams.",
    ),
)  # fmt: skip


LESSON = (BOIL, COOLER, ROLL, THICK, STEAM, *feast.EXERCISES, *code_track.EXERCISES)

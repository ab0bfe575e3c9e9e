"""Lesson 09, test your own oven: its exercises as data.  solarlab computes the answers when asked for."""

from __future__ import annotations

from solarlab import trial
from solarlab.exercises import Alternative, Exercise, beside
from solarlab.trial.standard import STANDARD_LIGHT
from solarlab.water import SPECIFIC_HEAT

benches = beside(__file__, "benches")
scene = benches.scene
twins = benches.twins
paper = beside(__file__, "paper")
modelled = beside(__file__, "modelled")
points = beside(__file__, "points")
verdicts = beside(__file__, "verdicts")
yard = beside(__file__, "yard")
code_track = beside(__file__, "code_track")
STEP = 1.8  # °F in one K

# --- 1 watts: ten minutes of warming water ---


def watts_variant(draw):
    start = draw.step(95, 150, 1)
    return {
        "water": draw.step(2.0, 4.0, 0.25),
        "start": start,
        "end": start + draw.step(5, 11, 1),
        "pot": draw.step(0.6, 1.2, 0.1),
    }


def into_water(kilograms, kelvins, seconds=600.0):
    return kilograms * SPECIFIC_HEAT * kelvins / seconds


def kelvins(v):
    return (v["end"] - v["start"]) / STEP


WATTS = Exercise(
    id="own-oven/watts",
    kind="number",
    title="Ten minutes",
    variable="water_watts",
    points=2.0,
    unit="W",
    question=(
        "In ten minutes **{water:g} kg** of water in a pot of {pot:.1f} kg went from **{start:.0f} °F** to "
        "**{end:.0f} °F**. How many watts went into the water, by the standard's way of counting?"
    ),
    variant=watts_variant,
    answer=lambda v: into_water(v["water"], kelvins(v)),
    tolerance=(0.03, 0.0),
    alternatives=(
        Alternative(
            "difference-minus-32",
            lambda v: into_water(v["water"], (v["end"] - v["start"] - 32.0) / STEP),
            "Your water got colder. The 32 says where a *reading* starts to count; a step from one reading "
            "to the next has no start.",
            "'Minus 32, times 5, over 9' is learnt as one spell, for everything in °F.",
            credit=0.25,
        ),
        Alternative(
            "difference-not-converted",
            lambda v: into_water(v["water"], v["end"] - v["start"]),
            "You took degrees of °F for degrees of °C. Which of the two is the smaller step?",
            "Both are called degrees.",
            credit=0.5,
        ),
        Alternative(
            "minutes-for-seconds",
            lambda v: into_water(v["water"], kelvins(v), 10.0),
            "That is more than a kitchen full of stoves. A watt is a joule in each *second*.",
            "Minutes are what was read off the clock.",
            credit=0.5,
        ),
        Alternative(
            "pot-counted-as-water",
            lambda v: into_water(v["water"] + v["pot"], kelvins(v)),
            "You warmed the pot as if it were made of water. The standard counts the water alone, so that "
            "all who test count alike.",
            "The pot gets warm too, so it ought to count; and it does take some heat, a ninth of what as "
            "much water takes.",
            credit=0.5,
        ),
    ),
    hints=(
        "First the step: from °F to K, by 1.8 and nothing else.",
        "Kilograms of water × 4,186 × the step in K, divided by the seconds in ten minutes.",
    ),
)


# --- 2 scaled: another sun, another size ---


def scaled_variant(draw):
    dull, bright = draw.step(460, 600, 10), draw.step(810, 1020, 10)
    return {
        "watts": draw.step(25, 120, 1),
        "light": draw.pick((dull, bright)),
        "area": draw.step(0.2, 0.7, 0.05),
    }


def scaled(v):
    return float(trial.standardised(v["watts"], v["light"]))


SCALED = Exercise(
    id="own-oven/scaled",
    kind="number",
    title="Somebody else's sun",
    variable="standard_per_area",
    points=2.0,
    unit="W/m²",
    question=(
        "In one interval **{watts:.0f} W** went into the water. The light facing the sun was **{light:.0f} "
        "W/m²**, and the oven's intercept area is **{area:.2f} m²**. How many watts is that at the "
        "standard's light, *for each square metre* of the oven?"
    ),
    variant=scaled_variant,
    answer=lambda v: scaled(v) / v["area"],
    alternatives=(
        Alternative(
            "sun-left-in",
            lambda v: v["watts"] / v["area"],
            "Right for the size. But this number would change with the next day's sun. Under how much light "
            "does the standard compare ovens?",
            "What was measured feels truer than what was worked out from it.",
            credit=0.5,
        ),
        Alternative(
            "upside-down",
            lambda v: v["watts"] * v["light"] / STANDARD_LIGHT / v["area"],
            "Was your sun stronger than the standard's, or weaker? Then must the number go down, or up?",
            "Which of two numbers goes on top of a fraction is a coin toss under stress.",
            credit=0.5,
        ),
        Alternative(
            "area-forgotten",
            scaled,
            "The sun is taken out now, and the size is still in. A barn would beat a shoe box. For each "
            "square metre, please.",
            "Watts are watts, one thinks, and a big oven earns its watts.",
            credit=0.5,
        ),
        Alternative(
            "times-the-area",
            lambda v: scaled(v) * v["area"],
            "You have all three numbers. How many such areas make a square metre: does one square metre get "
            "more than your oven, or less?",
            "'Per' is read as 'and the area, too'.",
            credit=0.25,
        ),
    ),
    hints=(
        "Two steps: first to the standard's light, then to one square metre.",
        "Watts × 700 ÷ your light; then divided by the area.",
    ),
)


# --- 5 merit: an empty box, in °F ---


def merit_variant(draw):
    return {
        "inside": draw.step(215, 275, 1),
        "air": draw.step(75, 98, 1),
        "light": draw.step(650, 980, 10),
    }


def celsius(fahrenheit):
    return (fahrenheit - 32.0) / STEP


MERIT = Exercise(
    id="own-oven/merit",
    kind="number",
    title="The empty box",
    variable="first_merit",
    points=1.0,
    unit="K m²/W",
    question=(
        "An empty box without mirrors lay level in a steady sun of **{light:.0f} W/m²** and settled at "
        "**{inside:.0f} °F**. The air in the shade was at **{air:.0f} °F**. What is its F1, in K m²/W? "
        "(Three figures after the point.)"
    ),
    variant=merit_variant,
    answer=lambda v: float(trial.first_figure(celsius(v["inside"]), celsius(v["air"]), v["light"])),
    tolerance=(0.015, 0.0),
    alternatives=(
        Alternative(
            "merit-in-fahrenheit",
            lambda v: (v["inside"] - v["air"]) / v["light"],
            "Your box is better than any there is. The rise is right, but in steps of °F; F1 wants K.",
            "The thermometer says °F, and F1 has an F in it, too.",
            credit=0.5,
        ),
        Alternative(
            "difference-minus-32",
            lambda v: (v["inside"] - v["air"] - 32.0) / STEP / v["light"],
            "You took 32 off a *difference*. Convert both readings and subtract: what rise do you get then?",
            "'Minus 32, times 5, over 9' is learnt as one spell, for everything in °F.",
            credit=0.25,
        ),
        Alternative(
            "merit-without-the-air",
            lambda v: celsius(v["inside"]) / v["light"],
            "On a hot day your box would be the better one. How much hotter than the *air* did it get?",
            "The hottest reading is the number one remembers.",
            credit=0.5,
        ),
        Alternative(
            "upside-down",
            lambda v: v["light"] * STEP / (v["inside"] - v["air"]),
            "That is watts for each kelvin: how much the box loses. F1 is the other way up: kelvins for "
            "each watt of light.",
            "Which of two numbers goes on top of a fraction is a coin toss under stress.",
            credit=0.5,
        ),
    ),
    hints=(
        "How many K above the air? A step in K is the step in °F divided by 1.8.",
        "That rise divided by the light.",
    ),
)


# --- 10 why: a report for a person to read ---

WHY = Exercise(
    id="own-oven/why",
    kind="explanation",
    title="A report one can trust",
    variable="why",
    points=4.0,
    question="Report one test, yours or that of the invented box, in five to ten sentences.",
    rubric=(
        (1.0, "One number with its unit and its 95 % range, and what it is: power into the water at 50 K "
              "above the air, scaled to 700 W/m²; with load, days and intervals."),
        (1.0, "Says which rules the test did not meet, or what was not measured, and leaves nothing out."),
        (1.0, "Says what the number does not tell: for instance the hottest temperature, windy days, whether "
              "food is done or safe; or how another oven would have to be tested beside it."),
        (1.0, "Holds both own bets against what came out, and says what had been missed."),
    ),
)  # fmt: skip

LESSON = (
    WATTS, SCALED, points.LINE, yard.CLOCK, MERIT, verdicts.BEST, verdicts.GAP, verdicts.OVERLAP, yard.DAY,
    WHY, *code_track.EXERCISES,
)  # fmt: skip

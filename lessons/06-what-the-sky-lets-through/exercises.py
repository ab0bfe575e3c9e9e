"""Lesson 06, what the sky lets through: its exercises as data.  solarlab computes the answers when asked."""

from __future__ import annotations

import math

from solarlab.exercises import Alternative, Exercise, beside

benches = beside(__file__, "benches")
light = benches.light
real_year = benches.real_year
yard = benches.yard
tables = beside(__file__, "tables")
cloudy = beside(__file__, "cloudy")
code_track = beside(__file__, "code_track")
LINEAR = cloudy.LINEAR

# --- 1 morning: the sun twice as high ---


def morning_variant(draw):
    height, haze = int(draw.step(20, 36, 1)), draw.step(2.5, 6.5, 0.5)
    beam, _ = light.clear_light(height, haze)
    return {"height": height, "twice": 2 * height, "haze": haze, "beam": round(float(beam))}


def slanted(v):
    return v["beam"] * math.sin(math.radians(v["twice"])) / math.sin(math.radians(v["height"]))


MORNING = Exercise(
    id="sky-lets-through/morning",
    kind="number",
    title="Twice as high in the sky",
    variable="beam_later",
    points=2.0,
    unit="W/m²",
    question=(
        "A cloudless day by the sea, haze number **{haze:g}**. In the morning the sun stands "
        "**{height}°** high, and a glass turned straight to it gets **{beam} W/m²** of beam. Later the "
        "sun stands twice as high, at **{twice}°**, and the glass has been turned to it again. How much "
        "beam does it get now, in W/m²?"
    ),
    variant=morning_variant,
    answer=lambda v: float(light.clear_light(v["twice"], v["haze"])[0]),
    tolerance=(0.025, 0.0),
    alternatives=(
        Alternative(
            "twice-as-high-twice-the-light",
            lambda v: 2.0 * v["beam"],
            "Twice the height, twice the light? Then a glass turned to the rising sun, at 0°, would get "
            "nothing at all. What does a higher sun really save the light: how much *air* is in its way, "
            "before and after?",
            "Sharing out in proportion is right for ropes and prices.",
            source=LINEAR,
        ),
        Alternative(
            "height-does-not-matter",
            lambda v: float(v["beam"]),
            "The glass is turned to the sun both times, true. But the light comes a longer way through "
            "the air when the sun is low. What does air do to a beam?",
            "The sun itself shines no stronger at noon, and the glass always faces it.",
            credit=0.25,
        ),
        Alternative(
            "slant-for-a-facing-glass",
            slanted,
            "That is what the *level ground* gains, on which a low sun's light lies slanting. Your glass "
            "is turned to the sun: no slant for it. Leave the air to do the work.",
            "The slant is what everybody has learnt about the low sun, and it comes to mind first.",
            credit=0.25,
        ),
    ),
    hints=(
        "Less air stands in the way of a higher sun. The table in part 2 says what is left; go between its "
        "rows and columns.",
        "Your haze, the *second* height. (On the first bench: that haze, no cloud, sea level, and read the "
        "first bar.)",
    ),
)


# --- 2 level: the two lights on the ground ---


def level_variant(draw):
    high = draw.pick((True, False))  # a high sun only with haze: else it hardly matters which light slants
    height = int(draw.step(50, 58, 1) if high else draw.step(18, 42, 1))
    haze = draw.step(6.0, 7.5, 0.5) if high else draw.step(2.5, 7.0, 0.5)
    beam, diffuse = light.clear_light(height, haze)
    return {"height": height, "beam": 10 * round(float(beam) / 10), "diffuse": 5 * round(float(diffuse) / 5)}


def level_with(part, grey=1.0):
    return lambda v: v["beam"] * part(math.radians(v["height"])) + grey * v["diffuse"]


LEVEL = Exercise(
    id="sky-lets-through/level",
    kind="number",
    title="Two lights, one meter",
    variable="level_light",
    points=2.0,
    unit="W/m²",
    question=(
        "The sun stands **{height}°** above the horizon. A meter that *faces the sun*, with a tube so "
        "that it sees nothing else, reads **{beam} W/m²**. A second one lies *level* with a hand held "
        "between it and the sun: **{diffuse} W/m²**. The hand is taken away. What does the level meter "
        "read now?"
    ),
    variant=level_variant,
    answer=level_with(math.sin),
    tolerance=(0.015, 0.0),
    alternatives=(
        Alternative(
            "area-without-cosine",
            level_with(lambda angle: 1.0),
            "You let the level ground face the sun. It lies slanting to it: a beam one metre wide is "
            "spread over more than a metre of ground. Over how much more?",
            "Two readings in the same unit ask to be added.",
            credit=0.25,
        ),
        Alternative(
            "elevation-for-zenith",
            level_with(math.cos),
            "With your sum a sun on the horizon would give the ground its whole beam, and one overhead "
            "nothing. Which of sine and cosine is 1 for a sun overhead (90° high)?",
            "Tables and formulas give one, eyes see the other, and both are called the sun's angle.",
            credit=0.5,
        ),
        Alternative(
            "diffuse-forgotten",
            level_with(math.sin, 0.0),
            "That is the sun's part alone. With the hand in front the meter still read something: where "
            "did that light go?",
            "Sunlight is what comes from the sun; the sky seems only to be lit.",
            credit=0.5,
        ),
        Alternative(
            "all-light-slants",
            lambda v: (v["beam"] + v["diffuse"]) * math.sin(math.radians(v["height"])),
            "The sine is for light that comes from *one* place. The second reading was taken level already.",
            "A factor once found is put before everything.",
            credit=0.5,
        ),
    ),
    hints=(
        "Level light = beam × sine of the sun's height + diffuse.",
        "Sines stand under the heading of this exercise; go between two of them.",
    ),
)


# --- 7 why: an explanation for a person to read ---

WHY = Exercise(
    id="sky-lets-through/why",
    kind="explanation",
    title="Answer the four at the gate",
    variable="why",
    points=4.0,
    question="Answer the Counter, the Squinter, the Sweater and the Late Riser, in five to ten sentences.",
    rubric=(
        (
            1.0,
            "Tells beam and diffuse light apart, and says why mirrors use only the first; with one number "
            "of a white sky.",
        ),
        (
            1.0,
            "Says why half the sky covered is neither half the light nor always the same: level light and "
            "beam differ, and so do hours; with one number.",
        ),
        (
            1.0,
            "Says what warm air and the sun's height do, and what they do not: air mass, haze, the cool "
            "clear day; with one number.",
        ),
        (1.0, "Holds both own bets against what came out, and says what had been missed."),
    ),
)


LESSON = (
    MORNING, LEVEL, cloudy.CLOUD, cloudy.BRIGHT, cloudy.SPREAD, yard.YARD, WHY, *code_track.EXERCISES,
)  # fmt: skip

"""Lesson 06, what the sky lets through: the exercises of the second track, in which learners write code."""

from __future__ import annotations

import math

from solarlab.exercises import Alternative, Exercise

ABOVE, CLEAN, THINNING = 1361.0, 0.827, 0.09  # W/m², 1, 1: see `beam_at`


# --- 8 beam: what air and haze leave ---


def beam_at(height, haze, mass=None):
    """Beam facing the sun at the sea's level [W/m²]: Ineichen & Perez (2002) as in pvlib, flat layers of air.

    1361 × 0.827 × exp(−0.09 × air mass × (haze − 1)), air mass 1/sin(height).  Within 2 % of pvlib's for
    haze 3 … 7 and a sun over 20°.
    """
    mass = 1.0 / math.sin(math.radians(height)) if mass is None else mass
    return ABOVE * CLEAN * math.exp(-THINNING * mass * (haze - 1.0))


BEAM = Exercise(
    id="sky-lets-through/beam",
    kind="function",
    title="What air and haze leave",
    variable="beam_facing",
    points=3.0,
    track="code",
    question=(
        "Write `beam_facing(height, haze)`: the beam in W/m² on a glass turned to the sun, by the sea, no "
        "cloud. `height` is the sun's height in degrees, `haze` the haze number. The light comes through "
        "*m* = 1 ÷ sin(height) times as much air as from overhead, and 1361 × 0.827 × exp(−0.09 × *m* × "
        "(haze − 1)) is left."
    ),
    answer=beam_at,
    inputs=lambda draw: {"height": round(draw.uniform(22, 75), 1), "haze": round(draw.uniform(3, 7), 1)},
    tolerance=(0.005, 0.0),
    alternatives=(
        Alternative(
            "elevation-for-zenith",
            lambda height, haze: beam_at(height, haze, 1.0 / math.cos(math.radians(height))),
            "Your low sun comes through little air and your high one through much. 1 ÷ cos is for the "
            "angle from overhead, and you are given the height.",
            "Tables and formulas give one, eyes see the other, and both are called the sun's angle.",
            credit=0.5,
        ),
        Alternative(
            "straight-line-air",
            lambda height, haze: beam_at(height, haze, 90.0 / height),
            "You shared the air out as the degrees are shared. A sun at 30° comes through *twice* the "
            "air, not three times: draw a flat layer and a slanting line.",
            "Sharing out in proportion is right for ropes and prices.",
            source="De Bock et al. 2007, The Illusion of Linearity (from memory)",
            credit=0.25,
        ),
        Alternative(
            "degrees-for-radians",
            lambda height, haze: beam_at(height, haze, 1.0 / math.sin(height)),
            "Your beam jumps about with the height. `math.sin` wants radians, and you have degrees.",
            "An angle's unit is invisible: one calculator means degrees, the next one radians.",
            credit=0.5,
        ),
        Alternative(
            "clean-air-takes-nothing-off",
            lambda height, haze: beam_at(height, haze + 1.0),
            "Look at the bracket. Haze 1 is perfectly clean, dry air, for which .827 has already paid: "
            "how much haze is left to pay for?",
            "'Haze 4' sounds like four of something; that counting starts at one is forgotten.",
            credit=0.5,
        ),
        Alternative(
            "slant-for-a-facing-glass",
            lambda height, haze: beam_at(height, haze) * math.sin(math.radians(height)),
            "That is the beam's part on *level* ground. This glass is turned to the sun.",
            "The slant is what everybody has learnt about the low sun, and it comes to mind first.",
            credit=0.5,
        ),
        Alternative(
            "twice-as-high-twice-the-light",
            lambda height, haze: beam_at(90.0, haze) * height / 90.0,
            "Your beam grows evenly from nothing at the horizon. Leave the height to the air mass *m*.",
            "Sharing out in proportion is right for ropes and prices.",
            source="De Bock et al. 2007, The Illusion of Linearity (from memory)",
        ),
    ),
    hints=(
        "First m, with math.sin and math.radians. Then one line with math.exp.",
        "Try a sun overhead: m must be 1. And one at 30°: m must be 2.",
    ),
)


# --- 9 light: from two readings to the oven ---


def glass_light(level, shaded, height, area, times):
    """Light [W] on an aimed glass of ``area`` m² whose mirrors make ``times`` the beam of the bare glass."""
    beam = (level - shaded) / math.sin(math.radians(height))
    return area * (times * beam + shaded)


def light_inputs(draw):
    level = round(draw.uniform(250, 950))
    return {
        "level": level,
        "shaded": round(level * draw.uniform(0.12, 1.0)),
        "height": round(draw.uniform(20, 70), 1),
        "area": round(draw.uniform(0.15, 0.9), 2),
        "times": round(draw.uniform(1.3, 2.6), 1),
    }


LIGHT = Exercise(
    id="sky-lets-through/light",
    kind="function",
    title="From two readings to the oven",
    variable="glass_light",
    points=3.0,
    track="code",
    question=(
        "Write `glass_light(level, shaded, height, area, times)`: the watts that fall on the glass of an "
        "oven turned to the sun. `level` is a level meter's reading in the open, `shaded` the same with a "
        "hand between it and the sun (W/m²), `height` the sun's height in degrees, `area` the glass in "
        "m². Its mirrors make `times` the beam of the bare glass, and leave diffuse light as it is."
    ),
    answer=glass_light,
    inputs=light_inputs,
    tolerance=(0.005, 0.0),
    alternatives=(
        Alternative(
            "mirrors-gather-cloud-light",
            lambda level, shaded, height, area, times: area * times * level,
            "You took the level meter times the mirrors. Do mirrors work on all of that light? And does "
            "an oven that faces the sun get the same beam as level ground?",
            "A mirror is thought of as an amplifier: so and so many times, whatever comes.",
        ),
        Alternative(
            "mirrors-on-both-lights",
            lambda level, shaded, height, area, times: area
            * times * ((level - shaded) / math.sin(math.radians(height)) + shaded),
            "The beam is right. But you gave the mirrors the grey light, too: what do they hide?",
            "Brackets close where the line ends.",
            credit=0.5,
        ),
        Alternative(
            "area-without-cosine",
            lambda level, shaded, height, area, times: area * (times * (level - shaded) + shaded),
            "level − shaded is what the beam does on *level* ground, where it lies slanting. The oven "
            "faces it: more, or less?",
            "Two readings in the same unit ask to be subtracted, and there it ends.",
            credit=0.5,
        ),
        Alternative(
            "elevation-for-zenith",
            lambda level, shaded, height, area, times: area
            * (times * (level - shaded) / math.cos(math.radians(height)) + shaded),
            "A sun overhead (90°) gives your oven a beam without end. Sine or cosine, given the height?",
            "Tables and formulas give one, eyes see the other, and both are called the sun's angle.",
            credit=0.5,
        ),
        Alternative(
            "diffuse-forgotten",
            lambda level, shaded, height, area, times: area
            * times * (level - shaded) / math.sin(math.radians(height)),
            "Under a grey sky your oven is in the dark. What does its glass get from the sky?",
            "Sunlight is what comes from the sun; the sky seems only to be lit.",
            credit=0.5,
        ),
    ),
    hints=(
        "The beam facing the sun is (level − shaded) ÷ sine of the height.",
        "Area × (times × beam + shaded).",
    ),
)


# --- 10 enough: hours, not their mean ---


def enough(beams, least):
    """Of 100 hours, how many had at least ``least``; ``beams`` is a list of readings."""
    return 100.0 * sum(beam >= least for beam in beams) / len(beams)


def enough_inputs(draw):
    count = int(draw.step(8, 20, 1))
    beams = [round(draw.uniform(0, 950)) for _ in range(count)]
    return {"beams": beams, "least": int(draw.step(200, 700, 50))}


ENOUGH = Exercise(
    id="sky-lets-through/enough",
    kind="function",
    title="Hours, not their mean",
    variable="enough",
    points=2.0,
    track="code",
    question=(
        "Write `enough(beams, least)`: `beams` is a list with the beam of every hour, in W/m². Give the "
        "share of hours, in percent, that had at least `least`."
    ),
    answer=enough,
    inputs=enough_inputs,
    tolerance=(0.0, 0.01),
    alternatives=(
        Alternative(
            "one-number-for-every-hour",
            lambda beams, least: 100.0 if sum(beams) / len(beams) >= least else 0.0,
            "Yours says 'always' or 'never'. It asks the mean, and the mean cooks nothing. Ask each hour.",
            "A mean is given as 'the' value, so every hour seems to have it.",
            source="e.g. Konold & Pollatsek 2002, J. Res. Math. Education (from memory)",
        ),
        Alternative(
            "mean-over-least",
            lambda beams, least: 100.0 * min(1.0, sum(beams) / len(beams) / least),
            "You divided the mean by what is needed. That is not how many hours had it: count them.",
            "A percentage is one number over another, and these two were at hand.",
        ),
        Alternative(
            "the-other-hours",
            lambda beams, least: 100.0 - enough(beams, least),
            "Those are the hours that had less. Which way does the sign point?",
            "The two sides of a line change places easily.",
            credit=0.5,
        ),
        Alternative(
            "count-for-share",
            lambda beams, least: float(sum(beam >= least for beam in beams)),
            "You counted the hours. Of how many? In percent, please.",
            "The counting was the hard part.",
            credit=0.5,
        ),
    ),
    hints=(
        "Go through the list and count those with beam >= least.",
        "100 × count ÷ len(beams).",
    ),
)


# --- 11 bug: a sky that is darker than dark ---


def diffuse_light(level, beam, height):
    """Diffuse light on level ground [W/m²] from a level meter and one that faces the sun."""
    return level - beam * math.sin(math.radians(height))


def bug_inputs(draw):
    height, beam = round(draw.uniform(20, 75), 1), round(draw.uniform(0, 950))
    diffuse = draw.uniform(40, 300)
    return {
        "level": round(beam * math.sin(math.radians(height)) + diffuse), "beam": beam, "height": height,
    }  # fmt: skip


BUG = Exercise(
    id="sky-lets-through/bug",
    kind="bug",
    title="A sky that is darker than dark",
    variable="diffuse_light",
    points=2.0,
    track="code",
    question=(
        "`diffuse_light(level, beam, height)` should give the diffuse light on level ground in W/m²: "
        "`level` is a level meter's reading, `beam` that of a meter that faces the sun, `height` the "
        "sun's height in degrees. For a fine clear morning it gives *less than nothing*. One line is "
        "wrong; mend it."
    ),
    answer=diffuse_light,
    given=lambda level, beam, height: level - beam,
    inputs=bug_inputs,
    tolerance=(0.0, 0.05),
    alternatives=(
        Alternative(
            "elevation-for-zenith",
            lambda level, beam, height: level - beam * math.cos(math.radians(height)),
            "Try it with a sun overhead: there the ground gets the whole beam. Does yours?",
            "Tables and formulas give one, eyes see the other, and both are called the sun's angle.",
            credit=0.5,
        ),
        Alternative(
            "degrees-for-radians",
            lambda level, beam, height: level - beam * math.sin(height),
            "The right idea; and what does `math.sin` take, degrees or radians?",
            "An angle's unit is invisible: one calculator means degrees, the next one radians.",
            credit=0.5,
        ),
        Alternative(
            "never-below-nothing",
            lambda level, beam, height: max(0.0, level - beam),
            "Now it never says less than nothing. It says nothing instead, for a bright blue sky. What "
            "was *wrong* before?",
            "The visible fault is mended, and its cause is left.",
        ),
        Alternative(
            "all-light-slants",
            lambda level, beam, height: (level - beam) * math.sin(math.radians(height)),
            "The sine belongs to the beam only: the level meter lies level already.",
            "A factor once found is put before everything.",
            credit=0.25,
        ),
    ),
    hints=(
        "The two meters do not look the same way. What part of the beam falls on level ground?",
        "Beam on the level: beam × sine of the height.",
    ),
)


EXERCISES = (BEAM, LIGHT, ENOUGH, BUG)

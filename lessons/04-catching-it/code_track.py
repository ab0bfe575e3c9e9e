"""Lesson 04, catching it: the exercises of the second track, in which learners write code."""

from __future__ import annotations

import math

import numpy as np

from solarlab.exercises import Alternative, Exercise
from solarlab.oven import incidence

# --- 8 beam: a function (code track) ---


def watts_on_glass(area, beam, height, tilt, turned):
    """Watts of a ``beam`` [W/m²] on bare glass; ``turned`` [°] is how far it faces beside the sun."""
    up = math.radians(height)
    side = math.radians(turned)
    sun = np.array([math.sin(side) * math.cos(up), math.cos(side) * math.cos(up), math.sin(up)])
    across, along = (float(angle) for angle in incidence(sun, float(tilt), 0.0))
    tangents = math.tan(math.radians(across)) ** 2 + math.tan(math.radians(along)) ** 2
    behind = abs(across) >= 90.0 or abs(along) >= 90.0
    return 0.0 if behind else area * beam / math.sqrt(1.0 + tangents)


def _cosine(height, tilt, turned):
    return math.sin(height) * math.cos(tilt) + math.cos(height) * math.sin(tilt) * math.cos(turned)


def _degrees(height, tilt, turned):
    return _cosine(*(math.radians(angle) for angle in (height, tilt, turned)))


BEAM = Exercise(
    id="catching-it/beam",
    kind="function",
    title="Sun on any glass",
    variable="watts_on_glass",
    points=3.0,
    track="code",
    question=(
        "Write `watts_on_glass(area, beam, height, tilt, turned)`: the watts of a `beam` [W/m²] on "
        "bare glass "
        "of `area` [m²], with the sun `height` degrees above the horizon, the glass tilted `tilt` degrees up "
        "from level, and facing `turned` degrees beside the sun. The cosine of the angle between them is "
        "sin(height)·cos(tilt) + cos(height)·sin(tilt)·cos(turned). Sun from behind gives nothing."
    ),
    answer=watts_on_glass,
    inputs=lambda draw: {
        "area": draw.step(0.1, 1.0, 0.05),
        "beam": draw.step(200, 1000, 50),
        "height": draw.step(5, 85, 1),
        "tilt": draw.step(10, 90, 5),
        "turned": draw.pick((0, 20, 45, 60, 90, 120, 150, 180)),
    },
    tolerance=(0.002, 0.05),
    alternatives=(
        Alternative(
            "light-from-behind",
            lambda area, beam, height, tilt, turned: area * beam * _degrees(height, tilt, turned),
            "Try a steep glass with its back to a low sun. Can it get less than nothing?",
            "The formula goes on without asking.",
            credit=0.5,
        ),
        Alternative(
            "degrees-for-radians",
            lambda area, beam, height, tilt, turned: area * beam * max(0.0, _cosine(height, tilt, turned)),
            "`math.sin` wants radians. What is sin(90°)?",
            "People count in degrees, machines do not say what they count in.",
            credit=0.25,
        ),
        Alternative(
            "area-without-cosine",
            lambda area, beam, height, tilt, turned: area * beam,
            "That glass looks straight at the sun, always. Use the cosine.",
            "The units come out.",
        ),
        Alternative(
            "elevation-for-zenith",
            lambda area, beam, height, tilt, turned: area * beam
            * max(0.0, _degrees(90.0 - height, tilt, turned)),
            "You count the sun's angle from overhead. Here it is counted from the horizon.",
            "Books use either, and often without saying so.",
            credit=0.5,
        ),
        Alternative(
            "turned-forgotten",
            lambda area, beam, height, tilt, turned: area * beam * max(0.0, _degrees(height, tilt, 0.0)),
            "Your glass always faces the sun's side. Where did `turned` go?",
            "One angle too many to keep in mind.",
            credit=0.5,
        ),
    ),
    hints=("math.radians() first, for all three angles.", "area * beam * max(0, cosine)."),
)  # fmt: skip


# --- 9 adds: a bug (code track) ---


def mirror_adds(reflectance, length, flare):
    """Light a mirror adds to glass that faces the sun, over the bare glass; flare below 45°, one bounce."""
    lean = math.radians(flare)
    return reflectance * min(length * math.sin(lean), math.cos(2.0 * lean))


ADDS = Exercise(
    id="catching-it/adds",
    kind="bug",
    title="Too good a mirror",
    variable="mirror_adds",
    points=2.0,
    track="code",
    question=(
        "`mirror_adds(reflectance, length, flare)` should give what one mirror adds to a glass that "
        "faces the "
        "sun, in times the bare glass (`length` in times the glass's side, `flare` in degrees below "
        "45). From "
        "the sun the mirror looks length·sin(flare) wide; of its light, no more than a width of cos(2·flare) "
        "can land on the glass. It says that a longer mirror always adds more. One line is wrong; mend it."
    ),
    answer=mirror_adds,
    given=lambda reflectance, length, flare: reflectance * length * math.sin(math.radians(flare)),
    inputs=lambda draw: {
        "reflectance": draw.step(0.6, 0.95, 0.05),
        "length": draw.step(0.3, 2.0, 0.1),
        "flare": draw.step(10, 42, 1),
    },
    tolerance=(0.005, 0.0005),
    alternatives=(
        Alternative(
            "always-fills-the-glass",
            lambda reflectance, length, flare: reflectance * math.cos(2.0 * math.radians(flare)),
            "Now a short mirror fills the whole glass with light. Which of the two widths counts, and when?",
            "Mending one thing breaks its neighbour.",
            credit=0.5,
        ),
        Alternative(
            "larger-of-the-two",
            lambda reflectance, length, flare: reflectance
            * max(length * math.sin(math.radians(flare)), math.cos(2.0 * math.radians(flare))),
            "`max` takes what is there, not what can pass. Light must be caught *and* must land.",
            "The bigger number looks like the better mirror.",
            credit=0.5,
        ),
        Alternative(
            "flare-not-doubled",
            lambda reflectance, length, flare: reflectance
            * min(length * math.sin(math.radians(flare)), math.cos(math.radians(flare))),
            "A mirror that leans by so much turns the light by *twice* that.",
            "The doubling at a mirror is the part that is forgotten.",
            credit=0.5,
        ),
        Alternative(
            "sheet-loses-nothing",
            lambda reflectance, length, flare: mirror_adds(1.0, length, flare),
            "And what the sheet swallows?",
            "While mending, the rest is lost.",
            credit=0.5,
        ),
    ),
    hints=("It must be caught and it must land: the smaller of two widths.", "min(…, …) is Python for that."),
)  # fmt: skip

EXERCISES = (BEAM, ADDS)

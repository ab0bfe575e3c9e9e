"""Lesson 05, where the sun stands: the exercises of the second track, in which learners write code."""

from __future__ import annotations

import math

from pvlib.solarposition import solar_zenith_analytical

from solarlab.exercises import Alternative, Exercise

TURN = 15.0  # ° an hour


# --- 7 top: the noon sun anywhere ---


def noon_height(latitude, declination):
    """The sun's elevation at its noon [°]: the solar zenith angle at hour angle 0, from overhead."""
    return sun_height(latitude, declination, 12.0)


def top_inputs(draw):
    return {
        "latitude": round(draw.uniform(-60, 60), 1),
        "declination": round(draw.uniform(-23.4, 23.4), 1),
    }


TOP = Exercise(
    id="sun/top",
    kind="function",
    title="The noon sun, anywhere",
    variable="noon_height",
    points=2.0,
    track="code",
    question=(
        "Write `noon_height(latitude, declination)`: the sun's elevation at its noon in degrees, for a place "
        "at `latitude` while the sun's own latitude is `declination`, both in degrees, north positive. It "
        "must be right on both sides of the equator, and in the tropics, too."
    ),
    answer=lambda latitude, declination: noon_height(latitude, declination),
    inputs=top_inputs,
    tolerance=(0.0, 0.05),
    alternatives=(
        Alternative(
            "elevation-for-zenith",
            lambda latitude, declination: 90.0 - noon_height(latitude, declination),
            "Your sun is low where it should be high. You give the angle from overhead.",
            "Tables and formulas give one, eyes see the other, and both are called the sun's angle.",
            credit=0.5,
        ),
        Alternative(
            "higher-than-overhead",
            lambda latitude, declination: 90.0 - latitude + declination,
            "For some places your sun stands higher than straight overhead. It is right while the sun is "
            "south of the place. What when it is north of it?",
            "Textbooks of the north print 90° − latitude + declination, and say nothing of its range.",
            credit=0.5,
        ),
        Alternative(
            "south-for-north",
            lambda latitude, declination: 90.0 - abs(abs(latitude) - declination),
            "You took the minus sign off the latitude. South of the equator December is the month of the "
            "high sun: does yours know?",
            "Schoolbooks are written where the noon sun is always in the south (or always in the north).",
            credit=0.25,
        ),
        Alternative(
            "latitudes-added",
            lambda latitude, declination: 90.0 - abs(latitude) - abs(declination),
            "You added two distances from the equator. That is right only if place and sun are on different "
            "sides of it.",
            "Two numbers and the word 'north' twice: they get added.",
            credit=0.25,
        ),
    ),
    hints=(
        "How far apart are two places at 10° north and 20° north? And at 10° north and 20° south?",
        "The sun stands as far from overhead as the two latitudes are apart, whichever is larger.",
    ),
)


# --- 8 sky: the sun's height at any hour ---


def sun_height(latitude, declination, hours):
    """The sun's elevation [°] at ``hours`` on a sundial; pvlib's solar_zenith_analytical."""
    angles = (math.radians(angle) for angle in (latitude, TURN * (hours - 12.0), declination))
    return 90.0 - math.degrees(float(solar_zenith_analytical(*angles)))


def raw_degrees(latitude, declination, hours):
    sine = math.sin(latitude) * math.sin(declination) + math.cos(latitude) * math.cos(declination) * math.cos(
        TURN * (hours - 12.0)
    )
    return math.degrees(math.asin(max(-1.0, min(1.0, sine))))


def by_thirds(latitude, declination, hours):
    return noon_height(latitude, declination) * (1.0 - abs(hours - 12.0) / 6.0)


SKY = Exercise(
    id="sun/sky",
    kind="function",
    title="The sun at any hour",
    variable="sun_height",
    points=3.0,
    track="code",
    question=(
        "Write `sun_height(latitude, declination, hours)`: the sun's elevation in degrees when a sundial "
        "shows `hours` (12 is the sun's noon, 9.5 half past nine). With φ the latitude, δ the declination "
        "and ω the turn since noon, 15° an hour: sin(elevation) = sin φ · sin δ + cos φ · cos δ · cos ω."
    ),
    answer=lambda latitude, declination, hours: sun_height(latitude, declination, hours),
    inputs=lambda draw: top_inputs(draw) | {"hours": round(draw.uniform(7.0, 17.0), 2)},
    tolerance=(0.0, 0.1),
    alternatives=(
        Alternative(
            "degrees-for-radians",
            raw_degrees,
            "Your sun jumps about the sky. `math.sin` and its kin want radians, and you have degrees.",
            "An angle's unit is invisible: one calculator means degrees, the next one radians.",
            credit=0.5,
        ),
        Alternative(
            "radians-for-degrees",
            lambda latitude, declination, hours: math.radians(sun_height(latitude, declination, hours)),
            "The sun never gets higher than 1.57 in your sky. In what unit does `math.asin` answer?",
            "The way in was converted, and the way out forgotten.",
            credit=0.5,
        ),
        Alternative(
            "elevation-for-zenith",
            lambda latitude, declination, hours: 90.0 - sun_height(latitude, declination, hours),
            "Your sun is lowest at noon. The formula gives the *sine* of the elevation: which function turns "
            "it back?",
            "Tables and formulas give one, eyes see the other, and both are called the sun's angle.",
            credit=0.5,
        ),
        Alternative(
            "turn-counted-from-midnight",
            lambda latitude, declination, hours: sun_height(latitude, declination, hours + 12.0),
            "Your noon is the middle of the night. From when is the turn ω counted?",
            "Clocks count from midnight.",
            credit=0.5,
        ),
        Alternative(
            "straight-line-sun",
            by_thirds,
            "Your sun goes up in a straight line to noon and down again. It does not: near noon it lingers. "
            "Use the formula.",
            "Even steps are the first guess for anything that rises.",
            source="De Bock et al. 2007, The Illusion of Linearity (from memory)",
        ),
    ),
    hints=(
        "math.radians on the way in, math.degrees on the way out.",
        "ω = 15 × (hours − 12), in degrees; then one line with sin and cos, then math.asin.",
    ),
)


# --- 9 clock: from the sundial to the clock ---


def solar_noon(longitude, zone, ahead, summer):
    """Minutes after midnight on the clock at the sun's noon."""
    return 720.0 + 4.0 * (15.0 * zone - longitude) - ahead + (60.0 if summer else 0.0)


def clock_inputs(draw):
    zone = draw.step(-9, 10, 1)
    return {
        "longitude": round(15.0 * zone + draw.uniform(-14, 14), 1),
        "zone": zone,
        "ahead": round(draw.uniform(-14, 16), 1),
        "summer": draw.pick((0, 1)),
    }


CLOCK = Exercise(
    id="sun/clock",
    kind="function",
    title="When to be in the yard",
    variable="solar_noon",
    points=2.0,
    track="code",
    question=(
        "Write `solar_noon(longitude, zone, ahead, summer)`: the minutes after midnight that the clock shows "
        "when the sun is highest. `longitude` in degrees, east positive; `zone` the hours by which the clock "
        "without summer time is ahead of UTC; `ahead` the minutes by which a sundial is ahead of an even "
        "clock that day; `summer` 1 if summer time is in force, else 0."
    ),
    answer=solar_noon,
    inputs=clock_inputs,
    tolerance=(0.0, 0.05),
    alternatives=(
        Alternative(
            "clock-for-solar-noon",
            lambda longitude, zone, ahead, summer: 720.0,
            "Always twelve: then nobody would need the function. What do its four inputs do?",
            "'Noon' is the name of both, and at school they were the same.",
        ),
        Alternative(
            "longitude-wrong-way",
            lambda longitude, zone, ahead, summer: solar_noon(30.0 * zone - longitude, zone, ahead, summer),
            "East and west are turned round. The sun comes from the east: who sees it highest first?",
            "West is left on the map, and left feels like earlier.",
            credit=0.5,
        ),
        Alternative(
            "sundial-wrong-way",
            lambda longitude, zone, ahead, summer: solar_noon(longitude, zone, -ahead, summer),
            "A sundial that is ahead has its twelve *before* the clock. Plus or minus?",
            "Ahead sounds like plus.",
            credit=0.5,
        ),
        Alternative(
            "summer-time-forgotten",
            lambda longitude, zone, ahead, summer: solar_noon(longitude, zone, ahead, 0),
            "Right all winter. What does summer time do to the clock?",
            "Summer time is so usual that nobody sees it any more.",
            credit=0.5,
        ),
        Alternative(
            "zone-forgotten",
            lambda longitude, zone, ahead, summer: solar_noon(longitude, 0.0, ahead, summer),
            "Your clock is Greenwich's. By how many minutes is the learner's clock ahead of it?",
            "UTC is the clock of the formulas.",
            credit=0.25,
        ),
    ),
    hints=(
        "Start with 720. Then three corrections.",
        "The clock's own meridian lies at 15 × zone. Four minutes for each degree the place is west of it.",
    ),
)


# --- 10 bug: the wrong angle ---


def shadow_height(stick, shadow):
    """The sun's elevation [°] from a stick and its shadow."""
    return math.degrees(math.atan2(stick, shadow))


BUG = Exercise(
    id="sun/bug",
    kind="bug",
    title="A sun that rises as it sets",
    variable="shadow_height",
    points=2.0,
    track="code",
    question=(
        "`shadow_height(stick, shadow)` should give the sun's elevation in degrees. It says that a one-metre "
        "stick with a shadow of ten centimetres means a sun 6° above the horizon. One line is wrong; mend it."
    ),
    answer=shadow_height,
    given=lambda stick, shadow: math.degrees(math.atan2(shadow, stick)),
    inputs=lambda draw: {"stick": round(draw.uniform(50, 200)), "shadow": round(draw.uniform(10, 500))},
    tolerance=(0.0, 0.05),
    alternatives=(
        Alternative(
            "degrees-for-radians",
            lambda stick, shadow: math.atan2(stick, shadow),
            "The right way round now, and the degrees got lost on the way out.",
            "An angle's unit is invisible: one calculator means degrees, the next one radians.",
            credit=0.5,
        ),
        Alternative(
            "tangent-is-the-angle",
            lambda stick, shadow: math.degrees(stick / shadow),
            "stick ÷ shadow is the tangent of the angle, not yet the angle. Which function takes you back?",
            "For small angles it is nearly the same.",
            credit=0.25,
        ),
        Alternative(
            "sine-for-tangent",
            lambda stick, shadow: math.degrees(math.asin(min(1.0, stick / shadow))),
            "The sine needs the long side of the triangle, from the stick's tip to the shadow's end. You "
            "have the two short ones.",
            "Sine is the one that everybody remembers.",
            credit=0.25,
        ),
    ),
    hints=(
        "With no shadow at all the sun is overhead: what does the function say for shadow 0?",
        "Which of the two belongs on top of the fraction whose arctangent is the elevation?",
    ),
)


EXERCISES = (TOP, SKY, CLOCK, BUG)

"""Lesson 05, where the sun stands: its exercises as data.  solarlab computes the answers when asked for."""

from __future__ import annotations

import math
from functools import lru_cache

from solarlab import catalogue
from solarlab.exercises import Alternative, Exercise, beside

benches = beside(__file__, "benches")
scene = benches.scene
stick = benches.stick
sides = beside(__file__, "sides")
north_line = beside(__file__, "north_line")
code_track = beside(__file__, "code_track")

# --- 1 height: a shadow as a protractor ---

SHADOW_CITIES = ("Nairobi", "Madrid", "Bamako", "Delhi", "Cape Town", "Mexico City", "Melbourne", "Cairo")


def height_variant(draw):
    """A moment at which the shadow stands in the lesson's table, and not near 45°: there all ways agree."""
    while True:
        city, month = draw.pick(SHADOW_CITIES), int(draw.step(1, 12, 1))
        length, minutes = int(draw.step(60, 180, 20)), int(draw.step(540, 900, 15))
        place, date = catalogue.place(city), scene.date_of(month)
        height = scene.angles(place, scene.at_clock(place, date, minutes))[0]
        if 15.0 < height < 38.0 or 52.0 < height < 78.0:
            break
    return {
        "city": city, "day": scene.on_the_day(date), "clock": scene.clock(minutes), "stick": length,
        "shadow": round(length / math.tan(math.radians(height))),
    }  # fmt: skip


def from_shadow(v):
    return math.degrees(math.atan2(v["stick"], v["shadow"]))


HEIGHT = Exercise(
    id="sun/height",
    kind="number",
    title="What the stick says",
    variable="sun_elevation",
    points=2.0,
    unit="°",
    question=(
        "{city}, {day}, {clock} on the clock. On level ground an upright stick of **{stick} cm** throws a "
        "shadow of **{shadow} cm**. How high does the sun stand, in degrees *from the horizon* (its "
        "elevation)?"
    ),
    variant=height_variant,
    answer=from_shadow,
    tolerance=(0.0, 1.0),
    alternatives=(
        Alternative(
            "elevation-for-zenith",
            lambda v: 90.0 - from_shadow(v),
            "That is the angle from straight overhead. A shadow longer than its stick means a low sun: which "
            "of the two angles is small then?",
            "Tables and formulas give one, eyes see the other, and both are called the sun's angle.",
            credit=0.5,
        ),
        Alternative(
            "degrees-for-radians",
            lambda v: math.radians(from_shadow(v)),
            "Your calculator gave the angle in radians, not in degrees. Can the sun stand as low as that "
            "with a shadow this short?",
            "An angle's unit is invisible: one calculator means degrees, the next one radians.",
            credit=0.5,
        ),
        Alternative(
            "straight-line-angle",
            lambda v: 90.0 * v["stick"] / (v["stick"] + v["shadow"]),
            "You shared out the ninety degrees as stick and shadow share their length. Angles do not grow "
            "so evenly: find shadow ÷ stick in the table.",
            "Sharing out in proportion is right for ropes and prices.",
            source="De Bock et al. 2007, The Illusion of Linearity (from memory)",
            credit=0.25,
        ),
        Alternative(
            "forty-five-times",
            lambda v: 45.0 * v["stick"] / v["shadow"],
            "It is 45° when stick and shadow are equal; so far you are right. But half the shadow is not "
            "twice the angle: with no shadow at all yours would have no end. Use the table.",
            "One case known by heart, and the rest scaled from it.",
            source="De Bock et al. 2007, The Illusion of Linearity (from memory)",
            credit=0.25,
        ),
    ),
    hints=(
        "Divide the shadow by the stick, then look the number up in the table of shadows.",
        "Between two rows go as far between their angles as your number lies between theirs. First column "
        "of angles: from the horizon.",
    ),
)


# --- 2 noon: what the clock says when the sun is highest ---

SUMMER_CITIES = ("Madrid", "Berlin", "Greensboro", "Cairo", "Melbourne", "Santiago", "Tromsø")


@lru_cache(maxsize=1)
def summer_days() -> tuple[tuple[str, str], ...]:
    """Cities and dates of the year's table with summer time and a sundial well off the clock."""
    dates = [scene.date_of(month, day) for month in range(1, 13) for day in scene.DAYS]
    swinging = [date for date in dates if abs(scene.sundial_ahead(date)) > 4.5]
    return tuple(
        (city, date) for city in SUMMER_CITIES for date in swinging if scene.noon(city, date).daylight_saving
    )


def noon_variant(draw):
    city, date = draw.pick(summer_days())
    place = catalogue.place(city)
    standard = scene.noon(city, date).transit.utcoffset().total_seconds() / 3600.0 - 1.0
    meridian = 15.0 * standard
    return {
        "city": city, "date": date, "day": scene.on_the_day(date),
        "longitude": scene.longitude_words(place),
        "meridian": f"{abs(meridian):.0f}° {'east' if meridian >= 0 else 'west'}",
        "late": round(4.0 * (meridian - place.longitude), 2),
    }  # fmt: skip


def noon_with(late=1.0, swing=1.0, summer=1.0):
    """The sun's noon with each of its three corrections taken so many times."""

    def model(v):
        true = scene.noon_minutes(v["city"], v["date"])
        ahead = scene.sundial_ahead(v["date"])
        return true + (late - 1.0) * v["late"] - (swing - 1.0) * ahead + 60.0 * (summer - 1.0)

    return model


NOON = Exercise(
    id="sun/noon",
    kind="number",
    title="When is noon?",
    variable="noon_clock",
    points=2.0,
    unit="clock",
    question=(
        "{city} lies at **{longitude}**. Without summer time its clock is that of **{meridian}**. On "
        "**{day}** summer time is in force. At what time *on the clock* is the sun highest? Write it in "
        "quotes, such as "
        '`"13:05"`.'
    ),
    variant=noon_variant,
    answer=noon_with(),
    tolerance=(0.0, 2.0),
    alternatives=(
        Alternative(
            "clock-for-solar-noon",
            lambda v: 720.0,
            "Twelve on the clock is an agreement of people. Three things stand between it and the sun's "
            "noon: the longitude, the sundial's swing, and summer time.",
            "'Noon' is the name of both, and at school they were the same.",
        ),
        Alternative(
            "summer-time-forgotten",
            noon_with(summer=0.0),
            "The sun does not know about summer time. The clocks do. Which way are they turned?",
            "Summer time is so usual that nobody sees it any more.",
            credit=0.5,
        ),
        Alternative(
            "longitude-forgotten",
            noon_with(late=0.0),
            "You took the whole clock zone as one place. The sun needs 4 minutes for each degree of "
            "longitude. How far is it from the clock's own meridian to the city?",
            "A zone on a map has one colour, as if it had one sun.",
            credit=0.5,
        ),
        Alternative(
            "longitude-wrong-way",
            noon_with(late=-1.0),
            "Right size, wrong way. The sun comes from the east: does it reach a place further *west* sooner "
            "or later?",
            "West is left on the map, and left feels like earlier.",
            credit=0.5,
        ),
        Alternative(
            "sundial-wrong-way",
            noon_with(swing=-1.0),
            "Right size, wrong way. If the sundial is *ahead*, has it reached twelve before the clock, or "
            "after?",
            "Ahead sounds like plus.",
            credit=0.5,
        ),
        Alternative(
            "sun-keeps-even-time",
            noon_with(swing=0.0),
            "Nearly. But the sun is not as even as a clock: what does the table of the year say of that day?",
            "A clock was made to follow the sun, so one expects that it does.",
            credit=0.75,
        ),
        Alternative(
            "morning-for-afternoon",
            lambda v: noon_with()(v) - 720.0,
            "These minutes fit; but read from midnight on, this is a time in the small hours. Write the "
            "clock of 24 hours, or pm behind yours.",
            "Most people say one o'clock for both, and nobody ever mistakes them.",
            credit=0.75,
        ),
    ),
    hints=(
        "Start at 12:00 and correct it three times: longitude, sundial, summer time.",
        "Four minutes *later* for each degree the city lies west of its clock's meridian, earlier if east.",
        "Then take off the minutes the sundial is ahead (or add those it is behind), and add the hour of "
        "summer time.",
    ),
)


# --- 6 why: an explanation for a person to read ---

WHY = Exercise(
    id="sun/why",
    kind="explanation",
    title="Answer the three in the yard",
    variable="why",
    points=4.0,
    question="The Scout, the Watch and the Traveller want an answer, in five to ten sentences.",
    rubric=(
        (
            1.0,
            "Says on which side the noon sun can stand, and why: the sun's own latitude goes from 23.4° "
            "south to 23.4° north in a year, and in the tropics it passes overhead twice.",
        ),
        (
            1.0,
            "Names the three things between twelve on the clock and the sun's noon (longitude, the sundial's "
            "swing, summer time), with one number.",
        ),
        (1.0, "Says how a stick finds the sun's noon and true north without clock or compass, and how well."),
        (1.0, "Holds both own bets against what came out, and says what had been missed."),
    ),
)


LESSON = (HEIGHT, NOON, sides.SIDE, sides.RISE, north_line.AIM, WHY, *code_track.EXERCISES)

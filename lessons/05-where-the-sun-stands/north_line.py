"""Lesson 05, where the sun stands: a stick, a north line and an oven, a plan that must work."""

from __future__ import annotations

import math
from functools import lru_cache

from solarlab import catalogue
from solarlab.exercises import Alternative, Exercise, beside

scene = beside(__file__, "scene")
stick = beside(__file__, "stick")
CITIES = ("Addis Ababa", "Bamako", "Nairobi", "Mombasa", "Singapore", "Lima", "Mumbai", "Dakar", "La Paz")
STEEP = (9.0, 40.0)  # °, zenith angles at noon that make the plan worth making
NORTH, TILT, FINE = 6.0, 5.0, 0.6  # °: north line, tilt, and what one centimetre on the ground may be worth


@lru_cache(maxsize=1)
def days() -> tuple[tuple[str, str], ...]:
    """Cities and dates on which the noon sun stands on the pole's side, and well off twelve o'clock."""
    dates = [scene.date_of(month, day) for month in range(1, 13) for day in scene.DAYS]
    found = []
    for city in CITIES:
        latitude = catalogue.place(city).latitude
        for date in dates:
            past = (scene.sun_latitude(date) - latitude) * math.copysign(1.0, latitude)
            if STEEP[0] < past < STEEP[1] and abs(scene.noon_minutes(city, date) - 720.0) > 15.0:
                found.append((city, date))
    return tuple(found)


def aim_variant(draw):
    city, date = draw.pick(days())
    place = catalogue.place(city)
    return {
        "city": city, "date": date, "day": scene.on_the_day(date), "latitude": scene.latitude_words(place),
        "longitude": scene.longitude_words(place),
        "ahead": scene.ahead_words(city, date),
    }  # fmt: skip


def at_noon(v):
    """Zenith angle and azimuth [°] of the sun at its highest."""
    height, azimuth = scene.angles(catalogue.place(v["city"]), scene.noon(v["city"], v["date"]).transit)
    return 90.0 - height, azimuth


def aim_plan(v, **change):
    zenith, azimuth = at_noon(v)
    best = {
        "stick": 150,
        "clock": round(scene.noon_minutes(v["city"], v["date"])),
        "face": "north" if math.cos(math.radians(azimuth)) > 0 else "south",
        "tilt": round(zenith, 1),
    }
    return best | {name: value(best) if callable(value) else value for name, value in change.items()}


def off_north(v, minutes) -> float:
    """Degrees by which a line along the shadow at that clock is off the true north-south line."""
    place = catalogue.place(v["city"])
    height, azimuth = scene.angles(place, scene.at_clock(place, v["date"], minutes))
    return abs((azimuth + 90.0) % 180.0 - 90.0) if height > 0 else 90.0


def aim_fault(v, plan):
    length, minutes, tilt = float(plan["stick"]), float(plan["clock"]), float(plan["tilt"])
    if not 5 <= length <= 300:
        raise ValueError(f"a stick of {length:g} cm cannot be set up: take 5 to 300 cm")
    if not 0 <= tilt <= 90:
        raise ValueError(f"a tilt goes from 0° (flat) to 90° (upright), not {tilt:g}°")
    zenith, azimuth = at_noon(v)
    if stick.reading_error(length, 90.0 - zenith) > FINE:
        return "stick-too-short"
    if off_north(v, minutes) > NORTH:
        return "clock-for-solar-noon" if abs(minutes - 720.0) < 5.0 else "not-at-noon"
    if (plan["face"] == "north") != (math.cos(math.radians(azimuth)) > 0):
        return "south-for-north"
    if abs(tilt - zenith) > TILT:
        if tilt < 3.0:
            return "overhead-in-the-tropics"
        return "elevation-for-zenith" if abs(tilt - 90.0 + zenith) < 10.0 else "tilt-off"
    return ""


AIM = Exercise(
    id="sun/aim",
    kind="plan",
    title="A stick, a line and an oven",
    variable="aim_plan",
    points=3.0,
    question=(
        "{city} ({latitude}, {longitude}; its clock {ahead}), **{day}**, a school yard, no "
        "compass. You set up a stick and draw the north line along its shadow at one moment, which you "
        "give as a clock time. The line may be up to 6° off. From the same shadow the class works out the "
        "sun's height; 1 cm misread may cost 0.6° at most. Then the oven's glass is turned to "
        "face that noon sun, its tilt right to 5°."
    ),
    fields={"stick": "cm", "clock": "clock", "face": ("north", "south"), "tilt": "°"},
    variant=aim_variant,
    answer=aim_plan,
    fault=aim_fault,
    alternatives=(
        Alternative(
            "stick-too-short",
            lambda v: aim_plan(v, stick=20),
            "With so short a stick one centimetre on the ground is several degrees in the sky. What makes a "
            "centimetre small?",
            "A pencil is at hand, and the principle is the same.",
            credit=0.25,
        ),
        Alternative(
            "clock-for-solar-noon",
            lambda v: aim_plan(v, clock=720),
            "At twelve on the clock the sun is not on the north-south line here, and so high up it moves "
            "sideways fast. When is *its* noon?",
            "'Noon' is the name of both, and at school they were the same.",
            credit=0.25,
        ),
        Alternative(
            "south-for-north",
            lambda v: aim_plan(v, face=lambda best: {"north": "south", "south": "north"}[best["face"]]),
            "Your oven turns its back on the sun. Where does it stand on *this* day: has its own latitude "
            "gone past the city's?",
            "Schoolbooks are written where the noon sun is always in the south (or always in the north).",
            credit=0.25,
        ),
        Alternative(
            "elevation-for-zenith",
            lambda v: aim_plan(v, tilt=lambda best: 90.0 - best["tilt"]),
            "You gave the glass the sun's height from the horizon. For a sun straight overhead the glass "
            "must lie flat, and flat is tilt 0. Which angle is the tilt, then?",
            "Tables and formulas give one, eyes see the other, and both are called the sun's angle.",
            credit=0.5,
        ),
        Alternative(
            "overhead-in-the-tropics",
            lambda v: aim_plan(v, tilt=0),
            "Flat would do for a sun straight overhead. How far from overhead is it on this day?",
            "'Straight overhead at noon' is what one hears of the tropics.",
            source="e.g. Trumper 2001, International Journal of Science Education (from memory)",
            credit=0.5,
        ),
    ),
    hints=(
        "First the day: on which side is the sun at its noon, how far from overhead, and when? Parts 1 and 2 "
        "tell all three, and so does the first bench.",
        "Tilt is counted from flat. A sun 20° from overhead wants a tilt of 20°.",
        "A stick of a metre or more, the sun's noon as in exercise 2 (its clock without summer time is that "
        "of 15° for each hour ahead of UTC), the sun's side, and the zenith angle as the tilt.",
    ),
)

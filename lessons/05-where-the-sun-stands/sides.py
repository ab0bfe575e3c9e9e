"""Lesson 05, where the sun stands: on which side the noon sun stands, and where the sun comes up."""

from __future__ import annotations

import math
from functools import lru_cache

from solarlab import catalogue
from solarlab.exercises import Alternative, Exercise, beside, letter_of, lettered

scene = beside(__file__, "scene")

# --- 3 side: where the noon sun of the tropics stands ---

TROPICS = (
    "Addis Ababa", "Bamako", "Dakar", "La Paz", "Lima", "Mexico City", "Mombasa", "Mumbai", "Nairobi",
    "Port-au-Prince", "Quito", "Singapore",
)  # fmt: skip


def beyond(city: str, date: str) -> bool:
    """Whether the noon sun stands on the pole's side of a city, by five degrees at least."""
    latitude = catalogue.place(city).latitude
    return abs(latitude) > 1.0 and (scene.sun_latitude(date) - latitude) * math.copysign(1.0, latitude) > 5.0


@lru_cache(maxsize=1)
def beyond_days() -> tuple[tuple[str, str], ...]:
    """Cities and dates of the year's table on which the noon sun stands on the pole's side."""
    dates = [scene.date_of(month, day) for month in range(1, 13) for day in scene.DAYS]
    return tuple((city, date) for city in TROPICS for date in dates if beyond(city, date))


def side_variant(draw):
    city, date = draw.pick(beyond_days())
    place = catalogue.place(city)
    latitude, over = place.latitude, scene.sun_latitude(date)
    right, other = ("north", "south") if over > latitude else ("south", "north")
    apart = abs(over - latitude)
    said = {
        "right": f"in the {right}, about {apart:.0f}° from straight overhead",
        "equator": f"in the {other}, about {apart:.0f}° from straight overhead",
        "overhead": "straight overhead",
        "added": f"in the {right}, about {abs(over) + abs(latitude):.0f}° from straight overhead",
    }
    words = {"city": city, "latitude": scene.latitude_words(place), "day": scene.on_the_day(date)}
    return words | lettered(draw.shuffle(said), said)


SIDE = Exercise(
    id="sun/side",
    kind="choice",
    title="Turn which way at noon?",
    variable="noon_side",
    points=1.0,
    question="{city} lies at {latitude}. On {day}, when the sun is highest there, where does it stand?",
    choices={letter: f"{{{letter}}}" for letter in "abcd"},
    variant=side_variant,
    answer=letter_of("right"),
    alternatives=(
        Alternative(
            "south-for-north",
            letter_of("equator"),
            "That would hold far from the equator. Look the sun's own latitude up: has it gone *past* this "
            "city, towards the pole?",
            "Schoolbooks are written where the noon sun is always in the south (or always in the north).",
        ),
        Alternative(
            "overhead-in-the-tropics",
            letter_of("overhead"),
            "Overhead happens on two days a year in the tropics, when the sun's own latitude is the city's. "
            "Is this one of them?",
            "'Straight overhead at noon' is what one hears of the tropics.",
            source="e.g. Trumper 2001, International Journal of Science Education (from memory)",
        ),
        Alternative(
            "latitudes-added",
            letter_of("added"),
            "Right side, but you added. City and sun are on the *same* side of the equator: how far apart "
            "are two places at 10° north and 20° north?",
            "Two numbers and the word 'north' twice: they get added.",
            credit=0.25,
        ),
    ),
    hints=(
        "Two numbers: the city's latitude, and the sun's own latitude on that day.",
        "The sun stands as many degrees from overhead as the two latitudes are apart, on the sun's side.",
    ),
)


# --- 4 rise: where the sun comes up ---

RISE_CITIES = (
    "Berlin",
    "Madrid",
    "Cairo",
    "Beijing",
    "Greensboro",
    "Phoenix",
    "Melbourne",
    "Cape Town",
    "Santiago",
)


def rise_variant(draw):
    city, month = draw.pick(RISE_CITIES), draw.pick((1, 4, 5, 6, 7, 8, 11, 12))
    place, date = catalogue.place(city), scene.date_of(month)
    return {
        "city": city, "date": date, "day": scene.on_the_day(date), "latitude": scene.latitude_words(place),
        "longitude": scene.longitude_words(place), "ahead": scene.ahead_words(city, date),
    }  # fmt: skip


@lru_cache(maxsize=4096)
def rising(city: str, date: str) -> float:
    """Azimuth of the sunrise of a city [°]."""
    return scene.angles(catalogue.place(city), scene.noon(city, date).sunrise)[1]


RISE = Exercise(
    id="sun/rise",
    kind="number",
    title="Which wall gets the first light?",
    variable="rise_azimuth",
    points=1.0,
    unit="°",
    question=(
        "{city} lies at {latitude}, {longitude}; on {day} its clock is {ahead}. In which "
        "direction does the sun come up that morning, in degrees clockwise from north? Three degrees to "
        "either side are right. (The tables of parts 1 and 3 will do; so does the first bench.)"
    ),
    variant=rise_variant,
    answer=lambda v: rising(v["city"], v["date"]),
    tolerance=(0.0, 3.0),  # the tables, read between their lines, are good to 2
    alternatives=(
        Alternative(
            "sun-rises-due-east",
            lambda v: 90.0,
            "Due east is where it comes up on two days a year, in March and in September. Which day is "
            "yours?",
            "'The sun rises in the east' is the first thing anyone learns about it.",
            source="found in many studies, e.g. Plummer 2009, J. Res. Sci. Teaching (from memory)",
        ),
        Alternative(
            "rise-for-set",
            lambda v: 360.0 - rising(v["city"], v["date"]),
            "That is where it goes down. Morning is on the other side.",
            "A line of numbers read from the wrong end.",
            credit=0.5,
        ),
        Alternative(
            "season-turned-round",
            lambda v: 180.0 - rising(v["city"], v["date"]),
            "You are as far from due east as the sun is, on the wrong side. While the sun's own latitude is "
            "north, it comes up north of east, and it does so in the whole world.",
            "In the south everything about the sun is said to be the other way round; this is not.",
            credit=0.25,
        ),
        Alternative(
            "counted-from-east",
            lambda v: abs(90.0 - rising(v["city"], v["date"])),
            "So far from due *east*, right. The question counts from north, over east: how many degrees is "
            "due east itself, and to which side of it does the sun come up that day?",
            "The table counts from east, a compass from north.",
            credit=0.5,
        ),
    ),
    hints=(
        "The sun's own latitude that day, from part 1. Then the table of part 3: how far from due east?",
        "Due east is 90°. While the sun's own latitude is north, take those degrees off; while it is south, "
        "add them. (On the first bench: the line that begins with 'up at'.)",
    ),
)

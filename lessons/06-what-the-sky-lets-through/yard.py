"""Lesson 06, what the sky lets through: hills, walls and trees round a yard, and the plan made for one."""

from __future__ import annotations

import calendar
from functools import lru_cache

import numpy as np
import pandas as pd
from pvlib import clearsky

from solarlab import catalogue, figures
from solarlab.catalogue import Place
from solarlab.exercises import Alternative, Exercise
from solarlab.plan.site import Skyline, shaded
from solarlab.sky import Sky, sky
from solarlab.sun import Instants, instants
from solarlab.table import Table

YEAR = 2026
NEAR = 12.0  # min to either side that a plan may be off
YARDS = (
    "Nairobi", "Bamako", "Dakar", "Mumbai", "Delhi", "Mexico City", "Cape Town", "Addis Ababa", "Melbourne",
)  # fmt: skip
SKIES = {  # by what is right to do: what is seen, and warm or cold as a distraction
    "cook": (
        "It is a chilly {cold} °C ({cold_f} °F), the sky deep blue, the shadow of my stick crisp",
        "We all wear coats, it is {cold} °C ({cold_f} °F); my stick's shadow is dark, with a sharp edge",
    ),
    "stove": (
        "It is {hot} °C ({hot_f} °F) and close; the whole sky is a dazzling white, my stick has no shadow",
        "We fan ourselves at {hot} °C ({hot_f} °F); the sky is bright grey all over, no shadow anywhere",
    ),
}


def haze_of(latitude: float, longitude: float, month: int) -> float:
    """The haze number of a place in the middle of a month: the Linke turbidity climatology in pvlib."""
    stamp = pd.DatetimeIndex([f"{YEAR}-{month:02d}-15 12:00"], tz="UTC")
    found = clearsky.lookup_linke_turbidity(stamp, latitude, longitude, interp_turbidity=False)
    return float(found.iloc[0])


def around(north: float, east: float, south: float, west: float) -> Skyline:
    """A skyline from heights [°] in the four directions, joined by straight lines."""
    return Skyline((0.0, 90.0, 180.0, 270.0), tuple(float(height) for height in (north, east, south, west)))


def clear_day(place: Place, date: str, step: float = 60.0) -> Sky:
    """The cloudless sky from midnight to midnight on the local clock."""
    return sky(place, instants(place, date, "00:00", "24:00", step))


def reached(here: Sky, line: Skyline) -> np.ndarray:
    """Whether the sun is up, and over the skyline, at each instant."""
    return (here.elevation > 0.0) & (here.elevation >= line.height_at(here.azimuth))


def spell(here: Sky, line: Skyline) -> tuple[int, int] | None:
    """First and last instant with sun in the yard, or ``None``."""
    found = np.flatnonzero(reached(here, line))
    return (int(found[0]), int(found[-1])) if found.size else None


def yard(latitude, longitude, ahead, month, north, east, south, west):
    """The fourth bench: the beam of a cloudless day with a free horizon and in this yard."""
    place = Place("here", float(latitude), float(longitude), 0.0, "Etc/UTC")
    midnight = np.datetime64(f"{YEAR}-{month:02d}-21", "ns") - np.timedelta64(round(ahead * 3600), "s")
    times = Instants(midnight + np.arange(289) * np.timedelta64(300, "s"), "Etc/UTC")
    wall = times.local + pd.Timedelta(hours=float(ahead))
    here, line = sky(place, times), around(north, east, south, west)
    free, mine = here.beam_normal, shaded(here, line).beam_normal
    title = f"21 {calendar.month_name[month]} in this yard: beam, W on each m² that faces the sun"
    picture = figures.powers(wall, {"in this yard": mine, "free horizon": free}, title=title)
    haze, span = haze_of(latitude, longitude, month), spell(here, line)
    if span is None:
        told = "No sun reaches this yard that day."
    else:
        first, last = (f"{wall[index]:%H:%M}" for index in span)
        lost = 100.0 * (1.0 - float(mine.sum()) / max(float(free.sum()), 1e-9))
        told = f"Sun from {first} to {last}; {lost:.0f} % of the day's beam is lost to what stands around."
        gaps = int((np.diff(reached(here, line).astype(int)) == 1).sum())
        told += f" It comes and goes: {gaps} times." if gaps > 1 else ""
    told += f"\n{100 * line.open_sky:.0f} % of the sky's own light is left. "
    told += f"Haze of place and month: {haze:.1f}."
    picture.figure.set_size_inches(9.0, 4.7)
    (axes,) = picture.figure.axes
    axes.set_position((0.085, 0.115, 0.885, 0.69))
    axes.set_ylabel("beam (W/m²)", fontsize=10)
    picture.figure.text(0.085, 0.985, told, fontsize=10, va="top", linespacing=1.35)
    return figures.Picture(picture.figure, f"{told} {picture.alt}".replace("\n", " "), picture.table, title)


def ahead_words(place: Place, date: str) -> str:
    """How the clock of a place stands to UTC that day: ``"5.5 h ahead of UTC"``."""
    noon = instants(place, date, "12:00", "12:05", 300.0).local[0]
    hours = noon.utcoffset().total_seconds() / 3600.0
    return f"{abs(hours):g} h {'ahead of' if hours > 0 else 'behind'} UTC" if hours else "that of UTC"


# --- 6 the plan ---


@lru_cache(maxsize=1024)
def sun_times_in(city: str, date: str, heights: tuple[int, ...]) -> tuple[float, float]:
    """Clock minutes at which the sun first and last shines into a city's yard."""
    here = clear_day(catalogue.place(city), date)
    first, last = spell(here, around(*heights))
    return 60.0 * float(here.times.clock[first]), 60.0 * float(here.times.clock[last])


LOW = 42.0  # °: no skyline of an exercise reaches higher


def low_sun(v) -> Table:
    """The sun of a plan's day while it is low, every half hour: on paper it answers what the bench does."""
    place = catalogue.place(v["city"])
    here = sky(place, instants(place, v["date"], "03:00", "21:00", 1800.0))
    rows = [
        (f"{when:%H:%M}", f"{azimuth:.0f}°", f"{height:.0f}°")
        for when, azimuth, height in zip(here.times.local, here.azimuth, here.elevation, strict=True)
        if 0.0 < height < LOW
    ]
    columns = ["clock", "azimuth, from north over east", "height of the sun"]
    return Table(pd.DataFrame(rows, columns=columns), f"The low sun over {v['city']}, {v['day']}")


def yard_variant(draw):
    city, month = draw.pick(YARDS), int(draw.step(1, 12, 1))
    place = catalogue.place(city)
    low, high = int(draw.step(6, 14, 2)), int(draw.step(20, 34, 2))
    east, west = (low, high) if draw.pick((0, 1)) else (high, low)
    right = draw.pick(tuple(SKIES))
    cold, hot = int(draw.step(7, 14, 1)), int(draw.step(31, 38, 1))
    seen = draw.pick(SKIES[right]).format(
        cold=cold, cold_f=round(cold * 1.8 + 32), hot=hot, hot_f=round(hot * 1.8 + 32)
    )
    return {
        "city": city, "date": f"{YEAR}-{month:02d}-21", "day": f"21 {calendar.month_name[month]}",
        "latitude": f"{abs(place.latitude):.1f}° {'north' if place.latitude >= 0 else 'south'}",
        "longitude": f"{abs(place.longitude):.1f}° {'east' if place.longitude >= 0 else 'west'}",
        "ahead": ahead_words(place, f"{YEAR}-{month:02d}-21"),
        "north": 2, "east": east, "south": 2, "west": west, "right": right, "seen": seen,
    }  # fmt: skip


def heights_of(v) -> tuple[int, ...]:
    return tuple(v[side] for side in ("north", "east", "south", "west"))


def plan_with(v, heights, do=None):
    """A plan made for those heights round the yard."""
    first, last = sun_times_in(v["city"], v["date"], tuple(heights))
    return {"from": round(first), "until": round(last), "do": do or v["right"]}


def free_plan(v):
    return plan_with(v, (0, 0, 0, 0))


def swapped_plan(v):
    return plan_with(v, (v["north"], v["west"], v["south"], v["east"]))


def about_twelve(v):
    right = plan_with(v, heights_of(v))
    return right | {"until": 1440 - right["from"]}


def other(word):
    return {"cook": "stove", "stove": "cook"}[word]


def near(plan, wanted) -> bool:
    """Whether both times of a plan are those of another."""
    return all(abs(float(plan[part]) - wanted[part]) <= NEAR for part in ("from", "until"))


def yard_fault(v, plan):
    if near(plan, plan_with(v, heights_of(v))):
        return "" if plan["do"] == v["right"] else "hot-day-hot-oven"
    for note, model in (
        ("flat-horizon", free_plan),
        ("east-and-west-swapped", swapped_plan),
        ("clock-for-solar-noon", about_twelve),
    ):
        if near(plan, model(v)):
            return note
    return "times-off"


YARD = Exercise(
    id="sky-lets-through/yard",
    kind="plan",
    title="A yard, a sky, a decision",
    variable="yard_plan",
    points=3.0,
    question=(
        "(i) A yard in {city} ({latitude}, {longitude}; its clock {ahead}), **{day}**. From where the oven "
        "stands, trees in the east reach **{east}°** above the horizon, a house in the west **{west}°**; in "
        "north and south it is {north}°, and between the four the skyline runs straight. From when until "
        "when *can* the sun shine on the oven, by the clock? Ten minutes to either side will do. (ii) A "
        "friend calls from another village, with a four-mirror box: \"Noon. {seen}.\" What do you tell her: "
        "`\"cook\"` in it, or take the `\"stove\"`?"
    ),
    fields={"from": "clock", "until": "clock", "do": tuple(SKIES)},
    variant=yard_variant,
    answer=lambda v: plan_with(v, heights_of(v)),
    fault=yard_fault,
    alternatives=(
        Alternative(
            "flat-horizon",
            free_plan,
            "That is sunrise and sunset at sea. In this yard the sun must first climb over something, and it "
            "goes behind something before it sets.",
            "Calendars and telephones give the sunrise, and for the sea it is right.",
            credit=0.25,
        ),
        Alternative(
            "east-and-west-swapped",
            swapped_plan,
            "You have the trees and the house on each other's side. On which side does the sun come up?",
            "Two numbers and four directions: they change places easily.",
            credit=0.5,
        ),
        Alternative(
            "clock-for-solar-noon",
            about_twelve,
            "Your first time is right. Then you made the day even about twelve *on the clock*. Is that when "
            "the sun is highest, and are the two sides of the yard equally high?",
            "'Noon' is the name of both, and at school they were the same.",
            credit=0.25,
        ),
        Alternative(
            "hot-day-hot-oven",
            lambda v: plan_with(v, heights_of(v), other(v["right"])),
            "The times are right. But you asked the air, and the air does not know. What does the *shadow* "
            "say?",
            "On hot days one sweats and ovens work, so the heat of the air is taken for the cause.",
            credit=0.5,
        ),
    ),
    hints=(
        "Go down the table of the low sun: in which half hour does it climb over what stands in *its* "
        "direction? (At 110°, a fifth of the way from east to south, so is the skyline.)",
        "Or put place, clock, month and the four heights into the fourth bench: it tells from when to when.",
        "For the decision look at one thing only: is there a shadow, and how dark is it?",
    ),
)

"""Lesson 09, test your own oven: a logger's clock, and a day of testing that must work in the model."""

from __future__ import annotations

from functools import lru_cache

import numpy as np

from solarlab import catalogue, trial
from solarlab.dates import MONTHS
from solarlab.exercises import Alternative, Exercise, beside
from solarlab.sun import sun_times
from solarlab.trial import stamps
from solarlab.trial import standard as rules

modelled = beside(__file__, "modelled")
clock = modelled.clock

# --- 4 clock: a clock that runs fast ---


def clock_variant(draw):
    begin, end = draw.step(480, 525, 5), draw.step(990, 1050, 5)
    fast = draw.step(15, 40, 1)
    seen = round(begin + draw.uniform(0.38, 0.66) * (end - begin + fast))
    return {"start": begin, "stop": end, "fast": fast, "seen": seen, "begin": clock(begin),
            "end": clock(end), "said": clock(end + fast), "stamp": clock(seen)}  # fmt: skip


def set_right(v):
    """The true time [min] of the stamp, by the reader of logs itself."""
    day = np.datetime64("2026-02-10T00:00", "ns")
    stamp = np.array([day + np.timedelta64(v["seen"], "m")])
    pairs = ((v["begin"], v["begin"]), (v["said"], v["end"]))
    true, _ = stamps.set_right(stamp, pairs, "UTC")
    return float((true[0] - day) / np.timedelta64(1, "s")) / 60.0


CLOCK = Exercise(
    id="own-oven/clock",
    kind="number",
    title="A clock that gains",
    variable="true_clock",
    points=1.0,
    unit="clock",
    question=(
        "Your logger's clock was set by the radio at **{begin}**. In the evening, when the radio said "
        "**{end}**, "
        "the logger said **{said}**. A reading is stamped **{stamp}**. When was it truly taken? (In quotes, "
        "such "
        'as `"12:34"`, to the minute.)'
    ),
    variant=clock_variant,
    answer=set_right,
    tolerance=(0.0, 1.5),
    alternatives=(
        Alternative(
            "clock-taken-as-it-stands",
            lambda v: float(v["seen"]),
            "That is what the logger says. By how much had it run ahead by then?",
            "What a machine prints looks exact.",
        ),
        Alternative(
            "whole-drift-at-once",
            lambda v: float(v["seen"] - v["fast"]),
            "You took off the whole evening's error. But in the morning the clock was right: how much of "
            "the day had gone by?",
            "One error was seen, so one error is taken off.",
            credit=0.5,
        ),
        Alternative(
            "drift-wrong-way",
            lambda v: 2.0 * v["seen"] - set_right(v),
            "Right size, wrong way. A clock that is fast shows a time that has not come yet.",
            "Fast sounds like more, and more like plus.",
            credit=0.5,
        ),
    ),
    hints=(
        "A steady clock gains evenly. What part of the logger's day had gone by at the stamp?",
        "That part of the whole error comes off the stamp.",
    ),
)


# --- 9 day: a day of testing ---

WEATHER = {
    "blue and still": (0.6, False),
    "blue, and the leaves never rest": (4.0, False),
    "sun and passing clouds": (0.6, True),
}
PROBES = ("in the middle of the water", "on the tray beside the pot", "on the lid of the pot")
SHADES = ("in the shade, off the ground", "in the sun beside the oven")
NEEDED = 8  # intervals that must count, on both sides of 50 K
LEAVE = 15.0  # min before the sun's ten o'clock: the water goes in


@lru_cache(maxsize=1)
def towns() -> tuple[tuple[str, str], ...]:
    """Places and dates at which the sun's noon is an hour and more after twelve."""
    asked = (
        ("Madrid", "2026-06-20"), ("Madrid", "2026-08-08"), ("Madrid", "2026-09-05"),
        ("Berlin", "2026-06-20"), ("Berlin", "2026-07-18"), ("Greensboro", "2026-05-16"),
        ("Greensboro", "2026-08-15"), ("Dakar", "2026-02-21"), ("Dakar", "2026-04-04"),
        ("Melbourne", "2026-01-17"), ("Melbourne", "2026-11-28"),
    )  # fmt: skip
    return tuple((town, date) for town, date in asked if noon(town, date) > 12 * 60 + 60)


@lru_cache(maxsize=64)
def noon(town: str, date: str) -> float:
    """Minutes after midnight on the clock at the sun's noon."""
    transit = sun_times(catalogue.place(town), date).transit
    return transit.hour * 60.0 + transit.minute + transit.second / 60.0


def load(oven: str) -> float:
    """The water that the standard asks for [kg]."""
    return rules.LOADING * trial.intercept_area(catalogue.oven(oven))


def day_variant(draw):
    town, date = draw.pick(towns())
    oven = draw.pick(("one-mirror box", "bare box", "cardboard box"))
    area = trial.intercept_area(catalogue.oven(oven))
    high = noon(town, date)
    day = f"{int(date[8:])} {MONTHS[int(date[5:7]) - 1]}"
    return {"town": town, "date": date, "day": day, "oven": oven, "area": round(area, 3), "noon": high,
            "high": clock(high)}  # fmt: skip




def day_plan(v, **change):
    plan = {
        "sky": "blue and still",
        "water": round(load(v["oven"]), 1),
        "loaded": round((v["noon"] - 120.0 - LEAVE) / 5.0) * 5,
        "probe": PROBES[0],
        "air": SHADES[0],
        "every": 10,
    }
    return plan | {name: part(v) if callable(part) else part for name, part in change.items()}


@lru_cache(maxsize=4096)
def counted(town, date, oven, weather, water, loaded):
    """Rises [K] of the intervals that count in the model, and all reasons against the others."""
    wind, passing = WEATHER[weather]
    where = catalogue.place(town)
    log = modelled.test_log(where, date, oven, water, loaded, wind=wind, passing=passing)
    table = trial.standard_power(log, where, catalogue.oven(oven), water).intervals
    kept = table[table["reason"] == ""]
    return tuple(kept["difference"])


def day_fault(v, plan):
    if plan["probe"] == PROBES[1]:
        return "oven-thermometer-shows-the-food"
    if plan["probe"] != PROBES[0]:
        return "lid-for-water"
    if plan["air"] != SHADES[0]:
        return "air-read-in-the-sun"
    if plan["sky"] != "blue and still":
        return "cloud-evens-out" if WEATHER[plan["sky"]][1] else "wind-does-not-matter"
    if not 0 < plan["every"] <= rules.INTERVAL / 60.0:
        return "readings-too-far-apart"
    share = float(plan["water"]) / load(v["oven"])
    if abs(share - 1.0) > 0.1:
        return "small-pot-quick-test" if share < 1.0 else "more-water-more-watts"
    loaded = round(float(plan["loaded"]) / 5.0) * 5
    if not 300 <= loaded <= 1020:
        return "outside-the-hours"
    rises = counted(v["town"], v["date"], v["oven"], plan["sky"], round(float(plan["water"]), 2), loaded)
    if len(rises) >= NEEDED and min(rises) < rules.AT < max(rises):
        return ""
    return "clock-for-solar-noon" if loaded < v["noon"] - 120.0 else "outside-the-hours"


DAY = Exercise(
    id="own-oven/day",
    kind="plan",
    title="A day of testing",
    variable="test_plan",
    points=3.0,
    question=(
        "{town}, {day}. The sun stands highest at **{high}** by the clock. A {oven} of **{area:.3f} m²** "
        "intercept area is to be tested with water that comes from the tap at 24 °C (75 °F), in air of 26 "
        "°C (79 °F). It stands in the sun from loading, aimed every 20 minutes. Which day do you wait for? "
        "How much water, in when, which thermometer where, and how many minutes from reading to reading? "
        "The plan works if, by the rules, at least **eight** ten-minute intervals count, on both sides of "
        "50 K."
    ),
    fields={
        "sky": tuple(WEATHER),
        "water": "kg",
        "loaded": "clock",
        "probe": PROBES,
        "air": SHADES,
        "every": "min",
    },
    variant=day_variant,
    answer=day_plan,
    fault=day_fault,
    alternatives=(
        Alternative(
            "oven-thermometer-shows-the-food",
            lambda v: day_plan(v, probe=PROBES[1]),
            "That thermometer tells you about the oven. It is the water whose warming you count.",
            "Kitchen ovens show one temperature, and recipes speak of no other.",
            credit=0.25,
        ),
        Alternative(
            "lid-for-water",
            lambda v: day_plan(v, probe=PROBES[2]),
            "The lid stands in the sun by itself and gets there long before the water does.",
            "It is the place where a probe can be fixed without a hole.",
            credit=0.25,
        ),
        Alternative(
            "air-read-in-the-sun",
            lambda v: day_plan(v, air=SHADES[1]),
            "A thermometer in the sun shows how hot a thermometer gets in the sun. Where is the air's own "
            "warmth to be read?",
            "The oven stands in the sun, so its surroundings seem to be measured there.",
            credit=0.5,
        ),
        Alternative(
            "cloud-evens-out",
            lambda v: day_plan(v, sky="sun and passing clouds"),
            "The light is measured, so one can divide by it? But the box goes on giving heat after the "
            "cloud has come. What does the rule on varying light say?",
            "Dividing by the light seems to take care of the light.",
            credit=0.25,
        ),
        Alternative(
            "wind-does-not-matter",
            lambda v: day_plan(v, sky="blue, and the leaves never rest"),
            "The sun is fine. What else takes heat off the glass all day, and what does the rule say of it?",
            "Wind cannot be seen in the light, and a closed box seems to be out of it.",
            credit=0.25,
        ),
        Alternative(
            "small-pot-quick-test",
            lambda v: day_plan(v, water=lambda v: round(0.4 * load(v["oven"]), 1)),
            "Little water is done soon, and then there are few intervals, and nobody else's oven had so "
            "little to do. How many kilograms for each square metre?",
            "Less water, less waiting.",
            credit=0.5,
        ),
        Alternative(
            "more-water-more-watts",
            lambda v: day_plan(v, water=lambda v: round(1.6 * load(v["oven"]), 1)),
            "More water stays cooler, so the oven loses less and looks better: that is why the standard "
            "fixes the load. How many kilograms for each square metre?",
            "A strong oven should show what it can lift.",
            credit=0.5,
        ),
        Alternative(
            "readings-too-far-apart",
            lambda v: day_plan(v, every=30),
            "An interval is ten minutes. What do you read at its end?",
            "Water warms slowly; one looks now and then.",
            credit=0.5,
        ),
        Alternative(
            "clock-for-solar-noon",
            lambda v: day_plan(v, loaded=600 - LEAVE),
            "The rules go by the sun, and not by the town's clock. When is it ten by the *sun* there, and "
            "how far has your water got by then?",
            "'Noon' is the name of both, and at school they were the same.",
            credit=0.5,
        ),
        Alternative(
            "outside-the-hours",
            lambda v: day_plan(v, loaded=lambda v: round((v["noon"] + 45.0) / 5.0) * 5),
            "The test ends two hours after the sun's noon. How many intervals does that leave you, and how "
            "warm is the water by then?",
            "A test begins when one has the time.",
            credit=0.5,
        ),
    ),
    hints=(
        "The load: 7 kg for each square metre of intercept area. The hours: two before the sun's noon to "
        "two after.",
        "Load a little before the first of those hours, so that the box is warm when it begins.",
    ),
)

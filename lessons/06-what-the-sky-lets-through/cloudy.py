"""Lesson 06, what the sky lets through: three exercises about cloud."""

from __future__ import annotations

import calendar
from functools import lru_cache

from solarlab import catalogue, cloud
from solarlab.exercises import Alternative, Exercise, beside, letter_of, lettered
from solarlab.oven import concentration
from solarlab.sky import sky
from solarlab.sun import instants

light = beside(__file__, "light")
real_year = beside(__file__, "real_year")
yard = beside(__file__, "yard")
LINEAR = "De Bock et al. 2007, The Illusion of Linearity (from memory)"
CITIES = ("Nairobi", "Madrid", "Bamako", "Delhi", "Cape Town", "Mexico City", "Melbourne", "Cairo", "Mumbai",
          "Lima", "Berlin", "Dakar")  # fmt: skip


@lru_cache(maxsize=1024)
def noon_of(city: str, month: int) -> tuple[float, float, float]:
    """Height of the sun [°], beam and diffuse [W/m²] of a cloudless sky at its highest on the 21st."""
    place = catalogue.place(city)
    here = sky(place, instants(place, f"{yard.YEAR}-{month:02d}-21", "10:00", "16:00", 600.0))
    top = int(here.elevation.argmax())
    return tuple(float(part[top]) for part in (here.elevation, here.beam_normal, here.diffuse_horizontal))


def day_words(month: int) -> str:
    return f"21 {calendar.month_name[month]}"


# --- 3 cloud: eighths and light ---


def cloud_variant(draw):
    city, month, eighths = draw.pick(CITIES), int(draw.step(1, 12, 1)), int(draw.step(3, 7, 1))
    height, beam, diffuse = noon_of(city, month)
    clear = light.sum_up(height, beam, diffuse)
    return {"city": city, "day": day_words(month), "eighths": eighths, "clear": round(clear)}


CLOUD = Exercise(
    id="sky-lets-through/cloud",
    kind="number",
    title="Eighths of cloud",
    variable="cloudy_light",
    points=2.0,
    unit="W/m²",
    question=(
        "{city}, {day}, noon. A cloudless sky would send **{clear} W/m²** to level ground. You count "
        "**{eighths} eighths** of the sky covered. What does the published rule (the mean of many such "
        "hours) give for the light on level ground, in W/m²?"
    ),
    variant=cloud_variant,
    answer=lambda v: v["clear"] * float(cloud.global_fraction(v["eighths"])),
    tolerance=(0.02, 0.0),
    alternatives=(
        Alternative(
            "half-cloud-half-sun",
            lambda v: v["clear"] * (1.0 - v["eighths"] / 8.0),
            "That would be right if clouds were black, stood in the way of all light, and sent none on. "
            "Look at a white cloud: where does its brightness come from?",
            "Half the sky is gone, so half the light is gone.",
            source=LINEAR,
        ),
        Alternative(
            "three-quarters-in-proportion",
            lambda v: v["clear"] * (1.0 - 0.75 * v["eighths"] / 8.0),
            "You know that even a closed sky lets a quarter through; good. But the first eighths take "
            "next to nothing and the last ones nearly all. What does the rule do to (eighths ÷ 8) before "
            "it counts it?",
            "One knows both ends and draws a straight line between.",
            source=LINEAR,
            credit=0.5,
        ),
        Alternative(
            "what-the-cloud-takes",
            lambda v: v["clear"] * (1.0 - float(cloud.global_fraction(v["eighths"]))),
            "That is what the cloud *takes*. You were asked what it lets through.",
            "The long part of the formula feels like its answer.",
            credit=0.5,
        ),
    ),
    hints=(
        "Share that is left = 1 − 0.75 × (eighths ÷ 8) to the power 3.4.",
        "Or look the share up in the table of eighths in part 4, and multiply.",
    ),
)


# --- 4 bright: a white sky over four mirrors ---


@lru_cache(maxsize=1)
def suns() -> float:
    """Times the beam of the bare glass that four mirrors make."""
    return float(concentration(catalogue.oven("four-mirror box"), 0.0, 0.0))


def bright_variant(draw):
    for _ in range(100):
        city, month = draw.pick(CITIES[:8]), int(draw.step(1, 12, 1))
        height, beam, diffuse = noon_of(city, month)
        level = light.sum_up(height, beam, diffuse)
        meter = 10 * round(draw.step(0.40, 0.55, 0.01) * level / 10)
        clear, white = (
            light.watts("four-mirror box", height, *sent) for sent in ((beam, diffuse), (0.0, float(meter)))
        )
        said = {"right": white, "gather": suns() * white, "share": clear * meter / level, "nothing": 0.0}
        if abs(said["gather"] / said["share"] - 1.0) > 0.15:  # else two letters say the same
            break
    words = {name: f"about {watts:.0f} W" for name, watts in said.items()}
    return lettered(draw.shuffle(said), words) | {
        "city": city, "day": day_words(month), "meter": meter, "clear": round(clear),
        "level": round(level),
    }  # fmt: skip


BRIGHT = Exercise(
    id="sky-lets-through/bright",
    kind="choice",
    title="A white sky over four mirrors",
    variable="bright_watts",
    points=1.0,
    question=(
        "{city}, {day}, noon. On a cloudless day the level meter reads {level} W/m², and the four-mirror "
        "box lets in {clear} W. Today the whole sky is so white that people screw up their eyes. The "
        "meter still reads **{meter} W/m²**. A stick has **no shadow**. What does the box let in?"
    ),
    choices={letter: f"{{{letter}}}" for letter in "abcd"},
    variant=bright_variant,
    answer=letter_of("right"),
    alternatives=(
        Alternative(
            "mirrors-gather-cloud-light",
            letter_of("gather"),
            "You let the mirrors do what they do in the sun. But grey light comes from everywhere. A "
            "mirror shows the glass one piece of sky: which piece does it hide?",
            "A mirror is thought of as an amplifier: so and so many times, whatever comes.",
        ),
        Alternative(
            "bright-sky-strong-sky",
            letter_of("share"),
            "So much less on the meter, so much less in the box: that would be fair if it were the same "
            "kind of light. What did the meter read *from the sun itself* on the clear day, and what "
            "today?",
            "What dazzles must be strong, and a meter seems to settle it.",
        ),
        Alternative(
            "no-shadow-no-light",
            letter_of("nothing"),
            "Can you read a book under that sky? Then light falls on the glass, too.",
            "No sun, no solar oven.",
        ),
    ),
    hints=(
        "No shadow: so all of the meter's light is diffuse.",
        "The glass of the four-mirror box is 0.21 m². It gets what its own size gets, and loses some on "
        "the way in.",
    ),
)


# --- 5 spread: not one number ---


def spread_variant(draw):
    tenths = int(draw.step(3, 8, 1))
    low, high = (40, 90) if tenths < 7 else (30, 60)  # where some hours lie on either side
    return {"tenths": tenths, "least": int(draw.step(low, high, 10))}


def spread_right(v):
    return real_year.chance(v["tenths"], v["least"])


SPREAD = Exercise(
    id="sky-lets-through/spread",
    kind="number",
    title="How often is it enough?",
    variable="hours_of_100",
    points=2.0,
    question=(
        "Take Greensboro's year as it was, all months. Of 100 hours with **{tenths} tenths** of the sky "
        "covered, how many had at least **{least} %** of a cloudless sky's beam? Three to either side are "
        "right."
    ),
    variant=spread_variant,
    answer=spread_right,
    tolerance=(0.0, 3.0),
    alternatives=(
        Alternative(
            "half-cloud-half-sun",
            lambda v: 100.0 - 10.0 * v["tenths"],
            "You turned cloud into sun by taking it off. Count hours instead: which lines of the table are "
            "strong enough?",
            "Half the sky is gone, so half the light is gone.",
            source=LINEAR,
        ),
        Alternative(
            "one-number-for-every-hour",
            lambda v: 100.0 if 100.0 * real_year.beams(v["tenths"]).mean() >= v["least"] else 0.0,
            "You asked the mean hour only. Hours do not know it: some lie far above it, some far below. How "
            "many of them on the side you want?",
            "A mean is given as 'the' value, so every hour seems to have it.",
            source="e.g. Konold & Pollatsek 2002, J. Res. Math. Education (from memory)",
        ),
        Alternative(
            "the-other-hours",
            lambda v: 100.0 - spread_right(v),
            "Those are the hours that had *less*. Which side of the line was asked for?",
            "The two sides of a line change places easily.",
            credit=0.5,
        ),
    ),
    hints=(
        "The column of your tenths. Find the line that begins at your percentage.",
        "Add up the numbers on that line and on all below it. (On the second bench: that bar, and all to "
        "its right.)",
    ),
)

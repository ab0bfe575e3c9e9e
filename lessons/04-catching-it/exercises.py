"""Lesson 04, catching it: its exercises as data.  solarlab computes the answers when they are asked for."""

from __future__ import annotations

import math

import numpy as np

from solarlab import catalogue
from solarlab.exercises import Alternative, Exercise, beside
from solarlab.oven import incidence

benches = beside(__file__, "benches")
scene = beside(__file__, "scene")
workshop = beside(__file__, "workshop")
code_track = beside(__file__, "code_track")
LINEAR = "De Bock, Van Dooren, Janssens & Verschaffel 2007, The Illusion of Linearity (from memory)"
REFLECTANCE = scene.mirrors.REFLECTANCE
NUMBER = {"one": 1, "two": 2, "four": 4}

# --- 1 pane: a flat pane in slanting light ---


def pane_variant(draw):
    tilt = draw.step(20, 26, 1)
    off = draw.step(50, 58, 2)  # of which the lesson tells the cosine
    return {
        "area": draw.step(0.15, 0.6, 0.05),
        "beam": draw.step(600, 950, 50),
        "tilt": tilt,
        "height": 90 - tilt - off,
    }


def pane_off(v):
    """Degrees between the sun and straight onto the pane, both to the south."""
    height = math.radians(v["height"])
    sun = np.array([[0.0, -math.cos(height), math.sin(height)]])
    across, along = incidence(sun, float(v["tilt"]), 180.0)
    return float(np.hypot(across[0], along[0]))


def on_pane(degrees):
    return lambda v: v["area"] * v["beam"] * math.cos(math.radians(degrees(v)))


PANE = Exercise(
    id="catching-it/pane",
    kind="number",
    title="A pane in slanting light",
    variable="pane_watts",
    points=2.0,
    unit="W",
    question=(
        "A bare pane of **{area:g} m²** is turned towards the side where the sun is and tilted "
        "**{tilt:.0f}°** "
        "up from level. The sun stands **{height:.0f}°** above the horizon. Straight into the beam a square "
        "metre would get **{beam:.0f} W**. How many watts of the beam fall on the pane?"
    ),
    variant=pane_variant,
    answer=on_pane(pane_off),
    tolerance=(0.02, 0.0),
    alternatives=(
        Alternative(
            "area-without-cosine",
            on_pane(lambda v: 0.0),
            "That would be right if the pane looked straight at the sun. It does not: by how many degrees is "
            "it off? Slanting light spreads over more glass.",
            "Area times watts per square metre: the units come out, so it looks finished.",
        ),
        Alternative(
            "pane-taken-as-level",
            on_pane(lambda v: 90.0 - v["height"]),
            "That is the light on a pane lying *flat*. Yours is tilted towards the sun already (or is it? "
            "then look at your sum again).",
            "The sun's height is given, and the second angle is forgotten.",
            credit=0.5,
        ),
        Alternative(
            "sine-for-cosine",
            lambda v: v["area"] * v["beam"] * math.sin(math.radians(pane_off(v))),
            "You have the right angle and the wrong side of the triangle. Try it with a pane that looks "
            "straight at the sun: what must come out?",
            "Sine and cosine trade places whenever an angle is measured from the other line.",
            credit=0.5,
        ),
        Alternative(
            "tilt-alone",
            on_pane(lambda v: float(v["tilt"])),
            "The tilt says how the pane stands to the *ground*. The sun does not look at the ground. What is "
            "the angle between sun and pane?",
            "The tilt is the angle one sets, so it is taken for the angle that counts.",
            credit=0.25,
        ),
    ),
    hints=(
        "A pane tilted by 90° minus the sun's height looks straight at the sun. How far is yours from that?",
        "Area × watts × the cosine of the degrees it is off. The cosines are in the table of slanting light.",
    ),
)


# --- 2 mirrors: what they add ---


def mirrors_variant(draw):
    return {
        "count": draw.pick(("two", "four")),
        "length": draw.pick((0.5, 0.75, 1.0, 1.25)),
        "flare": draw.step(18, 32, 1),
    }


def with_mirrors(v):
    return scene.mirrors.light_on_glass(v["count"], v["length"], v["flare"])


MIRRORS = Exercise(
    id="catching-it/mirrors",
    kind="number",
    title="What mirrors add",
    variable="mirror_times",
    points=2.0,
    question=(
        "A square glass faces the sun. It has **{count}** mirrors, as wide as the glass and **{length:g} "
        "times** as long, leaning out by **{flare:.0f}°**. The sheet throws back 80 % of the light. How many "
        "times as much light falls on the glass as with no mirror? Two decimals. (Work it out, or build it "
        "on the first bench.)"
    ),
    variant=mirrors_variant,
    answer=with_mirrors,
    tolerance=(0.03, 0.0),
    alternatives=(
        Alternative(
            "mirrors-add-their-whole-area",
            lambda v: 1.0 + NUMBER[v["count"]] * v["length"] * REFLECTANCE,
            "You counted the whole sheet. But the sun sees a leaning mirror from the side: how "
            "*wide* does it "
            "look from up there? And does all that it catches reach the glass?",
            "A square metre of mirror seems to be worth a square metre of glass.",
        ),
        Alternative(
            "forgot-the-glass-itself",
            lambda v: with_mirrors(v) - 1.0,
            "That is what the mirrors *add*. What does the glass get without them?",
            "One thinks so hard about the mirrors that the sun itself is left out.",
            credit=0.5,
        ),
        Alternative(
            "sheet-loses-nothing",
            lambda v: 1.0 + (with_mirrors(v) - 1.0) / REFLECTANCE,
            "A perfect mirror would do that. How much does this one throw back?",
            "A thing that dazzles seems to throw back everything.",
            credit=0.5,
        ),
        Alternative(
            "one-mirror-counted",
            lambda v: 1.0 + (with_mirrors(v) - 1.0) / NUMBER[v["count"]],
            "That is one mirror. How many are there?",
            "The sum is done for one, and the last step slips.",
            credit=0.5,
        ),
    ),
    hints=(
        "On the first bench: set mirrors, length and flare, and leave the sun straight on.",
        "Each mirror adds 0.8 × (the smaller of length × sin(flare) and cos(2 × flare)).",
    ),
)


# --- 3 drift: the cosine is not all ---


def drift_variant(draw):
    name = draw.pick(("four-mirror box", "one-mirror box"))
    return {"oven": name, "minutes": 4 * draw.step(12, 30, 1), "at": draw.pick((10, 11, 12, 13))}


def drift_degrees(v):
    return v["minutes"] * scene.DEGREES_PER_MINUTE


DRIFT = Exercise(
    id="catching-it/drift",
    kind="number",
    title="While you were talking",
    variable="drift_percent",
    points=2.0,
    unit="%",
    question=(
        "Your {oven} was aimed straight at the sun at {at}:00. Then somebody asked you something, and it was "
        "not touched for **{minutes:.0f} minutes**. The sun moves sideways across the glass, a quarter of a "
        "degree each minute. How many *percent less* light falls on the glass now than if it were "
        "aimed again?"
    ),
    variant=drift_variant,
    answer=lambda v: 100.0 - scene.kept(v["oven"], drift_degrees(v)),
    tolerance=(0.0, 1.5),
    alternatives=(
        Alternative(
            "mis-aim-costs-only-the-cosine",
            lambda v: 100.0 * (1.0 - math.cos(math.radians(drift_degrees(v)))),
            "That is a bare pane. But mirrors must *hit* the glass, and when the sun turns by one "
            "degree, the "
            "light off a mirror turns by one degree the other way. Look in the column of your box.",
            "The cosine is so forgiving, and it is the rule one learns for flat panels.",
        ),
        Alternative(
            "what-is-left",
            lambda v: scene.kept(v["oven"], drift_degrees(v)),
            "That is what is *left*. You were asked what is lost.",
            "Tables give one, questions ask for the other.",
            credit=0.5,
        ),
        Alternative(
            "a-degree-a-minute",
            lambda v: 100.0 - scene.kept(v["oven"], min(drift_degrees(v) * 4.0, 80.0)),
            "The sun is not so quick. It takes 24 hours for 360°: how many degrees in your minutes?",
            "Minutes and degrees both come in sixties.",
            credit=0.25,
        ),
    ),
    hints=(
        "From minutes to degrees first.",
        "Then the drift table, in the column of your box; between rows.",
    ),
)


# --- 4 grey: an even grey sky ---


def grey_variant(draw):
    return {"meter": draw.step(90, 280, 10), "tilt": draw.step(15, 45, 5), "oven": "four-mirror box"}


def glass_area(v):
    made = catalogue.oven(v["oven"])
    return made.aperture_width * made.aperture_length


GREY = Exercise(
    id="catching-it/grey",
    kind="number",
    title="Mirrors under a grey sky",
    variable="grey_watts",
    points=1.0,
    unit="W",
    question=(
        "The whole sky is one even grey. A light meter that lies level reads **{meter:.0f} W/m²**. Your "
        "four-mirror box (glass 0.46 m × 0.46 m) is tilted {tilt:.0f}°. About how many watts of "
        "light fall on "
        "its *glass*? One part in eight to either side is right."
    ),
    variant=grey_variant,
    answer=lambda v: scene.grey_light(v["oven"], v["tilt"], v["meter"]),
    tolerance=(0.125, 0.0),
    alternatives=(
        Alternative(
            "mirrors-gather-cloud-light",
            lambda v: scene.four_times() * glass_area(v) * v["meter"],
            "You let the mirrors do what they do in the sun. But grey light comes from everywhere. A mirror "
            "shows the glass one piece of sky: which piece does it hide?",
            "A mirror is thought of as an amplifier: so and so many times, whatever comes.",
        ),
        Alternative(
            "no-shadow-no-light",
            lambda v: 0.0,
            "Can you read a book under that sky? Then light falls on the glass, too.",
            "No sun, no solar oven.",
        ),
        Alternative(
            "forgot-the-pane-s-size",
            lambda v: float(v["meter"]),
            "That would be a whole square metre of glass. How large is yours?",
            "The meter's number is in watts, and one stops reading there.",
            credit=0.5,
        ),
    ),
    hints=(
        "Whatever piece of sky a mirror shows to the glass, it hides another.",
        "So the glass gets what its own size gets, and a little less: area × meter, nearly.",
    ),
)


# --- 5 tilt: at this hour ---

TILT_DAYS = (
    ("Madrid", "2026-06-21"), ("Madrid", "2026-09-21"), ("Delhi", "2026-05-15"), ("Cape Town", "2026-01-15"),
    ("Nairobi", "2026-08-15"), ("Melbourne", "2026-11-15"), ("Greensboro", "2026-04-21"),
)  # fmt: skip


def tilt_variant(draw):
    place, date = draw.pick(TILT_DAYS)
    minutes = int(draw.step(480, 900, 30))
    height = scene.sun_height(place, date, minutes)
    return {
        "place": place,
        "day": scene.on_the_day(date),
        "clock": scene.clock(minutes),
        "height": round(height),
        "latitude": round(abs(catalogue.place(place).latitude)),
    }


TILT = Exercise(
    id="catching-it/tilt",
    kind="number",
    title="The tilt for this hour",
    variable="hour_tilt",
    points=1.0,
    unit="°",
    question=(
        "In {place} (latitude {latitude}°) on {day} at {clock} the sun stands **{height}°** above the "
        "horizon. You have turned the oven to it. At which tilt, up from level, does the glass look straight "
        "at the sun? Two degrees to either side are right."
    ),
    variant=tilt_variant,
    answer=lambda v: 90.0 - v["height"],
    tolerance=(0.0, 2.0),
    alternatives=(
        Alternative(
            "tilt-equals-latitude",
            lambda v: float(v["latitude"]),
            "That is the rule for panels on a roof, which nobody ever moves: a compromise for a whole year. "
            "You have hands. Where is the sun *now*?",
            "It is printed in every leaflet on solar panels.",
        ),
        Alternative(
            "height-for-tilt",
            lambda v: float(v["height"]),
            "Take a high sun, nearly overhead: should the glass stand steep, or lie flat?",
            "One angle is given, so it is used.",
            credit=0.25,
        ),
        Alternative(
            "flat-is-best",
            lambda v: 0.0,
            "A flat glass looks straight up. Is the sun straight up?",
            "A pot must stand level, so the oven seems to have to.",
        ),
    ),
    hints=(
        "Sun overhead: tilt 0. Sun on the horizon: tilt 90. And in between?",
        "Tilt and height of the sun make 90° together.",
    ),
)

LESSON = (PANE, MIRRORS, DRIFT, GREY, TILT, *workshop.EXERCISES, *code_track.EXERCISES)

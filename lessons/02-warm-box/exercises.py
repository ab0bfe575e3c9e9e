"""Lesson 02, the warm box: its exercises as data.  solarlab computes the answers when they are asked for."""

from __future__ import annotations

import numpy as np

from solarlab import catalogue
from solarlab.exercises import Alternative, Exercise, beside

benches = beside(__file__, "benches")
scene = beside(__file__, "scene")
workshop = beside(__file__, "workshop")
code_track = beside(__file__, "code_track")
LINEAR = "De Bock, Van Dooren, Janssens & Verschaffel 2007, The Illusion of Linearity (from memory)"
BOXES = ("bare box", "one-mirror box", "cardboard box")

# --- 1 hot: a hot day ---


def hot_variant(draw):
    air = draw.step(4, 16, 1)
    v = {
        "oven": draw.pick(("bare box", "cardboard box")),
        "sun": draw.step(0.6, 1.0, 0.1),
        "air": air,
        "hot": air + draw.step(23, 27, 1),
    }
    return v | {"settled": round(hot_end(v, v["air"])), "hot_f": round(v["hot"] * 1.8 + 32)}


def hot_end(v, air):
    return scene.settles(v["oven"], sun=v["sun"], air=air)


HOT = Exercise(
    id="warm-box/hot",
    kind="number",
    title="A hot day",
    variable="hot_settles",
    points=1.0,
    unit="°C",
    question=(
        "An empty {oven} stands in a steady sun. The air is at **{air:.0f} °C**, and the box settles at "
        "**{settled} °C**. On another day the sun and the wind are the same, but the air is at **{hot_f} "
        "°F**. Where does the box settle, in °C? Eight degrees to either side are right."
    ),
    variant=hot_variant,
    answer=lambda v: hot_end(v, v["hot"]),
    tolerance=(0.0, 8.0),
    alternatives=(
        Alternative(
            "hot-day-hot-oven",
            lambda v: v["settled"] * v["hot"] / v["air"],
            "You let the box grow hotter by the same *factor* as the air. But the sun pays for the rise "
            "above the air, and the sun is the same. What does the weather give the box: a factor, or a "
            "start?",
            "On hot days one sweats and ovens work, so the heat of the air is taken for the cause.",
            source=LINEAR,
        ),
        Alternative(
            "air-does-not-count",
            lambda v: v["settled"],
            "The box does notice. It loses heat by how much *hotter than the air* it is.",
            "Once told that the sun does the heating, people forget the air.",
            credit=0.25,
        ),
        Alternative(
            "air-taken-off",
            lambda v: v["settled"] - (v["hot"] - v["air"]),
            "Right size, wrong way. Does a box lose more, or less, when the air around it is warm?",
            "A difference is found, and its sign is lost.",
            credit=0.25,
        ),
    ),
    hints=(
        "Turn °F into °C first: it is a reading.",
        "The same sun pays for nearly the same rise above the air.",
    ),
)


# --- 2 wool: twice the insulation ---


def wool_variant(draw):
    v = {
        "oven": draw.pick(BOXES),
        "sun": draw.step(0.7, 1.0, 0.05),
        "air": draw.step(10, 35, 5),
        "wind": draw.pick((1.0, 2.0, 4.0)),
    }
    return v | {"settled": round(wool_end(v, 1.0)), "watts": round(scene.kept_light(v["oven"], v["sun"]))}


def wool_end(v, wool):
    return scene.settles(v["oven"], sun=v["sun"], air=v["air"], wind=v["wind"], wool=wool)


WOOL = Exercise(
    id="warm-box/wool",
    kind="number",
    title="Twice the wool",
    variable="wool_settles",
    points=2.0,
    unit="°C",
    question=(
        "Your {oven}, with the air at **{air:.0f} °C**, keeps **{watts} W** of sunlight and settles at "
        "**{settled} °C**; the table below says what it loses at each temperature. You put twice the wool "
        "into its walls, so at any temperature they let through *half* of what the table says. Where does "
        "the box settle now?"
    ),
    variant=wool_variant,
    answer=lambda v: wool_end(v, 2.0),
    tolerance=(0.0, 4.0),
    alternatives=(
        Alternative(
            "doubling-insulation-doubles-the-rise",
            lambda v: 2 * v["settled"] - v["air"],
            "You doubled the rise, as if all heat left through the walls. Which way out did you not "
            "touch? It lies on top, and one can see through it.",
            "Insulation is what people buy to keep warm; nobody thinks of glass as a hole.",
            source=LINEAR,
        ),
        Alternative(
            "walls-gone",
            lambda v: wool_end(v, 1000.0),
            "That is a box whose walls lose nothing. Yours still lose half of what they did.",
            "Well insulated is heard as sealed.",
            credit=0.5,
        ),
        Alternative(
            "wool-is-worth-nothing",
            lambda v: v["settled"],
            "The glass is the bigger hole, true, but the walls are one, too. Add up the losses at this "
            "temperature with the walls halved: do they still use up the sunlight?",
            "After hearing that the glass is the hole, people write the walls off.",
            credit=0.25,
        ),
    ),
    hints=(
        "Settled means: what comes in equals what goes out.",
        "For each row: half of the walls' watts, plus the glass's watts. In which row do you find your "
        "sunlight?",
    ),
)


def wool_losses(v):
    """The table that goes with the learner's own `WOOL`."""
    low = int(10 * np.floor(v["settled"] / 10.0))
    return scene.balance_table(low - 10, low + 60, v["oven"], air=v["air"], wind=v["wind"])


# --- 3 lid: one look ---


def lid_variant(draw):
    v = {
        "oven": draw.pick(("bare box", "one-mirror box", "four-mirror box")),
        "sun": draw.step(0.6, 1.0, 0.1),
        "seconds": draw.step(50, 70, 10),
        "air": draw.step(15, 35, 10),
    }
    before, _, watts, _ = lid(v)
    capacity = float(catalogue.oven(v["oven"]).cavity_heat_capacity)
    return v | {"before": round(before), "watts": round(watts, -1), "joules": round(capacity, -1)}


def lid(v):
    return scene.opened(v["oven"], seconds=v["seconds"], sun=v["sun"], air=v["air"])


LID = Exercise(
    id="warm-box/lid",
    kind="number",
    title="One look under the lid",
    variable="lid_drop",
    points=2.0,
    question=(
        "An empty {oven} has settled at **{before} °C**; the air is at {air:.0f} °C. You open the lid for "
        "**{seconds:.0f} seconds**. Wide open it loses about **{watts:.0f} W**, by air that pours out and "
        "by hot walls that glow and are fanned, and no sunlight is kept. To warm walls, tray and air by "
        "one degree C takes **{joules:.0f} J**. By how many degrees C does the box fall? (It is a "
        "difference: write only the number.)"
    ),
    variant=lid_variant,
    answer=lambda v: lid(v)[1],
    tolerance=(0.15, 0.0),
    alternatives=(
        Alternative(
            "lid-loses-only-the-air",
            lambda v: lid(v)[3] / catalogue.oven(v["oven"]).cavity_heat_capacity,
            "You let the air out once, and that is all. A boxful of air holds very little heat. The walls "
            "stay behind, but they see the open sky, and wind blows over them.",
            "What pours out in your face is air, so air must be what is lost.",
        ),
        Alternative(
            "all-is-gone",
            lambda v: v["before"] - v["air"],
            "You let it fall all the way to the air outside. Walls and tray are still hot when you shut "
            "the lid.",
            "It feels as if all the heat came out at once.",
        ),
        Alternative(
            "sun-missed-only",
            lambda v: scene.kept_light(v["oven"], v["sun"]) * v["seconds"]
            / catalogue.oven(v["oven"]).cavity_heat_capacity,
            "You counted the sunlight that was missed. Much more goes *out* than would have come in.",
            "Standing in the light of one's own oven is the visible part.",
            credit=0.25,
        ),
    ),
    hints=(
        "A watt is a joule each second. How many joules left?",
        "Watts times seconds, divided by the joules for one degree.",
    ),
)  # fmt: skip


# --- 4 tau: a warm-up curve ---


def tau_variant(draw):
    v = {
        "oven": draw.pick(scene.OVENS),
        "sun": draw.step(0.7, 1.0, 0.1),
        "air": draw.step(20, 28, 2),
        "wool": draw.pick((0.5, 1.0, 2.0)),
    }
    return v | {"end": round(scene.settles(**kind(v)))}


def kind(v):
    return {name: v[name] for name in ("oven", "sun", "air", "wool")}


TAU = Exercise(
    id="warm-box/tau",
    kind="number",
    title="The time constant",
    variable="tau_minutes",
    points=2.0,
    unit="min",
    question=(
        "A logger lay in an empty box while it warmed up from the air's **{air:.0f} °C**. In the end it "
        "settled at **{end} °C**. Its readings are below. What is the box's time constant, in minutes?"
    ),
    variant=tau_variant,
    answer=lambda v: scene.minutes_to_share(1 - np.exp(-1), **kind(v)),
    tolerance=(0.05, 0.0),
    alternatives=(
        Alternative(
            "half-way-is-the-constant",
            lambda v: scene.minutes_to_share(0.5, **kind(v)),
            "That is when half of the rise was made. The time constant asks for a little more: 63 %.",
            "Half-lives are better known than time constants.",
            credit=0.5,
        ),
        Alternative(
            "until-it-stands-still",
            lambda v: scene.minutes_to_share(0.95, **kind(v)),
            "You waited until the curve was nearly flat. That is about three time constants.",
            "How long it takes, to most people, means until it is finished.",
            credit=0.25,
        ),
        Alternative(
            "share-of-the-reading",
            lambda v: scene.minutes_to_share(
                (0.632 * v["end"] - v["air"]) / (v["end"] - v["air"]), **kind(v)
            ),
            "You took 63 % of the *reading*. The box did not start at nought: it is 63 % of the *rise* "
            "above the air.",
            "A percentage is taken of the number that stands there.",
            credit=0.5,
        ),
    ),
    hints=(
        "How big is the whole rise, from the air to the end? And 63 % of it?",
        "Add 63 % of the rise to the air's temperature, and look up when the box passed that.",
    ),
)


def tau_readings(v):
    """The logger's table that goes with the learner's own `TAU`."""
    return scene.curve_table(v["oven"], every=4, until=112, sun=v["sun"], air=v["air"], wool=v["wool"])


# --- 7 why: an explanation for a person to read ---

WHY = Exercise(
    id="warm-box/why",
    kind="explanation",
    title="At the cold, bright window",
    variable="why",
    points=4.0,
    question=(
        "The Carpenter, the Skier and the Cook from the top of this lesson want an answer. Give it, in "
        "five to ten sentences."
    ),
    rubric=(
        (1.0, "Says what settles: gains equal losses, and losses grow with the rise above the air."),
        (
            1.0,
            "Says why a hot day helps little: the same sun pays for about the same rise; with two numbers "
            "from one pair of runs.",
        ),
        (
            1.0,
            "Says where most of the heat leaves, from a ledger, and why more wool alone is soon worth "
            "little.",
        ),
        (1.0, "Holds own bets against the run, and says what it had missed."),
    ),
)

LESSON = (HOT, WOOL, LID, TAU, *workshop.EXERCISES, WHY, *code_track.EXERCISES)

"""Lesson 02, the warm box: what to mend first, and a box to be built for a handful of coins."""

from __future__ import annotations

import math
from functools import lru_cache

from solarlab.exercises import Alternative, Exercise, beside, letter_of, lettered

scene = beside(__file__, "scene")

# --- 5 mend: what to mend first ---

MEND = {
    "pane": "a second pane above the first",
    "wool": "twice the wool in the walls",
    "calm": "a hedge, so that the wind at the box is 1 m/s",
    "hot": "waiting for a day on which the air is {warmer:.0f} °C warmer",
}


def mend_variant(draw):
    order = draw.shuffle(MEND)
    v = {
        "oven": draw.pick(("bare box", "one-mirror box", "four-mirror box", "cardboard box")),
        "wind": draw.pick((2.0, 3.0, 4.0, 6.0)),
        "air": draw.step(10, 30, 5),
        "warmer": draw.pick((6, 8)),
    }
    words = {name: text.format(**v) for name, text in MEND.items()}
    return v | lettered(order, words)


def mend_ends(v):
    base = {"oven": v["oven"], "panes": 1, "wind": v["wind"], "air": v["air"]}
    changes = {
        "pane": {"panes": 2},
        "wool": {"wool": 2.0},
        "calm": {"wind": 1.0},
        "hot": {"air": v["air"] + v["warmer"]},
    }
    return {name: scene.settles(**(base | change)) for name, change in changes.items()}


def mend_answer(v):
    ends = mend_ends(v)
    return letter_of(max(ends, key=ends.get))(v)


def other_skin(v):
    """Of pane and hedge, both of which look after the glass, the one that helps less."""
    ends = mend_ends(v)
    return letter_of(min(("pane", "calm"), key=ends.get))(v)


MENDING = Exercise(
    id="warm-box/mend",
    kind="choice",
    title="What to mend first",
    variable="mend_first",
    points=1.0,
    question=(
        "A {oven} with a *single* pane stands in a clear noon sun. Air {air:.0f} °C, wind {wind:.0f} m/s. "
        "Which one change lets it settle hottest? (The first bench knows.)"
    ),
    choices={letter: f"{{{letter}}}" for letter in "abcd"},
    variant=mend_variant,
    answer=mend_answer,
    alternatives=(
        Alternative(
            "hot-day-hot-oven",
            letter_of("hot"),
            "A warmer day lifts the box by about what the air is warmer, and no more. Try the others.",
            "On hot days one sweats and ovens work, so the heat of the air is taken for the cause.",
        ),
        Alternative(
            "doubling-insulation-doubles-the-rise",
            letter_of("wool"),
            "Wool helps where there is wool. Where does most of the heat leave this box? Ask the second "
            "bench.",
            "Insulation is what people buy to keep warm; nobody thinks of glass as a hole.",
        ),
        Alternative(
            "wrong-cover-for-the-glass",
            other_skin,
            "You look after the glass, and that is the right place. But of pane and hedge, which does "
            "more *here*? Try both on the bench, with your wind.",
            "Wind is felt on the skin; a still sheet of air is not felt at all.",
            credit=0.5,
        ),
    ),
    hints=(
        "Set the first bench to your box with one pane, your wind and your air, and write down where it "
        "settles.",
        "Which of the four changes does something about the biggest loss?",
    ),
)


# --- 6 build: a plan with a budget ---

PANE, HEDGE, CENTIMETRE = 20, 6, 6  # coins
CONDUCTIVITY, OUTSIDE, BRIDGES = 0.040, 0.125, 1.3  # W/(m K), m² K/W, 1: as data/ovens.toml sums its walls
WINDY, SHELTERED = 6.0, 1.0  # m/s
LOOK = 30.0  # s


@lru_cache(maxsize=4096)
def temperature(panes: int, wool: int, hedge: bool, minutes: int, looks: int, air: float) -> float:
    """The box [°C] so many minutes after it was set out, after ``looks`` under the lid in the last half
    hour.
    """
    wall = BRIDGES / (wool / 100.0 / CONDUCTIVITY + OUTSIDE)
    made = scene.box("bare box", panes=panes)
    made = scene.replace(made, wall_conductance=wall)
    openings = [minutes - 30.0 + 30.0 * n / looks for n in range(looks)]
    warming = scene.warm_up(
        made,
        scene.clear_noon("bare box", panes),
        air=air,
        wind=SHELTERED if hedge else WINDY,
        hours=minutes / 60.0,
        step=60.0,
        openings=openings,
        seconds=LOOK,
    )
    return float(warming.cavity[-1])


def build_plan(v, **change):
    best = {
        "panes": 2,
        "wool": 5,
        "hedge": "yes",
        "out": v["show"] - 120,
        "looks": 0,
    }
    return best | {name: value(v) if callable(value) else value for name, value in change.items()}


def coins(plan):
    return PANE * (plan["panes"] - 1) + CENTIMETRE * plan["wool"] + HEDGE * (plan["hedge"] == "yes")


def reached(v, plan):
    return temperature(
        int(plan["panes"]), int(plan["wool"]), plan["hedge"] == "yes", round(v["show"] - plan["out"]),
        int(plan["looks"]), float(v["air"]),
    )  # fmt: skip


def build_variant(draw):
    show = draw.step(10 * 60 + 30, 12 * 60, 30)
    v = {"air": draw.step(0, 30, 5), "budget": draw.step(56, 61, 1), "show": show}
    goal = math.floor(reached(v, build_plan(v)) - 2.5)
    return v | {
        "goal": goal,
        "goal_f": round(goal * 1.8 + 32),
        "early": scene.clock(show - 150),
        "clock": scene.clock(show),
    }


def build_fault(v, plan):
    for name, low, high in (("panes", 1, 2), ("wool", 1, 20), ("looks", 0, 6)):
        if not low <= plan[name] <= high or plan[name] != int(plan[name]):
            raise ValueError(f"{name} goes from {low} to {high}, in whole numbers; {plan[name]:g} is not one")
    if coins(plan) > v["budget"]:
        return "over-the-budget"
    if not v["show"] - 150 <= plan["out"] <= v["show"] - 1:
        return "box-heats-at-once"
    if reached(v, plan) >= v["goal"]:
        return ""
    if plan["looks"] > 0 and reached(v, plan | {"looks": 0}) >= v["goal"]:
        return "lid-loses-only-the-air"
    if reached(v, plan | {"out": v["show"] - 120, "looks": 0}) >= v["goal"]:
        return "box-heats-at-once"
    if plan["panes"] < 2:
        return "doubling-insulation-doubles-the-rise"
    return "wool-is-worth-nothing" if plan["hedge"] == "yes" else "wind-does-not-matter"


BUILD = Exercise(
    id="warm-box/build",
    kind="plan",
    title="A box for a handful of coins",
    variable="build_plan",
    points=3.0,
    question=(
        "You build a box with the measures of our bare box, for a clear noon, air {air:.0f} °C, on a hill "
        "with a wind of 6 m/s. One pane and the wood are there. You have **{budget:.0f} coins**: a second "
        "pane costs 20, a hedge of reeds that stills the wind to 1 m/s costs 6, and each centimetre of "
        "wool in the walls (1 to 20) costs 6. At **{clock}** the empty box must show **{goal} °C "
        "({goal_f} °F)**. It may go into the sun from {early} on, and you may look under the lid, half a "
        "minute each, in the last half hour (0 to 6 times). Take the sun as steady."
    ),
    fields={"panes": "", "wool": "", "hedge": ("yes", "no"), "out": "clock", "looks": ""},
    variant=build_variant,
    answer=build_plan,
    fault=build_fault,
    alternatives=(
        Alternative(
            "doubling-insulation-doubles-the-rise",
            lambda v: build_plan(
                v, panes=1, hedge="yes", wool=lambda v: int((v["budget"] - HEDGE) // CENTIMETRE)
            ),
            "All that wool, and a single pane on top. Ask the second bench where such a box loses its heat.",
            "Insulation is what people buy to keep warm; nobody thinks of glass as a hole.",
        ),
        Alternative(
            "wind-does-not-matter",
            lambda v: build_plan(v, hedge="no", wool=lambda v: int((v["budget"] - PANE) // CENTIMETRE)),
            "Your box stands in the wind, and the wind carries off what the outer pane brings up. What do "
            "six coins buy?",
            "Inside the box it is still, so the wind outside seems to be none of its business.",
            credit=0.25,
        ),
        Alternative(
            "wool-is-worth-nothing",
            lambda v: build_plan(v, wool=1),
            "The glass is looked after. Now the walls are the bigger hole. What did you do with the rest of "
            "the coins?",
            "After hearing that the glass is the hole, people write the walls off.",
            credit=0.5,
        ),
        Alternative(
            "box-heats-at-once",
            lambda v: build_plan(v, out=lambda v: v["show"] - 25),
            "A good box, but it comes out late. How many time constants does it need until it has nearly "
            "settled?",
            "A gas flame is hot at once.",
            credit=0.5,
        ),
        Alternative(
            "lid-loses-only-the-air",
            lambda v: build_plan(v, looks=6),
            "So many looks! Each one costs far more than a boxful of air. When did you last have to look "
            "into an *empty* box?",
            "What pours out in your face is air, so air must be what is lost.",
            credit=0.5,
        ),
        Alternative(
            "over-the-budget",
            lambda v: build_plan(v, wool=20),
            "Count your coins again.",
            "The best of everything is what one would like to buy.",
        ),
    ),
    hints=(
        "Second pane, hedge, and what is left for wool: add up the coins.",
        "Put it out two hours before, and leave the lid shut.",
    ),
)

EXERCISES = (MENDING, BUILD)

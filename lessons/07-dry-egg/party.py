"""Lesson 07, the dry egg: a demonstration for visitors, a plan that must work in the model."""

from __future__ import annotations

import math

from solarlab.dates import clock
from solarlab.exercises import Alternative, Exercise, beside

scene = beside(__file__, "scene")

# No apostrophe in what a learner types between quotes.
PROBES = ("in the air of the oven", "on the shell", "in the middle of the yolk")
PLACES_TO_COOK = ("on the tray", "in a dark pot with water", "in a shiny pot, dry")
MOST_EGGS, LONGEST_PREHEAT = 12, 120


def party_hard(v, plan):
    return scene.hard_minutes(
        v["place"],
        v["date"],
        oven=v["oven"],
        oktas=float(v["oktas"]),
        where=plan["where"],
        step=180.0,
        preheat=float(plan["preheat"]),
        loaded=clock(plan["loaded"]),
        eggs=int(plan["eggs"]),
        until="16:00",
    )


def party_plan(v, **change):
    best = {
        "eggs": v["guests"],
        "preheat": 60,
        "where": "on the tray",
        "loaded": v["arrive"],
        "thermometer": PROBES[2],
    }
    return best | {name: value(v) if callable(value) else value for name, value in change.items()}


def party_variant(draw):
    place, date = draw.pick(scene.CLEAR_DAYS[:6])
    arrive = draw.pick((630, 660, 690))
    v = {
        "place": place,
        "date": date,
        "day": scene.on_the_day(date),
        "oven": draw.pick(("four-mirror box", "bare box")),
        "oktas": draw.pick((0, 3)),
        "guests": draw.pick((4, 6)),
        "arrive": arrive,
    }
    ready = party_hard(v, party_plan(v)) * 1.12 + 2
    show = arrive + 5 * math.ceil(ready / 5) if math.isfinite(ready) else arrive
    v["kind"] = scene.kind_of_oven(v["oven"])
    return v | {"show": show, "come": clock(arrive), "cut": clock(show)}


def party_fault(v, plan):
    eggs, preheat, loaded = float(plan["eggs"]), float(plan["preheat"]), float(plan["loaded"])
    if not 0 < eggs <= MOST_EGGS or eggs != int(eggs):
        raise ValueError(f"{eggs:g} eggs do not make a tray: take 1 to {MOST_EGGS} whole ones")
    if not 0 <= preheat <= LONGEST_PREHEAT:
        raise ValueError(
            f"the empty oven may stand in the sun 0 to {LONGEST_PREHEAT} minutes, not {preheat:g}"
        )
    if eggs < v["guests"]:
        return "too-few-eggs"
    if loaded < v["arrive"]:
        return "before-they-came"
    if loaded >= v["show"]:
        return "stove-minutes"
    hard = party_hard(v, plan | {"loaded": round(loaded), "preheat": round(preheat)})
    if not loaded + hard <= v["show"]:
        if plan["where"] != "on the tray":
            return "water-cooks-eggs" if plan["where"] == "in a dark pot with water" else "food-wants-a-pot"
        return "stove-minutes" if loaded > v["arrive"] + 5 and preheat >= 20 else "box-heats-at-once"
    if plan["thermometer"] != PROBES[2]:
        return "oven-thermometer-shows-the-food" if plan["thermometer"] == PROBES[0] else "surface-for-core"
    return ""


PARTY = Exercise(
    id="dry-egg/party",
    kind="plan",
    title="Eggs for visitors",
    variable="party_plan",
    points=3.0,
    question=(
        "You show the dry egg in {place} on {day}, cloud {oktas} eighths, with a {oven} ({kind}). "
        "**{guests}** visitors come at **{come}** and must *see* the eggs go in. At **{cut}** one egg is "
        "probed, then each of them cuts one open, and it must be hard to the centre. There is one probe "
        "thermometer; where does it go? You may set the empty oven in the sun up to two hours before."
    ),
    fields={"eggs": "", "preheat": "min", "where": PLACES_TO_COOK, "loaded": "clock", "thermometer": PROBES},
    variant=party_variant,
    answer=party_plan,
    fault=party_fault,
    alternatives=(
        Alternative(
            "box-heats-at-once",
            lambda v: party_plan(v, preheat=0),
            "Your oven is not hot yet when the eggs go in, so the sun warms walls and tray before it warms "
            "them. It was up long before the visitors came: who used it?",
            "A stove is hot in a minute, so nobody plans its warming-up.",
        ),
        Alternative(
            "water-cooks-eggs",
            lambda v: party_plan(v, preheat=0, where="in a dark pot with water"),
            "Water and pot must be heated, too, before the eggs are. Do the eggs need them?",
            "Every boiled egg they ever ate came out of water.",
        ),
        Alternative(
            "food-wants-a-pot",
            lambda v: party_plan(v, preheat=0, where="in a shiny pot, dry"),
            "A bright pot throws the sun back and keeps the hot air from the eggs. What does the table of "
            "changes say of it?",
            "Nobody lays food on bare metal; it belongs in a pot.",
        ),
        Alternative(
            "stove-minutes",
            lambda v: party_plan(v, loaded=lambda v: v["show"] - 7),
            "That leaves the minutes an egg needs in boiling water. Air brings heat more slowly than water "
            "does: the last line of the table of changes says how long a hot oven takes.",
            "Seven minutes is what a lifetime of boiled eggs has taught.",
        ),
        Alternative(
            "too-few-eggs",
            lambda v: party_plan(v, eggs=1),
            "Count the visitors again: each cuts one open.",
            "One egg is what the demonstration is called after.",
        ),
        Alternative(
            "before-they-came",
            lambda v: party_plan(v, loaded=lambda v: v["arrive"] - 20),
            "Nobody saw your eggs go in, so nobody believes you. What may you do before they come?",
            "A cook thinks of the meal, a demonstrator of the witness.",
            credit=0.25,
        ),
        Alternative(
            "oven-thermometer-shows-the-food",
            lambda v: party_plan(v, thermometer=PROBES[0]),
            "The air in the oven is far hotter than the middle of an egg. Which place is *last* to get warm?",
            "Oven dials at home show the air, and recipes speak of nothing else.",
            credit=0.5,
        ),
        Alternative(
            "surface-for-core",
            lambda v: party_plan(v, thermometer=PROBES[1]),
            "The shell is first to be hot. Which place is last?",
            "The outside is what one can reach.",
            credit=0.5,
        ),
    ),
    hints=(
        "What can the oven do between sunrise and the visitors?",
        "Let the empty oven stand in the sun an hour, lay the eggs dry on the tray the moment they come.",
    ),
)

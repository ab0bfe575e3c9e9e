"""Lesson 10, stand and teach: the demonstration drawn for a learner, its day sheet, and what a crowd asks."""

from __future__ import annotations

from functools import lru_cache

import pandas as pd

from solarlab import catalogue, fuel, safety, water
from solarlab.exercises import beside
from solarlab.plan import Dish, Plan, plan
from solarlab.plan.chance import Outlook
from solarlab.sheet import DaySheet, day_sheet, files, html
from solarlab.sheet.parts import Box
from solarlab.table import Table

scene = beside(__file__, "scene")
SEARCHED, COUNTED = 40, 200  # drawn days: fewer than the trainer's bench takes, for a quick answer
GROUPS = (
    "a mothers' group", "the eighth year of a school", "a farmers' co-operative", "a clinic's waiting yard",
    "the cooks of a camp", "a market street", "a women's savings group", "the parents of a nursery school",
)  # fmt: skip
VILLAGES = ("Tamboroa", "Kesiriva", "Ondalume", "Mirasonda", "Velapira", "Shurambe")  # invented, all of them
DAYS = (
    ("Nairobi", "2026-02-12"), ("Nairobi", "2026-07-20"), ("Cape Town", "2026-11-14"),
    ("Delhi", "2026-03-10"),
    ("Bamako", "2026-01-20"), ("Melbourne", "2026-12-10"), ("Dakar", "2026-02-11"), ("Cairo", "2026-04-21"),
    ("Santiago", "2026-01-15"), ("Mexico City", "2026-03-18"), ("Kathmandu", "2026-04-05"),
    ("Quito", "2026-08-20"),
)  # fmt: skip
OVENS = (
    ("four-mirror box",),
    ("one-mirror box", "school box"),
    ("four-mirror box", "cardboard box"),
    ("one-mirror box",),
)
WISHES = ("rice", "lentils", "chicken pieces", "thick stew", "fish", "potatoes in water")
DRY = ("rice", "lentils")  # these spoil only once they are wet
STOVES = ("wood, open fire", "wood, improved stove", "charcoal", "LPG", "kerosene")


def drawn(draw) -> dict:
    """A group, a yard and a day: the learner's own demonstration, as plain values."""
    place, date = draw.pick(DAYS)
    wishes, menu = list(WISHES), []
    for _ in range(2):
        menu.append(wishes.pop(int(draw.uniform(0, len(wishes)))))
    ovens = draw.pick(OVENS)
    return {
        "group": draw.pick(GROUPS),
        "village": draw.pick(VILLAGES),
        "place": place,
        "date": date,
        "day": scene.on_the_day(date),
        "people": int(draw.step(12, 40, 2)),
        "ovens": list(ovens),
        "oven_words": " and ".join(f"a {name}" for name in ovens),
        "menu": menu,
        "menu_words": " and ".join(menu),
        "cloud": (cloud := draw.pick((1, 2, 3, 4))),
        "cloud_words": scene.eighths(cloud),
        "eat": draw.pick(("12:30", "13:00", "13:30", "14:00")),
        "stove": draw.pick(STOVES),
    }


def made(mine: dict, **changes) -> Plan:
    """The searched plan; ``changes`` of eat, menu, ovens or cloud replace what was drawn."""
    v = mine | changes
    ovens, menu = ((v[k],) if isinstance(v[k], str) else tuple(v[k]) for k in ("ovens", "menu"))
    return _made(v["place"], v["date"], ovens, menu, float(v["cloud"]), v["eat"])


@lru_cache(maxsize=32)
def _made(place, date, ovens, menu, cloud, eat) -> Plan:
    outlook = Outlook(catalogue.place(place), date, oktas=cloud)
    dishes = [Dish(catalogue.food(name), catalogue.pot(scene.POT)) for name in menu]
    boxes = [catalogue.oven(name) for name in ovens]
    return plan(outlook, boxes, dishes, eat=eat, searched=SEARCHED, counted=COUNTED)


def sheet(mine: dict, **changes) -> DaySheet:
    """The day sheet of a demonstration, as the trainer's bench would print it."""
    return day_sheet(made(mine, **changes), group=(mine | changes)["people"])


def part(paper: DaySheet, name: str) -> Table:
    """One part of a day sheet as a table: "steps", "aims", "dishes", "plan_b", "portions", "talk", …"""
    found = getattr(paper, name)
    if name == "facts":
        return Table(pd.DataFrame(found, columns=["what", "value"]), f"{paper.title}. {paper.headline}")
    if isinstance(found, Box):
        return Table(pd.DataFrame([line for line, _ in found.lines], columns=["line by line"]), found.title)
    title = f"{found.title}. {found.note}" if found.note else found.title
    return Table(pd.DataFrame(list(found.rows), columns=list(found.heads)), title)


def on_paper(paper: DaySheet, path: str = "day-sheet.html") -> str:
    """Write the sheet as a page to print, never over another file; say where."""
    return f"Written to {files.write(path, html(paper)).name}: open it in a browser and print it."


def saving(mine: dict, dish: str | None = None, cooks: float = 100.0) -> fuel.Saving:
    """What ``cooks`` solar pots of a dish of the menu save against the group's stove."""
    name = dish or mine["menu"][0]
    boil = float(water.boiling_point(water.pressure_at(catalogue.place(mine["place"]).elevation)))
    needed = fuel.stove_heat(catalogue.food(name), catalogue.pot(scene.POT), boiling_point=boil)
    return fuel.saved(needed, mine["stove"], cooks=cooks)


# --- what a crowd asks ---


def crowd(mine: dict, **changes) -> Table:
    """Five questions to the crowd, wrong answers to expect, and what to do, with this yard's numbers."""
    found, v = made(mine, **changes), mine | changes
    case = scene.Case(v["place"], v["date"], v["ovens"][0], v["menu"][0], float(v["cloud"]))
    here = catalogue.place(v["place"])
    boil = float(water.boiling_point(water.pressure_at(here.elevation)))
    start, away = scene.clock(found.start), {"north": "south", "south": "north"}[case.side]
    rows = [
        (
            "When must the oven stand in the sun if we eat at " + v["eat"] + "?",
            "“When we are all here.” “At noon, the sun is highest then.”",
            f"Ask for a count of minutes, backwards from {v['eat']}. The sheet says {start}; the sun's "
            f"noon is {scene.clock(case.noon)} on this clock.",
        ),
        (
            "The oven's thermometer says 110 °C (230 °F). How hot is the middle of the food?",
            "“110.” “It must be done, then.”",
            "Everybody bets, then two thermometers: one on the tray, one in the middle. Nobody speaks "
            "until both are read.",
        ),
        (
            "I make the sun twice as strong. How hot is the boiling water then?",
            "“Twice as hot.” “Hotter.”",
            f"Water boils at {pic_both(boil)} here, weak boil or strong. Read it before them.",
        ),
        (
            "On which side of the oven do you stand so that you do not spoil it?",
            "“Anywhere.” “In front, to see.”",
            f"At noon the sun is in the {case.side} here: the crowd stands in the {away}. Let one person "
            f"walk "
            "round the box and watch the shadow.",
        ),
        (
            "It was slow because of cloud, four hours lukewarm, but now it is boiling hot. Eat?",
            "“Of course, boiling kills everything.”",
            "“What would change your mind?” Then: the germs die, their poison stays. It is thrown away, "
            "and we say so before we cook.",
        ),
    ]
    heads = ["ask, and let them bet", "answers to expect", "then do"]
    return Table(
        pd.DataFrame(rows, columns=heads), f"Five questions for the crowd in {v['village']} (invented)"
    )


# The misconceptions of the course behind the five questions, in their order.
EXPECTED = (
    ("loaded-when-they-arrive", "noon-is-soon-enough", "clock-for-solar-noon"),
    ("oven-thermometer-shows-the-food",),
    ("harder-boil-is-hotter",),
    ("south-for-north",),
    ("hot-at-the-end-means-safe",),
)


def pic_both(celsius: float) -> str:
    """A temperature in both units."""
    return f"{celsius:.0f} °C ({1.8 * celsius + 32.0:.0f} °F)"


def talk_rules() -> Table:
    """The safety talk: the six sentences that must be said aloud before the box is opened."""
    rules = ("glass_burns", "steam", "glare", "children", "total", "authorities")
    rows = [(k + 1, safety.rule(key).text, safety.rule(key).source) for k, key in enumerate(rules)]
    heads = ["no.", "say", "from"]
    return Table(pd.DataFrame(rows, columns=heads), "Said aloud before the lid opens")


def forgotten(mine: dict, **changes) -> Table:
    """What a day sheet cannot know, with what can be read off this one to start from."""
    found, v = made(mine, **changes), mine | changes
    last = max((job.loaded for job in found.jobs), default=found.eat)
    waits = [
        f"{job.dish.food.name.capitalize()}, in at {scene.clock(job.loaded)}: "
        + (
            "dry until then, for wet it spoils."
            if job.dish.food.name in DRY
            else "kept cold where, until then?"
        )
        for job in found.jobs
    ]
    lost = 100 - round(100.0 * found.chance)
    rows = [
        ("Before it goes in", " ".join(waits)),
        ("Hands", f"The last pot goes in at {scene.clock(last)}. Who turns the oven while you talk?"),
        ("Eyes", "What do people see while nothing seems to happen? Who reads the thermometer aloud?"),
        ("Mouths", f"{v['people']} people. Is it a meal or a taste? Look at the portions again."),
        (
            "A bad day",
            f"Of 100 days like this, about {lost} do not come right. Who owns the stove, and is it lit?",
        ),
        ("Afterwards", "Who can do it alone tomorrow? How will you know?"),
    ]
    return Table(pd.DataFrame(rows, columns=["about", "what the sheet does not say"]), "Read it as its enemy")

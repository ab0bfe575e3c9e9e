"""Lesson 03, the dark pot: a stove recipe for the oven, beans for a feast, and an answer to the crowd."""

from __future__ import annotations

import math

from solarlab import water
from solarlab.exercises import Alternative, Exercise, beside

scene = beside(__file__, "scene")

# --- 6 recipe: how much water ---

KITCHENS = (("Nairobi", "2026-03-21"), ("Quito", "2026-03-21"), ("Lima", "2026-03-21"))


def recipe_variant(draw):
    place, date = draw.pick(KITCHENS)
    v = {
        "place": place,
        "date": date,
        "stove": draw.step(800, 1300, 20),
        "watts": draw.step(500, 700, 50),
        "minutes": draw.step(10, 14, 1),
    }
    v["dish"], v["oven"] = draw.pick((("rice", scene.OVEN), ("pasta", "four-mirror box")))
    gone = 1000.0 * 60.0 * v["watts"] * v["minutes"] / float(water.latent_heat(boils_in(v)))
    leaks = scene.oven_loses(v["place"], v["date"], v["oven"], v["dish"])
    return v | {"gone": 5 * round(gone / 5), "leaks": 5 * round(leaks / 5)}


def boils_in(v):
    return scene.boils_at(scene.catalogue.place(v["place"]).elevation)


def in_the_oven(v):
    return v["stove"] - v["gone"] + v["leaks"]


RECIPE = Exercise(
    id="dark-pot/recipe",
    kind="number",
    title="From the stove to the sun",
    variable="oven_water",
    points=1.0,
    unit="g",
    question=(
        "A recipe for {dish} in {place} takes **{stove:.0f} g** of water on a stove. There the pot stands "
        "open, and steam carries off about **{gone} g** of it. In a {oven}, in the dark pot with its lid, "
        "about **{leaks} g** leave until the {dish} is done (so the model says). How many grams of water do "
        "you take, so that it comes out as moist as from the stove?"
    ),
    variant=recipe_variant,
    answer=in_the_oven,
    tolerance=(0.0, 5.0),
    alternatives=(
        Alternative(
            "a-third-less-always",
            lambda v: v["stove"] * 2.0 / 3.0,
            "'A third less' is a fine rule of thumb for pots that boil hard with no lid. Here you *know* how "
            "much left the pot, there and here. Save that, no more: the dish drinks the rest.",
            "A rule of thumb is remembered without the pot it was made for.",
        ),
        Alternative(
            "ovens-lose-nothing",
            lambda v: v["stove"] - v["gone"],
            "Nearly. But a lid is not a cork: a little leaves in the oven, too.",
            "A shut box seems to keep everything.",
            credit=0.5,
        ),
        Alternative(
            "water-as-on-the-stove",
            lambda v: float(v["stove"]),
            "Then the dish comes out wetter than you know it, by what no longer boils off.",
            "A recipe is a recipe.",
            credit=0.25,
        ),
        Alternative(
            "both-losses-saved",
            lambda v: v["stove"] - v["gone"] - v["leaks"],
            "You took off what the oven loses, too. Must that be put in, or left out?",
            "After one subtraction, the next number is subtracted as well.",
            credit=0.25,
        ),
    ),
    hints=(
        "How much water stays in the dish on the stove? The dish wants as much from you.",
        "What stays, plus what will leave.",
    ),
)


# --- 7 feast: beans up here, at a given time ---

VILLAGES = (
    ("La Paz", "2026-07-15"),
    ("Quito", "2026-09-15"),
    ("Addis Ababa", "2026-02-15"),
    ("Mexico City", "2026-05-15"),
    ("Lhasa", "2026-05-15"),
)
LIDS = ("on", "off")
PLAN_POTS = (scene.DARK, "shiny stainless", "clay")
LEAST_WATER, MOST_WATER = 500.0, 1500.0  # g


def feast_done(v, plan):
    return scene.minutes_to(
        "done", v["place"], v["date"], dish=scene.BEANS, pot=plan["pot"], lid=plan["lid"] == "on",
        added=float(plan["water"]) / 1000.0, loaded=scene.clock(plan["loaded"]), until="17:30",
    )  # fmt: skip


def feast_plan(v, **change):
    best = {"pot": scene.DARK, "lid": "on", "water": 600.0, "loaded": v["arrive"]}
    return best | {name: value(v) if callable(value) else value for name, value in change.items()}


def feast_variant(draw):
    place, date = draw.pick(VILLAGES)
    v = {"place": place, "date": date, "arrive": draw.pick((540, 555, 570))}
    ready = v["arrive"] + feast_done(v, feast_plan(v)) + 2.0
    v["eat"] = 5 * math.ceil(ready / 5)
    return v | {
        "come": scene.clock(v["arrive"]),
        "served": scene.clock(v["eat"]),
        "boils": round(scene.boils_at(scene.catalogue.place(place).elevation)),
        "sea": round(feast_done_at_sea(v)),
    }


def feast_done_at_sea(v):
    """The same beans at the same hour by the sea."""
    kind = {"dish": scene.BEANS, "loaded": scene.clock(v["arrive"])}
    return scene.minutes_to("done", "Mombasa", "2026-03-21", **kind)


def feast_fault(v, plan):
    loaded, grams = float(plan["loaded"]), float(plan["water"])
    if not 0.0 <= grams <= MOST_WATER:
        raise ValueError(f"the pot takes up to {MOST_WATER:g} g of water, not {grams:g}")
    if loaded < v["arrive"]:
        return "before-the-sun"
    if grams < LEAST_WATER:
        return "beans-not-covered"
    if loaded >= v["eat"]:
        return "same-minutes-at-any-height"
    if loaded + feast_done(v, plan | {"loaded": round(loaded)}) <= v["eat"]:
        return ""
    if loaded > v["arrive"] and v["arrive"] + feast_done(v, plan | {"loaded": v["arrive"]}) <= v["eat"]:
        return "same-minutes-at-any-height"
    if plan["lid"] == "off":
        return "lid-off-to-see"
    return "best-pot-is-bright" if plan["pot"] != scene.DARK else "more-water-to-be-sure"


FEAST = Exercise(
    id="dark-pot/feast",
    kind="plan",
    title="Soft in time",
    variable="feast_plan",
    points=3.0,
    question=(
        "In {place} water boils at {boils} °C. On a clear day you cook half a kilogram of soaked black beans "
        "in a one-mirror box, turned to the sun every half hour. The yard gets the sun at "
        "**{come}**; nothing "
        "can go in before. At **{served}** the beans must be soft. (At the sea, in the same oven, they take "
        "{sea} minutes.) The beans need at least 500 g of water to be covered. Choose pot, lid, water and "
        "the time they go in. (Only softness is asked here. Nobody eats these beans before they have had "
        "what lesson 01 wants; up here that takes a pressure cooker.)"
    ),
    fields={"pot": PLAN_POTS, "lid": LIDS, "water": "g", "loaded": "clock"},
    variant=feast_variant,
    answer=feast_plan,
    fault=feast_fault,
    alternatives=(
        Alternative(
            "same-minutes-at-any-height",
            lambda v: feast_plan(v, loaded=max(v["arrive"] + 10, v["eat"] - feast_done_at_sea(v) - 5)),
            "Too late. Is the time you counted with a time by the sea? How hot does water get up here?",
            "The minutes in one's head come from home.",
            credit=0.25,
        ),
        Alternative(
            "lid-off-to-see",
            lambda v: feast_plan(v, lid="off"),
            "With the lid off, much of the sun goes into steam before the pot ever boils. What "
            "keeps steam in?",
            "One wants to see whether it boils.",
            credit=0.5,
        ),
        Alternative(
            "best-pot-is-bright",
            lambda v: feast_plan(v, pot="shiny stainless"),
            "That pot is too slow for this hour. Which of the three keeps most of the light, and is light "
            "itself?",
            "The bright or the big pot is the good one, kept for guests.",
            credit=0.5,
        ),
        Alternative(
            "more-water-to-be-sure",
            lambda v: feast_plan(v, water=1200.0),
            "All that water must be heated, too, before a bean gets soft. How much do they need?",
            "Water never burnt a bean.",
            credit=0.5,
        ),
        Alternative(
            "beans-not-covered",
            lambda v: feast_plan(v, water=400.0),
            "The beans on top lie dry and stay hard. Read what they need.",
            "The rule 'a third less water' was learned for pasta.",
            credit=0.5,
        ),
        Alternative(
            "before-the-sun",
            lambda v: feast_plan(v, loaded=v["arrive"] - 60),
            "The yard is still in shade at that hour, and food that waits in a cool oven is a risk, not a "
            "head start (lesson 01).",
            "Earlier is safer, one thinks.",
            credit=0.25,
        ),
    ),
    hints=(
        "There is hardly a minute to give away: what is the fastest pot, lid and water?",
        "The first bench says which pot is fastest; the load table what more water costs.",
    ),
)


# --- 8 why ---

WHY = Exercise(
    id="dark-pot/why",
    kind="explanation",
    title="Answer the three at the well",
    variable="why",
    points=4.0,
    question="Answer the Polisher, the Roller and the Carrier in five to ten sentences.",
    rubric=(
        (1.0, "Polisher: a dark pot keeps more of the light (with one number); a heavy pot must be heated, "
              "too. Credits that the gap is minutes, not hours, as hot air and tray heat any pot."),
        (1.0, "Roller: at the boil, extra heat makes steam and not degrees; the lid keeps steam, "
        "and so heat, "
              "in. One number (lid, or grams of steam)."),
        (1.0, "Carrier: water boils cooler higher up (one number), and beans slow by a factor: about twice "
              "as long at 90 °C, not ten percent."),
        (1.0, "Holds an own prediction against the run, with both numbers, and says what it had missed."),
    ),
)  # fmt: skip

EXERCISES = (RECIPE, FEAST, WHY)

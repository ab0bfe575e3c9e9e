"""The day sheet: a plan turned into what a trainer carries on paper, in one of the sheet's languages.

`day_sheet` works out every number and sentence; ``day_html`` lays them out for A4 or Letter, and
`write_html` and `write_pdf` put them in a file.  The model says *expected*; a blank for a thermometer reading
stands beside every dish.
"""

from __future__ import annotations

import datetime
from dataclasses import dataclass

import numpy as np

from .. import safety
from ..dates import clock
from ..language import Language, language
from ..own import provenance
from ..plan.meal import Could, Job, Plan
from ..sky import sky
from ..sun import instants, sun_times
from ..water import boiling_point, pressure_at
from .advice import Typical, faults, portions, recipes, talk, typical
from .mistakes import spoken
from .parts import Box, Moment, Table, aims, between, counted, later, percent, steps, timetable
from .rules import cautions, drafted, plan_b, safety_box
from .spot import site

OFTEN = 0.05  # of the draws: what is rarer is not printed as a notice
NOTICES = {  # of a cook's notices those that matter on paper, in the sheet's words
    "boils dry": later("{dish}: the pot boils dry too soon on {chance}: give it more water."),
    "take out": later("{dish}: left in when done, it boils dry on {chance}: take it out in time."),
    "cavity out of range": later("{dish}: on {chance} the oven passes 250 °C, too hot for this model."),
    "strong wind": later("Wind above 10 m/s on {chance}: take the oven in."),
}


@dataclass(frozen=True)
class DaySheet:
    """All that is printed, in words.  ``draft`` says so where no native reader has read the language yet."""

    language: Language
    title: str
    draft: str
    facts: tuple[tuple[str, str], ...]
    headline: str
    warnings: tuple[str, ...]
    aims: Table
    steps: Table
    dishes: Table
    safety: Box
    cautions: Box
    plan_b: Box
    talk: Table
    site: Box
    portions: Table
    recipes: Table
    faults: Table
    basis: Box
    foot: str
    moments: tuple[Moment, ...]
    plan: Plan


def day_sheet(
    plan: Plan,
    *,
    language_code: str = "en",
    group: int | None = None,
    serves: float | None = None,
    declination: float | None = None,
    home_made: bool = False,
) -> DaySheet:
    """The sheet of a plan.

    ``group`` people are to be fed or given a taste; a dish gives ``serves`` plates, as on the shelf if not
    said.  ``declination`` [°, east
    positive] is the compass needle's error at the place, from a local map.  ``home_made`` ovens carry more
    cautions.
    """
    say = language(language_code)
    if declination is not None and not -90.0 <= declination <= 90.0:
        raise ValueError(f"declination is {declination:g}°; it lies between -90 and 90, east positive.")
    if group is not None and not 1 <= group <= 2000:
        raise ValueError(f"a group of {group} can't be planned for; give 1 to 2000 people.")
    usual = typical(plan)
    date = datetime.date.fromisoformat(str(plan.outlook.date))
    moments = steps(plan, say)
    return DaySheet(
        language=say,
        title=say("Day sheet: {place}, {date}", place=plan.outlook.place.name, date=say.date(date)),
        draft=say("Draft translation, awaiting a native reader.") if drafted(say) else "",
        facts=_facts(plan, say, group),
        headline=_headline(plan, say),
        warnings=_warnings(plan, say),
        aims=aims(plan, say, declination),
        steps=Table(
            say("What to do when"),
            (say("time"), say("what")),
            timetable(moments),
        ),
        dishes=_dishes(plan, say),
        safety=safety_box(plan, say),
        cautions=cautions(plan, say, home_made),
        plan_b=plan_b(plan, say),
        talk=Table(say("What to say while waiting"), (say("about"), say("say")), talk(plan, usual, say)),
        site=site(plan, say),
        portions=_portions(plan, say, group, serves),
        recipes=Table(
            say("Recipes from the stove"),
            (say("dish"), say("on a stove"), say("here"), say("water")),
            recipes(plan, usual, say),
            say(
                "Boiling is cooler high up, so the same softness takes longer. A shut pot loses little water."
            ),
        ),
        faults=_faults(plan, usual, say),
        basis=_basis(plan, say),
        foot=say(
            "The model says expected, never safe: only a thermometer does. "
            "Local food-safety rules come first."
        ),
        moments=moments,
        plan=plan,
    )


def _facts(plan: Plan, say: Language, group) -> tuple[tuple[str, str], ...]:
    place, sun = plan.outlook.place, sun_times(plan.outlook.place, plan.outlook.date)
    north = say("{degrees}° north", degrees=say.number(abs(place.latitude), 2))
    south = say("{degrees}° south", degrees=say.number(abs(place.latitude), 2))
    saving = say("daylight saving time") if sun.daylight_saving else say("no daylight saving")
    never, noon = say("none"), f"{sun.transit:%H:%M}"
    # as seen, like the heights by which one aims
    after = f"{sun.transit + datetime.timedelta(minutes=2):%H:%M}"
    highest = sky(place, instants(place, plan.outlook.date, noon, after, 60.0)).elevation.max()
    facts = [
        (say("place"), f"{north if place.latitude >= 0 else south}, {say.number(place.elevation)} m"),
        (say("clock"), f"{place.timezone}, {saving}"),
        (say("sunrise"), f"{sun.sunrise:%H:%M}" if sun.sunrise is not None else never),
        (say("sun highest"), f"{noon}, {say.number(highest)}°"),
        (say("sunset"), f"{sun.sunset:%H:%M}" if sun.sunset is not None else never),
        (say("first oven out"), clock(plan.start)),
        (say("eat at"), clock(plan.eat)),
    ]
    return tuple(facts + ([(say("people"), say.number(group))] if group else []))


def _headline(plan: Plan, say: Language) -> str:
    if not plan.jobs:
        return say("Nothing on this menu can be cooked here.")
    words = {"chance": percent(say, plan.chance), "time": clock(plan.eat)}
    if plan.feasible:
        return say("The whole meal is expected ready by {time} on {chance} like this.", **words)
    return say("This menu does not work: ready by {time} on only {chance} like this.", **words)


def _warnings(plan: Plan, say: Language) -> tuple[str, ...]:
    told = []
    for food, rule in plan.refused:
        if rule.kind == "boil":
            boil = float(boiling_point(pressure_at(plan.outlook.place.elevation)))
            words = later(
                "No verdict on {dish}: water boils at only {degrees} here, and no published time for that "
                "is known. Left off."
            )
            told.append(say(words, dish=say(food.name), degrees=say.degrees(boil)))
        else:
            told.append(f"{say('Refused')}: {say(food.name)}. {say(rule.text)}")
    told += _notices(plan, say)
    if plan.feasible or not plan.jobs:
        return tuple(told)
    instead = [_instead(could, say) for could in plan.could if could.kind != "only"]
    alone = [", ".join(say(name) for name in could.names) for could in plan.could if could.kind == "only"]
    if alone:
        instead.append(say("These alone could be done in time: {names}.", names=" / ".join(alone)))
    return (*told, *([" ".join(instead)] if instead else []))


def _instead(could: Could, say: Language) -> str:
    if could.kind == "later":
        return say("It could be done by {time}.", time=clock(could.minutes))
    if could.kind == "half":
        return say("Half portions could be done in time.")
    return say(
        "No later meal, half portion or single dish reaches the goal that day: "
        "show the oven, and cook on a stove."
    )


def _notices(plan: Plan, say: Language) -> list[str]:
    """What the cooks have to say besides, and what the sky's own notes are; nothing twice."""
    told = []
    for job in plan.jobs:
        for name, sentence, share in job.notices:
            if name in NOTICES and share >= OFTEN:
                words = {"chance": percent(say, share), "dish": say.start(job.dish.food.name)}
                told.append(say(NOTICES[name], **words))
            elif name == "sky":
                told.append(spoken(say, sentence))
    return list(dict.fromkeys(told))


def _goal(job: Job) -> safety.SafetyRule | None:
    targets = [safety.rule(key) for key in job.dish.food.safety]
    return next((rule for rule in targets if rule.kind in ("target", "boil")), None)


def _dishes(plan: Plan, say: Language) -> Table:
    rows = []
    for job in plan.jobs:
        dish, rule = job.dish, _goal(job)
        amount = f"{say.number(dish.food.mass, 2)} kg"
        if counted(dish.food):
            each = 1000.0 * dish.food.mass / dish.food.pieces
            amount = f"{say.number(dish.food.pieces)} × {say.number(each)} g"
        if dish.food.water:
            amount += " + " + say("{litres} L water", litres=say.number(dish.food.water, 2))
        where = say(dish.pot.name) if dish.pot else say("on the tray")
        often = say("none")
        if len(job.aims) > 1:
            often = say("every {minutes} min", minutes=say.number(job.reaim_every))
        hot = (
            say("a full boil, {minutes} min", minutes=say.number(rule.minutes)) if rule.kind == "boil" else ""
        )
        hot = hot or say.degrees(rule.temperature)
        reached = f"{hot}: {between(say, job.reached.low, job.reached.high)}"
        about = clock(job.ready.middle) if np.isfinite(job.ready.middle) else "—"
        ready = f"{about} ({between(say, job.ready.low, job.ready.high)})"
        rows.append(
            (
                say.start(dish.food.name),
                f"{amount}; {where}",
                clock(job.loaded),
                often,
                ready,
                percent(say, job.chance),
                reached,
                "____ °C  ____ °F  __:__",
            )
        )
    heads = (
        say("dish"),
        say("amount and pot"),
        say("in"),
        say("re-aim"),
        say("expected ready (8 of 10 days)"),
        say("in time on"),
        say("expected at"),
        say("your reading"),
    )
    return Table(say("The dishes"), heads, tuple(rows), say("Not safe until measured where it is coldest."))


def _portions(plan: Plan, say: Language, group, serves) -> Table:
    heads = (
        say("dish"),
        say("plates from one pot"),
        say("pots for a meal for all"),
        say("one pot shared out"),
    )
    return Table(say("Portions for the group"), heads, portions(plan, say, group, serves))


def _faults(plan: Plan, usual: Typical | None, say: Language) -> Table:
    heads = (say("what is wrong, and what to do"), say("later by"), say("hottest oven air"))
    rows, note = faults(plan, usual, say), ""
    if rows:
        first = say(plan.jobs[0].dish.food.name)
        well = later("Computed for {dish} under a middling sky; all well: {ready}, oven air to {degrees}.")
        note = say(well, dish=first, ready=rows[0][1], degrees=rows[0][2])
    return Table(say("When it is slow: what each fault costs"), heads, rows[1:], note)


def _basis(plan: Plan, say: Language) -> Box:
    outlook = plan.outlook
    cloud = {
        "forecast": say("Cloud: as you said."),
        "file": say("Cloud: days of a real year within {days} days of the date.", days=outlook.window),
        "month": say("Cloud: the month's mean that you typed, day by day by chance."),
        "unknown": say("Cloud unknown: any sky may come, so the range is wide."),
    }[outlook.known]
    air = (
        ""
        if outlook.air or outlook.weather
        else say("Air temperature guessed (±6 °C): give it if you know it.")
    )
    lines = [
        say("Counted on {draws} draws of cloud, oven, load and hands.", draws=say.number(plan.draws)),
        cloud,
        air,
        *(
            f"{say.start(oven.name)}: {spoken(say, provenance(oven))}."
            for oven in dict.fromkeys(job.oven for job in plan.jobs)
            if provenance(oven)
        ),
        say(
            "Expected ready: 8 of 10 days fall in the range. The model knows no rain, no gusts and no smoke."
        ),
    ]
    return Box(say("What this rests on"), tuple((line, "") for line in lines if line))


def html(sheet: DaySheet, paper: str = "A4", *, card: bool = False) -> str:
    """The sheet as one HTML document of one page, "A4" or "Letter"; ``card`` adds the page without words."""
    from .day_html import page_html

    return page_html(sheet, paper, card=card)

"""What a sheet advises, worked out on one typical day: talk by the minute, recipes, and what faults cost."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from .. import safety
from .._rates import first_crossing
from ..catalogue import Handling, food, foods
from ..cook import Cook, cook
from ..dates import clock
from ..doneness import CookValue, done, rule
from ..food import is_egg
from ..language import Language
from ..plan.kitchen import Kitchen
from ..sky import Sky
from ..water import boiling_point, pressure_at
from .parts import counted, joined

DAYS = 40  # draws whose mean is the typical sky
STOVE_LOSS = 0.5  # kg/h, of a pot simmering with its lid ajar (common practice, no source)
FOG = 0.15  # of the light, that a fogged pane keeps out (estimate, no source: 10–25 % by drop size)
LEAK = 10.0  # times the sound seal's air changes (estimate, no source)
GRIME = 0.80  # of the mirror's reflectance that is left under a film one can write in (estimate, no source)
DAMP = 2.5  # times the dry wall's loss: wet wool and paper conduct 2–4 times better (handbooks, from memory)
LAZY = 20.0  # °, an aim nobody checked
WARNED = 50.0  # °C of the glass, from which the talk warns of it
SERVES = 4  # plates a dish of the shelf gives (data/foods.toml)
LEAST = 15.0  # g: less is no taste


@dataclass(frozen=True)
class Typical:
    """The mean sky of some draws, and each job of the plan cooked under it with things as stated."""

    sky: Sky
    cooks: tuple[Cook, ...]


def typical(plan) -> Typical | None:
    """The typical day of a plan, until two hours after eating or the day's end; ``None`` without a job."""
    if not plan.jobs:
        return None
    end = min(plan.eat + 180, 23 * 60)
    kitchen = Kitchen(plan.outlook, (), (), plan.start, end, plan.preheat, DAYS, 5, 300.0)
    drawn = kitchen.sky
    names = ("beam_normal", "diffuse_horizontal", "air_temperature", "sky_temperature", "wind_speed")
    mean = replace(
        drawn,
        **{name: np.mean(getattr(drawn, name), axis=0) for name in names},
        pressure=np.broadcast_to(drawn.pressure, drawn.shape)[0],
    )
    cooks = tuple(
        cook(mean, job.oven, job.dish.pot, job.dish.food, _handling(plan, job)) for job in plan.jobs
    )
    return Typical(mean, cooks)


def _handling(plan, job) -> Handling:
    return Handling(clock(job.loaded), job.reaim_every, job.dish.openings, preheat=float(plan.preheat))


def talk(plan, usual: Typical | None, say: Language) -> tuple[tuple[str, str], ...]:
    """(about when, what to say) while the pots stand in the sun, by the typical day."""
    if usual is None:
        return ()
    shadow = say("Ask: where will the shadow be in half an hour? Mark it with a stone, then look.")
    told = [(plan.start + 15.0, shadow)]
    glass = max(float(one.highest_glazing) for one in usual.cooks)
    if glass >= WARNED:
        words = say("Don't touch the glass: it gets to {degrees} and looks cold.", degrees=say.degrees(glass))
        told.append((plan.start + 25.0, words))
    boil = float(boiling_point(pressure_at(plan.outlook.place.elevation)))
    wet = [(job, one) for job, one in _paired(plan, usual) if job.dish.food.form != "solid"]
    boils = min((job.loaded + _seconds(one.boiling) / 60.0 for job, one in wet), default=np.inf)
    words = say("Water boils at {degrees} here. More sun does not make it hotter.", degrees=say.degrees(boil))
    told.append((boils, words))
    for job, one in _paired(plan, usual):
        dish = say.start(job.dish.food.name)
        words = say("{dish}: 60 °C in the middle; its danger clock stops.", dish=dish)
        if any("come_up" in safety.rule(key).clocks for key in job.dish.food.safety):
            told.append((job.loaded + _middle_of(one, 60.0), words))
        if is_egg(job.dish.food):
            elapsed = (np.arange(one.warming.core.shape[-1]) - int(one.loaded)) * one.times.step
            for key, words in (
                ("egg_runny", say("Egg: the white is set, the yolk still flows.")),
                ("egg_jammy", say("Egg: the yolk thickens.")),
                ("egg_hard", say("Egg: set to the centre. Cut one open and show it.")),
            ):
                when, _ = done(key, elapsed, one.warming.shells, body=one.body)
                told.append((job.loaded + float(when) / 60.0, words))
    told = sorted((when, words) for when, words in told if np.isfinite(when) and when <= plan.eat)
    return joined((round(when), words) for when, words in told)


def _paired(plan, usual: Typical):
    return zip(plan.jobs, usual.cooks, strict=True)


def _seconds(when) -> float:
    return float(np.nan_to_num(when, nan=np.inf))


def portions(plan, say: Language, group: int | None, serves: float | None) -> tuple[tuple[str, ...], ...]:
    """(dish, plates from one pot, pots for a meal for all, grams each if one pot is shared out)."""
    rows = []
    for job in plan.jobs:
        dish = job.dish.food
        plates = serves
        if serves is None and is_egg(dish):
            plates = float(dish.pieces)
        elif serves is None:
            ours = food(dish.name).mass if dish.name in foods() else dish.mass
            plates = max(round(SERVES * dish.mass / ours), 1)
        pots = say.number(np.ceil(group / plates)) if group else "—"
        each = 1000.0 * (dish.mass + dish.water) / group if group else 0.0
        taste = say("{grams} g each", grams=say.number(each)) if each >= LEAST else "—"
        rows.append((say.start(dish.name), say.number(plates), pots, taste))
    return tuple(rows)


def _middle_of(one: Cook, level: float) -> float:
    """Minutes after loading at which the coldest point passes ``level`` [°C], ``inf`` if never."""
    elapsed = (np.arange(one.warming.coldest.shape[-1]) - int(one.loaded)) * one.times.step
    return _seconds(first_crossing(elapsed, one.warming.coldest, level)) / 60.0


def recipes(plan, usual: Typical | None, say: Language) -> tuple[tuple[str, str, str, str], ...]:
    """(dish, minutes on a stove, minutes at this place's boil and in the oven, water) of each wet dish."""
    rows = []
    boil = float(boiling_point(pressure_at(plan.outlook.place.elevation)))
    for job, one in zip(plan.jobs, usual.cooks if usual else (), strict=True):
        needs = [need for need in rule(job.dish.food.doneness).needs if isinstance(need, CookValue)]
        minutes = job.dish.stove_minutes or (needs[0].minutes if needs else None)
        if minutes is None or job.dish.food.form == "solid":  # bread and roast potatoes are not boiled
            continue
        if job.dish.stove_minutes is None and counted(job.dish.food):
            continue  # what is thick heats through first, and how long that takes on a stove is not known
        z = needs[0].z if needs else 33.0
        here = minutes * 10.0 ** ((100.0 - boil) / z)
        ready = job.ready
        oven = say("not that day")
        if np.isfinite(ready.middle):
            oven = say(
                "{minutes} min in the oven", minutes=say.number(5 * round((ready.middle - job.loaded) / 5))
            )
        water = "—"
        if job.dish.food.water:
            lost = float(one.warming.water[..., int(one.loaded)] - _water_at(one, job))
            less = STOVE_LOSS * minutes / 60.0 - max(lost, 0.0)
            word = say("{litres} L less") if less >= 0 else say("{litres} L more")
            water = word.format(litres=say.number(abs(less), 2))
        stove = say("{minutes} min at the boil", minutes=say.number(minutes))
        rows.append(
            (
                say.start(job.dish.food.name),
                stove,
                say("boil: {minutes} min", minutes=say.number(here)) + "; " + oven,
                water,
            )
        )
    return tuple(rows)


def _water_at(one: Cook, job) -> float:
    """Water [kg] left in the pot when it is taken out."""
    after = int(one.loaded) + round((job.out - job.loaded) * 60.0 / one.times.step)
    return float(one.warming.water[min(after, one.warming.water.shape[-1] - 1)])


def faults(plan, usual: Typical | None, say: Language) -> tuple[tuple[str, str, str], ...]:
    """(fault and remedy, minutes later, hottest oven air): the plan's first job, one thing wrong at a time.

    The first row is the one where all is well.
    """
    if usual is None:
        return ()
    job = plan.jobs[0]
    names = (
        (say("all well"), ""),
        (say("fogged glass"), say("dry the seal, wipe the glass")),
        (say("leaking seal"), say("press cloth or clay in")),
        (say("dusty mirror"), say("wipe with a damp cloth")),
        (say("damp insulation"), say("dry it open in the sun")),
        (say("badly aimed"), say("look at the nail's shadow")),
    )
    got = faulty(plan, job, usual.sky)
    minutes = _later(got)
    rows = []
    for k, (name, remedy) in enumerate(names):
        if not np.isfinite(minutes[k]):
            told = say("not ready that day")
        elif k == 0:
            told = say("ready {time}", time=clock(job.loaded + minutes[0]))
        else:
            told = f"+{say.number(minutes[k] - minutes[0])} min"
        what = f"{say.start(name)}: {remedy}" if remedy else say.start(name)
        rows.append((what, told, say.degrees(got.highest_cavity[k])))
    return tuple(rows)


def faulty(plan, job, under: Sky) -> Cook:
    """Six cooks at once: all well, fogged glass, leaking seal, dusty mirror, damp insulation, badly aimed."""
    one = np.ones(6)

    def but(index: int, factor: float) -> np.ndarray:
        return np.where(np.arange(6) == index, factor, one)

    oven = job.oven
    broken = replace(
        oven,
        air_leakage=np.minimum(float(oven.air_leakage) * but(2, LEAK), 500.0),
        reflectance=float(oven.reflectance) * but(3, GRIME),
        dust=np.minimum(float(oven.dust) + np.where(np.arange(6) == 3, 0.05, 0.0), 1.0),
        wall_conductance=np.minimum(float(oven.wall_conductance) * but(4, DAMP), 50.0),
    )
    light = but(1, 1.0 - FOG)[:, None]
    dim = replace(
        under, beam_normal=under.beam_normal * light, diffuse_horizontal=under.diffuse_horizontal * light
    )
    handling = replace(_handling(plan, job), aim_error=np.where(np.arange(6) == 5, LAZY, 2.0))
    return cook(dim, broken, job.dish.pot, job.dish.food, handling, keep="outcome")


def _later(got: Cook) -> np.ndarray:
    when = np.fmax(got.done, got.judgement.when) / 60.0
    return np.where(np.isfinite(got.done) & np.isfinite(got.judgement.when), when, np.inf)

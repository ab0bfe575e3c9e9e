"""Parts of a day sheet: its tables and boxes, where to aim, and what hands do when."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np

from ..catalogue import Food
from ..language import Language
from ..plan.search import Plan, clock
from ..sky import sky
from ..sun import instants

COMPASS = (
    "N",
    "NNE",
    "NE",
    "ENE",
    "E",
    "ESE",
    "SE",
    "SSE",
    "S",
    "SSW",
    "SW",
    "WSW",
    "W",
    "WNW",
    "NW",
    "NNW",
)


@dataclass(frozen=True)
class Table:
    """A titled table of text: ``heads`` and ``rows`` of the same length; a sentence below, if any."""

    title: str
    heads: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    note: str = ""


@dataclass(frozen=True)
class Box:
    """A titled list of sentences; each may carry its English beside it."""

    title: str
    lines: tuple[tuple[str, str], ...]


@dataclass(frozen=True)
class Moment:
    """One thing hands do: minutes after midnight, the kind (for the pictures) and the words.

    ``mirrors`` of the oven and the ``food`` it is about, for the pictures too.
    """

    minutes: int
    kind: str
    words: str
    mirrors: int = 0
    food: Food | None = None


def compass(bearing: float) -> str:
    """The nearest of sixteen points of the compass, as an English letter code."""
    return COMPASS[round(bearing / 22.5) % 16]


def between(say: Language, low: float, high: float) -> str:
    """An 80 % range of clock times; an end that never comes says so."""
    if not np.isfinite(low):
        return say("not that day")
    return f"{clock(low)}–{clock(high)}" if np.isfinite(high) else say("{time} or never", time=clock(low))


def percent(say: Language, share: float) -> str:
    """A chance as "86 of 100 days"; never 0 or 100, which no count of draws can say."""
    return say("{count} of 100 days", count=say.number(float(np.clip(round(100.0 * share), 1, 99))))


def later(message: str) -> str:
    """A message that is translated where it is used."""
    return message


def aims(plan: Plan, say: Language, declination: float | None) -> Table:
    """Bearing, tilt and shadow at every half hour (long days: hour) from the first oven out to the meal."""
    begin, end = plan.start, plan.eat
    every = 30 if end - begin <= 5 * 60 else 60
    minutes = list(range(begin // every * every, end + 1, every))
    minutes = [m for m in minutes if m >= begin - every / 2]
    times = instants(
        plan.outlook.place, plan.outlook.date, clock(minutes[0]), clock(minutes[-1]), every * 60.0
    )
    above = sky(plan.outlook.place, times)
    ovens = list(dict.fromkeys(job.oven for job in plan.jobs))
    rows = []
    for m, height, bearing in zip(minutes, above.elevation, above.azimuth, strict=True):
        row = [clock(m), f"{bearing:03.0f}° {say(compass(bearing))}"]
        if declination is not None:
            row.append(f"{(bearing - declination) % 360.0:03.0f}°")
        row.append(f"{say.number(height)}°")
        for oven in ovens:
            tilt = float(np.clip(90.0 - height, oven.tilt_min, oven.tilt_max))
            row.append(f"{say.number(tilt)}°" + ("" if abs(tilt - 90.0 + height) < 0.5 else " *"))
        hidden = height < plan.outlook.line.height_at(bearing)
        row.append(_shadow(say, height, bearing, hidden))
        rows.append(tuple(row))
    heads = [say("time"), say("turn to (true)")]
    heads += [say("by the needle")] if declination is not None else []
    heads += [say("sun's height"), *(say("tilt, {oven}", oven=say(oven.name)) for oven in ovens)]
    heads += [say("shadow of a 1 m stick")]
    needle = (
        say(
            "A needle points to magnetic north. Error of the needle here: ____° (local map); east: "
            "take it from the bearing."
        )
        if declination is None
        else ""
    )
    limit = say("* as far as the stand goes.") if any("*" in cell for row in rows for cell in row) else ""
    note = say(
        "No compass: turn until the shadow of a stick runs straight back along the box, tilt until a "
        "nail upright on the glass has no shadow."
    )
    return Table(
        say("Where to aim"), tuple(heads), tuple(rows), " ".join(filter(None, (note, needle, limit)))
    )


def _shadow(say: Language, height: float, bearing: float, hidden: bool) -> str:
    if hidden:
        return say("sun behind the skyline")
    if height < 3.0:
        return say("sun too low")
    length = 1.0 / np.tan(np.radians(min(height, 89.9)))
    return f"{say.number(length, 2)} m {say(compass(bearing + 180.0))}"


def steps(plan: Plan, say: Language) -> tuple[Moment, ...]:
    """Everything hands do, in order."""
    made = []
    for oven in dict.fromkeys(job.oven for job in plan.jobs):
        first = min(job.loaded for job in plan.jobs if job.oven == oven)
        words = say("Put out the {oven}, empty and shut, and aim it.", oven=say(oven.name))
        made.append(Moment(first - plan.preheat, "out", words, len(oven.reflectors)))
    for job in plan.jobs:
        words = {"dish": say(job.dish.food.name), "oven": say(job.oven.name)}
        about = len(job.oven.reflectors), job.dish.food
        told = [(job.loaded, "in", say("Into the {oven}: {dish}. Aim it. Shut it.", **words))]
        for k in range(1, job.reaims + 1):
            told.append((int(job.loaded + k * job.reaim_every), "aim", say("Aim the {oven} again.", **words)))
        for after in job.dish.openings:
            opened = say("Open, stir, shut at once: {dish}.", **words)
            told.append((int(job.loaded + after), "open", opened))
        measured = say("Measure where it is coldest, then take out: {dish}.", **words)
        told.append((job.out, "measure", measured))
        made += [Moment(*each, *about) for each in told]
    if plan.jobs:
        made.append(Moment(plan.eat, "eat", say("Eat.")))
    return tuple(sorted(made, key=lambda moment: moment.minutes))


def joined(told: Iterable[tuple[int, str]]) -> tuple[tuple[str, str], ...]:
    """Rows (time, words) of (minutes, words), what happens at one minute in one row."""
    rows: dict[int, list[str]] = {}
    for minutes, words in told:
        rows.setdefault(minutes, []).append(words)
    return tuple((clock(minutes), " ".join(dict.fromkeys(words))) for minutes, words in rows.items())

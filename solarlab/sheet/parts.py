"""Parts of a day sheet: its tables and boxes, where to aim, and what hands do when."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np

from ..catalogue import Food, Oven
from ..dates import clock
from ..language import Language
from ..plan.meal import KEPT, Plan, clocked
from ..sky import sky
from ..sun import instants

COMPASS = (
    "N", "NNE", "NE", "ENE", "E", "ESE", "SE", "SSE", "S", "SSW", "SW", "WSW", "W", "WNW", "NW", "NNW",
)  # fmt: skip
COUNTED = 0.02  # kg, of a piece
KINDS = ("out", "measure", "in", "open", "aim", "eat")  # of what hands do, in the order within a minute


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
    """One thing hands do: minutes after midnight, its kind (of `KINDS`), and the words.

    The words lead up to a ``name`` of a dish or an oven and end after it.  ``mirrors`` of the oven and the
    ``food`` it is about are for the pictures.
    """

    minutes: int
    kind: str
    lead: str
    name: str = ""
    end: str = ""
    mirrors: int = 0
    food: Food | None = None

    @property
    def words(self) -> str:
        """All of it as a sentence or two."""
        return _sentence(self.lead, [self.name], self.end)


def _sentence(lead: str, names: Iterable[str], end: str) -> str:
    named = ", ".join(filter(None, names))
    return " ".join(filter(None, (f"{lead} {named}." if named else lead, end)))


def counted(food: Food) -> bool:
    """Whether a cook counts its pieces, as eggs and potatoes, and does not only weigh them."""
    return food.form in ("solid", "pieces") and food.mass / food.pieces >= COUNTED


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
    tilts: dict[tuple[str, ...], list[str]] = {}  # ovens that tilt alike share a column
    for oven in dict.fromkeys(job.oven for job in plan.jobs):
        tilts.setdefault(_tilts(say, oven, above.elevation), []).append(say(oven.name))
    rows = []
    for m, height, bearing, *tilted in zip(minutes, above.elevation, above.azimuth, *tilts, strict=True):
        row = [clock(m), f"{bearing:03.0f}° {say(compass(bearing))}"]
        if declination is not None:
            row.append(f"{(bearing - declination) % 360.0:03.0f}°")
        row += [f"{say.number(height)}°", *tilted]
        hidden = height < plan.outlook.line.height_at(bearing)
        row.append(_shadow(say, height, bearing, hidden))
        rows.append(tuple(row))
    heads = [say("time"), say("turn to (true)")]
    heads += [say("by the needle")] if declination is not None else []
    each = [say("tilt, {oven}", oven=", ".join(names)) for names in tilts.values()]
    heads += [say("sun's height"), *([say("tilt")] if len(each) == 1 else each)]
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


def _tilts(say: Language, oven: Oven, heights: np.ndarray) -> tuple[str, ...]:
    """How far the oven is tilted toward suns of those heights [°], with a star where its stand ends."""
    wanted = 90.0 - heights
    reached = np.clip(wanted, oven.tilt_min, oven.tilt_max)
    stars = np.where(np.abs(reached - wanted) < 0.5, "", " *")
    return tuple(f"{say.number(tilt)}°{star}" for tilt, star in zip(reached, stars, strict=True))


def _shadow(say: Language, height: float, bearing: float, hidden: bool) -> str:
    if hidden:
        return say("sun behind the skyline")
    if height < 3.0:
        return say("sun too low")
    length = 1.0 / np.tan(np.radians(min(height, 89.9)))
    return f"{say.number(length, 2)} m {say(compass(bearing + 180.0))}"


def steps(plan: Plan, say: Language) -> tuple[Moment, ...]:
    """Everything hands do, in order; an oven is aimed when the plan's cooks aim it, and at no other time."""
    made = []
    for oven in dict.fromkeys(job.oven for job in plan.jobs):
        about = {"name": say(oven.name), "mirrors": len(oven.reflectors)}
        first, *more = sorted({when for job in plan.jobs if job.oven == oven for when in job.aims})
        made.append(Moment(first, "out", say("Put out, empty and shut, and aim:"), **about))
        made += [Moment(when, "aim", say("Aim again:"), **about) for when in more]
    for job in plan.jobs:
        about = {"name": say(job.dish.food.name), "mirrors": len(job.oven.reflectors), "food": job.dish.food}
        into = say("Into the {oven}:", oven=say(job.oven.name))
        made.append(Moment(job.loaded, "in", into, end=say("Shut it."), **about))
        for after in job.dish.openings:
            made.append(Moment(int(job.loaded + after), "open", say("Open, stir, shut at once:"), **about))
        wrap = ""
        if job.out < plan.eat and clocked(job.dish.food, "cooling"):
            wrap = say("Wrap it up hot; eat by {time}.", time=clock(job.out + KEPT))
        taken = say("Measure where it is coldest, then take out:")
        made.append(Moment(job.out, "measure", taken, end=wrap, **about))
    if plan.jobs:
        made.append(Moment(plan.eat, "eat", say("Eat.")))
    return tuple(sorted(made, key=lambda moment: (moment.minutes, KINDS.index(moment.kind))))


def timetable(moments: Iterable[Moment]) -> tuple[tuple[str, str], ...]:
    """Rows (time, words) of moments: one row a minute, and what is done alike in it said once."""
    alike: dict[tuple[int, str, str], list[str]] = {}
    for moment in moments:
        alike.setdefault((moment.minutes, moment.lead, moment.end), []).append(moment.name)
    return joined((when, _sentence(lead, names, end)) for (when, lead, end), names in alike.items())


def joined(told: Iterable[tuple[int, str]]) -> tuple[tuple[str, str], ...]:
    """Rows (time, words) of (minutes, words), what happens at one minute in one row."""
    rows: dict[int, list[str]] = {}
    for minutes, words in told:
        rows.setdefault(minutes, []).append(words)
    return tuple((clock(minutes), " ".join(dict.fromkeys(words))) for minutes, words in rows.items())

"""A year on one page: month by start hour, how often a dish is ready, its safety clock kept, by the meal.

From a weather file every day of the year is cooked once for every start hour, each with its own draw of oven,
pot, load and hands; without a file, days are drawn from the months' mean cloud.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
import pandas as pd

from ..catalogue import Handling, Oven, Place
from ..cook import cook
from ..dates import clock
from ..sky import Sky, sky
from ..sun import Instants, instants
from ..weather import Weather
from .chance import Outlook, draws, hands, ready_times, skies
from .kitchen import Dish, minutes_of

DAYS = 30  # draws of a month without a weather file
STEP = 900.0  # s, between the sky's instants: the heat is marched in its own, finer steps
LOW = 5.0  # °, of sun at loading, below which a start is no daylight start (the sky's validity)
SHADES = ("#ffffff", "#e4e4e4", "#c6c6c6", "#a2a2a2", "#767676", "#4a4a4a")  # of 0–20, …, 80–99, 100 %


@dataclass(frozen=True)
class Year:
    """Chances by oven, dish, month and start: ``chance`` and the days behind it, ``(ovens, dishes, 12, S)``.

    ``starts`` are minutes after midnight; nan where the sun is below 5° at that start all month.  ``meal`` is
    in minutes.  ``source`` says where the days come from: "file" or "month".
    """

    place: Place
    ovens: tuple[str, ...]
    dishes: tuple[str, ...]
    starts: tuple[int, ...]
    meal: int
    chance: np.ndarray
    days: np.ndarray
    source: str

    def table(self, oven: int = 0, dish: int = 0) -> pd.DataFrame:
        """Percent by month (rows) and start hour (columns)."""
        percent = pd.DataFrame(
            np.round(100.0 * self.chance[oven, dish]),
            index=range(1, 13),
            columns=[clock(start) for start in self.starts],
        )
        return percent.rename_axis(index="month", columns="start")


def year(
    place: Place,
    ovens: Sequence[Oven],
    menu: Sequence[Dish],
    *,
    weather: Weather | None = None,
    mean_oktas: Sequence[float] | None = None,
    meal: str = "18:00",
    every: int = 60,
    preheat: int = 30,
    reaim_every: float | None = 60.0,
    of: int = 2025,
    seed: int = 1,
    progress: Callable[[int, int], None] = lambda done, total: None,
) -> Year:
    """The year calendar of every oven and dish, started at every daylight start ``every`` minutes.

    ``weather`` a file, or ``mean_oktas`` twelve monthly means of cloud, January first.  Ready means cooked,
    safety targets expected, no clock run out, and still fit to eat at ``meal``.  A cell rests on about 30
    days: an 80 % may be 70 or 90.
    """
    if not ovens or not menu:
        raise ValueError("a year needs at least one oven and one dish.")
    if (weather is None) == (mean_oktas is None):
        raise ValueError("give a weather file, or twelve monthly means of cloud in oktas.")
    if mean_oktas is not None and (np.shape(mean_oktas) != (12,) or not np.all(np.isfinite(mean_oktas))):
        raise ValueError(f"mean_oktas must be twelve numbers, January first; got {np.size(mean_oktas)}.")
    if mean_oktas is not None and (np.min(mean_oktas) < 0.0 or np.max(mean_oktas) > 8.0):
        raise ValueError("mean cloud is in oktas, 0 (clear) to 8 (overcast); percent / 12.5 gives oktas.")
    end = minutes_of(meal)
    starts = _starts(place, of, end, every, preheat)
    if not starts:
        raise ValueError(f"no daylight start lies before the meal at {meal}; give a later one.")
    shape = (len(ovens), len(menu), 12, len(starts))
    made, days = np.zeros(shape), np.zeros(shape)
    rng = np.random.default_rng(seed)
    total, step = len(starts) * len(ovens) * len(menu), 0
    for s, start in enumerate(starts):
        under, month = _days(place, weather, mean_oktas, of, start, preheat, end, rng)
        keep = under.elevation[:, round(preheat * 60.0 / STEP)] >= LOW
        under, month = under.pick(keep), month[keep]
        for o, d in np.ndindex(len(ovens), len(menu)):
            if month.size:
                made[o, d, :, s], days[o, d, :, s] = _cell(
                    under, month, ovens[o], menu[d], start, end, preheat, reaim_every, rng
                )
            step += 1
            progress(step, total)
    with np.errstate(invalid="ignore"):
        chance = np.where(days > 0, made / np.maximum(days, 1), np.nan)
    names = tuple(oven.name for oven in ovens), tuple(dish.food.name for dish in menu)
    return Year(place, *names, tuple(starts), end, chance, days.astype(int), "file" if weather else "month")


def _starts(place: Place, of: int, end: int, every: int, preheat: int) -> list[int]:
    """Starts that have the sun above 5° in some month, and half an hour to the meal."""
    dates = [f"{of}-{month:02d}-{day}" for month in range(1, 13) for day in ("01", "15")]
    every = int(every)
    grid = range(preheat // every * every + every * (preheat % every > 0), end - 29, every)
    day = instants(place, dates, "00:00", "24:00", 1800)
    up = sky(place, day).elevation
    found = []
    for start in grid:
        if (up[:, round(start / 30)] >= LOW).any():
            found.append(start)
    return found


def _days(place, weather, mean_oktas, of, start, preheat, end, rng) -> tuple[Sky, np.ndarray]:
    """Skies ``(days, T)`` from preheating to the meal, and the month, 0 … 11, of each."""
    begin, finish = clock(start - preheat), clock(end)
    if weather is not None:
        dates = np.arange(f"{of}-01-01", f"{of + 1}-01-01", dtype="datetime64[D]")
        held = weather.dates.astype(str)
        known = {date[5:] for date in held}
        dates = np.array([d for d in dates if str(d)[5:] in known])
        drawn = sky(place, instants(place, dates, begin, finish, STEP), weather=weather)
        return drawn, dates.astype("datetime64[M]").astype(int) % 12
    parts = []
    for month in range(12):
        outlook = Outlook(place, f"{of}-{month + 1:02d}-15", mean_oktas=float(mean_oktas[month]))
        parts.append(skies(outlook, instants(place, outlook.date, begin, finish, STEP), DAYS, rng))
    names = (
        "sun_vector",
        "beam_normal",
        "diffuse_horizontal",
        "air_temperature",
        "sky_temperature",
        "wind_speed",
        "pressure",
    )
    length = parts[0].times.shape[-1]
    utc = np.concatenate([np.broadcast_to(part.times.utc, (DAYS, length)) for part in parts])
    whole = {
        name: np.concatenate([_laid(getattr(part, name), length, name) for part in parts]) for name in names
    }
    return Sky(Instants(utc, place.timezone), **whole), np.repeat(np.arange(12), DAYS)


def _laid(array, length: int, name: str) -> np.ndarray:
    return np.broadcast_to(array, (DAYS, length, 3) if name == "sun_vector" else (DAYS, length))


def _cell(under: Sky, month, oven, dish, start, end, preheat, every, rng):
    """(made, days) by month for one oven, dish and start."""
    n = month.size
    plan = Handling(clock(start), every, dish.openings, preheat=float(preheat))
    things = [draws(thing, rng, n) for thing in (oven, dish.pot, dish.food)]
    result = cook(under, *things, hands(plan, rng, n), keep="outcome")
    ready, spoiled = ready_times(result)
    span = (end - start) * 60.0
    good = (ready <= span) & (spoiled >= span)
    return np.bincount(month, good, 12), np.bincount(month, minlength=12)


def solar_cooks(one: Year, oven: int = 0, dish: int = 0, per_week: float = 7.0) -> float:
    """Expected solar cooks in a year of trying ``per_week`` times, each month at its best start."""
    best = np.maximum(np.nan_to_num(one.chance[oven, dish], nan=0.0).max(axis=-1), 0.0)
    lengths = np.array([31, 28.25, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31])
    return float(np.sum(best * lengths) * per_week / 7.0)


def picture(one: Year, dish: int = 0, say=None):
    """Heat maps of one dish, an oven beside the other: a `figures.Picture` with words and a table."""
    from babel.dates import get_month_names

    from .._picture import Picture, blank
    from ..language import language

    say = language("en") if say is None else say
    months = get_month_names("abbreviated", locale=say.locale)
    count, hours = len(one.ovens), len(one.starts)
    figure = blank(1.0 + count * (0.9 + 0.4 * hours), 4.9)
    title = say(
        "{dish}: ready by {time}, of 100 days", dish=say.start(one.dishes[dish]), time=clock(one.meal)
    )
    figure.suptitle(title, fontsize=12)
    said = []
    for o, oven in enumerate(one.ovens):
        width = 1.0 / count
        axes = figure.add_axes((o * width + 0.07, 0.13, width - 0.085, 0.72))
        _heat_map(axes, one, o, dish, months)
        axes.set_title(say.start(oven), fontsize=11)
        axes.set_xlabel(say("put in at"), fontsize=10)
        said.append(_said(one, o, dish, months, say))
    frames = {say(oven): one.table(o, dish) for o, oven in enumerate(one.ovens)}
    table = pd.concat(frames, axis=1)
    table.columns = [f"{name} {start}" for name, start in table.columns]
    table.insert(0, say("month"), [months[m] for m in table.index])
    return Picture(figure, f"{title}. " + " ".join(said), table, title)


def _heat_map(axes, one: Year, o: int, d: int, months) -> None:
    """Cells shaded in six greys with their percent written in: read without colour."""
    values = one.chance[o, d]
    for m in range(12):
        for s in range(len(one.starts)):
            value = values[m, s]
            if np.isnan(value):
                axes.add_patch(_cell_patch(s, m, "#ffffff", "xxx"))
                continue
            level = int(min(value * 5.0, 5.0))
            axes.add_patch(_cell_patch(s, m, SHADES[level], None))
            axes.text(
                s + 0.5,
                m + 0.5,
                f"{100 * value:.0f}",
                ha="center",
                va="center",
                fontsize=8.5,
                color="#ffffff" if level >= 4 else "#000000",
            )
    axes.set_xlim(0, len(one.starts))
    axes.set_ylim(12, 0)
    axes.set_xticks(np.arange(len(one.starts)) + 0.5, [f"{start // 60}" for start in one.starts], fontsize=9)
    axes.set_yticks(np.arange(12) + 0.5, [months[m] for m in range(1, 13)], fontsize=9)
    axes.tick_params(length=0)


def _cell_patch(s: int, m: int, colour: str, hatch):
    from matplotlib.patches import Rectangle

    return Rectangle((s, m), 1, 1, facecolor=colour, edgecolor="#777777", linewidth=0.5, hatch=hatch)


def _said(one: Year, o: int, d: int, months, say) -> str:
    """The best start of the best and of the worst month, in words."""
    values = np.nan_to_num(one.chance[o, d], nan=-1.0)
    best = values.max(axis=-1)
    top, low = int(np.argmax(best)), int(np.argmin(best))
    words = [
        say(
            "{month}, in at {time}: {count}",
            month=months[m + 1],
            time=clock(one.starts[int(np.argmax(values[m]))]),
            count=say.number(max(100.0 * best[m], 0.0)),
        )
        for m in (top, low)
    ]
    return f"{say.start(one.ovens[o])}: {'; '.join(words)}."

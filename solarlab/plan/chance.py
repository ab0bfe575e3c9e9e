"""Chances: a cook under all the days, ovens and hands it may meet, drawn together.

`Outlook` says what is known of the day.  `skies` draws days from it, `draws` draws things about their
stated spreads, and `chances` cooks them all and counts.  What nobody told is drawn widely: a missing number
widens the range, it never stops the sheet.  Times are seconds after loading; a dish that never gets ready is
infinitely late, so that quantiles stay honest.
"""

from __future__ import annotations

from dataclasses import dataclass, field, fields, replace

import numpy as np
from scipy.special import ndtr

from .. import catalogue
from .._limits import LIMITS
from .._quantity import Quantity
from ..catalogue import FIXED, Food, Handling, Oven, Place, Pot, vary
from ..cook import Cook, cook
from ..sky import Sky, daily_temperature, sky
from ..sun import Instants, clock_hours, declination, instants
from ..weather import Conditions, Weather
from .site import Skyline, shaded

# Days either side of the date whose weather may come.  Half the days of the Greensboro TMY3 against the other
# half: 76 % of outcomes in the 80 % range over the year; 22 and 30 days gave 73 and 75 % [measured].
WINDOW = 15
OKTAS_DOUBT = 1.0  # oktas, one standard deviation of a forecast of cloud (estimate, no source)
LIGHT_DOUBT = 0.05  # of the light: what the clear-sky model and the file miss (sky.py states 0–7 %)
WIND_DOUBT = 0.5  # of the logarithm of the wind: yards are not masts (estimate, no source)
AIR_DOUBT = 2.0  # K, of a stated or filed air temperature
GUESS_DOUBT = 6.0  # K, of an air temperature that is guessed from latitude, height and season
OPENING_DOUBT = 0.5  # of the logarithm of the seconds a lid stands open (estimate, no source)
AIM_DOUBT = 1.5  # °, of what hands miss the sun by, beyond the handling's own number
LATE = 10.0  # minutes: how late people re-aim, at most as often as not (estimate, no source)
# Hours of one day at one cloud are alike: z-scores of the beam in the Greensboro TMY3, 1–6 hours apart,
# correlate by .50 .36 .35 .24 .20 .25 [lib]; .30 for the day and .30 from hour to hour of the rest give that.
DAY_SHARE, HOUR_TO_HOUR = 0.30, 0.30
# Mean cloud of days, as Beta: days are mostly clear or mostly grey.  In the Greensboro TMY3 days' means
# between 8 and 17 h spread by 2.65 oktas [lib]; a + b of 1.2 gives 2.7 at a mean of 4.
DAYS_ALIKE = 1.2
PERCENT = (10.0, 50.0, 90.0)


@dataclass(frozen=True)
class Outlook:
    """What is known of a day: any of it may be missing.

    ``weather`` a file; ``oktas`` a forecast of cloud, 0 … 8, or a mapping from clock times; ``mean_oktas``
    the month's mean cloud from a climate table.  Without any of these the cloud is unknown.  With a file and
    no cloud stated, any day within ``window`` days of the date may come.  ``air`` (low, high) [°C] and
    ``wind`` [m/s at the oven] as forecast.  ``line`` is the skyline of the spot.
    """

    place: Place
    date: str
    weather: Weather | None = None
    oktas: object = None
    mean_oktas: float | None = None
    air: tuple[float, float] | None = None
    wind: float | None = None
    line: Skyline = field(default_factory=Skyline)
    window: int = WINDOW

    def __post_init__(self):
        if self.oktas is not None and self.mean_oktas is not None:
            raise ValueError("give oktas for the day or mean_oktas for the month, not both.")

    @property
    def known(self) -> str:
        """Where the cloud comes from: "forecast", "file", "month" or "unknown"."""
        if self.oktas is not None:
            return "forecast"
        if self.weather is not None:
            return "file"
        return "unknown" if self.mean_oktas is None else "month"


@dataclass(frozen=True)
class Spread:
    """A range over all draws: what 10, 50 and 90 % of them stay below; ``inf`` where too many never come."""

    low: float
    middle: float
    high: float
    never: float  # share of the draws


@dataclass(frozen=True)
class Chances:
    """A dish over ``n`` draws, each array ``(n,)`` in seconds after loading.

    ``ready``: cooked, its safety targets expected, no clock run out; ``inf`` where that never comes.
    ``spoiled``: when food that was ready must have been eaten, ``inf`` while it stays hot.  ``days`` is each
    draw's day.
    """

    cook: Cook
    ready: np.ndarray
    spoiled: np.ndarray

    @property
    def spread(self) -> Spread:
        """The 80 % range of being ready."""
        return spread(self.ready)

    def by(self, seconds) -> np.ndarray:
        """Which draws are ready at that many seconds after loading, and still fit to eat then."""
        return (self.ready <= seconds) & (self.spoiled >= seconds)

    def states(self) -> np.ndarray:
        """Shares of the verdicts, in the order of `safety.STATES`."""
        return np.bincount(self.cook.judgement.state.ravel(), minlength=4) / self.ready.size


def spread(times) -> Spread:
    """The range of ``times`` [s], where nan or ``inf`` means never; quantiles are of all draws."""
    late = np.sort(np.where(np.isfinite(times), times, np.inf).ravel())
    picked = [late[min(int(np.ceil(p / 100.0 * late.size)) - 1, late.size - 1)] for p in PERCENT]
    return Spread(*(float(p) for p in picked), float(np.mean(~np.isfinite(late))))


def skies(outlook: Outlook, times: Instants, n: int, generator: np.random.Generator, rows=None) -> Sky:
    """``n`` draws of the sky at ``times`` ``(T,)``: arrays ``(n, T)``, behind the outlook's skyline.

    ``rows`` limits a file to those of its days within the window (numbers from -window to window).
    """
    light = np.clip(1.0 + LIGHT_DOUBT * generator.standard_normal(n), 0.7, 1.3)[:, None]
    gusty = np.exp(WIND_DOUBT * generator.standard_normal(n))[:, None]
    if outlook.weather is not None:
        shifts = _near_days(outlook, times) if rows is None else np.asarray(rows)
        days = generator.permutation(np.resize(generator.permutation(shifts), n))
        shifted = _Shifted(outlook.weather, days)
    if outlook.known == "file":
        drawn = sky(outlook.place, times, weather=shifted)
    else:
        drawn = _cloudy(outlook, times, n, generator)
        if outlook.weather is not None:  # its air and its wind, under the cloud that was forecast
            at = shifted.at(times)
            drawn = replace(drawn, air_temperature=at.air_temperature, wind_speed=at.wind_speed,
                            sky_temperature=_as_cold(drawn, at.air_temperature))
    drawn = _with_air(outlook, drawn, n, generator)
    wind = drawn.wind_speed if outlook.wind is None else outlook.wind
    drawn = replace(
        drawn,
        beam_normal=drawn.beam_normal * light,
        diffuse_horizontal=drawn.diffuse_horizontal * light,
        wind_speed=np.minimum(wind * gusty, 25.0) * np.ones((1, times.shape[-1])),
    )
    return shaded(drawn, outlook.line)


def draws(thing, generator: np.random.Generator, n: int):
    """``n`` draws of an oven, pot or food; a number without a source is drawn twice as widely as the shelf's.

    ``None`` (no pot) stays ``None``.
    """
    if thing is None:
        return None
    shelf = {Oven: ("oven", "four-mirror box"), Pot: ("pot", "dark enamelled steel"), Food: ("food", "rice")}
    maker, name = shelf[type(thing)]
    like = getattr(catalogue, maker)(name)
    sources = dict(thing.sources)
    for item in fields(thing):
        known, value = like.sources.get(item.name), getattr(thing, item.name)
        if item.name in sources or item.name in FIXED or known is None or np.ndim(value):
            continue
        if not known.spread or not known.value or item.name not in LIMITS[type(thing).__name__]:
            continue
        width = 2.0 * known.spread / known.value * value
        low, high, unit = LIMITS[type(thing).__name__][item.name]
        if width > 0:
            sources[item.name] = Quantity(value, unit, width, "not stated: drawn widely", low, high)
    ready = replace(thing, sources=sources)
    stated = [q for name, q in sources.items() if q.spread and name not in FIXED and hasattr(thing, name)]
    return vary(ready, generator, n) if stated else ready


def hands(handling: Handling, generator: np.random.Generator, n: int) -> Handling:
    """``n`` draws of how people handle the oven: worse aim, later re-aims, longer openings than planned."""
    worse = np.abs(AIM_DOUBT * generator.standard_normal(n))
    late = generator.random(n) * LATE
    seconds = handling.opening_seconds * np.exp(OPENING_DOUBT * generator.standard_normal(n))
    every = None if handling.reaim_every is None else handling.reaim_every + late
    return replace(handling, aim_error=handling.aim_error + worse, reaim_every=every,
                   opening_seconds=np.minimum(seconds, 600.0))


def ready_times(result: Cook) -> tuple[np.ndarray, np.ndarray]:
    """(ready, spoiled) of a cook, see `Chances`; arrays as the cook's scenarios."""
    judged = result.judgement
    ready = np.fmax(result.done, judged.when)
    good = np.isfinite(result.done) & np.isfinite(judged.when) & (judged.state == 0)
    spoiled = np.where(np.isnan(judged.eat_by), np.inf, judged.eat_by)
    return np.where(good, ready, np.inf), spoiled


def chances(outlook: Outlook, oven: Oven, pot: Pot | None, food: Food, handling: Handling, *,
            end: str, n: int = 1000, seed: int = 1, step: float = 300.0, rows=None) -> Chances:
    """Cook ``food`` over ``n`` draws of day, oven, pot, load and hands, from loading until ``end`` "HH:MM".

    The same seed gives the same draws; another seed's outcomes fall in this one's 80 % range 80 times of 100.
    """
    generator = np.random.default_rng(seed)
    begin = clock_hours(str(handling.loaded)) - float(handling.preheat) / 60.0
    if not 0.0 <= begin < clock_hours(end):
        raise ValueError(f"loading at {handling.loaded} with {handling.preheat:g} min of preheat must lie "
                         f"within the day and before {end}.")
    times = span(outlook, begin, clock_hours(end), step)
    under = skies(outlook, times, n, generator, rows)
    things = [draws(thing, generator, n) for thing in (oven, pot, food)]
    result = cook(under, *things, hands(handling, generator, n), keep="outcome")
    return Chances(result, *ready_times(result))


def span(outlook: Outlook, begin: float, end: float, step: float) -> Instants:
    """Instants of the outlook's date from ``begin`` to ``end``, hours on the local clock."""

    def clock(hours):
        return f"{int(hours + 1e-9):02d}:{round(hours * 60.0) % 60:02d}"

    return instants(outlook.place, outlook.date, clock(begin), clock(end), step)


def covered(samples, outcomes, generator: np.random.Generator) -> float:
    """Share of ``outcomes`` inside the 80 % range of ``samples``; ties, "never" too, are split by lot.

    Where many draws never come, the range ends at never and would hold them all; splitting ties keeps what is
    counted at 80 % for a forecast that is right.
    """
    known, seen = (np.where(np.isfinite(a), a, np.inf).ravel() for a in (samples, outcomes))
    known = np.sort(known)
    below = np.searchsorted(known, seen, side="left") / known.size
    above = np.searchsorted(known, seen, side="right") / known.size
    rank = below + (above - below) * generator.random(seen.size)
    return float(np.mean((rank >= 0.1) & (rank <= 0.9)))


@dataclass(frozen=True)
class _Shifted:
    """A weather file read some days away, one shift a draw: what `sky` asks of a file."""

    weather: Weather
    days: np.ndarray

    def at(self, times: Instants) -> Conditions:
        moved = times.utc + self.days[:, None] * np.timedelta64(86_400_000_000_000, "ns")
        return self.weather.at(Instants(moved, times.timezone))

    def notes_for(self, place: Place) -> tuple[str, ...]:
        return self.weather.notes_for(place)


def _near_days(outlook: Outlook, times: Instants) -> np.ndarray:
    """Days from the date, within the window, that the file holds; the date itself must be among its days."""
    around = np.arange(-outlook.window, outlook.window + 1)
    held = []
    for shift in around:
        try:
            _Shifted(outlook.weather, np.array([shift])).at(times)
            held.append(shift)
        except ValueError:
            if shift == 0:
                raise
    return np.array(held)


def _cloudy(outlook: Outlook, times: Instants, n: int, generator: np.random.Generator) -> Sky:
    """Skies at the cloud that is known or not, the beam changing from hour to hour."""
    oktas = outlook.oktas
    if outlook.known in ("unknown", "month"):
        mean = 8.0 * generator.uniform(0.1, 0.9, n) if outlook.mean_oktas is None else outlook.mean_oktas
        share = np.clip(np.asarray(mean) / 8.0, 0.02, 0.98)
        oktas = 8.0 * generator.beta(DAYS_ALIKE * share, DAYS_ALIKE * (1.0 - share), n)
    elif not isinstance(oktas, dict):
        oktas = np.clip(float(oktas) + OKTAS_DOUBT * generator.standard_normal(n), 0.0, 8.0)
    hour = np.floor(times.clock).astype(int)
    hours = np.arange(hour.min(), hour.max() + 1)
    chain = generator.standard_normal((n, hours.size))
    for k in range(1, hours.size):
        chain[:, k] = HOUR_TO_HOUR * chain[:, k - 1] + np.sqrt(1.0 - HOUR_TO_HOUR**2) * chain[:, k]
    day = generator.standard_normal((n, 1))
    quantile = ndtr(np.sqrt(DAY_SHARE) * day + np.sqrt(1.0 - DAY_SHARE) * chain)
    if isinstance(oktas, dict):
        made = sky(outlook.place, times, oktas=oktas, quantile=quantile)
    else:
        made = sky(outlook.place, times, oktas=oktas[:, None], quantile=quantile)
    place = (hour - hours[0])[None, None, :]

    def picked(values):
        values = np.broadcast_to(values, (n, hours.size, times.shape[-1]))
        return np.take_along_axis(values, np.broadcast_to(place, (n, 1, times.shape[-1])), axis=1)[:, 0]

    names = ("beam_normal", "diffuse_horizontal", "sky_temperature")
    return replace(made, **{name: picked(getattr(made, name)) for name in names})


def _with_air(outlook: Outlook, drawn: Sky, n: int, generator: np.random.Generator) -> Sky:
    """The sky with its air temperature drawn: as forecast, else the file's, else guessed and wide."""
    times, doubt = drawn.times, AIR_DOUBT
    if outlook.air is not None:
        air = daily_temperature(outlook.place, times, *outlook.air)
    elif outlook.weather is not None:
        air = drawn.air_temperature
    else:
        middle, doubt = guessed_air(outlook.place, times), GUESS_DOUBT
        air = daily_temperature(outlook.place, times, middle - 5.0, middle + 5.0)
    air = np.clip(air + doubt * generator.standard_normal((n, 1)), -40.0, 55.0)
    return replace(drawn, air_temperature=air, sky_temperature=_as_cold(drawn, air))


def _as_cold(drawn: Sky, air) -> np.ndarray:
    """A sky temperature as far below ``air`` as it was below the sky's own."""
    return air + drawn.sky_temperature - drawn.air_temperature


def guessed_air(place: Place, times: Instants) -> float:
    """Mean air of a day [°C] where nobody says: 27 in the tropics, 6.5 K a km and .5 K a degree less.

    A rough rule of ours (no source), good to about 6 K; deserts and coasts are worse.
    """
    away = abs(float(place.latitude) - float(np.mean(declination(times))))
    return float(np.clip(27.0 - 0.0065 * place.elevation - 0.5 * max(away - 15.0, 0.0), -15.0, 35.0))

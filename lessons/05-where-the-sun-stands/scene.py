"""Lesson 05, where the sun stands: the sun's day and year at a place, and tables of them."""

from __future__ import annotations

import math
from functools import lru_cache

import numpy as np
import pandas as pd

from solarlab import catalogue, dates, figures
from solarlab.catalogue import Place
from solarlab.dates import MONTHS, on_the_day
from solarlab.sun import SunTimes, declination, equation_of_time, instants, sun_times, sun_vector
from solarlab.table import Table

YEAR = 2026
DAYS = (1, 11, 21)  # of each month, in the table of the year
READING = 1.0  # cm, how well the end of a shadow can be read
COMPASS = (
    "north", "north-east", "east", "south-east", "south", "south-west", "west", "north-west",
)  # fmt: skip


def date_of(month: int, day: int = 21) -> str:
    """``"2026-06-21"``."""
    return f"{YEAR}-{month:02d}-{day:02d}"


def clock(minutes: float) -> str:
    """Minutes after midnight as ``"14:19"``, to the nearest minute: sums of corrections have fractions."""
    return dates.clock(round(minutes))


def minutes_of(moment: pd.Timestamp) -> float:
    """What the clock of a tz-aware ``moment`` shows, in minutes after midnight."""
    return moment.hour * 60 + moment.minute + moment.second / 60.0


def compass(azimuth: float) -> str:
    """The nearest of eight directions; azimuth in degrees clockwise from north."""
    return COMPASS[round(float(azimuth) / 45.0) % 8]


def latitude_words(place: Place) -> str:
    """``"12.6° north"``."""
    return f"{abs(place.latitude):.1f}° {'north' if place.latitude >= 0 else 'south'}"


def longitude_words(place: Place) -> str:
    """``"3.7° west"``."""
    return f"{abs(place.longitude):.1f}° {'east' if place.longitude >= 0 else 'west'}"


def ahead_words(city: str, date: str) -> str:
    """How a city's clock stands to UTC that day: ``"5.5 h ahead of UTC"``, ``"3 h behind UTC"``."""
    hours = noon(city, date).transit.utcoffset().total_seconds() / 3600.0
    if hours == 0.0:
        return "that of UTC"
    return f"{abs(hours):g} h {'ahead of' if hours > 0 else 'behind'} UTC"


# --- one moment ---------------------------------------------------------------------------------------------


def angles(place: Place, moment: pd.Timestamp) -> tuple[float, float]:
    """Elevation and azimuth [°] of the sun at a tz-aware ``moment``."""
    index = pd.DatetimeIndex([moment, moment + pd.Timedelta(seconds=60)])
    east, north, up = sun_vector(place, index)[0]
    return math.degrees(math.asin(up)), math.degrees(math.atan2(east, north)) % 360.0


def at_clock(place: Place, date: str, minutes: float) -> pd.Timestamp:
    """The moment at which the clock of the place shows ``minutes`` after midnight."""
    midnight = pd.Timestamp(date)
    return (midnight + pd.Timedelta(minutes=float(minutes))).tz_localize(place.timezone)


@lru_cache(maxsize=4096)
def noon(city: str, date: str) -> SunTimes:
    """Sunrise, sun's noon and sunset of a city of the catalogue."""
    return sun_times(catalogue.place(city), date)


def noon_minutes(city: str, date: str) -> float:
    """The clock of the sun's noon, in minutes after midnight."""
    return minutes_of(noon(city, date).transit)


@lru_cache(maxsize=4096)
def sun_latitude(date: str) -> float:
    """The latitude over which the sun stands that day [°, north positive]: its declination, at 12 h UTC."""
    return float(declination(_utc_noon(date))[0])


@lru_cache(maxsize=4096)
def sundial_ahead(date: str) -> float:
    """Minutes by which a sundial is ahead of an even clock that day: the equation of time, at 12 h UTC."""
    return float(equation_of_time(_utc_noon(date))[0])


def _utc_noon(date: str) -> pd.DatetimeIndex:
    return pd.DatetimeIndex([f"{date} 12:00", f"{date} 12:01"], tz="UTC")


def noon_side() -> str:
    """Where the sun stands at its highest over Nairobi on 21 June: the outcome of the first bet."""
    place, day = catalogue.place("Nairobi"), noon("Nairobi", date_of(6))
    height, azimuth = angles(place, day.transit)
    return "overhead" if height > 87.0 else compass(azimuth)


# --- the sky of a place -------------------------------------------------------------------------------------


def place_with_clock(latitude: float, longitude: float, ahead: float) -> Place:
    """A place whose clock is ``ahead`` hours ahead of UTC, as one on the clock of Greenwich.

    Turning the Earth by 15° an hour keeps the sun on the clock; the date slips by half a day at most, which
    moves the sun's declination by 0.2° at the equinox and less at other times.
    """
    turned = (longitude - 15.0 * ahead + 180.0) % 360.0 - 180.0
    return Place("here", float(latitude), turned, 0.0, "Etc/UTC")


def paths(place: Place, dates: dict[str, str], title: str):
    """The sun's paths on named dates; of the last one, also where it rises, and where and when it is noon."""
    days = {}
    for name, date in dates.items():
        times = instants(place, date, "00:00", "24:00", 600)
        east, north, up = np.moveaxis(sun_vector(place, times), -1, 0)
        azimuth = np.degrees(np.arctan2(east, north)) % 360.0
        days[name] = (times.local, azimuth, np.degrees(np.arcsin(up)))
    drawn = figures.sun_path(days, title=title)
    told = told_of(place, list(dates.values())[-1])
    beside = "\n".join([f"{list(dates)[-1]}:", *told])
    drawn.figure.text(0.985, 0.32, beside, fontsize=9.5, ha="right", va="center", linespacing=1.4)
    said = f"{drawn.alt} Of {list(dates)[-1]}: {'; '.join(told)}."
    return figures.Picture(drawn.figure, said, drawn.table, title)


def told_of(place: Place, date: str) -> list[str]:
    """Sunrise, noon and sunset in words, a line each."""
    day = sun_times(place, date)
    if day.state == "does not rise":
        return ["the sun does not rise"]
    height, azimuth = angles(place, day.transit)
    side = "overhead" if height > 89.0 else f"in the {compass(azimuth)}"
    lines = [f"highest at {clock(minutes_of(day.transit))}: {height:.1f}°", side]
    if day.sunrise is None or day.sunset is None:
        return [*lines, "it does not set"]
    up, down = (angles(place, moment)[1] for moment in (day.sunrise, day.sunset))
    return [
        f"up at {clock(minutes_of(day.sunrise))}, at {up:.0f}° ({compass(up)})",
        *lines,
        f"down at {clock(minutes_of(day.sunset))}, at {down:.0f}° ({compass(down)})",
    ]


def your_sky(latitude, longitude, ahead, month, day):
    """Four paths over a place: the two ends of the year, its middle, and the day asked for."""
    place = place_with_clock(latitude, longitude, ahead)
    chosen = f"{day} {MONTHS[month - 1]}"
    dates = {"21 December": date_of(12), "21 March": date_of(3), "21 June": date_of(6)}
    return paths(
        place, dates | {f"your day: {chosen}": date_of(month, day)}, f"The sky at {latitude_words(place)}"
    )


def nairobi_in_june():
    """The sky of the first bet."""
    dates = {"21 December": date_of(12), "21 March": date_of(3), "21 June": date_of(6)}
    return paths(catalogue.place("Nairobi"), dates, "The sky over Nairobi")


# --- tables -------------------------------------------------------------------------------------------------


def year_table() -> Table:
    """The sun's own latitude and the sundial's lead on three days of each month."""
    rows = []
    for month in range(1, 13):
        for day in DAYS:
            date = date_of(month, day)
            over, ahead = sun_latitude(date), sundial_ahead(date)
            side = "north" if over >= 0 else "south"
            lead = f"{abs(ahead):.0f} min {'ahead' if ahead > 0 else 'behind'}"
            even = "even" if round(ahead) == 0 else lead
            rows.append((on_the_day(date), f"{abs(over):.1f}° {side}", even))
    columns = ["day", "the sun's own latitude", "sundial against an even clock"]
    return Table(pd.DataFrame(rows, columns=columns), "The sun's year")


def height_table() -> Table:
    """From the length of a shadow to the height of the sun."""
    rows = []
    for ratio in (0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8, 0.9, 1.0, 1.2, 1.4, 1.7, 2.0, 2.5, 3.0, 4.0):
        height = math.degrees(math.atan2(1.0, ratio))
        rows.append((f"{ratio:.1f}", f"{height:.1f}°", f"{90.0 - height:.1f}°"))
    columns = ["shadow ÷ stick", "elevation (from the horizon)", "zenith angle (from overhead)"]
    return Table(pd.DataFrame(rows, columns=columns), "What a shadow says")


def noon_table() -> Table:
    """Four cities on one day, and all that comes between twelve on the clock and the sun's noon."""
    date, rows = date_of(7, 1), []
    for city in ("Madrid", "Berlin", "Nairobi", "Lhasa"):
        place, day = catalogue.place(city), noon(city, date)
        summer = 60 if day.daylight_saving else 0
        standard = day.transit.utcoffset().total_seconds() / 3600.0 - summer / 60.0
        late = 4.0 * (15.0 * standard - place.longitude)
        lag = -sundial_ahead(date)
        rows.append((city, f"{late:+.0f}", f"{lag:+.0f}", f"{summer:+d}", clock(noon_minutes(city, date))))
    columns = ["city", "longitude (min)", "sundial (min)", "summer time (min)", "sun's noon on the clock"]
    return Table(
        pd.DataFrame(rows, columns=columns).replace({"+0": "0", "-0": "0"}),
        "From twelve to the sun's noon, 1 July",
    )


def sunrise_table() -> Table:
    """Where the sun comes up over the year."""
    rows = []
    for city in ("Quito", "Mumbai", "Cairo", "Berlin", "Melbourne"):
        place = catalogue.place(city)
        ups = [angles(place, noon(city, date_of(month)).sunrise)[1] for month in (3, 6, 9, 12)]
        rows.append((city, latitude_words(place), *(f"{up:.0f}°" for up in ups)))
    columns = ["city", "latitude", "21 March", "21 June", "21 September", "21 December"]
    return Table(pd.DataFrame(rows, columns=columns), "Where the sun comes up (90° is due east)")


def rising_table() -> Table:
    """How far from due east the sun comes up, for any place outside the polar circles and any day.

    sin(degrees from east) = sin(the sun's own latitude) / cos(latitude), the sun's middle on a level horizon
    and no air.  The air lifts it: it is seen to rise up to 2° further north (south of the equator, south).
    """
    sines = {over: math.sin(math.radians(over)) for over in (5.0, 10.0, 15.0, 20.0, 23.4)}
    rows = []
    for latitude in (0, 20, 30, 35, 40, 45, 50, 55):
        wide = math.cos(math.radians(latitude))
        rows.append((f"{latitude}°", *(f"{math.degrees(math.asin(s / wide)):.0f}°" for s in sines.values())))
    columns = ["your latitude", *(f"sun's own {over:g}°" for over in sines)]
    caption = "So far from due east the sun comes up: your latitude down, the sun's own across"
    return Table(pd.DataFrame(rows, columns=columns), caption)

"""Instants, and where the sun stands: solar position, sunrise and sunset, solar time.

Angles in degrees: azimuth clockwise from north, elevation from the horizon.  Instants carry a time zone; a
naive instant is an error.  Position is pvlib's SPA (Reda & Andreas, NREL/TP-560-34302) evaluated once a day;
between those the declination and the equation of time run straight, which keeps the position within 0.002° of
a full evaluation at every instant.  The module knows nothing of clouds or ovens.
"""

from __future__ import annotations

import datetime
import re
import zoneinfo
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
import pandas as pd
from pvlib import atmosphere, spa

from ._limits import suggest, within
from .catalogue import Place

NANOSECONDS_PER_DAY = 86_400_000_000_000
SOLAR_CONSTANT = 1366.1  # W/m², ASTM E490: the value pvlib's models were fitted with
DELTA_T = 67.0  # s, terrestrial minus universal time, 2003–2030; one second moves the sun 0.00001°
HORIZON = -0.8333  # °, true elevation of the sun's centre when its upper limb shows, as SPA has it
REFRACTION_TEMPERATURE = 12.0  # °C, pvlib's default; 30 K more moves the sun .06° at the horizon, less above
PARALLAX = 8.794 / 3600  # °, how much the Earth's radius lowers the sun at the horizon (SPA eq. 33)
FIRST_YEAR, LAST_YEAR = 1700, 2250  # within what nanoseconds in 64 bits can count
BLOCK = 366  # days of the ephemeris computed at a time


@dataclass(frozen=True, eq=False)
class Instants:
    """Evenly spaced moments.

    ``utc``: ``datetime64[ns]``, shape ``(..., T)``, T at least 2, one step throughout.  ``timezone``: the
    name of the clock people read, such as ``"Africa/Nairobi"`` or ``"UTC+05:30"``.
    """

    utc: np.ndarray
    timezone: str

    def __post_init__(self):
        utc = np.asarray(self.utc)
        if utc.dtype.kind != "M":
            raise ValueError("Instants need datetime64 values in UTC; make them with instants(place, date).")
        years = utc.astype("datetime64[Y]")  # NaT passes: it is told below
        if np.any((years < np.datetime64(f"{FIRST_YEAR}")) | (years > np.datetime64(f"{LAST_YEAR}"))):
            raise ValueError(f"Instants must lie between the years {FIRST_YEAR} and {LAST_YEAR}.")
        utc = utc.astype("datetime64[ns]")
        if utc.ndim == 0 or utc.shape[-1] < 2:
            raise ValueError("Instants need at least two moments along the last axis.")
        if np.isnat(utc).any():
            raise ValueError("Instants have a missing time (NaT); every moment must be given.")
        steps = np.diff(utc.view("int64"), axis=-1)
        if steps.flat[0] <= 0 or (steps != steps.flat[0]).any():
            raise ValueError("Instants must be evenly spaced and rising; resample them to one fixed step.")
        zone(self.timezone)
        object.__setattr__(self, "utc", utc)

    @property
    def shape(self) -> tuple[int, ...]:
        """``(..., T)``."""
        return self.utc.shape

    @property
    def step(self) -> float:
        """Seconds from one instant to the next."""
        return float((self.utc.flat[1] - self.utc.flat[0]) / np.timedelta64(1, "ns")) / 1e9

    @property
    def local(self) -> pd.DatetimeIndex:
        """The same moments on the local clock; for one scenario (``times[i].local`` out of a batch)."""
        if self.utc.ndim != 1:
            raise ValueError(f"These instants hold {self.shape[:-1]} scenarios; pick one: times[0].local.")
        return pd.DatetimeIndex(self.utc, tz="UTC").tz_convert(zone(self.timezone))

    @property
    def clock(self) -> np.ndarray:
        """Hours on the local clock, 0 … 24, shape ``(..., T)``."""
        local = pd.DatetimeIndex(self.utc.ravel(), tz="UTC").tz_convert(zone(self.timezone)).tz_localize(None)
        return (_nanoseconds(local.to_numpy()) % NANOSECONDS_PER_DAY / 3.6e12).reshape(self.shape)

    def __getitem__(self, scenario) -> Instants:
        """The instants of one scenario, or of a slice of them."""
        return Instants(self.utc[scenario], self.timezone)


def instants(place: Place, dates, start: str = "06:00", end: str = "20:00", step: float = 300) -> Instants:
    """The instants from ``start`` to ``end`` on the local clock, every ``step`` seconds, both ends kept.

    ``dates``: one date (``"2024-06-21"``, a date, a Timestamp) gives shape ``(T,)``; several, ``(days, T)``.
    Steps are equal in real time, so a day on which the clocks change is not torn.  ``end`` may be
    ``"24:00"``.
    """
    first, last = clock_hours(start), clock_hours(end)
    if last <= first:
        raise ValueError(f"end must be later than start on the same day, got start {start} and end {end}.")
    within("step", step, 1, 3600, "s")
    count = int((last - first) * 3600 / step + 1e-9) + 1
    if count < 2:
        raise ValueError(f"A step of {step:g} s does not fit between {start} and {end}.")
    days = [dates] if np.ndim(dates) == 0 else list(dates)
    if not days:
        raise ValueError("dates is empty; give at least one date.")
    local, midnight = zone(place.timezone), datetime.time()
    begin = datetime.timedelta(hours=first)
    starts = [_utc(datetime.datetime.combine(_date(day), midnight, local) + begin) for day in days]
    starts = np.array(starts, dtype="datetime64[ns]")
    utc = starts[:, None] + (np.arange(count) * round(step * 1e9)).astype("timedelta64[ns]")
    return Instants(utc[0] if np.ndim(dates) == 0 else utc, place.timezone)


def as_instants(times, timezone: str | None = None) -> Instants:
    """``times`` if they already are :class:`Instants`, else made from a time-zone-aware ``DatetimeIndex``."""
    if isinstance(times, Instants):
        return times
    if not isinstance(times, pd.DatetimeIndex):
        raise TypeError("times must be Instants, from instants(place, date), or a tz-aware DatetimeIndex.")
    if times.tz is None:
        raise ValueError("These times have no time zone; add it, as in times.tz_localize('Africa/Nairobi'), "
                         "or use instants(place, date).")
    return Instants(times.tz_convert("UTC").tz_localize(None).to_numpy(), timezone or str(times.tz))


def sun_vector(place: Place, times) -> np.ndarray:
    """Unit vector from the ground to where the sun is seen (refraction included): east, north, up.

    Shape ``(..., T, 3)``; fields of ``place`` may carry scenarios.  Within 0.01° of pvlib's full SPA at any
    latitude, horizon and midnight included (refraction at the standard pressure of the elevation and 12 °C).
    """
    check_place(place)
    return apparent_vector(place, as_instants(times).utc)


def extraterrestrial(times) -> np.ndarray:
    """Beam irradiance above the atmosphere, W/m², shape ``(..., T)``: 1366.1 / (distance in AU)²."""
    return _interpolate(as_instants(times).utc)[2]


def declination(times) -> np.ndarray:
    """The sun's declination, °, north positive, shape ``(..., T)``."""
    return _interpolate(as_instants(times).utc)[1]


def equation_of_time(times) -> np.ndarray:
    """Sundial minus mean clock, minutes, shape ``(..., T)``: +16 in early November, −14 in mid-February."""
    return 4.0 * (_interpolate(as_instants(times).utc)[0] - 180.0)


def solar_time(place: Place, times) -> np.ndarray:
    """Hours of the sundial, 0 … 24: 12 when the sun crosses the meridian.  Shape ``(..., T)``.

    Differs from the clock by longitude, the equation of time and daylight saving.
    """
    check_place(place)
    return _hour_angle(place, as_instants(times).utc)[0] / 15.0 % 24.0


@dataclass(frozen=True)
class SunTimes:
    """Sunrise, transit (highest sun) and sunset of one day on the local clock, tz-aware.

    ``sunrise`` and ``sunset`` are ``None`` where there is none; ``state`` is ``"rises and sets"``,
    ``"does not rise"`` (polar night) or ``"does not set"`` (polar day); ``highest`` is the true elevation at
    transit, °; ``daylight_saving`` says whether the clock is shifted; ``sentence`` tells it all.
    """

    sunrise: pd.Timestamp | None
    transit: pd.Timestamp
    sunset: pd.Timestamp | None
    highest: float
    state: str
    daylight_saving: bool
    sentence: str

    @property
    def day_length(self) -> float:
        """Hours from sunrise to sunset; 0 in polar night, 24 in polar day."""
        if self.sunrise is not None and self.sunset is not None:
            return (self.sunset - self.sunrise).total_seconds() / 3600
        return 0.0 if self.state == "does not rise" else 24.0


def sun_times(place: Place, date) -> SunTimes:
    """Sunrise, transit and sunset around the noon of ``date``; polar night and day are answers, not errors.

    The sun counts as up from the moment its upper limb shows over a flat horizon (true elevation −0.8333°, as
    SPA has it).  Good to about a second at mid-latitudes; real hills and odd refraction move it by minutes.
    """
    check_place(place)
    day, local = _date(date), zone(place.timezone)
    noon = datetime.datetime.combine(day, datetime.time(12), local)
    guess = np.array([_utc(noon)], dtype="datetime64[ns]")
    for _ in range(3):  # the hour angle runs straight: each pass leaves a second, then nothing
        off = _hour_angle(place, guess)[0] % 360.0 - 180.0
        guess = guess - (off * 240e9).astype("timedelta64[ns]")
    minutes = np.arange(-722, 723)
    around = guess + minutes * np.timedelta64(60_000_000_000, "ns")
    height = np.degrees(np.arcsin(np.clip(_true_vector(place, around)[2], -1, 1))) - HORIZON
    up = height > 0

    def clock(moment):
        return pd.Timestamp(moment, tz="UTC").round("s").tz_convert(local)

    def crossing(k):
        share = height[k] / (height[k] - height[k + 1])
        return clock(around[k] + np.timedelta64(int(6e10 * share), "ns"))

    middle = len(minutes) // 2
    before = np.flatnonzero(~up[:middle] & up[1:middle + 1])
    after = np.flatnonzero(up[middle:-1] & ~up[middle + 1:]) + middle
    rise = crossing(before[-1]) if up[middle] and before.size else None
    fall = crossing(after[0]) if up[middle] and after.size else None
    transit = clock(guess[0])
    if not up[middle]:
        state, told = "does not rise", f"On {day} the sun does not rise at {place.name}."
    elif rise is None and fall is None:
        state, told = "does not set", f"On {day} the sun does not set at {place.name}."
    else:
        state = "rises and sets"
        morning = f"rises at {rise:%H:%M}" if rise else "has been up all night"
        evening = f"sets at {fall:%H:%M}" if fall else "does not set"
        told = (f"On {day} at {place.name} the sun {morning}, stands highest at {transit:%H:%M} "
                f"and {evening}.")
    saving = bool(transit.dst()) if transit.dst() is not None else False
    return SunTimes(rise, transit, fall, float(height[middle] + HORIZON), state, saving, told)


def check_place(place: Place) -> None:
    """One clear sentence if this is not a place; a :class:`Place` has checked its own numbers."""
    if not isinstance(place, Place):
        raise TypeError(f"place must be a Place, as in place('Nairobi'), got {type(place).__name__}.")


def zone(name: str) -> datetime.tzinfo:
    """The time zone of that name: one of the IANA database (``Asia/Kolkata``) or ``UTC+05:30``."""
    try:
        return zoneinfo.ZoneInfo(name)
    except (zoneinfo.ZoneInfoNotFoundError, ValueError, TypeError, OSError):
        offset = re.fullmatch(r"UTC([+-])(\d\d):(\d\d)", str(name))
    if offset:
        minutes = int(offset[2]) * 60 + int(offset[3])
        return datetime.timezone(datetime.timedelta(minutes=minutes if offset[1] == "+" else -minutes))
    known = sorted(zoneinfo.available_timezones())
    raise ValueError(f"Time zone {name!r} is not known; "
                     + suggest(str(name), known, "give a name such as Africa/Nairobi or UTC+05:30"))


def clock_hours(text: str) -> float:
    """``"09:30"`` as 9.5 hours; from ``"00:00"`` to ``"24:00"``."""
    found = re.fullmatch(r"(\d{1,2}):(\d\d)", text) if isinstance(text, str) else None
    hours = int(found[1]) + int(found[2]) / 60 if found and int(found[2]) < 60 else np.inf
    if hours > 24:
        raise ValueError(f"A clock time reads HH:MM, from 00:00 to 24:00, got {text!r}.")
    return hours


def station_pressure(elevation) -> np.ndarray:
    """Standard air pressure at that elevation in metres, Pa (pvlib's ``alt2pres``)."""
    return atmosphere.alt2pres(np.asarray(elevation, dtype=float))


def apparent_vector(place: Place, utc: np.ndarray) -> np.ndarray:
    """As :func:`sun_vector`, for bare UTC moments of any spacing, unchecked."""
    east, north, up = _true_vector(place, utc)
    true = np.arcsin(np.clip(up, -1.0, 1.0))
    degrees = np.degrees(true)
    air = station_pressure(place.elevation)[..., None] / 101_000.0 * 283.0 / (273.0 + REFRACTION_TEMPERATURE)
    safe = np.maximum(degrees, -1.0)  # the formula has a pole at −5.1°, where it is not used
    bend = air * 1.02 / (60.0 * np.tan(np.radians(safe + 10.3 / (safe + 5.11))))
    bend = np.where(degrees >= HORIZON, np.radians(bend), 0.0)  # SPA: none once the disc is down
    flat = np.cos(true + bend) / np.maximum(np.cos(true), 1e-12)
    return np.stack(np.broadcast_arrays(east * flat, north * flat, np.sin(true + bend)), axis=-1)


def _true_vector(place: Place, utc: np.ndarray):
    """East, north and up of the sun before refraction, parallax included."""
    angle, sunward = _hour_angle(place, utc)
    angle, sunward = np.radians(angle - 180.0), np.radians(sunward)
    latitude = np.radians(np.asarray(place.latitude, dtype=float))[..., None]
    along, polar = np.cos(sunward) * np.cos(angle), np.sin(sunward)
    east = -np.cos(sunward) * np.sin(angle)
    north = np.cos(latitude) * polar - np.sin(latitude) * along
    up = np.sin(latitude) * polar + np.cos(latitude) * along - np.radians(PARALLAX)
    size = np.sqrt(east**2 + north**2 + up**2)
    return east / size, north / size, up / size


def _hour_angle(place: Place, utc: np.ndarray):
    """Degrees since the sun's lower transit (180 at solar noon), and declination."""
    base, sunward, _ = _interpolate(utc)
    turned = _nanoseconds(utc) % NANOSECONDS_PER_DAY * (360.0 / NANOSECONDS_PER_DAY)
    longitude = np.asarray(place.longitude, dtype=float)[..., None]
    return base + turned + longitude - 180.0, sunward


def _interpolate(utc: np.ndarray):
    """Greenwich angle less the day's turn (180° + equation of time), declination, extraterrestrial."""
    days = _nanoseconds(utc) / NANOSECONDS_PER_DAY
    blocks = range(int(np.floor(days.min() / BLOCK)), int(np.floor(days.max() / BLOCK)) + 1)
    nodes = np.concatenate([_ephemeris(block) for block in blocks], axis=1)
    return tuple(np.interp(days, nodes[0], values) for values in nodes[1:])


@lru_cache(maxsize=256)
def _ephemeris(block: int) -> np.ndarray:
    """SPA at 0 h UT of each day of a block and of the day after it: day, angle, declination, irradiance."""
    days = np.arange(block * BLOCK, (block + 1) * BLOCK + 1, dtype=float)
    sidereal, ascension, sunward = spa.solar_position(days * 86400, 0, 0, 0, 0, 0, DELTA_T, 0, 1, sst=True)
    distance = spa.solar_position(days * 86400, 0, 0, 0, 0, 0, DELTA_T, 0, 1, esd=True)[0]
    table = np.stack([days, (sidereal - ascension) % 360.0, sunward, SOLAR_CONSTANT / distance**2])
    table.flags.writeable = False
    return table


def _nanoseconds(utc: np.ndarray) -> np.ndarray:
    return np.asarray(utc).astype("datetime64[ns]", copy=False).view("int64")


def _utc(moment: datetime.datetime) -> datetime.datetime:
    return moment.astimezone(datetime.UTC).replace(tzinfo=None)


def _date(value) -> datetime.date:
    day = None
    try:
        if isinstance(value, str):
            day = datetime.date.fromisoformat(value)
        elif not pd.isna(pd.Timestamp(value)) and not isinstance(value, (int, float, np.number)):
            day = pd.Timestamp(value).date()
    except (ValueError, TypeError, OverflowError):
        pass
    if day is None:
        raise ValueError(f"A date reads like 2024-06-21 (year-month-day), got {value!r}.")
    if not FIRST_YEAR <= day.year <= LAST_YEAR:
        raise ValueError(f"A date lies between the years {FIRST_YEAR} and {LAST_YEAR}, got {value!r}.")
    return day

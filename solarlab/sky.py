"""Sky: sun, beam, diffuse light, air and sky temperature at a place and a time.  Knows nothing of ovens.

Clear light is Ineichen & Perez's model with the Linke turbidity climatology (pvlib); cloud takes its
share as :mod:`solarlab.cloud` says; a weather file or a measured log replaces both.  Diffuse light is
what remains of global after the beam, so GHI = DHI + DNI cos z holds to rounding, everywhere.

Validity: sun above 5°; clear light good to about 10 % (three real years: 0–7 % dim, an hour's haze ± 10 %).
A single hour's global light under cloud is known to ± 29 % of the mean, its beam to ± 46 % (root mean square
over a real year; ``tests/published``).
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, fields, replace
from functools import lru_cache
from typing import TYPE_CHECKING

import numpy as np
import pandas as pd
from pvlib import atmosphere, clearsky, irradiance

from .catalogue import Place
from .cloud import KELVIN, checked, cloud_fractions, cover_of, sky_temperature
from .sun import (
    Instants,
    SunTimes,
    apparent_vector,
    as_instants,
    check_place,
    declination,
    equation_of_time,
    extraterrestrial,
    instants,
    solar_time,
    station_pressure,
    sun_times,
    sun_vector,
)

if TYPE_CHECKING:
    from .weather import Weather

__all__ = [
    "Instants", "Sky", "SunTimes", "anisotropy", "clear_sky", "daily_temperature", "equation_of_time",
    "extraterrestrial", "instants", "sky", "sky_from_log", "sky_temperature", "solar_time", "sun_times",
    "sun_vector",
]

AIR_TEMPERATURE = 25.0  # °C, where nobody says otherwise
WIND_SPEED = 1.5  # m/s at the oven, where nobody says otherwise: light air in a yard (Beaufort 1)


@dataclass(frozen=True, eq=False)
class Sky:
    """What the sky does at each instant; every array broadcasts to ``(..., T)``: scenarios first, time
    last.

    ``sun_vector`` ``(..., T, 3)``: unit vector east, north, up to where the sun is seen.  ``beam_normal``
    [W/m²] on a plane facing the sun; ``diffuse_horizontal`` [W/m²] from the rest of the sky on level
    ground; ``air_temperature`` and ``sky_temperature`` [°C] (the sky as the black body that shines as
    much heat); ``wind_speed`` [m/s] at the height of the oven; ``pressure`` [Pa].  ``notes``: sentences
    on what to mistrust.
    """

    times: Instants
    sun_vector: np.ndarray
    beam_normal: np.ndarray
    diffuse_horizontal: np.ndarray
    air_temperature: np.ndarray
    sky_temperature: np.ndarray
    wind_speed: np.ndarray
    pressure: np.ndarray
    notes: tuple[str, ...] = ()

    @property
    def elevation(self) -> np.ndarray:
        """Height of the sun above the horizon, as seen, °."""
        return np.degrees(np.arcsin(np.clip(self.sun_vector[..., 2], -1, 1)))

    @property
    def azimuth(self) -> np.ndarray:
        """Direction of the sun, ° clockwise from north, 0 … 360."""
        return np.degrees(np.arctan2(self.sun_vector[..., 0], self.sun_vector[..., 1])) % 360.0

    @property
    def global_horizontal(self) -> np.ndarray:
        """All sunlight on level ground, W/m²: diffuse + beam × cosine of the zenith angle."""
        return self.diffuse_horizontal + self.beam_normal * np.maximum(self.sun_vector[..., 2], 0.0)

    @property
    def shape(self) -> tuple[int, ...]:
        """``(..., T)`` of it all together."""
        series = (getattr(self, name).shape for name in _SERIES)
        return np.broadcast_shapes(self.times.shape, self.sun_vector.shape[:-1], *series)

    def pick(self, scenario) -> Sky:
        """The sky of one scenario (an index, or a tuple of them) out of a batch."""
        series = {name: np.broadcast_to(getattr(self, name), self.shape)[scenario] for name in _SERIES}
        sun = np.broadcast_to(self.sun_vector, (*self.shape, 3))[scenario]
        utc = np.broadcast_to(self.times.utc, self.shape)[scenario]
        return replace(self, times=Instants(utc, self.times.timezone), sun_vector=sun, **series)


_SERIES = tuple(f.name for f in fields(Sky) if f.name not in ("times", "sun_vector", "notes"))


def sky(place: Place, times, *, oktas=None, shadows=None, weather: Weather | None = None, quantile=None,
        air_temperature=None, wind_speed=None) -> Sky:
    """The sky over ``place`` at ``times`` (:class:`Instants` or a time-zone-aware ``DatetimeIndex``).

    Cloud comes as *one* of these; with none of them the sky is clear, which is 0 oktas.

    * ``oktas``: eighths of the sky covered, 0 … 8: a number, an array over scenarios, or a mapping from
      local clock times, each holding from then on: ``{"06:00": 0, "13:30": 6}``.
    * ``shadows``: what a shadow on the ground looks like, ``"crisp"``, ``"soft"`` or ``"none"``, likewise.
    * ``weather``: a file, from :func:`solarlab.weather.read_weather`.

    ``quantile`` (0 … 1, over scenarios) picks from the spread of *hours* at that cloud: .1 a poor one, .5
    middling, .9 lucky.  It holds all day, so .1 … .9 is wider than whole days spread.  ``None`` is the one
    published sky at those oktas (with shadows: the middle).

    ``air_temperature`` [°C] and ``wind_speed`` [m/s, at the oven] are numbers or end in T; by default the
    file's, or 25 °C and 1.5 m/s.  :func:`daily_temperature` makes a day's curve.
    """
    check_place(place)
    times = as_instants(times)
    if sum(given is not None for given in (oktas, shadows, weather)) > 1:
        raise ValueError("Give one of oktas, shadows and weather: they say the same thing in three ways.")
    if weather is not None and quantile is not None:
        raise ValueError("quantile goes with oktas or shadows; a weather file already is one definite sky.")
    _check_scenarios(place, times, oktas=oktas, shadows=shadows, quantile=quantile,
                     air_temperature=_last_off(air_temperature), wind_speed=_last_off(wind_speed))
    sun = apparent_vector(place, times.utc)
    up = np.maximum(sun[..., 2], 0.0)
    beam, diffuse = _clear_light(place, times, sun[..., 2])
    air = AIR_TEMPERATURE if air_temperature is None else air_temperature
    air = _series("air_temperature", air, times, -60, 60, "°C")
    wind = _series("wind_speed", WIND_SPEED if wind_speed is None else wind_speed, times, 0, 60, "m/s")
    notes = _night_notes(place, times, sun[..., 2])
    if weather is None:
        of_global, of_beam, cover = cloud_fractions(times, oktas, shadows, quantile)
        whole = (diffuse + beam * up) * of_global
        beam = beam * of_beam
        diffuse = np.maximum(whole - beam * up, 0.0)
        cold, pressure = sky_temperature(air, cover), _standard_pressure(place, times)
        notes += _air_notes(air)
    else:
        if not hasattr(weather, "at"):
            raise TypeError(f"weather must come from read_weather(path), got {type(weather).__name__}.")
        at = weather.at(times)
        beam = np.minimum(beam * at.beam_index, extraterrestrial(times))
        diffuse = diffuse * at.diffuse_index
        air = at.air_temperature if air_temperature is None else air
        wind = at.wind_speed if wind_speed is None else wind
        cold, pressure = (air + KELVIN) * at.sky_emittance**0.25 - KELVIN, at.pressure
        notes += weather.notes_for(place)
    return Sky(times, sun, beam, diffuse, air, cold, wind, pressure, notes)


def clear_sky(place: Place, times) -> tuple[np.ndarray, np.ndarray]:
    """Beam normal and diffuse horizontal irradiance without cloud, W/m², each ``(..., T)``; zero at night.

    Ineichen & Perez (2002) as in pvlib, with the Linke turbidity of place and season (monthly
    climatology, run straight between mid-months) and the standard pressure of the elevation.
    """
    check_place(place)
    times = as_instants(times)
    return _clear_light(place, times, apparent_vector(place, times.utc)[..., 2])


def daily_temperature(place: Place, times, low, high) -> np.ndarray:
    """Air temperature through a day between a ``low`` and a ``high`` [°C, over scenarios], ``(..., T)``.

    Lowest about 05:00, highest about 15:00 solar time: the mean curve of Erbs, Klein & Beckman (1983), as
    Duffie & Beckman have it, from memory, stretched to touch both.
    """
    low, high = checked("low", low, -60, 60, "°C")[..., None], checked("high", high, -60, 60, "°C")[..., None]
    if (low > high).any():
        raise ValueError("low must not exceed high: give the coolest and the warmest air of the day.")
    whole = _temperature_curve(np.linspace(0, 24, 1441))
    return low + (high - low) * (_temperature_curve(solar_time(place, times)) - whole.min()) / np.ptp(whole)


def anisotropy(sky: Sky) -> np.ndarray:
    """Hay & Davies's index, 0 … 1: beam over extraterrestrial, the share of diffuse light around the sun."""
    return sky.beam_normal / extraterrestrial(sky.times)


def sky_from_log(place: Place, times, *, global_horizontal, diffuse_horizontal=None,
                 air_temperature=AIR_TEMPERATURE, wind_speed=WIND_SPEED) -> Sky:
    """A sky from measured light: ``global_horizontal`` [W/m²], and ``diffuse_horizontal`` if it was
    measured too.

    Without it, Erbs (1982) splits each reading; a single reading's beam may be 100 W/m² out (its scatter,
    from memory).  Below 3° of sun everything counts as diffuse.  Readings of −10 … 0 (a pyranometer at
    night) count as 0.  The cloud that warms the sky is guessed from the whole log's light against a clear
    sky's.
    """
    check_place(place)
    times = as_instants(times)
    measured = np.maximum(_series("global_horizontal", global_horizontal, times, -10, 1800, "W/m²"), 0.0)
    air = _series("air_temperature", air_temperature, times, -60, 60, "°C")
    wind = _series("wind_speed", wind_speed, times, 0, 60, "m/s")
    sun = apparent_vector(place, times.utc)
    up, above = np.maximum(sun[..., 2], 0.0), extraterrestrial(times)
    if diffuse_horizontal is None:
        zenith = np.degrees(np.arccos(np.maximum(up, 1e-6)))
        split = irradiance.erbs_driesse(measured, zenith, dni_extra=above)["dhi"]
    else:
        split = np.maximum(_series("diffuse_horizontal", diffuse_horizontal, times, -10, 1000, "W/m²"), 0.0)
    high = up > np.sin(np.radians(3.0))
    beam = np.where(high, np.clip((measured - split) / np.maximum(up, 0.05), 0.0, above), 0.0)
    clear_beam, clear_diffuse = _clear_light(place, times, sun[..., 2])
    clear = (clear_diffuse + clear_beam * up).sum(axis=-1, keepdims=True)
    cover = cover_of(measured.sum(axis=-1, keepdims=True) / np.maximum(clear, 1.0))
    rest = np.maximum(measured - beam * up, 0.0)
    return Sky(times, sun, beam, rest, air, sky_temperature(air, cover), wind,
               _standard_pressure(place, times), _night_notes(place, times, sun[..., 2]))


def _clear_light(place: Place, times: Instants, up: np.ndarray):
    zenith = np.degrees(np.arccos(np.clip(up, 1e-6, 1.0)))
    height = np.asarray(place.elevation, dtype=float)[..., None]
    mass = atmosphere.get_relative_airmass(zenith) * (station_pressure(height) / 101_325.0)
    light = clearsky.ineichen(zenith, mass, _turbidity(place, times.utc), height, extraterrestrial(times))
    day = up > 0
    beam = np.where(day, light["dni"], 0.0)
    return beam, np.where(day, np.maximum(light["ghi"] - beam * up, 0.0), 0.0)


def _turbidity(place: Place, utc: np.ndarray) -> np.ndarray:
    """Linke turbidity, ``(..., T)``."""
    latitude, longitude = np.broadcast_arrays(np.round(place.latitude, 2), np.round(place.longitude, 2))
    cells = zip(latitude.ravel().tolist(), longitude.ravel().tolist(), strict=True)
    months = np.stack([_monthly_turbidity(*cell) for cell in cells]).reshape(*latitude.shape, 14)
    day = (utc - utc.astype("datetime64[Y]")) / np.timedelta64(1, "D") + 0.5
    if latitude.ndim == 0:
        return np.interp(day, _MID_MONTHS, months)
    lead = np.broadcast_shapes(latitude.shape, day.shape[:-1])
    day, months = np.broadcast_to(day, (*lead, day.shape[-1])), np.broadcast_to(months, (*lead, 14))
    after = np.clip(np.searchsorted(_MID_MONTHS, day), 1, 13)
    low, high = (np.take_along_axis(months, i, axis=-1) for i in (after - 1, after))
    start, end = _MID_MONTHS[after - 1], _MID_MONTHS[after]
    return low + (high - low) * (day - start) / (end - start)


_MONTHS = np.array([31, 31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31, 31], dtype=float)
_MID_MONTHS = np.cumsum(_MONTHS) - _MONTHS / 2 - 31.0  # day of the year, a month either side


@lru_cache(maxsize=4096)
def _monthly_turbidity(latitude: float, longitude: float) -> np.ndarray:
    stamps = pd.date_range("2023-01-15", periods=12, freq=pd.DateOffset(months=1), tz="UTC")
    months = clearsky.lookup_linke_turbidity(stamps, latitude, longitude, interp_turbidity=False).to_numpy()
    return np.concatenate([months[-1:], months, months[:1]])


def _night_notes(place: Place, times: Instants, up: np.ndarray) -> tuple[str, ...]:
    dark = (up <= 0).all(axis=-1)
    if not dark.any():
        return ()
    highest = 90.0 - np.abs(np.asarray(place.latitude, dtype=float) - declination(times)[..., 0]) + 0.8333
    polar = dark & (highest < 0)
    count = polar.sum() if polar.any() else dark.sum()
    many = f" in {count} of these {dark.size} scenarios" if dark.size > 1 else ""
    if polar.any():
        return (f"The sun does not rise at {place.name} on this date{many}.",)
    return (f"The sun is below the horizon all through these times{many}.",)


def _air_notes(air: np.ndarray) -> tuple[str, ...]:
    low, high = air.min(), air.max()
    if low >= -10 and high <= 45:
        return ()
    formula = "the sky temperature's formula, -10 to 45 °C"
    return (f"Air of {low:.0f} to {high:.0f} °C leaves the range of {formula}.",)


def _standard_pressure(place: Place, times: Instants) -> np.ndarray:
    pressure = station_pressure(place.elevation)[..., None]
    return np.broadcast_to(pressure, (*pressure.shape[:-1], times.shape[-1]))


def _last_off(value):
    return np.empty(np.shape(value)[:-1])


def _check_scenarios(place: Place, times: Instants, **given) -> None:
    shapes = {"place": np.broadcast_shapes(*(np.shape(getattr(place, f)) for f in ("latitude", "longitude"))),
              "times": times.shape[:-1]}
    shapes |= {name: np.shape(value) for name, value in given.items() if not isinstance(value, Mapping)}
    try:
        np.broadcast_shapes(*shapes.values())
    except ValueError:
        told = ", ".join(f"{name} {shape}" for name, shape in shapes.items() if shape)
        raise ValueError(f"These do not fit together as scenarios, which must broadcast: {told}.") from None


def _series(name: str, value, times: Instants, low: float, high: float, unit: str):
    number = np.atleast_1d(checked(name, value, low, high, unit))
    length = times.shape[-1]
    if number.shape[-1] not in (1, length):
        raise ValueError(f"{name} must be one number or end in {length} values, one an instant (several "
                         f"scenarios: values[:, None]), got shape {number.shape}.")
    return np.broadcast_to(number, (*number.shape[:-1], length))


def _temperature_curve(hours):
    t = 2 * np.pi * (hours - 1.0) / 24.0
    return (0.4632 * np.cos(t - 3.805) + 0.0984 * np.cos(2 * t - 0.360)
            + 0.0168 * np.cos(3 * t - 0.822) + 0.0138 * np.cos(4 * t - 3.513))

"""A logger's light as a `Sky`: gaps, how its sensor stood, and whether its clock agrees with the sun."""

from __future__ import annotations

import numpy as np

from ..catalogue import Place
from ..oven import GROUND_ALBEDO, LOWEST_COSINE
from ..sky import AIR_TEMPERATURE, WIND_SPEED, Sky, clear_sky, sky_from_log
from ..sun import Instants, extraterrestrial, sun_vector
from .logger import Log

BRIDGED = 1800.0  # s: a longer gap in the light is not bridged
CLEARNESS = np.linspace(0.0, 1.1, 45)  # of light on level ground over that above the air
CLEAR_MISFIT = 0.06  # of the mean light: a day that misses a clear sky's curve by more cannot tell the time
CLOCK_SEARCH = 120  # minutes to either side


def light_facing(sky: Sky) -> np.ndarray:
    """Irradiance [W/m²] on a plane that faces the sun, ``(..., T)``: what standards ask a test to measure.

    Beam, the sky's share by Hay & Davies, and the ground's at the albedo the ovens use.
    """
    height = np.maximum(sky.sun_vector[..., 2], 0.0)
    circumsolar = np.clip(sky.beam_normal / extraterrestrial(sky.times), 0.0, 1.0)
    around = circumsolar / np.maximum(height, LOWEST_COSINE)
    even = (1.0 - circumsolar) * (1.0 + height) / 2.0
    ground = GROUND_ALBEDO * sky.global_horizontal * (1.0 - height) / 2.0
    return sky.beam_normal + sky.diffuse_horizontal * (around + even) + ground


def sky_of(log: Log, place: Place) -> tuple[Sky, tuple[str, ...]]:
    """The sky the log saw at ``place``, and sentences on what was assumed.

    Light measured facing the sun becomes light on level ground by finding the clearness whose split (Erbs)
    gives that reading.  Short gaps are bridged by straight lines; one in the light of over half an hour is an
    error.  Air and wind that were not measured are the course's usual ones.
    """
    log.needs("irradiance")
    if log.plane is None:
        raise ValueError(
            f"{log.name} does not say how its light sensor stood; state whether level or facing the sun "
            "(plane)."
        )
    notes, gaps = [], []
    light = _bridged(log, log.irradiance, "light", gaps)
    air, wind = log.temperature("air"), log.wind
    if air is None:
        notes.append(f"The air was not measured; {AIR_TEMPERATURE:g} °C is assumed.")
    if wind is None:
        notes.append(f"The wind was not measured; {WIND_SPEED:g} m/s is assumed.")
    air = AIR_TEMPERATURE if air is None else _bridged(log, air, "air", gaps)
    wind = WIND_SPEED if wind is None else _bridged(log, wind, "wind", gaps)
    for what, minutes in gaps:
        notes.append(f"Gaps in the {what} were bridged by straight lines, up to {minutes:.0f} min.")
    weather = {"air_temperature": air, "wind_speed": wind}
    if log.plane == "sun":
        light = _levelled(light, place, log.times)
        notes.append(
            "The light sensor faced the sun; light on level ground is computed from it (Erbs's split)."
        )
    return sky_from_log(place, log.times, global_horizontal=np.maximum(light, 0.0), **weather), tuple(notes)


def facing_of(log: Log, place: Place) -> tuple[np.ndarray, str]:
    """Irradiance facing the sun [W/m²] ``(T,)``, NaN where the log has none, and a note."""
    log.needs("irradiance")
    if log.plane == "sun":
        return log.irradiance, ""
    if log.plane is None:
        raise ValueError(
            f"{log.name} does not say how its light sensor stood; state whether level or facing the sun "
            "(plane)."
        )
    known = np.isfinite(log.irradiance)
    level = np.where(known, np.maximum(log.irradiance, 0.0), 0.0)
    facing = light_facing(sky_from_log(place, log.times, global_horizontal=level))
    note = "The light sensor lay level; light facing the sun is computed from it, to about 5 % on clear days."
    return np.where(known, facing, np.nan), note


def _levelled(facing: np.ndarray, place: Place, times: Instants) -> np.ndarray:
    above = extraterrestrial(times) * np.maximum(sun_vector(place, times)[..., 2], 0.0)
    level = CLEARNESS[:, None] * above
    each = light_facing(sky_from_log(place, times, global_horizontal=np.minimum(level, 1800.0)))
    each = np.maximum.accumulate(each, axis=0)
    return np.array([np.interp(f, e, g) for f, e, g in zip(facing, each.T, level.T, strict=True)])


def _bridged(log: Log, row: np.ndarray, what: str, gaps: list) -> np.ndarray:
    missing = np.isnan(row)
    if not missing.any():
        return row
    if missing.all():
        raise ValueError(f"{log.name} has no readings of {what} in this part.")
    edges = np.flatnonzero(np.diff(np.r_[False, missing, False]))
    longest = int(np.argmax(edges[1::2] - edges[::2]))
    minutes = float(edges[1::2][longest] - edges[::2][longest]) * log.times.step / 60.0
    if what == "light" and minutes * 60.0 > BRIDGED:
        when = log.times.local[edges[::2][longest]]
        raise ValueError(
            f"{log.name} has no light readings for {minutes:.0f} min from {when:%H:%M}; up to "
            f"{BRIDGED / 60:.0f} min can be bridged: use the part before or after it."
        )
    gaps.append((what, minutes))
    every = np.arange(row.size)
    return np.interp(every, every[~missing], row[~missing])


def clock_error(log: Log, place: Place) -> float | None:
    """Minutes by which the logger's clock is ahead of the sun's, by the shape of a clear day's light.

    None where the light cannot tell: cloud, too short a log (under 5 h of sun), or a sensor that did not lie
    level.  Good to a few minutes.
    """
    if log.irradiance is None or log.plane != "level":
        return None
    log = log.every(300.0)
    light, step = log.irradiance, log.times.step
    reach = int(CLOCK_SEARCH * 60 / step)
    wider = np.arange(-reach, light.size + reach) * np.timedelta64(round(step * 1e9), "ns")
    times = Instants(log.times.utc[0] + wider, log.times.timezone)
    beam, diffuse = clear_sky(place, times)
    clear = diffuse + beam * np.maximum(sun_vector(place, times)[..., 2], 0.0)
    used = np.isfinite(light) & (light > 50.0)
    if used.sum() * step < 5 * 3600.0:
        return None
    fine = np.interp(np.arange(0, clear.size - 1, 60.0 / step), np.arange(clear.size), clear)
    offsets = np.arange(-CLOCK_SEARCH, CLOCK_SEARCH + 1)  # minutes the logger is ahead
    at = np.round(np.arange(light.size) * step / 60.0).astype(int) + CLOCK_SEARCH
    curves = np.stack([np.take(fine, at - offset, mode="clip") for offset in offsets])[:, used]
    scale = (curves @ light[used]) / (curves**2).sum(axis=1)
    misfit = np.sqrt(np.mean((light[used] - scale[:, None] * curves) ** 2, axis=1)) / light[used].mean()
    best = int(np.argmin(misfit))
    inner = 0 < best < offsets.size - 1
    return float(offsets[best]) if inner and misfit[best] < CLEAR_MISFIT else None

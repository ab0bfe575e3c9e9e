"""How the oven stands: where hands point it, when, and where the sun is as seen from its aperture."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pandas as pd

from .catalogue import Handling, Oven
from .sun import clock_hours, zone

_ONCE = 1e9  # s between two aims of an oven that is aimed once


@dataclass(frozen=True)
class Aim:
    """How the aperture stands in each step: ``tilt`` and ``azimuth`` [°], and when it was last aimed.

    All are ``(..., T)``; ``instant`` is in UTC.  Before the oven is first put out, its first aim is given.
    """

    tilt: np.ndarray
    azimuth: np.ndarray
    instant: np.ndarray


def aim(oven: Oven, sky, handling: Handling) -> Aim:
    """Where the oven points in each step: at the sun as it stood when last aimed, as far as the stand allows.

    A ``tilt`` or ``azimuth`` fixed in the handling is taken as it is (an oven can be propped).  Aimed first
    when the oven is put out, then every ``reaim_every`` minutes; ``None`` means never again.  An aim
    that falls inside a step holds for the whole step if it comes before the step's middle.
    """
    step, count = sky.times.step, sky.times.shape[-1]
    start = start_seconds(sky.times, handling)[..., None]
    period = _ONCE if handling.reaim_every is None else column(handling.reaim_every) * 60.0
    middle = (np.arange(count - 1) + 0.5) * step
    after = start + np.floor(np.maximum(middle - start, 0.0) / period) * period
    sun = _sun_at(sky.sun_vector, after / step)
    elevation = np.degrees(np.arcsin(np.clip(sun[..., 2], 0.0, 1.0)))
    if handling.tilt is None:
        tilt = np.clip(90.0 - elevation, column(oven.tilt_min), column(oven.tilt_max))
    else:
        tilt = column(handling.tilt)
    if handling.azimuth is None:
        azimuth = np.degrees(np.arctan2(sun[..., 0], sun[..., 1])) % 360.0
    else:
        azimuth = column(handling.azimuth) % 360.0
    instant = sky.times.utc[..., :1] + (after * 1e9).astype("timedelta64[ns]")
    return Aim(*(repeat_last(each) for each in np.broadcast_arrays(tilt, azimuth, instant)))


def aperture_frame(tilt, azimuth) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Unit vectors right, up-slope and normal (east, north, up) of an aperture: each ``(..., 3)``."""
    tilt, azimuth = np.broadcast_arrays(np.radians(tilt), np.radians(azimuth))
    sine, cosine, east, north = np.sin(tilt), np.cos(tilt), np.sin(azimuth), np.cos(azimuth)
    right = np.stack([-north, east, np.zeros_like(east)], axis=-1)
    up_slope = np.stack([-cosine * east, -cosine * north, sine], axis=-1)
    return right, up_slope, np.stack([sine * east, sine * north, cosine], axis=-1)


def incidence(sun_vector, tilt, azimuth) -> tuple[np.ndarray, np.ndarray]:
    """``incidence_x`` and ``incidence_y`` [°] of suns ``(..., 3)`` (east, north, up); see ``oven``."""
    x, y, z = (dot(sun_vector, axis) for axis in aperture_frame(tilt, azimuth))
    return np.degrees(np.arctan2(x, z)), np.degrees(np.arctan2(y, z))


def start_seconds(times, handling: Handling) -> np.ndarray:
    """Seconds from the first instant until the oven is put out ``(...)``: loading less the preheat."""
    hours = [clock_hours(str(text)) for text in np.ravel(handling.loaded)]
    hours = np.reshape(hours, np.shape(handling.loaded))
    begin, wait = np.broadcast_arrays(times.utc[..., 0], np.round(hours * 3600e9).astype("timedelta64[ns]"))
    clock = zone(times.timezone)
    first = pd.DatetimeIndex(begin.ravel()).tz_localize("UTC").tz_convert(clock)
    local = first.tz_localize(None).normalize() + pd.TimedeltaIndex(wait.ravel())
    loaded = local.tz_localize(clock, ambiguous=np.ones(len(local), bool), nonexistent="shift_forward")
    seconds = np.asarray((loaded - first).total_seconds()).reshape(begin.shape)
    start = seconds - np.asarray(handling.preheat) * 60.0
    if np.any(start < 0) or np.any(start > (times.shape[-1] - 1) * times.step):
        raise ValueError(
            f"the oven is loaded at {handling.loaded} after {handling.preheat} min of preheat, outside the "
            "instants of the sky; both must lie within them"
        )
    return start


def _sun_at(sun_vector, place) -> np.ndarray:
    """Unit vectors at fractional places ``(..., S)`` along the instants of ``sun_vector`` (..., T, 3)."""
    sun_vector = np.asarray(sun_vector)
    shape = np.broadcast_shapes(sun_vector.shape[:-2], place.shape[:-1])
    sun = np.broadcast_to(sun_vector, (*shape, *sun_vector.shape[-2:]))
    place = np.broadcast_to(place, (*shape, place.shape[-1]))[..., None]
    before = np.clip(np.floor(place).astype(np.intp), 0, sun.shape[-2] - 2)
    share = place - before
    one, other = (np.take_along_axis(sun, index, axis=-2) for index in (before, before + 1))
    between = one + share * (other - one)
    return between / np.linalg.norm(between, axis=-1, keepdims=True)


def column(field) -> np.ndarray:
    """A scenario field ``(...)`` ready to meet ``(..., T)``; a plain number stays one."""
    return np.asarray(field, float)[..., None] if np.ndim(field) else np.float64(field)


def repeat_last(steps: np.ndarray) -> np.ndarray:
    """Values of T - 1 steps as T instants, the last twice."""
    return np.concatenate([steps, steps[..., -1:]], axis=-1)


def dot(one, other) -> np.ndarray:
    """Inner product over the last axis."""
    return np.einsum("...i,...i->...", one, other)

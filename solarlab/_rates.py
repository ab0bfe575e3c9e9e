"""Integrals of rates that rise exponentially with temperature, sampled every few minutes.

Between two samples the logarithm of the rate is taken as a straight line in time, and integrated exactly: a
D/z lethality along a straight temperature is exact, an Arrhenius rate nearly so.
"""

from __future__ import annotations

import numpy as np

GAS_CONSTANT = 8.314462618  # J/(mol K)
_FLOOR = -500.0  # logarithm of a rate that is as good as none


def seconds_axis(times, temperatures):
    """(times, temperatures) as float arrays (..., T) after checking that they can be read together."""
    seconds, values = np.asarray(times, float), np.asarray(temperatures, float)
    if seconds.ndim == 0 or values.ndim == 0 or seconds.shape[-1] != values.shape[-1]:
        raise ValueError(
            f"times {seconds.shape} and temperatures {values.shape} must share their last axis, time."
        )
    if not np.all(np.isfinite(seconds)) or np.any(np.diff(seconds, axis=-1) <= 0.0):
        raise ValueError("times must be seconds that rise from sample to sample, without gaps (NaN).")
    if not np.all(np.isfinite(values)):
        raise ValueError("temperatures hold a gap (NaN); fill or cut the gap before judging a dish.")
    return seconds, values


def arrhenius_log_rate(frequency, activation_energy, temperature):
    """ln of A exp(-Ea/RT) [1/s]; ``activation_energy`` in J/mol, ``temperature`` in °C."""
    return np.log(frequency) - activation_energy / (GAS_CONSTANT * (np.asarray(temperature, float) + 273.15))


def accumulate(seconds, log_rate, floor=None):
    """Running integral (..., T) of the rate, 0 at first; rates whose ln is below ``floor`` count nothing."""
    least = _FLOOR if floor is None else floor
    kept = np.maximum(log_rate, least)
    rate = np.exp(kept)
    rise = np.diff(kept, axis=-1)
    flat = np.abs(rise) < 1e-3
    low, high = rate[..., :-1], rate[..., 1:]
    # (e^b - e^a) / (b - a); where b is near a, the mean and its first correction, to 1e-12.
    mean = np.where(
        flat, 0.5 * (low + high) * (1.0 - rise**2 / 12.0), (high - low) / np.where(flat, 1.0, rise)
    )
    part = mean * np.diff(seconds, axis=-1)
    if floor is not None:  # only the share of each segment that lies above
        low, high = log_rate[..., :-1], log_rate[..., 1:]
        size, above = np.abs(high - low), np.maximum(low, high) - floor
        share = np.maximum(above, 0.0) / np.where(size > 0.0, size, 1.0)
        part *= np.where(np.minimum(low, high) >= floor, 1.0, share)
    total = np.zeros(np.broadcast_shapes(np.shape(seconds), np.shape(log_rate)))
    np.cumsum(part, axis=-1, out=total[..., 1:])
    return total


def when_reached(seconds, log_rate, total, target):
    """Seconds at which the running integral ``total`` passes ``target``, exact inside its segment; nan if
    never.
    """
    seconds = np.broadcast_to(seconds, total.shape)
    log_rate = np.broadcast_to(np.maximum(log_rate, _FLOOR), total.shape)
    reached = total >= target
    last = np.maximum(np.argmax(reached, axis=-1), 1)[..., None]

    def at(array, index):
        return np.take_along_axis(array, index, axis=-1)[..., 0]

    start, length = at(seconds, last - 1), at(seconds, last) - at(seconds, last - 1)
    low, rise = at(log_rate, last - 1), at(log_rate, last) - at(log_rate, last - 1)
    missing = np.maximum(target - at(total, last - 1), 0.0)
    share = missing / length * np.exp(-low)
    rise = np.where(np.abs(rise) < 1e-9, 1e-9, rise)
    inside = np.log1p(np.maximum(share * rise, -1.0 + 1e-15)) / rise
    return np.where(np.any(reached, axis=-1), start + length * np.clip(inside, 0.0, 1.0), np.nan)


def first_crossing(seconds, values, level):
    """Seconds at which ``values`` (..., T) first rise to ``level``, linear between samples; nan if never."""
    seconds = np.broadcast_to(seconds, values.shape)
    above = values >= level
    last = np.argmax(above, axis=-1)[..., None]
    before = np.maximum(last - 1, 0)

    def at(array, index):
        return np.take_along_axis(array, index, axis=-1)[..., 0]

    low, high = at(values, before), at(values, last)
    share = np.where(high > low, (level - low) / np.where(high > low, high - low, 1.0), 1.0)
    time = at(seconds, before) + np.clip(share, 0.0, 1.0) * (at(seconds, last) - at(seconds, before))
    return np.where(np.any(above, axis=-1), time, np.nan)

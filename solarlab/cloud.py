"""Cloud: what it leaves of a clear sky's light, and how it warms the sky.  Knows nothing of place or time.

Cloud multiplies clear light by two fractions, of global and of beam, that start at exactly 1 for 0 oktas,
so that a clear sky and 0 oktas are one state:

* global: Kasten & Czeplak (1980), k = 1 − 0.75 (N/8)^3.4, from ten years at Hamburg;
* beam: Erbs et al. (1982, in Driesse's smooth form) used only for the *change* from clear to cloudy:
  b = k (1 − d(k K)) / (1 − d(K)), where d is Erbs's diffuse fraction and K = 0.75 the clearness index of a
  clear sky, taken alike at all heights of the sun (as in Perez's zenith-independent index).

Both fall with cloud, and b never exceeds k.  Switching at the first wisp of cloud from a clear sky's beam
to Erbs's own would drop it by 4–8 % under a high sun and 20 % and more under a low one; this does not.
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import lru_cache

import numpy as np
from pvlib import irradiance
from scipy.special import betaincinv

from ._limits import within
from .sun import Instants, clock_hours

KELVIN = 273.15
CLEAR_CLEARNESS = 0.75  # clearness index of a clear sky, zenith-independent (Perez et al. 1990)
BEAM_LOSS = (0.54, 0.36)  # mean hourly beam lost at cover c is .54 c + .36 c⁴ (fitted; see beam_quantile)
CLOUD_CELLS = 3.0  # independent cloud cells that cross the sun in an hour (fitted; see beam_quantile)

# What a shadow on the ground says of the beam, as a fraction of a clear sky's.  Common practice, no source;
# the bounds are where two thirds and one fifth of the light on level ground come straight from the sun.
SHADOWS = {"crisp": (0.75, 1.0), "soft": (0.15, 0.75), "none": (0.0, 0.15)}


def global_fraction(oktas) -> np.ndarray:
    """Global light under ``oktas`` over that of a clear sky, 1 … .25 (Kasten & Czeplak 1980)."""
    return 1.0 - 0.75 * (checked("oktas", oktas, 0, 8) / 8.0) ** 3.4


def beam_fraction(oktas) -> np.ndarray:
    """Beam under ``oktas`` over that of a clear sky, 1 … .005 (Erbs, as the change from clear)."""
    k = global_fraction(oktas)
    clear = 1.0 - _erbs(CLEAR_CLEARNESS)
    return np.where(k == 1.0, 1.0, k * (1.0 - _erbs(k * CLEAR_CLEARNESS)) / clear)


def beam_quantile(oktas, quantile) -> np.ndarray:
    """Hourly beam over a clear sky's that a fraction ``quantile`` of the hours at that cloud stay below.

    Form: in an hour n independent cloud cells cross the sun, each hiding it with probability 1 − m, so
    the sunny share is binomial; its smooth counterpart is Beta(m φ, (1 − m) φ) with φ = n − 1: mean m,
    variance m(1 − m)/n. It rises with the quantile and, φ being one number, never rises with cloud.

    m = 1 − .54 c − .36 c⁴ (c = N/8) and n = 3.0 are fitted to the Greensboro TMY3 inside pvlib, over its own
    cloudless beam; either half of its days moves m by up to .04.  ``tests/published`` checks it tenth by
    tenth, and on two other files: Miami's beam is up to .1 below m, that of Sand Point's stratus coast up to
    .2.  This mean is *not* that of Kasten & Czeplak's one sky: real hours of 2–5 oktas lose more beam, those
    of 6–8 less.
    """
    c = checked("oktas", oktas, 0, 8) / 8.0
    q = checked("quantile", quantile, 0, 1)
    mean = 1.0 - BEAM_LOSS[0] * c - BEAM_LOSS[1] * c**4
    spread = CLOUD_CELLS - 1.0
    picked = betaincinv(mean * spread, np.maximum(1.0 - mean, 1e-7) * spread, q)
    return np.where(c < 1e-6, 1.0, picked)


def sky_temperature(air_temperature, cover=0.0) -> np.ndarray:
    """The sky as a black body, °C: Swinbank (1963) clear, warmed towards the air by a ``cover`` of cloud,
    0 … 1.

    Clear: T = .0552 T_air^1.5 in kelvin.  Cloud: emittance ε = (1 − .84 c) ε₀ + .84 c, Unsworth & Monteith
    (1975), from memory.  Never above the air.  Valid for air of −10 to 45 °C; over deserts the real sky is
    colder, by 10 K at times (from memory).
    """
    air = np.asarray(air_temperature, dtype=float) + KELVIN
    return air * cover_emittance(air_temperature, cover) ** 0.25 - KELVIN


def cover_emittance(air_temperature, cover=0.0) -> np.ndarray:
    """Emittance of the sky, 0 … 1, at that cover; see :func:`sky_temperature`."""
    air = np.asarray(air_temperature, dtype=float) + KELVIN
    cloudy = 0.84 * np.asarray(cover, dtype=float)
    clear = np.minimum((0.0552 * np.sqrt(air)) ** 4, 1.0)
    return (1.0 - cloudy) * clear + cloudy


def cover_of(of_global) -> np.ndarray:
    """Cloud cover, 0 … 1, under which Kasten & Czeplak's global fraction is this."""
    return (np.clip(1.0 - np.asarray(of_global), 0.0, 0.75) / 0.75) ** (1 / 3.4)


def cloud_fractions(times: Instants, oktas=None, shadows=None, quantile=None):
    """Global fraction, beam fraction and cover of the sky, each ``(..., 1)`` or ``(..., T)``.

    ``oktas`` or ``shadows`` as :func:`solarlab.sky.sky` takes them.  With a ``quantile`` of oktas, or
    with shadows, the beam is picked first, and the global light is that of the published sky with that
    beam.
    """
    name, said = ("oktas", 0.0 if oktas is None else oktas) if shadows is None else ("shadows", shadows)
    held = None
    if isinstance(said, Mapping):
        starts = sorted(said, key=clock_hours)
        if not starts:
            raise ValueError(f"{name} is empty; give at least one clock time, as in {{'06:00': ...}}.")
        hours = [clock_hours(start) for start in starts]
        held = np.maximum(np.searchsorted(hours, times.clock + 1e-9, side="right") - 1, 0)
        said = np.array([said[start] for start in starts])
    else:
        said = np.asarray(said)[..., None]
    q = None if quantile is None else checked("quantile", quantile, 0, 1)[..., None]
    of_beam, of_global, cover = (_from_shadows if name == "shadows" else _from_oktas)(said, q)
    if held is None:
        return of_global, of_beam, cover
    lead = np.broadcast_shapes(of_beam.shape[:-1], held.shape[:-1])
    held = np.broadcast_to(held, (*lead, held.shape[-1]))
    return tuple(np.take_along_axis(np.broadcast_to(a, (*lead, a.shape[-1])), held, axis=-1)
                 for a in (of_global, of_beam, cover))


def checked(name: str, value, low: float, high: float, unit: str = "1") -> np.ndarray:
    """``value`` as floats, or one sentence: it must be numbers within ``low`` … ``high``; NaN is not."""
    within(name, value, low, high, unit)
    return np.asarray(value, dtype=float)


def _from_oktas(oktas, q):
    cover = checked("oktas", oktas, 0, 8) / 8.0
    if q is None:
        return beam_fraction(oktas), global_fraction(oktas), cover
    of_beam = beam_quantile(oktas, q)
    beam, of_global, _ = _published()
    return of_beam, np.interp(of_beam, beam, of_global), np.broadcast_to(cover, of_beam.shape)


def _from_shadows(shadows, q):
    known = np.isin(shadows, list(SHADOWS))
    if not known.all():
        raise ValueError(f"shadows must be 'crisp', 'soft' or 'none', got {shadows[~known].tolist()[0]!r}.")
    low, high = (np.vectorize(lambda s, end=end: SHADOWS[s][end], otypes=[float])(shadows) for end in (0, 1))
    of_beam = low + (high - low) * (0.5 if q is None else q)
    beam, of_global, cover = _published()
    return of_beam, np.interp(of_beam, beam, of_global), np.interp(of_beam, beam, cover)


@lru_cache(maxsize=1)
def _published():
    """Beam fraction (rising), global fraction and cover of the published skies from 8 oktas to 0."""
    cover = np.linspace(1.0, 0.0, 4001)
    return beam_fraction(8 * cover), global_fraction(8 * cover), cover


def _erbs(clearness):
    """Diffuse over global light at that clearness index."""
    return irradiance.erbs_driesse(np.asarray(clearness, dtype=float), 0.0, dni_extra=1.0)["dhi"] / clearness

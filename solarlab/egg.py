"""The hen's egg: what it is made of, how it sets, and what a published formula says of it.

White and yolk each set by a first-order reaction, dX/dt = A exp(-Ea/RT) (1 - X), from X = 0 raw to 1 set.
The constants were fitted to hen's eggs in water of 30 to 100 °C; the white's describe its last protein to set
(ovalbumin), so a white of X = 0 may already be milky and trembling.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from ._limits import within
from ._rates import accumulate, arrhenius_log_rate, first_crossing, seconds_axis

if TYPE_CHECKING:
    from .food import Body

STATES = ("raw", "soft", "runny", "jammy", "hard", "slow-set")


@dataclass(frozen=True)
class EggPart:
    """White or yolk.  Heat properties as a + b T + c T² with T in °C; setting as a first-order reaction."""

    name: str
    composition: dict[str, float]  # mass fractions
    specific_heat: float  # J/(kg K)
    conductivity: tuple[float, float]  # W/(m K)
    density: tuple[float, float, float]  # kg/m³
    frequency: float  # A, 1/s
    activation_energy: float  # Ea, J/mol
    source: str

    def density_at(self, temperature):
        """Density [kg/m³] at ``temperature`` [°C], 0-100 °C."""
        a, b, c = self.density
        return a + b * np.asarray(temperature, float) + c * np.asarray(temperature, float) ** 2


_DI_LORENZO = (
    "Di Lorenzo et al. 2025, Communications Engineering, s44172-024-00334-w, constants as publicly "
    "reproduced; composition: common food tables, from memory"
)
WHITE = EggPart(
    "white",
    {"water": 0.876, "protein": 0.109, "fat": 0.002, "carbohydrate": 0.007, "ash": 0.006},
    3800.0,
    (0.5125, 0.0013),
    (1043.3, -0.0115, -0.0041),
    4.85e60,
    418.5e3,
    _DI_LORENZO,
)
YOLK = EggPart(
    "yolk",
    {"water": 0.523, "protein": 0.159, "fat": 0.265, "carbohydrate": 0.036, "ash": 0.017},
    3120.0,
    (0.395, 0.0008),
    (1037.3, -0.1386, -0.0023),
    2.72e50,
    344.3e3,
    _DI_LORENZO,
)
SHELL_SHARE = 0.10  # of the egg's mass is shell and membranes (food tables give .09-.12; from memory)
YOLK_SHARE = 0.31  # of the contents' mass (common value, from memory)
FREEZING_POINT = -0.5  # °C (ASHRAE gives -.6 for whole egg; from memory)
SHELL_SPECIFIC_HEAT = 850.0  # J/(kg K), calcium carbonate (from memory)


def volumes(mass):
    """Volumes [m³] of the white and of the yolk in an egg of ``mass`` [kg], shell included, at 20 °C."""
    contents = (1.0 - SHELL_SHARE) * np.asarray(mass, float)
    white = (1.0 - YOLK_SHARE) * contents / WHITE.density_at(20.0)
    return white, YOLK_SHARE * contents / YOLK.density_at(20.0)


def equivalent_radius(mass):
    """Radius [m] of the sphere that holds an egg's contents; ``mass`` [kg] includes the shell."""
    white, yolk = volumes(mass)
    return (3.0 * (white + yolk) / (4.0 * np.pi)) ** (1.0 / 3.0)


def set_fraction(part: EggPart, times, temperatures):
    """X (..., T), 0 raw to 1 set, of ``part`` along ``temperatures`` [°C] (..., T) at ``times`` [s]."""
    seconds, temperatures = seconds_axis(times, temperatures)
    log_rate = arrhenius_log_rate(part.frequency, part.activation_energy, temperatures)
    return -np.expm1(-accumulate(seconds, log_rate))


def time_to_set(part: EggPart, temperature, fraction=0.9):
    """Seconds until ``fraction`` (above 0, below 1) of ``part`` is set at one held ``temperature`` [°C]."""
    within("temperature", temperature, -40.0, 150.0, "°C")
    within("fraction", fraction, 1e-9, 1.0 - 1e-9, "1")
    log_rate = arrhenius_log_rate(part.frequency, part.activation_energy, temperature)
    return -np.log1p(-np.asarray(fraction, float)) * np.exp(-log_rate)


@dataclass(frozen=True)
class Setting:
    """How far an egg has set, all ``(..., T)``: means by mass of white and yolk, and the yolk's innermost
    shell.

    ``shells`` ``(..., T, n)`` holds X of each shell, centre first, for a picture of the cut egg; ``is_yolk``
    ``(n,)`` says which are yolk.
    """

    times: np.ndarray
    white: np.ndarray
    yolk: np.ndarray
    centre: np.ndarray
    shells: np.ndarray
    is_yolk: np.ndarray

    @property
    def state(self) -> np.ndarray:
        """Index into `STATES` at each time."""
        return state(self.white, self.yolk, self.centre)


def setting(body: Body, times, shells) -> Setting:
    """The `Setting` of an egg ``body``: its ``shells`` [°C] are (..., T, n), ``times`` [s] (T,)."""
    yolk = np.asarray(body.shell_material) == 0
    if np.ndim(shells) < 2 or np.shape(shells)[-1] != yolk.size or yolk.all() or not yolk.any():
        raise ValueError(
            "an egg needs its shells' temperatures, (..., T, n), and the body of an egg: yolk inside white."
        )
    x = np.empty(np.shape(shells))
    seconds = np.asarray(times, float)[..., None, :]
    for part, mine in ((YOLK, yolk), (WHITE, ~yolk)):
        fractions = set_fraction(part, seconds, np.moveaxis(np.asarray(shells, float)[..., mine], -2, -1))
        x[..., mine] = np.moveaxis(fractions, -1, -2)
    weight = np.array(body.shell_mass)
    # The outermost shell's mass carries the eggshell's heat, which is no white.
    extra = SHELL_SHARE * SHELL_SPECIFIC_HEAT / WHITE.specific_heat
    weight[..., -1] -= weight.sum(axis=-1) * extra / (1.0 - SHELL_SHARE + extra)
    weight = weight[..., None, :]

    def mean(mine):
        return np.sum(x[..., mine] * weight[..., mine], axis=-1) / np.sum(weight[..., mine], axis=-1)

    return Setting(np.asarray(times, float), mean(~yolk), mean(yolk), x[..., 0], x, yolk)


def state(white, yolk, centre):
    """Index into `STATES` from the mean X of white, the mean X of yolk and X at the yolk's centre.

    raw: white below .5.  soft: white .5 to .9.  Then, with the white set (.9): runny, yolk below .3; jammy,
    yolk from .3; hard, the centre too at .9.  slow-set: the yolk has thickened (.3) before the white is set,
    as it does in long heat of 64 to 70 °C.  The levels are this course's convention; from the boil they give
    common times.
    """
    white, yolk, centre = (np.asarray(x, float) for x in (white, yolk, centre))
    cooked = np.where(centre >= 0.9, 4, np.where(yolk >= 0.3, 3, 2))
    unset = np.where(yolk >= 0.3, 5, np.where(white >= 0.5, 1, 0))
    return np.where(white >= 0.9, cooked, unset)


def _parts(target: str, setting: Setting):
    if target not in ("runny", "jammy", "hard"):
        raise ValueError(f"an egg is wanted runny, jammy or hard, not {target!r}.")
    parts = [(setting.white, 0.9)]
    parts += [(setting.yolk, 0.3)] if target == "jammy" else []
    return parts + ([(setting.centre, 0.9)] if target == "hard" else [])


def progress(target: str, setting: Setting):
    """0 to 1 (..., T): how near the egg is to being at least ``target``, "runny", "jammy" or "hard"."""
    return np.clip(np.minimum.reduce([x / level for x, level in _parts(target, setting)]), 0.0, 1.0)


def reached(target: str, setting: Setting):
    """Seconds (...,) at which the egg is at least ``target``; nan if never.

    Between samples the dose -ln(1 - X) is taken to grow exponentially, for X itself may rise from 0
    to 1 in one step.
    """

    def log_dose(x):
        return np.log(-np.log1p(-np.clip(x, 1e-30, 1.0 - 1e-15)))

    parts = _parts(target, setting)
    times = np.asarray(setting.times, float)
    return np.maximum.reduce([first_crossing(times, log_dose(x), log_dose(level)) for x, level in parts])


def williams(mass, start, water, boundary=70.0):
    """Williams' formula: seconds in water at ``water`` [°C] until the yolk's edge is at ``boundary`` [°C].

    ``mass`` [kg], egg at ``start`` [°C].  One term of the series for a sphere of one material, its surface
    held: about 8 % early against the full solution.  C. D. H. Williams, University of Exeter, "The science of
    boiling an egg": density 1.038 g/cm³, 3.7 J/(g K), 5.4e-3 W/(cm K).
    """
    within("mass", mass, 0.001, 2.0, "kg")
    grams = 1e3 * np.asarray(mass, float)
    start, water, boundary = (np.asarray(x, float) for x in (start, water, boundary))
    if not np.all((water > boundary) & (0.76 * (water - start) >= water - boundary)):
        raise ValueError("Williams' formula needs start < boundary < water, all in °C.")
    scale = grams ** (2 / 3) * 3.7 * 1.038 ** (1 / 3) / (5.4e-3 * np.pi**2 * (4 * np.pi / 3) ** (2 / 3))
    return scale * np.log(0.76 * (start - water) / (boundary - water))


def shell_wetness(mass, heat_transfer_coefficient=8.0):
    """Water lost through the shell's pores relative to an open wet surface: about .003, as `surface_wetness`.

    Pore conductance .432 M^.78 mg/(day torr), M in grams (Ar et al. 1974; from memory); the open surface by
    the Lewis relation from its ``heat_transfer_coefficient`` [W/(m² K)] in air at about 60 °C.  A cracked egg
    is wet.
    """
    grams = 1e3 * np.asarray(mass, float)
    pores = 0.432 * grams**0.78 * 1e-6 / 86400.0 / 133.322  # kg/(s Pa)
    open_surface = heat_transfer_coefficient / (1.06 * 1007.0) / (461.5 * 333.0)  # kg/(s m² Pa)
    return pores / (open_surface * 4.0 * np.pi * equivalent_radius(mass) ** 2)

"""The hen's egg: what it is made of, how it sets, and what a published formula says of it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np


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

"""What a food is made of, and what heat finds in it: density, conductivity, specific heat, ice.

Choi & Okos (1986) give density, conductivity and specific heat of each constituent as a + b T + c T² with T
in °C; a food is their mixture.  Valid -40 to 150 °C, within about 5 % for unfrozen foods without air.
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import lru_cache

import numpy as np

from .water import LATENT_HEAT_OF_FUSION, latent_heat, saturation_pressure

# constituent: (conductivity W/(m K)), (density kg/m³), (specific heat J/(kg K)); Choi & Okos 1986, as
# CoolProp has it
_CHOI_OKOS = {
    "water": (
        (0.57109, 1.7625e-3, -6.7036e-6),
        (997.18, 3.1439e-3, -3.7574e-3),
        (4128.9, -9.0864e-2, 5.4731e-3),
    ),
    "protein": ((0.17881, 1.1958e-3, -2.7178e-6), (1329.9, -0.51840, 0.0), (2008.2, 1.2089, -1.3129e-3)),
    "fat": ((0.18071, -2.7604e-4, -1.7749e-7), (925.59, -0.41757, 0.0), (1984.2, 1.4733, -4.8008e-3)),
    "carbohydrate": ((0.20141, 1.3874e-3, -4.3312e-6), (1599.1, -0.31046, 0.0), (1548.8, 1.9625, -5.9399e-3)),
    "fibre": ((0.18331, 1.2497e-3, -3.1683e-6), (1311.5, -0.36589, 0.0), (1845.9, 1.8306, -4.6509e-3)),
    "ash": ((0.32962, 1.4011e-3, -2.9069e-6), (2423.8, -0.28063, 0.0), (1092.6, 1.8896, -3.6817e-3)),
    "ice": ((2.21960, -6.2489e-3, 1.0154e-4), (916.89, -0.13071, 0.0), (2062.3, 6.0769, 0.0)),
}
_K, _RHO, _CP = 0, 1, 2
COLDEST, HOTTEST = -40.0, 200.0  # °C, span of the enthalpy tables
TABLE_LENGTH = 1024


def fractions(composition: Mapping[str, float]) -> dict[str, float]:
    """Mass fractions that sum to exactly 1, after checking names, signs and that the given sum is 1 ± .01."""
    known = [name for name in _CHOI_OKOS if name != "ice"]
    for name, value in composition.items():
        if name not in known:
            raise ValueError(f"composition has no constituent {name!r}; it takes {', '.join(known)}.")
        if not (np.ndim(value) == 0 and np.isfinite(value) and value >= 0.0):
            raise ValueError(f"mass fraction of {name} is {value!r}; it must be one number from 0 to 1.")
    total = float(sum(composition.values()))
    if abs(total - 1.0) > 0.01:
        raise ValueError(f"composition sums to {total:.3f}; mass fractions must sum to 1 (within .01).")
    return {name: float(composition.get(name, 0.0)) / total for name in known}


def _poly(constituent, which, temperature):
    a, b, c = _CHOI_OKOS[constituent][which]
    return a + temperature * (b + temperature * c)


def _freezable(part):
    return max(part["water"] - 0.4 * part["protein"], 0.0)


def ice_fraction(composition, temperature, initial_freezing_point=0.0):
    """Mass fraction of the food that is ice: (x_w - x_b)(1 - t_f/t), bound water x_b = .4 x_protein.

    ASHRAE Refrigeration, "Thermal properties of foods" (after Tchigeov and Schwartzberg; from memory).
    """
    part = fractions(composition)
    freezing = np.minimum(np.asarray(initial_freezing_point, float), -0.01)
    t = np.asarray(temperature, float)
    frozen = 1.0 - freezing / np.minimum(t, freezing)
    return _freezable(part) * frozen


def _present(composition, temperature, initial_freezing_point):
    part = fractions(composition)
    ice = ice_fraction(composition, temperature, initial_freezing_point)
    return {**part, "water": part["water"] - ice, "ice": ice}


def density(composition, temperature, initial_freezing_point=0.0):
    """Density [kg/m³] without pores at ``temperature`` [°C]."""
    t = np.asarray(temperature, float)
    present = _present(composition, t, initial_freezing_point)
    return 1.0 / sum(x / _poly(name, _RHO, t) for name, x in present.items())


def conductivity(composition, temperature, initial_freezing_point=0.0):
    """Thermal conductivity [W/(m K)] without pores: constituents weighted by volume."""
    t = np.asarray(temperature, float)
    present = _present(composition, t, initial_freezing_point)
    volume = {name: x / _poly(name, _RHO, t) for name, x in present.items()}
    return sum(v * _poly(name, _K, t) for name, v in volume.items()) / sum(volume.values())


def specific_heat(composition, temperature, initial_freezing_point=0.0):
    """Apparent specific heat [J/(kg K)]: thawed, the mixture of constituents; frozen, Chen (1985).

    Frozen: 1550 + 1260 x_s, x_s the dry share, plus the ice that melts with each kelvin (ASHRAE
    Refrigeration, "Thermal properties of foods"; from memory).
    """
    t = np.asarray(temperature, float)
    part = fractions(composition)
    thawed = sum(x * _poly(name, _CP, t) for name, x in part.items())
    freezing = np.minimum(np.asarray(initial_freezing_point, float), -0.01)
    melting = LATENT_HEAT_OF_FUSION * _freezable(part) * -freezing / np.minimum(t, freezing) ** 2
    return np.where(t < freezing, 1550.0 + 1260.0 * (1.0 - part["water"]) + melting, thawed)


def latent_heat_of_fusion(composition):
    """Heat [J/kg of food] that would freeze all its water: 334 kJ/kg times the water fraction (ASHRAE)."""
    return LATENT_HEAT_OF_FUSION * fractions(composition)["water"]


def _porous(matrix, porosity, temperature):
    """Maxwell-Eucken conductivity of a wet foam: vapour carries heat across each pore (Krischer; de Vries
    1958).

    At 60 °C a wet pore conducts like water, near 90 °C several times better: why a crumb heats faster than
    dough.
    """
    kelvin = temperature + 273.15
    # Near the boil, flow driven by pressure takes over from diffusion: the share of vapour is held at .9.
    share = np.minimum(saturation_pressure(temperature) / 101325.0, 0.9)
    slope = np.gradient(share * 101325.0, temperature)
    diffusivity = 2.26e-5 * (kelvin / 273.15) ** 1.81
    moved = diffusivity * latent_heat(temperature) / (461.5 * kelvin) * slope / (1.0 - share)
    pore = 0.026 + moved
    e = porosity
    return matrix * (2 * matrix + pore - 2 * e * (matrix - pore)) / (2 * matrix + pore + e * (matrix - pore))


@lru_cache(maxsize=512)
def table(composition, freezing, porosity, specific_heat_thawed, conductivity_thawed):
    """Rows (enthalpy, temperature, conductivity) for one material; ``composition`` as a tuple of items."""
    part = fractions(dict(composition))
    freezing = min(freezing, -0.01)
    # Temperatures crowd towards the freezing point, where enthalpy rises by hundreds of kJ in a kelvin.
    below = freezing + (COLDEST - freezing) * np.linspace(1.0, 0.0, 1500) ** 3
    t = np.concatenate([below, np.linspace(freezing, HOTTEST, 1500)[1:]])
    frozen = np.minimum(t, freezing)
    enthalpy = (1550.0 + 1260.0 * (1.0 - part["water"])) * (frozen - COLDEST)
    enthalpy += LATENT_HEAT_OF_FUSION * _freezable(part) * freezing * (1.0 / frozen - 1.0 / COLDEST)
    thawed = np.maximum(t, freezing)
    if specific_heat_thawed is None:
        for name, x in part.items():
            for power, c in enumerate(_CHOI_OKOS[name][_CP], start=1):
                enthalpy += x * c / power * (thawed**power - freezing**power)
    else:
        enthalpy += specific_heat_thawed * (thawed - freezing)
    k = conductivity(part, t, freezing)
    if conductivity_thawed is not None:
        k = np.where(t > freezing, conductivity_thawed[0] + conductivity_thawed[1] * t, k)
    if porosity > 0.0:
        k = _porous(k, porosity, t)
    grid = np.linspace(0.0, enthalpy[-1], TABLE_LENGTH)
    rows = grid, np.interp(grid, enthalpy, t), np.interp(grid, enthalpy, k)
    for row in rows:
        row.setflags(write=False)
    return rows

"""Water: the boil, the vapour above it and what evaporation costs.

Temperatures in °C, pressures in Pa.  Everything broadcasts.
"""

from __future__ import annotations

import numpy as np

SPECIFIC_HEAT = 4186.0  # J/(kg K), liquid water, mean of 0-100 °C
LATENT_HEAT_OF_FUSION = 334e3  # J/kg at 0 °C

# IAPWS-IF97, region 4: the saturation line, one implicit equation solved in closed form both ways.
_N = (
    0.11670521452767e4, -0.72421316703206e6, -0.17073846940092e2, 0.12020824702470e5, -0.32325550322333e7,
    0.14915108613530e2, -0.48232657361591e4, 0.40511340542057e6, -0.23855557567849, 0.65017534844798e3,
)  # fmt: skip


def saturation_pressure(temperature):
    """Pressure [Pa] of saturated vapour over liquid water at ``temperature`` [°C].

    IAPWS-IF97 region 4, 0-374 °C (0.01 %).  Below 0 °C it is continued to -40 °C as supercooled water, within
    0.6 % of the Goff-Gratch values; over ice the true pressure is lower (by 18 % at -20 °C).
    """
    kelvin = np.asarray(temperature, float) + 273.15
    theta = kelvin + _N[8] / (kelvin - _N[9])
    a = theta**2 + _N[0] * theta + _N[1]
    b = _N[2] * theta**2 + _N[3] * theta + _N[4]
    c = _N[5] * theta**2 + _N[6] * theta + _N[7]
    return 1e6 * (2 * c / (-b + np.sqrt(b**2 - 4 * a * c))) ** 4


def boiling_point(pressure):
    """Temperature [°C] at which water boils under ``pressure`` [Pa]; the inverse of `saturation_pressure`.

    IAPWS-IF97 region 4 backward equation, 611 Pa to 22 MPa.  Salt and sugar in a dish raise it by under 1 K.
    """
    pressure = np.asarray(pressure, float)
    if not np.all(pressure > 600.0):
        raise ValueError("pressure must be in pascals and above 600 Pa; the air at sea level has 101325 Pa.")
    beta = (pressure / 1e6) ** 0.25
    e = beta**2 + _N[2] * beta + _N[5]
    f = _N[0] * beta**2 + _N[3] * beta + _N[6]
    g = _N[1] * beta**2 + _N[4] * beta + _N[7]
    d = 2 * g / (-f - np.sqrt(f**2 - 4 * e * g))
    return (_N[9] + d - np.sqrt((_N[9] + d) ** 2 - 4 * (_N[8] + _N[9] * d))) / 2 - 273.15


def pressure_at(elevation):
    """Air pressure [Pa] at ``elevation`` [m] in the ICAO standard atmosphere, -5000 to 11000 m.

    Weather moves the real value by about ±2 %, which moves the boil by about ±0.6 K.
    """
    elevation = np.asarray(elevation, float)
    if not np.all((elevation > -5000.0) & (elevation < 11000.0)):
        raise ValueError("elevation must be in metres, between -5000 and 11000.")
    return 101325.0 * (1.0 - 0.0065 * elevation / 288.15) ** (9.80665 / (287.05287 * 0.0065))


def latent_heat(temperature):
    """Heat [J/kg] that evaporates water at ``temperature`` [°C]: 2.501 MJ/kg at 0 °C, 2.256 at 100 °C.

    Quartic fitted to IAPWS-95 (CoolProp) over 0-200 °C, within 0.01 %.
    """
    t = np.asarray(temperature, float)
    return 2.50085274e6 - 2365.00989 * t + 0.13489573 * t**2 - 6.88557720e-3 * t**3 - 2.40103706e-5 * t**4

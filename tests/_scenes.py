"""Cooks for the tests: made by hand, so that a change of the catalogue moves no test of the physics."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from solarlab.catalogue import Food, Handling, Oven, Place, Pot, Reflector
from solarlab.sky import Sky
from solarlab.sun import Instants

MIRRORS = tuple(Reflector(edge, 0.46, 30.0) for edge in ("top", "bottom", "left", "right"))
OVEN = Oven(
    name="test box", aperture_width=0.5, aperture_length=0.5, reflectors=(), reflectance=0.85,
    specular_fraction=0.95, slope_error=0.5, dust=0.02, tilt_min=0.0, tilt_max=60.0, glazing_sheets=2,
    glazing_refractive_index=1.526, glazing_extinction=20.0, glazing_thickness=0.003, glazing_density=2500.0,
    glazing_specific_heat=800.0, glazing_emittance=0.88, glazing_gap=0.02, cavity_depth=0.2,
    cavity_heat_capacity=4000.0, cavity_emittance=0.9, tray_area=0.22, tray_absorptance=0.92, wall_area=0.65,
    wall_absorptance=0.9, wall_conductance=0.9, air_leakage=2.0,
)  # fmt: skip
POT = Pot(
    name="test pot", diameter=0.2, height=0.12, mass=0.8, specific_heat=470.0, absorptance=0.92,
    transmittance=0.0,
    emittance=0.9, wall_resistance=0.0, lid_leakage=0.03, contact_conductance=60.0,
)  # fmt: skip
TIN = replace(POT, name="test tin", lid_leakage=1.0, height=0.08)
_PLAIN = {"water": 0.75, "protein": 0.2, "fat": 0.04, "carbohydrate": 0.0, "fibre": 0.0, "ash": 0.01}
MEAT = Food(
    name="test meat", form="solid", mass=1.0, water=0.0, initial_temperature=5.0, initial_freezing_point=-1.5,
    composition=_PLAIN, shape="sphere", half_thickness=0.06, pieces=1.0, absorptance=0.6, emittance=0.9,
    surface_wetness=1.0, doneness="chicken", safety=("poultry",),
)  # fmt: skip
WATER = replace(
    MEAT, name="test water", form="liquid", mass=0.0, water=1.5, initial_temperature=20.0,
    doneness="water",
    safety=("water",), initial_freezing_point=0.0, composition={**dict.fromkeys(_PLAIN, 0.0), "water": 1.0},
)  # fmt: skip
ROOTS = replace(MEAT, name="test roots", form="pieces", mass=0.8, water=0.8, pieces=6.0, half_thickness=0.03)
STEW = replace(MEAT, name="test stew", form="thick", mass=1.0, water=0.5, surface_wetness=0.8)
DISHES = {"water": (WATER, POT), "meat on the tray": (MEAT, None), "meat in a pot": (MEAT, POT),
          "meat in a tin": (MEAT, TIN), "roots": (ROOTS, POT), "stew": (STEW, POT)}  # fmt: skip
NAIROBI = Place("Nairobi", -1.286, 36.817, 1795.0, "Africa/Nairobi")
GREENSBORO = Place("Greensboro", 36.1, -79.95, 273.0, "Etc/GMT+5")


def instants_of(hours: float = 10.0, step: float = 300.0, start: str = "2026-06-21T07:00") -> Instants:
    count = round(hours * 3600.0 / step) + 1
    return Instants(np.datetime64(start, "ns") + np.arange(count) * np.timedelta64(int(step), "s"), "UTC")


def made_sky(times: Instants, *, air=25.0, cold=12.0, wind=1.0, pressure=101325.0) -> Sky:
    """A sky for the heat room alone: weather without a sun (powers are handed over apart)."""
    flat = np.ones(times.shape[-1])
    sun = np.zeros((times.shape[-1], 3))
    return Sky(times, sun, 0.0 * flat, 0.0 * flat, air * flat, cold * flat, wind * flat, pressure * flat)


def made_gain(times: Instants, power=250.0, *, shape="bell", glazing=0.1, tilt=20.0):
    """Powers into cavity and glazing: a ``"bell"`` over the day, or ``"flat"``."""
    from solarlab.oven import Gain

    count = times.shape[-1]
    form = np.ones(count)
    if shape == "bell":
        middle = (np.arange(count) + 0.5) / (count - 1) - 0.5  # means over the steps
        form = np.exp(-((3.0 * middle) ** 2))
    watts = np.asarray(power, float)[..., None] * form
    return Gain(watts, glazing * watts, np.full(count, tilt), np.zeros((count, 3)))


EARLY = Handling(loaded="07:00", reaim_every=30.0)

"""What the sayings compare a box oven with: a pot on a burner, and a kitchen oven.  Both explicit and plain.

Nothing here is measured: the numbers are common practice, no source, unless they are marked.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from solarlab import Food, Gain, Handling, Pot, body, warm
from solarlab.doneness import done
from tests._scenes import OVEN, instants_of, made_sky

LATENT = 2.257e6  # J/kg at 100 °C [lib: IAPWS]
SURFACE_LOSS = (10.0, 14.0)  # W/(m² K), a hot pot's outside to still air, with radiation (handbooks) [memory]
KITCHEN_AIR = 25.0  # °C
INTO_POT = (0.40, 0.60)  # of a gas burner's heat


@dataclass(frozen=True)
class Burner:
    """One way of boiling: ``power`` [W, from, to] of the burner once it boils, ``minutes`` at the boil."""

    power: tuple[float, float]
    minutes: tuple[float, float]
    lid: bool

    def boiled_off(self, pot: Pot, generator: np.random.Generator, n: int) -> np.ndarray:
        """Water [kg] (n,) that leaves the pot at the boil: by all the heat that its outside does not lose.

        What leaves on the way to the boil is left out: some grams.
        """
        outside = np.pi * pot.diameter * pot.height + (np.pi * pot.diameter**2 / 4.0 if self.lid else 0.0)
        lost = generator.uniform(*SURFACE_LOSS, n) * outside * (100.0 - KITCHEN_AIR)
        heat = generator.uniform(*self.power, n) * generator.uniform(*INTO_POT, n) - lost
        return np.maximum(heat, 0.0) * generator.uniform(*self.minutes, n) * 60.0 / LATENT


LOW_WITH_LID = Burner(power=(400.0, 700.0), minutes=(15.0, 20.0), lid=True)  # rice
ROLLING = Burner(power=(1200.0, 1800.0), minutes=(8.0, 12.0), lid=False)  # pasta
SIMMERING = Burner(power=(500.0, 900.0), minutes=(25.0, 35.0), lid=False)  # a sauce


def kitchen_minutes(food: Food, pot: Pot | None, temperature, *, hours: float = 3.0) -> np.ndarray:
    """Minutes until ``food`` is done by its rule in a kitchen oven held at ``temperature`` [°C] (n,).

    A box of great heat capacity in surroundings as hot as itself neither loses heat nor needs any.  Its air
    is changed ten times an hour for kitchen air, 25 °C and half saturated: the network takes humidity from
    the first instant of the sky, which is a kitchen's; the oven is put out and loaded at the second.
    """
    times = instants_of(hours, 60.0)
    count = times.shape[-1]
    box = replace(OVEN, cavity_heat_capacity=5e5, wall_conductance=0.05, glazing_sheets=1, air_leakage=10.0)
    hot = np.repeat(np.asarray(temperature, float)[..., None], count, axis=-1)
    hot[..., 0] = KITCHEN_AIR
    sky = replace(made_sky(times), air_temperature=hot, sky_temperature=hot)
    dark = Gain(np.zeros(count), np.zeros(count), np.zeros(count), np.zeros((count, 3)))
    dish = body(food, pot)
    warming = warm(box, pot, dish, dark, sky, Handling(loaded="07:01"))
    elapsed = (np.arange(count) - 1.0) * times.step
    return done(food.doneness, elapsed, warming.core, body=dish)[0] / 60.0

"""The egg against published kinetics and Williams' formula."""

from __future__ import annotations

import numpy as np
import pytest

from solarlab import egg
from solarlab._shapes import Shape, paths
from solarlab.catalogue import food
from solarlab.food import body
from tests._bath import cooled

SOURCE = "Di Lorenzo et al. 2025, Communications Engineering, s44172-024-00334-w"


@pytest.mark.parametrize(
    ("part", "celsius", "minutes"),
    [(egg.YOLK, 65.0, 21.5), (egg.YOLK, 70.0, 3.6), (egg.WHITE, 80.0, 0.63), (egg.WHITE, 75.0, 4.9)],
)
def test_time_to_nine_tenths_set(part, celsius, minutes):
    """Constants as publicly reproduced [seen]; times to X = .9 [lib], ± 2 %: they hang on the digits of R."""
    assert SOURCE in part.source
    assert egg.time_to_set(part, celsius) / 60.0 == pytest.approx(minutes, rel=0.02)


def test_heat_properties_of_white_and_yolk():
    """cp 3120/3800; k and density as in the same paper [seen, second-hand]; from the body's tables."""
    shells = body(food("egg"))
    expected = (
        (3120.0, 0.395 + 0.0008 * 50, 1037.3 - 0.1386 * 50 - 0.0023 * 50**2),
        (3800.0, 0.5125 + 0.0013 * 50, 1043.3 - 0.0115 * 50 - 0.0041 * 50**2),
    )
    for row, (cp, k, density) in enumerate(expected):
        heat = np.interp([30.0, 70.0], shells.temperature_of_enthalpy[row], shells.enthalpy_grid[row])
        assert np.diff(heat)[0] / 40.0 == pytest.approx(cp, rel=1e-3)
        middle = np.interp(50.0, shells.temperature_of_enthalpy[row], shells.conductivity_of_enthalpy[row])
        assert middle == pytest.approx(k, rel=1e-3)
        assert (egg.YOLK, egg.WHITE)[row].density_at(50.0) == pytest.approx(density)


@pytest.mark.parametrize(("start", "seconds"), [(4.0, 396.6), (20.0, 315.2)])
def test_williams_formula(start, seconds):
    """University of Exeter [seen]: 67 g in boiling water until the yolk's edge is at 70 °C."""
    assert egg.williams(0.067, start, 100.0, 70.0) == pytest.approx(seconds, abs=0.1)


@pytest.mark.parametrize("start", [4.0, 20.0])
def test_williams_formula_is_early_against_the_full_solution(start):
    """One term of the series, .76 for the yolk's edge: about 8 % early [lib].

    The same sphere (67 g, 1.038 g/cm³, 3.7 J/(g K), .54 W/(m K)), its surface at 100 °C, edge at .69 of it.
    """
    radius = (3 * 0.067 / (4 * np.pi * 1038.0)) ** (1 / 3)
    one = Shape(np.array(2.0), np.array(1.0), np.array(4 / 3 * np.pi), np.array(4 * np.pi), None, None)
    inner, outer, node, share = paths(one, np.linspace(0.0, 1.0, 61))
    times = np.arange(200.0, 700.0, 5.0)
    fourier = times * 0.54 / (1038.0 * 3700.0) / radius**2
    left = np.array(
        [np.interp(0.69, node, cooled(inner, outer, share * 4 / 3 * np.pi, fo)) for fo in fourier]
    )
    full = np.interp(70.0, 100.0 - (100.0 - start) * left, times)
    early = egg.williams(0.067, start, 100.0) / full - 1.0
    assert -0.12 < early < -0.04

"""Foods and water against the world outside: Choi-Okos, ASHRAE, the conducting sphere, the boil."""

from __future__ import annotations

import numpy as np
import pytest
from CoolProp.CoolProp import PropsSI

from solarlab import water
from solarlab._shapes import Shape, paths
from solarlab.catalogue import Food
from solarlab.doneness import CookValue, done, rule
from solarlab.food import body, conductivity, density, latent_heat_of_fusion, specific_heat
from tests._bath import at_centre, cooled, in_bath

# ASHRAE Refrigeration 2006, chapter 9, table 3 [seen]: mass fractions, carbohydrate here without the fibre;
# freezing point °C; specific heat above and below freezing, kJ/(kg K); latent heat kJ/kg.
ASHRAE = {
    "snap bean": ((0.9027, 0.0182, 0.0012, 0.0374, 0.0340, 0.0066), -0.7, 3.99, 1.85, 302.0),
    "lima bean": ((0.7024, 0.0684, 0.0086, 0.1526, 0.0490, 0.0189), -0.6, 3.52, 2.07, 235.0),
    "carrot": ((0.8779, 0.0103, 0.0019, 0.0714, 0.0300, 0.0087), -1.4, 3.92, 2.00, 293.0),
}
NAMES = ("water", "protein", "fat", "carbohydrate", "fibre", "ash")
COOLPROP = dict(zip(NAMES, ("Water", "Protein", "Fat", "Carbohydrate", "Fiber", "Ash"), strict=True))


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize("celsius", [1.0, 20.0, 50.0, 90.0])
def test_constituents_are_choi_and_okos(name, celsius):
    """CoolProp's incompressible food components, after Choi & Okos 1986 [lib], ± .1 %."""
    pure = {name: 1.0}
    ours = density(pure, celsius), specific_heat(pure, celsius), conductivity(pure, celsius)
    for value, key in zip(ours, "DCL", strict=True):
        expected = PropsSI(key, "T", celsius + 273.15, "P", 101325, f"INCOMP::Food{COOLPROP[name]}")
        assert value == pytest.approx(expected, rel=1e-3)


def test_ice_in_frozen_water_is_choi_and_okos():
    """CoolProp's FoodIce [lib]: water frozen far below its freezing point is almost all ice."""
    for value, key in ((density({"water": 1.0}, -20.0), "D"), (conductivity({"water": 1.0}, -20.0), "L")):
        assert value == pytest.approx(PropsSI(key, "T", 253.15, "P", 101325, "INCOMP::FoodIce"), rel=1e-3)


@pytest.mark.parametrize("food", ASHRAE)
def test_ashrae_table_3(food):
    fractions, freezing, above, below, latent = ASHRAE[food]
    composition = dict(zip(NAMES, fractions, strict=True))
    assert latent_heat_of_fusion(composition) / 1e3 == pytest.approx(latent, abs=1.0)
    assert specific_heat(composition, 10.0, freezing) / 1e3 == pytest.approx(above, rel=0.04)
    # The table's values below freezing are themselves computed, at about -40 °C, by Chen's equation.
    assert specific_heat(composition, -40.0, freezing) / 1e3 == pytest.approx(below, rel=0.04)


def sphere(shells):
    """Shells of a unit sphere of unit material."""
    one = Shape(np.array(2.0), np.array(1.0), np.array(4 / 3 * np.pi), np.array(4 * np.pi), None, None)
    inner, outer, node, share = paths(one, np.linspace(0.0, 1.0, shells + 1))
    return inner, outer, node, share * 4 / 3 * np.pi


@pytest.mark.parametrize(("fourier", "expected"), [(0.1, 0.7071), (0.2, 0.2771), (0.1388, 0.5)])
def test_sphere_with_its_surface_held(fourier, expected):
    """Centre of a sphere by the series [lib]; halving the mesh moves it by less than .2 %."""
    centres = []
    for shells in (24, 48):
        inner, outer, node, volume = sphere(shells)
        centres.append(cooled(inner, outer, volume, fourier)[0])
        assert at_centre(cooled(inner, outer, volume, fourier), node) == pytest.approx(expected, abs=4e-4)
    assert centres[0] == pytest.approx(centres[1], rel=2e-3)


@pytest.mark.parametrize(
    ("biot", "zeta", "first"),
    [(0.1, 0.5423, 1.0298), (1.0, 1.5708, 1.2732), (10.0, 2.8363, 1.9249), (100.0, 3.1102, 1.9990)],
)
def test_sphere_in_a_fluid(biot, zeta, first):
    """One-term coefficients of the convectively heated sphere, Incropera & DeWitt table 5.1 [lib]."""
    inner, outer, node, volume = sphere(24)
    early, late = (at_centre(cooled(inner, outer, volume, fo, biot * 4 * np.pi), node) for fo in (0.5, 0.6))
    assert np.sqrt(np.log(early / late) / 0.1) == pytest.approx(zeta, rel=1e-3)
    assert early * np.exp(zeta**2 * 0.5) == pytest.approx(first, rel=2e-3)


def test_boiling_point_falls_with_height():
    """ICAO standard atmosphere and IAPWS [lib]; CoolProp agrees at each pressure."""
    heights = np.arange(0, 5001, 1000)
    boil = water.boiling_point(water.pressure_at(heights))
    np.testing.assert_allclose(boil, [99.97, 96.65, 93.32, 89.97, 86.62, 83.26], atol=0.01)
    for height, celsius in zip(heights, boil, strict=True):
        saturated = PropsSI("T", "P", float(water.pressure_at(height)), "Q", 0, "Water") - 273.15
        assert celsius == pytest.approx(saturated, abs=0.01)


def test_evaporating_a_kilogram_an_hour_takes_627_watts():
    assert water.latent_heat(100.0) / 3600.0 == pytest.approx(627.0, abs=0.5)  # [lib]


@pytest.mark.parametrize("celsius", [0.01, 20.0, 60.0, 100.0, 150.0, 200.0])
def test_water_is_iapws(celsius):
    """CoolProp's IAPWS-95 [lib]."""
    kelvin = celsius + 273.15
    heat = PropsSI("H", "T", kelvin, "Q", 1, "Water") - PropsSI("H", "T", kelvin, "Q", 0, "Water")
    assert water.latent_heat(celsius) == pytest.approx(heat, rel=1e-4)
    assert water.saturation_pressure(celsius) == pytest.approx(
        PropsSI("P", "T", kelvin, "Q", 0, "Water"), rel=2e-4
    )


def test_supercooled_water_is_goff_and_gratch():
    """Smithsonian Meteorological Tables [memory]: hPa over water at -10, -20, -40 °C."""
    np.testing.assert_allclose(
        water.saturation_pressure(np.array([-10.0, -20.0, -40.0])), [286.3, 125.4, 18.9], rtol=0.006
    )


def test_beans_at_the_boil():
    """Deshpande 1986 [seen]: ten varieties, 52-85 min at the boil."""
    times = np.arange(0.0, 10800.0, 300.0)
    when, _ = done("beans_soaked", times, np.full(times.shape, 100.0))
    assert 52.0 <= when / 60.0 <= 85.0


def test_a_loaf_whose_crust_boils_is_done_with_its_crumb_between_93_and_98():
    """Crumb 93-98 °C [memory] at the end of a kitchen bake, its crust held at the boil by its own steam."""
    dough = (0.463, 0.068, 0.007, 0.433, 0.016, 0.013)
    loaf = Food(
        name="loaf", form="solid", mass=0.75, water=0.0, initial_temperature=28.0,
        initial_freezing_point=-3.0, composition=dict(zip(NAMES, dough, strict=True)), shape="slab",
        half_thickness=0.038, pieces=1.0,
        absorptance=0.4, emittance=0.9, surface_wetness=0.4, doneness="bread", safety=("bread",),
        porosity=0.65,
    )  # fmt: skip
    times = np.arange(0.0, 5400.0, 60.0)
    crumb = in_bath(body(loaf), 100.0, 1000.0, times)[:, 0]
    when, _ = done("bread", times, crumb)
    assert 93.0 <= np.interp(when, times, crumb) <= 98.0


def test_z_of_legumes_and_rice_agree():
    """z 33 K at 100 °C is an activation energy of 80 kJ/mol, as for rice (Suzuki et al. 1976 [memory])."""
    need = next(n for n in rule("rice").needs if isinstance(n, CookValue))
    assert np.log(10) * 8.314 * 373.15**2 / need.z == pytest.approx(80e3, rel=0.02)

"""Bodies of food: mass and heat are kept, limits are met, one is as many, and bad numbers are said so."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import brentq
from scipy.special import jv

from solarlab import water
from solarlab._shapes import finite_cylinder, first_zero, paths, piece
from solarlab.catalogue import Food, Pot, food, foods, pot
from solarlab.doneness import rule
from solarlab.food import body, conductivity, density, fractions, ice_fraction, specific_heat
from tests._bath import cooled, in_bath

MEAT = {"water": 0.75, "protein": 0.2, "fat": 0.04, "ash": 0.01}
POT = Pot("pot", 0.2, 0.12, 0.8, 470.0, 0.92, 0.0, 0.9, 0.0, 0.03, 60.0)
ROAST = Food(
    name="roast", form="solid", mass=1.0, water=0.0, initial_temperature=5.0, initial_freezing_point=-1.5,
    composition=MEAT, shape="sphere", half_thickness=0.06, pieces=1.0, absorptance=0.6, emittance=0.9,
    surface_wetness=1.0, doneness="meat", safety=("whole_cut",),
)  # fmt: skip
FORMS = {
    "roast": (ROAST, None),
    "soup": (replace(ROAST, form="liquid", mass=0.3, water=1.0), POT),
    "stew": (replace(ROAST, form="thick", mass=1.0, water=0.5), POT),
    "chunks": (replace(ROAST, form="pieces", mass=0.6, water=0.8, pieces=6.0, half_thickness=0.028), POT),
    "loaf": (replace(ROAST, shape="slab", half_thickness=0.035, porosity=0.5), POT),
    "egg": (food("egg"), None),
}


@pytest.mark.parametrize("name", FORMS)
def test_every_gram_is_counted(name):
    dish, vessel = FORMS[name]
    made = body(dish, vessel)
    total = float(made.liquid_mass + made.pieces * made.shell_mass.sum())
    if name == "egg":  # the shell counts by its heat, in grams of white
        assert total == pytest.approx(dish.mass * (0.9 + 0.1 * 850.0 / 3800.0), rel=1e-9)
    else:
        assert total == pytest.approx(dish.mass + dish.water, rel=1e-9)


def test_a_liquid_has_no_shells_and_its_water_may_leave():
    made = body(*FORMS["soup"])
    assert (made.shells, float(made.pieces)) == (0, 0.0)
    assert float(made.water_mass) == pytest.approx(1.0 + 0.75 * 0.3)
    assert 3500.0 < made.liquid_specific_heat < water.SPECIFIC_HEAT
    pure = body(replace(FORMS["soup"][0], mass=0.0), POT)
    assert float(pure.liquid_specific_heat) == pytest.approx(water.SPECIFIC_HEAT)


@pytest.mark.parametrize("name", [n for n in FORMS if n != "soup"])
def test_enthalpy_rises_with_temperature_in_every_table(name):
    made = body(*FORMS[name])
    assert np.all(np.diff(made.enthalpy_grid, axis=1) > 0)
    assert np.all(np.diff(made.temperature_of_enthalpy, axis=1) >= 0)
    assert np.all(made.conductivity_of_enthalpy > 0)
    steps = np.diff(made.enthalpy_grid, axis=1)
    np.testing.assert_allclose(steps, np.broadcast_to(steps[:, :1], steps.shape), rtol=1e-9)


def test_enthalpy_is_the_integral_of_specific_heat():
    made = body(ROAST)
    for low, high in ((-35.0, -5.0), (-5.0, -2.0), (2.0, 90.0)):
        t = np.linspace(low, high, 20001)
        # The tables know freezing points to the tenth of a kelvin.
        direct = np.trapezoid(specific_heat(MEAT, t, -1.5), t)
        table = np.diff(np.interp([low, high], made.temperature_of_enthalpy[0], made.enthalpy_grid[0]))[0]
        assert table == pytest.approx(direct, rel=5e-3)


def test_heat_given_is_heat_stored():
    """A roast left in a bath ends at the bath's temperature, having taken exactly its enthalpy."""
    made = body(replace(ROAST, half_thickness=0.06), shells=12)
    end = in_bath(made, 60.0, 200.0, np.array([0.0, 1e5]))[-1]
    np.testing.assert_allclose(end, 60.0, atol=0.05)


def test_a_frozen_body_waits_at_its_freezing_point():
    times = np.arange(0.0, 6 * 3600.0, 600.0)
    frozen = replace(ROAST, initial_temperature=-18.0)
    core = in_bath(body(frozen), 60.0, 30.0, times)[:, 0]
    thawed = in_bath(body(ROAST), 60.0, 30.0, times)[:, 0]
    assert np.sum((core > -6.0) & (core < 0.0)) > 6  # an hour and more in the plateau
    assert np.all(core <= thawed + 0.1)


def test_ice_grows_from_the_freezing_point_down():
    t = np.array([0.0, -1.5, -2.0, -5.0, -20.0, -40.0])
    ice = ice_fraction(MEAT, t, -1.5)
    assert ice[0] == ice[1] == 0.0
    assert np.all(np.diff(ice[1:]) > 0)
    assert ice[-1] < MEAT["water"]
    assert conductivity(MEAT, -20.0, -1.5) > 2 * conductivity(MEAT, 20.0, -1.5)
    assert density(MEAT, -20.0, -1.5) < density(MEAT, 20.0, -1.5)


@pytest.mark.parametrize("exponent", [0.0, 0.3, 1.0, 1.6, 2.0])
def test_first_zero_is_bessels(exponent):
    order = (exponent - 1.0) / 2.0
    assert first_zero(exponent) == pytest.approx(brentq(lambda x: jv(order, x), 1.2, 3.6), rel=4e-3)


@pytest.mark.parametrize("ratio", [0.05, 0.5, 1.0, 2.0, 20.0])
def test_a_short_cylinder_keeps_its_slowest_mode(ratio):
    """Radius 1, half-height ``ratio``, surface held: rate 2.4048² + (pi / 2 ratio)² [closed form]."""
    shape = finite_cylinder(np.array(2 * np.pi * ratio), np.array(1.0), np.array(ratio), 0.0, 0.0)
    inner, outer, _, share = paths(shape, np.linspace(0.0, 1.0, 49))
    expected = 2.40483**2 + (np.pi / 2 / ratio) ** 2
    times = np.array([1.0, 1.2]) * 3.0 / expected
    early, late = (cooled(inner, outer, share * shape.volume, t)[0] for t in times)
    assert np.log(early / late) / np.diff(times)[0] == pytest.approx(expected, rel=0.01)


def test_limits_of_shape():
    wide = piece("slab", 0.002, 0.001)
    assert wide.exponent == pytest.approx(0.0, abs=0.01)
    long = piece("cylinder", np.pi * 0.01**2 * 2.0, 0.01)
    assert long.exponent == pytest.approx(1.0, abs=0.01)
    ball = piece("sphere", 4 / 3 * np.pi * 0.03**3, 0.03)
    assert ball.exponent == pytest.approx(2.0)
    assert ball.surface == pytest.approx(4 * np.pi * 0.03**2)
    heavier = piece("sphere", 2 * 4 / 3 * np.pi * 0.03**3, 0.03)
    assert 1.0 < heavier.exponent < 2.0
    assert ball.surface < heavier.surface < 2 * ball.surface


def test_a_thicker_body_is_slower_and_a_warmer_bath_quicker():
    times = np.arange(0.0, 7200.0, 300.0)

    def core(half, bath):
        roast = replace(ROAST, half_thickness=half, mass=4 / 3 * np.pi * half**3 * 1060.0)
        return in_bath(body(roast), bath, 30.0, times)[:, 0]

    assert np.all(core(0.06, 90.0) <= core(0.04, 90.0) + 1e-6)
    assert np.all(core(0.04, 80.0) <= core(0.04, 90.0) + 1e-6)


def test_a_wet_foam_conducts_better_hot_than_its_dough():
    foam = body(FORMS["loaf"][0], POT)
    k = np.interp([20.0, 60.0, 90.0], foam.temperature_of_enthalpy[0], foam.conductivity_of_enthalpy[0])
    dense = conductivity(MEAT, np.array([20.0, 60.0, 90.0]))
    assert k[0] < dense[0]
    assert k[2] > dense[2]


def test_small_pieces_follow_the_liquid_and_large_ones_do_not():
    beans = replace(FORMS["chunks"][0], pieces=[6.0, 2000.0], half_thickness=[0.028, 0.004])
    made = body(beans, POT)
    np.testing.assert_array_equal(made.pieces, [6.0, 0.0])
    np.testing.assert_allclose(made.liquid_mass, [0.8, 1.4])


def test_one_is_as_many():
    """A batch of draws gives each the body it has alone, tables included."""
    masses, starts, freezing = [0.5, 1.0], [5.0, -18.0], [-1.52, -2.04]
    for dish, vessel in (FORMS["roast"], FORMS["stew"]):
        crowd = replace(dish, mass=masses, initial_temperature=starts, initial_freezing_point=freezing)
        many = body(crowd, vessel)
        for i in range(2):
            alone = body(
                replace(
                    dish, mass=masses[i], initial_temperature=starts[i], initial_freezing_point=freezing[i]
                ),
                vessel,
            )
            for name in ("shell_mass", "inner_path", "outer_path", "surface_area", "plan_area", "pieces"):
                np.testing.assert_allclose(getattr(many, name)[i], getattr(alone, name), rtol=1e-12)
            row = many.shell_material[i, 0]
            np.testing.assert_array_equal(many.enthalpy_grid[row], alone.enthalpy_grid[0])
            np.testing.assert_array_equal(
                many.conductivity_of_enthalpy[row], alone.conductivity_of_enthalpy[0]
            )


def test_egg_is_yolk_inside_white():
    made = body(food("egg"))
    assert list(made.shell_material) == sorted(made.shell_material)
    yolk = made.shell_mass[made.shell_material == 0].sum()
    assert yolk / (0.9 * food("egg").mass) == pytest.approx(0.31, rel=1e-6)


def test_every_food_of_the_catalogue_has_a_body_and_rules():
    for name in foods():
        dish = food(name)
        made = body(dish, None if dish.form == "solid" else pot("cast iron"))
        assert np.all(made.surface_area >= 0.0)
        assert rule(dish.doneness).key == dish.doneness


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"mass": -1.0}, "mass is -1 kg; it must lie"),
        ({"mass": float("nan")}, "mass is nan kg"),
        ({"mass": 0.0}, "nothing to cook"),
        ({"initial_temperature": 170.0}, "Is it in °F"),
        ({"half_thickness": 6.0}, "half_thickness is 6 m"),
        ({"half_thickness": 0.002}, "check mass, pieces and half_thickness"),
        ({"pieces": 0.0}, "pieces is 0"),
        ({"form": "soup"}, "form is 'soup'"),
        ({"shape": "cube"}, "shape is 'cube'"),
        ({"form": "thick"}, "needs a pot"),
        ({"absorptance": 1.2}, "absorptance is 1.2"),
        ({"porosity": np.array([0.1, 0.2])}, "porosity must be one number"),
        ({"composition": {"water": 0.7}}, "sums to 0.700"),
        ({"composition": {"water": 1.2, "fat": -0.2}}, "water in the composition is 1.2"),
        ({"composition": {"watr": 1.0}}, "no part 'watr'"),
    ],
)
def test_bad_food_is_one_clear_sentence(change, words):
    with pytest.raises(ValueError, match=words) as caught:
        body(replace(ROAST, **change))
    assert "\n" not in str(caught.value)
    assert str(caught.value)[-1] in ".?"


def test_a_pot_too_small_and_a_frozen_soup_are_refused():
    with pytest.raises(ValueError, match="use less food"):
        body(replace(ROAST, form="liquid", mass=9.0), POT)
    with pytest.raises(ValueError, match="starts thawed"):
        body(replace(ROAST, form="liquid", initial_temperature=-5.0), POT)
    with pytest.raises(ValueError, match="at least 4"):
        body(ROAST, shells=2)


@given(st.floats(0.3, 0.95), st.floats(0.0, 0.3), st.floats(-30.0, 120.0))
def test_properties_stay_between_those_of_the_constituents(wet, protein, celsius):
    mix = {"water": wet, "protein": min(protein, 1.0 - wet)}
    mix["carbohydrate"] = 1.0 - sum(mix.values())
    assert sum(fractions(mix).values()) == pytest.approx(1.0)
    assert 850.0 < density(mix, celsius, -1.0) < 1700.0
    assert 0.1 < conductivity(mix, celsius, -1.0) < 3.0


def test_water_boils_lower_up_high_and_bad_pressures_are_said():
    assert water.boiling_point(water.saturation_pressure(55.0)) == pytest.approx(55.0, abs=1e-6)
    assert np.all(np.diff(water.boiling_point(water.pressure_at(np.linspace(0, 5000, 20)))) < 0)
    with pytest.raises(ValueError, match="pascals"):
        water.boiling_point(101.3)
    with pytest.raises(ValueError, match="metres"):
        water.pressure_at(50000.0)

"""Fuel saved: arithmetic that can be done by hand, honest ranges, and the counterfactual in words."""

from __future__ import annotations

import re
from dataclasses import replace

import numpy as np
import pytest

from solarlab import catalogue as c
from solarlab import fuel
from solarlab.fuel import FUELS, Fuel, fuel_needed, saved, stove_heat, tending_saved

EXACT = Fuel("test fire", 15.6, 0.112, (0.12, 0.12))


def test_one_megajoule_on_an_open_fire():
    """IPCC 2006: wood 15.6 MJ/kg, 112 t CO₂/TJ [seen].  1 MJ at 12 % = .534 kg of wood = .933 kg CO₂."""
    assert fuel_needed(1.0, 0.12) == pytest.approx(0.534, abs=5e-4)
    found = saved(1.0, EXACT, replaced=(1.0, 1.0))
    for end in ("low", "middle", "high"):
        assert getattr(found.fuel, end) == pytest.approx(0.534, abs=5e-4)
        assert getattr(found.carbon_dioxide, end) == pytest.approx(0.933, abs=5e-4)


@pytest.mark.parametrize(("name", "heating_value", "carbon"), [
    ("wood, open fire", 15.6, 112.0),  # IPCC 2006 [seen]
    ("LPG", 47.3, 63.1),  # IPCC 2006 [memory]
    ("kerosene", 43.8, 71.9),  # IPCC 2006 [memory]
    ("charcoal", 29.5, 112.0),  # IPCC 2006 [memory]
])  # fmt: skip
def test_fuels_are_the_published_ones(name, heating_value, carbon):
    assert FUELS[name].heating_value == heating_value
    assert FUELS[name].carbon * 1000.0 == pytest.approx(carbon)


def test_open_fires_and_forests_are_within_published_ranges():
    """Open fire 10–15 % [memory]; non-renewable share 27–34 %, Bailis et al. 2015 [seen]."""
    assert FUELS["wood, open fire"].efficiency == (0.10, 0.15)
    assert FUELS["wood, open fire"].not_regrown == (0.27, 0.34)


def test_only_wood_that_does_not_grow_back_counts():
    whole = saved(1.0, EXACT, replaced=(1, 1)).carbon_dioxide.middle
    third = saved(1.0, replace(EXACT, not_regrown=(1 / 3, 1 / 3)), replaced=(1, 1))
    assert third.carbon_dioxide.middle == pytest.approx(whole / 3)
    assert "33% to 33% that does not grow back" in third.counterfactual


def test_charcoal_counts_the_wood_behind_it():
    """1 MJ at 25 % is 1/(.25 · 29.5) kg; six times as much wood (IPCC 1996 [seen, second-hand])."""
    found = saved(1.0, Fuel("kiln", 29.5, 0.112, (0.25, 0.25), (1.0, 1.0), (6.0, 6.0)), replaced=(1, 1))
    wood = 6.0 / (0.25 * 29.5)
    assert found.wood.middle == pytest.approx(wood)
    assert found.carbon_dioxide.middle == pytest.approx(wood * 15.6 * 0.112)


@pytest.mark.parametrize("name", FUELS)
def test_ranges_are_ordered_wide_and_grow_with_cooks(name):
    one, many = saved(0.8, name), saved(0.8, name, cooks=250)
    for part in ("fuel", "carbon_dioxide"):
        a, b = getattr(one, part), getattr(many, part)
        assert 0.0 < a.low < a.middle < a.high
        assert a.high > 1.4 * a.low
        assert b.middle == pytest.approx(250 * a.middle)
    assert "stove" not in name or "improved" in name


@pytest.mark.parametrize("name", FUELS)
def test_every_saving_says_against_what_and_from_where(name):
    found = saved((0.5, 0.9), name, cooks=200)
    assert f"cooked with {name}" in str(found)
    assert "50% to 100% of solar cooks are taken to replace one" in str(found)
    assert ("grow back" in str(found)) == (FUELS[name].not_regrown != (1.0, 1.0))
    assert found.sources and all(
        re.search(r"\[(seen|memory)|memory$|no source|behind it", s) for s in found.sources
    )


def test_eighty_per_cent_lie_inside():
    """Against an independent draw of the same factors."""
    generator = np.random.default_rng(99)
    heat, share, efficiency, grown = (generator.uniform(*pair, 5000) for pair in (
        (0.5, 0.9), (0.5, 1.0), (0.10, 0.15), (0.27, 0.34)))  # fmt: skip
    drawn = heat * share / efficiency * 0.112 * grown
    found = saved((0.5, 0.9)).carbon_dioxide
    inside = np.mean((drawn >= found.low) & (drawn <= found.high))
    assert 0.78 <= inside <= 0.82


def test_a_better_stove_leaves_less_to_save():
    order = [saved(1.0, name).carbon_dioxide.middle for name in ("wood, open fire", "wood, improved stove")]
    assert order[0] > 1.5 * order[1]


# --- the heat of a dish ------------------------------------------------------------------------------------


def test_heat_of_water_is_mass_times_rise():
    """2 kg from 20 °C to 100 °C at 4186 J/(kg K), and the pot; no simmer: .670 MJ and .031 of steel."""
    pot = c.pot("dark enamelled steel")
    water = c.portion(c.food("water"), mass=2.0, initial_temperature=20.0)
    found = stove_heat(water, pot, simmer_minutes=0.0)
    expected = 2.0 * 4186.0 * 80.0 + pot.mass * pot.specific_heat * 80.0
    assert found.low == found.high == pytest.approx(expected / 1e6, rel=1e-3)


def test_a_simmer_and_a_frozen_start_cost_more():
    pot, fish = c.pot("dark enamelled steel"), c.food("fish")
    plain = stove_heat(fish, pot, simmer_minutes=0.0).middle
    assert stove_heat(fish, pot, simmer_minutes=(10, 30)).middle > plain
    cold = replace(fish, form="solid", initial_temperature=-15.0)
    thawed = replace(fish, form="solid", initial_temperature=5.0)
    ice = (
        stove_heat(cold, None, simmer_minutes=0.0).middle
        - stove_heat(thawed, None, simmer_minutes=0.0).middle
    )
    latent = 0.334 * fish.mass * fish.composition["water"]
    assert 0.7 * latent < ice < 1.6 * latent


def test_at_altitude_the_boil_is_nearer():
    soup, pot = c.food("soup"), c.pot("dark enamelled steel")
    heats = [stove_heat(soup, pot, boiling_point=boil, simmer_minutes=0.0).middle for boil in (100.0, 90.0)]
    assert heats[1] < heats[0]


@pytest.mark.parametrize("name", c.foods())
def test_every_dish_has_a_heat_a_stove_would_need(name):
    dish = c.food(name)
    pot = None if dish.form == "solid" else c.pot("dark enamelled steel")
    found = stove_heat(dish, pot)
    assert 0.1 < found.low < found.middle < found.high < 5.0


# --- tending -----------------------------------------------------------------------------------------------


def test_tending_is_the_stoves_less_the_ovens():
    assert tending_saved(60.0, 15.0, cooks=100, replaced=(1, 1)).middle == pytest.approx(75.0)
    assert tending_saved(20.0, 30.0, cooks=60, replaced=(1, 1)).middle == pytest.approx(-10.0)
    half = tending_saved(60.0, 15.0, cooks=100, replaced=(0.5, 0.5)).middle
    assert half == pytest.approx(
        100 * (30.0 - 15.0) / 60.0
    )  # the solar oven's minutes are spent all the same


# --- slips -------------------------------------------------------------------------------------------------


def test_slips_are_met_with_one_clear_sentence():
    with pytest.raises(ValueError, match="no fuel 'wood'; did you mean 'wood, open fire'"):
        saved(1.0, "wood")
    with pytest.raises(ValueError, match="a range is one number or a pair, the lower first"):
        saved((2.0, 1.0))
    for odd in ("much", None, np.nan, [1.0, 2.0, 3.0]):
        with pytest.raises(ValueError, match="a range is one number or a pair"):
            saved(odd)
    with pytest.raises(ValueError, match="cooks is '3'; it must be a number"):
        saved(1.0, cooks="3")
    with pytest.raises(ValueError, match="efficiency is 0; it must lie"):
        fuel.fuel_needed(1.0, 0.0)
    with pytest.raises(ValueError, match="stove_minutes is -5 min"):
        fuel.tending_saved(-5.0, 3.0)
    with pytest.raises(ValueError, match="replaced is 3"):
        fuel.tending_saved(5.0, 3.0, replaced=3.0)
    with pytest.raises(ValueError, match=r"replaced is 1\.5"):
        saved(1.0, replaced=(0.5, 1.5))
    with pytest.raises(ValueError, match="heat is -1 MJ"):
        saved(-1.0, EXACT, replaced=(1, 1))
    with pytest.raises(ValueError, match="efficiency is 0"):
        Fuel("cold fire", 15.6, 0.112, (0.0, 0.1))
    with pytest.raises(ValueError, match="lower end first"):
        Fuel("odd fire", 15.6, 0.112, (0.2, 0.1))


def test_numbers_are_told_to_two_figures():
    assert str(fuel.Range(0.01234, 1.234, 123.4, "kg")) == "0.012 to 120 kg (middle 1.2)"
    assert str(fuel.Range(-6.04, 0.0, 5.5, "h")) == "-6.0 to 5.5 h (middle 0)"

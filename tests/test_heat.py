"""The heat room: conservation, limits and an independent solver."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from solarlab._scenario import problem
from solarlab.food import body
from solarlab.heat import stagnation, warm
from tests._reference import reference
from tests._scenes import DISHES, EARLY, MEAT, OVEN, POT, ROOTS, STEW, WATER, instants_of, made_gain, made_sky

NODES = ("inner_glazing", "outer_glazing", "cavity", "pot", "liquid")


def run(
    dish="water", *, power=250.0, handling=EARLY, oven=OVEN, hours=10.0, step=300.0, shape="bell", **weather
):
    food, pot = DISHES[dish] if isinstance(dish, str) else dish
    times = instants_of(hours, step)
    return warm(
        oven, pot, body(food, pot), made_gain(times, power, shape=shape), made_sky(times, **weather), handling
    )


weather = st.fixed_dictionaries(
    {
        "power": st.floats(0.0, 500.0),
        "air": st.floats(-10.0, 40.0),
        "wind": st.floats(0.0, 8.0),
        "pressure": st.floats(60e3, 102e3),
    }
)


@settings(max_examples=40, deadline=None)
@given(st.sampled_from(sorted(DISHES)), weather, st.sampled_from([1, 2]), st.booleans())
def test_energy_closes_to_a_thousandth_in_any_run(dish, conditions, sheets, opened):
    handling = replace(EARLY, lid_openings=(60.0, 200.0) if opened else (), preheat=0.0)
    result = run(dish, oven=replace(OVEN, glazing_sheets=sheets), handling=handling, **conditions)
    assert result.ledger.residual < 1e-3
    assert np.all(np.isfinite(result.cavity))


@settings(max_examples=25, deadline=None)
@given(st.sampled_from(sorted(DISHES)), weather)
def test_no_node_passes_its_own_stagnation_temperature(dish, conditions):
    conditions = dict(conditions)
    pressure = conditions.pop("pressure")
    result = run(dish, pressure=pressure, cold=conditions["air"], **conditions)
    pot = DISHES[dish][1]
    bound = stagnation(
        OVEN, into_cavity=conditions["power"], into_glazing=0.1 * conditions["power"], tilt=20.0, pot=pot,
        air_temperature=conditions["air"], sky_temperature=conditions["air"], wind_speed=conditions["wind"],
    )  # fmt: skip
    start = DISHES[dish][0].initial_temperature
    hottest = max(float(bound.cavity), start)
    assert result.cavity.max() <= max(hottest, conditions["air"]) + 0.3
    if pot is not None:
        assert result.pot.max() <= max(float(bound.pot), hottest) + 0.3
    assert result.core.max() <= max(float(bound.pot), hottest, conditions["air"]) + 0.3


def test_a_dry_dark_pot_can_pass_the_cavity_temperature():
    bound = stagnation(OVEN, into_cavity=250.0, into_glazing=25.0, pot=POT)
    assert bound.pot > bound.cavity + 1.0


def test_without_sun_nothing_falls_below_ambient_unless_the_sky_is_colder():
    even = run("water", power=0.0, cold=25.0, air=25.0)
    assert min(getattr(even, name).min() for name in ("inner_glazing", "outer_glazing", "cavity")) > 19.9
    clear = run("water", power=0.0, cold=0.0, air=25.0)
    assert clear.outer_glazing.min() < 24.0


def test_everything_at_ambient_and_no_sun_stays_there_but_for_evaporation():
    still = run(
        (replace(MEAT, initial_temperature=25.0, surface_wetness=0.0), None), power=0.0, air=25.0, cold=25.0
    )
    for name in ("inner_glazing", "cavity", "core"):
        assert np.abs(getattr(still, name) - 25.0).max() < 0.02


@pytest.mark.parametrize("pressure", [101325.0, 80000.0, 62000.0])
@pytest.mark.parametrize("dish", ["water", "meat on the tray", "roots", "stew"])
def test_nothing_wet_passes_boiling(dish, pressure):
    result = run(dish, power=320.0, shape="flat", pressure=pressure, hours=4.0)
    hottest = result.shells.max() if DISHES[dish][0].form in ("solid", "thick") else result.liquid.max()
    assert hottest <= result.boiling_point + 0.15
    assert result.cavity.max() > result.boiling_point


def test_a_boiling_pot_wets_the_glass_and_a_wet_glass_lets_less_through():
    result = run("water", power=170.0, shape="flat", hours=8.0, oven=replace(OVEN, glazing_sheets=1))
    absorbed = np.diff(result.ledger.absorbed) / 300.0
    dry, wet = int(np.argmax(result.liquid > 40.0)), int(np.argmax(result.film[:-1]))
    assert result.film[dry] < 1e-4 < 5e-3 < result.film[wet]
    assert absorbed[wet] < 0.97 * absorbed[dry]


def test_a_pot_boiled_dry_gets_hotter_than_boiling():
    result = run((replace(WATER, water=0.15), POT), power=400.0, shape="flat", hours=8.0)
    assert result.water[-1] < 0.01
    assert result.pot[-1] > result.boiling_point + 10.0


def test_opening_the_lid_loses_radiation_and_walls_not_only_air():
    openings = replace(EARLY, lid_openings=(240.0, 270.0, 300.0), opening_seconds=60.0)
    shut, opened = run("meat on the tray"), run("meat on the tray", handling=openings)
    lost = opened.ledger.lid_openings[-1]
    volume = OVEN.aperture_width * OVEN.aperture_length * OVEN.cavity_depth
    air_alone = 3 * volume * 1.1 * 1006.0 * (shut.cavity.max() - 25.0)
    assert lost > 2.0 * air_alone
    assert opened.cavity[61] < shut.cavity[61]


def test_wind_and_cold_both_cost_temperature():
    calm, windy, cold = (
        run(wind=0.5, hours=4.0),
        run(wind=5.0, hours=4.0),
        run(wind=0.5, air=10.0, cold=-5.0, hours=4.0),
    )
    losses = [r.ledger.wind[-1] + r.ledger.sky[-1] for r in (calm, windy)]
    assert losses[1] > losses[0]
    assert max(windy.core[-1], cold.core[-1]) < calm.core[-1]


def test_frozen_food_pays_for_its_ice():
    chilled = run((MEAT, POT))
    frozen = run((replace(MEAT, initial_temperature=-18.0), POT))
    late = [np.argmax(r.core > 40.0) * 300.0 for r in (chilled, frozen)]
    ice = 334e3 * 0.67 * 1.0
    assert late[1] > late[0] + 3600.0
    assert frozen.ledger.stored[-1] - chilled.ledger.stored[-1] > 0.7 * ice


def test_a_thick_stew_conducts_and_a_thin_soup_mixes():
    thick, thin = run("stew"), run((replace(WATER, water=1.5), POT))
    assert np.argmax(thick.core > 60.0) > np.argmax(thin.core > 60.0)
    assert (thick.shells.max(axis=-1) - thick.shells.min(axis=-1)).max() > 10.0


def test_shiny_pot_waits_for_the_cavity_a_dark_one_gains_directly():
    shiny = replace(POT, absorptance=0.3, emittance=0.15)
    dark, bright = run((WATER, POT)), run((WATER, shiny))
    assert np.argmax(bright.core > 80.0) > np.argmax(dark.core > 80.0) + 1


@pytest.mark.parametrize("dish", sorted(DISHES))
def test_half_the_step_moves_times_by_less_than_a_hundredth(dish):
    coarse, fine = run(dish, step=300.0), run(dish, step=150.0)
    for level in (40.0, 60.0):
        reached = [
            np.interp(level, r.core[: np.argmax(r.core)], np.arange(np.argmax(r.core)) * s)
            for r, s in ((coarse, 300.0), (fine, 150.0))
        ]
        assert reached[0] == pytest.approx(reached[1], rel=0.01)


@pytest.mark.parametrize("dish", sorted(DISHES))
def test_a_batch_equals_its_singles(dish):
    powers = np.array([80.0, 200.0, 330.0])
    batch = run(dish, power=powers)
    for i, power in enumerate(powers):
        single = run(dish, power=power)
        for name in ("cavity", "core", "coldest", "water", "inner_glazing"):
            assert np.abs(getattr(batch, name)[i] - getattr(single, name)).max() < 1e-9


def test_scenario_axes_may_come_from_any_argument():
    times = instants_of(4.0)
    wind = made_sky(times)
    wind = replace(wind, wind_speed=np.array([0.5, 2.0, 5.0])[:, None] * np.ones(times.shape[-1]))
    pots = replace(POT, absorptance=np.array([0.3, 0.6, 0.9]))
    food = replace(WATER, water=np.array([1.0, 1.5, 2.0]))
    result = warm(OVEN, pots, body(food, pots), made_gain(times), wind, EARLY)
    assert result.core.shape == (3, times.shape[-1])
    assert np.all(np.diff(result.water[:, 0]) > 0)


def gap_to_reference(food, pot, oven, gain, sky, handling) -> float:
    """Largest difference, K, of any node or shell from the tight general solver."""
    dish = body(food, pot)
    ours = warm(oven, pot, dish, gain, sky, handling)
    q = problem(oven, pot, dish, gain, sky, handling, ())
    nodes, shells = reference(q, rtol=1e-8, atol=1e-8)
    mine = np.stack([getattr(ours, name) for name in NODES], axis=-1)
    theirs = nodes[:, :5].copy()
    if oven.glazing_sheets == 1:
        theirs[:, 1] = theirs[:, 0]
    worst = np.abs(mine - theirs).max()
    return worst if food.form == "liquid" else max(worst, np.abs(ours.shells - shells).max())


def test_march_stays_within_a_tenth_of_a_kelvin_of_a_tight_general_solver():
    generator = np.random.default_rng(20260621)
    names = sorted(DISHES)
    worst = []
    for number in range(20):
        food, pot = DISHES[names[number % len(names)]]
        food = replace(food, initial_temperature=float(generator.uniform(2.0, 30.0)))
        times = instants_of(6.0, 600.0)
        oven = replace(OVEN, glazing_sheets=int(generator.integers(1, 3)))
        sky = made_sky(
            times,
            air=generator.uniform(0, 35),
            wind=generator.uniform(0, 6),
            pressure=generator.uniform(7e4, 1e5),
        )
        gain = made_gain(times, generator.uniform(50, 450))
        handling = replace(EARLY, lid_openings=(120.0,)) if number % 2 else EARLY
        worst.append(gap_to_reference(food, pot, oven, gain, sky, handling))
    assert max(worst) < 0.1


@pytest.mark.parametrize(
    ("food", "pot"),
    [
        (replace(MEAT, initial_temperature=-18.0), None),
        (replace(MEAT, initial_temperature=-18.0), POT),
        (replace(WATER, water=0.15), POT),
        (replace(MEAT, mass=0.06, half_thickness=0.024), None),
    ],
    ids=["frozen on the tray", "frozen in a pot", "boiled dry", "dried out"],
)
def test_march_holds_through_thawing_and_drying(food, pot):
    times = instants_of(6.0, 600.0)
    gain, sky = made_gain(times, 350.0, shape="flat"), made_sky(times)
    assert gap_to_reference(food, pot, OVEN, gain, sky, EARLY) < 0.5  # corners in the tables cost accuracy


def test_preheating_gives_hot_walls_to_cold_food():
    late = replace(EARLY, loaded="09:00")
    cold, hot = (
        run("meat on the tray", handling=late),
        run("meat on the tray", handling=replace(late, preheat=90.0)),
    )
    index = int(cold.loaded)
    assert hot.cavity[index] > cold.cavity[index] + 30.0
    assert cold.cavity[index] == pytest.approx(25.0, abs=1e-6)
    assert hot.core[-20] > cold.core[-20] - 0.1


def test_liquid_without_a_pot_is_refused_in_a_sentence():
    times = instants_of(2.0)
    with pytest.raises(ValueError, match="pot"):
        warm(OVEN, None, body(WATER, POT), made_gain(times), made_sky(times), EARLY)


@pytest.mark.parametrize("loaded", ["06:00", "23:00", "noon"])
def test_loading_outside_the_sky_is_refused_in_a_sentence(loaded):
    with pytest.raises(ValueError, match="loaded"):
        run("roots", handling=replace(EARLY, loaded=loaded))


def test_roots_in_water_follow_the_water_with_a_lag():
    result = run((ROOTS, POT))
    middle = int(np.argmax(result.liquid > 60.0))
    assert result.core[middle] < result.liquid[middle] - 3.0


def test_glass_over_a_hot_box_burns():
    result = run("meat on the tray", power=400.0, oven=replace(OVEN, glazing_sheets=1))
    assert (
        result.outer_glazing.max() > 60.0
    )  # skin burns within seconds above about 60 °C (ISO 13732-1, memory)


def test_stew_and_meat_are_checked_at_their_coldest_point():
    for dish in ((STEW, POT), (MEAT, POT)):
        result = run(dish)
        assert np.all(result.coldest <= result.shells.min(axis=-1) + 1e-12)


def test_a_small_food_in_an_open_tin_catches_only_its_own_light():
    small = replace(MEAT, mass=0.06, half_thickness=0.024, surface_wetness=0.0)
    tray, tin = run((small, None), hours=3.0), run((small, DISHES["meat in a tin"][1]), hours=3.0)
    glass = run((small, replace(POT, transmittance=0.8, absorptance=0.1)), hours=3.0)
    reached = [int(np.argmax(r.core > 70.0)) for r in (tray, tin, glass)]
    assert reached[0] <= min(reached[1:]) + 1  # lying bare in the sun is not the slowest way


def test_roots_stop_at_the_boil_after_their_water_is_gone():
    result = run((replace(ROOTS, water=0.1), POT), power=350.0, shape="flat", hours=3.0)
    assert result.water[-1] < 0.01
    assert result.shells.max() < result.boiling_point + 0.5
    assert result.ledger.residual < 1e-3


def test_a_solid_loses_no_more_water_than_it_has():
    small = replace(MEAT, mass=0.06, half_thickness=0.024)
    result = run((small, None), power=350.0, shape="flat", hours=10.0)
    assert result.moisture_lost[-1] <= 0.06 * 0.75 * 1.001
    assert result.moisture_lost[-1] > 0.5 * 0.06 * 0.75
    assert result.shells.max() > result.boiling_point + 20.0  # charred by now: nothing wet is left to hold it
    assert result.ledger.residual < 1e-3


def test_a_thin_tray_feeds_the_pot_in_its_shadow_less():
    thin, thick = (run("water", oven=replace(OVEN, tray_conductance=k)) for k in (0.025, 5.0))
    assert np.argmax(thick.liquid > 80.0) < np.argmax(thin.liquid > 80.0)

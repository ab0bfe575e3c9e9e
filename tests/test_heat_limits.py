"""Limits of a box: no sun, no losses, one pane or two, wind, thin air, small and large loads, short steps."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from solarlab import Handling, cook, food, instants, oven, portion, pot, sky
from solarlab.catalogue import Place
from solarlab.heat import stagnation, top_loss_coefficient

BARE, MIRRORS, STEEL = oven("bare box"), oven("four-mirror box"), pot("dark enamelled steel")
HERE = Place("high and low", 0.0, 35.0, 500.0, "Africa/Nairobi")
DAY = instants(HERE, "2026-03-20", start="07:00", end="17:00")
HANDLING = Handling(loaded="09:00")


def cavity(box=BARE, **given):
    return np.asarray(stagnation(box, **{"into_cavity": 150.0, "into_glazing": 15.0} | given).cavity)


def test_without_sun_and_under_a_sky_as_warm_as_the_air_a_box_is_as_warm_as_the_air():
    settled = stagnation(BARE, into_cavity=0.0, air_temperature=31.0, sky_temperature=31.0)
    for node in (settled.inner_glazing, settled.outer_glazing, settled.cavity):
        assert node == pytest.approx(31.0, abs=1e-3)


def test_without_sun_a_cold_sky_cools_the_glass_more_than_the_cavity():
    settled = stagnation(BARE, into_cavity=0.0, air_temperature=25.0)
    assert settled.outer_glazing < settled.inner_glazing < settled.cavity < 25.0


def test_a_second_pane_wins_at_equal_light():
    one, two = (cavity(replace(BARE, glazing_sheets=sheets)) for sheets in (1, 2))
    assert two > one + 10.0


def test_losses_only_ever_cost():
    wind = cavity(wind_speed=np.array([0.0, 0.5, 1.0, 3.0, 5.0, 10.0, 30.0]))
    walls = cavity(replace(BARE, wall_conductance=np.array([0.0, 0.1, 1.0, 5.0, 50.0])))
    leaks = cavity(replace(BARE, air_leakage=np.array([0.0, 1.0, 5.0, 50.0, 500.0])))
    for losing in (wind, walls, leaks):
        assert np.all(np.diff(losing) < 0.0)
    assert walls[-1] < 35.0 < 140.0 < walls[0]


@pytest.mark.parametrize("name", ["bare box", "four-mirror box", "school box"])
def test_wind_is_a_main_loss(name):
    """½ → 5 m/s costs more than air 10 K colder (the course's own claim); of cardboard, whose walls lose more
    than its glazing, it does not hold: 5 K against 9.
    """
    box = oven(name)
    area = box.aperture_width * box.aperture_length
    light = {"into_cavity": 700.0 * area, "into_glazing": 70.0 * area}
    calm, windy = (float(cavity(box, **light, wind_speed=speed)) for speed in (0.5, 5.0))
    cold = float(cavity(box, **light, wind_speed=0.5, air_temperature=15.0))
    assert windy < cold < calm


def test_perfect_walls_leave_the_glass_as_the_only_way_out():
    """With no walls and no leaks all that is absorbed leaves upwards: the glass's own loss explains it."""
    box = replace(BARE, wall_conductance=0.0, air_leakage=0.0, glazing_sheets=1)
    settled = stagnation(box, into_cavity=100.0, wind_speed=2.0, air_temperature=25.0, sky_temperature=25.0,
                         tilt=0.0)  # fmt: skip
    area = box.aperture_width * box.aperture_length
    glass = float(settled.inner_glazing)
    shone = box.glazing_emittance * 5.670374e-8 * ((glass + 273.15) ** 4 - 298.15**4)
    upwards = area * ((2.8 + 3.0 * 2.0) * (glass - 25.0) + shone)
    assert upwards <= 100.0 + 1e-6  # some light is reflected out again
    assert upwards > 90.0


def test_thin_air_insulates():
    """At 4,000 m the same light stagnates hotter under glass: the gaps convect less."""
    tops = []
    for height in (0.0, 2000.0, 4000.0):
        there = replace(HERE, elevation=height)
        under = sky(there, DAY, oktas=0)
        same = replace(under, beam_normal=np.full(DAY.shape, 800.0),
                       diffuse_horizontal=np.full(DAY.shape, 80.0))  # fmt: skip
        tops.append(cook(same, BARE, None, food("egg"), HANDLING).highest_cavity)
    assert tops[0] < tops[1] < tops[2] < tops[0] + 15.0


def test_more_soup_is_never_sooner_and_a_spoonful_is_no_trouble():
    wide = replace(STEEL, diameter=0.35, height=0.3)
    amounts = np.array([0.02, 0.1, 0.3, 1.0, 3.0, 10.0])
    result = cook(sky(HERE, DAY, oktas=0), MIRRORS, wide, portion(food("soup"), mass=amounts), HANDLING)
    when = result.judgement.when
    assert np.all(np.diff(np.nan_to_num(when, nan=np.inf)) > 0.0)
    assert np.all(result.unclosed < 1e-3)


def test_more_wind_is_never_hotter_and_more_opening_never_sooner():
    winds = sky(HERE, DAY, oktas=0, wind_speed=np.array([0.0, 1.0, 3.0, 6.0, 12.0])[:, None])
    for dish, vessel in (("soup", STEEL), ("chicken pieces", None), ("egg", None)):
        result = cook(winds, BARE, vessel, food(dish), HANDLING)
        assert np.all(np.diff(result.warming.core, axis=0) < 0.05)
        assert np.all(np.diff(result.judgement.when) > 0.0)
    clear = sky(HERE, DAY, oktas=0)
    lids = [
        float(cook(clear, BARE, STEEL, food("soup"), replace(HANDLING, opening_seconds=s,
                                                             lid_openings=(10.0, 30.0))).judgement.when)
        for s in (0.0, 1.0, 30.0, 120.0, 600.0)
    ]  # fmt: skip
    assert np.all(np.diff(lids) > 0.0)
    assert lids[1] - lids[0] < 10.0  # s: two openings of a second are no jump


def test_steps_under_a_minute_give_the_same_cook():
    times = []
    for step in (10, 60, 300):
        day = instants(HERE, "2026-03-20", start="08:30", end="11:00", step=step)
        result = cook(sky(HERE, day, oktas=0), MIRRORS, STEEL, food("rice"), HANDLING)
        assert result.unclosed < 1e-3
        times.append(float(result.judgement.when))
    assert times[0] == pytest.approx(times[1], rel=2e-3)
    assert times[0] == pytest.approx(times[2], rel=1e-2)


@pytest.mark.parametrize(
    ("slip", "words"),
    [
        ({"into_cavity": np.nan}, "into_cavity is nan"),
        ({"into_cavity": -5.0}, "into_cavity is -5 W"),
        ({"into_cavity": "much"}, "into_cavity is 'much'"),
        ({"wind_speed": -5.0}, "wind_speed is -5 m/s"),
        ({"air_temperature": 86.0}, "Is it in °F"),
        ({"tilt": 200.0}, "tilt is 200 °"),
    ],
)
def test_absurd_stagnation_is_one_sentence(slip, words):
    with pytest.raises(ValueError, match=words):
        cavity(**slip)


@pytest.mark.parametrize(
    ("slip", "words"),
    [
        ({"covers": 3}, "covers is 3; it is 1 or 2"),
        ({"wind_coefficient": -1.0}, "wind_coefficient is -1"),
        ({"plate_temperature": 5.0}, "plate_temperature is 5 °C"),
        ({"air_temperature": np.nan}, "air_temperature is nan"),
    ],
)
def test_absurd_top_loss_is_one_sentence(slip, words):
    given = {"plate_temperature": 100.0, "air_temperature": 10.0} | {"covers": 1, "wind_coefficient": 10.0}
    given |= slip
    with pytest.raises(ValueError, match=words):
        top_loss_coefficient(given.pop("plate_temperature"), given.pop("air_temperature"), **given)


@pytest.mark.parametrize("name", ["air_temperature", "sky_temperature", "wind_speed", "beam_normal"])
def test_a_gap_in_a_sky_of_ones_own_is_one_sentence(name):
    under = sky(HERE, DAY, oktas=0)
    torn = np.array(np.broadcast_to(getattr(under, name), DAY.shape))
    torn[50] = np.nan
    with pytest.raises(ValueError, match=r"has a gap \(NaN\)") as caught:
        cook(replace(under, **{name: torn}), BARE, STEEL, food("soup"), HANDLING)
    assert "\n" not in str(caught.value)

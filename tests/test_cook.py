"""A cook joins the rooms: its clock, its verdicts, its batches, and what bad input is told."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pandas as pd
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from solarlab import Handling, cook, food, gain, instants, oven, place, portion, pot, sky, vary, warm
from solarlab.food import body
from solarlab.sky import Sky
from tests._scenes import EARLY, MEAT, OVEN, POT, ROOTS, WATER

HERE = place("Nairobi")
DAY = instants(HERE, "2026-03-20", start="07:00", end="17:00")
HANDLING = Handling(loaded="09:00", reaim_every=30.0)


@pytest.fixture(scope="module")
def clear():
    return sky(HERE, DAY, oktas=0)


def test_a_result_is_told_in_local_clock(clear):
    result = cook(clear, oven("four-mirror box"), pot("dark enamelled steel"), food("soup"), HANDLING)
    done = result.at(result.done)
    assert str(done.tz) == "Africa/Nairobi"
    assert pd.Timestamp("2026-03-20 09:00", tz="Africa/Nairobi") < done
    assert result.done == pytest.approx(
        (done - pd.Timestamp("2026-03-20 09:00", tz="Africa/Nairobi")).total_seconds(), abs=31
    )
    assert f"{done:%H:%M}" in result.sentence()
    assert "not safe until measured" in result.sentence()


def test_no_model_verdict_is_safe(clear):
    for name in ("soup", "chicken pieces", "kidney beans", "whole chicken, frozen", "egg", "bitter cassava"):
        dish = food(name)
        result = cook(
            clear,
            oven("one-mirror box"),
            None if name == "egg" else pot("dark enamelled steel"),
            dish,
            HANDLING,
        )
        assert result.verdict().state in ("expected", "no verdict", "too slow", "refuse")


def test_a_frozen_chicken_is_refused_however_hot_the_oven(clear):
    result = cook(clear, oven("school box"), None, food("whole chicken, frozen"), HANDLING)
    assert result.verdict().state == "refuse"
    assert result.highest_core > 74.0


def test_outcome_equals_series_and_forgets_the_series(clear):
    oktas = np.array([0.0, 3.0, 6.0])
    cloudy = sky(HERE, DAY, oktas=oktas)
    arguments = (cloudy, oven("one-mirror box"), pot("cast iron"), food("black beans, soaked"), HANDLING)
    full, short = cook(*arguments), cook(*arguments, keep="outcome")
    assert short.warming is None and short.progress is None
    for name in ("done", "boiling", "highest_cavity", "highest_core", "unclosed"):
        assert np.array_equal(getattr(full, name), getattr(short, name), equal_nan=True)
    assert full.warming.core.shape == (3, DAY.shape[-1])


def test_a_batch_equals_its_singles(clear):
    days = instants(HERE, ["2026-03-20", "2026-06-21", "2026-12-21"], start="07:00", end="17:00")
    arguments = (oven("four-mirror box"), pot("glass"), food("rice"), HANDLING)
    batch = cook(sky(HERE, days, oktas=2), *arguments)
    for i, date in enumerate(("2026-03-20", "2026-06-21", "2026-12-21")):
        one = cook(sky(HERE, instants(HERE, date, start="07:00", end="17:00"), oktas=2), *arguments)
        assert np.abs(one.warming.core - batch.warming.core[i]).max() < 1e-9
        assert one.done == pytest.approx(batch.done[i], abs=1e-6)
        assert one.at(one.done) == batch.at(batch.done[i], i)
        assert one.sentence() == batch.sentence(i)


def test_draws_of_oven_pot_food_and_cloud_run_together(clear):
    generator = np.random.default_rng(7)
    result = cook(
        sky(HERE, DAY, oktas=generator.uniform(0, 4, 20)),
        vary(oven("one-mirror box"), generator, 20),
        vary(pot("dark enamelled steel"), generator, 20),
        vary(food("rice"), generator, 20),
        HANDLING,
        keep="outcome",
    )
    assert result.done.shape == (20,)
    assert np.all(result.unclosed < 1e-3)
    assert np.nanstd(result.done) > 60.0


def test_half_the_sky_step_moves_done_by_less_than_a_hundredth():
    for name, vessel in (
        ("rice", "dark enamelled steel"),
        ("egg", None),
        ("loaf", "open tin"),
        ("potatoes", "cast iron"),
    ):
        when = []
        for step in (300, 150):
            day = instants(HERE, "2026-03-20", start="07:00", end="17:00", step=step)
            vessel_ = None if vessel is None else pot(vessel)
            when.append(
                cook(sky(HERE, day, oktas=1), oven("one-mirror box"), vessel_, food(name), HANDLING).done
            )
        assert when[0] == pytest.approx(when[1], rel=0.01)


def assert_same_to_a_billionth(one, other):
    for name in ("cavity", "core", "inner_glazing"):
        np.testing.assert_allclose(getattr(one.warming, name), getattr(other.warming, name), rtol=1e-9)


def mirrored(sky_: Sky) -> Sky:
    """The same light from the other side of the meridian."""
    return replace(sky_, sun_vector=sky_.sun_vector * np.array([-1.0, 1.0, 1.0]))


@settings(max_examples=8)
@given(st.sampled_from(["bare box", "one-mirror box", "four-mirror box"]), st.floats(0.0, 6.0), st.booleans())
def test_a_mirrored_sun_gives_a_mirrored_cook(name, oktas, fixed):
    there = sky(HERE, DAY, oktas=oktas)
    handling = replace(HANDLING, tilt=30.0, azimuth=0.0) if fixed else HANDLING
    one = cook(there, oven(name), pot("clay"), food("lentils"), handling)
    other = cook(mirrored(there), oven(name), pot("clay"), food("lentils"), handling)
    assert_same_to_a_billionth(one, other)


@settings(max_examples=8)
@given(
    st.sampled_from(["one-mirror box", "four-mirror box"]),
    st.lists(st.floats(0.0, 8.0), min_size=2, max_size=5),
)
def test_more_cloud_is_never_a_hotter_reaimed_mirrored_oven_under_one_sky_temperature(name, oktas):
    oktas = np.sort(np.array(oktas))
    under = sky(HERE, DAY, oktas=oktas)
    assert np.all(np.diff(under.global_horizontal, axis=0) <= 1e-9)
    even = replace(under, sky_temperature=under.sky_temperature[:1])
    result = cook(even, oven(name), pot("cast iron"), food("soup"), HANDLING)
    assert np.all(np.diff(result.warming.cavity, axis=0) <= 0.05)  # within what the march is good for


def test_equator_facing_in_the_north_is_pole_facing_in_the_south():
    """The same noon sun from the other side: results agree when everything is turned round."""
    there = sky(HERE, DAY, oktas=1)
    turned = replace(there, sun_vector=there.sun_vector * np.array([1.0, -1.0, 1.0]))
    one = cook(
        there, oven("bare box"), pot("clay"), food("soup"), replace(HANDLING, tilt=20.0, azimuth=180.0)
    )
    other = cook(
        turned, oven("bare box"), pot("clay"), food("soup"), replace(HANDLING, tilt=20.0, azimuth=0.0)
    )
    assert np.abs(one.warming.core - other.warming.core).max() < 1e-9


def test_energy_closes_through_a_whole_real_day(clear):
    for name, vessel in (
        ("rice", "glass"),
        ("egg", None),
        ("thick stew", "clay"),
        ("whole chicken, frozen", None),
    ):
        result = cook(
            clear, oven("school box"), None if vessel is None else pot(vessel), food(name), HANDLING
        )
        assert result.unclosed < 1e-3


def test_notices_are_values_and_speak_of_before_and_after(clear):
    little = portion(food("rice"), mass=0.2, water=0.15)
    result = cook(clear, oven("four-mirror box"), pot("dark enamelled steel"), little, HANDLING)
    names = {notice.name for notice in result.warnings}
    assert "hot glass" in names and names & {"boils dry", "take out"}
    assert all(isinstance(notice.sentence, str) and np.any(notice.applies) for notice in result.warnings)
    assert not {n.name for n in cook(clear, oven("cardboard box"), None, food("egg"), HANDLING).warnings} & {
        "boils dry"
    }


def test_polar_night_cooks_nothing_and_says_so():
    north = place("Tromsø")
    day = instants(north, "2026-12-21", start="08:00", end="16:00")
    result = cook(sky(north, day, oktas=0), oven("four-mirror box"), None, food("egg"), Handling("09:00"))
    assert np.isnan(result.done) and pd.isna(result.at(result.done))
    assert any("does not rise" in notice.sentence for notice in result.warnings)
    assert "Not cooked" in result.sentence()


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"keep": "everything"}, "keep is"),
        ({"handling": Handling("05:00")}, "loaded"),
        ({"handling": Handling("21:00")}, "loaded"),
    ],
)
def test_bad_input_gets_one_sentence(clear, change, words):
    handling = change.get("handling", HANDLING)
    with pytest.raises(ValueError, match=words) as caught:
        cook(clear, oven("bare box"), pot("clay"), food("soup"), handling, keep=change.get("keep", "series"))
    assert "\n" not in str(caught.value)


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (("bare box", pot("clay"), food("soup"), HANDLING), "oven is .bare box.; it must be .* Oven"),
        ((oven("bare box"), food("soup"), pot("clay"), HANDLING), "pot is .* of type Pot"),
        ((oven("bare box"), pot("clay"), food("soup"), "09:30"), "handling is '09:30'; .* Handling"),
    ],
)
def test_a_name_or_a_wrong_order_is_told_in_one_sentence(clear, arguments, words):
    with pytest.raises(TypeError, match=words) as caught:
        cook(clear, *arguments)
    assert "\n" not in str(caught.value)


def test_a_result_shows_itself_in_a_line(clear):
    one = cook(clear, oven("four-mirror box"), pot("glass"), food("rice"), HANDLING)
    assert repr(one) == f"Cook of rice: {one.sentence()}"
    many = cook(sky(HERE, DAY, oktas=np.array([0, 4])), oven("bare box"), None, food("egg"), HANDLING)
    assert repr(many) == "Cook of egg: 2 scenarios, shape (2,)"


def test_a_soup_without_a_pot_is_refused(clear):
    with pytest.raises(ValueError, match="pot"):
        cook(clear, oven("bare box"), None, food("soup"), HANDLING)


def test_scenes_of_the_tests_cook_too(clear):
    for dish, vessel in ((MEAT, None), (ROOTS, POT), (WATER, POT)):
        dish = replace(dish, doneness={"solid": "chicken", "pieces": "roots", "liquid": "water"}[dish.form])
        result = cook(clear, OVEN, vessel, dish, HANDLING)
        light = gain(OVEN, clear, HANDLING)
        again = warm(OVEN, vessel, body(dish, vessel), light, clear, HANDLING)
        assert np.array_equal(again.core, result.warming.core)
    assert EARLY.loaded == "07:00"


# --- what stands between a model and an unsafe "expected" ---


def test_the_time_before_loading_cooks_nothing():
    there = place("Beijing")
    day = instants(there, "2026-02-10", start="06:30", end="16:00")
    hot = portion(food("kidney beans"), initial_temperature=99.5)
    result = cook(
        sky(there, day, oktas=8), oven("four-mirror box"), pot("dark enamelled steel"), hot, HANDLING
    )
    assert result.verdict().state != "expected"
    assert np.isnan(result.done) or result.done >= 0.0


def test_standing_in_a_hot_shade_counts_double():
    fish, waited = food("fish"), replace(HANDLING, standing=80.0)
    states = []
    for air in (25.0, 38.0):
        there = sky(HERE, DAY, oktas=0, air_temperature=air)
        states.append(cook(there, oven("four-mirror box"), None, fish, waited).verdict().state)
    assert states == ["expected", "too slow"]


def test_the_skin_of_pieces_in_water_starts_the_clock(clear):
    dull = sky(HERE, DAY, oktas=6.5)
    bird = replace(food("whole chicken, chilled"), form="pieces", water=1.0)
    vessel = replace(pot("dark enamelled steel"), diameter=0.26, height=0.2)
    result = cook(dull, oven("school box"), vessel, bird, replace(HANDLING, loaded="08:00"))
    outside = np.maximum(result.warming.shells[:, -1], result.warming.liquid)
    first = int(np.argmax(outside > 5.0)) - int(result.loaded)
    middle = int(np.argmax(result.warming.coldest > 60.0)) - int(result.loaded)
    assert result.judgement.clocks["come_up"] >= (middle - first - 1) * DAY.step


def test_a_wait_for_the_next_instant_counts_as_standing():
    coarse = instants(HERE, "2026-03-20", start="07:00", end="17:00", step=3600)
    bird = food("chicken pieces")
    late = cook(
        sky(HERE, coarse, oktas=3), oven("four-mirror box"), None, bird, Handling("08:01", standing=76.0)
    )
    assert late.judgement.clocks["standing"] == pytest.approx((76 + 59) * 60.0)


def test_stews_and_wet_dishes_run_the_standing_clock(clear):
    for name in ("thick stew", "rice", "black beans, soaked"):
        waited = replace(HANDLING, standing=480.0)
        result = cook(clear, oven("school box"), pot("dark enamelled steel"), food(name), waited)
        assert result.verdict().state == "refuse"


def test_kin_of_kidney_beans_need_the_boil_and_water():
    there = place("Mombasa")
    day = instants(there, "2026-02-10", start="07:00", end="18:00")
    dull, bright = sky(there, day, oktas=6.8), sky(there, day, oktas=0)
    beans, vessel, box = food("black beans, unsoaked"), pot("dark enamelled steel"), oven("four-mirror box")
    assert cook(dull, box, vessel, beans, Handling("12:00")).verdict().state == "refuse"
    assert cook(bright, box, vessel, beans, HANDLING).verdict().state in ("expected", "no verdict")
    assert cook(bright, box, vessel, replace(beans, water=0.0), HANDLING).verdict().state == "no verdict"


def test_an_open_pot_counts_no_kill_and_the_boil_is_the_heights(clear):
    bird = food("chicken pieces")
    lidded = cook(clear, oven("four-mirror box"), pot("dark enamelled steel"), bird, HANDLING)
    opened = cook(clear, oven("four-mirror box"), pot("open tin"), bird, HANDLING)
    assert lidded.judgement.log_reduction > 7.0 and np.isnan(opened.judgement.log_reduction)
    soup = cook(clear, oven("four-mirror box"), pot("dark enamelled steel"), food("soup"), HANDLING)
    boiling = soup.warming.liquid[int(soup.loaded) + int(soup.boiling // DAY.step) + 1]
    assert 93.0 < boiling < 95.0  # Nairobi, 1,795 m


def test_wind_is_noticed_where_it_blows():
    winds = sky(HERE, DAY, oktas=0, wind_speed=np.array([1.0, 15.0])[:, None])
    result = cook(winds, oven("bare box"), None, food("egg"), HANDLING)
    assert [list(n.applies) for n in result.warnings if n.name == "strong wind"] == [[False, True]]


def test_lid_openings_may_differ_between_scenarios(clear):
    opened = replace(HANDLING, lid_openings=(np.array([30.0, 60.0, 90.0]),))
    assert cook(clear, oven("bare box"), None, food("egg"), opened).done.shape == (3,)

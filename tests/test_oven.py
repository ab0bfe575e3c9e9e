"""The oven as a catcher of light: what must always hold, pvlib, and bad input."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from pvlib import irradiance

from solarlab._facets import surfaces
from solarlab.catalogue import Handling, Place, Reflector
from solarlab.oven import (
    _shape,
    aim,
    aperture_frame,
    breakdown,
    concentration,
    diffuse_factors,
    gain,
    glazing_transmittance,
    incidence,
    optical_parts,
)
from solarlab.sky import sky
from solarlab.sun import extraterrestrial, instants
from tests._ovens import CLEAN, FOUR, LOPSIDED, ONE, STAYS, STEEP, angles, beam_only, random_suns, towards
from tests._scenes import MIRRORS, NAIROBI, OVEN

SOUTH = Place("test place", -33.0, 18.5, 40.0, "Africa/Johannesburg")


def test_a_bare_box_sees_the_cosine_and_the_plain_view_factors():
    sun = random_suns(np.random.default_rng(1), 200, 80.0)
    np.testing.assert_allclose(concentration(OVEN, *angles(sun)), sun[:, 2], atol=2e-4)
    tilt = np.arange(0.0, 91.0, 7.5)
    level, ground = diffuse_factors(OVEN, tilt)
    np.testing.assert_allclose(level, (1 + np.cos(np.radians(tilt))) / 2, atol=3e-4)
    np.testing.assert_allclose(ground, (1 - np.cos(np.radians(tilt))) / 2, atol=3e-4)


def test_without_glass_a_bare_box_takes_what_pvlib_puts_on_a_tilted_plane():
    times = instants(SOUTH, "2026-09-10", "07:00", "18:00")
    above = sky(SOUTH, times, oktas=2)
    open_box = replace(OVEN, glazing_sheets=1, glazing_refractive_index=1.0, glazing_extinction=0.0, **CLEAN)
    got = gain(open_box, above, Handling(loaded="07:00", tilt=35.0, azimuth=20.0, aim_error=0.0))
    half = {name: (getattr(above, name)[1:] + getattr(above, name)[:-1]) / 2
            for name in ("beam_normal", "diffuse_horizontal", "global_horizontal")}  # fmt: skip
    sun = above.sun_vector[1:] + above.sun_vector[:-1]
    sun = sun / np.linalg.norm(sun, axis=-1, keepdims=True)
    zenith, azimuth = np.degrees(np.arccos(sun[:, 2])), np.degrees(np.arctan2(sun[:, 0], sun[:, 1])) % 360
    plane = irradiance.get_total_irradiance(
        35.0, 20.0, zenith, azimuth, half["beam_normal"], half["global_horizontal"],
        half["diffuse_horizontal"], dni_extra=extraterrestrial(times)[0], albedo=0.2, model="haydavies",
    )["poa_global"]  # fmt: skip
    np.testing.assert_allclose(got.into_cavity[:-1], plane * 0.25, rtol=1e-3, atol=0.1)  # W; grazing light
    assert not got.into_glazing.any()


@settings(max_examples=40)
@given(
    st.sampled_from([OVEN, FOUR, LOPSIDED]), st.floats(0, 1), st.floats(0, 1), st.floats(0, 4),
    st.floats(0, 1), st.floats(-89, 89), st.floats(-89, 89), st.floats(0, 90),
)  # fmt: skip
def test_never_more_light_than_the_etendue_allows(oven, reflectance, dust, slope, specular, x, y, tilt):
    oven = replace(oven, reflectance=reflectance, dust=dust, slope_error=slope, specular_fraction=specular)
    # Light from everywhere: no mirrors can put more on the aperture than an open hemisphere does.
    assert sum(diffuse_factors(oven, tilt)) <= 1.0 + 1e-6
    # A beam: no more than falls on aperture and mirrors as they face it.
    sun = towards(x, y)
    aperture, mirrors = surfaces(_shape(oven)[0])
    facing = sum(mirror.area * max(sun @ mirror.normal, 0.0) for mirror in mirrors)
    arriving = concentration(oven, x, y)
    assert 0.0 <= arriving <= sun[2] + facing / aperture.area + 0.008
    # The glass takes its share, and loses none of it twice.
    through, kept = (sum(optical_parts(oven, x, y, into).values()) for into in ("cavity", "glazing"))
    assert through >= 0.0 and kept >= 0.0 and through + kept <= arriving + 1e-12


def test_perfect_mirrors_blurred_stay_within_the_etendue():
    """The integral of the blurred beam part over the hemisphere, which is what étendue bounds."""
    x, y = np.meshgrid(np.arange(-89.0, 90.0), np.arange(-89.0, 90.0))  # the table's nodes
    sun = towards(x, y)
    solid = sun[..., 2] ** 3 / (np.cos(np.radians(x)) * np.cos(np.radians(y))) ** 2 * np.radians(1.0) ** 2
    for slope in (0.0, 1.0, 3.0, 8.0):
        oven = replace(FOUR, reflectance=1.0, **CLEAN | {"slope_error": slope})
        assert (concentration(oven, x, y) * solid).sum() / np.pi <= 1.0 + 1e-3


def mirrored(oven):
    other = {"left": "right", "right": "left"}
    mirrors = tuple(replace(each, edge=other.get(each.edge, each.edge)) for each in oven.reflectors)
    return replace(oven, reflectors=mirrors)


@pytest.mark.parametrize("oven", [FOUR, LOPSIDED])
def test_mirrored_suns_on_mirrored_ovens_give_mirrored_light(oven):
    above = sky(SOUTH, instants(SOUTH, "2026-02-10"), oktas=3)
    flipped = replace(above, sun_vector=above.sun_vector * np.array([-1.0, 1.0, 1.0]))
    ways = Handling(), Handling(reaim_every=None, azimuth=30.0), Handling(tilt=40.0, reaim_every=45.0)
    for handling in ways:
        turned = replace(handling, azimuth=None if handling.azimuth is None else -handling.azimuth)
        one, other = gain(oven, above, handling), gain(mirrored(oven), flipped, turned)
        np.testing.assert_allclose(one.into_cavity, other.into_cavity, rtol=0, atol=1e-9)
        np.testing.assert_allclose(one.into_glazing, other.into_glazing, rtol=0, atol=1e-9)
        turned_back = other.aperture_normal * [-1, 1, 1]
        np.testing.assert_allclose(one.aperture_normal, turned_back, rtol=0, atol=1e-12)


def test_a_batch_equals_its_scenarios_one_by_one():
    count = 5
    rng = np.random.default_rng(4)
    days = [f"2026-{month:02d}-15" for month in (1, 3, 6, 9, 12)]
    batch = sky(NAIROBI, instants(NAIROBI, days), oktas=rng.uniform(0, 6, count))
    spread = {
        "reflectance": rng.uniform(0.6, 0.9, count), "dust": rng.uniform(0, 0.1, count),
        "slope_error": np.array([0.0, 0.3, 1.0, 2.7, 9.0]), "specular_fraction": rng.uniform(0.7, 1, count),
    }  # fmt: skip
    hands = {
        "loaded": ("08:00", "09:30", "10:10", "12:00", "09:00"), "reaim_every": rng.uniform(10, 90, count),
        "aim_error": np.array([0.0, 1.0, 2.0, 5.0, 0.5]), "preheat": rng.uniform(0, 30, count),
    }  # fmt: skip
    for aimed in ({}, {"tilt": rng.uniform(0, 60, count), "azimuth": rng.uniform(0, 360, count)}):
        together = gain(replace(FOUR, **spread), batch, Handling(**hands, **aimed))
        for number in range(count):
            pick = {name: values[number] for name, values in {**hands, **aimed}.items()}
            oven = replace(FOUR, **{name: values[number] for name, values in spread.items()})
            alone = gain(oven, batch.pick(number), Handling(**pick))
            for field in ("into_cavity", "into_glazing", "tilt", "aperture_normal"):
                batched, single = getattr(together, field)[number], getattr(alone, field)
                np.testing.assert_allclose(batched, single, rtol=0, atol=1e-9)


def test_draws_of_an_oven_share_one_sky_and_one_table():
    draws = np.linspace(0.6, 0.9, 7)
    above = sky(NAIROBI, instants(NAIROBI, "2026-03-20"))
    many = gain(replace(FOUR, reflectance=draws), above, Handling()).into_cavity
    assert many.shape == (7, above.shape[-1])
    one = gain(replace(FOUR, reflectance=draws[2]), above, Handling()).into_cavity
    np.testing.assert_allclose(many[2], one, rtol=0, atol=1e-9)
    assert (np.diff(many, axis=0) >= 0).all()


def test_the_parts_add_up_to_the_whole():
    above = sky(NAIROBI, instants(NAIROBI, ["2026-03-20", "2026-06-20"]), oktas=4)
    handling = Handling(reaim_every=None)
    parts = breakdown(LOPSIDED, above, handling)
    assert set(parts) == {"direct", "top", "left", "second bounce", "scattered", "sky", "ground"}
    whole = gain(LOPSIDED, above, handling).into_cavity
    np.testing.assert_allclose(sum(parts.values()), whole, rtol=0, atol=1e-9)


def test_no_light_before_the_oven_is_out_nor_by_night():
    times = instants(NAIROBI, "2026-03-20", "04:00", "21:00")
    above = sky(NAIROBI, times)
    for start, handling in ((9.0, Handling(loaded="09:00")), (8.5, Handling(loaded="09:00", preheat=30.0))):
        got = gain(FOUR, above, handling)
        out = times.clock >= start - 1e-9
        up = np.append((above.sun_vector[1:, 2] + above.sun_vector[:-1, 2]) > 0, False)
        assert not got.into_cavity[~out].any() and not got.into_glazing[~out].any()
        assert (got.into_cavity[out & up] > 0).all()
        assert not got.into_cavity[~up].any()
    halfway = gain(FOUR, above, Handling(loaded="09:02")).into_cavity
    index = int(np.argmin(np.abs(times.clock - 9.0)))
    full = gain(FOUR, above, Handling(loaded="08:55", reaim_every=7.0)).into_cavity  # aimed at 09:02 too
    assert halfway[index] == pytest.approx(0.6 * full[index], rel=1e-9)


def test_the_oven_is_aimed_when_hands_aim_it_and_no_steeper_than_its_stand_allows():
    times = instants(NAIROBI, "2026-03-20", "07:00", "17:00")
    above = sky(NAIROBI, times)
    held = aim(FOUR, above, Handling(loaded="08:00", reaim_every=30.0))
    turns = np.flatnonzero(np.diff(held.instant)) + 1
    assert (times.local[turns].strftime("%M").isin(["00", "30"])).all() and len(turns) == 17
    first = int(np.argmin(np.abs(times.clock - 8.0)))
    assert held.tilt[first] == pytest.approx(min(90.0 - above.elevation[first], 60.0))
    assert held.azimuth[first] == pytest.approx(above.azimuth[first])
    assert held.tilt.min() >= 0.0 and held.tilt.max() == 60.0
    once = aim(FOUR, above, Handling(loaded="08:00", reaim_every=None))
    assert np.ptp(once.azimuth) == 0.0 and len(np.unique(once.instant)) == 1
    fixed = aim(FOUR, above, Handling(tilt=75.0, azimuth=-10.0))
    assert (fixed.tilt == 75.0).all() and (fixed.azimuth == 350.0).all()


def test_hands_that_miss_lose_light_alike_on_both_sides():
    above = sky(NAIROBI, instants(NAIROBI, "2026-03-20"))
    exact, missed = (gain(FOUR, above, Handling(aim_error=error)).into_cavity.sum() for error in (0.0, 8.0))
    assert 0.9 * exact < missed < exact
    # The same mean by hand, on an oven that is not the same on both sides.
    sun = beam_only(towards([0.0], [0.0]))
    handling = replace(STAYS, loaded="07:00")

    def beam(handling):
        parts = breakdown(LOPSIDED, sun, handling)
        return sum(watts for name, watts in parts.items() if name not in ("sky", "ground"))

    one, other = (float(sum(optical_parts(LOPSIDED, x, 0.0, "cavity").values())) for x in (-10.0, 10.0))
    assert one != pytest.approx(other, rel=0.05)
    expected = 800.0 * 0.25 * (one + other) / 2
    np.testing.assert_allclose(beam(replace(handling, aim_error=10.0)), expected, rtol=1e-9)


def test_incidence_angles_follow_the_frame():
    right, up_slope, normal = aperture_frame(30.0, 180.0)
    np.testing.assert_allclose(right, [1.0, 0.0, 0.0], atol=1e-12)  # facing south, east is to the right
    np.testing.assert_allclose(up_slope, [0.0, np.cos(np.radians(30)), 0.5], atol=1e-12)
    np.testing.assert_allclose(np.cross(right, up_slope), normal, atol=1e-12)
    x, y = incidence(np.array([0.0, 0.0, 1.0]), 30.0, 180.0)
    assert (x, y) == pytest.approx((0.0, 30.0))  # the zenith lies towards the top edge


@settings(max_examples=25)
@given(st.floats(0, 90), st.integers(1, 2), st.floats(1.0, 2.0), st.floats(0, 200), st.floats(0.0001, 0.01))
def test_glass_passes_keeps_and_turns_back_all_there_is(angle, sheets, index, extinction, thickness):
    oven = replace(OVEN, glazing_sheets=sheets, glazing_refractive_index=index, glazing_extinction=extinction,
                   glazing_thickness=thickness)  # fmt: skip
    through, kept = glazing_transmittance(oven, angle)
    assert 0.0 <= through <= 1.0 and 0.0 <= kept <= 1.0 and through + kept <= 1.0 + 1e-12
    more, _ = glazing_transmittance(replace(oven, glazing_extinction=extinction + 10.0), angle)
    assert more <= through + 1e-12
    if sheets == 2:
        single, _ = glazing_transmittance(replace(oven, glazing_sheets=1), angle)
        assert through <= single + 1e-12


def test_mirrors_of_no_reflectance_only_shade():
    black = replace(FOUR, reflectance=0.0)
    assert concentration(black, 0.0, 0.0) == pytest.approx(1.0, abs=1e-12)
    assert concentration(black, 50.0, 0.0) < np.cos(np.radians(50.0)) - 0.05
    assert sum(diffuse_factors(black, 0.0)) < 0.75
    short = replace(FOUR, reflectors=tuple(replace(m, length=0.001) for m in MIRRORS))
    assert concentration(short, 20.0, 5.0) == pytest.approx(concentration(OVEN, 20.0, 5.0), abs=0.01)


def test_what_a_miss_of_15_degrees_costs(capsys):
    """A saying (no source) has it cost "about 13 % with mirrors".  Reported; the model is not tuned to it."""
    told = {}
    boxes = {"no mirrors": OVEN, "one at 30°": ONE, "four at 30°": FOUR, "four at 25°": STEEP}
    for name, oven in boxes.items():
        straight, missed = concentration(oven, 0.0, 0.0), concentration(oven, 15.0, 0.0)
        told[name] = float(1.0 - missed / straight)
    with capsys.disabled():
        print("\n15° off costs:", ", ".join(f"{name} {loss:.1%}" for name, loss in told.items()))
    assert told["no mirrors"] == pytest.approx(1 - np.cos(np.radians(15.0)), abs=1e-3)
    assert told["no mirrors"] < told["one at 30°"] < told["four at 30°"]


@pytest.mark.parametrize(
    "change, told",
    [
        (lambda: {"reflectors": (Reflector("front", 0.4, 30.0),)}, "edge is 'front'; it is one of top"),
        (lambda: {"reflectors": (Reflector("top", -0.4, 30.0),)}, "length is -0.4 m"),
        (lambda: {"reflectors": (Reflector("top", 0.4, 95.0),)}, "flare is 95 °"),
        (lambda: {"reflectors": (Reflector("top", 0.4, -5.0),)}, "flare is -5 °"),
        (lambda: {"reflectors": (Reflector("top", 0.4, 30.0), Reflector("top", 0.3, 40.0))}, "at most one"),
        (lambda: {"aperture_width": -0.5}, "aperture_width is -0.5 m"),
        (lambda: {"aperture_width": np.array([0.5, 0.6])}, "aperture_width must be one number per call"),
        (lambda: {"reflectance": 1.2}, "reflectance is 1.2"),
        (lambda: {"dust": float("nan")}, "dust is nan"),
        (lambda: {"slope_error": np.array([0.5, np.nan])}, "slope_error is nan"),
        (lambda: {"glazing_sheets": 3}, "glazing_sheets is 3"),
        (lambda: {"tilt_min": 70.0}, "tilt_min is above tilt_max"),
    ],
)
def test_a_wrong_oven_is_told_in_one_sentence(change, told):
    with pytest.raises(ValueError) as caught:
        concentration(replace(FOUR, **change()), 0.0, 0.0)
    assert told in str(caught.value) and str(caught.value).count(". ") == 0


@pytest.mark.parametrize(
    "change, told",
    [
        (lambda: {"loaded": "nine"}, "nine"),
        (lambda: {"loaded": "23:00"}, "outside the instants of the sky"),
        (lambda: {"loaded": "06:10", "preheat": 60.0}, "outside the instants of the sky"),
        (lambda: {"reaim_every": 0.0}, "reaim_every is 0"),
        (lambda: {"tilt": 120.0}, "tilt is 120"),
        (lambda: {"aim_error": float("nan")}, "aim_error is nan"),
    ],
)
def test_wrong_handling_is_told_in_one_sentence(change, told):
    above = sky(NAIROBI, instants(NAIROBI, "2026-03-20"))
    with pytest.raises(ValueError) as caught:
        gain(FOUR, above, Handling(**change()))
    assert told in str(caught.value) and str(caught.value).count(". ") == 0


def test_unknown_destination_is_told():
    with pytest.raises(ValueError, match="into must be one of aperture, cavity, glazing"):
        optical_parts(FOUR, 0.0, 0.0, "pot")
    with pytest.raises(ValueError, match="into must be one of"):
        diffuse_factors(FOUR, 0.0, "pot")
    for call, words in (
        (lambda: optical_parts(FOUR, np.nan, 0.0), "incidence_x is nan"),
        (lambda: diffuse_factors(FOUR, 200.0), "tilt is 200 °"),
    ):
        with pytest.raises(ValueError, match=words):
            call()


def test_an_oven_may_be_loaded_at_any_minute_at_which_the_instants_begin():
    for minute in range(7 * 60, 12 * 60):  # hours as floats are some of them a nanosecond short
        clock = f"{minute // 60:02d}:{minute % 60:02d}"
        above = sky(NAIROBI, instants(NAIROBI, "2026-03-21", clock, "13:00", 1800))
        assert gain(OVEN, above, Handling(loaded=clock)).into_cavity[0] > 0

"""The oven's light against a ray tracer and against polygons clipped by shapely."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
import shapely

from solarlab._facets import EDGES, Geometry, images, surfaces
from solarlab._optics import table
from solarlab.oven import _shape, concentration, gain, optical_parts
from tests._ovens import CLEAN, FOUR, LOPSIDED, STAYS, angles, beam_only, random_oven, random_suns, towards
from tests.ray_tracer import trace


def traced(oven, sun, rays, seed, **more):
    mirrors = [(mirror.edge, mirror.length, mirror.flare) for mirror in oven.reflectors]
    glazing = ("sheets", "refractive_index", "extinction", "thickness")
    glass = tuple(getattr(oven, f"glazing_{name}") for name in glazing)
    return trace(
        oven.aperture_width, oven.aperture_length, mirrors, sun, rays, seed,
        reflectance=oven.reflectance, glass=glass, **more,
    )  # fmt: skip


def test_gain_equals_a_two_bounce_ray_tracer():
    rng = np.random.default_rng(8)
    pairs = shaded = doubled = 0
    for _ in range(10):
        oven = random_oven(rng)
        suns = random_suns(rng, 5)
        area = oven.aperture_width * oven.aperture_length
        watts = gain(oven, beam_only(suns), replace(STAYS, loaded="07:00")).into_cavity[:, 0] / (800.0 * area)
        parts = optical_parts(oven, *angles(suns))
        for number, sun in enumerate(suns):
            told = traced(oven, sun, 200_000, 100 * pairs + 1)
            arriving = sum(parts.values())[number]
            for ours, theirs, sigma in (
                (arriving, told.arriving, told.arriving_sigma),
                (watts[number], told.through, told.through_sigma),
            ):
                assert abs(ours - theirs) <= max(0.01 * theirs, 4.0 * sigma, 0.005), (oven.reflectors, sun)
            pairs += 1
            shaded += parts["direct"][number] < 0.99 * sun[2]
            doubled += parts["second bounce"][number] > 0.01
    assert pairs == 50
    assert shaded >= 10
    assert doubled >= 10


@pytest.mark.parametrize("slope, allowed", [(1.0, 0.01), (2.0, 0.01), (4.0, 0.025), (8.0, 0.06)])
def test_mirror_slope_blurs_as_wavy_mirrors_do(slope, allowed):
    oven = replace(FOUR, **CLEAN | {"slope_error": slope})
    for number, sun in enumerate(towards([0.0, 10.0, 10.0, -25.0], [0.0, 0.0, 10.0, 10.0])):
        told = traced(oven, sun, 200_000, number, slope_error=slope)
        ours = concentration(oven, *angles(sun))
        assert abs(ours - told.arriving) <= allowed * told.arriving + 3.0 * told.arriving_sigma


def test_rough_mirrors_scatter_as_the_ray_tracer_has_it():
    oven = replace(FOUR, **CLEAN | {"specular_fraction": 0.8})
    for number, sun in enumerate(towards([0.0, 10.0, 15.0], [0.0, 0.0, 10.0])):
        told = traced(oven, sun, 200_000, number, specular=0.8)
        ours = concentration(oven, *angles(sun))
        # Light scattered from mirror to mirror is left out: never more than the truth, and little less.
        assert -0.02 * told.arriving <= ours - told.arriving <= 4.0 * told.arriving_sigma


def shadow_of(rectangle, direction, plane):
    """A rectangle carried along a direction to another's plane, as a shapely polygon there."""
    (left, low), (right, high) = rectangle.low, rectangle.high
    shape = []
    for u, v in ((left, low), (right, low), (right, high), (left, high)):
        corner = rectangle.origin + u * rectangle.across + v * rectangle.away - plane.origin
        corner = corner - direction * (corner @ plane.normal) / (direction @ plane.normal)
        shape.append((corner @ plane.across, corner @ plane.away))
    return shapely.Polygon(shape)


def test_areas_equal_polygons_clipped_by_shapely():
    rng = np.random.default_rng(5)
    compared = 0
    for _ in range(40):
        oven = random_oven(rng)
        geometry, _ = _shape(oven)
        aperture, mirrors = surfaces(geometry)
        window = shapely.box(*aperture.low, *aperture.high)
        sun = random_suns(rng, 1)[0]
        told = images(geometry, sun[None])
        found = {(name, first): flux[0] for name, first, where, flux, _ in told if len(where)}
        behind = [mirror for mirror in mirrors if sun @ mirror.normal < 0]
        shade = shapely.union_all([shadow_of(mirror, sun, aperture) for mirror in behind])
        expected = window.difference(shade).area * sun[2] / geometry.area
        assert found["direct", ""] == pytest.approx(expected, abs=1e-9)
        for mirror in mirrors:
            seen = sun - 2 * (sun @ mirror.normal) * mirror.normal
            if sun @ mirror.normal <= 0 or seen[2] <= 0:
                continue
            own = shapely.box(*mirror.low, *mirror.high)
            lit = own.difference(shapely.union_all([shadow_of(other, sun, mirror) for other in behind]))

            def carried(points, mirror=mirror, seen=seen):
                spots = mirror.origin + points[:, :1] * mirror.across + points[:, 1:] * mirror.away
                return (spots - seen * (spots[:, 2:] / seen[2]))[:, :2]

            image = shapely.transform(lit, carried)
            expected = image.intersection(window).area * seen[2] / geometry.area
            assert found[mirror.name, mirror.name] == pytest.approx(expected, abs=1e-9)
            compared += expected > 0.01
    assert compared > 30


def test_the_table_is_near_the_exact_polygons_everywhere():
    rng = np.random.default_rng(6)
    suns = random_suns(rng, 4000, 85.0)
    for oven in (FOUR, LOPSIDED):
        oven = replace(oven, reflectance=1.0, **CLEAN)
        exact = np.zeros(len(suns))
        for name, _, where, flux, _ in images(_shape(oven)[0], suns):
            if name != "on":
                exact[where] += flux
        off = concentration(oven, *angles(suns)) - exact
        assert np.abs(off).max() < 0.012  # where a mirror just begins to work
        assert np.sqrt((off**2).mean()) < 1e-3
        assert np.abs(off.mean()) < 3e-4


def test_an_even_oven_has_an_even_table():
    made = table(*_shape(FOUR))
    number = {part: index for index, part in enumerate(made.parts)}
    assert (made.beam[0] == made.beam[0, ..., ::-1]).all()
    left, right = (made.beam[number[edge, edge]] for edge in ("left", "right"))
    assert (left == right[..., ::-1]).all()
    whole = Geometry(0.5, 0.5, tuple((edge, 0.46, 30.0) for edge in EDGES))
    sun = random_suns(np.random.default_rng(2), 50)
    totals = []
    for vectors in (sun, sun * [-1, 1, 1], sun * [1, -1, 1], sun[:, [1, 0, 2]]):
        total = np.zeros(len(sun))
        for name, _, where, flux, _ in images(whole, vectors):
            if name != "on":
                total[where] += flux
        totals.append(total)
    for other in totals[1:]:
        np.testing.assert_allclose(other, totals[0], rtol=0, atol=1e-12)

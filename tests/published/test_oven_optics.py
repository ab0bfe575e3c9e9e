"""Oven optics against closed forms and published values.  Marks as in the references: seen, lib, memory."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from pvlib import iam

from solarlab._facets import Geometry, images
from solarlab.catalogue import Reflector
from solarlab.oven import concentration, diffuse_factors, glazing_transmittance, optical_parts
from tests._scenes import OVEN

PERFECT = replace(
    OVEN, aperture_width=1.0, aperture_length=1.0, reflectance=1.0, dust=0.0, slope_error=0.0,
    specular_fraction=1.0,
)  # fmt: skip
FOUR = replace(
    PERFECT, reflectance=0.85,
    reflectors=tuple(Reflector(edge, 1.0, 30.0) for edge in ("top", "bottom", "left", "right")),
)  # fmt: skip
PLATE = replace(OVEN, glazing_refractive_index=1.526, glazing_sheets=1)


def edge_ray(opening):
    """C of one mirror as long as the aperture, ``opening`` degrees from it: by polygons, and from the table.

    The ray that meets the mirror's rim and goes to the aperture's far edge closes an isosceles triangle with
    the two.  So it comes in 180° - 1.5 p off the aperture's normal, on the side away from the mirror; it is
    on the normal at p = 120° only.
    """
    sun = np.radians(1.5 * opening - 180.0)
    geometry = Geometry(1.0, 1.0, (("top", 1.0, opening - 90.0),))
    found = images(geometry, np.array([[0.0, np.sin(sun), np.cos(sun)]]))
    exact = sum(flux.sum() for name, _, _, flux, _ in found if name != "on")
    oven = replace(PERFECT, reflectors=(Reflector("top", 1.0, opening - 90.0),))
    return exact, float(concentration(oven, 0.0, np.degrees(sun)))


@pytest.mark.parametrize("opening", [95.0, 100.0, 103.3, 108.0, 109.47, 112.0, 117.7, 120.0])
def test_one_mirror_lit_along_its_edge_ray(opening):
    """C = 4 sin²(p/2) cos(p/2) [closed form].  The edge ray is a cusp, where the table is at its worst."""
    half = np.radians(opening / 2)
    exact, tabulated = edge_ray(opening)
    assert exact == pytest.approx(4 * np.sin(half) ** 2 * np.cos(half), abs=1e-12)
    assert tabulated == pytest.approx(exact, abs=0.008)


def test_the_best_single_mirror_gives_1_5396():
    """Maximum 8 / (3 √3) = 1.5396 at p = 109.47° [closed form]."""
    best = np.degrees(2 * np.arctan(np.sqrt(2.0)))
    assert best == pytest.approx(109.47, abs=0.005)
    assert edge_ray(best)[0] == pytest.approx(8 / (3 * np.sqrt(3)), abs=1e-12)
    assert edge_ray(120.0) == (pytest.approx(1.5, abs=1e-12), pytest.approx(1.5, abs=1e-12))
    assert max(edge_ray(opening)[0] for opening in (100.0, 108.0, 111.0, 118.0)) < edge_ray(best)[0]


def test_four_mirrors_at_30_degrees():
    """C = 2.70 ± .005 with ρ .85, L = a, no corners; ρ 0 gives 1 exactly [closed form: 1 + 4 ρ sin 30°]."""
    assert concentration(FOUR, 0.0, 0.0) == pytest.approx(2.70, abs=0.005)
    assert concentration(replace(FOUR, reflectance=0.0), 0.0, 0.0) == 1.0
    parts = optical_parts(FOUR, 0.0, 0.0)
    assert parts["top"] == pytest.approx(0.425, abs=1e-9)
    assert parts["second bounce"] == pytest.approx(0.0, abs=1e-12)


@pytest.mark.parametrize(
    "thickness, extinction, angle, expected",
    [(0.0023, 32.0, 0.0, 0.852), (0.0023, 32.0, 60.0, 0.768), (0.003, 4.0, 0.0, 0.906)],
)
def test_one_sheet_of_glass(thickness, extinction, angle, expected):
    """n 1.526 [lib]: every inner reflection counted."""
    sheet = replace(PLATE, glazing_thickness=thickness, glazing_extinction=extinction)
    assert glazing_transmittance(sheet, angle)[0] == pytest.approx(expected, abs=0.0006)


@pytest.mark.parametrize("angle, expected", [(0.0, 0.85), (60.0, 0.76)])
def test_two_sheets_that_absorb_nothing(angle, expected):
    """Duffie & Beckman, example 5.1.2: .85 at 0°, .76 at 60° [memory]; equation 5.1.7 [closed form]."""
    pair = replace(PLATE, glazing_sheets=2, glazing_extinction=0.0)
    through, kept = glazing_transmittance(pair, angle)
    bent = np.arcsin(np.sin(np.radians(angle)) / 1.526)
    outside, inside = np.cos(np.radians(angle)), np.cos(bent)
    faces = [((outside - 1.526 * inside) / (outside + 1.526 * inside)) ** 2,
             ((1.526 * outside - inside) / (1.526 * outside + inside)) ** 2]  # fmt: skip
    assert through == pytest.approx(np.mean([(1 - r) / (1 + 3 * r) for r in faces]), abs=1e-12)
    assert through == pytest.approx(expected, abs=0.008)
    assert kept == pytest.approx(0.0, abs=1e-12)


def test_reflection_at_one_face():
    """Duffie & Beckman, example 5.1.1: glass reflects .0434 at 0° and .093 at 60°, per face [memory].

    One sheet that absorbs nothing passes (1 - r) / (1 + r) of each polarisation, so r can be read back at 0°.
    """
    clear = replace(PLATE, glazing_extinction=0.0)
    normal = glazing_transmittance(clear, 0.0)[0]
    assert (1 - normal) / (1 + normal) == pytest.approx(0.0434, abs=5e-5)
    # At 60°: .185 and .001 for the two polarisations.
    assert glazing_transmittance(clear, 60.0)[0] == pytest.approx(
        ((1 - 0.185) / (1 + 0.185) + (1 - 0.001) / (1 + 0.001)) / 2, abs=1e-3
    )


@pytest.mark.parametrize("angle", [0.0, 20.0, 40.0, 60.0, 75.0, 85.0])
def test_the_first_face_and_the_absorption_are_pvlibs(angle):
    """pvlib.iam.physical [lib] has one face and one passage.  Thick glass has no second passage.

    What a sheet keeps, when nothing comes back from its far face, is what that model lets in less what it
    lets through; so in glass of great optical depth it is all that the first face lets in.
    """
    deep = replace(PLATE, glazing_extinction=2000.0, glazing_thickness=0.01)
    kept = glazing_transmittance(deep, angle)[1]
    enters = iam.physical(angle, n=1.526, K=0.0, L=0.002) * (1 - (0.526 / 2.526) ** 2)
    assert kept == pytest.approx(enters, abs=1e-6)


def test_diffuse_light_goes_through_glass_as_a_beam_at_60_degrees_does():
    """Effective angle of sky light on a level plane 59.7°, a fit (Brandemuehl & Beckman 1980 [memory])."""
    for sheets in (1, 2):
        box = replace(PLATE, glazing_sheets=sheets, reflectors=(), dust=0.0)
        sky, ground = diffuse_factors(box, 0.0, "cavity")
        assert sky == pytest.approx(glazing_transmittance(box, 59.7)[0], rel=0.015)
        assert ground == 0.0


@pytest.mark.parametrize("flare, expected", [(0.0, 0.2000), (90.0, 0.0)])
def test_view_factor_of_two_squares_with_a_common_edge(flare, expected):
    """Unit squares at right angles: F = .2000 (Howell's catalogue of view factors, C-14 [memory])."""
    rough = replace(PERFECT, specular_fraction=0.0, reflectors=(Reflector("top", 1.0, flare),))
    sun = 40.0  # from the bottom's side: its cosine on the mirror times F is what a rough mirror sends down
    x = np.radians(flare + sun)
    onto = max(np.sin(x), 0.0)
    assert optical_parts(rough, 0.0, -sun)["scattered"] == pytest.approx(expected * onto, abs=3e-4)


def test_a_black_mirror_hides_its_view_factor():
    """Reciprocity [closed form]: what an upright square mirror takes from even light is F = .2000."""
    black = replace(PERFECT, reflectance=0.0, reflectors=(Reflector("top", 1.0, 0.0),))
    assert 1.0 - sum(diffuse_factors(black, 0.0)) == pytest.approx(0.2000, abs=1e-3)

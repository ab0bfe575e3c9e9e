"""Ovens and suns for the tests of the optics."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from solarlab._facets import EDGES
from solarlab.catalogue import Handling, Reflector
from solarlab.sky import Sky
from solarlab.sun import Instants
from tests._scenes import MIRRORS, OVEN

FOUR = replace(OVEN, reflectors=MIRRORS)
ONE = replace(OVEN, reflectors=MIRRORS[:1])
STEEP = replace(OVEN, reflectors=tuple(replace(mirror, flare=25.0) for mirror in MIRRORS))
LOPSIDED = replace(OVEN, reflectors=(Reflector("top", 0.6, 20.0), Reflector("left", 0.3, 35.0)))
CLEAN = {"dust": 0.0, "slope_error": 0.0, "specular_fraction": 1.0}
STAYS = Handling(loaded="09:00", reaim_every=None, tilt=0.0, azimuth=180.0, aim_error=0.0)


def towards(incidence_x, incidence_y):
    """Unit vectors (..., 3) in the aperture's frame at these angles."""
    x, y = np.broadcast_arrays(np.tan(np.radians(incidence_x)), np.tan(np.radians(incidence_y)))
    vectors = np.stack([x, y, np.ones_like(x)], axis=-1)
    return vectors / np.linalg.norm(vectors, axis=-1, keepdims=True)


def angles(vectors):
    x, y, z = np.moveaxis(vectors, -1, 0)
    return np.degrees(np.arctan2(x, z)), np.degrees(np.arctan2(y, z))


def beam_only(vectors, power=800.0):
    """Skies (S, 2) with the sun standing still at each of the vectors (S, 3) and no diffuse light."""
    count = len(vectors)
    utc = np.datetime64("2026-06-21T07:00", "ns") + np.arange(2) * np.timedelta64(300, "s")
    sun = np.repeat(vectors[:, None, :], 2, axis=1)
    flat = np.ones((count, 2))
    return Sky(Instants(utc, "UTC"), sun, power * flat, 0 * flat, 25 * flat, 12 * flat, flat, 1e5 * flat)


def random_oven(rng):
    """Any shape from near-funnels to a single flap; some of its mirrors shade at random suns."""
    edges = [edge for edge in EDGES if rng.random() < 0.75] or ["top"]
    mirrors = tuple(Reflector(edge, rng.uniform(0.1, 0.9), rng.uniform(5.0, 60.0)) for edge in edges)
    return replace(
        OVEN, reflectors=mirrors, aperture_width=rng.uniform(0.3, 0.9), aperture_length=rng.uniform(0.3, 0.9),
        reflectance=rng.uniform(0.6, 1.0), glazing_sheets=int(rng.integers(1, 3)), **CLEAN,
    )  # fmt: skip


def random_suns(rng, count, widest=60.0):
    off, around = np.radians(rng.uniform(0.0, widest, count)), rng.uniform(0.0, 2 * np.pi, count)
    return np.stack([np.sin(off) * np.cos(around), np.sin(off) * np.sin(around), np.cos(off)], axis=-1)

"""Shapes that conduct in one radial dimension: sphere, cylinder, slab and what lies between.

A body's area grows from the centre as A(r) ~ r^p.  The exponent p is chosen so that the slowest thermal mode
is that of the real shape; the true surface, which meets the air, is kept apart.  So both limits are right: a
surface held at a temperature, and a surface so poorly heated that the body is uniform.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np


@dataclass(frozen=True)
class Shape:
    """One conducting body, its area growing as (r/depth)^exponent; ``surface`` is its true surface."""

    exponent: np.ndarray
    depth: np.ndarray  # m, from the surface to the centre by the shortest way
    volume: np.ndarray  # m³
    surface: np.ndarray  # m²
    plan: np.ndarray  # m²
    contact: np.ndarray  # m²


def finite_cylinder(volume, radius, half_height, plan, contact):
    """A cylinder of any height, conducting like A(r) ~ r^p.

    ``volume`` [m³], ``radius`` and ``half_height`` [m]; p is 0 for a wide slab, 1 for a long cylinder, 1.6
    for one as high as wide.
    """
    depth = np.minimum(radius, half_height)
    zero = depth * np.hypot(2.40483 / radius, 0.5 * np.pi / half_height)
    order = (0.5 * np.pi - np.sqrt(0.25 * np.pi**2 - 0.77816 * (zero - 2.40483))) / 0.38908
    surface = 2.0 * volume / radius + volume / half_height
    return Shape(2.0 * order + 1.0, depth, volume, surface, plan, contact)


def first_zero(exponent):
    """First zero of the Bessel function of order (exponent - 1)/2, within .4 %: slab pi/2, sphere pi."""
    order = 0.5 * (exponent - 1.0)
    return 2.40483 + 0.5 * np.pi * order - 0.19454 * order**2


def piece(shape, volume, half):
    """The `Shape` of a piece; ``half`` [m] is its radius, or half the slab."""
    gap = 1e-3  # m: what hangs closer than this over the tray counts as touching it
    if shape == "slab":
        plan = volume / (2.0 * half)
        return finite_cylinder(volume, np.sqrt(plan / np.pi), half, plan, plan)
    if shape == "cylinder":  # lying down
        length = volume / (np.pi * half**2)
        strip = 2.0 * np.sqrt(2.0 * half * gap) * length
        return finite_cylinder(volume, half, 0.5 * length, 2.0 * half * length, strip)
    # A sphere; or, when heavier than a sphere of that radius, an ellipsoid of revolution of that short
    # radius.
    depth = np.minimum(half, (3.0 * volume / (4.0 * np.pi)) ** (1.0 / 3.0))
    long = 3.0 * volume / (4.0 * np.pi * depth**2)
    power = 1.6075  # Thomsen's approximation of an ellipsoid's surface, 1 %
    surface = 4.0 * np.pi * ((depth ** (2 * power) + 2.0 * (depth * long) ** power) / 3.0) ** (1 / power)
    exponent = 1.0 + (depth / long) ** 2  # Pham's shape factor for ellipsoids at a held surface (from memory)
    return Shape(exponent, depth, volume, surface, np.pi * depth * long, 2.0 * np.pi * depth * gap)


def paths(shape, edges):
    """(inner_path, outer_path, node_radius, volume share), each (..., n), of shells between ``edges`` (n+1)
    0..1.

    A body warming steadily has T = a + b r² inside.  A shell's mean temperature is then met at its
    root-mean-square radius, where the node sits, and the paths (1/m) carry exactly that profile's flow
    through each face; paths for a flow from the centre outwards would be ten times less accurate in a sphere,
    from whose centre nothing comes.
    """
    p, depth, volume = (np.asarray(x, float)[..., None] for x in (shape.exponent, shape.depth, shape.volume))
    share = np.diff(edges ** (p + 1.0), axis=-1)
    node = np.sqrt((p + 1.0) / (p + 3.0) * np.diff(edges ** (p + 3.0), axis=-1) / share)
    face = edges[1:] ** (p + 1.0) * 2.0 * (p + 1.0) * volume / depth**2  # 2 r A(r), relative radii
    outer = (edges[1:] ** 2 - node**2) / face
    inner = np.full(node.shape, np.inf)
    inner[..., 1:] = (node[..., 1:] ** 2 - edges[1:-1] ** 2) / face[..., :-1]
    return inner, outer, depth * node, share

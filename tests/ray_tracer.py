"""A Monte-Carlo ray tracer of a flat aperture with hinged mirrors: the oracle for the oven's optics.

It shares no code and no shortcut with ``solarlab``.  Rays start from a sheet in front of everything, hit
whatever rectangle comes first, are absorbed by the back of a mirror, and are followed one by one.  In the
glass reflections are added up one after another.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numba import njit

TERMS = 25  # inner reflections added up


@dataclass(frozen=True)
class Estimate:
    """Flux on the aperture and through the glass, over beam times aperture, with standard deviations."""

    arriving: float
    arriving_sigma: float
    through: float
    through_sigma: float


def trace(
    width, length, mirrors, sun, rays, seed, *, reflectance=1.0, specular=1.0, slope_error=0.0, bounces=2,
    glass=(1, 1.0, 0.0, 0.0),
) -> Estimate:  # fmt: skip
    """Trace ``rays`` from the direction ``sun`` (3,): x right, y to the top edge, z out of the aperture.

    ``mirrors``: (edge, length, flare °); ``glass``: (sheets, index, extinction, thickness); slope_error in °.
    """
    surfaces = [_rectangle((0.0, 0.0, 0.0), (width, 0.0, 0.0), (0.0, length, 0.0), (0.0, 0.0, 1.0))]
    surfaces += [_mirror(width, length, *mirror) for mirror in mirrors]
    corner, a, b, normal = (np.array(each) for each in zip(*surfaces, strict=True))
    sun = np.asarray(sun, float) / np.linalg.norm(sun)
    helper = np.array([1.0, 0.0, 0.0]) if abs(sun[0]) < 0.9 else np.array([0.0, 1.0, 0.0])
    one = np.cross(sun, helper) / np.linalg.norm(np.cross(sun, helper))
    other = np.cross(sun, one)
    points = np.concatenate([corner, corner + a, corner + b, corner + a + b])
    low = np.array([(points @ one).min(), (points @ other).min()])
    high = np.array([(points @ one).max(), (points @ other).max()])
    glass = (int(glass[0]), *map(float, glass[1:]))
    sums = _follow(
        corner, a, b, normal, sun, one, other, low, high, rays, seed, float(reflectance), float(specular),
        np.tan(np.radians(slope_error)), bounces, glass,
    )  # fmt: skip
    mean, square = sums[:2] / rays, sums[2:] / rays
    scale = np.prod(high - low) / (width * length)
    sigma = scale * np.sqrt((square - mean**2) / rays)
    return Estimate(mean[0] * scale, sigma[0], mean[1] * scale, sigma[1])


def _mirror(width, length, edge, reach, flare):
    """A mirror built corner by corner: stand it up along its hinge, then lean it out."""
    x, y = width / 2, length / 2
    ends = {
        "top": ((-x, y), (x, y)),
        "bottom": ((-x, -y), (x, -y)),
        "left": ((-x, -y), (-x, y)),
        "right": ((x, -y), (x, y)),
    }[edge]
    start, end = (np.array([*point, 0.0]) for point in ends)
    outward = (start + end) / np.linalg.norm(start + end)
    lean, up = np.radians(flare), np.array([0.0, 0.0, 1.0])
    rise = reach * (np.cos(lean) * up + np.sin(lean) * outward)
    return _rectangle((start + end + rise) / 2, end - start, rise, np.sin(lean) * up - np.cos(lean) * outward)


def _rectangle(centre, a, b, facing):
    """One corner, two sides, and the normal on the side that ``facing`` points to."""
    centre, a, b = np.array(centre), np.array(a), np.array(b)
    normal = np.cross(a, b) / np.linalg.norm(np.cross(a, b))
    return centre - (a + b) / 2, a, b, normal if normal @ np.array(facing) > 0 else -normal


@njit(cache=True, inline="always")
def _dot(one, other):
    return one[0] * other[0] + one[1] * other[1] + one[2] * other[2]


@njit(cache=True, inline="always")
def _plus(one, factor, other):
    return one[0] + factor * other[0], one[1] + factor * other[1], one[2] + factor * other[2]


@njit(cache=True)
def _follow(
    corner, a, b, normal, sun, one, other, low, high, rays, seed, reflectance, specular, slope, bounces, glass
):
    np.random.seed(seed)
    sums = np.zeros(4)
    for _ in range(rays):
        u = low[0] + np.random.random() * (high[0] - low[0])
        v = low[1] + np.random.random() * (high[1] - low[1])
        origin = _plus(_plus(_plus((0.0, 0.0, 0.0), u, one), v, other), 100.0, sun)
        way = (-sun[0], -sun[1], -sun[2])
        weight = 1.0
        for bounce in range(bounces + 1):
            hit, nearest = -1, np.inf
            for number in range(len(corner)):
                facing = _dot(way, normal[number])
                if facing == 0.0:
                    continue
                away = _plus(origin, -1.0, corner[number])
                distance = -_dot(away, normal[number]) / facing
                if distance > 1e-9 and distance < nearest:
                    spot = _plus(away, distance, way)
                    along, across = _dot(spot, a[number]), _dot(spot, b[number])
                    inside = 0.0 <= along <= _dot(a[number], a[number])
                    if inside and 0.0 <= across <= _dot(b[number], b[number]):
                        hit, nearest = number, distance
            if hit < 0 or _dot(way, normal[hit]) > 0.0:
                break  # away into the sky, or onto the back of a mirror
            if hit == 0:
                through = weight * transmittance(-way[2], *glass)
                sums[0] += weight
                sums[1] += through
                sums[2] += weight**2
                sums[3] += through**2
                break
            if bounce == bounces:
                break
            origin = _plus(origin, nearest, way)
            way = _turn(way, normal[hit], a[hit], b[hit], specular, slope)
            weight *= reflectance
    return sums


@njit(cache=True)
def _turn(way, normal, a, b, specular, slope):
    """The direction after a mirror: by its wavy normal or, for the rough share, even in all directions."""
    wide, long = np.sqrt(_dot(a, a)), np.sqrt(_dot(b, b))
    if np.random.random() < specular:
        wavy = _plus((normal[0], normal[1], normal[2]), slope * np.random.standard_normal() / wide, a)
        wavy = _plus(wavy, slope * np.random.standard_normal() / long, b)
        return _plus(way, -2.0 * _dot(way, wavy) / _dot(wavy, wavy), wavy)
    around, sine = 2.0 * np.pi * np.random.random(), np.sqrt(np.random.random())
    even = _plus(_plus((0.0, 0.0, 0.0), sine * np.cos(around) / wide, a), sine * np.sin(around) / long, b)
    return _plus(even, np.sqrt(1.0 - sine**2), normal)


@njit(cache=True)
def transmittance(cosine, sheets, index, extinction, thickness):
    """Unpolarised transmittance of one or two sheets, reflections added up one after another."""
    angle = np.arccos(min(max(cosine, 1e-6), 1.0 - 1e-12))
    bent = np.arcsin(np.sin(angle) / index)
    path = np.exp(-extinction * thickness / np.cos(bent))
    total = 0.0
    for wave in range(2):
        if index == 1.0:
            face = 0.0
        elif wave == 0:
            face = (np.sin(bent - angle) / np.sin(bent + angle)) ** 2
        else:
            face = (np.tan(bent - angle) / np.tan(bent + angle)) ** 2
        through, back, inside = 0.0, face, (1.0 - face) * path
        for _ in range(TERMS):
            through += inside * (1.0 - face)
            inside *= face * path
            back += inside * (1.0 - face)
            inside *= face * path
        if sheets == 2:
            one, both, between = through, 0.0, through
            for _ in range(TERMS):
                both += between * one
                between *= back * back
            through = both
        total += through / 2.0
    return total

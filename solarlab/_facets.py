"""Where light goes between flat mirrors and a flat aperture: exact polygon areas.

The aperture lies in the plane z = 0, centred on the origin: x to the right, y up the slope to the "top"
edge, z along its normal.  Every mirror is as wide as the edge it hangs on and leans outwards (flare 0–90°),
so aperture and mirrors all lie on the skin of one convex region.  Hence light that is inside can cross it
unhindered, and only a mirror seen from behind shades; nothing else has to be tested.

Follow the light backwards.  The point of the aperture where a ray ends fixes, by a linear map, where it last
met a mirror, where it met the one before, and where it passed the plane of a shading mirror.  "It met this
mirror" is then three straight lines on the starting surface, and the part of the surface lit in this way is
a convex polygon: an intersection of half-planes.  Its area is found for thousands of suns at once.  (Shapely
clips the same polygons about eight times slower; the tests compare the two.)
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import combinations

import numpy as np

EDGES = ("top", "bottom", "left", "right")
_PARALLEL = 1e-12
_EDGE_ON = 1e-9  # cosine below which a mirror is seen edge-on: it neither reflects nor shades


@dataclass(frozen=True)
class Geometry:
    """Sizes of an aperture and its mirrors in metres and degrees: ``mirrors`` are (edge, length, flare)."""

    width: float
    length: float
    mirrors: tuple[tuple[str, float, float], ...]

    @property
    def area(self) -> float:
        return self.width * self.length


@dataclass(frozen=True)
class Surface:
    """A rectangle ``origin + u * across + v * away`` with low <= (u, v) <= high, and its inward normal."""

    name: str
    origin: np.ndarray
    across: np.ndarray
    away: np.ndarray
    normal: np.ndarray
    low: tuple[float, float]
    high: tuple[float, float]

    @property
    def area(self) -> float:
        return (self.high[0] - self.low[0]) * (self.high[1] - self.low[1])


def surfaces(geometry: Geometry) -> tuple[Surface, list[Surface]]:
    """The aperture and its mirrors as rectangles in space."""
    x, y, z = np.eye(3)
    half = geometry.width / 2, geometry.length / 2
    aperture = Surface("aperture", np.zeros(3), x, y, z, (-half[0], -half[1]), half)
    hinges = {"top": (y, x, 0), "bottom": (-y, x, 0), "left": (-x, y, 1), "right": (x, y, 1)}
    mirrors = []
    for edge, length, flare in geometry.mirrors:
        outward, across, side = hinges[edge]
        sine, cosine = np.sin(np.radians(flare)), np.cos(np.radians(flare))
        if flare == 90.0:
            cosine = 0.0
        away, normal = outward * sine + z * cosine, z * sine - outward * cosine
        origin = outward * half[1 - side]
        mirrors.append(Surface(edge, origin, across, away, normal, (-half[side], 0.0), (half[side], length)))
    return aperture, mirrors


def reflected(direction: np.ndarray, mirror: Surface) -> np.ndarray:
    """Where the sun seems to stand in a mirror, for directions towards it ``(N, 3)``."""
    return direction - 2.0 * (direction @ mirror.normal)[:, None] * mirror.normal


def polygon_area(normal_x: np.ndarray, normal_y: np.ndarray, offset: np.ndarray) -> np.ndarray:
    """Area of ``{a : n_k · a <= c_k for all k}``, lines on the first axis: ``(lines, N)`` to ``(N,)``.

    Green's theorem: half the sum over the lines of the distance from the origin times the piece of the line
    that all other half-planes leave.  The polygon must be bounded.
    """
    size = np.hypot(normal_x, normal_y)
    x, y, c = normal_x / size, normal_y / size, offset / size
    total = np.zeros(x.shape[1])
    order = np.arange(len(x))[:, None]
    for line in range(len(x)):
        slope = y * x[line] - x * y[line]
        same = x * x[line] + y * y[line]
        room = c - c[line] * same
        parallel = np.abs(slope) < _PARALLEL
        crossing = room / np.where(parallel, 1.0, slope)
        end = np.where(parallel | (slope < 0), np.inf, crossing).min(axis=0)
        start = np.where(parallel | (slope > 0), -np.inf, crossing).max(axis=0)
        # Of lines that coincide only the first counts; a parallel line further in hides this one altogether.
        ahead = (c < c[line]) | ((c == c[line]) & (order < line))
        hidden = parallel & (order != line) & np.where(same > 0, ahead, room < 0)
        total += np.where(hidden.any(axis=0), 0.0, c[line] * np.maximum(end - start, 0.0))
    return np.maximum(total / 2.0, 0.0)


class _Trace:
    """Rays followed backwards from a surface: the linear map to where they are now, and the lines so far."""

    def __init__(self, start: Surface, count: int):
        basis = np.stack([start.across, start.away], axis=-1)
        self.map = np.broadcast_to(basis, (count, 3, 2))
        self.shift = np.broadcast_to(start.origin, (count, 3))
        (left, low), (right, high) = start.low, start.high
        walls = [(1, 0, right), (-1, 0, -left), (0, 1, high), (0, -1, -low)]
        self.lines = [tuple(np.full(count, float(value)) for value in wall) for wall in walls]

    def through(self, towards: np.ndarray, mirror: Surface) -> _Trace:
        """Carry on along ``towards`` (N, 3) to the mirror's plane, keeping what lies within the mirror.

        That the ray meets the plane above the hinge needs no line of its own: see the module's second
        paragraph.
        """
        facing = (towards @ mirror.normal)[:, None]
        after = object.__new__(_Trace)
        after.map = self.map - towards[:, :, None] * ((mirror.normal @ self.map) / facing)[:, None, :]
        gap = ((mirror.origin - self.shift) @ mirror.normal)[:, None]
        after.shift = self.shift + towards * gap / facing
        across, away = mirror.across @ after.map, mirror.away @ after.map
        start_across = (after.shift - mirror.origin) @ mirror.across
        start_away = (after.shift - mirror.origin) @ mirror.away
        after.lines = [
            *self.lines,
            (across[:, 0], across[:, 1], mirror.high[0] - start_across),
            (-across[:, 0], -across[:, 1], start_across - mirror.low[0]),
            (away[:, 0], away[:, 1], mirror.high[1] - start_away),
        ]
        return after

    def area(self) -> np.ndarray:
        return polygon_area(*(np.stack(values) for values in zip(*self.lines, strict=True)))

    def only(self, keep: np.ndarray) -> _Trace:
        part = object.__new__(_Trace)
        part.map, part.shift = self.map[keep], self.shift[keep]
        part.lines = [tuple(value[keep] for value in line) for line in self.lines]
        return part


def _lit(trace: _Trace, sun: np.ndarray, mirrors: list[Surface]) -> np.ndarray:
    """Area of a traced polygon that the sun (N, 3) reaches: less what mirrors seen from behind shade."""
    lit = trace.area()
    hit = lit > 0
    behind = {mirror.name: hit & (sun @ mirror.normal < -_EDGE_ON) for mirror in mirrors}
    # At most one mirror of each opposite pair is seen from behind, so at most two shadows overlap.
    for count, sign in ((1, -1), (2, 1)):
        for shades in combinations(mirrors, count):
            keep = np.logical_and.reduce([behind[mirror.name] for mirror in shades])
            if keep.any():
                part = trace.only(keep)
                for mirror in shades:
                    part = _shadow(part, sun[keep], mirror)
                lit[keep] += sign * part.area()
    return np.maximum(lit, 0.0)


def _shadow(trace: _Trace, sun: np.ndarray, mirror: Surface) -> _Trace:
    """The part of a traced polygon for which this mirror hides the sun; the trace stays where it was."""
    shaded = trace.through(sun, mirror)
    shaded.map, shaded.shift = trace.map, trace.shift
    return shaded


def seen_area(geometry: Geometry, edge: str, towards: np.ndarray) -> np.ndarray:
    """Area of the aperture from which one looks at a mirror along ``towards`` (N, 3), z > 0."""
    aperture, mirrors = surfaces(geometry)
    mirror = next(m for m in mirrors if m.name == edge)
    area = np.zeros(len(towards))
    keep = (towards @ mirror.normal < -_EDGE_ON) & (towards[:, 2] > _EDGE_ON)
    area[keep] = _Trace(aperture, int(keep.sum())).through(towards[keep], mirror).area()
    return area


def images(geometry: Geometry, sun: np.ndarray):
    """Every image of the sun that reaches the aperture, and every mirror the sun lights.

    ``sun`` (N, 3): unit vectors towards the sun in the aperture's frame.  Yields (name, first, where, flux,
    cosine).  ``flux`` is the power on the aperture over that of the beam on an area as large as the aperture
    and facing it, before any loss on mirrors; ``cosine`` is the image's cosine of incidence.  Both hold for
    ``sun[where]`` and are zero elsewhere.  Names: "direct", a mirror's edge, "second bounce" (once per pair
    of mirrors), and "on": the flux on the mirror itself (its cosine is the mirror's).  ``first`` is the edge
    of the mirror that light met first, "" if none.
    """
    aperture, mirrors = surfaces(geometry)

    def flux(start, path, light, cosine):
        trace = _Trace(start, len(light))
        for towards, mirror in path:
            trace = trace.through(towards, mirror)
        return _lit(trace, light, mirrors) * cosine / geometry.area

    above = np.flatnonzero(sun[:, 2] > _EDGE_ON)
    direct = sun[above]
    yield "direct", "", above, flux(aperture, [], direct, direct[:, 2]), direct[:, 2]
    for first in mirrors:
        where = above[direct @ first.normal > _EDGE_ON]
        light = sun[where]
        cosine = light @ first.normal
        yield "on", first.name, where, flux(first, [], light, cosine), cosine
        once = reflected(light, first)
        down = once[:, 2] > _EDGE_ON
        where, light, once = where[down], light[down], once[down]
        yield first.name, first.name, where, flux(aperture, [(once, first)], light, once[:, 2]), once[:, 2]
        for second in mirrors:
            twice = reflected(once, second)
            on = (once @ second.normal > _EDGE_ON) & (twice[:, 2] > _EDGE_ON)
            if second is not first and on.any():
                path = [(twice[on], second), (once[on], first)]
                onto = flux(aperture, path, light[on], twice[on, 2])
                yield "second bounce", first.name, where[on], onto, twice[on, 2]

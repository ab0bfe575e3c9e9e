"""Glass, and the table of an oven's optics: how much light arrives, goes through and stays in the glass.

The table is made once per shape and glazing and kept.  Reflectance, dust, mirror slope and scatter come in
later, as weights of its parts, so that ten thousand draws of them need one table.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from ._facets import Geometry, images, seen_area, surfaces

STEP = 1.0  # °, between nodes of the table
SLOPE_ERRORS = (0.0, 0.5, 1.0, 2.0, 4.0, 8.0, 20.0)  # °, mirror slope errors the table is blurred for
NODES = np.arange(-90.0, 90.0 + STEP / 2, STEP)
_BLOCK = 1 << 14  # points looked up at once, so that they stay in the processor's cache


@dataclass(frozen=True)
class Glazing:
    """One or two equal sheets: refractive index, extinction [1/m] and thickness of a sheet [m]."""

    sheets: int
    refractive_index: float
    extinction: float
    thickness: float

    def light(self, cosine: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        """Transmittance and absorptance (of all sheets together) at this cosine of incidence, unpolarised.

        Fresnel reflection at each face, absorption along the refracted path, every reflection inside and
        between the sheets summed for each polarisation (Duffie & Beckman, sections 5.1-5.3).  At grazing
        light both are 0.
        """
        cosine = np.clip(cosine, 1e-9, 1.0)
        index = self.refractive_index
        inside = np.sqrt(1.0 - (1.0 - cosine**2) / index**2)
        path = np.exp(-self.extinction * self.thickness / inside)
        through, kept = 0.0, 0.0
        for near, far in ((cosine, index * inside), (index * cosine, inside)):
            face = ((near - far) / (near + far)) ** 2
            one = path * (1.0 - face) ** 2 / (1.0 - (face * path) ** 2)
            back = face * (1.0 + path * one)
            lost = np.maximum(1.0 - one - back, 0.0)
            if self.sheets == 2:
                between = 1.0 / (1.0 - back**2)
                lost = lost * (1.0 + one * back * between + one * between)
                one = one**2 * between
            through, kept = through + one / 2.0, kept + lost / 2.0
        return through, kept


@dataclass(frozen=True)
class Table:
    """Optics of one shape and glazing, per unit of loss-free mirrors.

    ``parts`` are (name, first): "direct", each mirror's edge, "second bounce" and "scattered", and the edge
    of the mirror the light met first.  ``beam`` (parts, 3, 181, 181): flux on the aperture, through the
    glass and kept in the glass, over the beam on as much area facing the sun; the last axes are
    ``incidence_y`` and ``incidence_x`` from −90 to 90°.  ``onto``: by edge, the flux on the mirror itself
    (181, 181).  ``below`` (parts, 3, 181): as ``beam`` for light from all directions with ``incidence_y``
    below each node, of even radiance, over what a full hemisphere of it puts on a plane.
    """

    parts: tuple[tuple[str, str], ...]
    beam: np.ndarray
    onto: dict[str, np.ndarray]
    below: np.ndarray


def _directions() -> tuple[np.ndarray, np.ndarray]:
    """Unit vectors (y, x, 3) at the table's nodes, and the solid angle [sr] of each; zero round the rim."""
    angle = np.radians(NODES)
    x, y = np.meshgrid(angle, angle)
    vectors = np.stack([np.sin(x) * np.cos(y), np.sin(y) * np.cos(x), np.cos(x) * np.cos(y)], axis=-1)
    vectors[[0, -1]] = vectors[:, [0, -1]] = 0.0
    size = np.linalg.norm(vectors, axis=-1)
    inside = size > 0
    vectors[inside] /= size[inside][:, None]
    solid = np.zeros(size.shape)
    solid[inside] = (np.cos(x) * np.cos(y))[inside] / size[inside] ** 3 * np.radians(STEP) ** 2
    return vectors, solid


@lru_cache(maxsize=8)
def table(geometry: Geometry, glazing: Glazing) -> Table:
    """Make (or recall) the table; a third of a second for four mirrors, half that when left equals right."""
    vectors, solid = _directions()
    edges = [edge for edge, _, _ in geometry.mirrors]
    parts = [("direct", ""), *((edge, edge) for edge in edges), *(("second bounce", edge) for edge in edges)]
    parts.append(("scattered", ""))
    beam = np.zeros((len(parts), 3, *solid.shape))
    onto = {edge: np.zeros(solid.shape) for edge in edges}
    even, middle = _even(geometry), len(NODES) // 2
    nodes = solid > 0
    nodes[:, : middle if even else 0] = False
    row, column = np.nonzero(nodes)
    for name, first, where, flux, cosine in images(geometry, vectors[nodes]):
        place = row[where], column[where]
        if name == "on":
            onto[first][place] += flux
            continue
        part = beam[parts.index((name, first))]
        for quantity, share in enumerate((1.0, *glazing.light(cosine))):
            part[quantity][place] += flux * share
    if even:
        swap = {"left": "right", "right": "left"}
        twins = [parts.index((swap.get(name, name), swap.get(first, first))) for name, first in parts]
        beam[..., :middle] = beam[twins][..., :middle:-1]
        for edge in edges:
            onto[edge][:, :middle] = onto[swap.get(edge, edge)][:, :middle:-1]
    for edge in edges:
        beam[-1] += np.multiply.outer(_scattered(geometry, glazing, edge, vectors, solid), onto[edge])
    lune = (beam * solid).sum(axis=-1) / np.pi
    below = np.cumsum(lune, axis=-1) - lune / 2.0  # half of a node's strip lies above it
    return Table(tuple(parts), beam, onto, below)


def _even(geometry: Geometry) -> bool:
    """True where left and right carry the same mirror, or none: half of the table mirrors the other."""
    sizes = {edge: (length, flare) for edge, length, flare in geometry.mirrors}
    return sizes.get("left") == sizes.get("right")


def _scattered(geometry, glazing, edge, vectors, solid) -> tuple[float, float, float]:
    """View factor from a mirror to the aperture; its even glow's shares through and kept in the glass."""
    coarse = np.s_[2:-1:4, 2:-1:4]  # these sums are smooth: every fourth node will do
    towards, weight = vectors[coarse].reshape(-1, 3), solid[coarse].ravel() * 16.0
    mirror = next(m for m in surfaces(geometry)[1] if m.name == edge)
    if mirror.area == 0:
        return 0.0, 0.0, 0.0
    cosine = towards[:, 2]
    seen = seen_area(geometry, edge, towards) * cosine * weight / (np.pi * mirror.area)
    through, kept = glazing.light(cosine)
    return seen.sum(), (seen * through).sum(), (seen * kept).sum()


@lru_cache(maxsize=10)
def blurred(geometry: Geometry, glazing: Glazing, level: int) -> np.ndarray:
    """The table's beam part for mirrors with the slope error ``SLOPE_ERRORS[level]``.

    A slope turned by δ turns the reflected ray by 2δ in the plane across the hinge, as would a sun displaced
    by 2δ, and by 2δ times the mirror's cosine of incidence along the hinge (taken as that of light down the
    aperture's normal).  How much the mirror catches stays, so what is blurred is the share of it that
    arrives; and so does the whole over all directions, as étendue demands.  The second mirror's own slope is
    left out.  Against the ray tracer: within 1 % up to 2°, 2 % at 4°, 5 % at 8°, 12 % at 15°.
    """
    from scipy.ndimage import gaussian_filter  # slow to import, and only few mirrors are wavy

    made, (_, solid) = table(geometry, glazing), _directions()
    beam, flares = made.beam.copy(), {edge: flare for edge, _, flare in geometry.mirrors}
    width = 2.0 * SLOPE_ERRORS[level] / STEP
    for number, (_, first) in enumerate(made.parts):
        if not first or width == 0:
            continue
        widths = [width, width * np.sin(np.radians(flares[first]))]
        if first in ("left", "right"):
            widths.reverse()
        caught = made.onto[first]
        lit = caught > 0
        share = np.divide(beam[number], caught, out=np.zeros_like(beam[number]), where=lit)
        near = gaussian_filter(lit.astype(float), widths, mode="constant")
        spread = gaussian_filter(share, widths, mode="constant", axes=(1, 2))
        beam[number] = caught * np.divide(spread, near, out=np.zeros_like(spread), where=lit)
        whole = np.sum(beam[number, 0] * solid)
        if whole > 0:
            beam[number] *= np.sum(made.beam[number, 0] * solid) / whole
    return beam


def look_up(tables: np.ndarray, incidence_x: np.ndarray, incidence_y: np.ndarray) -> np.ndarray:
    """Interpolate tables ``(C, 181, 181)`` linearly at angles [°] ``(...)``; returns ``(C, ...)``.

    From behind the aperture the answer is 0.
    """
    count, size = len(tables), len(NODES)
    flat = np.ascontiguousarray(tables.reshape(count, -1))
    shape = np.broadcast_shapes(np.shape(incidence_x), np.shape(incidence_y))
    x = np.broadcast_to(incidence_x, shape).ravel()
    y = np.broadcast_to(incidence_y, shape).ravel()
    out = np.empty((count, x.size))
    for begin in range(0, x.size, _BLOCK):
        part = slice(begin, begin + _BLOCK)
        column, right = _cell(x[part])
        row, up = _cell(y[part])
        corner = row * size + column
        for number, values in enumerate(flat):
            low = values[corner] * (1.0 - right) + values[corner + 1] * right
            high = values[corner + size] * (1.0 - right) + values[corner + size + 1] * right
            out[number, part] = low + up * (high - low)
    return out.reshape(count, *shape)


def _cell(angle: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    place = np.clip((angle + 90.0) / STEP, 0.0, len(NODES) - 1.0)
    cell = np.minimum(place.astype(np.intp), len(NODES) - 2)
    return cell, place - cell

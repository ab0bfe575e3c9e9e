"""The oven as a catcher of light: from the sun's rays to watts in the cavity and in the glass.

The aperture's frame: x to the right as seen from the sun, level; y up the slope to the "top" edge; z along
the normal.  ``incidence_x`` and ``incidence_y`` [°] are the sun's angles from the normal towards the right
and the top, each measured in its own plane (``atan2(x, z)`` and ``atan2(y, z)``).

What is counted: the beam straight in and by one or two mirrors, less what mirrors shade, each image of the
sun with its own incidence on the glass; the sky's and the ground's diffuse light, straight and by the
mirrors; dust, mirror slope and scatter.  What is not: a third bounce, light that scatters from a mirror to a
mirror, the sun's own half degree, polarisation by mirrors, and whatever stands around the place.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ._aim import (
    Aim,
    aim,
    aperture_frame,
    column,
    dot,
    incidence,
    repeat_last,
    start_seconds,
)
from ._facets import Geometry, images
from ._limits import within
from ._optics import NODES, SLOPE_ERRORS, Glazing, blurred, look_up, table
from .catalogue import Handling, Oven
from .sun import Instants, extraterrestrial

__all__ = [
    "Aim",
    "Gain",
    "Geometry",
    "aim",
    "aperture_frame",
    "breakdown",
    "concentration",
    "diffuse_factors",
    "gain",
    "glazing_transmittance",
    "images",
    "incidence",
    "optical_parts",
]

GROUND_ALBEDO = 0.2  # usual default for grass and soil (Duffie & Beckman, section 2.15)
LOWEST_COSINE = 0.01745  # of the zenith angle, in the Hay-Davies ratio: the limit pvlib uses
_INTO = ("aperture", "cavity", "glazing")
_WATTS = [1, 2]  # of _INTO


@dataclass(frozen=True)
class Gain:
    """Light an oven takes in: means over the step that begins at each instant (the last repeats).

    ``into_cavity`` [W] has passed the glass and is not yet absorbed; ``into_glazing`` [W] stays in the glass
    (all sheets).  ``tilt`` [°] and ``aperture_normal`` (east, north, up) are the aim in that step.  Shapes
    ``(..., T)``, the normal ``(..., T, 3)``.
    """

    into_cavity: np.ndarray
    into_glazing: np.ndarray
    tilt: np.ndarray
    aperture_normal: np.ndarray


def gain(oven: Oven, sky, handling: Handling) -> Gain:
    """Light into the oven through a day under ``sky``, handled as stated.

    Scenario axes ``(...)`` may come from the sky's arrays ``(..., T)`` and from the oven's reflectance,
    specular_fraction, slope_error, dust, tilt_min, tilt_max and any number in the handling, each ``(...)``;
    sizes, mirrors and glazing are one per call.  Zero before the oven is put out (``preheat`` minutes before
    ``loaded``), and while the sun is down.

    ``aim_error`` is what hands miss the sun by, to either side along the azimuth's direction: the beam is
    averaged over normals turned by plus and minus that angle about the aperture's own up-slope axis.
    Diffuse light by the Hay-Davies model: its circumsolar part goes with the beam, the rest is even over the
    sky.  Errors: ValueError naming the field and what it accepts.
    """
    parts, pointing, normal = _powers(oven, sky, handling, split=False)
    cavity, glass = (sum(watts) for watts in zip(*parts.values(), strict=True))
    cavity, glass = repeat_last(cavity), repeat_last(glass)
    tilt, normal = np.broadcast_to(pointing.tilt, cavity.shape), np.broadcast_to(normal, (*cavity.shape, 3))
    return Gain(cavity, glass, tilt, normal)


def breakdown(oven: Oven, sky, handling: Handling) -> dict[str, np.ndarray]:
    """The watts into the cavity by the way they came: arrays ``(..., T)`` that add up to ``into_cavity``.

    Keys: "direct", each mirror's edge, "second bounce", "scattered" (by imperfect mirrors), "sky", "ground".
    """
    parts, _, _ = _powers(oven, sky, handling, split=True)
    return {name: repeat_last(cavity) for name, (cavity, _) in parts.items()}


def concentration(oven: Oven, incidence_x, incidence_y) -> np.ndarray:
    """Light arriving at the aperture, before the glass, over the beam on as much area facing the sun.

    With no mirrors this is the cosine of incidence.  Angles in °, see the module; everything broadcasts as
    in NumPy. Interpolated from a 1° table: off by about 0.005 at worst, where a mirror just begins to work.
    """
    return sum(optical_parts(oven, incidence_x, incidence_y).values())


def optical_parts(oven: Oven, incidence_x, incidence_y, into: str = "aperture") -> dict[str, np.ndarray]:
    """How the beam comes in, by ways, over the beam on as much area facing the sun; see ``concentration``.

    ``into`` is "aperture" (before the glass), "cavity" (through it) or "glazing" (kept in it).  Keys:
    "direct", each mirror's edge, "second bounce", "scattered".
    """
    row, clean = _quantity(oven, into)
    within("incidence_x", incidence_x, -180.0, 180.0, "°")
    within("incidence_y", incidence_y, -180.0, 180.0, "°")
    view = incidence_x, incidence_y
    tables = _beam_tables(oven, *_shape(oven), split=True)
    return {name: clean * _weigh(each, [row], [view])[0] for name, each in tables.items()}


def diffuse_factors(oven: Oven, tilt, into: str = "aperture") -> tuple[np.ndarray, np.ndarray]:
    """Even light of sky and of ground on an aperture at this tilt [°], over a full hemisphere of either.

    With no mirrors these are the view factors (1 + cos tilt) / 2 and (1 - cos tilt) / 2.  Mirrors block a
    part of each and send a part back; the sum stays at or below 1 (the étendue limit).  ``into`` as in
    ``optical_parts``.
    """
    row, clean = _quantity(oven, into)
    within("tilt", tilt, 0.0, 90.0, "°")
    (sky,), (ground,) = _diffuse(oven, *_shape(oven), tilt, [row])
    return clean * sky, clean * ground


def glazing_transmittance(oven: Oven, incidence_angle) -> tuple[np.ndarray, np.ndarray]:
    """Share of a beam through the clean glazing, and share kept in it, at incidence angles of 0 to 90°."""
    within("incidence_angle", incidence_angle, 0.0, 90.0, "°")
    return _shape(oven)[1].light(np.cos(np.radians(incidence_angle)))


def _powers(oven: Oven, sky, handling: Handling, split: bool):
    """``{part: (into cavity, into glazing)}`` [W], each ``(..., T - 1)`` by steps; the aim; its normal."""
    geometry, glazing = _shape(oven)
    pointing = aim(oven, sky, handling)
    frame = aperture_frame(pointing.tilt, pointing.azimuth)
    sun = np.asarray(sky.sun_vector)
    sun = sun[..., 1:, :] + sun[..., :-1, :]
    sun = sun / np.linalg.norm(sun, axis=-1, keepdims=True)
    x, y, z = (dot(sun, axis[..., :-1, :]) for axis in frame)
    height = sun[..., 2]

    beam, diffuse = _middle(sky.beam_normal), _middle(sky.diffuse_horizontal)
    # The distance of the sun changes by less than 0.04 % in a day: one value for each scenario will do.
    outside = extraterrestrial(Instants(sky.times.utc[..., :2], sky.times.timezone))[..., :1]
    circumsolar = diffuse * np.clip(beam / outside, 0.0, 1.0)
    beam = beam + circumsolar / np.maximum(height, LOWEST_COSINE)
    even, ground = diffuse - circumsolar, GROUND_ALBEDO * _middle(sky.global_horizontal)

    ends = np.arange(1, sky.times.shape[-1])
    put_out = np.clip(ends - start_seconds(sky.times, handling)[..., None] / sky.times.step, 0.0, 1.0)
    scale = geometry.area * (1.0 - column(oven.dust)) * put_out * (height > 0)
    error = np.radians(column(handling.aim_error))
    sides = (error, -error) if np.any(error) else (error,)
    in_plane, along, views = np.arctan2(x, z), np.hypot(x, z), []
    for side in sides:
        # Turning the normal about the up-slope axis turns the sun as much the other way in the x-z plane.
        angle = in_plane - side
        views.append((np.degrees(angle), np.degrees(np.arctan2(y, along * np.cos(angle)))))
    parts = {}
    for name, terms in _beam_tables(oven, geometry, glazing, split, column).items():
        parts[name] = [scale * beam * share for share in _weigh(terms, _WATTS, views)]
    from_sky, from_ground = _diffuse(oven, geometry, glazing, pointing.tilt[..., :-1], _WATTS, column)
    parts["sky"] = [scale * even * share for share in from_sky]
    parts["ground"] = [scale * ground * share for share in from_ground]
    return parts, pointing, frame[2]


def _beam_tables(oven: Oven, geometry: Geometry, glazing: Glazing, split: bool, shape=np.asarray):
    """``{part: [(table (3, 181, 181), weight), ...]}`` with the mirrors' quality in the weights.

    Unless ``split``, all parts are one.  ``shape`` makes a scenario field ready to broadcast.
    """
    once, twice, scattered = _mirror_weights(oven, shape)
    slope = shape(oven.slope_error)
    shares = [np.interp(slope, SLOPE_ERRORS, row) for row in np.eye(len(SLOPE_ERRORS))]
    used = [level for level, share in enumerate(shares) if np.any(share)]
    by_once, by_twice = ({level: weight * shares[level] for level in used} for weight in (once, twice))
    plain = table(geometry, glazing)
    parts: dict[str, list] = {}
    for number, (name, _) in enumerate(plain.parts):
        if name in ("direct", "scattered"):
            terms = [(plain.beam[number], np.float64(1.0) if name == "direct" else scattered)]
        else:
            weights = by_twice if name == "second bounce" else by_once
            terms = [(blurred(geometry, glazing, level)[number], weights[level]) for level in used]
        parts.setdefault(name if split else "beam", []).extend(terms)
    return parts


def _mirror_weights(oven: Oven, shape):
    """What is left of the light after one and after two mirrors, and what one mirror scatters."""
    mirror, specular = shape(oven.reflectance) * (1.0 - shape(oven.dust)), shape(oven.specular_fraction)
    return mirror * specular, (mirror * specular) ** 2, mirror * (1.0 - specular)


def _grouped(terms: list) -> list:
    """Tables times weights, with those that share a weight (plain numbers all do) already added."""
    groups: dict[int, list] = {}
    for values, weight in terms:
        if np.size(weight) == 1:
            values, weight = values * np.ravel(weight)[0], 1.0
        group = groups.setdefault(0 if np.ndim(weight) == 0 else id(weight), [0.0, weight])
        group[0] = group[0] + values
    return list(groups.values())


def _weigh(terms: list, quantities: list[int], views: list) -> list[np.ndarray]:
    """Weighted sum of tables, one ``(...)`` per quantity, averaged over views (incidence_x, incidence_y)."""
    groups = _grouped([(values[quantities], weight) for values, weight in terms])
    tables = np.concatenate([values for values, _ in groups])
    seen = sum(look_up(tables, *view) for view in views) / len(views)
    seen = seen.reshape(len(groups), len(quantities), *seen.shape[1:])
    weights = [weight for _, weight in groups]
    return [sum(map(np.multiply, weights, seen[:, row])) for row in range(len(quantities))]


def _diffuse(oven: Oven, geometry: Geometry, glazing: Glazing, tilt, quantities: list[int], shape=np.asarray):
    """Sky and ground factors, one ``(...)`` per quantity: from above and below the horizon's line."""
    once, twice, scattered = _mirror_weights(oven, shape)
    weights = {"direct": 1.0, "second bounce": twice, "scattered": scattered}
    made = table(geometry, glazing)
    named = zip(made.parts, made.below, strict=True)
    groups = _grouped([(below, weights.get(name, once)) for (name, _), below in named])
    horizon = np.asarray(tilt) - 90.0
    sky, ground = [], []
    for row in quantities:
        under = [(below[row, -1], np.interp(horizon, NODES, below[row]), weight) for below, weight in groups]
        ground.append(sum(weight * part for _, part, weight in under))
        sky.append(sum(weight * (whole - part) for whole, part, weight in under))
    return sky, ground


def _quantity(oven: Oven, into: str) -> tuple[int, np.ndarray]:
    if into not in _INTO:
        raise ValueError(f"into must be one of {', '.join(_INTO)}; got {into!r}")
    return _INTO.index(into), 1.0 if into == "aperture" else 1.0 - np.asarray(oven.dust)


def _shape(oven: Oven) -> tuple[Geometry, Glazing]:
    """The oven's shape and glazing; the catalogue has checked the fields' own ranges."""
    mirrors = []
    for mirror in oven.reflectors:
        reach, flare = _one("a reflector's length", mirror.length), _one("a reflector's flare", mirror.flare)
        mirrors.append((mirror.edge, reach, flare))
    width, length = (_one(name, getattr(oven, name)) for name in ("aperture_width", "aperture_length"))
    names = ("glazing_refractive_index", "glazing_extinction", "glazing_thickness")
    glass = (_one(name, getattr(oven, name)) for name in names)
    return Geometry(width, length, tuple(sorted(mirrors))), Glazing(int(oven.glazing_sheets), *glass)


def _one(name: str, value) -> float:
    """The one number a shape needs."""
    if np.size(value) != 1:
        raise ValueError(f"{name} must be one number per call, not an array; call once for each shape")
    return float(np.ravel(value)[0])


def _middle(values) -> np.ndarray:
    """Means over the steps of values ``(..., T)``; what does not change with time stays as it is."""
    values = np.asarray(values, float)
    steady = values.ndim == 0 or values.shape[-1] == 1
    return values if steady else (values[..., 1:] + values[..., :-1]) / 2.0

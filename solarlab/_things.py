"""Things: places, ovens, pots, foods and how an oven is handled.

Every thing is a frozen dataclass that checks its numbers when made.  A numeric field may be a number or an
array of shape ``(scenarios,)``, so the same object describes one oven or a thousand draws of it.  Units are
SI except that temperatures are in °C and angles in degrees: azimuth clockwise from north, tilt from the
horizontal, elevation from the horizon.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, fields

import numpy as np

from ._limits import check
from ._quantity import Quantity, describe


class _Thing:
    """What every thing does: check itself when made, be equal to its like, draws included, and show its
    sources in a notebook.
    """

    def __post_init__(self):
        check(self)

    def __eq__(self, other) -> bool:
        if type(other) is not type(self):
            return NotImplemented
        return all(_same(getattr(self, f.name), getattr(other, f.name)) for f in fields(self) if f.compare)

    def __hash__(self) -> int:
        stated = (getattr(self, f.name) for f in fields(self) if f.compare and f.hash is not False)
        return hash(tuple(tuple(np.ravel(v).tolist()) if isinstance(v, np.ndarray) else v for v in stated))

    def _repr_html_(self) -> str:
        return describe(self)._repr_html_()


def _same(one, other) -> bool:
    draws = isinstance(one, np.ndarray) or isinstance(other, np.ndarray)
    return np.array_equal(one, other) if draws else one == other


@dataclass(frozen=True, eq=False)
class Place(_Thing):
    """A point on the Earth: latitude and longitude in degrees (north, east positive), elevation in metres."""

    name: str
    latitude: float
    longitude: float
    elevation: float
    timezone: str
    sources: Mapping[str, Quantity] = field(default_factory=dict, compare=False, repr=False)


@dataclass(frozen=True, eq=False)
class Reflector(_Thing):
    """A flat mirror hinged along one edge of the aperture.

    ``edge`` is ``"top" | "bottom" | "left" | "right"`` seen from the sun with the oven's back edge on top;
    ``length`` [m] is measured away from the hinge; ``flare`` [°] is the lean outwards from the aperture's
    normal (0 stands straight up, 90 lies in the aperture's plane).  It is as wide as the edge it hangs on: no
    corners.
    """

    edge: str
    length: float
    flare: float


@dataclass(frozen=True, eq=False)
class Oven(_Thing):
    """A box solar oven: a glazed aperture, hinged reflectors, and a cavity behind insulated walls."""

    name: str
    aperture_width: float  # m, along the top and bottom edges
    aperture_length: float  # m, along the left and right edges
    reflectors: tuple[Reflector, ...]
    reflectance: float  # solar, clean, 0..1
    specular_fraction: float  # of the reflected light, 0..1
    slope_error: float  # °, standard deviation of the mirror's surface slope
    dust: float  # fraction of light lost on each mirror and on the glass, 0..1
    tilt_min: float  # °, flattest tilt of the aperture the stand allows
    tilt_max: float  # °, steepest
    glazing_sheets: int  # 1 or 2
    glazing_refractive_index: float
    glazing_extinction: float  # 1/m
    glazing_thickness: float  # m, one sheet
    glazing_density: float  # kg/m³
    glazing_specific_heat: float  # J/(kg K)
    glazing_emittance: float  # thermal
    glazing_gap: float  # m, between the sheets (unused with one)
    cavity_depth: float  # m, aperture to tray
    cavity_heat_capacity: float  # J/K: inner walls, tray and air
    cavity_emittance: float  # thermal, inner walls and tray
    tray_area: float  # m²
    tray_absorptance: float  # solar
    wall_area: float  # m², inner walls and floor
    wall_absorptance: float  # solar, inner side walls
    wall_conductance: float  # W/(m² K), inner wall to outside air
    air_leakage: float  # air changes of the cavity per hour, lid shut
    tray_conductance: float = 0.05  # W/K, conductivity × thickness of the tray: 1 mm of steel
    about: str = field(default="", compare=False)
    sources: Mapping[str, Quantity] = field(default_factory=dict, compare=False, repr=False)


@dataclass(frozen=True, eq=False)
class Pot(_Thing):
    """A cooking pot or tin.  ``None`` in its place means the food lies straight on the tray."""

    name: str
    diameter: float  # m
    height: float  # m
    mass: float  # kg, with lid
    specific_heat: float  # J/(kg K)
    absorptance: float  # solar, outside
    transmittance: float  # solar, through the wall (0 for metal)
    emittance: float  # thermal
    wall_resistance: float  # m² K/W, conduction through the wall
    lid_leakage: float  # mass-transfer conductance relative to an open pot: 1 open, about .03 a lid
    contact_conductance: float  # W/(m² K), pot base to tray
    about: str = field(default="", compare=False)
    sources: Mapping[str, Quantity] = field(default_factory=dict, compare=False, repr=False)


@dataclass(frozen=True, eq=False)
class Food(_Thing):
    """A dish as it goes into the oven.

    ``form``: ``"liquid"`` (thin, well mixed), ``"thick"`` (wet but conducting: stew, porridge), ``"pieces"``
    (solids in cooking water), ``"solid"`` (a body with no cooking water: egg, loaf, chicken).
    """

    name: str
    form: str
    mass: float  # kg of food, without cooking water
    water: float  # kg of cooking water
    initial_temperature: float  # °C
    initial_freezing_point: float  # °C
    # mass fractions of water, protein, fat, carbohydrate, fibre and ash; sum 1
    composition: Mapping[str, float] = field(hash=False)
    shape: str  # "sphere" | "cylinder" | "slab" of one piece
    half_thickness: float  # m: radius, or half the slab
    pieces: float  # how many bodies share the mass
    absorptance: float  # solar
    emittance: float  # thermal
    surface_wetness: float  # 0 dry shell … 1 evaporates like open water
    doneness: str  # key of a doneness rule
    safety: tuple[str, ...]  # keys of safety rules
    porosity: float = 0.0  # air and vapour by volume, as in risen dough
    about: str = field(default="", compare=False)
    sources: Mapping[str, Quantity] = field(default_factory=dict, compare=False, repr=False)


@dataclass(frozen=True, eq=False)
class Handling(_Thing):
    """What the hands do, in local clock time of the place.

    ``loaded`` "HH:MM" is when the food goes in; the empty oven stands aimed in the sun for ``preheat``
    minutes before.  ``reaim_every`` minutes (``None``: aimed once, then left).  ``tilt``/``azimuth`` fix the
    aim; ``None`` faces the sun as far as the stand allows.  Hands aim to about ``aim_error`` degrees.
    ``lid_openings`` are minutes after loading, each lasting ``opening_seconds``.  ``standing`` is the minutes
    the food stood unrefrigerated before it was loaded.
    """

    loaded: str = "09:00"
    reaim_every: float | None = 30.0
    lid_openings: tuple[float, ...] = ()
    tilt: float | None = None
    azimuth: float | None = None
    aim_error: float = 2.0
    opening_seconds: float = 30.0
    preheat: float = 0.0
    standing: float = 0.0

"""The spot one stands on: what hills and trees shade, what wind does to the oven, how far a pot may tilt.

The skyline is a sketch: bearings and heights in degrees, such as one gets with a compass and an arm (a fist
at arm's length is about 10°, common practice, no source).
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from .._limits import within
from ..catalogue import Food, Oven, Pot
from ..sky import Sky

AIR_DENSITY = 1.2  # kg/m³, near sea level: thinner air pushes less
DRAG = 1.2  # of a flat plate and of a box across the wind (order of magnitude, handbooks)
GRAVITY = 9.81  # m/s²
GUST = 10.0  # m/s at the oven, beyond which it belongs indoors
FULL = 0.85  # of the pot's height: no fuller, or it boils over (common practice, no source)
DENSITY = 1000.0  # kg/m³, of food with its water


@dataclass(frozen=True)
class Skyline:
    """Heights of what stands around: ``bearings`` [° clockwise from north] and ``heights`` [° above level].

    Straight lines join the points, round past north too.  No points: a free horizon.
    """

    bearings: tuple[float, ...] = ()
    heights: tuple[float, ...] = ()

    def __post_init__(self):
        if len(self.bearings) != len(self.heights):
            raise ValueError(f"a skyline needs one height for each bearing; there are {len(self.bearings)} "
                             f"bearings and {len(self.heights)} heights.")
        within("a skyline's bearing", list(self.bearings) or [0.0], 0.0, 360.0, "°")
        within("a skyline's height", list(self.heights) or [0.0], 0.0, 90.0, "°")

    def height_at(self, bearing) -> np.ndarray:
        """Height [°] of the skyline at bearings [°]; 0 where nothing was drawn."""
        if not self.bearings:
            return np.zeros(np.shape(bearing))
        return np.interp(np.asarray(bearing, float), self.bearings, self.heights, period=360.0)

    @property
    def open_sky(self) -> float:
        """Share of the sky's diffuse light on level ground that still comes: mean of cos² of the heights."""
        return float(np.mean(np.cos(np.radians(self.height_at(np.arange(0.5, 360.0)))) ** 2))


def skyline(text: str) -> Skyline:
    """A skyline from what a person types: ``"90:15, 120:25, 200:5"`` (bearing:height), in degrees."""
    points = []
    for part in filter(None, (each.strip() for each in str(text).replace(";", ",").split(","))):
        bearing, _, height = part.replace("°", "").partition(":")
        try:
            points.append((float(bearing), float(height)))
        except ValueError:
            raise ValueError(f"the skyline's {part!r} can't be read; write bearing:height in degrees, "
                             "such as 90:15, 120:25.") from None
    points.sort()
    return Skyline(tuple(p[0] for p in points), tuple(p[1] for p in points))


def shaded(sky: Sky, line: Skyline) -> Sky:
    """``sky`` as seen from behind the skyline: no beam while the sun stands below it, less of the diffuse."""
    if not line.bearings:
        return sky
    free = sky.elevation >= line.height_at(sky.azimuth)
    return replace(
        sky, beam_normal=sky.beam_normal * free, diffuse_horizontal=sky.diffuse_horizontal * line.open_sky
    )


def shade_spans(sky: Sky, line: Skyline) -> list[tuple]:
    """Local clock (start, end) of each time the sun is up but behind the skyline; one day's sky."""
    hidden = (sky.elevation > 0.0) & (sky.elevation < line.height_at(sky.azimuth))
    edges = np.flatnonzero(np.diff(np.concatenate([[0], hidden.astype(int), [0]])))
    local = sky.times.local
    return [(local[a], local[min(b, len(local) - 1)]) for a, b in edges.reshape(-1, 2)]


def ballast(oven: Oven, tilt: float, gust: float = GUST) -> float:
    """Kilograms to hang low on the oven's windward foot so that a ``gust`` [m/s] does not tip it.

    The wind pushes on the aperture with its mirrors as on a plate tilted by ``tilt`` [°], half way up; the
    foot is half the aperture's width away.  The oven's own weight is left out, so this is a little much.
    """
    reach = max((mirror.length for mirror in oven.reflectors), default=0.0)
    width = float(oven.aperture_width) * (1.0 + (len(oven.reflectors) > 1))
    upright = np.sin(np.radians(tilt)) * float(oven.aperture_length) + reach + float(oven.cavity_depth)
    force = 0.5 * AIR_DENSITY * DRAG * gust**2 * width * upright
    return float(force * upright / 2.0 / (GRAVITY * float(oven.aperture_width) / 2.0))


def filling(pot: Pot, food: Food) -> float:
    """How full the pot is, as a part of its height; above `FULL` it boils over."""
    volume = np.pi * float(pot.diameter) ** 2 / 4.0 * float(pot.height)
    return float((food.mass + food.water) / DENSITY / volume)


def spill_tilt(pot: Pot, food: Food) -> float:
    """Tilt of the pot [°] at which its level liquid meets the rim; 0 if it is too full to stand level."""
    spare = float(pot.height) * max(1.0 - filling(pot, food), 0.0)
    return float(np.degrees(np.arctan2(2.0 * spare, float(pot.diameter))))

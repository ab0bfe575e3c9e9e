"""Lesson 04, catching it: a glass and its mirrors at any size and angle, and the picture of rays."""

from __future__ import annotations

from functools import lru_cache

import numpy as np
import pandas as pd

from solarlab import figures
from solarlab.oven import Geometry, images

REFLECTANCE = 0.8  # of the sheet in this lesson's drawings and design: clean, bright, a little wavy
EDGES = {"none": (), "one": ("right",), "two": ("left", "right"), "four": ("left", "right", "top", "bottom")}
ANGLES = np.arange(-45.0, 46.0, 3.0)  # °, of the sun to the side


def light_on_glass(count: str, length: float, flare: float, off: float = 0.0) -> float:
    """Light on a square glass over that on the bare glass facing the sun, ``off`` degrees to the right.

    ``count`` mirrors as in `EDGES`, ``length`` over the glass's side, ``flare`` [°] out from upright on the
    glass.  Exact areas, up to two bounces, `REFLECTANCE`; dust and scatter left out.
    """
    return light_at(count, float(length), float(flare), (float(off),))[0]


@lru_cache(maxsize=4096)
def light_at(count: str, length: float, flare: float, angles: tuple[float, ...]) -> tuple[float, ...]:
    """`light_on_glass` for several angles of the sun at once."""
    geometry = Geometry(1.0, 1.0, tuple((edge, length, flare) for edge in EDGES[count]))
    off = np.radians(angles)
    sun = np.stack([np.sin(off), np.zeros(len(off)), np.cos(off)], axis=-1)
    total = np.zeros(len(off))
    for name, _, where, flux, _ in images(geometry, sun):
        bounces = {"direct": 0, "on": None, "second bounce": 2}.get(name, 1)
        if bounces is not None:
            total[where] += REFLECTANCE**bounces * flux
    return tuple(float(light) for light in total)


def rays(sides: tuple[str, ...], length: float, flare: float, off: float, count: int = 15) -> list:
    """Rays in the plane across the glass (glass from -.5 to .5): [(points (n, 2), where it ends), ...]."""
    lean, angle = np.radians(flare), np.radians(off)
    tilted = np.array([np.sin(lean), np.cos(lean)])
    walls = [(np.array([-0.5, 0.0]), np.array([0.5, 0.0]), "glass")]
    if "right" in sides:
        walls.append((np.array([0.5, 0.0]), np.array([0.5, 0.0]) + length * tilted, "mirror"))
    if "left" in sides:
        walls.append((np.array([-0.5, 0.0]), np.array([-0.5, 0.0]) + length * tilted * [-1, 1], "mirror"))
    tops = np.array([end for _, end, _ in walls] + [start for start, _, _ in walls])
    towards = -np.array([np.sin(angle), np.cos(angle)])
    side = np.array([np.cos(angle), -np.sin(angle)])
    spread = tops @ side
    found = []
    for offset in np.linspace(spread.min() + 1e-3, spread.max() - 1e-3, count):
        start = side * offset - towards * 4.0
        points, heading, ends = [start], towards, "lost"
        for _ in range(4):
            hit = first_hit(points[-1], heading, walls)
            if hit is None:
                points.append(points[-1] + heading * 1.2)
                break
            distance, wall = hit
            points.append(points[-1] + heading * distance)
            if wall[2] == "glass":
                ends = "glass"
                break
            along = (wall[1] - wall[0]) / np.linalg.norm(wall[1] - wall[0])
            heading = 2.0 * along * (heading @ along) - heading
        found.append((np.array(points), ends))
    return found


def first_hit(start, heading, walls):
    """The nearest wall ahead: (distance, wall), or ``None``."""
    best = None
    for wall in walls:
        edge = wall[1] - wall[0]
        cross = heading[0] * edge[1] - heading[1] * edge[0]
        if abs(cross) < 1e-12:
            continue
        gap = wall[0] - start
        distance = (gap[0] * edge[1] - gap[1] * edge[0]) / cross
        share = (gap[0] * heading[1] - gap[1] * heading[0]) / cross
        if distance > 1e-6 and -1e-9 <= share <= 1 + 1e-9 and (best is None or distance < best[0]):
            best = (distance, wall)
    return best


def catcher(mirrors: str, length: float, flare: float, off: float):
    """A cut across glass and mirrors with its rays, beside what it catches as the sun drifts off."""
    figure = figures.blank(9.6, 4.6)
    left, right = figure.add_axes((0.02, 0.04, 0.46, 0.84)), figure.add_axes((0.57, 0.14, 0.41, 0.74))
    drawn = rays(EDGES[mirrors], length, flare, off)
    for points, ends in drawn:
        style = {"color": figures.ORANGE, "linewidth": 1.6} if ends == "glass" else {
            "color": figures.GREY, "linewidth": 1.0, "linestyle": (0, (3, 3))}  # fmt: skip
        left.plot(points[:, 0], points[:, 1], **style)
    left.plot([-0.5, 0.5], [0, 0], color=figures.BLUE, linewidth=5, solid_capstyle="butt")
    lean = np.radians(flare)
    for side, sign in (("right", 1), ("left", -1)):
        if side in EDGES[mirrors]:
            left.plot(
                [sign * 0.5, sign * (0.5 + length * np.sin(lean))], [0, length * np.cos(lean)],
                color=figures.BLACK, linewidth=3,
            )  # fmt: skip
    left.text(0, -0.16, "glass", ha="center", fontsize=10, color=figures.BLUE)
    left.set_xlim(-2.0, 2.0)
    left.set_ylim(-0.3, 2.1)
    left.set_aspect("equal")
    left.axis("off")
    left.set_title("cut across: full rays reach the glass, dashed ones miss", fontsize=10)
    caught = np.array(light_at(mirrors, float(length), float(flare), tuple(ANGLES)))
    bare = np.cos(np.radians(ANGLES))
    right.plot(ANGLES, caught, **figures.line(0).drawn(len(ANGLES)), label="this glass")
    right.plot(ANGLES, bare, **figures.line(1).drawn(len(ANGLES)), label="bare glass: the cosine")
    now = light_on_glass(mirrors, length, flare, off)
    ring = {"marker": "o", "markersize": 11, "fillstyle": "none", "linestyle": "none"}
    right.plot([off], [now], color=figures.BLACK, **ring)
    right.set_ylim(0, max(3.4, 1.05 * caught.max()))
    figures.dress(right, "sun off to the side (°)", "light, times the bare glass")
    right.legend(fontsize=9, frameon=False, loc="upper left")
    straight = light_on_glass(mirrors, length, flare, 0.0)
    words = {"none": "No mirror", "one": "One mirror", "two": "Two mirrors", "four": "Four mirrors"}[mirrors]
    reach = sum(ends == "glass" for _, ends in drawn)
    alt = (
        f"{words} {length:g} times as long as the glass, leaning out {flare:g}°, sun {off:g}° to the side: "
        f"{now:.2f} times the light of the bare glass; {straight:.2f} times with the sun straight on. "
        f"{reach} of {len(drawn)} drawn rays reach the glass."
    ).replace("-", "−")
    table = pd.DataFrame(
        {"sun off (°)": ANGLES, "this glass (×)": caught.round(2), "bare (×)": bare.round(2)}
    )
    title = f"{now:.2f} times the light of a bare glass" + (f" (aimed: {straight:.2f})" if off else "")
    return figures.Picture(figure, alt, table, title)

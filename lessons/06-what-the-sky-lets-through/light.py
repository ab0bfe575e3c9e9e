"""Lesson 06, what the sky lets through: clear, hazy and cloudy light, and what ovens make of it."""

from __future__ import annotations

from functools import lru_cache

import numpy as np
import pandas as pd
from matplotlib.patches import Polygon, Rectangle
from pvlib import atmosphere, clearsky

from solarlab import catalogue, cloud, figures
from solarlab.catalogue import Handling
from solarlab.heat import stagnation
from solarlab.oven import gain
from solarlab.safety import both_units
from solarlab.sky import Sky, instants, sky_temperature
from solarlab.sun import station_pressure

OVENS = ("bare box", "four-mirror box")
ABOVE = 1361.0  # W/m² outside the air, mean of the year (IAU 2015: 1361)
AIR, WIND = 25.0, 1.5  # °C and m/s of the drawings and tables, where no file says otherwise
CRISP, SOFT = 2 / 3, 1 / 5  # of the level light comes from the sun itself; see solarlab.cloud.SHADOWS


def air_mass(height):
    """Times as much air as straight overhead that light of a sun ``height`` [°] up comes through.

    Kasten & Young (1989) in pvlib: 1/sin(height), and a little less near the horizon.
    """
    return atmosphere.get_relative_airmass(90.0 - np.asarray(height, float))


def clear_light(height, haze, above_sea=0.0):
    """Beam facing the sun and diffuse on the level [W/m²] of a cloudless sky: Ineichen & Perez (2002).

    ``haze`` is Linke's turbidity.  The same sum as `solarlab.clear_sky`, which looks the haze of place and
    month up; here it may be anything.
    """
    height, haze = np.broadcast_arrays(np.asarray(height, float), np.asarray(haze, float))
    mass = air_mass(height) * station_pressure(above_sea) / 101_325.0
    made = clearsky.ineichen(90.0 - height, mass, haze, above_sea, ABOVE)
    beam = np.asarray(made["dni"], float)
    return beam, np.maximum(np.asarray(made["ghi"], float) - beam * np.sin(np.radians(height)), 0.0)


def under_cloud(height, beam, diffuse, eighths):
    """Beam and diffuse under so many eighths, by the published rules of :mod:`solarlab.cloud`."""
    up = np.sin(np.radians(height))
    whole = (diffuse + beam * up) * cloud.global_fraction(eighths)
    left = beam * cloud.beam_fraction(eighths)
    return left, np.maximum(whole - left * up, 0.0)


def shadow_word(share: float) -> str:
    """What a shadow looks like where that ``share`` of the level light comes from the sun itself."""
    return "crisp" if share >= CRISP else "soft" if share >= SOFT else "none"


@lru_cache(maxsize=1)
def noon():
    """Two instants for a sky that stands still."""
    return instants(catalogue.place_at(0.0, 0.0, 0.0, "Etc/UTC"), "2026-03-21", "12:00", "12:05", 300.0)


@lru_cache(maxsize=4096)
def let_in(oven: str, height: float, beam: float, diffuse: float) -> tuple[float, float, float]:
    """Watts into an oven that is turned to the sun, watts soaked up by its glass, and its tilt [°]."""
    up = np.radians(height)
    sun = np.array([[0.0, -np.cos(up), np.sin(up)]] * 2)
    series = (np.full(2, value) for value in (beam, diffuse, AIR, 10.0, WIND, 1e5))
    made = Sky(noon(), sun, *series)
    got = gain(catalogue.oven(oven), made, Handling("12:00", reaim_every=5.0))
    return tuple(float(part[..., 0]) for part in (got.into_cavity, got.into_glazing, got.tilt))


def watts(oven: str, height: float, beam: float, diffuse: float) -> float:
    """Watts of light let in by an oven that is turned to the sun."""
    return let_in(oven, float(height), float(beam), float(diffuse))[0]


def settles(oven: str, height: float, beam: float, diffuse: float, cover: float = 0.0) -> float:
    """Where an empty oven settles [°C] under that light in air of 25 °C; ``cover``: 0 … 1, warms the sky."""
    cavity, glass, tilt = let_in(oven, float(height), float(beam), float(diffuse))
    return float(
        stagnation(
            catalogue.oven(oven), into_cavity=cavity, into_glazing=glass, air_temperature=AIR,
            sky_temperature=float(sky_temperature(AIR, cover)), wind_speed=WIND, tilt=tilt,
        ).cavity
    )  # fmt: skip


# --- pictures ---


def under_this_sky(height, haze, eighths, above_sea):
    """The first bench: what air, haze and cloud leave, and what two ovens make of it."""
    clear = tuple(float(part) for part in clear_light(height, haze, above_sea))
    now = tuple(float(part) for part in under_cloud(height, *clear, eighths))
    covered = "no cloud" if eighths == 0 else f"{eighths:g} eighths of cloud"
    title = f"Sun {height:g}° high, haze {haze:g}, {covered}"
    air = float(air_mass(height)) * float(station_pressure(above_sea)) / 101_325.0
    return light_picture(height, now, clear, title, f"air: {air:.1f} times overhead", eighths / 8.0)


def from_a_reading(height, reading, shade):
    """The third bench: beam and diffuse from a level meter in the open and in the shade of a hand."""
    diffuse = reading * shade / 100.0
    sent = (reading - diffuse) / np.sin(np.radians(height))
    beam = min(sent, ABOVE)  # a sum that asks more of the sun is told below, and drawn with all the sun has
    clear = tuple(float(part) for part in clear_light(height, 3.0))
    title = f"Your reading: {reading:g} W/m², in the shade {shade:g} % of it"
    cover = float(cloud.cover_of((diffuse + beam * np.sin(np.radians(height))) / sum_up(height, *clear)))
    note = "outline: clear, haze 3"
    if sent > ABOVE:
        note = "NOT POSSIBLE: check the unit"
        title += ", not possible: more than the sun sends; check unit and height"
    return light_picture(height, (beam, diffuse), clear, title, note, cover)


def sum_up(height, beam, diffuse) -> float:
    """Light on level ground: the diffuse, and the beam's part that falls there."""
    return float(diffuse + beam * np.sin(np.radians(height)))


def light_picture(height, now, clear, title, note, cover):
    """A post with its shadow, three lights, and the watts of two ovens; outlines are the clear sky's."""
    whole, best = sum_up(height, *now), sum_up(height, *clear)
    share = 1.0 - now[1] / max(whole, 1e-9)
    figure = figures.blank(9.0, 4.4)
    post(figure.add_axes((0.01, 0.24, 0.25, 0.64)), height, share)
    word = shadow_word(share)
    told = {"crisp": "a crisp shadow", "soft": "a soft shadow", "none": "as good as no shadow"}[word]
    figure.text(0.135, 0.17, f"{told}:\n{100 * share:.0f} % of the level light\nis missing in it\n{note}",
                ha="center", va="top", fontsize=9.5, linespacing=1.3)  # fmt: skip
    names = ("beam, facing\nthe sun", "diffuse,\nlevel", "both on\nthe level")
    top = figure.add_axes((0.40, 0.56, 0.55, 0.38))
    bars(top, names, (*now, whole), (*clear, best), "W/m²", 1400.0)
    low = figure.add_axes((0.40, 0.11, 0.55, 0.27))
    got, most = ([watts(oven, height, *light) for oven in OVENS] for light in (now, clear))
    warm = [both_units(settles(oven, height, *now, cover)) for oven in OVENS]
    room = max(960.0, 1.5 * max(got))  # for what stands beside the bars
    bars(low, OVENS, got, most, "W let in", room, [f" W, empty: {degrees}" for degrees in warm])
    rows = [
        (name.replace("\n", " "), f"{value:.0f} W/m²", f"{full:.0f} W/m²", "–")
        for name, value, full in zip(names, (*now, whole), (*clear, best), strict=True)
    ] + [
        (name, f"{value:.0f} W", f"{full:.0f} W", degrees)
        for name, value, full, degrees in zip(OVENS, got, most, warm, strict=True)
    ]
    alt = (
        f"{title}. Beam {now[0]:.0f} W/m² facing the sun, diffuse {now[1]:.0f}, both on the level "
        f"{whole:.0f} ({best:.0f} in a clear sky). Shadow: {word}; {100 * share:.0f} % of the level light is "
        f"missing in it. The bare box lets in {got[0]:.0f} W ({most[0]:.0f} in a clear sky), the "
        f"four-mirror box {got[1]:.0f} W ({most[1]:.0f}). Empty, in air of 25 °C (77 °F), the bare box would "
        f"settle at {warm[0]}, the four-mirror box at {warm[1]}."
    )
    columns = ["light", "now", "outline: clear sky", "empty, it settles at"]
    return figures.Picture(figure, alt, pd.DataFrame(rows, columns=columns), title)


def bars(axes, names, values, outlines, unit, most, more=("", "", "")):
    """Lying bars with their numbers written out (and ``more``), under the outline of a clear sky's."""
    figures.dress(axes, unit)
    axes.grid(axis="y", visible=False)
    for row, (value, outline) in enumerate(zip(values, outlines, strict=True)):
        filled = {"facecolor": figures.ORANGE, "edgecolor": figures.BLACK, "hatch": "//", "linewidth": 0.6}
        axes.barh(row, value, height=0.62, **filled)
        axes.barh(row, outline, height=0.62, facecolor="none", edgecolor=figures.BLACK, linewidth=1.8)
        said = f"{value:.0f}{more[row]}"
        axes.text(max(value, outline) + most / 90, row, said, va="center", fontsize=10)
    axes.set_yticks(range(len(names)), names, fontsize=9.5)
    axes.invert_yaxis()
    axes.set_xlim(0, most * 1.06)


def post(axes, height, share):
    """A post on the ground and its shadow, as dark as the light that is missing in it (as eyes see it)."""
    shade = (1.0 - share) ** (1 / 2.2)  # eyes and screens answer so to light; sRGB's exponent
    ground = np.array([0.93, 0.89, 0.80])
    axes.add_patch(Rectangle((0, 0), 10, 10, facecolor=ground, edgecolor=figures.BLACK))
    long = min(4.2 / np.tan(np.radians(max(height, 5.0))), 7.6)
    axes.add_patch(
        Polygon([(1.6, 2.0), (2.1, 2.0), (2.1 + long, 4.6), (1.6 + long, 4.6)], closed=True,
                facecolor=ground * shade, edgecolor="none")
    )  # fmt: skip
    axes.add_patch(Rectangle((1.6, 2.0), 0.5, 6.4, facecolor=figures.GREY, edgecolor=figures.BLACK))
    axes.text(5.0, 9.1, "a post and its shadow", ha="center", fontsize=9)
    axes.set_xlim(0, 10)
    axes.set_ylim(0, 10)
    axes.axis("off")

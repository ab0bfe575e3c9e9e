"""Lesson 06, what the sky lets through: its tables of air, haze, cloud and shadows."""

from __future__ import annotations

import numpy as np
import pandas as pd

from solarlab import catalogue, cloud
from solarlab.exercises import beside
from solarlab.table import Table

light = beside(__file__, "light")
yard = beside(__file__, "yard")
HEIGHT = 45.0  # °, of the sun in the tables of haze and shadows


def air_table() -> Table:
    """How much air the light comes through, and the beam that is left."""
    rows = []
    hazes = (2, 3, 4, 5, 6, 7)
    for height in (90, 80, 70, 60, 50, 45, 40, 30, 20, 15, 10, 5):
        beams = [f"{float(light.clear_light(height, float(haze))[0]):.0f}" for haze in hazes]
        level = light.sum_up(height, *light.clear_light(height, 4.0))
        rows.append((f"{height}°", f"{float(light.air_mass(height)):.1f} ×", *beams, f"{level:.0f}"))
    columns = ["height of the sun", "air, times overhead", *(f"beam, haze {haze}" for haze in hazes),
               "level light, haze 4"]  # fmt: skip
    return Table(pd.DataFrame(rows, columns=columns), "Clear sky by the sea, W/m²; the beam faces the sun")


def haze_table() -> Table:
    """What haze does to both lights and to two ovens, with the sun half-way up."""
    rows = []
    for haze in (2.0, 3.0, 4.0, 5.0, 6.0, 7.0, 8.0):
        beam, diffuse = (float(part) for part in light.clear_light(HEIGHT, haze))
        ovens = [f"{light.watts(oven, HEIGHT, beam, diffuse):.0f}" for oven in light.OVENS]
        level = light.sum_up(HEIGHT, beam, diffuse)
        rows.append((f"{haze:g}", f"{beam:.0f}", f"{diffuse:.0f}", f"{level:.0f}", *ovens))
    columns = ["haze", "beam", "diffuse", "level light", "bare box lets in (W)", "four-mirror box (W)"]
    return Table(pd.DataFrame(rows, columns=columns), "No cloud, sun 45° high, by the sea, W/m²")


def places_table() -> Table:
    """Haze numbers of cities over the year."""
    rows = []
    for city in ("La Paz", "Nairobi", "Madrid", "Delhi", "Mexico City", "Cairo", "Dakar", "Bamako"):
        place = catalogue.place(city)
        months = (yard.haze_of(place.latitude, place.longitude, month) for month in (1, 4, 7, 10))
        rows.append((city, *(f"{haze:.1f}" for haze in months)))
    columns = ["city", "January", "April", "July", "October"]
    return Table(pd.DataFrame(rows, columns=columns), "Haze numbers, means of many years")


def eighths_table() -> Table:
    """The published rule of level light, beside taking the cloud off."""
    rows = [
        (f"{n}", f"{1.0 - n / 8.0:.2f}", f"{float(cloud.global_fraction(n)):.3f}") for n in range(0, 9)
    ]
    columns = ["eighths covered", "what the Counter says", "level light, by the rule"]
    return Table(pd.DataFrame(rows, columns=columns), "Level light, of a cloudless sky's")


def shadow_table() -> Table:
    """What three shadows say, with the sun half-way up and haze 3."""
    clear = tuple(float(part) for part in light.clear_light(HEIGHT, 3.0))
    best = [light.watts(oven, HEIGHT, *clear) for oven in light.OVENS]
    names = {
        "crisp": ("dark, edge sharp", "cook"),
        "soft": ("pale, edge washed out", "cook, with the stove ready"),
        "none": ("no shadow", "the stove"),
    }
    rows = []
    for word, (looks, do) in names.items():
        ends = cloud.SHADOWS[word]
        cells = []
        for oven, most in zip(light.OVENS, best, strict=True):
            shares = []
            for of_beam in ends:
                of_level = np.interp(of_beam, *published())
                beam = clear[0] * of_beam
                whole = light.sum_up(HEIGHT, *clear) * float(of_level)
                rest = max(whole - beam * np.sin(np.radians(HEIGHT)), 0.0)
                shares.append(100.0 * light.watts(oven, HEIGHT, beam, rest) / most)
            cells.append(f"{shares[0]:.0f} to {shares[1]:.0f} %")
        rows.append((f"{word}: {looks}", f"{100 * ends[0]:.0f} to {100 * ends[1]:.0f} %", *cells, do))
    columns = ["shadow", "beam, of a clear sky's", "bare box", "four-mirror box", "what to do"]
    return Table(pd.DataFrame(rows, columns=columns), "What a shadow says: light let in, of a clear sky's")


def published() -> tuple[np.ndarray, np.ndarray]:
    """Beam (rising) and level light of the published skies from eight eighths to none."""
    eighths = np.linspace(8.0, 0.0, 401)
    return cloud.beam_fraction(eighths), cloud.global_fraction(eighths)

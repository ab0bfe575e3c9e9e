"""Lesson 04, catching it: aim, mirrors, drift and cloud, computed by solarlab; pictures and tables."""

from __future__ import annotations

from dataclasses import replace
from functools import lru_cache

import numpy as np
import pandas as pd

from solarlab import catalogue, figures
from solarlab.catalogue import Handling
from solarlab.dates import clock
from solarlab.dates import on_the_day as on_the_day
from solarlab.exercises import beside
from solarlab.oven import concentration, diffuse_factors, gain, optical_parts
from solarlab.sky import sky
from solarlab.sun import instants
from solarlab.table import Table

mirrors = beside(__file__, "mirrors")
OVENS = ("four-mirror box", "one-mirror box", "bare box", "school box", "cardboard box")
BOXES = ("bare box", "one-mirror box", "four-mirror box")
BEST = 5.0  # min between aims of somebody who never leaves the oven
DEGREES_PER_MINUTE = 0.25
GROUND = 0.2  # share of the light that grass and soil throw back


def on_meridian(latitude: float):
    """A place on whose clock noon is noon."""
    return catalogue.place_at(float(latitude), 0.0, 0.0, "Etc/UTC")


def light(place, date, oven, start, end, every, *, oktas=0.0, step=300.0):
    """Light into the oven [W] from ``start`` to ``end`` [min], aimed at ``start`` and then ``every`` min."""
    times = instants(place, date, clock(start), clock(end), step)
    hands = Handling(clock(start), reaim_every=every)
    return times, gain(catalogue.oven(oven), sky(place, times, oktas=oktas), hands).into_cavity


@lru_cache(maxsize=2048)
def lost(oven, minutes, start=600, date="2026-03-21", latitude=-1.0, span=None) -> float:
    """Share of the light [%] lost by aiming only every ``minutes`` (0: once) instead of all the time."""
    place = on_meridian(latitude)
    end = start + (span or minutes or 240)
    _, best = light(place, date, oven, start, end, BEST)
    _, mine = light(place, date, oven, start, end, float(minutes) or None)
    return 100.0 * (1.0 - float(mine[:-1].sum()) / float(best[:-1].sum()))


def hour_later() -> float:
    """Light [%] that the four-mirror box of the second bet has lost an hour after it was aimed at 11:00."""
    place = catalogue.place("Nairobi")
    _, left = light(place, "2026-03-21", "four-mirror box", 660, 725, None)
    _, aimed = light(place, "2026-03-21", "four-mirror box", 720, 725, BEST)
    return 100.0 * (1.0 - float(left[12]) / float(aimed[0]))


@lru_cache(maxsize=1)
def four_times() -> float:
    """Light on the glass of the four-mirror box facing the sun, over the same glass with no mirror."""
    return float(concentration(catalogue.oven("four-mirror box"), 0.0, 0.0))


# --- pictures ---


WAYS = {
    "direct": "straight in", "top": "top mirror", "bottom": "bottom mirror", "left": "left mirror",
    "right": "right mirror", "second bounce": "by two mirrors", "scattered": "scattered by the sheet",
}  # fmt: skip


def where_from(name="four-mirror box") -> Table:
    """By which ways light reaches a glass that faces the sun, over what the bare glass would get."""
    ways = optical_parts(catalogue.oven(name), 0.0, 0.0)
    rows = [(WAYS[way], f"{float(share):.2f}") for way, share in ways.items() if share > 0.004]
    rows.append(("together", f"{sum(float(share) for share in ways.values()):.2f}"))
    columns = ["light that came", "times the bare glass"]
    return Table(pd.DataFrame(rows, columns=columns), f"{name.capitalize()}, facing the sun")


def left_alone(oven, month, latitude, start, every):
    """The second bench: four hours, turned as set and turned all the time."""
    place, date = on_meridian(latitude), f"2026-{month:02d}-21"
    times, best = light(place, date, oven, start, start + 240, BEST)
    _, mine = light(place, date, oven, start, start + 240, every)
    if best.max() < 1.0:
        raise ValueError("The sun is not up in these hours: try another month, latitude or hour.")
    gone = 100.0 * (1.0 - float(mine[:-1].sum()) / float(best[:-1].sum()))
    how = "aimed once" if every is None else f"aimed every {every:g} min"
    curves = {"as set": mine, "turned all the time": best}
    title = f"{oven.capitalize()}, {how}: {gone:.0f} % of four hours' light lost"
    return figures.powers(times.local, curves, title=title)


# --- tables ---


def drift_table() -> Table:
    """What each box still catches with the sun off to the side."""
    rows = []
    for degrees in (0, 5, 10, 15, 20, 25, 30):
        cells = [f"{kept(name, degrees):.0f} %" for name in BOXES]
        rows.append((f"{degrees}°", f"{degrees * 4} min", *cells))
    columns = ["sun off by", "that is after", *BOXES]
    return Table(pd.DataFrame(rows, columns=columns), "Light on the glass, of what it gets when aimed")


@lru_cache(maxsize=2048)
def kept(name: str, degrees: float) -> float:
    """Light [%] on an oven's glass with the sun ``degrees`` to the side, of what it gets when aimed."""
    made = catalogue.oven(name)
    both_sides = [float(concentration(made, side * degrees, 0.0)) for side in (1, -1)]
    return 100.0 * sum(both_sides) / 2.0 / float(concentration(made, 0.0, 0.0))


def cost_table(latitude: float = 40.0) -> Table:
    """What 10, 30 and 60 minutes without turning cost, by season and hour."""
    rows = []
    for words, date in (("21 June", "2026-06-21"), ("21 March", "2026-03-21"), ("21 December", "2026-12-21")):
        for start in (540, 690):
            cells = [
                f"{lost(name, minutes, start, date, latitude, 120):.0f} %"
                for name in ("one-mirror box", "four-mirror box")
                for minutes in (10, 30, 60)
            ]
            rows.append((f"{words}, from {clock(start)}", *cells))
    columns = ["two hours", *(f"{b}, {m} min" for b in ("one mirror", "four") for m in (10, 30, 60))]
    return Table(
        pd.DataFrame(rows, columns=columns), f"Light lost by turning only now and then, {latitude:g}°"
    )


def glass_table() -> Table:
    """What a pane lets through, by the angle at which light meets it."""
    from solarlab.oven import glazing_transmittance

    rows = []
    for degrees in (0, 20, 40, 50, 60, 70, 80):
        shares = [100.0 * float(glazing_transmittance(catalogue.oven(n), float(degrees))[0])
                  for n in ("four-mirror box", "bare box")]  # fmt: skip
        cosine = 100.0 * np.cos(np.radians(degrees))
        rows.append((f"{degrees}°", f"{cosine:.0f} %", *(f"{s:.0f} %" for s in shares)))
    columns = ["light meets the glass at", "of the beam falls on it", "one pane lets through", "two panes"]
    return Table(pd.DataFrame(rows, columns=columns), "Slanting light")


def flare_table(count: str = "four") -> Table:
    """Light by flare and length: every length has its own best flare."""
    flares, lengths = range(10, 51, 5), (0.5, 1.0, 1.5, 2.0)
    rows = [
        (f"{flare}°", *(f"{mirrors.light_on_glass(count, length, flare):.2f}" for length in lengths))
        for flare in flares
    ]
    columns = ["flare", *(f"length {length:g} ×" for length in lengths)]
    return Table(pd.DataFrame(rows, columns=columns), f"Times the bare glass, {count} mirrors, aimed")


@lru_cache(maxsize=256)
def cloud_watts(oktas: float, mirrored: bool = True, name: str = "four-mirror box") -> float:
    """Light into an oven [W] that is kept aimed over the noon hour in Nairobi, its mirrors on or off."""
    made = catalogue.oven(name)
    made = made if mirrored else replace(made, reflectors=())
    here = catalogue.place("Nairobi")
    above = sky(here, instants(here, "2026-03-21", "12:00", "13:00", 300.0), oktas=oktas)
    return float(gain(made, above, Handling("12:00", reaim_every=BEST)).into_cavity.mean())


def cloud_table() -> Table:
    """What is left of the mirrors' gain under cloud."""
    rows = []
    for oktas in (0.0, 3.0, 5.0, 6.0, 7.0, 8.0):
        on, off = cloud_watts(oktas), cloud_watts(oktas, False)
        rows.append((f"{oktas:g}", f"{on:.0f}", f"{off:.0f}", f"{on / off:.2f} ×"))
    columns = ["cloud, eighths", "let in (W)", "mirrors taken off (W)", "the mirrors' worth"]
    return Table(pd.DataFrame(rows, columns=columns), "Four-mirror box at noon, Nairobi, 21 March")


@lru_cache(maxsize=4096)
def grey_light(name: str, tilt: float, meter: float) -> float:
    """Watts on an oven's glass under an even grey sky of which a level meter reads ``meter`` W/m²."""
    made = catalogue.oven(name)
    from_sky, from_ground = diffuse_factors(made, float(tilt))
    area = made.aperture_width * made.aperture_length
    return float((from_sky + GROUND * from_ground) * meter * area)


@lru_cache(maxsize=1024)
def sun_height(place: str, date: str, minutes: int) -> float:
    """The sun's height above the horizon [°]."""
    here = catalogue.place(place)
    times = instants(here, date, clock(minutes), clock(minutes + 10), 300.0)
    return float(np.degrees(np.arcsin(sky(here, times).sun_vector[0, 2])))


def tilt_table() -> Table:
    """The tilt that faces the sun, hour by hour, beside the latitude."""
    rows = []
    for minutes in range(480, 961, 60):
        cells = [f"{90.0 - sun_height('Madrid', d, minutes):.0f}°" for d in ("2026-06-21", "2026-12-21")]
        rows.append((clock(minutes), *cells))
    columns = ["clock", "21 June", "21 December"]
    return Table(pd.DataFrame(rows, columns=columns), "Madrid (latitude 40°): the tilt that faces the sun")

"""Invented logs: what a logger would have written beside an invented oven, from the model and a seed.

``python -m tests._logs`` writes the three files of ``data/logs`` again.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np
import pandas as pd

from solarlab._scenario import nothing
from solarlab.catalogue import Handling, Oven, Place, Pot, food, oven, place, portion, pot
from solarlab.food import body
from solarlab.heat import warm
from solarlab.oven import gain
from solarlab.sky import daily_temperature, instants, sky, sky_from_log
from solarlab.sun import Instants
from solarlab.trial.light import light_facing
from solarlab.trial.logger import Log

LOSS, LIGHT = 1.4, 0.88  # the truth of the invented oven, as factors on the catalogue's
WATER = 2.6
HANDLING = Handling(loaded="09:00", reaim_every=20.0)
SEED = 5


@dataclass(frozen=True)
class Noise:
    """Standard deviations of what readings are off by, and for how many minutes errors hold on."""

    sensor: float = 0.2  # K, each reading on its own
    drift: float = 0.3  # K, slowly
    drift_minutes: float = 10.0
    light: float = 0.015  # of the reading, slowly
    light_minutes: float = 10.0
    wind: float = 0.2  # m/s


USUAL = Noise()
NONE = Noise(0.0, 0.0, 10.0, 0.0, 10.0, 0.0)


def slow(generator, count: int, step: float, minutes: float) -> np.ndarray:
    """Unit noise that holds on for about ``minutes``."""
    keep = np.exp(-step / 60.0 / minutes)
    white = generator.standard_normal(count)
    found = white.copy()
    for i in range(1, count):
        found[i] = keep * found[i - 1] + np.sqrt(1.0 - keep**2) * white[i]
    return found


@dataclass(frozen=True, eq=False)
class Day:
    """Readings ``(T,)``: °C, W/m² on level ground and facing the sun, m/s."""

    times: Instants
    water: np.ndarray
    cavity: np.ndarray
    air: np.ndarray
    level: np.ndarray
    facing: np.ndarray
    wind: np.ndarray

    def log(self, name="invented", plane="level") -> Log:
        channels = {"water": self.water, "cavity": self.cavity, "air": self.air}
        light = self.level if plane == "level" else self.facing
        return Log(name, self.times, channels, {c: (c,) for c in channels}, light, plane, self.wind)


def day(generator, box: Oven, where: Place, date: str, vessel: Pot | None, water: float, handling=HANDLING, *,
        loss=1.0, light=1.0, start="08:30", end="17:30", step=60.0, low=20.0, high=31.0, cool=24.0,
        noise: Noise = USUAL) -> Day:  # fmt: skip
    """One day of ``box`` with its wall conductance times ``loss`` and its light times ``light``."""
    times = instants(where, date, start, end, step)
    count = times.shape[-1]
    air = daily_temperature(where, times, low, high) + 0.3 * slow(generator, count, step, 20.0)
    wind = np.clip(0.6 + 0.2 * slow(generator, count, step, 8.0), 0.05, None)
    clear = sky(where, times, oktas=1.0)
    real = np.maximum(clear.global_horizontal * (1.0 + 0.01 * slow(generator, count, step, 15.0)), 0.0)
    seen = sky_from_log(where, times, global_horizontal=real, air_temperature=air, wind_speed=wind)
    into = gain(box, seen, handling)
    into = replace(into, into_cavity=into.into_cavity * light, into_glazing=into.into_glazing * light)
    true = replace(box, wall_conductance=box.wall_conductance * loss)
    dish = nothing(air[0])
    if water:
        dish = body(portion(food("water"), mass=water, initial_temperature=cool), vessel)
    run = warm(true, vessel if water else None, dish, into, seen, handling)

    def read(truth):
        off = noise.drift * slow(generator, count, step, noise.drift_minutes)
        return truth + off + noise.sensor * generator.standard_normal(count)

    shine = 1.0 + noise.light * slow(generator, count, step, noise.light_minutes)
    gusts = np.clip(wind + noise.wind * generator.standard_normal(count), 0.0, None)
    return Day(
        times, read(run.liquid), read(run.cavity), read(air), real * shine, light_facing(seen) * shine, gusts
    )


def invented() -> dict[str, str]:
    """The three files of ``data/logs``, by name: one box, three days, three sorts of logger."""
    generator = np.random.default_rng(SEED)
    box, where, vessel = oven("one-mirror box"), place("Bamako"), pot("dark enamelled steel")
    truth = {"loss": LOSS, "light": LIGHT}
    one, two, three = (
        day(generator, box, where, f"2026-02-{date}", vessel, WATER, step=step, cool=cool, **truth)
        for date, step, cool in ((10, 60.0, 24.0), (11, 60.0, 25.5), (13, 120.0, 23.0))
    )
    both = [one.water + 0.3 * generator.standard_normal(one.water.size) for _ in range(2)]
    return {
        "invented-day-1.csv": _first(one, both),
        "invented-day-2.csv": _second(two),
        "invented-day-3.csv": _third(three, generator),
    }


def _head(day: Day, sign: str, more: str = "") -> str:
    return (
        "# INVENTED for the course: nobody measured this; made by tests/_logs.py\n"
        f"# A box with one mirror near Bamako{sign} {WATER:g} kg of water loaded at 09:00{sign} "
        f"aimed every 20 min.{more}\n"
    )


def _first(day: Day, pots) -> str:
    """Commas, ISO stamps, °C, two channels in the water; a gap, a loose wire and a torn line."""
    lines = [
        "Time,Pot left (°C),Pot right (°C),Oven air (°C),Outside air (°C),Light facing sun (W/m²),Wind (m/s)"
    ]
    for i, now in enumerate(day.times.local):
        if 200 <= i < 211:
            continue
        right = "" if 300 <= i < 325 else f"{pots[1][i]:.1f}"
        left = 190.0 if i == 260 else pots[0][i]
        cells = [f"{now:%Y-%m-%d %H:%M:%S}", f"{left:.1f}", right, f"{day.cavity[i]:.1f}"]
        cells += [f"{day.air[i]:.1f}", f"{day.facing[i]:.0f}", f"{day.wind[i]:.2f}"]
        lines.append(",".join(cells[:4] if i == 400 else cells))
    return _head(day, ";") + "\n".join(lines) + "\n"


def _second(day: Day) -> str:
    """Semicolons, decimal commas, day/month, °F; the clock gains six minutes between 08:31 and 17:30."""
    lines = [
        "Date and time;Water (°F);Box inside (°F);Shade (°F);Solar irradiance, facing (W/m²);Wind (km/h)"
    ]
    begin = day.times.local[0] + pd.Timedelta(minutes=1)
    for i, now in enumerate(day.times.local):
        said = begin + (now - begin) * (545.0 / 539.0)
        numbers = [f"{v[i] * 1.8 + 32.0:.1f}" for v in (day.water, day.cavity, day.air)]
        numbers += [f"{day.facing[i]:.1f}", f"{day.wind[i] * 3.6:.1f}"]
        lines.append(";".join([f"{said:%d/%m/%Y %H:%M:%S}", *(n.replace(".", ",") for n in numbers)]))
    told = " Its clock said 08:31 at 08:31 and 17:36 at 17:30."
    return _head(day, ",", told) + "\n".join(lines) + "\n"


def _third(day: Day, generator) -> str:
    """Tabs, a date and a twelve-hour clock that wanders, °C, light on level ground, no wind."""
    lines = ["Date\tTime\tT1 water (C)\tT2 ambient (C)\tGHI W/m2\tBattery V"]
    for i, now in enumerate(day.times.local):
        said = now + pd.Timedelta(seconds=int(generator.integers(-4, 5)))
        numbers = f"{day.water[i]:.1f}\t{day.air[i]:.1f}\t{day.level[i]:.0f}\t3.9"
        lines.append(f"{said:%m/%d/%y}\t{said:%I:%M:%S %p}\t{numbers}")
    return _head(day, ",") + "\n".join(lines) + "\n"


if __name__ == "__main__":
    folder = Path(__file__).resolve().parent.parent / "data" / "logs"
    folder.mkdir(exist_ok=True)
    for name, text in invented().items():
        (folder / name).write_text(text, "utf-8", newline="\n")
        print(name, len(text))

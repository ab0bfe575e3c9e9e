"""Lesson 02, the warm box: an empty oven in a steady sun, computed by solarlab; its pictures and tables."""

from __future__ import annotations

from dataclasses import replace
from functools import lru_cache

import numpy as np
import pandas as pd

from solarlab import catalogue, figures, heat
from solarlab.catalogue import Handling, Oven
from solarlab.dates import clock as clock
from solarlab.oven import Gain, gain
from solarlab.sky import Sky, sky, sky_temperature
from solarlab.sun import Instants, instants
from solarlab.table import Table

OVENS = ("bare box", "one-mirror box", "four-mirror box", "cardboard box", "school box")
BEGIN = np.datetime64("2026-03-21T09:00", "ns")  # the clock of a run, on which nothing depends
TILT = 20.0  # °, of the glass
OPEN_STEP = 10.0  # s between the instants of a run in which the lid is opened
AIR, WIND = 25.0, 1.5  # °C, m/s
AIR_HEAT, AIR_GAS = 1006.0, 287.05  # J/(kg K), of dry air
BET = {"air": 15.0, "hot": 35.0}  # °C, the two days of the first bet
CHANGES = {  # of the second bet, to a bare box with a single pane
    "wool": {"wool": 2.0},
    "pane": {"panes": 2},
    "calm": {"wind": 1.0},
    "hot": {"air": AIR + 10.0},
}
START = {"oven": "bare box", "panes": 1, "wind": 3.0, "air": AIR}
WORDS = {
    "wool": "twice the wool in the walls",
    "pane": "a second pane",
    "calm": "a hedge: wind 1 m/s instead of 3",
    "hot": "air ten degrees C warmer",
}


def both(celsius: float) -> str:
    """A temperature in both scales."""
    return f"{round(celsius)} °C ({round(celsius * 1.8 + 32.0)} °F)".replace("-", "−")


def box(name: str, *, panes: int | None = None, wool: float = 1.0) -> Oven:
    """An oven of the catalogue with so many panes, and ``wool`` times the insulation in its walls."""
    made = catalogue.oven(name)
    sheets = made.glazing_sheets if panes is None else int(panes)
    return replace(made, glazing_sheets=sheets, wall_conductance=made.wall_conductance / float(wool))


@lru_cache(maxsize=64)
def clear_noon(name: str, panes: int | None = None) -> tuple[float, float]:
    """Light [W] into cavity and glass at a clear noon (Nairobi, 21 March), aimed at the sun."""
    here = catalogue.place("Nairobi")
    times = instants(here, "2026-03-21", "12:00", "13:00", 600)
    light = gain(box(name, panes=panes), sky(here, times), Handling("12:00", reaim_every=10.0))
    return float(light.into_cavity.mean()), float(light.into_glazing.mean())


@lru_cache(maxsize=4096)
def settled(oven="bare box", *, sun=1.0, air=AIR, wind=WIND, wool=1.0, panes=None) -> heat.Stagnation:
    """Where the empty box settles with ``sun`` times the light of a clear noon."""
    cavity, glass = clear_noon(oven, panes)
    return heat.stagnation(
        box(oven, panes=panes, wool=wool), into_cavity=sun * cavity, into_glazing=sun * glass,
        air_temperature=float(air), wind_speed=float(wind), tilt=TILT,
    )  # fmt: skip


def settles(oven="bare box", **kind) -> float:
    """The cavity of `settled` [°C]."""
    return float(settled(oven, **kind).cavity)


def warm_up(
    made: Oven, light, *, sun=1.0, air=AIR, wind=WIND, hours=3.0, step=60.0, openings=(), seconds=30.0
) -> heat.Warming:
    """The empty box from cold, in a steady sun; the lid opened at ``openings`` [min after the start]."""
    count = round(hours * 3600.0 / step) + 1
    times = Instants(BEGIN + np.arange(count) * np.timedelta64(round(step), "s"), "UTC")
    none, one = np.zeros(count), np.ones(count)
    above = Sky(
        times, np.zeros((count, 3)), none, none, air * one, float(sky_temperature(air)) * one, wind * one,
        101325.0 * one,
    )  # fmt: skip
    steady = Gain(sun * light[0] * one, sun * light[1] * one, TILT * one, np.zeros((count, 3)))
    hands = Handling(
        loaded="09:00", lid_openings=tuple(float(m) for m in openings), opening_seconds=float(seconds)
    )
    return heat.warm(made, None, heat.nothing(air), steady, above, hands)


def run(oven="bare box", *, panes=None, wool=1.0, **kind) -> heat.Warming:
    """`warm_up` of an oven of the catalogue."""
    return warm_up(box(oven, panes=panes, wool=wool), clear_noon(oven, panes), **kind)


# --- pictures ---


def picture(warming: heat.Warming, air: float, title: str):
    """Oven, panes and air while the box warms up."""
    curves = {"oven": warming.cavity, "inner pane": warming.inner_glazing}
    if not np.array_equal(warming.inner_glazing, warming.outer_glazing):
        curves["outer pane"] = warming.outer_glazing
    else:
        curves = {"oven": warming.cavity, "glass": warming.inner_glazing}
    local = warming.times.local
    curves["air outside"] = np.full(len(local), float(air))
    return figures.temperatures(local, curves, title=title)


def warm_bench(oven, sun, air, wind, wool, panes, opened):
    """The first bench: a box set out at nine, in a steady sun."""
    kind = {"sun": sun / 100.0, "air": float(air), "wind": float(wind)}
    warming = run(oven, wool=wool, panes=panes, openings=(120.0,) if opened else (), seconds=60.0, **kind)
    end = settles(oven, wool=wool, panes=panes, **kind)
    return picture(warming, air, f"{oven.capitalize()}: it would settle at {both(end)}")


ENDS = {
    "wind": "wind, off the glass",
    "sky": "glow of the glass to the sky",
    "walls": "through the walls",
    "venting": "leaks of hot air",
    "lid_openings": "through the open lid",
    "stored": "still in the box",
}


def ledger_bench(oven, sun, air, wind, wool, panes, looks):
    """The second bench: where the sunlight of one hour went, in a box that has settled."""
    openings = [180.0 + 60.0 * (n + 0.5) / looks for n in range(int(looks))]
    warming = run(
        oven, wool=wool, panes=panes, sun=sun / 100.0, air=float(air), wind=float(wind), hours=4.0,
        openings=openings,
    )  # fmt: skip
    first = 180
    rows = {name: getattr(warming.ledger, name) for name in ("absorbed", *ENDS)}
    hour = {name: float(values[-1] - values[first]) for name, values in rows.items()}
    ends = {words: hour[name] for name, words in ENDS.items() if abs(hour[name]) > 0.002 * hour["absorbed"]}
    title = f"{oven.capitalize()}: where the sunlight of one hour went"
    return figures.ledger(hour["absorbed"], ends, title=title)


def first_run():
    """The bare box on a cool day."""
    air = BET["air"]
    end = settles(air=air)
    return picture(run(air=air), air, f"Bare box, air at {both(air)}: it settles at {both(end)}")


def biggest_change() -> str:
    """Which of `CHANGES` warms the box of the second bet most."""
    return max(CHANGES, key=lambda name: settles(**(START | CHANGES[name])))


# --- tables ---


def changes_table() -> Table:
    """What each change does to where the box settles."""
    plain = settles(**START)
    rows = [("nothing: bare box, one pane, wind 3 m/s", both(plain), "")]
    for name, change in CHANGES.items():
        end = settles(**(START | change))
        more = round(end) - round(plain)  # of the readings as they stand in the table
        more_f = round(1.8 * end + 32.0) - round(1.8 * plain + 32.0)
        rows.append((WORDS[name], both(end), f"+{more} °C (+{more_f} °F)"))
    columns = ["what is changed", "the box settles at", "change"]
    return Table(pd.DataFrame(rows, columns=columns), "One change at a time")


@lru_cache(maxsize=256)
def balance(oven="bare box", *, air=AIR, wind=WIND, wool=1.0, panes=None) -> tuple[np.ndarray, ...]:
    """Temperatures of the box [°C] and what it then loses through walls, and through glass and leaks [W].

    Losses are those of a settled box, from weak sun to strong; light is what the cavity absorbs.
    """
    made, light = box(oven, panes=panes, wool=wool), clear_noon(oven, panes)
    strengths = np.linspace(0.05, 2.0, 40)
    none = heat.stagnation(
        made, into_cavity=strengths * light[0], into_glazing=strengths * light[1],
        air_temperature=np.full(40, float(air)), wind_speed=np.full(40, float(wind)), tilt=np.full(40, TILT),
    )  # fmt: skip
    walls = float(made.wall_conductance) * float(made.wall_area) * (none.cavity - air)
    absorbed = strengths * absorbed_share(oven, panes) * light[0]
    return none.cavity, walls, absorbed - walls


@lru_cache(maxsize=64)
def absorbed_share(oven: str, panes: int | None) -> float:
    """Share of the light that came in which the cavity keeps, from the energy ledger of a run."""
    light = clear_noon(oven, panes)
    ledger = run(oven, panes=panes, hours=0.5).ledger
    power = (ledger.absorbed[-1] - ledger.absorbed[0]) / (0.5 * 3600.0)
    return float((power - light[1]) / light[0])


def losses_at(celsius: float, oven="bare box", **kind) -> tuple[float, float]:
    """What leaves [W] through the walls, and through glass and leaks, with the box at ``celsius``."""
    temperatures, walls, rest = balance(oven, **kind)
    return float(np.interp(celsius, temperatures, walls)), float(np.interp(celsius, temperatures, rest))


def balance_table(low: int, high: int, oven="bare box", every: int = 10, **kind) -> Table:
    """What a box loses, by its temperature."""
    rows = []
    for c in range(int(low), int(high) + 1, every):
        walls, rest = losses_at(c, oven, **kind)
        rows.append((both(c), f"{walls:.0f}", f"{rest:.0f}", f"{walls + rest:.0f}"))
    columns = ["box at", "through the walls (W)", "up through the glass, and leaks (W)", "in all (W)"]
    return Table(pd.DataFrame(rows, columns=columns), f"What a {oven} loses")


def kept_light(oven="bare box", sun=1.0, panes=None) -> float:
    """Sunlight the cavity keeps [W]."""
    return sun * absorbed_share(oven, panes) * clear_noon(oven, panes)[0]


def wool_table(oven="bare box") -> Table:
    """Where a box settles with more and more wool."""
    plain = settles(oven) - AIR
    rows = []
    for times in (0.5, 1.0, 2.0, 4.0, 1000.0):
        rise = settles(oven, wool=times) - AIR
        name = "walls that lose nothing" if times > 100 else f"{times:g} × the wool"
        rows.append((name, both(AIR + rise), f"{rise / plain:.2f} ×"))
    return Table(pd.DataFrame(rows, columns=["walls", "it settles at", "rise"]), f"More wool: {oven}")


@lru_cache(maxsize=512)
def opened(
    oven="bare box", *, seconds=60.0, air=AIR, wind=WIND, sun=1.0
) -> tuple[float, float, float, float]:
    """One opening of a settled box: °C before, °C lost, W lost in its first ten seconds, J in its air."""
    made = box(oven)
    warming = warm_up(
        made, clear_noon(oven), sun=sun, air=air, wind=wind, hours=3.2, step=OPEN_STEP, openings=(180.0,),
        seconds=seconds,
    )  # fmt: skip
    first = round(180 * 60 / OPEN_STEP)
    before = float(warming.cavity[first])
    lowest = float(warming.cavity[first : first + round(seconds / OPEN_STEP) + 2].min())
    lost = warming.ledger
    watts = sum(
        np.diff(values[first : first + 2])[0] / OPEN_STEP for values in (lost.lid_openings, lost.venting)
    )
    density = 101325.0 / (AIR_GAS * (before + 273.15))
    volume = made.aperture_width * made.aperture_length * made.cavity_depth
    return before, before - lowest, float(watts), density * volume * AIR_HEAT * (before - air)


def lid_table() -> Table:
    """What one opening costs, and what the air alone would cost."""
    rows = []
    for name in ("bare box", "four-mirror box", "school box"):
        before, drop, watts, air = opened(name)
        only = air / float(catalogue.oven(name).cavity_heat_capacity)
        rows.append(
            (name, both(before), f"{watts:.0f}", f"{drop:.0f} °C ({1.8 * drop:.0f} °F)", f"{only:.0f} °C")
        )
    columns = ["box", "before", "loses while open (W)", "drop in 60 seconds", "if only the air were lost"]
    return Table(pd.DataFrame(rows, columns=columns), "One look under the lid, sixty seconds")


@lru_cache(maxsize=512)
def curve(oven="bare box", *, sun=1.0, air=AIR, wind=WIND, wool=1.0) -> tuple[np.ndarray, np.ndarray, float]:
    """Minutes, temperatures and the last temperature of a warm-up from cold."""
    warming = run(oven, sun=sun, air=air, wind=wind, wool=wool, hours=6.0)
    end = settles(oven, sun=sun, air=air, wind=wind, wool=wool)
    return np.arange(len(warming.cavity)) * 1.0, warming.cavity, end


def minutes_to_share(share: float, air: float, oven="bare box", **kind) -> float:
    """Minutes until a warming box has made ``share`` of its whole rise."""
    minutes, temperatures, end = curve(oven, air=air, **kind)
    return float(np.interp(air + share * (end - air), temperatures, minutes))


def curve_table(oven="bare box", every: int = 5, until: int = 90, **kind) -> Table:
    """A warm-up, as a logger would write it down."""
    minutes, temperatures, end = curve(oven, **kind)
    rows = [(f"{m:.0f}", both(temperatures[int(m)])) for m in minutes[: until + 1 : every]]
    rows.append(("in the end", both(end)))
    return Table(pd.DataFrame(rows, columns=["minutes", "oven"]), f"A warm-up: {oven}")


def share_table() -> Table:
    """The share of the rise after so many time constants, in the model's own curve."""
    tau = minutes_to_share(1 - np.exp(-1), AIR)
    minutes, temperatures, end = curve()
    rows = []
    for count in (1, 2, 3, 5):
        made = (float(np.interp(count * tau, minutes, temperatures)) - AIR) / (end - AIR)
        rows.append(
            (f"{count} × {tau:.0f} min", f"{100 * made:.0f} %", f"{100 * (1 - np.exp(-count)):.0f} %")
        )
    columns = ["after", "of the rise: our bare box", "of the rise: the simple law"]
    return Table(pd.DataFrame(rows, columns=columns), "Time constants")

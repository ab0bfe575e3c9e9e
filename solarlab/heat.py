"""Heat: a lumped oven, a pot and a food through a day of sun.  Knows nothing of dates or of where watts come
from.

``warm`` marches the network of ``_network`` with the integrator of ``_march``.  Energy closes: what was
absorbed is stored or lost, and the ledger is returned with every run.

Validity: cavity −20 to 250 °C, boxes of 0.05–2 m² aperture.  One cavity temperature (no hot and cold
corners), one temperature of the pot; crusts are not dried out: a wet food's outer shell stays at the boiling
point.  Wind is felt by the glazing alone.  Thin air convects less in the gaps; the convection on pot and food
is sea level's, which makes a dish up to 1.5 % early at 1,800 m (measured).
"""

from __future__ import annotations

import os
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass

import numpy as np
from scipy.optimize import brentq

from . import _states as states
from ._limits import within
from ._scenario import gather, nothing, problem, scenarios
from .catalogue import Handling, Oven, Pot
from .food import Body
from .oven import Gain
from .sky import Sky
from .sky import sky_temperature as clear_sky_temperature
from .sun import Instants

BLOCK = 64, 256  # scenarios a worker takes at a time: at least, at most


@dataclass(frozen=True)
class Ledger:
    """Where the energy went, J since the oven was put in the sun; each ``(..., T)``.

    ``absorbed`` in glazing, cavity, pot and food = ``stored`` + ``wind`` (glazing to air) + ``sky`` (glazing
    to sky and ground) + ``walls`` + ``venting`` (leaked air, vapour, run-off) + ``lid_openings``.
    """

    absorbed: np.ndarray
    stored: np.ndarray
    wind: np.ndarray
    sky: np.ndarray
    walls: np.ndarray
    venting: np.ndarray
    lid_openings: np.ndarray

    @property
    def lost(self) -> np.ndarray:
        return self.wind + self.sky + self.walls + self.venting + self.lid_openings

    @property
    def residual(self) -> np.ndarray:
        """What does not close, as a fraction of the energy that moved by the end; ``(...)``."""
        moved = self.absorbed[..., -1] + np.abs(self.lost[..., -1]) + np.abs(self.stored[..., -1])
        gap = self.absorbed[..., -1] - self.stored[..., -1] - self.lost[..., -1]
        return np.abs(gap) / np.maximum(moved, 1.0)


@dataclass(frozen=True)
class Warming:
    """Temperatures [°C], water [kg], energy through the day, all ``(..., T)``; ``shells`` ``(..., T, n)``.

    ``core`` is the middle of a solid food or the stirred liquid; ``coldest`` the coldest point of the food,
    which safety judges.  Before ``loaded`` (an index into the times, ``(...)``) the food is as it came.
    """

    times: Instants
    loaded: np.ndarray
    inner_glazing: np.ndarray
    outer_glazing: np.ndarray
    cavity: np.ndarray
    pot: np.ndarray
    liquid: np.ndarray
    water: np.ndarray
    film: np.ndarray
    moisture_lost: np.ndarray
    shells: np.ndarray
    core: np.ndarray
    coldest: np.ndarray
    boiling_point: np.ndarray
    ledger: Ledger
    steps: np.ndarray


def warm(oven: Oven, pot: Pot | None, body: Body, gain: Gain, sky: Sky, handling: Handling) -> Warming:
    """Temperatures of oven, pot and food through the sky's times, with the energy ledger.

    Scenarios broadcast: any of the arguments may carry leading axes.  ``pot=None`` lays the food on the tray.
    An integration that does not converge is an ``ArithmeticError``.
    """
    shape = scenarios(oven, pot, body, gain, sky, handling)
    return gather(warm_blocks(oven, pot, body, gain, sky, handling, lambda warming, _: warming), shape)


def warm_blocks(oven, pot, body, gain, sky, handling, then) -> list:
    """``then(warming, numbers)`` of every block of scenarios, laid flat; ``numbers`` is the block's slice.

    A block's shells are forgotten once ``then`` has read them, so memory grows with what ``then`` returns.
    """
    from ._march import march_all  # compiled; see _states

    shape = scenarios(oven, pot, body, gain, sky, handling)
    q = problem(oven, pot, body, gain, sky, handling, shape)
    solid = np.broadcast_to(np.asarray(body.pieces) > 0, shape).reshape(-1)
    length, layers = q.rows[0].shape[1], q.mass.shape[1]
    workers = os.cpu_count() or 1
    # Large blocks share the cost of reading them; but every worker shall have some, and none the last alone.
    size = min(max(len(q.parameters) // (4 * workers), BLOCK[0]), BLOCK[1])

    def block(begin: int):
        s = slice(begin, begin + size)
        count = len(q.parameters[s])
        nodes, shells = np.empty((count, length, 8)), np.empty((count, length, layers))
        ledger, steps = np.empty((count, length, 9)), np.empty(count, dtype=np.int64)
        march_all(
            q.parameters[s], q.forcing(s), q.step, q.first[s], q.load[s],
            q.mass[s], q.inner[s], q.outer[s], q.material[s], q.grid, q.width, q.tables,
            q.solid, q.start[s], nodes, shells, ledger, steps,
        )  # fmt: skip
        if np.any(steps < 0):
            raise ArithmeticError("the heat balance did not converge; check the numbers of oven and food")
        one_sheet = oven.glazing_sheets < 2
        state = dict(zip(states.STATES, np.moveaxis(nodes, -1, 0), strict=True))
        is_solid = solid[s, None]
        warming = Warming(
            times=sky.times,
            loaded=q.load[s],
            inner_glazing=state["inner_glazing"],
            outer_glazing=state["inner_glazing" if one_sheet else "outer_glazing"],
            cavity=state["cavity"],
            pot=state["pot"],
            liquid=state["liquid"],
            water=state["water"],
            film=state["film"],
            moisture_lost=ledger[..., states.MOISTURE - states.ABSORBED],
            shells=shells,
            core=np.where(is_solid, shells[..., 0], state["liquid"]),
            coldest=np.where(is_solid, shells.min(axis=-1), state["liquid"]),
            boiling_point=q.parameters["boiling_point"][s, 1],
            ledger=Ledger(**_ledger(q.parameters[s, 1], state, ledger)),
            steps=steps,
        )
        return then(warming, s)

    begins = range(0, len(q.parameters), size)
    if len(begins) == 1:
        return [block(0)]
    with ThreadPoolExecutor(workers) as pool:  # the compiled march lets go of the interpreter lock
        return list(pool.map(block, begins))


def _ledger(p, state, ledger) -> dict[str, np.ndarray]:
    """Cumulative rows and the stored energy, from the states: each ``(N, T)`` J."""
    c = {name: p[name][:, None] for name in p.dtype.names}
    steam = states.VAPOUR_ENTHALPY + states.VAPOUR_HEAT * state["cavity"]
    water = states.WATER_HEAT
    content = (
        (c["glass_capacity"] + state["film"] * water) * state["inner_glazing"]
        + np.where(c["sheets"] > 1.5, c["glass_capacity"] * state["outer_glazing"], 0.0)
        + c["cavity_capacity"] * state["cavity"]
        + state["vapour"] * steam
        + c["pot_capacity"] * state["pot"]
        + (c["liquid_capacity"] - (c["water_start"] - state["water"]) * water) * state["liquid"]
        + c["bodies"] * ledger[..., 8]
        - ledger[..., states.MOISTURE_HEAT - states.ABSORBED]
    )
    rows = {name: ledger[..., i] for i, name in enumerate(states.LEDGER) if not name.startswith("moisture")}
    return rows | {"stored": content - content[:, :1]}


@dataclass(frozen=True)
class Stagnation:
    """Steady temperatures [°C] of a dry oven in steady sun; each ``(...)``."""

    inner_glazing: np.ndarray
    outer_glazing: np.ndarray
    cavity: np.ndarray
    pot: np.ndarray


def stagnation(
    oven: Oven,
    *,
    into_cavity,
    into_glazing=0.0,
    air_temperature=25.0,
    sky_temperature=None,
    wind_speed=1.0,
    tilt=30.0,
    pot: Pot | None = None,
) -> Stagnation:
    """Where temperatures settle with these powers [W] held: the most an empty oven (or a dry pot in it)
    reaches.

    ``sky_temperature`` defaults to Swinbank's clear sky.  No node of a cook in weaker sun, warmer wind or
    with water in it passes its value here; but a glass can: where a boiling pot keeps the walls cool, more
    leaves by the glass.
    """
    within("into_cavity", into_cavity, 0.0, 1e5, "W")
    within("into_glazing", into_glazing, 0.0, 1e5, "W")
    within("air_temperature", air_temperature, -60.0, 60.0, "°C")
    within("wind_speed", wind_speed, 0.0, 60.0, "m/s")
    within("tilt", tilt, 0.0, 90.0, "°")
    if sky_temperature is None:
        sky_temperature = clear_sky_temperature(air_temperature)
    within("sky_temperature", sky_temperature, -150.0, 60.0, "°C")
    arrays = (into_cavity, into_glazing, air_temperature, sky_temperature, wind_speed, tilt)
    shape = np.broadcast_shapes(*(np.shape(a) for a in arrays))
    hours = np.datetime64("2000-01-01T00", "ns") + np.arange(97) * np.timedelta64(3600, "s")
    steady = [np.broadcast_to(np.asarray(a, float)[..., None], (*shape, 97)) for a in arrays]
    into_cavity, into_glazing, air, cold, wind, slope = steady
    none, sea_level = np.zeros(97), np.full(97, 101325.0)
    sky = Sky(Instants(hours, "UTC"), np.zeros((97, 3)), none, none, air, cold, wind, sea_level)
    gain = Gain(into_cavity, into_glazing, slope, np.zeros((97, 3)))
    warming = warm(oven, pot, nothing(air_temperature), gain, sky, Handling(loaded="00:00"))
    return Stagnation(
        *(getattr(warming, n)[..., -1] for n in ("inner_glazing", "outer_glazing", "cavity", "pot"))
    )


def top_loss_coefficient(
    plate_temperature,
    air_temperature,
    *,
    covers: int,
    wind_coefficient: float,
    plate_emittance: float = 0.95,
    cover_emittance: float = 0.88,
    gap: float = 0.025,
    tilt: float = 45.0,
) -> tuple[float, tuple[float, ...]]:
    """Heat loss coefficient [W/(m² K)] upwards from a plate under one or two covers, and the covers'
    temperatures.

    The same gap and radiation as the network, at steady state with the sky at air temperature, as Duffie &
    Beckman (section 6.4) tabulate it.  Scalars only.
    """
    from . import _network as network

    if covers not in (1, 2):
        raise ValueError(f"covers is {covers!r}; it is 1 or 2.")
    within("wind_coefficient", wind_coefficient, 0.1, 1000.0, "W/(m² K)")
    within("gap", gap, 0.001, 0.2, "m")
    within("tilt", tilt, 0.0, 90.0, "°")
    within("air_temperature", air_temperature, -60.0, 60.0, "°C")
    within("plate_temperature", plate_temperature, air_temperature + 0.1, 400.0, "°C")
    for name, value in (("plate_emittance", plate_emittance), ("cover_emittance", cover_emittance)):
        within(name, value, 0.01, 1.0, "1")
    cosine, _, stability = (float(term) for term in states.tilt_terms(tilt))
    exchanges = [1.0 / (1.0 / e + 1.0 / cover_emittance - 1.0) for e in (plate_emittance, cover_emittance)]

    def layers(skin: float) -> list[float]:
        """Temperatures from the outer cover inwards that carry the flux the outer cover loses."""
        flux = wind_coefficient + network.radiation(skin, air_temperature, cover_emittance)
        flux *= skin - air_temperature
        found = [skin]
        for exchange in reversed(exchanges[:covers]):
            cold = found[-1]

            def short(hot, cold=cold, exchange=exchange):
                film = network.gap_convection(hot, cold, gap, cosine, stability, 1.0)
                return (film + network.radiation(hot, cold, exchange)) * (hot - cold) - flux

            found.append(brentq(short, cold, cold + 2000.0))
        return [flux, *found]

    skin = brentq(lambda t: layers(t)[-1] - plate_temperature, air_temperature, plate_temperature)
    flux, *found = layers(skin)
    return flux / (plate_temperature - air_temperature), tuple(found[:-1])

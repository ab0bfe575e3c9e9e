"""What the march is handed: one thing's numbers after another, broadcast and laid flat over scenarios."""

from __future__ import annotations

from dataclasses import dataclass, is_dataclass, replace

import numpy as np
from scipy.special import i0e, i1e

from . import _states as states
from ._aim import start_seconds
from .catalogue import Handling, Oven, Pot
from .food import Body
from .sky import Instants
from .water import boiling_point, saturation_pressure

CONTACT_DRY = 60.0  # W/(m² K), food lying on metal (contact conductance; order of magnitude, handbooks)
CONTACT_WET = 400.0  # W/(m² K), water or a wet mash against a pot wall (natural convection; handbooks)
IMMERSED_POT_FILL = 0.95  # of the pot's height: no fuller
DIFFUSE_TRANSMITTANCE = 0.8  # of one sheet, for light going back out (Duffie & Beckman section 5.11)
AMBIENT_HUMIDITY = 0.5  # relative; it matters only to the first minutes of condensation
BOILED_DRY = 100.0  # J/K, what is left of the liquid's place when it has boiled away: a pot's wetted skin
OPEN_POT = 0.5  # a lid leakage above this is no lid
DRIVEN = ("air_temperature", "sky_temperature", "wind_speed")  # by the sky, besides light


def loading_indices(times: Instants, handling: Handling) -> tuple[np.ndarray, np.ndarray]:
    """Index of the instant at which the oven goes into the sun, and at which the food goes in, ``(...)``.

    Both are the first instant at or after the clock time.  A time outside ``times`` is an error.
    """
    put_out = start_seconds(times, handling)
    after = put_out + np.asarray(handling.preheat) * 60.0
    first = np.ceil(put_out / times.step - 1e-9).astype(np.int64)
    load = np.ceil(after / times.step - 1e-9).astype(np.int64)
    if np.any(load > times.utc.shape[-1] - 2):
        raise ValueError(f"the food is loaded at {handling.loaded}, when the sky's times have ended")
    return np.broadcast_arrays(first, load)


def parameters(oven: Oven, pot: Pot | None, body: Body, pressure, air, shape) -> np.ndarray:
    """Constants of each scenario, flat: ``(N, 2)`` records, the empty oven and the loaded one."""
    values: dict[str, object] = {}
    area = oven.aperture_width * oven.aperture_length
    emittance, glass = np.asarray(oven.cavity_emittance), np.asarray(oven.glazing_emittance)
    volume = area * np.asarray(oven.cavity_depth)
    on_tray = np.minimum(np.asarray(oven.tray_area) / area, 1.0)  # of the light; the rest meets the walls
    humid = AMBIENT_HUMIDITY * saturation_pressure(air) / (states.VAPOUR_GAS * (air + 273.15))
    values |= {
        "aperture": area,
        "sheets": oven.glazing_sheets,
        "glass_capacity": area * oven.glazing_thickness * oven.glazing_density * oven.glazing_specific_heat,
        "glass_emittance": glass,
        "sheet_exchange": 1.0 / (2.0 / glass - 1.0),
        "cavity_exchange": 1.0 / ((1.0 - emittance) / emittance * area / oven.wall_area + 1.0 / glass),
        "gap": oven.glazing_gap,
        "cavity_depth": oven.cavity_depth,
        "cavity_capacity": oven.cavity_heat_capacity,
        "wall_loss": np.asarray(oven.wall_conductance) * oven.wall_area,
        "volume": volume,
        "leakage": np.asarray(oven.air_leakage) / 3600.0,
        "pressure": pressure,
        "boiling_point": boiling_point(pressure),
        "ambient_vapour": humid * volume,
        "escape": DIFFUSE_TRANSMITTANCE**oven.glazing_sheets * area / oven.wall_area,
        "tray_absorptance": on_tray * np.asarray(oven.tray_absorptance)
        + (1.0 - on_tray) * oven.wall_absorptance,
        "buoyancy": (np.asarray(pressure) / 101325.0) ** 2,
        "bodies": body.pieces,
        "body_area": body.surface_area,
        "body_free": np.maximum(np.asarray(body.surface_area) - body.contact_area, 0.0),
        "body_in_liquid": float(body.form == "pieces"),
        "body_in_pot": float(pot is not None),
        "body_exchange": body.emittance,
        "body_wetness": body.surface_wetness,
        "body_water": body.moisture,
        "body_size": np.maximum(np.sqrt(np.asarray(body.surface_area) / np.pi), 1e-3),
        "food_absorptance": body.absorptance,
        "food_plan": body.plan_area,
        "liquid_capacity": np.asarray(body.liquid_mass) * body.liquid_specific_heat + BOILED_DRY,
        "water_start": body.water_mass,
        "lid": 1.0,
    }
    contact = CONTACT_WET if body.form == "thick" else CONTACT_DRY
    resistance = 0.0
    if pot is not None:
        base = np.pi * np.asarray(pot.diameter) ** 2 / 4.0
        resistance = np.asarray(pot.wall_resistance)
        opened = np.asarray(pot.lid_leakage) > OPEN_POT
        fill = np.minimum(
            np.asarray(body.liquid_mass) / 1000.0 / base, IMMERSED_POT_FILL * np.asarray(pot.height)
        )
        metal = np.pi * np.asarray(pot.diameter) * pot.height + np.where(opened, 0.0, base)
        values |= {
            "pot_capacity": np.asarray(pot.mass) * pot.specific_heat,
            "pot_area": metal,
            "pot_base": base,
            "pot_diameter": pot.diameter,
            "pot_exchange": 1.0
            / (1.0 / np.asarray(pot.emittance) + metal / oven.wall_area * (1.0 / emittance - 1.0)),
            "pot_contact": _fed_through_the_tray(pot, oven.tray_conductance),
            "pot_top": base,
            "pot_side": np.asarray(pot.diameter) * pot.height,
            "pot_absorptance": pot.absorptance,
            "pot_window": np.where(opened, 1.0, pot.transmittance),
            "pot_wet": np.where(fill > 0.0, base + np.pi * np.asarray(pot.diameter) * fill, 0.0)
            / (1.0 / CONTACT_WET + resistance),
            "lid": pot.lid_leakage,
            "liquid_area": np.where(np.asarray(body.liquid_mass) > 0.0, base, 0.0),
            "body_open": np.where(opened, 1.0, 0.0),
        }
    elif np.any(np.asarray(body.liquid_mass) > 0.0):
        raise ValueError("this food has liquid in it; give it a pot")
    values["body_contact"] = np.asarray(body.contact_area) / (1.0 / contact + resistance)
    records = np.zeros((int(np.prod(shape)), 2), dtype=states.PARAMETERS)
    for name, value in values.items():
        records[name] = np.broadcast_to(value, shape).reshape(-1, 1)
    for name in ("pot_area", "pot_top", "pot_side", "liquid_area", "bodies", "food_plan"):
        records[name][:, 0] = 0.0
    return records


def _fed_through_the_tray(pot: Pot, tray_conductance) -> np.ndarray:
    """Contact conductance [W/(m² K)] under a pot whose shadow is fed with heat from the lit tray around it.

    A disc of tray at contact h is a fin: h · 2 I₁(x) / (x I₀(x)), x = R √(h / kt); all of h for a thick tray.
    """
    contact = np.maximum(np.asarray(pot.contact_conductance, float), 1e-6)
    x = np.asarray(pot.diameter) / 2.0 * np.sqrt(contact / tray_conductance)
    return contact * 2.0 * i1e(x) / (x * i0e(x))


def _open_fraction(times: Instants, load: np.ndarray, handling: Handling) -> np.ndarray:
    """Share of each step during which the lid stands open; ``(..., T)``."""
    count = times.utc.shape[-1]
    begin = (np.arange(count) - load[..., None]) * times.step
    share = np.zeros(begin.shape)
    length = np.asarray(handling.opening_seconds, float)[..., None]
    for minute in handling.lid_openings:
        at = np.asarray(minute, float)[..., None] * 60.0
        overlap = np.minimum(at + length, begin + times.step) - np.maximum(at, begin)
        share = share + np.maximum(overlap, 0.0) / times.step
    return np.minimum(share, 1.0)


def scenarios(oven, pot, body, gain, sky, handling) -> tuple[int, ...]:
    """Common leading shape of everything that may carry scenarios."""
    shapes = [
        np.shape(gain.into_cavity)[:-1],
        np.shape(sky.times.utc)[:-1],
        np.shape(np.asarray(handling.loaded)),
    ]
    shapes += [
        np.shape(getattr(sky, n))[:-1]
        for n in ("air_temperature", "sky_temperature", "wind_speed", "pressure")
    ]
    for thing in (oven, pot, handling):
        if thing is not None:
            numbers = (
                v
                for n, v in vars(thing).items()
                if n not in ("lid_openings", "reflectors", "sources", "name")
            )
            shapes += [np.shape(v) for v in numbers if isinstance(v, np.ndarray)]
    shapes += [np.shape(minute) for minute in handling.lid_openings]
    shapes += [np.shape(body.shell_mass)[:-1], np.shape(body.liquid_mass), np.shape(body.initial_temperature)]
    shapes += [np.shape(body.pieces), np.shape(body.surface_area), np.shape(body.water_mass)]
    return np.broadcast_shapes(*shapes)


@dataclass(frozen=True)
class Problem:
    """Everything ``march_all`` is handed, flat over scenarios."""

    parameters: np.ndarray
    rows: tuple[np.ndarray, ...]
    step: float
    first: np.ndarray
    load: np.ndarray
    mass: np.ndarray
    inner: np.ndarray
    outer: np.ndarray
    material: np.ndarray
    grid: np.ndarray
    width: np.ndarray
    tables: tuple[np.ndarray, np.ndarray]
    solid: bool
    start: np.ndarray

    def forcing(self, block: slice = slice(None)) -> np.ndarray:
        """What drives the scenarios of ``block``, ``(N, T, 9)`` as states.FORCING names it."""
        *plain, tilt = (row[block] for row in self.rows)
        # To the microwatt: the last bits of an angle differ between machines and must not steer the steps.
        return np.round(np.stack([*plain, *states.tilt_terms(tilt)], axis=-1), 6)


def problem(oven, pot, body, gain, sky, handling, shape) -> Problem:
    count = int(np.prod(shape))
    length = sky.times.utc.shape[-1]
    first, load = (np.broadcast_to(i, shape) for i in loading_indices(sky.times, handling))
    opened = _open_fraction(sky.times, load, handling)
    air = np.asarray(sky.air_temperature, float)
    pressure = np.broadcast_to(sky.pressure, (*shape, length)).mean(axis=-1)
    rows = (
        gain.into_cavity,
        gain.into_glazing,
        air,
        sky.sky_temperature,
        sky.wind_speed,
        opened,
        gain.tilt,
    )
    for name, row in zip(("into_cavity", "into_glazing", *DRIVEN), rows, strict=False):
        if not np.all(np.isfinite(row)):
            raise ValueError(f"{name} has a gap (NaN) or is infinite; fill or cut the gap before a run.")
    rows = tuple(np.broadcast_to(row, (*shape, length)).reshape(count, length) for row in rows)
    start_air = np.broadcast_to(air, (*shape, length))[..., 0]
    constants = parameters(oven, pot, body, pressure, start_air, shape)
    shells = max(body.shell_mass.shape[-1], 1)  # the march wants one, even where it stays idle
    none = body.shell_mass.shape[-1] == 0
    heats = np.array([[0.0, 1.0]]) if none else body.enthalpy_grid
    tables = [heats, heats] if none else [body.temperature_of_enthalpy, body.conductivity_of_enthalpy]
    initial = np.broadcast_to(body.initial_temperature, shape).reshape(count)

    def flat(array, kind=float):
        layers = np.broadcast_to(1.0 if none else array, (*shape, shells))
        return np.ascontiguousarray(layers.reshape(count, shells), dtype=kind)

    material = np.zeros((count, 1), np.int64) if none else flat(body.shell_material, np.int64)
    start = np.empty((count, 1 + shells))
    start[:, 0] = initial
    by_material = np.stack([np.interp(initial, t, h) for t, h in zip(tables[0], heats, strict=True)])
    start[:, 1:] = by_material[material, np.arange(count)[:, None]]
    return Problem(
        constants, rows, float(sky.times.step),
        first.reshape(count).astype(np.int64), load.reshape(count).astype(np.int64),
        flat(body.shell_mass), flat(body.inner_path), flat(body.outer_path), material,
        np.ascontiguousarray(heats[:, 0]), np.ascontiguousarray(heats[:, 1] - heats[:, 0]),
        tuple(np.ascontiguousarray(table) for table in tables),
        bool(np.any(np.asarray(body.pieces) > 0)), start,
    )  # fmt: skip


def nothing(temperature) -> Body:
    """The body of no food at all: an empty oven, or a dry pot."""
    none, layers = np.zeros(()), np.zeros(0)
    tables = np.zeros((0, 2))
    return Body(
        liquid_mass=none, liquid_specific_heat=none, water_mass=none, pieces=none,
        shell_mass=layers, shell_material=layers.astype(int),
        enthalpy_grid=tables, temperature_of_enthalpy=tables, conductivity_of_enthalpy=tables,
        initial_temperature=np.asarray(temperature, float),
        inner_path=layers, outer_path=layers, node_radius=layers,
        surface_area=none, contact_area=none, plan_area=none, absorptance=none, emittance=none,
        surface_wetness=none, moisture=none, form="solid",
    )  # fmt: skip


def gather(parts: list, shape: tuple[int, ...]):
    """One result of many blocks of scenarios laid flat: arrays joined and given their scenario axes again.

    Works on arrays, and on frozen dataclasses and mappings of them; anything else is the same in every block.
    """
    first = parts[0]
    if isinstance(first, np.ndarray):
        whole = np.concatenate(parts)
        return whole.reshape((*shape, *whole.shape[1:]))
    if isinstance(first, dict):
        return {name: gather([part[name] for part in parts], shape) for name in first}
    if is_dataclass(first) and not isinstance(first, Instants):
        return replace(first, **{n: gather([getattr(part, n) for part in parts], shape) for n in vars(first)})
    return first

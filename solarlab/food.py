"""What a food is to heat: its materials and the shells it conducts through.  It knows nothing of the sun."""

from __future__ import annotations

from dataclasses import dataclass, replace
from types import SimpleNamespace

import numpy as np

from . import egg
from ._composition import (
    COLDEST,
    HOTTEST,
    TABLE_LENGTH,
    conductivity,
    density,
    fractions,
    ice_fraction,
    latent_heat_of_fusion,
    specific_heat,
    table,
)
from ._shapes import Shape, finite_cylinder, first_zero, paths, piece
from .catalogue import Food, Pot
from .water import SPECIFIC_HEAT

__all__ = [
    "COLDEST", "HOTTEST", "Body", "body", "conductivity", "density", "fractions", "ice_fraction", "is_egg",
    "latent_heat_of_fusion", "specific_heat",
]  # fmt: skip
FOLLOWS_LIQUID = 30.0  # s: pieces whose own thermal lag is shorter are counted with the cooking water


@dataclass(frozen=True)
class Body:
    """What heat needs to know of a food.

    Arrays are ``(...,)`` per scenario or ``(..., n)`` per shell, the centre first, the outermost shell last.
    The conductance [W/K] between shells i and i+1 is ``1 / (outer_path[i]/k[i] + inner_path[i+1]/k[i+1])``;
    the surface lies ``outer_path[n-1]`` outside the last node.  Nothing crosses the centre: ``inner_path[0]``
    is inf.
    """

    liquid_mass: np.ndarray  # kg, mixed liquid and the small pieces that follow it
    liquid_specific_heat: np.ndarray  # J/(kg K)
    water_mass: np.ndarray  # kg, water in the liquid
    pieces: np.ndarray  # number of equal solid bodies, 0 if none
    shell_mass: np.ndarray  # (..., n) kg, of one body
    shell_material: np.ndarray  # (n,), or (..., n) where scenarios differ: row of the tables
    enthalpy_grid: np.ndarray  # (m, K) J/kg, uniform in each row, 0 at -40 °C
    temperature_of_enthalpy: np.ndarray  # (m, K) °C, -40 to 200
    conductivity_of_enthalpy: np.ndarray  # (m, K) W/(m K)
    initial_temperature: np.ndarray  # °C, uniform
    inner_path: np.ndarray  # (..., n) 1/m: distance over area from the node to the shell's inner face
    outer_path: np.ndarray  # (..., n) 1/m: from the node to its outer face
    node_radius: np.ndarray  # (..., n) m, from the centre; where the shell has its mean temperature
    surface_area: np.ndarray  # m², one body
    contact_area: np.ndarray  # m², one body on the tray or the pot's base
    plan_area: np.ndarray  # m², all bodies, seen from above
    absorptance: np.ndarray
    emittance: np.ndarray
    surface_wetness: np.ndarray
    moisture: np.ndarray  # kg of water in all solid bodies, which they can lose as steam
    form: str

    @property
    def shells(self) -> int:
        """Number of shells; 0 when there is only liquid."""
        return self.shell_mass.shape[-1]


def _checked(food: Food, pot: Pot | None):
    """What a `Food` cannot check alone; its numbers were checked when it was made."""
    if pot is None and food.form != "solid":
        raise ValueError(
            f"{food.name}: a {food.form} dish needs a pot; only solid food lies on the bare tray."
        )
    if np.ndim(food.porosity):
        raise ValueError(f"{food.name}: porosity must be one number; a batch shares one material.")
    if food.form != "liquid" and np.any(np.asarray(food.mass) <= 0.0):
        raise ValueError(f"{food.name}: a {food.form} dish needs a mass above 0 kg.")
    cold = np.asarray(food.initial_temperature, float) < np.asarray(food.initial_freezing_point, float)
    if food.form in ("liquid", "pieces") and np.any(cold):
        raise ValueError(f"{food.name}: a {food.form} dish starts thawed; call a frozen one thick or solid.")


def is_egg(food: Food) -> bool:
    """Whether ``food`` is an egg in its shell: a sphere judged by an egg rule ("egg_hard" …)."""
    return food.form in ("solid", "pieces") and food.shape == "sphere" and food.doneness.startswith("egg")


def _scenarios(food, pot):
    """Numeric fields of ``food`` and ``pot`` broadcast to one scenario shape, by name."""
    names = ["mass", "water", "initial_temperature", "initial_freezing_point"]
    names += ["absorptance", "emittance", "surface_wetness"]
    names += [] if food.form == "liquid" else ["half_thickness", "pieces"]
    values = {name: getattr(food, name) for name in names}
    for name in ("diameter", "height"):
        values[name] = np.nan if pot is None else getattr(pot, name)
    arrays = np.broadcast_arrays(*(np.asarray(value, float) for value in values.values()))
    return SimpleNamespace(**dict(zip(values, arrays, strict=True)))


def _solid(food, part, v, solids, bulk, base) -> tuple[Shape, np.ndarray, np.ndarray] | None:
    """Shape, mass and count of the conducting bodies; None where all is liquid, count 0 if they follow."""
    if food.form == "liquid":
        return None
    if food.form == "thick":
        shape = finite_cylinder(bulk, 0.5 * v.diameter, 0.5 * bulk / base, base, base)
        return shape, v.mass + v.water, np.ones_like(bulk)
    one = v.mass / v.pieces
    if is_egg(food):
        radius = egg.equivalent_radius(one)
        shape = piece("sphere", 4.0 / 3.0 * np.pi * radius**3, radius)
    else:
        shape = piece(food.shape, one / solids, v.half_thickness)
        ball = 4.0 / 3.0 * np.pi * v.half_thickness**3 * solids
        if food.shape == "sphere" and np.any((one > 20.0 * ball) | (one < 0.05 * ball)):
            raise ValueError(
                f"{food.name}: one piece weighs {np.max(one):.2g} kg, but a sphere of that half_thickness "
                f"{np.min(ball):.2g} kg; check mass, pieces and half_thickness (in metres)."
            )
    if food.form == "solid":
        if base is not None and food.shape == "slab":  # a loaf that fills its tin touches it all but on top
            fills = shape.plan > 0.6 * base
            shape = replace(shape, contact=np.where(fills, shape.surface - shape.plan, shape.contact))
        return shape, one, v.pieces
    diffusivity = conductivity(part, 20.0) / (solids * specific_heat(part, 20.0))
    lag = shape.depth**2 / (diffusivity * first_zero(shape.exponent) ** 2)
    count = np.where(lag < FOLLOWS_LIQUID, 0.0, v.pieces)
    return (replace(shape, contact=np.zeros_like(one)), one, count) if np.any(count) else None


def _egg_shells(one, shape, shells):
    """Paths and masses of yolk shells inside white shells; rows 0 yolk, 1 white."""
    white, yolk = egg.volumes(1.0)
    boundary = (yolk / (yolk + white)) ** (1.0 / 3.0)
    inside = max(2, round(shells * boundary))
    edges = np.r_[np.linspace(0.0, boundary, inside + 1), np.linspace(boundary, 1.0, shells - inside + 1)[1:]]
    material = np.repeat([0, 1], [inside, shells - inside])
    inner, outer, node, share = paths(shape, edges)
    densities = np.array([egg.YOLK.density_at(20.0), egg.WHITE.density_at(20.0)])
    mass = share * shape.volume[..., None] * densities[material]
    # The shell conducts well and is thin: its heat rides with the outermost white.
    mass[..., -1] += one * egg.SHELL_SHARE * egg.SHELL_SPECIFIC_HEAT / egg.WHITE.specific_heat
    rows = [
        table(tuple(p.composition.items()), egg.FREEZING_POINT, 0.0, p.specific_heat, p.conductivity)
        for p in (egg.YOLK, egg.WHITE)
    ]
    return inner, outer, node, mass, material, rows


def _materials(food, part, v):
    """Tables of the distinct materials, and which of them each scenario has.

    Thick dishes mix in their cooking water.  Water share and freezing point are rounded (to .005 and .1 K),
    so that ten thousand draws need few tables and one draw alone gets the same table as in the crowd.
    """
    wet, freezing = np.full(v.mass.shape, part["water"]), v.initial_freezing_point
    if food.form == "thick":
        wet = (part["water"] * v.mass + v.water) / (v.mass + v.water)
        freezing = freezing * part["water"] * v.mass / (part["water"] * v.mass + v.water)  # solutes diluted
        wet = np.minimum(np.round(wet / 0.005) * 0.005, 0.995)
    pairs = np.stack([wet, np.round(freezing / 0.1) * 0.1], axis=-1)
    distinct, which = np.unique(pairs.reshape(-1, 2), axis=0, return_inverse=True)
    rows = []
    for water, cold in distinct:
        mixed = part
        if water != part["water"]:
            dry = (1.0 - water) / max(1.0 - part["water"], 1e-9)
            mixed = {name: x * dry for name, x in part.items()} | {"water": float(water)}
        rows.append(table(tuple(mixed.items()), float(cold), float(food.porosity), None, None))
    return rows, which.reshape(v.mass.shape)


def body(food: Food, pot: Pot | None = None, *, shells: int = 24) -> Body:
    """The thermal body of ``food`` in ``pot``; ``None`` lays it on the tray.

    ``"liquid"`` has no shells.  ``"thick"`` conducts as a short cylinder of the pot's diameter and its own
    depth, touching the base all over.  ``"pieces"`` are solid bodies in cooking water; where their own
    thermal lag is below `FOLLOWS_LIQUID` seconds they join the liquid (``pieces`` 0).  ``"solid"`` has no
    liquid.  An egg is yolk inside white, its shell's heat added to the outermost shell.  Fields of ``food``
    and ``pot`` may be arrays (...,); composition and porosity may not.
    """
    _checked(food, pot)
    if int(shells) < 4:
        raise ValueError(f"shells is {shells}; a body needs at least 4, and 20 to 30 are usual.")
    part = fractions(food.composition)
    v = _scenarios(food, pot)
    base = None if pot is None else 0.25 * np.pi * v.diameter**2
    solids = density(part, 20.0) * (1.0 - food.porosity)
    bulk = v.mass / solids + v.water / 998.0
    if pot is not None and np.any(bulk > 1.2 * base * v.height):  # a heaped pot passes
        litres = 1e3 * np.max(bulk), 1e3 * np.min(base * v.height)
        text = f"{food.name} takes {litres[0]:.2g} L but {pot.name} holds {litres[1]:.2g} L; use less food."
        raise ValueError(text)

    zero = np.zeros_like(v.mass)
    solid = _solid(food, part, v, solids, bulk, base)
    if solid is None:
        none = np.zeros((*zero.shape, 0))
        surface, contact, plan, count = zero, zero, base, zero
        inner, outer, node, mass, material, rows = none, none, none, none, np.zeros(0, int), []
    else:
        shape, one, count = solid
        surface, contact = shape.surface, shape.contact
        plan = shape.plan * (1.0 if food.form == "thick" else v.pieces)
        if is_egg(food):
            inner, outer, node, mass, material, rows = _egg_shells(one, shape, int(shells))
        else:
            inner, outer, node, share = paths(shape, np.linspace(0.0, 1.0, int(shells) + 1))
            mass = share * one[..., None]
            rows, which = _materials(food, part, v)
            material = np.repeat(which[..., None], int(shells), axis=-1)
            if len(rows) == 1:
                material = np.zeros(int(shells), int)
    if base is not None:
        plan = base if food.form in ("liquid", "pieces") else np.minimum(plan, base)
    mixed = np.where(count > 0.0, 0.0, v.mass)  # food that moves with the liquid
    liquid = mixed + np.where(food.form in ("liquid", "pieces"), v.water, 0.0)
    dry = {name: x for name, x in part.items() if name != "water"}
    # 60 °C stands for the whole heating-up; water's own value is the steam tables', 1 % above Choi & Okos.
    dry_heat = sum(x * float(specific_heat({name: 1.0}, 60.0)) for name, x in dry.items())
    heat = mixed * (dry_heat + part["water"] * SPECIFIC_HEAT) + (liquid - mixed) * SPECIFIC_HEAT
    grids = [np.stack(column) for column in zip(*rows, strict=True)] or [np.empty((0, TABLE_LENGTH))] * 3
    return Body(
        liquid_mass=liquid,
        liquid_specific_heat=np.where(liquid > 0.0, heat / np.maximum(liquid, 1e-12), SPECIFIC_HEAT),
        water_mass=mixed * part["water"] + (liquid - mixed),
        pieces=count,
        shell_mass=mass,
        shell_material=material,
        enthalpy_grid=grids[0],
        temperature_of_enthalpy=grids[1],
        conductivity_of_enthalpy=grids[2],
        initial_temperature=v.initial_temperature,
        inner_path=inner,
        outer_path=outer,
        node_radius=node,
        surface_area=surface,
        contact_area=contact,
        plan_area=plan,
        absorptance=v.absorptance,
        emittance=v.emittance,
        surface_wetness=v.surface_wetness,
        moisture=np.where(
            count > 0.0, v.mass * part["water"] + (v.water if food.form == "thick" else 0.0), 0.0
        ),
        form=food.form,
    )

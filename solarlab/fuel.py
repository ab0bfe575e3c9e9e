"""Fuel, carbon dioxide and tending that a solar cook saves, as ranges, against a stated counterfactual.

A saving is what would have happened otherwise less what did.  What would have happened is never measured, so
it is said in words with every number.  Ranges hold 80 % of draws in which every uncertain factor is drawn
between its low and its high; the middle is the median.

Counted: carbon dioxide of burning, and for wood only the share that does not grow back.  Not counted: methane
and soot of smoky fires, making and carrying the fuel, and making the oven.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np

from ._limits import suggest, within
from .catalogue import Food, Pot
from .food import body

DRAWS, SEED = 20_000, 24
WOOD_HEAT, WOOD_CARBON = 15.6, 0.112  # MJ/kg, kg CO₂/MJ: IPCC 2006 [seen]
REPLACED = (0.5, 1.0)  # of solar cooks that stand in for a stove's; our own estimate, no source
SIMMERING = (150.0, 400.0)  # W a lidded pot loses at a simmer; our own estimate, no source
SIMMER_MINUTES = (15.0, 45.0)  # our own estimate, no source; beans 52 to 85 (Deshpande 1986 [seen])


@dataclass(frozen=True)
class Range:
    """``low``, ``middle`` and ``high``: 10th, 50th and 90th percentile."""

    low: float
    middle: float
    high: float
    unit: str

    def __str__(self) -> str:
        return f"{_two(self.low)} to {_two(self.high)} {self.unit} (middle {_two(self.middle)})"


@dataclass(frozen=True)
class Fuel:
    """A fuel in a stove.  Pairs are (low, high).

    ``heating_value`` MJ/kg (net); ``carbon`` kg CO₂ per MJ of fuel; ``efficiency`` heat into the pot over
    heat in the fuel; ``not_regrown`` the share of its carbon that counts (1 for fossil fuels); ``wood`` kg of
    wood behind a kg of fuel, for charcoal.
    """

    name: str
    heating_value: float
    carbon: float
    efficiency: tuple[float, float]
    not_regrown: tuple[float, float] = (1.0, 1.0)
    wood: tuple[float, float] | None = None
    sources: Mapping[str, str] = field(default_factory=dict, compare=False, repr=False)

    def __post_init__(self):
        for pair in (self.efficiency, self.not_regrown):
            within(f"{self.name}: each end of a range", pair, 0.0, 1.0, "1")
            if pair[0] > pair[1]:
                raise ValueError(f"{self.name}: a range gives its lower end first, not {pair}.")
        within(f"{self.name}: efficiency", self.efficiency, 0.01, 1.0, "1")
        within(f"{self.name}: heating_value", self.heating_value, 1.0, 150.0, "MJ/kg")


_BAILIS = "Bailis et al. 2015: world mean of wood cut beyond regrowth [seen]; by place 0 to 0.9 [memory]"
_WORLD = (0.27, 0.34)
_WOOD = {"heating_value": "IPCC 2006 [seen]", "carbon": "IPCC 2006 [seen]", "not_regrown": _BAILIS}
FUELS = {
    fuel.name: fuel
    for fuel in (
        Fuel("wood, open fire", WOOD_HEAT, WOOD_CARBON, (0.10, 0.15), _WORLD,
             sources=_WOOD | {"efficiency": "stove handbooks [memory]; others say 5 to 15 % [seen]"}),
        Fuel("wood, improved stove", WOOD_HEAT, WOOD_CARBON, (0.20, 0.35), _WORLD,
             sources=_WOOD | {"efficiency": "stove handbooks [memory]; one test 35 % [seen]"}),
        Fuel("charcoal", 29.5, 0.112, (0.20, 0.30), _WORLD, (5.0, 8.0),
             sources={"heating_value": "IPCC 2006 [memory]", "carbon": "that of the wood behind it",
                      "wood": "IPCC 1996 took 6 kg of wood a kg [seen, second-hand]; range from memory",
                      "efficiency": "stove handbooks [memory]", "not_regrown": _BAILIS}),
        Fuel("LPG", 47.3, 0.0631, (0.45, 0.60),
             sources={"heating_value": "IPCC 2006 [memory]", "carbon": "IPCC 2006 [memory]",
                      "efficiency": "about 50 % [seen, second-hand]; range from memory"}),
        Fuel("kerosene", 43.8, 0.0719, (0.35, 0.50),
             sources={"heating_value": "IPCC 2006 [memory]", "carbon": "IPCC 2006 [memory]",
                      "efficiency": "about 40 % [seen, second-hand]; range from memory"}),
    )
}  # fmt: skip


@dataclass(frozen=True)
class Saving:
    """Fuel [kg] and CO₂ [kg] saved, the ``wood`` behind them if any, and against what: ``counterfactual``."""

    fuel: Range
    carbon_dioxide: Range
    wood: Range | None
    counterfactual: str
    sources: tuple[str, ...]

    def __str__(self) -> str:
        wood = f", from {self.wood} of wood" if self.wood else ""
        return f"Saved: fuel {self.fuel}{wood}; carbon dioxide {self.carbon_dioxide}. {self.counterfactual}"


def fuel(name: str) -> Fuel:
    """The fuel and stove of that name: one of `FUELS`."""
    if name not in FUELS:
        raise ValueError(
            f"there is no fuel {name!r}; {suggest(str(name), FUELS, f'there are {_named(FUELS)}')}"
        )
    return FUELS[name]


def fuel_needed(heat, efficiency, heating_value=WOOD_HEAT):
    """Fuel [kg] that brings ``heat`` [MJ] into a pot; ``efficiency`` .01 to 1, ``heating_value`` in MJ/kg."""
    within("efficiency", efficiency, 0.01, 1.0, "1")
    within("heating_value", heating_value, 1.0, 150.0, "MJ/kg")
    return np.asarray(heat, float) / (np.asarray(efficiency, float) * heating_value)


def stove_heat(food: Food, pot: Pot | None, *, boiling_point: float = 100.0, simmer_minutes=SIMMER_MINUTES,
               simmering=SIMMERING) -> Range:  # fmt: skip
    """Heat [MJ] a stove would put into the same dish: to the boil, and then what it loses while it simmers.

    A roast or a loaf is counted as if brought to the boil in its pot, too, which is less than an oven would
    burn.
    """
    dish = body(food, pot)
    rise = boiling_point - np.asarray(dish.initial_temperature, float)
    heat = np.asarray(dish.liquid_mass) * dish.liquid_specific_heat * rise
    if dish.shells:
        tables = zip(dish.temperature_of_enthalpy, dish.enthalpy_grid, strict=True)
        begin, end = dish.initial_temperature, boiling_point
        each = np.array([np.interp(end, t, h) - np.interp(begin, t, h) for t, h in tables])
        heat = heat + dish.pieces * (dish.shell_mass * each[dish.shell_material]).sum(axis=-1)
    if pot is not None:
        heat = heat + np.asarray(pot.mass) * pot.specific_heat * rise
    generator = np.random.default_rng(SEED)
    seconds, watts = 60.0 * _drawn(generator, simmer_minutes), _drawn(generator, simmering)
    return _range(np.mean(heat) / 1e6 + seconds * watts / 1e6, "MJ")


def saved(
    heat, fuel_name: str | Fuel = "wood, open fire", *, cooks: float = 1.0, replaced=REPLACED
) -> Saving:
    """What ``cooks`` solar cooks save that would each have taken ``heat`` [MJ] (a number, pair or `Range`).

    ``replaced``: the share of them that stood in for cooking on that stove; the rest were extra, or cooked
    beside it.  Give (1, 1) only if somebody counted.
    """
    stove = fuel_name if isinstance(fuel_name, Fuel) else fuel(fuel_name)
    within("cooks", cooks, 0.0, 1e6, "1")
    within("replaced", replaced, 0.0, 1.0, "1")
    generator = np.random.default_rng(SEED)
    wanted = _drawn(generator, heat) * cooks * _drawn(generator, replaced)
    within("heat", wanted, 0.0, 1e9, "MJ")
    mass = fuel_needed(wanted, _drawn(generator, stove.efficiency), stove.heating_value)
    counted = _drawn(generator, stove.not_regrown)
    wood = None if stove.wood is None else mass * _drawn(generator, stove.wood)
    burnt = mass * stove.heating_value * stove.carbon if wood is None else wood * WOOD_HEAT * WOOD_CARBON
    low, high = np.ravel(replaced)[[0, -1]]
    share = f"{low:.0%}" if low == high else f"{low:.0%} to {high:.0%}"
    told = (
        f"Against the same dishes cooked with {stove.name}; {share} of solar cooks are taken to replace one."
    )
    if stove.not_regrown != (1.0, 1.0):
        low, high = stove.not_regrown
        told += f" Of the wood's carbon only the {low:.0%} to {high:.0%} that does not grow back is counted"
        told += ", a world mean." if stove.not_regrown == _WORLD else "."
    facts = tuple(f"{item}: {source}" for item, source in stove.sources.items())
    facts += ("replaced: our own estimate, no source",) if tuple(np.ravel(replaced)) == REPLACED else ()
    return Saving(
        _range(mass, "kg"),
        _range(burnt * counted, "kg CO₂"),
        None if wood is None else _range(wood, "kg"),
        told,
        facts,
    )


def tending_saved(stove_minutes, solar_minutes, *, cooks: float = 1.0, replaced=REPLACED) -> Range:
    """Hours of tending saved; negative where the solar oven asks for more.

    ``stove_minutes``: what a cook spends at that stove for one dish; ``solar_minutes``: aiming, looking and
    carrying for one solar dish, spent whether it replaces a stove's or not.  Numbers or pairs.
    """
    within("cooks", cooks, 0.0, 1e6, "1")
    within("replaced", replaced, 0.0, 1.0, "1")
    generator = np.random.default_rng(SEED)
    stove, solar = _drawn(generator, stove_minutes), _drawn(generator, solar_minutes)
    within("stove_minutes", stove, 0.0, 1e5, "min")
    within("solar_minutes", solar, 0.0, 1e5, "min")
    return _range(cooks * (stove * _drawn(generator, replaced) - solar) / 60.0, "h")


def _drawn(generator, span) -> np.ndarray:
    """Even draws between the ends; of a `Range`, the ends are where a tenth lies outside."""
    if isinstance(span, Range):
        reach = 0.5 / 0.4
        middle, half = (span.low + span.high) / 2.0, (span.high - span.low) / 2.0
        span = (max(middle - reach * half, min(span.low, 0.0)), middle + reach * half)
    try:
        ends = np.ravel(np.asarray(span, float))
    except (TypeError, ValueError):
        ends = np.zeros(3)  # no range: told in one sentence with the others
    if ends.size > 2 or not np.isfinite(ends).all() or ends[0] > ends[-1]:
        raise ValueError(f"a range is one number or a pair, the lower first; got {span!r}.")
    return ends[0] + (ends[-1] - ends[0]) * generator.random(DRAWS)


def _range(draws, unit: str) -> Range:
    low, middle, high = (float(value) for value in np.percentile(draws, [10, 50, 90]))
    return Range(low, middle, high, unit)


def _named(names) -> str:
    return ", ".join(repr(name) for name in names)


def _two(number: float) -> str:
    """Two figures: more would promise too much."""
    if number == 0.0:
        return "0"
    digits = 1 - int(np.floor(np.log10(abs(number))))
    return f"{round(number, digits):.{max(digits, 0)}f}"

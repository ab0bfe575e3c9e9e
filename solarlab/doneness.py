"""When a dish is done: rules as data, read from temperatures after the heat is computed.

A rule is a set of needs at the dish's core (the liquid itself when thin), met together: a temperature
reached, a time held, an equivalent time (cook value) or a first-order reaction.  Rates are integrated exactly
between samples, so a sample every five minutes is enough.  Done is a cook's word: whether it may be eaten is
`safety`'s.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

import numpy as np

from . import egg
from ._limits import suggest, within
from ._rates import GAS_CONSTANT, accumulate, arrhenius_log_rate, first_crossing, seconds_axis, when_reached

PRACTICE = "common practice, no source"


@dataclass(frozen=True)
class Reach:
    """The core passes ``temperature`` [°C]; ``below_boil`` counts it down from the boiling point instead."""

    temperature: float
    below_boil: bool = False


@dataclass(frozen=True)
class Hold:
    """The core spends ``minutes`` in all at or above ``temperature`` [°C]."""

    temperature: float
    minutes: float


@dataclass(frozen=True)
class CookValue:
    """Minutes at ``reference`` [°C] or their equal: the rate rises tenfold with every ``z`` kelvin."""

    minutes: float
    z: float = 33.0
    reference: float = 100.0


@dataclass(frozen=True)
class Reaction:
    """``fraction`` of a first-order change, rate A exp(-Ea/RT): ``frequency`` [1/s], ``activation_energy``
    [J/mol].
    """

    fraction: float
    frequency: float
    activation_energy: float


@dataclass(frozen=True)
class EggSet:
    """An egg at least ``target``: "runny", "jammy" or "hard"; see `egg.state`."""

    target: str


@dataclass(frozen=True)
class Rule:
    """When one kind of dish is done.  ``reads`` says what `done` must be given: "core" or "shells"."""

    key: str
    text: str
    needs: tuple
    source: str
    mark: str

    @property
    def reads(self) -> str:
        return "shells" if any(isinstance(need, EggSet) for need in self.needs) else "core"


# Starch gelatinising in dough: Zanoni, Peri & Bruno (1995), k = 2.8e18 exp(-139 kJ/mol / RT) 1/s.
STARCH = Reaction(0.98, 2.8e18, 139e3)
_STARCH_Z = np.log(10.0) * GAS_CONSTANT * (95.0 + 273.15) ** 2 / STARCH.activation_energy  # K, at 95 °C: 18.7
# Minutes at 95 °C (crumb between 93 and 98 at the end of a kitchen bake) or their equal by the starch's own
# Ea: a cooler crumb for longer is as good, with no rule of its own.
_CRUMB = CookValue(5.0, z=float(_STARCH_Z), reference=95.0)
_COOK_VALUE = (
    "cook value, z 33 K at 100 °C (Mansfield 1962; Holdsworth, Thermal Processing of Packaged Foods)"
)
_ZANONI = "starch: Zanoni, Peri & Bruno 1995; crumb 93-98 °C at the end: common practice"

_ALL = (
    Rule(
        "water",
        "65 °C for 6 min, stirred or read at the bottom.",
        (Hold(65.0, 6.0),),
        "solar water pasteurisation, as the water rule of safety",
        "seen",
    ),
    Rule("boil", "The water boils.", (Reach(0.5, below_boil=True),), "definition", "lib"),
    Rule(
        "soup",
        "Its pieces are soft: like 15 min at the boil.",
        (CookValue(15.0),),
        _COOK_VALUE,
        "memory",
    ),
    Rule(
        "stew",
        "Meat and roots are soft to the middle: like 60 min at the boil.",
        (Reach(80.0), CookValue(60.0)),
        _COOK_VALUE,
        "memory",
    ),
    Rule(
        "porridge",
        "Thick to the middle: the starch has swollen.",
        (STARCH, CookValue(5.0)),
        _ZANONI,
        "memory",
    ),
    Rule(
        "rice",
        "No hard core: like 18 min at the boil, by the kinetics of rice (Ea 80 kJ/mol, the same as z 33 K).",
        (STARCH, CookValue(18.0)),
        "Suzuki, Kubota, Omichi & Hosaka 1976, J. Food Science 41, 1180; the minutes are common practice",
        "memory",
    ),
    Rule("pasta", "Soft through: like 10 min at the boil.", (STARCH, CookValue(10.0)), _COOK_VALUE, "memory"),
    Rule("lentils", "Soft, unsoaked: like 25 min at the boil.", (CookValue(25.0),), _COOK_VALUE, "memory"),
    Rule(
        "beans_soaked",
        "Soft: like 65 min at the boil after a night's soak.",
        (Reach(85.0), CookValue(65.0)),
        "52-85 min at the boil, ten varieties: Deshpande & Bal 1986; " + _COOK_VALUE,
        "seen",
    ),
    Rule(
        "beans_unsoaked",
        "Soft: like 130 min at the boil; soaking about halves it.",
        (Reach(85.0), CookValue(130.0)),
        PRACTICE + "; " + _COOK_VALUE,
        "memory",
    ),
    Rule(
        "kidney_beans",
        "Soft: like 75 min at the boil after a soak.  Soft is not safe: see the lectin rule.",
        (Reach(85.0), CookValue(75.0)),
        PRACTICE + "; " + _COOK_VALUE,
        "memory",
    ),
    Rule(
        "roots",
        "A knife slides to the middle: 85 °C there and like 8 min at the boil.",
        (Reach(85.0), CookValue(8.0)),
        _COOK_VALUE + "; minutes and 85 °C: common practice",
        "memory",
    ),
    Rule(
        "chicken",
        "Juices run clear and the leg turns in its joint: 80 °C in the middle.",
        (Reach(80.0),),
        PRACTICE + "; the 74 °C of safety comes first",
        "memory",
    ),
    Rule("meat", "Whole cuts: 71 °C in the middle, 3 min.", (Hold(71.0, 3.0),), PRACTICE, "memory"),
    Rule("fish", "Flakes: 63 °C in the middle.", (Reach(63.0),), "USDA FSIS, 145 °F", "memory"),
    Rule("flat_bread", "Crumb set through.", (STARCH, _CRUMB), _ZANONI, "memory"),
    Rule("bread", "Crumb set to the middle.", (STARCH, _CRUMB), _ZANONI, "memory"),
    Rule("cake", "A stick comes out clean: crumb set to the middle.", (STARCH, _CRUMB), _ZANONI, "memory"),
    Rule("egg_runny", "White set, yolk flowing.", (EggSet("runny"),), egg.WHITE.source, "seen"),
    Rule("egg_jammy", "White set, yolk thick.", (EggSet("jammy"),), egg.WHITE.source, "seen"),
    Rule("egg_hard", "Set to the centre.", (EggSet("hard"),), egg.WHITE.source, "seen"),
)
RULES: Mapping[str, Rule] = MappingProxyType({rule.key: rule for rule in _ALL})


def rule(key: str) -> Rule:
    """The doneness rule called ``key``; an unknown key is a ``ValueError`` that names the nearest."""
    name = str(key).strip().replace(" ", "_")
    if name not in RULES:
        raise ValueError(f"no doneness rule is called {key!r}; {suggest(name, RULES, 'see doneness.RULES')}")
    return RULES[name]


def done(rule_or_key: Rule | str, times, temperatures, *, body=None, boiling_point=100.0):
    """(when, progress): seconds at which every need is met (...,), nan if never, and 0..1 of the way (...,
    T).

    ``times`` [s] (T,) or (..., T); ``temperatures`` [°C] of the core (..., T), or of the shells (..., T, n)
    with the egg's ``body`` where the rule ``reads`` "shells".  ``boiling_point`` [°C] (...,) is used by
    "boil" alone. Before the food is in the oven give its own temperature; a cool start adds nothing.
    """
    chosen = rule_or_key if isinstance(rule_or_key, Rule) else rule(rule_or_key)
    if chosen.reads == "shells":
        if body is None:
            raise ValueError(f"the rule {chosen.key!r} reads every shell of an egg: give body= as well.")
        states = egg.setting(body, times, temperatures)
        wanted = [need.target for need in chosen.needs]
        parts = [(egg.reached(target, states), egg.progress(target, states)) for target in wanted]
    else:
        seconds, core = seconds_axis(times, temperatures)
        parts = [_NEEDS[type(need)](need, seconds, core, boiling_point) for need in chosen.needs]
    when = np.maximum.reduce([part[0] for part in parts])  # nan, never, wins
    return when, np.minimum.reduce([part[1] for part in parts])


def cook_value(times, temperatures, z=33.0, reference=100.0):
    """Minutes at ``reference`` [°C] equal to the path so far, (..., T); never for egg: its z is 5 to 7 K."""
    within("z", z, 1.0, 200.0, "K")
    within("reference", reference, 0.0, 200.0, "°C")
    seconds, core = seconds_axis(times, temperatures)
    return accumulate(seconds, np.log(10.0) / z * (core - reference)) / 60.0


def _reach(need, seconds, core, boiling_point):
    goal = np.asarray(need.temperature, float)
    if need.below_boil:
        goal = np.asarray(boiling_point, float)[..., None] - goal
    start = core[..., :1]
    rise = np.maximum.accumulate(core, axis=-1) - start
    progress = np.where(start >= goal, 1.0, rise / np.where(start >= goal, 1.0, goal - start))
    return first_crossing(seconds, core - goal, 0.0), np.clip(progress, 0.0, 1.0)


def _hold(need, seconds, core, _):
    low, high = core[..., :-1], core[..., 1:]
    length = np.diff(seconds, axis=-1)
    span = np.where(high == low, 1.0, high - low)
    crossing = np.clip(np.where(high == low, 0.0, (need.temperature - low) / span), 0.0, 1.0)
    above = np.where(
        high >= need.temperature, np.where(low >= need.temperature, 1.0, 1.0 - crossing), crossing
    )
    above = np.where(np.maximum(low, high) < need.temperature, 0.0, above)
    total = np.zeros(core.shape)
    np.cumsum(above * length, axis=-1, out=total[..., 1:])
    goal = 60.0 * need.minutes
    reached = total >= goal
    last = np.maximum(np.argmax(reached, axis=-1), 1)[..., None]
    surplus = np.take_along_axis(total, last, -1) - goal
    # Counted back from where the segment's time above ends: its end when rising, the crossing when falling.
    falling = np.take_along_axis((high < need.temperature) * (1.0 - crossing) * length, last - 1, -1)
    end = np.take_along_axis(np.broadcast_to(seconds, core.shape), last, -1) - falling
    when = np.where(np.any(reached, axis=-1), (end - surplus)[..., 0], np.nan)
    return when, np.clip(total / goal, 0.0, 1.0)


def _dose(seconds, log_rate, goal):
    total = accumulate(seconds, log_rate)
    return when_reached(seconds, log_rate, total, goal), np.clip(total / goal, 0.0, 1.0)


def _cook_value(need, seconds, core, _):
    return _dose(seconds, np.log(10.0) / need.z * (core - need.reference), 60.0 * need.minutes)


def _reaction(need, seconds, core, _):
    return _dose(
        seconds, arrhenius_log_rate(need.frequency, need.activation_energy, core), -np.log1p(-need.fraction)
    )


_NEEDS = {Reach: _reach, Hold: _hold, CookValue: _cook_value, Reaction: _reaction}

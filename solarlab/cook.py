"""A cook: one call from a sky to what may be expected of a dish.  The only place where the rooms meet."""

from __future__ import annotations

from dataclasses import dataclass, fields, replace

import numpy as np
import pandas as pd

from ._aim import column, start_seconds
from ._rates import first_crossing
from ._scenario import OPEN_POT, gather, loading_indices, scenarios
from .catalogue import Food, Handling, Oven, Pot
from .doneness import done, rule
from .food import Body, body, fractions, is_egg
from .heat import Warming, warm_blocks
from .oven import Gain, gain
from .safety import HOT, RULES, SLOW, STATES, Judgement, Verdict, both_units, judge
from .sky import Sky
from .sun import Instants

HOTTEST_CAVITY = 250.0  # °C, beyond which the heat room is not meant to be read
BURNING_GLASS = 60.0  # °C: skin burns within about 5 s on glass hotter than this (ISO 13732-1; from memory)
STRONGEST_WIND = 10.0  # m/s: an oven with reflectors should be indoors
BOILED_DRY = 0.02  # kg of water left
DRIED_OUT = 0.3  # of a solid food's water: no cook would serve it
SOAKED = 0.4  # water in beans: dry ones hold .1, after a night's soak .55 (data/foods.toml)
BREEZE = 3.0  # m/s: leaves move (Beaufort 2 to 3); walls and leaks begin to feel it
LITTLE_TO_SPARE = 0.8  # of the two hours


@dataclass(frozen=True)
class Notice:
    """Something to know before believing or using a result; ``applies`` ``(...)`` says to which scenarios."""

    name: str
    sentence: str
    applies: np.ndarray


@dataclass(frozen=True, repr=False)
class Cook:
    """What may be expected; arrays ``(...)`` over scenarios, times in seconds after loading, nan for never.

    ``done``: cooked, by the dish's doneness rule.  ``boiling``: its liquid within half a kelvin of the boil.
    ``judgement``: the safety clocks and verdicts; see `verdict`.  ``highest_…`` [°C] through the day.
    ``unclosed``: the part of the energy the ledger misses.  ``warming``, ``progress`` (..., T) and ``gain``
    are kept with ``keep="series"`` only.
    """

    times: Instants
    oven: Oven
    pot: Pot | None
    food: Food
    handling: Handling
    body: Body
    loaded: np.ndarray
    done: np.ndarray
    boiling: np.ndarray
    judgement: Judgement
    highest_cavity: np.ndarray
    highest_glazing: np.ndarray
    highest_core: np.ndarray
    unclosed: np.ndarray
    warnings: tuple[Notice, ...]
    warming: Warming | None = None
    progress: np.ndarray | None = None
    gain: Gain | None = None

    def at(self, seconds, index=()) -> pd.Timestamp:
        """Local clock, to the minute, of ``seconds`` after loading scenario ``index``; NaT where never."""
        if not np.isfinite(seconds):
            return pd.NaT
        utc = np.broadcast_to(self.times.utc, (*self.loaded.shape, self.times.utc.shape[-1]))[index]
        moment = pd.Timestamp(utc[int(self.loaded[index])], tz="UTC") + pd.Timedelta(seconds=float(seconds))
        return moment.round("min").tz_convert(self.times.timezone)

    def __repr__(self):
        if self.loaded.shape:
            return f"Cook of {self.food.name}: {self.loaded.size} scenarios, shape {self.loaded.shape}"
        return f"Cook of {self.food.name}: {self.sentence()}"

    def verdict(self, index=()) -> Verdict:
        """The safety verdict on scenario ``index``."""
        return self.judgement.verdict(index)

    def sentence(self, index=()) -> str:
        """Done and safety in plain words, on the local clock."""
        when = self.at(self.done[index], index)
        cooked = "Not cooked by the end of the day." if pd.isna(when) else f"Cooked at about {when:%H:%M}."
        return f"{cooked} {self.verdict(index).sentence(lambda s: f'{self.at(s, index):%H:%M}')}"


@dataclass(frozen=True)
class _Outcome:
    """What one block of scenarios leaves behind."""

    loaded: np.ndarray
    done: np.ndarray
    boiling: np.ndarray
    judgement: Judgement
    highest_cavity: np.ndarray
    highest_glazing: np.ndarray
    highest_core: np.ndarray
    dry: np.ndarray
    moisture_lost: np.ndarray
    unclosed: np.ndarray
    warming: Warming | None
    progress: np.ndarray | None


def cook(
    sky: Sky, oven: Oven, pot: Pot | None, food: Food, handling: Handling, *, keep: str = "series"
) -> Cook:
    """Put ``food`` in ``pot`` (``None``: on the tray) into ``oven`` under ``sky``, handled as stated.

    Any argument may carry scenario axes; they broadcast.  ``keep="outcome"`` forgets the time series of each
    scenario as soon as it is judged: for thousands of them.
    """
    if keep not in ("series", "outcome"):
        raise ValueError(f"keep is {keep!r}; it is 'series' or 'outcome'")
    for name, thing, kind in (
        ("sky", sky, Sky), ("oven", oven, Oven), ("pot", pot, Pot), ("food", food, Food),
        ("handling", handling, Handling),
    ):  # fmt: skip
        if not isinstance(thing, kind) and not (name == "pot" and thing is None):
            order = "in the order sky, oven, pot, food, handling"
            raise TypeError(f"{name} is {thing!r:.60}; it must be a thing of type {kind.__name__}, {order}")
    dish = body(food, pot)
    light = gain(oven, sky, handling)
    shape = scenarios(oven, pot, dish, light, sky, handling)
    flat_dish = _flat(dish, shape)
    covered = is_egg(food) or (pot is not None and np.asarray(pot.lid_leakage) <= OPEN_POT)
    load = np.broadcast_to(loading_indices(sky.times, handling)[1], shape)
    asked = start_seconds(sky.times, handling) + np.asarray(handling.preheat) * 60.0
    air = np.broadcast_to(sky.air_temperature, (*shape, sky.times.shape[-1]))
    circumstances = {
        "frozen": np.asarray(food.initial_temperature) < food.initial_freezing_point,
        "standing_minutes": np.asarray(handling.standing, float),
        # Food goes in at an instant of the sky: until then it stands, too.
        "waited_minutes": np.maximum(load * sky.times.step - asked, 0.0) / 60.0,
        "standing_temperature": _hottest_shade(air, load, handling, sky.times.step),
        "soaked": soaked(food),
        "covered": np.asarray(covered),
        "mixed": np.asarray(False),  # unless somebody stirs
    }
    circumstances = {name: np.broadcast_to(v, shape).reshape(-1) for name, v in circumstances.items()}
    doneness = rule(food.doneness)

    def then(warming: Warming, block: slice) -> _Outcome:
        elapsed = (np.arange(warming.core.shape[-1]) - warming.loaded[:, None]) * sky.times.step
        elapsed = np.where(elapsed < 0.0, 1e-6 * elapsed, elapsed)  # the time before loading cooks nothing
        reads_shells = doneness.reads == "shells"
        when, progress = done(
            doneness,
            elapsed,
            warming.shells if reads_shells else warming.core,
            body=_slice(flat_dish, block),
            boiling_point=warming.boiling_point,
        )
        wet = food.form in ("liquid", "pieces")
        liquid = warming.liquid if wet else warming.core
        outside = np.maximum(warming.shells[..., -1], warming.liquid) if wet else warming.shells[..., -1]
        dry = first_crossing(elapsed, -warming.water, -BOILED_DRY)
        boils = done("boil", elapsed, liquid, boiling_point=warming.boiling_point)[0]
        judgement = judge(
            food.safety,
            elapsed,
            warming.coldest,
            form=food.form,
            boiling_point=warming.boiling_point,
            cooked=when,
            surface=outside if np.any(np.asarray(dish.pieces) > 0) else None,
            dry_at=np.where(np.isnan(dry), np.inf, dry)
            if wet and np.all(np.asarray(food.water) > 0)
            else -np.inf,
            **{name: value[block] for name, value in circumstances.items()},
        )
        series = keep == "series"
        return _Outcome(
            loaded=warming.loaded,
            done=when,
            boiling=boils,
            judgement=judgement,
            highest_cavity=warming.cavity.max(axis=-1),
            highest_glazing=warming.outer_glazing.max(axis=-1),
            highest_core=warming.core.max(axis=-1),
            dry=dry,
            moisture_lost=warming.moisture_lost[..., -1],
            unclosed=warming.ledger.residual,
            warming=warming if series else None,
            progress=progress if series else None,
        )

    outcome = gather(warm_blocks(oven, pot, dish, light, sky, handling, then), shape)
    found = {
        f.name: getattr(outcome, f.name) for f in fields(_Outcome) if f.name not in ("dry", "moisture_lost")
    }
    return Cook(
        times=sky.times, oven=oven, pot=pot, food=food, handling=handling, body=dish,
        warnings=_warnings(outcome, sky, dish), gain=light if keep == "series" else None, **found,
    )  # fmt: skip


def soaked(food: Food) -> np.ndarray:
    """Whether dry beans have drunk a night's water, by what they hold, ``(...)``."""
    return np.asarray(fractions(food.composition)["water"] >= SOAKED)


def _hottest_shade(air, load, handling: Handling, step: float) -> np.ndarray:
    """Highest air temperature ``(...)`` while the food stood, as far back as the sky's times go."""
    ago = (load[..., None] - np.arange(air.shape[-1])) * step
    stood = (ago >= 0.0) & (ago < column(handling.standing) * 60.0 + step)
    return np.where(stood, air, -np.inf).max(axis=-1)


def _warnings(outcome: _Outcome, sky: Sky, dish: Body) -> tuple[Notice, ...]:
    windy = np.broadcast_to(np.max(sky.wind_speed, axis=-1) > STRONGEST_WIND, outcome.done.shape)
    breezy = np.broadcast_to(np.mean(sky.wind_speed, axis=-1) > BREEZE, outcome.done.shape)
    judged = outcome.judgement
    expected = judged.state == STATES.index("expected")
    untold = (judged.state == STATES.index("no verdict")) & (
        judged.deciding == judged.rules.index(RULES["standing"])
    )
    watered = np.asarray(dish.water_mass) > BOILED_DRY
    too_dry = watered & (outcome.dry < np.where(np.isnan(outcome.done), np.inf, outcome.done))
    later_dry = watered & (outcome.dry > outcome.done)
    found = [
        Notice("stood", "Food this warm has stood or been heated before: say for how long it stood.", untold),
        Notice("little to spare", f"Less than {(1.0 - LITTLE_TO_SPARE) * SLOW / 60.0:.0f} min of the two "
                "hours are left: a cloud, wind or a fuller pot would use them.",
                expected & (judged.clocks["total"] > LITTLE_TO_SPARE * SLOW)),
        Notice("cools", f"Left in the oven when it is ready, it cools below {both_units(HOT)}: "
                "eat it within 2 h of that.", expected & np.isfinite(judged.eat_by)),
        Notice("hot glass", f"The glass passes {BURNING_GLASS:.0f} °C (140 °F): it burns.",
                outcome.highest_glazing > BURNING_GLASS),
        Notice("boils dry", "The pot boils dry before the food is done: give it more water.", too_dry),
        Notice("dries out", "Left to the end of the day, the food dries out: take it out when it is done.",
               outcome.moisture_lost > DRIED_OUT * np.maximum(dish.moisture, 1e-9)),
        Notice("take out", "Left in the oven after it is done, the pot boils dry and burns.", later_dry),
        Notice("cavity out of range", f"The cavity passes {HOTTEST_CAVITY:.0f} °C: too hot for this model.",
                outcome.highest_cavity > HOTTEST_CAVITY),
        Notice("wind", f"Wind above {BREEZE:.0f} m/s: counted here on the glass only, but leaks and walls "
                "feel it, too: allow more time.", breezy),
        Notice("strong wind", f"Wind above {STRONGEST_WIND:.0f} m/s: take the oven in.", windy),
        *(Notice("sky", note, np.ones(outcome.done.shape, bool)) for note in sky.notes),
    ]  # fmt: skip
    return tuple(w for w in found if np.any(w.applies))


_PER_SHELL = ("shell_mass", "inner_path", "outer_path", "node_radius")


def _flat(dish: Body, shape: tuple[int, ...]) -> Body:
    """``dish`` with its shells laid flat over scenarios; the other numbers are not read again."""
    count = int(np.prod(shape))

    def laid(array):
        return np.broadcast_to(array, (*shape, array.shape[-1])).reshape(count, array.shape[-1])

    return replace(dish, **{name: laid(getattr(dish, name)) for name in _PER_SHELL})


def _slice(dish: Body, block: slice) -> Body:
    return replace(dish, **{name: getattr(dish, name)[block] for name in _PER_SHELL})

"""The thermometer: what one reading at the coldest point allows, and the only way to "safe"."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from ._clocks import SLOW, TOO_LATE
from ._limits import both_units, within
from ._rulebook import BOILS, LOWEST_LECTIN_BOIL, RULES, SafetyRule, rules_of

if TYPE_CHECKING:
    from .safety import Verdict

ABOVE_BOIL = 3.0  # K: salt, sugar and a poor thermometer; the coldest point of a food is no hotter than this


@dataclass(frozen=True)
class Reading:
    """What a thermometer allows: "safe", "not yet" or "refuse", with the sentence to say and its rule."""

    state: str
    sentence: str
    rule: SafetyRule
    source: str


def reading(
    temperature: float,
    rules: Sequence[str],
    minutes_in_zone: float,
    *,
    unit: str = "°C",
    minutes_held: float = 0.0,
    mixed: bool = False,
    boiling_point: float = 100.0,
    verdict: Verdict | None = None,
) -> Reading:
    """Judge one thermometer reading at the coldest point: the only way to "safe".

    ``temperature`` is one number in ``unit`` "°C" or "°F", at most 3 K above the ``boiling_point`` (145 "°C"
    is a reading in °F); ``rules`` are the food's safety keys;
    ``minutes_in_zone`` is how long it has been between 5 and 60 °C, standing included; ``minutes_held`` how
    long it has now stayed this hot; ``mixed`` says water was stirred or read at the bottom.  A model's
    ``verdict`` that refuses stands whatever the thermometer says.
    """
    if unit not in ("°C", "°F"):
        raise ValueError(f"unit {unit!r} is unknown; give '°C' or '°F'.")
    if not isinstance(temperature, (int, float, np.number)) or isinstance(temperature, bool):
        raise ValueError("a reading is one number from a thermometer, never a model's series.")
    if not np.isfinite(temperature):
        raise ValueError("a reading is one number from a thermometer, and this one is missing or infinite.")
    for name, value in (("minutes_in_zone", minutes_in_zone), ("minutes_held", minutes_held)):
        if np.ndim(value):
            raise ValueError(f"{name} is one number of minutes, for one reading.")
    zone = "minutes_in_zone (between 5 and 60 °C, standing included)"
    within(zone, minutes_in_zone, 0.0, 1e6, "min")
    within("minutes_held", minutes_held, 0.0, 1e6, "min")
    within("boiling_point", boiling_point, *BOILS)
    celsius = float(temperature) if unit == "°C" else (float(temperature) - 32.0) / 1.8
    if not -40.0 <= celsius <= boiling_point + ABOVE_BOIL:
        hint = "; is it in °F?  Then give unit='°F'" if unit == "°C" and celsius > 0.0 else ""
        where = f"the coldest point of a food where water boils at {both_units(boiling_point)}"
        raise ValueError(f"{temperature:g} {unit} is no reading from {where}{hint}.")
    chosen = rules_of(rules)
    targets = [r for r in chosen if r.kind in ("target", "boil")]
    if verdict is not None and verdict.state == "refuse":
        return Reading("refuse", verdict.sentence(), verdict.rule, verdict.source)
    for refused in chosen:
        if refused.kind == "refusal":
            return Reading("refuse", refused.text, refused, refused.source)
    if not targets:
        raise ValueError("none of these rules states a temperature; give the food's own, such as 'poultry'.")
    if minutes_in_zone * 60.0 > TOO_LATE and any(r.clocks for r in targets):
        late = RULES["total"]
        text = f"Throw it away: over 4 h between 5 and 60 °C.  {late.text}"
        return Reading("refuse", text, late, late.source)
    for target in targets:
        if target.key == "water" and mixed and minutes_held >= RULES["water_mixed"].minutes:
            target = RULES["water_mixed"]
        goal = boiling_point - 1.0 if target.kind == "boil" else target.temperature
        cool_boil = target.kind == "boil" and boiling_point < LOWEST_LECTIN_BOIL
        if celsius < goal or minutes_held < target.minutes or cool_boil:
            wanted = both_units(goal) + (f" for {target.minutes:.0f} min" if target.minutes else "")
            text = f"Not yet: {both_units(celsius)} at the coldest point, {wanted} wanted.  {target.text}"
            return Reading("not yet", text, target, target.source)
    last = targets[-1]
    hurry = minutes_in_zone * 60.0 > SLOW or (verdict is not None and verdict.state == "too slow")
    then = "eat at once, keep nothing" if hurry else "eat now, or keep it above 60 °C (140 °F)"
    text = f"Safe by this rule, measured: {both_units(celsius)} at the coldest point; {then}.  {last.text}"
    return Reading("safe", text, last, last.source)

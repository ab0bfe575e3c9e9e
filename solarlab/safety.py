"""Whether a cook may be expected to be fit to eat, in time: clocks, targets, refusals, and the thermometer.

A model says only "expected", "no verdict", "too slow" or "refuse".  Only `reading`, which takes what a
thermometer showed at the coldest point, can say "safe".  Local food-safety rules and licensed authorities
come first.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from ._clocks import COLD, HOT, SLOW, TOO_LATE, WARM_SHADE, TimeBelow, clocks_of
from ._limits import CHOICES, both_units, fahrenheit, within
from ._rates import accumulate, first_crossing, seconds_axis
from ._rulebook import (
    BOILS,
    CHICKEN_SALMONELLA,
    LOWEST_LECTIN_BOIL,
    RULES,
    Lethality,
    SafetyRule,
    rule,
    rules_of,
)
from ._thermometer import Reading, reading
from .doneness import Hold, Reach, Rule, done

__all__ = [
    "CHICKEN_SALMONELLA", "COLD", "HOT", "LOWEST_LECTIN_BOIL", "RULES", "SLOW", "STATES", "TOO_LATE",
    "WARM_SHADE", "Judgement", "Lethality", "Reading", "SafetyRule", "TimeBelow", "Verdict", "appendix_a",
    "both_units", "cautions", "fahrenheit", "judge", "log_reduction", "reading", "refusal", "rule",
]  # fmt: skip

STATES = ("expected", "no verdict", "too slow", "refuse")  # the worse the later


def _clock_text(seconds) -> str:
    minutes = round(float(seconds) / 60.0)
    return f"{minutes // 60} h {minutes % 60:02d} min after loading"


@dataclass(frozen=True)
class Verdict:
    """What a model may say of one cook.

    ``when`` [s after loading]: when it should be ready, or when a clock ran into this state; else nan.
    """

    state: str
    when: float
    rule: SafetyRule
    source: str

    def __post_init__(self):
        if self.state not in STATES:
            raise ValueError(f"a model's verdict is one of {', '.join(STATES)}, not {self.state!r}.")

    def sentence(self, clock=_clock_text) -> str:
        """The verdict in words; ``clock`` turns seconds after loading into the words for an instant."""
        if self.state == "expected":
            goal = "the full boil" if self.rule.kind == "boil" else both_units(self.rule.temperature)
            held = f" for {self.rule.minutes:.0f} min" if self.rule.minutes else ""
            at = clock(self.when)
            return f"Expected to reach {goal}{held} at {at}; not safe until measured at the coldest point."
        since = "" if np.isnan(self.when) else f" from {clock(self.when)}"
        if self.state == "too slow":
            return f"Too slow{since}: finish on a stove now, eat at once, keep nothing.  {self.rule.text}"
        if self.state == "refuse":
            return f"Refuse{since}: do not eat it, whatever heat comes later.  {self.rule.text}"
        return f"No verdict: the model cannot tell.  {self.rule.text}"


@dataclass(frozen=True)
class Judgement:
    """Verdicts on many cooks, all ``(...,)``.

    ``state`` and ``deciding`` index `STATES` and ``rules``.  ``when`` [s after loading], nan if never.
    ``clocks`` [s] by name: standing, come_up, loss_of_sun, total, cooling.  ``slow_from`` and
    ``discard_from`` [s after loading] are when the total passes 2 h and 4 h, nan if never.  ``eat_by`` and
    ``discard_at`` follow from cooling, nan if the food stays hot.  ``log_reduction``: decades killed by the
    end, nan where none may be counted (dry or uncovered food, or no published D and z).
    """

    state: np.ndarray
    when: np.ndarray
    deciding: np.ndarray
    rules: tuple[SafetyRule, ...]
    clocks: Mapping[str, np.ndarray]
    slow_from: np.ndarray
    discard_from: np.ndarray
    eat_by: np.ndarray
    discard_at: np.ndarray
    log_reduction: np.ndarray

    def verdict(self, index=()) -> Verdict:
        """The `Verdict` on the cook at ``index`` (``()`` where there is only one)."""
        if np.ndim(self.state[index]):
            raise ValueError(f"index {index!r} must pick one cook of shape {self.state.shape}.")
        chosen, state = self.rules[int(self.deciding[index])], STATES[int(self.state[index])]
        when = np.full(self.state.shape, np.nan)
        if state == "expected":
            when = self.when
        elif chosen.key == "cooling":
            when = self.eat_by if state == "too slow" else self.discard_at
        elif chosen.kind == "clock":
            when = self.slow_from if state == "too slow" else self.discard_from
        return Verdict(state, float(when[index]), chosen, chosen.source)


def log_reduction(lethality: Lethality, times, temperatures):
    """Decades killed so far, the integral of dt / D(T), (..., T); moist, covered food only.

    Nothing counts below the lowest published temperature; infinite from ``at_once`` on.
    """
    seconds, values = seconds_axis(times, temperatures)
    decade = np.log(10.0) / lethality.z
    base = -np.log(60.0 * lethality.minutes)
    logs = accumulate(
        seconds,
        base + decade * (values - lethality.reference),
        base + decade * (lethality.lowest - lethality.reference),
    )
    passed = np.maximum.accumulate(values, axis=-1) >= lethality.at_once
    return np.where(passed, np.inf, logs)


def appendix_a(times, temperatures, decades=7.0):
    """Whether chicken (12 % fat) has had FSIS Appendix A's ``decades`` (1 to 7) of Salmonella kill, (..., T).

    A seventeenth less passes: D and z meet the published rows of 7 within .4.
    """
    within("decades", decades, 1.0, 7.0, "1")
    return log_reduction(CHICKEN_SALMONELLA, times, temperatures) >= decades * (1.0 - 0.4 / 7.0)


def _target_time(target, seconds, coldest):
    """Seconds (...,) at which a target rule is met, nan if never."""
    need = Hold(target.temperature, target.minutes) if target.minutes else Reach(target.temperature)
    return done(Rule(target.key, target.text, (need,), target.source, target.mark), seconds, coldest)[0]


def _boil_time(target, seconds, coldest, boiling, dry_at):
    """Seconds (...,) at which it has boiled for the rule's minutes without a break, nan if never.

    Boiling: every sample within 1 K of the boiling point, whatever that is, and water still in the pot.
    """
    boils = (coldest >= boiling[..., None] - 1.0) & (seconds >= 0.0) & (seconds <= dry_at[..., None])
    index = np.arange(seconds.shape[-1])
    began = np.maximum.accumulate(np.where(boils, 0, index + 1), axis=-1).clip(max=index[-1])
    long_enough = boils & (seconds - np.take_along_axis(seconds, began, -1) >= 60.0 * target.minutes)
    when = np.take_along_axis(seconds, np.argmax(long_enough, axis=-1)[..., None], -1)[..., 0]
    return np.where(long_enough.any(axis=-1), when, np.nan)


class _Verdicts:
    """State, deciding rule and time of many cooks, worsened rule by rule."""

    def __init__(self, rules, shape):
        judges = ("water_mixed", "standing", "come_up", "loss_of_sun", "total", "cooling", "frozen")
        self.rules = list(dict.fromkeys((*rules, *(RULES[key] for key in judges))))
        self.state = np.zeros(shape, int)
        self.deciding = np.zeros(shape, int)
        self.ready = np.full(shape, -np.inf)

    def need(self, chosen, when, failing):
        """All ``when`` must come; the latest decides, or one that never comes, in state ``failing``."""
        later = (self.state == 0) & (when > self.ready)
        self.deciding = np.where(later, self.rules.index(chosen), self.deciding)
        self.worsen(np.isnan(when), failing, chosen)
        self.ready = np.maximum(self.ready, when)

    def worsen(self, where, level, chosen):
        worse = np.asarray(where) & (level > self.state)
        self.state = np.where(worse, level, self.state)
        self.deciding = np.where(worse, self.rules.index(chosen), self.deciding)


def judge(
    rules: Sequence[str],
    elapsed_seconds,
    coldest,
    *,
    form="solid",
    frozen=False,
    standing_minutes=0.0,
    waited_minutes=0.0,
    standing_temperature=25.0,
    soaked=True,
    covered=True,
    mixed=False,
    boiling_point=100.0,
    dry_at=np.inf,
    surface=None,
    cooked=None,
    served=None,
) -> Judgement:
    """Judge cooks under the safety ``rules`` (keys) from the ``coldest`` point's temperature [°C] (..., T).

    ``elapsed_seconds`` (T,) or (..., T) after loading; before it the food is as it came.  Per scenario
    (...,): ``frozen`` at the start, ``standing_minutes`` that somebody says it stood unrefrigerated before
    loading at ``standing_temperature`` [°C], ``waited_minutes`` more that nobody needs to say, ``soaked``
    (beans: water drunk overnight and thrown away), ``covered`` (a lid or shell: kill is counted), ``mixed``
    (a liquid stirred or read at the bottom), ``boiling_point`` [°C], ``dry_at`` [s] when the cooking water is
    gone (-inf: there is none; a boil counts only in water), ``cooked`` [s] when the cook calls it done (nan:
    not by the end) and ``served`` [s]: until then cooling counts against it.  ``surface`` (..., T), the
    food's warmest part, starts the come-up clock before its still cold middle would.

    No verdict, for nobody knows what it has been through: food that comes in above 60 °C, and food warmer
    than its rule's ``kept_below`` of which nobody says how long it stood.  No verdict either, for no
    published minutes are known: beans boiled unsoaked, or without water, or where water boils too cool; beans
    that were not boiled at all are refused.

    A clock that has run out is never cancelled by later heat: toxins stay.
    """
    chosen = rules_of(rules)
    if form not in CHOICES["form"]:
        raise ValueError(f"form is {form!r}; it is one of {', '.join(CHOICES['form'])}.")
    if not chosen:
        raise ValueError("a cook is judged by at least one safety rule; see safety.RULES for their keys.")
    seconds, coldest = seconds_axis(elapsed_seconds, coldest)
    outer = coldest if surface is None else seconds_axis(elapsed_seconds, surface)[1]
    served = np.inf if served is None else served
    within("standing_minutes", standing_minutes, 0.0, 1e6, "min")
    within("waited_minutes", waited_minutes, 0.0, 1e6, "min")
    within("standing_temperature", standing_temperature, -60.0, 60.0, "°C")
    within("boiling_point", boiling_point, *BOILS)
    within("dry_at", dry_at, -np.inf, np.inf, "s")
    within("served", served, -np.inf, np.inf, "s")
    given = (frozen, standing_minutes, waited_minutes, standing_temperature, soaked, covered, mixed)
    given = (*given, boiling_point, dry_at, served, -np.inf if cooked is None else cooked)
    shape = np.broadcast_shapes(*(a.shape[:-1] for a in (seconds, coldest, outer)), *map(np.shape, given))
    frozen, standing, waited, shade, soaked, covered, mixed, boiling, dry_at, served, cooked = (
        np.broadcast_to(g, shape) for g in given
    )
    frozen, soaked = frozen.astype(bool), soaked.astype(bool)
    if np.any(seconds[..., -1] <= 0.0):
        raise ValueError("elapsed_seconds ends before loading (0): there is no cook to judge.")
    if np.any(seconds[..., 0] > 0.0):
        raise ValueError("elapsed_seconds begins after loading (0): what happened before is not known.")
    outer = np.maximum(outer, coldest)
    seconds, coldest, outer = (
        np.broadcast_to(a, (*shape, coldest.shape[-1])) for a in (seconds, coldest, outer)
    )

    verdicts = _Verdicts(chosen, shape)
    end = seconds[..., -1]
    short = np.where(end < SLOW, 1, 2)  # a run of under two hours has not shown that it is too slow
    targets = [r for r in chosen if r.kind in ("target", "boil")]
    for target in targets:
        failing = short
        if target.kind == "boil":
            boiled = np.isfinite(_boil_time(target, seconds, coldest, boiling, np.full(shape, np.inf)))
            when = _boil_time(target, seconds, coldest, boiling, dry_at)
            when = np.where((boiling >= LOWEST_LECTIN_BOIL) & soaked, when, np.nan)
            failing = np.where(boiled, 1, 3)
        else:
            when = _target_time(target, seconds, coldest)
        if target.key == "water" and form == "liquid":
            held = np.where(mixed, _target_time(RULES["water_mixed"], seconds, coldest), np.nan)
            sooner = held < np.nan_to_num(when, nan=np.inf)
            verdicts.need(RULES["water_mixed"], np.where(sooner, held, -np.inf), failing)
            when = np.where(sooner, -np.inf, when)
        verdicts.need(target, when, failing)
    if not targets:
        verdicts.worsen(True, 1, chosen[0])
        verdicts.ready = np.full(shape, np.nan)

    ready = verdicts.ready
    finish = np.minimum(served, end)
    clocks, passes, cooling_until = clocks_of(
        targets, seconds, coldest, outer, standing + waited, shade, ready, finish
    )
    for level, limit in ((2, SLOW), (3, TOO_LATE)):
        for name in ("standing", "come_up", "loss_of_sun", "total"):
            verdicts.worsen(clocks[name] > limit, level, RULES[name])
    counts = np.isfinite(served)
    # Hot enough, but not cooked yet: it waits in the oven, whatever the sun does.
    waits = cooling_until(np.where(np.isnan(cooked), end, np.minimum(cooked, end)))
    cooled = np.where(counts, np.maximum(clocks["cooling"], waits), waits)
    verdicts.worsen(cooled > SLOW, 2, RULES["cooling"])
    verdicts.worsen(cooled > TOO_LATE, 3, RULES["cooling"])
    raw = any("standing" in r.clocks for r in targets) or RULES["frozen"] in chosen
    at_start = np.take_along_axis(coldest, np.argmax(seconds >= 0.0, axis=-1)[..., None], -1)[..., 0]
    verdicts.worsen(raw & (frozen | (at_start < -1.0)), 3, RULES["frozen"])
    unsaid = (standing <= 0.0) & (at_start > min((r.kept_below for r in targets), default=np.inf))
    verdicts.worsen(raw & (unsaid | (at_start >= HOT)), 1, RULES["standing"])
    verdicts.worsen(counts & (served > end), 1, RULES["cooling"])
    verdicts.worsen(served < ready, 2, (targets or chosen)[0])
    for refused in chosen:
        if refused.kind == "refusal" and refused.key != "frozen":
            verdicts.worsen(True, 3, refused)

    falls = np.where(seconds >= ready[..., None], HOT - coldest, -1.0)
    falls = first_crossing(seconds, falls, 0.0)
    killed = [np.full(shape, np.nan)]
    killed += [log_reduction(r.lethality, seconds, coldest)[..., -1] for r in targets if r.lethality]
    return Judgement(
        state=verdicts.state,
        when=ready,
        deciding=verdicts.deciding,
        rules=tuple(verdicts.rules),
        clocks=clocks,
        slow_from=passes(SLOW),
        discard_from=passes(TOO_LATE),
        eat_by=falls + SLOW,
        discard_at=falls + TOO_LATE,
        log_reduction=np.where(covered, np.fmin.reduce(killed), np.nan),
    )


def refusal(key: str) -> Verdict:
    """The `Verdict` on what is refused whatever the sun does, such as "canning" or "half_cooked"."""
    chosen = rule(key)
    if chosen.kind != "refusal":
        known = ", ".join(name for name, each in RULES.items() if each.kind == "refusal")
        raise ValueError(f"{chosen.key!r} is no refusal; those are {known}.")
    return Verdict("refuse", float("nan"), chosen, chosen.source)


def cautions(rules: Sequence[str] = (), *, home_made=False) -> tuple[SafetyRule, ...]:
    """The cautions for a session with these safety ``rules``; ``home_made`` ovens carry more."""
    keys = "authorities spores glass_burns steam cracked_glass glare fire wind children".split()  # noqa: SIM905
    keys += ["soft_egg"] if any(each.key == "egg" for each in rules_of(rules)) else []
    keys += ["paint_fumes", "galvanised", "foam", "lead_glaze", "burn_in"] if home_made else []
    return tuple(RULES[key] for key in keys)

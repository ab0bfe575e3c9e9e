"""What a plan is: its jobs, one dish in one oven each, the meal's chance, and what could be instead."""

from __future__ import annotations

from dataclasses import dataclass

from .. import safety
from ..catalogue import Food, Oven
from .chance import Outlook, Spread
from .kitchen import Dish

GOAL = 0.8
KEPT = 120  # minutes cooked food may wait out of the oven (the cooling clock)


def clocked(food: Food, clock: str) -> bool:
    """Whether one of the food's safety rules runs that clock: "come_up" or "cooling"."""
    return any(clock in safety.rule(key).clocks for key in food.safety)


@dataclass(frozen=True)
class Job:
    """One dish in one oven.  Times are minutes after midnight on the local clock.

    ``put_out``: from then on the oven is aimed for this dish, while empty or still with the dish before it.
    ``loaded`` and ``out`` (by then it must be ready); ``reaim_every`` minutes from ``put_out`` on, or
    ``None``: aimed once; ``chance`` of this dish alone; ``ready`` the 80 % range [minutes after midnight,
    ``inf``: not that day] and ``reached`` that of its safety target; ``hottest`` 10, 50 and 90 % of the
    core's highest temperature [°C]; ``states`` the shares of the verdicts in the order of `safety.STATES`;
    ``notices`` what the cook has to say besides: (name, sentence, share of the draws).
    """

    dish: Dish
    oven: Oven
    put_out: int
    loaded: int
    out: int
    reaim_every: float | None
    chance: float = float("nan")
    ready: Spread | None = None
    reached: Spread | None = None
    hottest: tuple[float, ...] = ()
    states: tuple[float, ...] = ()
    notices: tuple[tuple[str, str, float], ...] = ()

    @property
    def aims(self) -> tuple[int, ...]:
        """When the oven is aimed for this dish, as `cook` does it: first at ``put_out``."""
        if self.reaim_every is None:
            return (self.put_out,)
        count = int((self.out - self.put_out - 1) // self.reaim_every)
        return tuple(round(self.put_out + k * self.reaim_every) for k in range(count + 1))


@dataclass(frozen=True)
class Could:
    """What could be instead.  ``kind``: "later" (eat at ``minutes``), "half" (half portions), "only" (these
    dishes alone, ``names``) or "nothing"."""

    kind: str
    minutes: int = 0
    names: tuple[str, ...] = ()


@dataclass(frozen=True)
class Plan:
    """The searched meal.  ``chance`` of the whole of it; ``feasible`` if that reaches ``goal``.

    ``eat`` and ``start`` (the first oven is put out) in minutes after midnight; ``could`` is filled where the
    menu can't be done, ``refused`` with (food, rule) pairs that are never done.
    """

    outlook: Outlook
    jobs: tuple[Job, ...]
    eat: int
    preheat: int
    goal: float
    chance: float
    draws: int
    could: tuple[Could, ...] = ()
    refused: tuple[tuple[Food, safety.SafetyRule], ...] = ()

    @property
    def feasible(self) -> bool:
        return bool(self.jobs) and self.chance >= self.goal

    @property
    def start(self) -> int:
        return min((job.put_out for job in self.jobs), default=self.eat - self.preheat)

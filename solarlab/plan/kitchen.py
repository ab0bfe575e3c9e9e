"""A kitchen: one set of draws of the day, the ovens, the dishes and the hands, and what is cooked with it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property

import numpy as np

from ..catalogue import Food, Handling, Oven, Pot
from ..cook import Cook, cook
from ..dates import clock
from ..sun import clock_hours
from .chance import Outlook, draws, hands, ready_times, skies, span


@dataclass(frozen=True)
class Dish:
    """A dish of the menu: ``food`` in ``pot`` (``None``: on the tray).

    ``stove_minutes`` are its recipe's minutes at the boil, if told; ``openings`` minutes after loading at
    which the lid is opened.
    """

    food: Food
    pot: Pot | None = None
    stove_minutes: float | None = None
    openings: tuple[float, ...] = ()


def minutes_of(text: str) -> int:
    """A clock time "HH:MM" as minutes after midnight."""
    return round(clock_hours(str(text)) * 60.0)


@dataclass
class Kitchen:
    """Draws that every dish shares: ``n`` days from ``begin`` to ``end``, minutes after midnight."""

    outlook: Outlook
    ovens: tuple[Oven, ...]
    menu: tuple[Dish, ...]
    begin: int
    end: int
    preheat: int
    n: int
    seed: int
    step: float
    _cooked: dict = field(default_factory=dict)

    def _random(self, *key) -> np.random.Generator:
        return np.random.default_rng([self.seed, *key])

    @cached_property
    def sky(self):
        times = span(self.outlook, self.begin / 60.0, self.end / 60.0, self.step)
        return skies(self.outlook, times, self.n, self._random(0))

    @cached_property
    def drawn_ovens(self):
        return [draws(oven, self._random(1, i), self.n) for i, oven in enumerate(self.ovens)]

    @cached_property
    def drawn_menu(self):
        return [
            (draws(d.food, self._random(2, j), self.n), draws(d.pot, self._random(3, j), self.n))
            for j, d in enumerate(self.menu)
        ]

    def cook(self, dish: int, oven: int, starts: Sequence[int], every) -> Cook:
        """The dish cooked in the oven from each start: scenarios ``(starts, n)``."""
        loaded = np.array([clock(start) for start in starts])[:, None]
        plan = Handling("12:00", every, self.menu[dish].openings, preheat=float(self.preheat))
        drawn = replace(hands(plan, self._random(4, oven), self.n), loaded=loaded)
        food, pot = self.drawn_menu[dish]
        return cook(self.sky, self.drawn_ovens[oven], pot, food, drawn, keep="outcome")

    def ready(self, dish: int, oven: int, starts: Sequence[int], every) -> tuple[np.ndarray, np.ndarray]:
        """Clock minutes at which the dish is ready, and must have been eaten: each ``(starts, n)``."""
        key = (dish, oven, tuple(starts), every)
        if key not in self._cooked:
            offset = np.asarray(starts, float)[:, None]
            ready, spoiled = ready_times(self.cook(dish, oven, starts, every))
            self._cooked[key] = offset + ready / 60.0, offset + spoiled / 60.0
        return self._cooked[key]

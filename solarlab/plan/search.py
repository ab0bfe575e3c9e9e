"""A plan: which dish goes into which oven when, so that the meal is ready in time with a stated chance.

The order is searched, not listed.  One pot at a time stands in an oven, which has been in the sun for
``preheat`` minutes when its first pot goes in and stays hot for the next.  Of all orders that make the whole
meal with the wanted chance, the one that lets the trainer start latest is taken (to the half hour, then to
ten minutes), then the fewest re-aimings that still do.  All dishes meet the same drawn days, so a grey day
spoils them together, as it will.

A dish taken out early waits wrapped and hot: at most two hours, the safety clock of cooked food.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from itertools import permutations, product

import numpy as np

from .. import safety
from ..catalogue import Food, Oven, portion
from ..cook import soaked
from ..sun import sun_times
from ..water import boiling_point, pressure_at
from .chance import Outlook, ready_times, spread
from .kitchen import Dish, Kitchen, minutes_of
from .meal import GOAL, KEPT, Could, Job, Plan, clocked
from .site import FULL, filling

GRID, FINE = 30, 10  # minutes between the starts the search tries, and then those near the best
BUSY = 30  # minutes between re-aims while the search looks for the latest start
REAIMS = (None, 180, 120, 90, 60, 45)  # then the fewest that still do
LATER = 120  # minutes after the wanted time in which a later meal is looked for first
SEARCHED, COUNTED = 100, 1000  # draws while searching, and for what is told
MOST_DISHES, MOST_OVENS = 4, 3


def nothing_to_tell(done: int, total: int) -> None:
    """The progress that nobody watches."""


def plan(
    outlook: Outlook,
    ovens: Sequence[Oven],
    menu: Sequence[Dish],
    *,
    eat: str,
    earliest: str = "07:00",
    preheat: int = 30,
    goal: float = GOAL,
    seed: int = 1,
    searched: int = SEARCHED,
    counted: int = COUNTED,
    progress: Callable[[int, int], None] = nothing_to_tell,
) -> Plan:
    """Search the order, the starts and the re-aimings of a ``menu`` for ``ovens`` on the outlook's day.

    ``earliest`` is when the first oven may be put out.  ``progress(done, total)`` is called after each piece
    of work.  ValueError: nothing to cook, too much to search (4 dishes, 3 ovens), a pot that overflows, or an
    eating time that leaves no time to cook.
    """
    ovens, menu = tuple(ovens), tuple(menu)
    _check(outlook, ovens, menu, eat, earliest, preheat)
    deadline, first = minutes_of(eat), minutes_of(earliest) + preheat
    refused = tuple((dish.food, rule) for dish in menu for rule in _hopeless(dish.food, outlook))
    able = tuple(dish for dish in menu if dish.food not in [food for food, _ in refused])
    empty = Plan(outlook, (), deadline, preheat, goal, 0.0, 0, (Could("nothing"),), refused)
    if not able:
        return empty
    steps = [0, len(able) * len(ovens) + 4 * len(able)]

    def told():
        steps[0] = min(steps[0] + 1, steps[1])
        progress(*steps)

    last = max(deadline, _dusk(outlook))
    kitchen = Kitchen(outlook, ovens, able, first - preheat, deadline, preheat, searched, seed, 600.0)
    finder = Finder(kitchen, first, told)
    after = max(deadline, min(deadline + KEPT, last))  # what is late is told how late
    full = Kitchen(outlook, ovens, able, first - preheat, after, preheat, counted, seed + 1, 300.0)
    wanted, best = goal, None
    for _ in range(4):  # a search on few draws flatters its winner: ask it for more until the count agrees
        jobs = finder.latest(deadline, wanted)
        if not jobs:
            break
        closer = finder.closer(jobs)
        jobs = closer.fewest_aims(closer.latest(deadline, wanted), deadline, wanted)
        found = _counted(empty, full, jobs, told)
        best = found if best is None or found.chance > best.chance else best
        if best.feasible:
            break
        wanted = min(wanted + max(goal - found.chance, 0.0) + 0.02, 1.0)
    if best is not None and best.feasible:
        progress(steps[1], steps[1])
        return best if not refused else replace(best, refused=refused)
    if best is None:
        best = _counted(empty, full, finder.likeliest(deadline), told)
    could = _alternatives(finder, deadline, last, goal, told)
    progress(steps[1], steps[1])
    return replace(best, could=could, refused=refused)


@dataclass
class Finder:
    """The search over one kitchen: every order of dishes over ovens, each scheduled backwards.

    With ``order`` (for each oven its dishes) and ``near`` (starts) it looks at that order and those only.
    """

    kitchen: Kitchen
    first: int
    told: Callable[[], None]
    order: tuple[tuple[int, ...], ...] = ()
    near: tuple[int, ...] = ()

    @cached_property
    def starts(self) -> list[int]:
        return list(self.near or range(self.first, self.kitchen.end - GRID, GRID))

    @cached_property
    def tables(self) -> dict:
        found = {}
        for dish, oven in product(range(len(self.kitchen.menu)), range(len(self.kitchen.ovens))):
            if not self.order or dish in self.order[oven]:
                found[dish, oven] = self.kitchen.ready(dish, oven, self.starts, BUSY)
                self.told()
        return found

    def closer(self, jobs: list[tuple]) -> Finder:
        """A finder of the same order among the starts of ``jobs`` and, finely, the hour after each."""
        order = tuple(
            tuple(dish for dish, oven, *_ in sorted(jobs, key=lambda job: job[2]) if oven == which)
            for which in range(len(self.kitchen.ovens))
        )
        late = range(0, 2 * GRID, FINE)
        near = sorted({job[2] + more for job in jobs for more in late if job[2] + more < self.kitchen.end})
        return replace(self, order=order, near=tuple(near))

    def latest(self, eat: int, goal: float, only: Sequence[int] | None = None) -> list[tuple]:
        """(dish, oven, loaded, out) of the meal that starts latest and comes with chance ``goal``, or []."""
        dishes = list(range(len(self.kitchen.menu))) if only is None else list(only)
        best, score = [], (-np.inf,)
        for order in [self.order] if self.order else _orders(dishes, len(self.kitchen.ovens)):
            for sure in sorted({goal, (1.0 + goal) / 2.0, 0.95, 0.99}):
                jobs = self._backwards(order, eat, max(sure, goal))
                if jobs and self.joint(jobs, eat) >= goal:
                    loaded = [job[2] for job in jobs]
                    mine = (min(loaded), sum(loaded))
                    if mine > score:
                        best, score = jobs, mine
                    break
        return best

    def likeliest(self, eat: int) -> list[tuple]:
        """The jobs with the best chance there is, where no order reaches the goal."""
        best, score = [], -1.0
        for order in _orders(range(len(self.kitchen.menu)), len(self.kitchen.ovens)):
            for sure in (0.7, 0.5, 0.3, 0.1, 0.0):
                jobs = self._backwards(order, eat, sure)
                if jobs and self.joint(jobs, eat) > score:
                    best, score = jobs, self.joint(jobs, eat)
        return best

    def fewest_aims(self, jobs: list[tuple], eat: int, goal: float) -> list[tuple]:
        """The jobs with ``reaim_every`` added: as seldom as the goal allows."""
        chosen = [(*job, BUSY) for job in jobs]
        for k, job in enumerate(jobs):
            stands = job[3] - job[2] + self.kitchen.preheat
            for every in [e for e in REAIMS if e is None or e < stands]:
                tried = [*chosen[:k], (*job, every), *chosen[k + 1 :]]
                if self.joint(tried, eat) >= goal:
                    chosen = tried
                    break
        return chosen

    def joint(self, jobs: Sequence[tuple], eat: int) -> float:
        """Chance that every job is ready when it is taken out and fit to eat at ``eat``."""
        return float(np.mean(np.logical_and.reduce([self._made(job, eat) for job in jobs])))

    def _made(self, job: tuple, eat: int) -> np.ndarray:
        dish, oven, loaded, out = job[:4]
        if len(job) == 4 or job[4] == BUSY:
            row = self.starts.index(loaded)
            ready, spoiled = (table[row] for table in self.tables[dish, oven])
        else:
            ready, spoiled = (t[0] for t in self.kitchen.ready(dish, oven, [loaded], job[4]))
        return (ready <= out) & (spoiled >= (eat if out == eat else out))

    def _backwards(self, order, eat: int, sure: float) -> list[tuple]:
        """Jobs of one order: an oven's last dish is out at ``eat``, each before it as the next goes in."""
        jobs = []
        for oven, dishes in enumerate(order):
            out = eat
            for dish in reversed(dishes):
                if eat - out > KEPT and clocked(self.kitchen.menu[dish].food, "cooling"):
                    return []
                ready, spoiled = self.tables[dish, oven]
                good = np.mean((ready <= out) & (spoiled >= out), axis=-1) >= sure
                rows = [k for k, start in enumerate(self.starts) if good[k] and start < out]
                if not rows:
                    return []
                jobs.append((dish, oven, self.starts[rows[-1]], out))
                out = self.starts[rows[-1]]
        return jobs


def _orders(dishes, ovens: int):
    """Every way to lay dishes, in order, into ovens: tuples of tuples."""
    seen = set()
    for order in permutations(dishes):
        for where in product(range(ovens), repeat=len(order)):
            laid = tuple(tuple(d for d, w in zip(order, where, strict=True) if w == o) for o in range(ovens))
            if laid not in seen:
                seen.add(laid)
                yield laid


def _hopeless(food: Food, outlook: Outlook) -> list[safety.SafetyRule]:
    """Rules that no sun can meet: refusals, and a boil of unsoaked beans or where water boils too cool."""
    rules = [safety.rule(key) for key in food.safety]
    cool = boiling_point(pressure_at(outlook.place.elevation)) < safety.LOWEST_LECTIN_BOIL
    no_boil_helps = cool or not np.all(soaked(food))
    return [rule for rule in rules if rule.kind == "refusal" or (rule.kind == "boil" and no_boil_helps)]


def _counted(empty: Plan, kitchen: Kitchen, jobs: Sequence[tuple], told) -> Plan:
    """The plan of these jobs, counted on the full number of draws."""
    made, told_jobs = [], []
    for dish, oven, loaded, out, *every in jobs:
        every = every[0] if every else BUSY
        result = kitchen.cook(dish, oven, [loaded], every)
        ready, spoiled = (loaded + a[0] / 60.0 for a in ready_times(result))
        good = (ready <= out) & (spoiled >= (empty.eat if out == empty.eat else out))
        made.append(good)
        states = np.bincount(result.judgement.state.ravel(), minlength=4) / kitchen.n
        hottest = np.quantile(result.highest_core, (0.1, 0.5, 0.9))
        told_jobs.append(
            Job(
                kitchen.menu[dish],
                kitchen.ovens[oven],
                loaded - kitchen.preheat,
                loaded,
                out,
                every,
                float(good.mean()),
                spread(ready),
                spread(loaded + result.judgement.when / 60.0),
                tuple(hottest.tolist()),
                tuple(states.tolist()),
                tuple((n.name, n.sentence, float(np.mean(n.applies))) for n in result.warnings),
            )
        )
        told()
    chance = float(np.mean(np.logical_and.reduce(made))) if made else 0.0
    told_jobs.sort(key=lambda job: job.loaded)
    return replace(empty, jobs=tuple(told_jobs), chance=chance, draws=kitchen.n, could=(), refused=())


def _alternatives(finder: Finder, eat: int, last: int, goal: float, told) -> tuple[Could, ...]:
    """What could be: a later meal, half the portions, or some of the dishes."""
    found, kitchen = [], finder.kitchen
    ends = dict.fromkeys((min(eat + LATER, last), last))  # a long evening is cooked only where it must be
    longer = {end: Finder(replace(kitchen, end=end, _cooked={}), finder.first, told) for end in ends}
    for later in range(eat + GRID, last + 1, GRID):
        if longer[next(end for end in ends if end >= later)].latest(later, goal):
            found.append(Could("later", later))
            break
    smaller = tuple(replace(d, food=portion(d.food, mass=d.food.mass / 2.0)) for d in kitchen.menu)
    half = Finder(replace(kitchen, menu=smaller, _cooked={}), finder.first, told)
    if half.latest(eat, goal):
        found.append(Could("half"))
    names = [dish.food.name for dish in kitchen.menu]
    for count in range(len(names) - 1, 0, -1):
        groups = [g for g in permutations(range(len(names)), count) if list(g) == sorted(g)]
        good = [g for g in groups if finder.latest(eat, goal, only=g)]
        if good:
            found += [Could("only", names=tuple(names[k] for k in g)) for g in good]
            break
    return tuple(found) or (Could("nothing"),)


def _dusk(outlook: Outlook) -> int:
    """The last half hour before sunset, minutes after midnight; polar days end at 20:00."""
    sunset = sun_times(outlook.place, outlook.date).sunset
    minutes = 20 * 60 if sunset is None else sunset.hour * 60 + sunset.minute
    return minutes // GRID * GRID


def _check(outlook, ovens, menu, eat, earliest, preheat) -> None:
    if not menu or not ovens:
        raise ValueError("a plan needs at least one dish and one oven.")
    if len(menu) > MOST_DISHES or len(ovens) > MOST_OVENS:
        raise ValueError(
            f"a plan takes up to {MOST_DISHES} dishes and {MOST_OVENS} ovens; got {len(menu)} "
            f"and {len(ovens)}.  Make two sheets."
        )
    if minutes_of(eat) < minutes_of(earliest) + preheat + GRID:
        raise ValueError(
            f"eating at {eat} leaves no time to cook after putting out the oven at {earliest} "
            f"and {preheat} min of preheating; start earlier or eat later."
        )
    if sun_times(outlook.place, outlook.date).state == "does not rise":
        raise ValueError(sun_times(outlook.place, outlook.date).sentence)
    for dish in menu:
        if dish.pot is not None and filling(dish.pot, dish.food) > FULL:
            load = f"{dish.food.mass + dish.food.water:.1f} kg of {dish.food.name} with its water"
            raise ValueError(f"{load} overfill the pot ({dish.pot.name}); share them among more pots.")

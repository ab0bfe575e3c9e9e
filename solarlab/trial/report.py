"""The whole report on a measured oven, and three invented days to try it on."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import pandas as pd

from .._shelf import folder
from ..catalogue import Handling, Oven, Place, oven, place, pot
from .fit import Fit, Run, fit_oven, nothing_to_tell
from .improve import first_step, what_to_improve
from .light import clock_error, sky_of
from .logger import read_log
from .merit import (
    FiguresOfMerit,
    measured_merit,
)
from .standard import StandardPower, standard_power

OFF_CLOCK = 6.0  # min: a clock that the sun says is further off earns a note


@dataclass(frozen=True, eq=False)
class Report:
    """All that logs say of an oven; parts that could not be made are None, and ``notes`` say why."""

    oven: Oven
    power: StandardPower | None
    merit: FiguresOfMerit | None
    fit: Fit | None
    improvements: pd.DataFrame | None
    notes: tuple[str, ...]

    def __str__(self) -> str:
        return "\n".join(" ".join(part) for part in self.told())

    def told(self) -> list[list[str]]:
        """Its parts, each a list of sentences, the first of which starts with a capital."""
        parts = [part.told() for part in (self.power, self.merit, self.fit) if part is not None]
        parts += [[first_step(self.improvements)]] if self.improvements is not None else []
        parts += [[note] for note in self.notes]
        return [[first[:1].upper() + first[1:], *rest] for first, *rest in parts]


def invented_runs() -> tuple[Oven, Place, tuple[Run, ...]]:
    """Three invented days with one box and three sorts of logger: the catalogue oven, the place, the runs.

    The second logger's clock gained six minutes, as its file says; see ``data/logs``.
    """
    where = place("Bamako")
    drifted = {"clock": (("08:31", "08:31"), ("17:36", "17:30"))}
    options = ({"plane": "sun"}, {"plane": "sun", "day_first": True, **drifted}, {"plane": "level"})
    handling = Handling(loaded="09:00", reaim_every=20.0)
    vessel, runs = pot("dark enamelled steel"), []
    for number, option in enumerate(options, 1):
        log = read_log(folder() / "logs" / f"invented-day-{number}.csv", where.timezone, **option)
        runs.append(Run(log, handling, 2.6, vessel))
    return oven("one-mirror box"), where, tuple(runs)


def measure(oven: Oven, place: Place, runs: Run | Sequence[Run], *, seed: int = 0,
            progress: Callable[[int, int], None] = nothing_to_tell) -> Report:  # fmt: skip
    """Everything that one or more runs say of an oven built like ``oven``; what cannot be said is a note.

    Standard cooking power comes from the runs with water (of one load), the figures of merit from the first
    empty and the first loaded run, loss and light from all.  ``progress(done, total)`` is called as it goes.
    """
    runs = [runs] if isinstance(runs, Run) else list(runs)
    notes = []
    for run in runs:
        off = clock_error(run.log, place)
        if off is not None and abs(off) > OFF_CLOCK:
            notes.append(
                f"By the light of {run.log.name} its clock is about {abs(off):.0f} min "
                f"{'fast' if off > 0 else 'slow'}; compare it with a good clock and state both."
            )
    wet = [run for run in runs if run.water > 0.0]
    dry = [run for run in runs if run.water == 0.0]
    loads = sorted({float(run.water) for run in wet})
    if len(loads) > 1:
        notes.append(f"Standard cooking power needs one load; these are {loads[0]:g} to {loads[-1]:g} kg.")

    def attempt(what, make):
        """The part, or None and a note."""
        try:
            return make()
        except (ValueError, ArithmeticError) as reason:
            notes.append(f"No {what}: {str(reason).rstrip('.')}.")
            return None

    progress(0, 100)
    power = merit = improvements = None
    if len(loads) == 1:
        logs = [run.log for run in wet]
        power = attempt("standard cooking power", lambda: standard_power(logs, place, oven, loads[0]))
    if dry:
        loaded = wet[0] if wet else None
        arguments = (dry[0].log, loaded.log if loaded else None, place, oven, loaded.water if loaded else 0.0)
        merit = attempt("figures of merit", lambda: measured_merit(*arguments))
    inner = {"seed": seed, "progress": lambda done, total: progress(5 + round(65 * done / total), 100)}
    fit = attempt("fit", lambda: fit_oven(oven, place, runs, **inner))
    if fit is not None and wet:
        run = wet[0]

        def improve():
            seen = sky_of(run.log.every(300.0), place)[0]
            later = {"progress": lambda done, total: progress(70 + 30 * done // total, 100)}
            return what_to_improve(fit, seen, run.pot, run.water, run.handling, **later)

        improvements = attempt("table of improvements", improve)
    progress(100, 100)
    return Report(oven, power, merit, fit, improvements, tuple(notes))

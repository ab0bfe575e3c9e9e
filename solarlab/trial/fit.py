"""An oven's heat loss and light fitted to logs through `warm`, with block-bootstrap intervals.

Two factors are fitted: ``loss`` multiplies the catalogue oven's wall conductance, ``light`` what its optics
take in.  With them goes, for each run with water, its true temperature at loading, which is then forgotten.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace

import numpy as np
import pandas as pd
from scipy import stats
from scipy.optimize import least_squares

from .._limits import LIMITS, fahrenheit, within
from .._quantity import Quantity
from .._scenario import loading_indices, nothing
from ..catalogue import Handling, Oven, Place, Pot, food, portion
from ..food import body
from ..heat import warm
from ..oven import Gain, gain
from ..sky import Sky
from ..sun import station_pressure
from ..water import boiling_point
from .estimate import LEVEL, Estimate
from .light import sky_of
from .logger import Log
from .resample import Noise, Series, block_bootstrap

STEP = 120.0  # s, the least the model is run at
NEAR_BOIL = 3.0  # K: readings this near the boil say nothing of loss or light
FEWEST = 20  # readings a run must leave to the fit
_OPEN = 30.0  # the upper end of a loss over its lower: beyond it the logs say nothing of it
_MOVES = np.array([0.02, 0.01, 0.2])  # of ln loss, ln light and the first temperature [K], for derivatives
_FARTHEST = 5.0  # K, of the first temperature from the first readings
_DUST = np.linspace(0.0, 0.7, 36)


def nothing_to_tell(done: int, total: int) -> None:
    """The progress that nobody watches."""


@dataclass(frozen=True, eq=False)
class Run:
    """One log of one day, and what was in the oven: ``water`` kg in ``pot`` (0 kg, None: an empty oven).

    ``handling.loaded`` is when the water went in; the log must cover it.  With water its temperature is
    fitted, in an empty oven the cavity's.
    """

    log: Log
    handling: Handling
    water: float = 0.0
    pot: Pot | None = None


@dataclass(frozen=True, eq=False)
class Fit:
    """``loss`` and ``light``: factors on the catalogue oven ``base``.  ``wall_conductance`` in W/(m² K).

    ``misfit`` [K]: root mean square of measured less modelled.  ``draws`` ``(n, 2)``: resampled loss, light.
    ``curves``: for each run a table of local time, measured and modelled temperature [°C, °F].
    ``dust_of_light`` ``(2, k)``: light factor, rising, over the dust that gives it.
    """

    base: Oven
    place: Place
    loss: Estimate
    light: Estimate
    wall_conductance: Estimate
    misfit: float
    draws: np.ndarray = field(repr=False)
    curves: tuple[pd.DataFrame, ...] = field(repr=False)
    dust_of_light: np.ndarray = field(repr=False)
    notes: tuple[str, ...] = ()

    def __str__(self) -> str:
        return " ".join(self.told())

    def told(self) -> list[str]:
        """Light, loss, misfit and notes, a sentence each."""
        light, loss = self.light, self.wall_conductance
        return [
            f"It takes in {light.value:.0%} (95 %: {light.low:.0%} to {light.high:.0%}) of the light of the "
            f"{self.base.name} in the catalogue; its walls lose {loss.value:.2f} (95 %: {loss.low:.2f} to "
            f"{loss.high:.2f}) W/(m² K), there {float(self.base.wall_conductance):.2f}.",
            f"The model misses the readings by {self.misfit:.1f} K.",
            *self.notes,
        ]

    def oven(self, name: str | None = None) -> Oven:
        """The fitted oven, ready for `cook` and `save_oven`; its sources say what the logs changed.

        Light becomes ``dust``, all that is lost and not explained by the design.
        """
        lights, dusts = self.dust_of_light
        if self.light.low > lights[-1]:
            raise ValueError(
                f"the logs ask for {self.light.value:.0%} of the light the {self.base.name} takes in, and "
                f"spotless it takes {lights[-1]:.0%}; check its sizes, its mirrors and the light sensor."
            )
        days = sorted({f"{curve['time'].iloc[0]:%Y-%m-%d}" for curve in self.curves})
        told = f"fitted to {len(self.curves)} log(s) at {self.place.name}, {' and '.join(days)}"
        found = {
            "wall_conductance": (
                self.wall_conductance.value,
                self.wall_conductance.error,
                "loss beyond the glass",
            ),
            "dust": (
                float(np.interp(self.light.value, lights, dusts)),
                float(np.interp(self.draws[:, 1], lights, dusts).std()),
                "light the design does not explain",
            ),
        }
        sources = dict(self.base.sources)
        for item, (value, spread, what) in found.items():
            low, high, unit = LIMITS["Oven"][item]
            text = f"{told}: all {what}; was {float(getattr(self.base, item)):.4g}"
            sources[item] = Quantity(value, unit, spread, text, low, high)
        changed = {item: value for item, (value, _, _) in found.items()}
        about = (
            f"{self.base.about}; loss and light measured" if self.base.about else "loss and light measured"
        )
        return replace(
            self.base, name=name or f"{self.base.name}, measured", about=about, sources=sources, **changed
        )

    def ovens(self, count: int = 40) -> Oven:
        """``count`` draws of the fitted oven, as arrays in one `Oven`: its doubt, for `cook`."""
        draws = self.draws[np.linspace(0, len(self.draws) - 1, count).astype(int)]
        dust = np.interp(draws[:, 1], *self.dust_of_light)
        return replace(self.base, wall_conductance=self.base.wall_conductance * draws[:, 0], dust=dust)


@dataclass(frozen=True, eq=False)
class _Case:
    """One run made ready: the model of it as a function, and the readings it must meet."""

    run: Run
    oven: Oven
    sky: Sky
    light: Gain
    measured: np.ndarray
    used: np.ndarray
    first: float
    notes: tuple[str, ...]

    @property
    def wet(self) -> bool:
        return self.run.water > 0.0

    def model(self, loss, light, shift) -> np.ndarray:
        """Temperature ``(n, T)`` of the water, or an empty oven's cavity, for n factors and shifts [K]."""
        scale = np.asarray(light)[:, None]
        watts = {name: getattr(self.light, name) * scale for name in ("into_cavity", "into_glazing")}
        power = replace(self.light, **watts)
        box = replace(self.oven, wall_conductance=self.oven.wall_conductance * np.asarray(loss))
        if self.wet:
            water = portion(
                food("water"), mass=self.run.water, initial_temperature=self.first + np.asarray(shift)
            )
            return warm(
                box, self.run.pot, body(water, self.run.pot), power, self.sky, self.run.handling
            ).liquid
        return warm(box, None, nothing(self.first), power, self.sky, self.run.handling).cavity


def _case(oven: Oven, place: Place, run: Run) -> _Case:
    within("water", run.water, 0.0, 1000.0, "kg")
    role = "water" if run.water > 0.0 else "cavity"
    if role == "water" and run.pot is None:
        raise ValueError(f"{run.log.name}: {run.water:g} kg of water needs its pot.")
    run.log.needs(role)
    days = len(run.log.days())
    if days > 1:
        raise ValueError(f"{run.log.name} holds {days} days; make a run of each part of log.days().")
    log = run.log.every(STEP)
    sky, notes = sky_of(log, place)
    measured, step = log.temperature(role), log.times.step
    loaded = int(loading_indices(log.times, run.handling)[1])
    used = np.isfinite(measured) & (np.arange(measured.size) > loaded)
    if role == "water":
        boil = float(boiling_point(station_pressure(place.elevation)))
        used &= np.abs(measured - boil) > NEAR_BOIL
    if used.sum() < FEWEST:
        raise ValueError(
            f"{log.name} leaves {used.sum()} readings of the {role} after {run.handling.loaded} and off the "
            f"boil; a fit needs at least {FEWEST}, in steps of {step:g} s."
        )
    soon = loaded + np.flatnonzero(np.isfinite(measured[loaded:]))[:3]
    if (soon[0] - loaded) * step > 900.0:
        raise ValueError(f"{log.name} has no reading of the {role} within 15 min of {run.handling.loaded}.")
    first = float(np.clip(np.median(measured[soon]), 0.1, 119.0))
    return _Case(run, oven, sky, gain(oven, sky, run.handling), measured, used, first, notes)


def fit_oven(oven: Oven, place: Place, runs: Run | Sequence[Run], *, draws: int = 1000, seed: int = 0,
             progress: Callable[[int, int], None] = nothing_to_tell) -> Fit:  # fmt: skip
    """Fit ``oven``'s loss and light to one or more runs, by generalised least squares.

    Errors that hold on are allowed for, and the intervals come from ``draws`` resamplings in moving blocks
    (see `_resample`); they are Student's with as many degrees of freedom as hours of readings less two.  They
    hold the scatter of readings and light, not a sensor that is wrong throughout: light read 5 % too high
    makes the oven's light 5 % too low.  ``progress(done, total)`` is called as it goes.
    """
    runs = [runs] if isinstance(runs, Run) else list(runs)
    if not runs:
        raise ValueError("there is no run to fit; give at least one Run(log, handling, water, pot).")
    cases = []
    for number, run in enumerate(runs):
        progress(round(30 * number / len(runs)), 100)
        cases.append(_case(oven, place, run))
    steps = [case.sky.times.step for case in cases]
    seconds = [np.flatnonzero(case.used) * step for case, step in zip(cases, steps, strict=True)]
    series = Series(tuple(seconds), max(steps))
    x, low, high = _bounds(oven, cases)
    search, noise = _Search(cases, progress), Noise(series)
    scale = np.r_[0.3, 0.1, np.full(x.size - 2, 0.5)]
    for turn in range(3):
        x = least_squares(
            lambda x: noise.whiten(search(x)[0]), x, jac=lambda x: noise.whiten(search(x)[1]),
            bounds=(low, high), x_scale=scale, xtol=1e-5, ftol=1e-8, max_nfev=40,
        ).x  # fmt: skip
        if turn < 2:
            noise.fit(*search(x))
    residuals, slopes = search(x)
    progress(90, 100)
    deviations = block_bootstrap(noise.whiten(residuals), noise.whiten(slopes), series, draws, seed)[:, :2]
    edge = (x - low < 1e-6) | (high - x < 1e-6)
    fit = _result(oven, place, cases, x, residuals, deviations, max(series.hours - 2, 2), edge)
    progress(100, 100)
    return fit


def _bounds(oven: Oven, cases: list[_Case]):
    """Start, lowest and highest of ln loss, ln light and the shift of each wet run."""
    wet = sum(case.wet for case in cases)
    most = 49.0 / max(float(oven.wall_conductance), 1e-6)
    low = np.r_[np.log([0.03, 0.2]), np.full(wet, -_FARTHEST)]
    high = np.r_[np.log([min(10.0, most), 3.0]), np.full(wet, _FARTHEST)]
    return np.zeros(2 + wet), low, high


class _Search:
    """Residuals [K] and their derivatives by all parameters, remembered for the latest point."""

    def __init__(self, cases: list[_Case], progress):
        self.cases, self.progress, self.count, self.key, self.kept = cases, progress, 0, None, None

    def __call__(self, x: np.ndarray):
        if self.key != x.tobytes():
            self.key = x.tobytes()
            self.progress(30 + round(60 * (1.0 - 0.85**self.count)), 100)
            self.count += 1
            self.kept = self._evaluate(x)
        return self.kept

    def _evaluate(self, x):
        residuals, slopes, own = [], [], 2
        for case in self.cases:
            columns = [0, 1, own] if case.wet else [0, 1]
            moves = np.diag(_MOVES[: len(columns)])
            points = x[columns] + np.concatenate([np.zeros((1, len(columns))), moves, -moves])
            shift = points[:, 2] if case.wet else 0.0
            curves = case.model(np.exp(points[:, 0]), np.exp(points[:, 1]), shift)[:, case.used]
            up, down = np.split(curves[1:], 2)
            slope = np.zeros((case.used.sum(), x.size))
            slope[:, columns] = ((up - down) / (2.0 * _MOVES[: len(columns), None])).T
            residuals.append(curves[0] - case.measured[case.used])
            slopes.append(slope)
            own += case.wet
        return np.concatenate(residuals), np.concatenate(slopes)


def _result(oven, place, cases, x, residuals, deviations, freedom, edge) -> Fit:
    notes = list(dict.fromkeys(note for case in cases for note in case.notes))
    if edge[:2].any():
        which = int(np.argmax(edge[:2]))
        raise ValueError(
            f"the logs don't fit an oven built like the {oven.name}: its {('loss', 'light')[which]} would "
            f"have to be {np.exp(x[which]):.2g} times as large, the utmost that is looked for; name the oven "
            "it was built like, and check sizes, load and light sensor."
        )
    if edge.any():
        notes.append("A first temperature is far from its readings: check when the water went in.")
    reach = stats.t.ppf(0.5 + LEVEL / 2, freedom)
    error = deviations.std(axis=0, ddof=1)
    low, high = np.exp(x[:2] - reach * error), np.exp(x[:2] + reach * error)
    value = np.exp(x[:2])
    if high[0] > _OPEN * low[0]:
        raise ValueError(
            f"the logs leave the loss of an oven like the {oven.name} open, from {low[0]:.2g} to "
            f"{high[0]:.2g} times as large: log the cooling down as well, or the empty oven too."
        )
    if high[0] > 2.0 * low[0]:
        notes.append(
            "Loss and light are hard to tell apart here: log the cooling down as well, or the empty oven too."
        )

    def estimate(what, i, unit="", scale=1.0):
        e = scale * value[i] * error[i]
        return Estimate(what, scale * value[i], scale * low[i], scale * high[i], unit, e, freedom)

    walls = float(oven.wall_conductance)
    dusty = [_lights(oven, case) for case in cases]
    lights = np.mean(dusty, axis=0)
    draws = value * np.exp(deviations * reach / stats.norm.ppf(0.5 + LEVEL / 2))
    return Fit(
        oven, place, estimate("loss factor", 0), estimate("light factor", 1),
        estimate("wall conductance", 0, "W/(m² K)", walls), float(np.sqrt(np.mean(residuals**2))), draws,
        _curves(cases, x), np.array([lights[::-1], _DUST[::-1]]), tuple(notes),
    )  # fmt: skip


def _lights(oven: Oven, case: _Case) -> np.ndarray:
    """Light factor at each dust of the grid, over the day of that run."""
    dusty = gain(replace(oven, dust=_DUST), case.sky, case.run.handling).into_cavity.sum(axis=-1)
    return dusty / case.light.into_cavity.sum()


def _curves(cases: list[_Case], x: np.ndarray) -> tuple[pd.DataFrame, ...]:
    tables, own = [], 2
    for case in cases:
        shift = x[[own]] if case.wet else 0.0
        modelled = case.model(np.exp(x[[0]]), np.exp(x[[1]]), shift)[0]
        own += case.wet
        tables.append(
            pd.DataFrame(
                {
                    "time": case.sky.times.local,
                    "measured": case.measured,
                    "modelled": modelled,
                    "measured_F": fahrenheit(case.measured),
                    "modelled_F": fahrenheit(modelled),
                    "used": case.used,
                }
            )
        )
    return tuple(tables)

"""A measured number with its doubt, and two of them held against each other."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy import stats

LEVEL = 0.95


@dataclass(frozen=True)
class Estimate:
    """``value`` in ``unit`` with its 95 % interval ``low``..``high``.

    ``error`` is one standard error and ``freedom`` its degrees of freedom (inf: known well).  NaN where the
    data allow no value.
    """

    what: str
    value: float
    low: float
    high: float
    unit: str
    error: float
    freedom: float = float("inf")

    def __str__(self) -> str:
        if not np.isfinite(self.value):
            return f"{self.what}: no value from these data"
        unit = f" {self.unit}" if self.unit else ""
        if not (np.isfinite(self.low) and np.isfinite(self.high)):
            return f"{self.what}: {_three(self.value)}{unit}, its interval unknown"
        return (
            f"{self.what}: {_three(self.value)}{unit} (95 %: {_three(self.low)} to {_three(self.high)}{unit})"
        )


@dataclass(frozen=True)
class Comparison:
    """``difference``: first less second.  ``answer``: the greater, "first" or "second", or "cannot tell"."""

    difference: Estimate
    answer: str
    sentence: str

    def __str__(self) -> str:
        return self.sentence


def spread_about(what, value, error, freedom, unit) -> Estimate:
    """An `Estimate` whose interval is Student's."""
    reach = stats.t.ppf(0.5 + LEVEL / 2, freedom) * error if freedom > 0 and np.isfinite(error) else np.nan
    return Estimate(
        what, float(value), float(value - reach), float(value + reach), unit, float(error), float(freedom)
    )


def compare(
    one: Estimate, other: Estimate, names: tuple[str, str] = ("the first", "the second")
) -> Comparison:
    """Which of two estimates of the same quantity is the greater, by Welch's interval of their difference.

    The answer is "cannot tell" as long as the 95 % interval of the difference holds 0; the sentence then says
    how large a difference could still be hidden.  Both must have been measured apart from each other.
    """
    if one.what != other.what or one.unit != other.unit:
        raise ValueError(f"{one.what} [{one.unit}] can't be compared with {other.what} [{other.unit}].")
    error = float(np.hypot(one.error, other.error))
    parts = [e.error**4 / e.freedom for e in (one, other) if np.isfinite(e.freedom) and e.freedom > 0]
    freedom = error**4 / sum(parts) if sum(parts) > 0 else np.inf
    unknown = not all(e.freedom > 0 and np.isfinite(e.error) for e in (one, other))
    gap = spread_about(
        f"difference in {one.what}", one.value - other.value, error, 0 if unknown else freedom, one.unit
    )
    first, second = names
    unit = f" {one.unit}" if one.unit else ""
    if not (np.isfinite(gap.low) and np.isfinite(gap.high)):
        told = (
            f"Cannot tell {first} from {second}: at least one of them has no interval; measure on more days."
        )
        return Comparison(gap, "cannot tell", told)
    within = f"95 %: {_three(gap.low)} to {_three(gap.high)}{unit}"
    if gap.low <= 0.0 <= gap.high:
        most = max(abs(gap.low), abs(gap.high))
        told = (
            f"Cannot tell {first} from {second} in {one.what}: the difference is {_three(gap.value)}{unit} "
            f"({within}), so up to {_three(most)}{unit} either way may hide in the scatter."
        )
        return Comparison(gap, "cannot tell", told)
    more, less, sign = (first, second, 1.0) if gap.value > 0 else (second, first, -1.0)
    low, high = sorted((sign * gap.low, sign * gap.high))
    told = (
        f"{more[0].upper()}{more[1:]} has {_three(abs(gap.value))}{unit} more {one.what} than {less} "
        f"(95 %: {_three(low)} to {_three(high)}{unit})."
    )
    return Comparison(gap, "first" if gap.value > 0 else "second", told)


def _three(number: float) -> str:
    """About three figures, without an exponent."""
    number = float(number)
    if number == 0.0 or not np.isfinite(number):
        return f"{number:g}"
    digits = max(0, 2 - int(np.floor(np.log10(abs(number)))))
    return f"{number:.{min(digits, 4)}f}"

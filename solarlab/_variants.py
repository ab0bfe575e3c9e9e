"""Drawing a learner's numbers, and the inputs a function is tested on, so that no two answers are confused.

Drawn again until the right answer and every way of going wrong lie further apart than the tolerance.  What a
function is tested on also tells apart from the right one any that is off by one in an input or in what it
gives, as far as a search finds such inputs: a wrong edge shows on few inputs, and a dozen may all miss it.
"""

from __future__ import annotations

import hashlib
import itertools
import json
import math
import warnings
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from functools import lru_cache
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from .exercises import Exercise

INPUT_COUNT = 12  # inputs a function is tested on, before those that a wrong edge needs
SEARCH_LIMIT = 200  # further inputs that are looked at for those
DRAW_LIMIT = 500  # draws after which an exercise is called impossible


class Draw:
    """Repeatable numbers from SHA-256 of some words: the same on every machine and in every version."""

    def __init__(self, *words: object) -> None:
        self._seed = json.dumps([str(word) for word in words]).encode()
        self._count = 0

    def uniform(self, low: float, high: float) -> float:
        """A number in [low, high)."""
        self._count += 1
        digest = hashlib.sha256(self._seed + self._count.to_bytes(8, "big")).digest()
        return low + (high - low) * (int.from_bytes(digest[:6], "big") / 2**48)

    def pick(self, options: Sequence):
        """One of ``options``."""
        return options[int(self.uniform(0, len(options)))]

    def step(self, low: float, high: float, step: float) -> float:
        """One of low, low + step, … high, without rounding dust."""
        count = round((high - low) / step)
        return round(low + step * int(self.uniform(0, count + 1)), 9)

    def shuffle(self, options: Iterable) -> list:
        """All of ``options``, in an order of their own."""
        left, order = list(options), []
        while left:
            order.append(left.pop(int(self.uniform(0, len(left)))))
        return order


def lettered(order: Sequence[str], words: Mapping[str, str]) -> dict:
    """A choice's part of a variant: the ``order`` drawn for its answers, their ``words`` under a, b, c, …"""
    return {"order": list(order)} | {chr(97 + i): words[name] for i, name in enumerate(order)}


def letter_of(name: str) -> Callable[[Mapping], str]:
    """The model whose answer to a `lettered` variant is the letter under which ``name`` stands."""
    return lambda variant: chr(97 + variant["order"].index(name))


@lru_cache(maxsize=512)
def numbers(exercise: Exercise, who: str, secret: str) -> tuple[dict, int]:
    """A tidied id's variant, and how many draws were thrown away.  Not to be changed: copy it."""
    for attempt in range(DRAW_LIMIT):
        source = Draw(exercise.id, who, secret, attempt)
        drawn = exercise.variant(source) if exercise.variant else {}
        if exercise.kind in ("function", "bug", "explanation") or _distinct(exercise, drawn):
            return drawn, attempt
    raise ValueError(f"exercise {exercise.id}: {DRAW_LIMIT} draws, and in each two answers could be confused")


@lru_cache(maxsize=512)
def tests(exercise: Exercise, who: str, secret: str) -> list[dict]:
    """The inputs on which a function is tested.  Not to be changed: copy them."""
    for attempt in range(DRAW_LIMIT):
        source = Draw(exercise.id, who, secret, "inputs", attempt)
        drawn = [exercise.inputs(source) for _ in range(INPUT_COUNT)]
        if _apart(exercise, [values(model, drawn) for model in _models(exercise)]):
            with warnings.catch_warnings():
                warnings.simplefilter("ignore")  # off by one may be out of range
                return drawn + _edges(exercise, drawn, source)
    raise ValueError(f"exercise {exercise.id}: no {DRAW_LIMIT} sets of inputs tell its alternatives apart")


def values(model: Callable, tests: Sequence[dict]) -> list[float]:
    """What a model gives on each input."""
    return [float(model(**test)) for test in tests]


def close(exercise: Exercise, said: object, wanted: object, widen: float = 1.0) -> bool:
    """Whether an answer, or each of a list of them, is within ``widen`` tolerances of the one wanted."""
    if isinstance(wanted, list):
        return all(close(exercise, a, b, widen) for a, b in zip(said, wanted, strict=True))
    if isinstance(wanted, str):
        return said == wanted
    relative, absolute = exercise.tolerance
    size = max(abs(said), abs(wanted)) if widen > 1 else abs(wanted)
    return abs(said - wanted) <= widen * max(relative * size, absolute)


def _models(exercise: Exercise) -> list[Callable]:
    given = [exercise.given] if exercise.given else []
    return [exercise.answer, *(alternative.model for alternative in exercise.alternatives), *given]


def _distinct(exercise: Exercise, drawn: dict) -> bool:
    if exercise.kind == "plan":
        notes = [exercise.fault(drawn, model(drawn)) for model in _models(exercise)]
        return notes == ["", *(alternative.note for alternative in exercise.alternatives)]
    return _apart(exercise, [model(drawn) for model in _models(exercise)])


def _apart(exercise: Exercise, answers: list) -> bool:
    """Whether no answer can be within tolerance of two of ``answers``."""
    if exercise.kind == "number" and not all(math.isfinite(answer) for answer in answers):
        return False
    return not any(close(exercise, one, two, 2.0) for one, two in itertools.combinations(answers, 2))


def _edges(exercise: Exercise, drawn: list[dict], source: Draw) -> list[dict]:
    """Further inputs, each of which shows a slip at an edge that ``drawn`` does not show."""
    right = values(exercise.answer, drawn)
    slips = _slips(exercise.answer, drawn[0])
    hidden = [slip for slip in slips if close(exercise, list(map(slip, drawn, right)), right)]
    found: list[dict] = []
    for _ in range(SEARCH_LIMIT if hidden else 0):
        test = exercise.inputs(source)
        wanted = float(exercise.answer(**test))
        still = [slip for slip in hidden if close(exercise, slip(test, wanted), wanted)]
        if len(still) < len(hidden):
            found.append(test)
        hidden = still
        if not hidden:
            break
    return found


def _slips(answer: Callable, sample: Mapping) -> Iterator[Callable[[dict, float], float]]:
    """Functions of an input and its right answer: what is given by one who is off by one in what they give,
    never gives nothing, or is off by one in one of the inputs (in every entry of a list).
    """
    yield lambda test, right: right or 1.0
    for shift in (1, -1):
        yield lambda test, right, shift=shift: right + shift
        for place in (name for name, value in sample.items() if _numeric(value)):
            yield lambda test, right, place=place, shift=shift: _shifted(answer, test, place, shift)


def _shifted(answer: Callable, test: Mapping, place: str, shift: int) -> float:
    old = test[place]
    new = [each + shift for each in old] if isinstance(old, (list, tuple)) else old + shift
    try:
        return float(answer(**{**test, place: new}))
    except (ArithmeticError, ValueError, TypeError, LookupError):
        return math.nan  # it stops there, so it shows


def _numeric(value: object) -> bool:
    parts = value if isinstance(value, (list, tuple)) else [value]
    return all(isinstance(part, (int, float)) and not isinstance(part, bool) for part in parts)

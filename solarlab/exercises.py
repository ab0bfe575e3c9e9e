"""Exercises: a variant for each learner, wrong answers as models of how people go wrong, and honest replies.

A lesson's ``exercises.py`` states its exercises as data in a tuple called ``LESSON``.  Everything here is
public: the package is the answer key.  What a class keeps secret is the *inputs* on which a handed-in
function is tested: ``inputs(..., secret)`` draws them, ``hand_over`` runs the function on them wherever the
learner's work runs, and ``judge`` marks the plain values that come back, somewhere else.  ``check`` does all
three at once.

Numbers are drawn in ``_variants``, from SHA-256 of exercise and learner, so they are the same on every
machine.
"""

from __future__ import annotations

import contextlib
import copy
import io
import math
import os
import unicodedata
import warnings
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field

from . import _variants
from ._lessons import Lesson, beside, lesson
from ._reading import Unreadable, blank, choice, number, plain, plan
from ._variants import Draw, close, letter_of, lettered, values
from .glossary import Text

__all__ = [
    "CANNOT_READ", "HANDED_IN", "NOT_ATTEMPTED", "NOT_YET", "RIGHT", "Alternative", "Draw", "Exercise",
    "Lesson", "Question", "Reply", "Unreadable", "ask", "beside", "blank", "check", "draw", "hand_over",
    "hint", "inputs", "judge", "learner", "lesson", "letter_of", "lettered", "mark", "number",
    "plain", "variant",
]  # fmt: skip
KINDS = ("number", "choice", "function", "bug", "plan", "explanation")
NOT_ATTEMPTED, RIGHT, NOT_YET, CANNOT_READ, HANDED_IN = (
    "not attempted yet", "right", "not yet", "cannot read", "handed in",
)  # fmt: skip


@dataclass(frozen=True)
class Alternative:
    """A way of going wrong, as a model.

    ``note``: short stable slug, independent of the learner's numbers, so that a class can be summed.
    ``model``: variant -> value (number: float; choice: its key; plan: a plan), or for functions a callable
    like the answer.  ``hint`` helps without giving the answer; ``why`` tells teachers why people hold it;
    ``source`` is ``"ours"`` or the research it is cited from.  ``credit`` is the share of the points it
    still earns, 0..1.
    """

    note: str
    model: Callable
    hint: str
    why: str
    source: str = "ours"
    credit: float = 0.0


@dataclass(frozen=True, eq=False)
class Exercise:
    """One exercise of a lesson.  See KINDS.

    ``variant(draw)`` gives the learner's numbers as a dict of plain JSON values; ``question`` is text with
    ``{places}`` for them.  ``answer`` is variant -> value, or for ``function`` and ``bug`` the reference
    function itself, tested on ``inputs(draw)`` -> keyword arguments.  ``fault(variant, plan)`` gives the
    note of what is wrong with a plan, ``""`` if it works; ``fields`` names the plan's parts, each a unit or
    a tuple of words.  ``tolerance`` is (relative, absolute); the wider counts.  ``variable`` is the name that
    holds the learner's answer in the notebook.  ``rubric`` is (points, what earns them), marked by hand.
    ``given`` is the faulty function a ``bug`` starts from: handed back as it was, nothing was attempted.
    """

    id: str
    kind: str
    title: str
    question: str
    variable: str
    points: float
    answer: Callable | None = None
    variant: Callable[[Draw], dict] | None = None
    alternatives: tuple[Alternative, ...] = ()
    tolerance: tuple[float, float] = (0.02, 0.0)
    unit: str = ""
    choices: Mapping[str, str] = field(default_factory=dict)
    inputs: Callable[[Draw], dict] | None = None
    fields: Mapping[str, object] = field(default_factory=dict)
    fault: Callable[[dict, dict], str] | None = None
    hints: tuple[str, ...] = ()
    rubric: tuple[tuple[float, str], ...] = ()
    given: Callable | None = None
    track: str = "no-code"

    def __post_init__(self) -> None:
        if self.kind not in KINDS:
            raise ValueError(f"exercise {self.id}: kind {self.kind!r} is not one of {', '.join(KINDS)}")
        if self.kind == "explanation" and not math.isclose(sum(p for p, _ in self.rubric), self.points):
            raise ValueError(f"exercise {self.id}: the rubric must add up to its {self.points} points")


@dataclass(frozen=True)
class Reply:
    """What a check says: ``state``, answer ``note`` (``""`` when right), ``hint``, and the points earned."""

    state: str
    note: str = ""
    hint: str = ""
    points: float = 0.0

    def __str__(self) -> str:
        mark = {RIGHT: "✓", NOT_YET: "✗", CANNOT_READ: "?", HANDED_IN: "✓"}.get(self.state, "…")
        return f"{mark} {self.state.capitalize()}." + (f" {self.hint}" if self.hint else "")

    __repr__ = __str__


def learner(name: str = "") -> str:
    """The learner's id, tidied: the name given, else ``SOLARLAB_LEARNER`` in the environment, else
    ``"guest"``.

    The id decides your numbers: the same id always gets the same ones.  In a class the teacher gives it out.
    """
    raw = name if type(name) is str and not blank(name) else os.environ.get("SOLARLAB_LEARNER", "")
    return " ".join(unicodedata.normalize("NFC", raw).split()).casefold()[:80] or "guest"


def draw(exercise: Exercise, who: str, secret: str = "") -> tuple[dict, int]:
    """The learner's variant, and how many draws were thrown away as two answers in them could be confused."""
    drawn, redraws = _variants.numbers(exercise, learner(who), secret)
    return copy.deepcopy(drawn), redraws


def variant(exercise: Exercise, who: str, secret: str = "") -> dict:
    """The learner's own numbers: plain JSON values, the same on every machine."""
    return draw(exercise, who, secret)[0]


def inputs(exercise: Exercise, who: str, secret: str = "") -> list[dict]:
    """Keyword arguments on which a function is tested; with a class ``secret`` the learner cannot know them.

    Redrawn as a set until every alternative differs from the answer, and from the others, on some input; then
    as many more as it takes to show a function that is off by one, as far as a search finds them.
    """
    if exercise.kind not in ("function", "bug"):
        return []
    return copy.deepcopy(_variants.tests(exercise, learner(who), secret))


def ask(exercise: Exercise, who: str) -> Question:
    """The question with the learner's own numbers, ready to show."""
    drawn = variant(exercise, who)
    options = "".join(f"\n\n- **{key}**: {words}" for key, words in _choices(exercise, drawn).items())
    return Question(exercise.question.format(**drawn) + options)


class Question(Text):
    """A question with a learner's own numbers in it."""


def hand_over(exercise: Exercise, who: str, value: object, tests: Sequence[dict] = ()) -> object:
    """The learner's answer as plain JSON values, made where the learner's work runs.

    For ``function`` and ``bug``, ``value`` is called on each of ``tests`` and the list of results comes back,
    each a plain value or ``{"stopped": why}``.  Nothing is judged, no answer looked up, and nothing raised.
    """
    if exercise.kind not in ("function", "bug"):
        return plain(value)
    if plain(value) is None:
        return None
    if not callable(value):
        return {"unreadable": "not a function"}
    return [_call(value, test) for test in tests]


def judge(exercise: Exercise, who: str, handed: object, secret: str = "") -> Reply:
    """Mark plain values made by ``hand_over``, outside the learner's process.  Never raises on them."""
    if exercise.kind in ("function", "bug"):
        return _judge_function(exercise, handed, inputs(exercise, who, secret), hidden=bool(secret))
    if blank(handed):
        return Reply(NOT_ATTEMPTED)
    if exercise.kind == "explanation":
        if type(handed) is str:
            return Reply(HANDED_IN, hint="A person reads this one.")
        return Reply(CANNOT_READ, "cannot-read", "Sentences are wanted here.")
    drawn = variant(exercise, who)
    try:
        if exercise.kind == "plan":
            if type(handed) is dict and handed and all(blank(part) for part in handed.values()):
                return Reply(NOT_ATTEMPTED)
            note = exercise.fault(drawn, plan(handed, exercise.fields))
            return _reply(exercise, note, None if note else True)
        if exercise.kind == "choice":
            said = choice(handed, _choices(exercise, drawn))
        else:
            said = number(handed, exercise.unit)
    except Unreadable as error:
        return Reply(CANNOT_READ, "cannot-read", str(error))
    except ValueError as error:  # a model refusing a plan's numbers: it says why in one sentence
        return Reply(CANNOT_READ, "cannot-read", f"That plan cannot be worked out: {str(error).rstrip('.')}.")
    if close(exercise, said, exercise.answer(drawn)):
        return _reply(exercise, "", True)
    matches = (a.note for a in exercise.alternatives if close(exercise, said, a.model(drawn)))
    return _reply(exercise, next(matches, "unrecognised"), None)


def check(exercise: Exercise, who: str, value: object) -> Reply:
    """Reply at once to an answer: not attempted yet, right, not yet (with a hint), or cannot read."""
    return judge(exercise, who, hand_over(exercise, who, value, inputs(exercise, who)))


def mark(exercise: Exercise, who: str, value: object) -> float:
    """The points ``check`` gives, as a plain float: the last expression of a graded cell."""
    return float(check(exercise, who, value).points)


def hint(exercise: Exercise, step: int = 1) -> str:
    """The ``step``-th hint of the exercise's ladder; the last one again when it is used up."""
    if not exercise.hints:
        return "No hints here: say what you see."
    return exercise.hints[min(max(int(step), 1), len(exercise.hints)) - 1]


def _choices(exercise: Exercise, drawn: dict) -> dict[str, str]:
    return {key: words.format(**drawn) for key, words in exercise.choices.items()}


def _reply(exercise: Exercise, note: str, right: bool | None) -> Reply:
    if right:
        return Reply(RIGHT, points=float(exercise.points))
    for alternative in exercise.alternatives:
        if alternative.note == note:
            return Reply(NOT_YET, note, alternative.hint, float(exercise.points * alternative.credit))
    return Reply(NOT_YET, note, hint(exercise) if exercise.hints else "")


def _judge_function(exercise: Exercise, handed: object, tests: list[dict], hidden: bool) -> Reply:
    """Words that could carry a hidden input out, an error's own among them, are not repeated."""
    if blank(handed):
        return Reply(NOT_ATTEMPTED)
    if type(handed) is not list:
        return Reply(CANNOT_READ, "cannot-read", "A function is wanted here.")
    if len(handed) != len(tests):
        return Reply(CANNOT_READ, "cannot-read", "The function was not run on every test.")
    if all(blank(result) for result in handed):
        return Reply(NOT_ATTEMPTED)
    said = []
    for test, result in zip(tests, handed, strict=True):
        given = ", ".join(f"{name}={value}" for name, value in test.items())
        if type(result) is dict and "stopped" in result:
            why = f"With {given} it stopped: {str(result['stopped'])[:200]}"
            return Reply(NOT_YET, "stopped", "It stopped on a hidden input." if hidden else why)
        try:
            if type(result) is str:
                raise Unreadable("it gave text; a number is wanted.")
            said.append(number(result))
        except Unreadable as error:
            why = f"With {given}: {error}"
            return Reply(CANNOT_READ, "cannot-read", "No number on a hidden input." if hidden else why)
    if exercise.given and close(exercise, said, values(exercise.given, tests)):
        return Reply(NOT_ATTEMPTED)
    if close(exercise, said, values(exercise.answer, tests)):
        return _reply(exercise, "", True)
    matches = (a.note for a in exercise.alternatives if close(exercise, said, values(a.model, tests)))
    return _reply(exercise, next(matches, "unrecognised"), None)


def _call(function: Callable, test: dict) -> object:
    """One call, its warnings and prints kept quiet: anything on stderr would cost the learner the mark."""
    quiet = io.StringIO()
    try:
        with warnings.catch_warnings(), contextlib.redirect_stderr(quiet), contextlib.redirect_stdout(quiet):
            warnings.simplefilter("ignore")
            return plain(function(**copy.deepcopy(test)))
    except NotImplementedError:
        return None
    except KeyboardInterrupt:
        raise
    except BaseException as error:  # SystemExit too: a learner's function must not end the check
        kind = type.__getattribute__(type(error), "__name__")
        with contextlib.suppress(Exception):
            return {"stopped": f"{kind}: {error}"[:300]}
        return {"stopped": kind}

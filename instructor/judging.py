"""Judge what the box handed over, outside of it: one mark a question, with the reply in words.

Whose numbers?  Each learner's id decides the numbers they see.  Their own count.  Who worked with other
numbers in good faith (typed a nickname, or no id at all) keeps the marks for them, and it is said; who worked
with a classmate's does not, and the teacher is asked to look.
"""

from __future__ import annotations

import re
import traceback
from collections.abc import Mapping, Sequence, Set
from dataclasses import dataclass

from solarlab.exercises import CANNOT_READ, HANDED_IN, NOT_ATTEMPTED, NOT_YET, Exercise, Reply, judge
from solarlab.exercises import learner as tidy

from .box import Ran
from .notebook import Change
from .release import Question, Release
from .repair import Built

NOT_RUN, NOT_MARKED = "not run", "not marked"
NOBODY = "guest"  # whose numbers a notebook shows when no id was typed


@dataclass(frozen=True)
class Mark:
    """One question's mark.  ``score`` is None where a person marks it, or where it could not be marked."""

    grade_id: str
    exercise: str
    maximum: float
    score: float | None
    state: str
    note: str = ""
    hint: str = ""
    handed: object = None


@dataclass(frozen=True)
class Left:
    """A cell that was left out because it ended the run: slug and words."""

    code: str
    words: str


def judge_all(
    release: Release,
    who: str,
    classmates: Sequence[str],
    secret: str,
    built: Sequence[Built],
    ran: Ran,
    left_out: Mapping[str, Left],
    lost: Set[str] = frozenset(),
) -> tuple[list[Mark], list[Change], str]:
    """Marks in the order of the questions, what must be said about whose numbers were used, a log of faults.

    ``left_out`` maps the grade_id of a test cell whose hand-over ended the run to what happened; ``lost``
    names the questions whose answers stood in a part of the file that cannot be read.
    """
    marks, changes, log = [], [], ""
    others = {tidy(each) for each in classmates} - {tidy(who)}
    for question in release.questions:
        if question.grade_id in lost:
            words = "The part of the file that held this answer cannot be read: send the notebook again."
            reply = Reply(NOT_MARKED, "lost-in-the-file", words)
            marks.append(_mark(question, reply, None))
            continue
        if question.by_hand:
            untouched = next(cell.untouched for cell in built if cell.grade_id == question.grade_id)
            state = NOT_ATTEMPTED if untouched else HANDED_IN
            marks.append(Mark(question.grade_id, "", question.points, 0.0 if untouched else None, state))
            continue
        handed = ran.handed.get(question.grade_id)
        if question.grade_id in left_out:
            left = left_out[question.grade_id]
            reply = Reply(NOT_YET, left.code, f"When your answer was used, it {left.words.split(',')[0]}.")
        elif question.grade_id not in ran.handed:
            reply = Reply(NOT_RUN, "not-run", "The notebook stopped before it came to this question.")
        else:
            try:
                exercise = release.exercise(question)
                reply, said = _judge(exercise, who, others, handed, ran.claims.get(question.grade_id), secret)
                changes += said
            except Exception:  # a fault in the lesson, not in the learner's work: never a zero
                reply = Reply(
                    NOT_MARKED, "lesson-fault", "This question could not be marked; it costs nothing."
                )
                log += traceback.format_exc()
        marks.append(_mark(question, reply, handed))
    return marks, list(dict.fromkeys(changes)), log


def _mark(question: Question, reply: Reply, handed: object) -> Mark:
    score = None if reply.state == NOT_MARKED else max(0.0, min(float(reply.points), question.points))
    return Mark(
        question.grade_id,
        question.exercise,
        question.points,
        score,
        reply.state,
        reply.note,
        reply.hint,
        handed,
    )


def _judge(
    exercise: Exercise, who: str, others: set[str], handed: object, claim: object, secret: str
) -> tuple[Reply, list[Change]]:
    own = judge(exercise, who, handed, secret)
    if exercise.kind in ("function", "bug"):
        return _without_hidden_inputs(own), []
    typed = tidy(claim) if isinstance(claim, str) and claim.strip() else NOBODY
    if own.points >= exercise.points or typed == tidy(who) or own.state == NOT_ATTEMPTED:
        return own, []
    theirs = judge(exercise, typed, handed, secret)
    if theirs.points <= own.points:
        return own, []
    if typed in others:
        words = "An answer fits another learner's numbers, not yours: the notebook was worked under their id."
        return own, [Change("anothers-numbers", words, exercise.id)]
    shown = f"the id “{typed}”" if typed != NOBODY else "no id"
    words = f"The notebook was worked with {shown}; it was marked with the numbers you were shown."
    return theirs, [Change("other-id", words)]


def _without_hidden_inputs(reply: Reply) -> Reply:
    """The reply about a function, with no word of the inputs it was tested on, nor any its own errors may
    hold.
    """
    if reply.note == "stopped":
        found = re.search(r"it stopped: (\w+)", reply.hint)
        name = found[1] if found else "an error"
        return Reply(
            reply.state, reply.note, f"With one of the hidden inputs it stopped with {name}.", reply.points
        )
    if reply.state == CANNOT_READ and reply.hint.startswith("With "):
        words = "With one of the hidden inputs your function gave something that is no number."
        return Reply(reply.state, reply.note, words, reply.points)
    return reply

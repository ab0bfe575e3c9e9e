"""Mark one return: a pure function of (return, release, secret) -> result.

The learner's cells run in the box with each test cell replaced by a hand-over; the answers that come out are
judged here, on inputs the learner cannot know.  A test cell is written as failed first and overwritten once
it has run.
"""

from __future__ import annotations

import hashlib
import json
import traceback
from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass, replace

from solarlab.exercises import CANNOT_READ, HANDED_IN, NOT_ATTEMPTED, NOT_YET, RIGHT, Reply, inputs, judge

from . import box
from .notebook import Change, NotMarkable, read
from .release import Question, Release
from .repair import Built, rebuild

VERSION = 1  # raise it when the same return would be marked differently: everything is then marked again
RERUNS = 4  # a cell that ends the run costs itself; the run starts again without it, so many times
NOT_RUN = "not run"
MARKED, NOT_MARKED = "marked", "not marked"
ENDINGS = {
    "stopped itself": (
        "stopped-itself",
        "ended the whole program, so it was left out and the rest was run again",
    ),
    "quiet": ("stopped-quiet", "never came to an end, so it was left out and the rest was run again"),
    "time": ("stopped-time", "was running when the time for the notebook was used up"),
    "memory": ("stopped-memory", "used too much memory, so it was left out and the rest was run again"),
    "processes": (
        "stopped-processes",
        "started too many programs, so it was left out and the rest was run again",
    ),
}


@dataclass(frozen=True)
class Return:
    """One learner's return of one lesson: clean file names to bytes, and which of them is the notebook."""

    learner: str
    lesson: str
    files: Mapping[str, bytes]
    notebook: str
    received: str = ""  # ISO time, as far as known

    def fingerprint(self, release: Release, secret: str) -> str:
        """Changes whenever the mark could: with the return, the release, the secret or the marker."""
        digest = hashlib.sha256(json.dumps([VERSION, self.learner, release.fingerprint, secret]).encode())
        for name in sorted(self.files):
            digest.update(json.dumps([name, name == self.notebook, len(self.files[name])]).encode())
            digest.update(self.files[name])
        return digest.hexdigest()


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
class Result:
    """What marking one return gave.  ``notebook`` is the run notebook with its scores, for nbgrader's
    tools.
    """

    learner: str
    lesson: str
    fingerprint: str
    state: str
    why: str = ""
    marks: tuple[Mark, ...] = ()
    changes: tuple[Change, ...] = ()
    notebook: Mapping | None = None
    received: str = ""
    log: str = ""  # for the marker, never for the learner

    def dumps(self) -> str:
        """As JSON text."""
        return json.dumps(asdict(self), ensure_ascii=True, sort_keys=True)

    @staticmethod
    def loads(text: str) -> Result:
        """From JSON text made by ``dumps``."""
        raw = json.loads(text)
        raw["marks"] = tuple(Mark(**mark) for mark in raw["marks"])
        raw["changes"] = tuple(Change(**change) for change in raw["changes"])
        return Result(**raw)


def mark(
    returned: Return,
    release: Release,
    secret: str,
    *,
    limits: box.Limits = box.Limits(),  # noqa: B008  frozen
    boxed: bool | None = None,
) -> Result:
    """Mark one return.  Never raises: what cannot be marked comes back as "not marked", with the reason."""
    blank = Result(
        returned.learner,
        returned.lesson,
        returned.fingerprint(release, secret),
        NOT_MARKED,
        received=returned.received,
    )
    try:
        if returned.notebook not in returned.files:
            why = returned.files.get("why.txt", b"There is no notebook in the return.")
            raise NotMarkable(why.decode("utf-8", "replace")[:500])
        cells, _, mended = read(returned.files[returned.notebook])
        built, changes = rebuild(cells, release)
        found = replace(blank, changes=(*mended, *changes))
        return _mark(returned, release, secret, built, found, limits, boxed)
    except NotMarkable as reason:
        return replace(blank, why=str(reason))
    except Exception:
        return replace(
            blank,
            why="The marking program failed on this notebook; tell whoever looks after it.",
            log=traceback.format_exc(),
        )


def _mark(
    returned: Return,
    release: Release,
    secret: str,
    built: Sequence[Built],
    found: Result,
    limits: box.Limits,
    boxed: bool | None,
) -> Result:
    questions = {question.grade_id: question for question in release.questions}
    asks = _asks(built, release, questions, returned.learner, secret)
    files = {name: content for name, content in returned.files.items() if name != returned.notebook}
    skipped: dict[int, tuple[str, str]] = {}
    changes = list(found.changes)
    for _ in range(RERUNS + 1):
        cells = _cells(built, asks, skipped)
        ran = box.run(cells, returned.learner, files, limits=limits, released=release.folder, boxed=boxed)
        if ran.ended == "finished":
            break
        if ran.at is None:
            log = f"{ran.ended}: {ran.said}"
            return replace(
                found, why="The box for the learner's code did not start; see the marker's log.", log=log
            )
        skipped[ran.at] = ENDINGS[ran.ended]
        code, words = ENDINGS[ran.ended]
        changes.append(Change(code, f"{_called(built, ran.at)} {words}.", built[ran.at].grade_id))
        if ran.ended == "time":
            break
    marks, replies = [], {}
    for question in release.questions:
        if not question.by_hand:
            reply, log = _judge(question, release, returned.learner, secret, ran, asks, skipped)
            found = replace(found, log=found.log + log)
            replies[question.grade_id] = reply
            score = None if reply.state == NOT_MARKED else max(0.0, min(float(reply.points), question.points))
            handed = ran.handed.get(question.grade_id)
            marks.append(
                Mark(
                    question.grade_id,
                    question.exercise,
                    question.points,
                    score,
                    reply.state,
                    reply.note,
                    reply.hint,
                    handed,
                )
            )
            continue
        untouched = next(cell.untouched for cell in built if cell.grade_id == question.grade_id)
        state = NOT_ATTEMPTED if untouched else HANDED_IN
        marks.append(Mark(question.grade_id, "", question.points, 0.0 if untouched else None, state))
    notebook = _notebook(built, release, ran, marks, changes, skipped)
    return replace(found, state=MARKED, marks=tuple(marks), changes=tuple(changes), notebook=notebook)


def _asks(
    built: Sequence[Built], release: Release, questions: Mapping[str, Question], who: str, secret: str
) -> dict[int, dict]:
    """Cell number -> the hand-over that takes the place of a test cell."""
    asks = {}
    for number, cell in enumerate(built):
        question = questions.get(cell.grade_id)
        if cell.role == "test" and question is not None:
            exercise = release.exercise(question)
            asks[number] = {
                "number": number,
                "do": "ask",
                "grade_id": question.grade_id,
                "expression": question.expression,
                "kind": exercise.kind,
                "tests": inputs(exercise, who, secret),
            }
    return asks


def _cells(built: Sequence[Built], asks: Mapping[int, dict], skipped: Mapping[int, object]) -> list[dict]:
    cells = []
    for number, cell in enumerate(built):
        if number in skipped:
            continue
        if number in asks:
            cells.append(asks[number])
        elif cell.kind == "code" and cell.role != "kept" and cell.source.strip():
            cells.append({"number": number, "do": "run", "source": cell.source})
    return cells


def _judge(
    question: Question,
    release: Release,
    who: str,
    secret: str,
    ran: box.Ran,
    asks: Mapping[int, dict],
    skipped: Mapping[int, tuple[str, str]],
) -> tuple[Reply, str]:
    number = next(n for n, ask in asks.items() if ask["grade_id"] == question.grade_id)
    if number in skipped:
        return Reply(NOT_YET, skipped[number][0], f"Your answer {skipped[number][1].split(',')[0]}."), ""
    if question.grade_id not in ran.handed:
        return Reply(NOT_RUN, "not-run", "The notebook stopped before it came to this question."), ""
    try:
        reply = judge(release.exercise(question), who, ran.handed[question.grade_id], secret)
    except Exception:  # a fault in the lesson, not in the learner's work: never a zero
        return Reply(
            NOT_MARKED, "lesson-fault", "This question could not be marked; it costs you nothing."
        ), (traceback.format_exc())
    assert reply.state in (RIGHT, NOT_YET, NOT_ATTEMPTED, CANNOT_READ), reply.state
    return reply, ""


def _called(built: Sequence[Built], number: int) -> str:
    name = built[number].grade_id
    return f"The answer to “{name}”" if name else f"Cell {number + 1}"


FAILED = {
    "output_type": "error",
    "ename": "NotRun",
    "evalue": "this test has not run",
    "traceback": ["NotRun: this test has not run"],
}


def _notebook(
    built: Sequence[Built],
    release: Release,
    ran: box.Ran,
    marks: Sequence[Mark],
    changes: Sequence[Change],
    skipped: Mapping[int, tuple[str, str]],
) -> dict:
    """The run notebook in nbformat 4.5, for nbgrader's score saving, its feedback and its marking
    extension.
    """
    cells = [_markdown("marker-changes", "**What was mended**\n\n" + _bullets(changes))] if changes else []
    by_question = {mark.grade_id: mark for mark in marks}
    count = 0
    for number, cell in enumerate(built):
        released = cell.released or {}
        made = {
            "cell_type": cell.kind,
            "id": released.get("id") or f"learner-{number}",
            "metadata": dict(released.get("metadata", {})),
            "source": cell.source,
        }
        if cell.kind == "code":
            count += 1
            made["execution_count"] = count
            made["outputs"] = _outputs(ran.outputs.get(number, []), count)
            if number in skipped:
                made["outputs"] = [
                    {
                        **FAILED,
                        "ename": "LeftOut",
                        "evalue": skipped[number][1],
                        "traceback": [f"LeftOut: this cell {skipped[number][1]}"],
                    }
                ]
        if cell.role == "test":
            made["outputs"] = [FAILED]  # failed until it has run
            mark = by_question[cell.grade_id]
            if mark.score is not None:
                made["outputs"] = _scored(mark, count)
        cells.append(made)
    return {"cells": cells, "metadata": release.notebook["metadata"], "nbformat": 4, "nbformat_minor": 5}


def _scored(mark: Mark, count: int) -> list[dict]:
    """A score as nbgrader reads it (the plain float of the last expression), and the reply in words before
    it.
    """
    words = str(Reply(mark.state, mark.note, mark.hint)) + "\n"
    return [
        {"output_type": "stream", "name": "stdout", "text": words},
        {
            "output_type": "execute_result",
            "data": {"text/plain": repr(float(mark.score))},
            "metadata": {},
            "execution_count": count,
        },
    ]


def _outputs(outputs: Sequence[object], count: int) -> list[dict]:
    """Outputs from the box, taken apart and put together again: only what a notebook may hold, only text and
    pictures.
    """
    kept = []
    for output in outputs:
        kind = output.get("output_type") if isinstance(output, dict) else None
        if kind == "stream":
            name = "stderr" if output.get("name") == "stderr" else "stdout"
            kept.append({"output_type": kind, "name": name, "text": str(output.get("text"))})
        elif kind == "error":
            lines = output.get("traceback")
            lines = [str(line) for line in lines] if isinstance(lines, list) else []
            kept.append(
                {
                    "output_type": kind,
                    "ename": str(output.get("ename")),
                    "evalue": str(output.get("evalue")),
                    "traceback": lines,
                }
            )
        elif kind in ("display_data", "execute_result") and isinstance(output.get("data"), dict):
            data = {m: d for m, d in output["data"].items() if m in ("text/plain", "image/png", "image/jpeg")}
            made = {"output_type": kind, "metadata": {}, "data": {m: str(d) for m, d in data.items()}}
            kept.append({**made, "execution_count": count} if kind == "execute_result" else made)
    return kept


def _markdown(name: str, text: str) -> dict:
    return {"cell_type": "markdown", "id": name, "metadata": {}, "source": text}


def _bullets(changes: Sequence[Change]) -> str:
    return "\n".join(f"- {change.words}" for change in dict.fromkeys(changes))

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

from solarlab._reading import plain
from solarlab.exercises import inputs

from . import box
from .judging import NOT_MARKED, Left, Mark, judge_all
from .notebook import Change, NotMarkable, read
from .release import Release
from .repair import Built, rebuild
from .scored import scored_notebook

VERSION = 2  # raise it when the same return would be marked differently: everything is then marked again
RERUNS = 4  # a cell that ends the run costs itself; the run starts again without it, so many times
MARKED = "marked"
ENDINGS = {
    "stopped itself": Left(
        "stopped-itself", "ended the whole program, so it was left out and the rest was run again"
    ),
    "quiet": Left("stopped-quiet", "never came to an end, so it was left out and the rest was run again"),
    "time": Left("stopped-time", "was running when the time for the notebook was used up"),
    "memory": Left("stopped-memory", "used too much memory, so it was left out and the rest was run again"),
    "processes": Left(
        "stopped-processes", "started too many programs, so it was left out, and the rest was run again"
    ),
}


@dataclass(frozen=True)
class Return:
    """One learner's return of one lesson: clean file names to bytes, and which of them is the notebook.

    ``classmates`` are the other ids of the class: an answer for one of theirs is no answer of one's own.
    """

    learner: str
    lesson: str
    files: Mapping[str, bytes]
    notebook: str
    received: str = ""  # ISO time, as far as known
    classmates: tuple[str, ...] = ()

    def fingerprint(self, release: Release, secret: str) -> str:
        """Changes whenever the mark could: with the return, the release, the secret or the marker."""
        digest = hashlib.sha256(
            json.dumps([VERSION, self.learner, sorted(self.classmates), release.fingerprint, secret]).encode()
        )
        for name in sorted(self.files):
            digest.update(json.dumps([name, name == self.notebook, len(self.files[name])]).encode())
            digest.update(self.files[name])
        return digest.hexdigest()


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
    predictions: tuple[Mapping, ...] = ()
    received: str = ""
    log: str = ""  # for the marker, never for the learner

    @property
    def failed(self) -> bool:
        """Whether the marker failed, not the learner: such a return is tried again by the next run."""
        return self.state == NOT_MARKED and bool(self.log)

    def dumps(self) -> str:
        """As JSON text."""
        return json.dumps(asdict(self), ensure_ascii=True, sort_keys=True)

    @staticmethod
    def loads(text: str) -> Result:
        """From JSON text made by ``dumps``."""
        raw = json.loads(text)
        raw["marks"] = tuple(Mark(**mark) for mark in raw["marks"])
        raw["predictions"] = tuple(raw["predictions"])
        raw["changes"] = tuple(Change(**change) for change in raw["changes"])
        return Result(**raw)


def mark(
    returned: Return,
    release: Release,
    secret: str,
    *,
    limits: box.Limits | None = None,
    way: str | None = None,
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
        return _mark(returned, release, secret, built, found, limits, way)
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
    limits: box.Limits | None,
    way: str | None,
) -> Result:
    asks = _asks(built, release, returned.learner, secret)
    asked = {ask["grade_id"] for ask in asks.values()}
    files = {name: content for name, content in returned.files.items() if name != returned.notebook}
    left_out: dict[int, Left] = {}
    changes = list(found.changes)
    for _ in range(RERUNS + 1):
        cells = _cells(built, asks, left_out)
        ran = box.run(cells, returned.learner, files, limits=limits, released=release.folder, way=way)
        between = ran.at is None and ran.last is not None
        if ran.ended == "finished" or (between and asked <= ran.handed.keys()):
            break
        if ran.last is None:
            why = "The box for the learner's code did not start; see the marker's log."
            return replace(found, why=why, log=f"{ran.ended}: {ran.said}")
        at = ran.last if between else ran.at  # ended between two cells: the one before it must have done it
        left_out[at] = ENDINGS[ran.ended]
        name = built[at].grade_id
        called = f"The cell “{name}”" if name else f"Cell {at + 1}"
        changes.append(Change(ENDINGS[ran.ended].code, f"{called} {ENDINGS[ran.ended].words}.", name))
        if ran.ended == "time":
            break
    by_test = {asks[number]["grade_id"]: left for number, left in left_out.items() if number in asks}
    who, lost = returned.learner, _lost(built, changes)
    marks, said, log = judge_all(release, who, returned.classmates, secret, built, ran, by_test, lost)
    changes += said
    return replace(
        found,
        state=MARKED,
        marks=tuple(marks),
        changes=tuple(changes),
        notebook=scored_notebook(built, release.notebook["metadata"], ran, marks, changes, left_out),
        predictions=tuple(filter(None, map(_prediction, ran.predictions)))[:100],
        log=log,
    )


def _lost(built: Sequence[Built], changes: Sequence[Change]) -> set[str]:
    """Questions whose answer cell is missing from a file of which only parts could be read."""
    if not any(change.code == "salvaged" for change in changes):
        return set()
    missing = {change.where for change in changes if change.code == "deleted-answer"}
    found, answer = set(missing), ""
    for cell in built:
        answer = cell.grade_id if cell.role == "answer" else answer
        if cell.role == "test" and answer in missing:
            found.add(cell.grade_id)
    return found


def _prediction(raw: Mapping) -> dict | None:
    """A prediction from the learner's record, if it is one: plain values only, of the right kinds."""
    kept = {
        name: plain(raw.get(name)) for name in ("question", "value", "sure", "chance", "within", "outcome")
    }
    good = (
        isinstance(kept["question"], str)
        and isinstance(kept["sure"], str)
        and isinstance(kept["chance"], float)
    )
    return kept if good and 0 <= kept["chance"] <= 1 else None


def _asks(built: Sequence[Built], release: Release, who: str, secret: str) -> dict[int, dict]:
    """Cell number -> the hand-over that takes the place of a test cell."""
    questions = {question.grade_id: question for question in release.questions}
    asks = {}
    for number, cell in enumerate(built):
        question = questions.get(cell.grade_id)
        if cell.role == "test" and question is not None:
            exercise = release.exercise(question)
            asks[number] = {
                "number": number,
                "do": "ask",
                "grade_id": question.grade_id,
                "claim": question.who,
                "expression": question.expression,
                "kind": exercise.kind,
                "tests": inputs(exercise, who, secret),
            }
    return asks


def _cells(built: Sequence[Built], asks: Mapping[int, dict], left_out: Mapping[int, Left]) -> list[dict]:
    cells = []
    for number, cell in enumerate(built):
        if number in left_out:
            continue
        if number in asks:
            cells.append(asks[number])
        elif cell.kind == "code" and cell.role != "kept" and cell.source.strip():
            cells.append({"number": number, "do": "run", "source": cell.source})
    return cells

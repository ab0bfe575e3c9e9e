"""Mark a class: many returns at once, one writer, and a run that can be killed at any instant and started
again.

Each result is stored under its fingerprint before it is merged, and a result that is stored is never made
again. The merge is repeated until its own mark is written, and merging twice changes nothing.
"""

from __future__ import annotations

import contextlib
import json
import multiprocessing
import os
import time
from collections.abc import Callable, Iterator
from concurrent.futures import FIRST_COMPLETED, Executor, Future, ProcessPoolExecutor, wait
from concurrent.futures.process import BrokenProcessPool
from dataclasses import dataclass, replace
from pathlib import Path

from . import intake
from .box import Limits
from .course import Course, write
from .gradebook import merge
from .judging import NOT_MARKED
from .marking import MARKED, Result, Return, mark
from .release import Release


@dataclass(frozen=True)
class Progress:
    """How far a run is: returns done of all, and the seconds it may still take (None before the first is
    done).
    """

    done: int
    total: int
    seconds_left: float | None
    result: Result


@dataclass(frozen=True)
class Summary:
    """What a run did."""

    marked: int
    not_marked: int
    known: int  # results that were there from a run before
    missing: tuple[str, ...]  # learners who returned nothing


class Busy(RuntimeError):
    """Another run is marking this class; there is one writer only."""


def learners(course: Course, lesson: str) -> list[str]:
    """Ids of the learners who returned this lesson, in the roster's order."""
    return [name for name in course.roster if (course.folder / "submitted" / name / lesson).is_dir()]


def load(course: Course, learner: str, lesson: str) -> Return:
    """One learner's newest return."""
    folder = course.folder / "submitted" / learner / lesson
    with contextlib.suppress(OSError):
        received = (folder / "timestamp.txt").read_text("utf-8").strip()
        return _return(course, learner, lesson, folder, received)
    return _return(course, learner, lesson, folder, "")


def _return(course: Course, learner: str, lesson: str, folder: Path, received: str) -> Return:
    others = tuple(name for name in course.roster if name != learner)
    return Return(learner, lesson, intake.contents(folder), f"{lesson}.ipynb", received, others)


def mark_class(
    course: Course,
    lesson: str,
    *,
    executor: Executor | None = None,
    limits: Limits | None = None,
    tell: Callable[[Progress], object] = lambda progress: None,
) -> Summary:
    """Mark every return of ``lesson`` and merge it into the gradebook.

    ``executor``: any ``concurrent.futures.Executor``; by default one local process for each processor.
    Raises Busy while another run works on the class, and ValueError if the lesson is not released.
    """
    release = course.release(lesson)
    names = learners(course, lesson)
    missing = tuple(name for name in course.roster if name not in names)
    done = known = 0
    states = {MARKED: 0, NOT_MARKED: 0}
    began = time.monotonic()
    with _lock(course):
        for result, was_known in _results(course, lesson, names, release, executor, limits):
            known += was_known
            states[result.state] += 1
            done += 1
            settle(course, result)
            made = done - known
            left = (time.monotonic() - began) / made * (len(names) - done) if made else None
            tell(Progress(done, len(names), left, result))
    return Summary(states[MARKED], states[NOT_MARKED], known, missing)


def _results(
    course: Course,
    lesson: str,
    names: list[str],
    release: Release,
    executor: Executor | None,
    limits: Limits | None,
) -> Iterator[tuple[Result, bool]]:
    """Each learner's result: stored ones first, then new ones as they come.  Few returns are held at a
    time.
    """
    waiting = []
    for name in names:
        stored = find(course, load(course, name, lesson).fingerprint(release, course.secret), name, lesson)
        if stored is not None and not stored.failed:
            yield stored, True
        else:
            waiting.append(name)
    if not waiting:
        return
    workers = os.cpu_count() or 1
    if executor is not None:
        for result in _spread(course, lesson, waiting, release, executor, 2 * workers, limits):
            yield result, False
        return
    for attempt in range(
        3
    ):  # a worker that the system killed takes its pool with it: what is left is tried again
        left, ended = list(waiting), False
        with contextlib.suppress(BrokenProcessPool):
            context = multiprocessing.get_context("spawn")
            with ProcessPoolExecutor(min(workers, len(left)), mp_context=context) as pool:
                for result in _spread(course, lesson, left, release, pool, 2 * workers, limits):
                    waiting.remove(result.learner)
                    yield result, False
            ended = True
        if ended:
            return
        if attempt == 2:
            for name in waiting:
                yield _gave_up(load(course, name, lesson), release, course.secret), False


def _spread(
    course: Course,
    lesson: str,
    names: list[str],
    release: Release,
    executor: Executor,
    most: int,
    limits: Limits | None,
) -> Iterator[Result]:
    queue, running = list(reversed(names)), set[Future]()
    try:
        while queue or running:
            while queue and len(running) < most:
                returned = load(course, queue.pop(), lesson)
                running.add(executor.submit(mark, returned, release, course.secret, limits=limits))
                del returned
            finished, running = wait(running, return_when=FIRST_COMPLETED)
            for future in finished:
                yield future.result()
    finally:
        for future in running:
            future.cancel()


def _gave_up(returned: Return, release: Release, secret: str) -> Result:
    why = "The computer ended the marking program on this notebook three times; look at it by hand."
    return Result(
        returned.learner, returned.lesson, returned.fingerprint(release, secret), NOT_MARKED, why,
        received=returned.received, log=why,
    )  # fmt: skip


def _place(course: Course, result_or_lesson: str, learner: str) -> Path:
    return course.folder / "marked" / result_or_lesson / learner


def find(course: Course, fingerprint: str, learner: str, lesson: str) -> Result | None:
    """A stored result, or None.  A file cut short by a power failure counts as none."""
    path = _place(course, lesson, learner) / f"{fingerprint[:32]}.json"
    with contextlib.suppress(OSError, ValueError, KeyError, TypeError):
        result = Result.loads(path.read_text("utf-8"))
        if result.fingerprint == fingerprint:
            return result
    return None


def settle(course: Course, result: Result) -> None:
    """Store a result, then merge it, then note that it is merged; each step can be the last before the lights
    go out.
    """
    folder = _place(course, result.lesson, result.learner)
    path, merged = folder / f"{result.fingerprint[:32]}.json", folder / "merged"
    stored = find(course, result.fingerprint, result.learner, result.lesson)
    if stored is None or stored.failed:
        merged.unlink(missing_ok=True)
        write(path, result.dumps(), private=True)
    terms = f"{result.fingerprint} {course.due(result.lesson)} {course.settings.get('late', {})}"
    with contextlib.suppress(OSError):
        if merged.read_text("utf-8") == terms:
            return
    merge(course, result)
    write(merged, terms)


def current(course: Course, lesson: str) -> dict[str, Result]:
    """The newest merged result of each learner who returned the lesson, without the run notebooks."""
    found = {name: newest(course, lesson, name) for name in learners(course, lesson)}
    return {name: result for name, result in found.items() if result is not None}


def newest(course: Course, lesson: str, learner: str) -> Result | None:
    """A learner's newest merged result of a lesson, without the run notebook; None if there is none."""
    with contextlib.suppress(OSError):
        merged = (_place(course, lesson, learner) / "merged").read_text("utf-8").partition(" ")[0]
        found = find(course, merged, learner, lesson)
        return None if found is None else replace(found, notebook=None)
    return None


@contextlib.contextmanager
def _lock(course: Course) -> Iterator[None]:
    """One run at a time: a lock that the operating system lets go when the run dies, however it dies."""
    path = course.folder / "marked" / ".lock"
    with path.open("a+") as file:
        try:
            if os.name == "nt":
                import msvcrt

                file.seek(0)
                msvcrt.locking(file.fileno(), msvcrt.LK_NBLCK, 1)
            else:
                import fcntl

                fcntl.flock(file, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except OSError:
            raise Busy("Another run is marking this class; wait for it, or stop it.") from None
        file.seek(0)
        file.truncate()
        json.dump({"process": os.getpid()}, file)
        file.flush()
        yield

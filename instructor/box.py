"""Run a learner's notebook in a box: no network, no other learner, no solutions, no gradebook, no hidden
test.

On Linux the box is bubblewrap (``bwrap``) with resource limits: a fork of a process that stands ready in one
(``warm``), or one started for the return alone (``fresh``).  Elsewhere, or where bwrap is missing or not
allowed, it is the strongest thing reachable (``bare``): a separate process with limits, an empty environment
and a temporary folder; ``protection()`` says in words what that does and does not stop.

Into the box go the learner's cells, their files and the released files.  Two files come out, both limited in
size and opened without following links: what the cells showed, and the answers as JSON.  Nothing in them is
trusted.
"""

from __future__ import annotations

import contextlib
import json
import os
import stat
import tempfile
import time
from collections.abc import Iterator, Mapping, Sequence, Set
from dataclasses import dataclass, field
from pathlib import Path

from solarlab._reading import plain

from . import nursery, walls
from .limits import Limits
from .walls import has_bubblewrap
from .watch import start

WAYS = ("warm", "fresh", "bare")


@dataclass(frozen=True)
class Ran:
    """What came out of the box.

    ``ended``: "finished", or why not: "stopped itself", "quiet", "time", "memory", "processes".  ``at`` is
    the number of the cell that was running then, ``last`` of the one that was started last.  ``handed`` maps
    grade_id to plain values; a question that was not reached is not in it.
    """

    ended: str
    at: int | None
    outputs: Mapping[int, list] = field(default_factory=dict)
    handed: Mapping[str, object] = field(default_factory=dict)
    claims: Mapping[str, object] = field(default_factory=dict)  # the learner's id as the notebook has it
    predictions: tuple = ()
    seconds: float = 0.0
    said: str = ""  # what the box itself complained of, for the marker
    last: int | None = None


def protection() -> str:
    """One plain paragraph: what the isolation on this computer stops, and what it does not."""
    if has_bubblewrap():
        return (
            "Returns run in a bubblewrap box: no network, none of your files, no other learner's work, and "
            "limits on memory, time, processes and output. A fault in Linux itself could still let code out."
        )
    limits = "memory, " if os.name != "nt" else ""
    return (
        "bubblewrap is not usable here, so returns run as a separate process with an empty environment, a "
        f"temporary folder and limits on {limits}time and output. This stops accidents, not attacks: a "
        "learner's code can read what you can read, solutions and gradebook included, and can use the "
        "network. For work you do not trust, mark on Linux or in WSL with bubblewrap installed (see the "
        "guide, “Marking on Windows and macOS”)."
    )


def run(
    cells: Sequence[Mapping],
    who: str,
    files: Mapping[str, bytes],
    *,
    limits: Limits | None = None,
    released: Path | None = None,
    way: str | None = None,
) -> Ran:
    """Run cells in order and return what came out.

    ``cells``: ``{"number", "do": "run", "source"}`` or ``{"number", "do": "ask", "grade_id", "claim",
    "expression", "kind", "tests"}``.  ``files`` are laid in the working folder over those of ``released`` (a
    folder of public files).  ``way`` forces one of ``WAYS``; ``None`` takes the first that works here.
    """
    limits = limits or Limits()
    if way is None:
        way = "bare" if not has_bubblewrap() else "warm" if nursery.works() else "fresh"
    given = {**_files(released), **files} if released is not None else dict(files)
    job = walls.job(cells, who, limits)
    with tempfile.TemporaryDirectory(prefix="solarlab-box-", ignore_cleanup_errors=True) as name:
        outside = Path(name)
        outputs, values = outside / "outputs", outside / "values"
        for path in (outputs, values):
            path.touch(mode=0o600)
        began = time.monotonic()
        if way == "warm":
            stopped, said = nursery.run(job, given, outputs, values, limits)
            if not stopped and not outputs.stat().st_size:
                way, job = "fresh", walls.job(cells, who, limits)  # it never began: a box of its own, then
        if way != "warm":
            folder = outside / "given"
            folder.mkdir()
            lay(folder, given)
            command, variables = (
                (walls.fresh(folder, outputs, values, job, limits), {"PATH": os.defpath})
                if way == "fresh"
                else walls.bare(folder, outputs, values, outside, job)
            )
            stopped, said = start(command, variables, json.dumps(job).encode(), outputs, outside, limits)
        seconds = time.monotonic() - began
        shown = list(_lines(outputs, 2 * limits.output_bytes))
        answers = list(_lines(values, 2 * limits.value_bytes))
    return _read(shown, answers, stopped, said, seconds, {cell["number"] for cell in cells})


def _files(folder: Path) -> dict[str, bytes]:
    """The files of a released folder."""
    return {
        path.relative_to(folder).as_posix(): path.read_bytes()
        for path in sorted(folder.rglob("*"))
        if path.is_file() and "__pycache__" not in path.parts
    }


def lay(folder: Path, files: Mapping[str, bytes]) -> None:
    """Write files under ``folder``; names must be clean relative paths (intake makes them so)."""
    for name, content in files.items():
        path = (folder / name).resolve()
        if not path.is_relative_to(folder.resolve()):
            raise ValueError(f"{name!r} points outside the folder it belongs in")
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(content)


def _lines(path: Path, limit: int) -> Iterator[dict]:
    """The JSON objects in a file from the box: no link followed, no more than ``limit`` bytes, bad lines left
    out.
    """
    try:
        number = os.open(path, os.O_RDONLY | getattr(os, "O_NOFOLLOW", 0) | getattr(os, "O_BINARY", 0))
    except OSError:
        return
    with open(number, "rb") as file:
        if not stat.S_ISREG(os.fstat(number).st_mode):
            return
        for line in file.read(limit).splitlines():
            with contextlib.suppress(ValueError, RecursionError):
                value = json.loads(line)
                if isinstance(value, dict):
                    yield value


def _read(
    shown: list[dict], answers: list[dict], stopped: str, said: str, seconds: float, numbers: Set[int]
) -> Ran:
    """What the lines say: of cells that were given, and plain values only; a learner may have forged them."""
    outputs, running, last, finished = {}, None, None, False
    for line in shown:
        if _is_cell(line.get("start"), numbers):
            running = last = line["start"]
        elif _is_cell(line.get("number"), numbers) and isinstance(line.get("outputs"), list):
            outputs[line["number"]] = line["outputs"]
            running = None if running == line["number"] else running
        elif line.get("finished") is True:
            finished = True
    asked = {line["grade_id"]: line for line in answers if isinstance(line.get("grade_id"), str)}
    handed = {name: plain(line.get("handed"), 4) for name, line in asked.items()}
    claims = {name: plain(line.get("claim")) for name, line in asked.items()}
    told = [line["predictions"] for line in answers if isinstance(line.get("predictions"), list)]
    predictions = tuple(plain(each, 1) for each in told[-1] if isinstance(each, dict)) if told else ()
    ended = "finished" if finished and not stopped else stopped or "stopped itself"
    at = None if ended == "finished" else running
    return Ran(ended, at, outputs, handed, claims, predictions, seconds, said, last)


def _is_cell(number: object, numbers: Set[int]) -> bool:
    return type(number) is int and number in numbers

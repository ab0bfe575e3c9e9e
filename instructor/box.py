"""Run a learner's notebook in a box: no network, no other learner, no solutions, no gradebook, no hidden
test.

On Linux the box is bubblewrap (``bwrap``) with resource limits.  Elsewhere, or where bwrap is missing or not
allowed, it is the strongest thing reachable: a separate process with limits, an empty environment and a
temporary folder; ``protection()`` says in words what that does and does not stop.

Into the box go the learner's cells, their files and the released files.  Two files come out, both limited in
size and opened without following links: what the cells showed, and the answers as JSON.  Nothing in them is
trusted.
"""

from __future__ import annotations

import contextlib
import functools
import json
import os
import secrets
import shutil
import stat
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path

from .limits import MEGABYTE, Limits
from .watch import watch

INSIDE = Path(__file__).with_name("inside.py")
PACKAGE = Path(__file__).resolve().parents[1]  # the folder that holds solarlab/ and data/


@dataclass(frozen=True)
class Ran:
    """What came out of the box.

    ``ended``: "finished", or why not: "stopped itself", "quiet", "time", "memory", "processes".  ``at`` is
    the number of the cell that was running then.  ``handed`` maps grade_id to plain values; a question that
    was not reached is not in it.
    """

    ended: str
    at: int | None
    outputs: Mapping[int, list] = field(default_factory=dict)
    handed: Mapping[str, object] = field(default_factory=dict)
    claims: Mapping[str, object] = field(default_factory=dict)  # the learner's id as the notebook has it
    predictions: tuple = ()
    seconds: float = 0.0
    said: str = ""  # what the box itself complained of, for the marker


@functools.cache
def has_bubblewrap() -> bool:
    """Whether bwrap is here and allowed to work (some systems forbid user namespaces)."""
    if not sys.platform.startswith("linux") or shutil.which("bwrap") is None:
        return False
    trial = ["bwrap", "--ro-bind", "/", "/", "--unshare-pid", "--unshare-net", "--proc", "/proc", "true"]
    return subprocess.run(trial, capture_output=True, timeout=30).returncode == 0


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
    boxed: bool | None = None,
) -> Ran:
    """Run cells in order and return what came out.

    ``cells``: ``{"number", "do": "run", "source"}`` or ``{"number", "do": "ask", "grade_id", "claim",
    "expression", "kind", "tests"}``.  ``files`` are laid in the working folder over those of ``released`` (a
    folder of public files). ``boxed`` forces bubblewrap on or off; ``None`` takes it where it works.
    """
    limits = limits or Limits()
    boxed = has_bubblewrap() if boxed is None else boxed
    with tempfile.TemporaryDirectory(prefix="solarlab-box-", ignore_cleanup_errors=True) as name:
        outside = Path(name)
        given, outputs, values = outside / "given", outside / "outputs", outside / "values"
        given.mkdir()
        if released is not None:
            shutil.copytree(released, given, dirs_exist_ok=True)
        lay(given, files)
        for path in (outputs, values):
            path.touch(mode=0o600)
        job = _job(cells, who, limits)
        if boxed:
            command, environment = _boxed(given, outputs, values, job, limits)
        else:
            command, environment = _bare(given, outputs, values, outside, job)
        began = time.monotonic()
        stopped, said = watch(command, environment, json.dumps(job).encode(), outputs, outside, limits)
        shown = list(_lines(outputs, 2 * limits.output_bytes))
        answers = list(_lines(values, 2 * limits.value_bytes))
    return _read(shown, answers, stopped, said, time.monotonic() - began)


def lay(folder: Path, files: Mapping[str, bytes]) -> None:
    """Write files under ``folder``; names must be clean relative paths (intake makes them so)."""
    for name, content in files.items():
        path = (folder / name).resolve()
        if not path.is_relative_to(folder.resolve()):
            raise ValueError(f"{name!r} points outside the folder it belongs in")
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(content)


def _job(cells: Sequence[Mapping], who: str, limits: Limits) -> dict:
    return {
        "cells": list(cells),
        "who": who,
        "package": str(PACKAGE),
        "uid": None,
        "copies": [],
        "cell_seconds": limits.cell_seconds,
        "cell_bytes": limits.cell_bytes,
        "output_bytes": limits.output_bytes,
        "value_bytes": limits.value_bytes,
        "rlimits": {
            "RLIMIT_AS": limits.memory,
            "RLIMIT_NPROC": limits.processes,
            "RLIMIT_FSIZE": max(limits.folder_bytes, 4 * limits.output_bytes),
            "RLIMIT_CPU": int(limits.total_seconds) + 10,
            "RLIMIT_CORE": 0,
            "RLIMIT_NOFILE": 256,
        },
    }


def _environment(home: str, who: str) -> dict[str, str]:
    return {
        "HOME": home,
        "PATH": "/usr/bin:/bin",
        "LANG": "C.UTF-8",
        "TMPDIR": "/tmp",
        "PYTHONPATH": str(PACKAGE),
        "PYTHONDONTWRITEBYTECODE": "1",
        "PYTHONHASHSEED": "0",
        "IPYTHONDIR": f"{home}/.ipython",
        "MPLCONFIGDIR": f"{home}/.matplotlib",
        "MPLBACKEND": "module://matplotlib_inline.backend_inline",
        "SOLARLAB_LEARNER": who,
        "SOLARLAB_HOME": f"{home}/.solarlab",
        "OPENBLAS_NUM_THREADS": "1",
        "OMP_NUM_THREADS": "1",
        "NUMBA_NUM_THREADS": "1",
    }


def _boxed(
    given: Path, outputs: Path, values: Path, job: dict, limits: Limits
) -> tuple[list[str], dict[str, str]]:
    """The bwrap command.  Only what is named here exists in the box."""
    python = [Path(sys.base_prefix), Path(sys.prefix), Path(sys.executable).resolve().parent.parent]
    package, cache = PACKAGE / "solarlab", PACKAGE / "solarlab" / "__pycache__"
    as_root = os.geteuid() == 0 and all(_open_to_all(path) for path in [*python, package])
    args = [
        "bwrap",
        "--unshare-ipc",
        "--unshare-pid",
        "--unshare-net",
        "--unshare-uts",
        "--unshare-cgroup-try",
    ]
    # Root's processes do not count against RLIMIT_NPROC, so root's box changes to a user of its own inside.
    args += [] if as_root else ["--unshare-user", "--cap-drop", "ALL"]
    job["uid"] = 10_000_000 + secrets.randbelow(1_000_000_000) if as_root else None
    args += ["--die-with-parent", "--new-session", "--hostname", "box", "--clearenv"]
    for name, value in _environment("/learner", job["who"]).items():
        args += ["--setenv", name, value]
    for path in ("/usr", "/bin", "/sbin", "/lib", "/lib32", "/lib64"):
        if os.path.islink(path):
            args += ["--symlink", os.readlink(path), path]
        elif os.path.isdir(path):
            args += ["--ro-bind", path, path]
    for path in ("/etc/ld.so.cache", "/etc/fonts"):
        args += ["--ro-bind-try", path, path]
    args += ["--proc", "/proc", "--dev", "/dev"]
    for size, path in (
        (16 * MEGABYTE, "/dev/shm"),
        (limits.folder_bytes, "/tmp"),
        (limits.folder_bytes, "/learner"),
    ):
        args += ["--perms", "1777", "--size", str(size), "--tmpfs", path]
    python = [path for path in dict.fromkeys(python) if not path.is_relative_to("/usr")]
    above = {
        parent
        for path in [*python, package, Path("/warm/x"), Path("/out/x"), Path("/etc/x")]
        for parent in path.parents
    }
    for path in sorted(above - {Path("/")}):
        args += ["--perms", "0755", "--dir", str(path)]  # bwrap would make them for its own user alone
    for path in python:
        args += ["--ro-bind", str(path), str(path)]
    args += [
        "--ro-bind",
        str(package),
        str(package),
        "--ro-bind-try",
        str(PACKAGE / "data"),
        str(PACKAGE / "data"),
    ]
    job["copies"] = [("/given", "/learner/work")]
    if cache.is_dir():  # compiled code is read from a copy: what a learner does to it stays in their box
        # It must fit beside what the learner's run compiles; many changes of the package swell it.
        room = 64 * MEGABYTE + weight(cache)
        args += ["--ro-bind", str(cache), "/warm/solarlab"]
        args += ["--perms", "1777", "--size", str(room), "--tmpfs", str(cache)]
        job["copies"].append(("/warm/solarlab", str(cache)))
    fonts = Path(os.environ.get("MPLCONFIGDIR") or Path.home() / ".cache" / "matplotlib")
    if fonts.is_dir():
        args += ["--ro-bind", str(fonts), "/warm/matplotlib"]
        job["copies"].append(("/warm/matplotlib", "/learner/.matplotlib"))
    args += ["--ro-bind", str(given), "/given", "--ro-bind", str(INSIDE), "/inside.py"]
    args += ["--bind", str(outputs), "/out/outputs", "--bind", str(values), "/out/values"]
    args += ["--remount-ro", "/dev", "--remount-ro", "/", "--chdir", "/"]
    job["folder"], job["predictions"] = "/learner/work", "/learner/.solarlab"
    return [*args, sys.executable, "-s", "/inside.py", "/out/outputs", "/out/values"], {"PATH": os.defpath}


def _bare(
    given: Path, outputs: Path, values: Path, outside: Path, job: dict
) -> tuple[list[str], dict[str, str]]:
    """A separate process with an empty environment, in a temporary folder."""
    job["folder"], job["predictions"] = str(given), str(outside / ".solarlab")
    environment = _environment(str(outside), job["who"])
    environment["TMPDIR"] = environment["TEMP"] = environment["TMP"] = str(outside)
    for name in (
        "SYSTEMROOT",
        "COMSPEC",
        "PATHEXT",
        "NUMBER_OF_PROCESSORS",
    ):  # Windows cannot start Python without
        if name in os.environ:
            environment[name] = os.environ[name]
    if os.geteuid() == 0 if hasattr(os, "geteuid") else True:
        job["rlimits"].pop("RLIMIT_NPROC")
    else:  # counted over all of the user's processes here, so only growth can be limited
        job["rlimits"]["RLIMIT_NPROC"] += 1000
    return [sys.executable, "-s", str(INSIDE), str(outputs), str(values)], environment


def weight(folder: Path) -> int:
    """Bytes of the files in ``folder``; others may be writing there."""
    total = 0
    for file in folder.iterdir():
        with contextlib.suppress(FileNotFoundError):
            total += file.stat().st_size
    return total


def _open_to_all(path: Path) -> bool:
    with contextlib.suppress(OSError):
        return bool(stat.S_IMODE(path.stat().st_mode) & stat.S_IROTH and path.stat().st_mode & stat.S_IXOTH)
    return False


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


def _read(shown: list[dict], answers: list[dict], stopped: str, said: str, seconds: float) -> Ran:
    outputs, running, finished = {}, None, False
    for line in shown:
        if isinstance(line.get("start"), int):
            running = line["start"]
        elif isinstance(line.get("number"), int) and isinstance(line.get("outputs"), list):
            outputs[line["number"]] = line["outputs"]
            running = None if running == line["number"] else running
        elif line.get("finished") is True:
            finished = True
    asked = {line["grade_id"]: line for line in answers if isinstance(line.get("grade_id"), str)}
    handed = {name: line.get("handed") for name, line in asked.items()}
    claims = {name: line.get("claim") for name, line in asked.items()}
    told = [line["predictions"] for line in answers if isinstance(line.get("predictions"), list)]
    predictions = tuple(each for each in told[-1] if isinstance(each, dict)) if told else ()
    ended = "finished" if finished and not stopped else stopped or "stopped itself"
    return Ran(
        ended, None if ended == "finished" else running, outputs, handed, claims, predictions, seconds, said
    )

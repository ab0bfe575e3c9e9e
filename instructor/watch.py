"""Watch the process that runs a return, and end it with all that it started when it breaks a limit."""

from __future__ import annotations

import contextlib
import os
import re
import signal
import subprocess
import tempfile
import time
from collections.abc import Callable, Iterator
from pathlib import Path

from .limits import Limits

GROUP = {"start_new_session": True} if os.name == "posix" else {"creationflags": 0x200}
OURS = 12  # threads of the box itself, more than there are
IDLE = 0.03  # of a processor: below it a cell waits rather than computes


def start(
    command: list[str], variables: dict[str, str], job: bytes, outputs: Path, outside: Path, limits: Limits
) -> tuple[str, str]:
    """Start the box, end it when it breaks a limit; return the limit broken ("" if none) and what it
    complained of.
    """
    complaint = outside / "complaint"
    with tempfile.TemporaryFile() as given, complaint.open("wb") as words:
        given.write(job)
        given.seek(0)
        process = subprocess.Popen(
            command,
            stdin=given,
            stdout=subprocess.DEVNULL,
            stderr=words,
            env=variables,
            cwd=outside,
            **GROUP,
        )
        try:
            stopped = watch(lambda pause: _wait(process, pause), process.pid, outputs, limits)
        finally:
            end(process)
    return stopped, complaint.read_bytes()[:2000].decode("utf-8", "replace").strip()


def _wait(process: subprocess.Popen, pause: float) -> bool:
    with contextlib.suppress(subprocess.TimeoutExpired):
        process.wait(pause)
    return process.returncode is not None


def watch(ended: Callable[[float], bool], pid: int, outputs: Path, limits: Limits) -> str:
    """Wait until ``ended(pause)`` says so, for ``pause`` seconds at most, or a limit is broken; return which.

    ``pid`` is the process whose whole tree counts.
    """
    began = heard = time.monotonic()
    size, pause, before = 0, 0.02, 0.0
    while not ended(pause):
        pause = min(pause * 1.3, 0.1)
        now, length = time.monotonic(), outputs.stat().st_size
        count, memory, computed = _usage(pid)
        if length != size:
            size, heard, before = length, now, computed
        if now - began > limits.total_seconds:
            return "time"
        if size and _quiet(now - heard, computed - before, limits):
            return "quiet"
        if not size and now - began > limits.start_seconds:
            return "quiet"
        if memory > limits.memory * 1.25 and _shared_out(pid) > limits.memory * 1.25:
            return "memory"
        if count > limits.processes + OURS:
            return "processes"
    return ""


def _quiet(waited: float, computed: float, limits: Limits) -> bool:
    """Whether a cell never ends: it has computed far beyond its time, or it waits and does next to nothing.

    An honest cell on a busy computer does neither, however long it takes by the clock.
    """
    if computed > 2 * limits.cell_seconds + 1:
        return True
    return waited > limits.quiet_seconds and computed < IDLE * waited


def end(process: subprocess.Popen) -> None:
    """End the process and all that it started: bwrap takes its whole process namespace with it."""
    if os.name == "posix":
        with contextlib.suppress(ProcessLookupError, PermissionError):
            os.killpg(process.pid, signal.SIGKILL)
    else:
        subprocess.run(["taskkill", "/F", "/T", "/PID", str(process.pid)], capture_output=True)
    with contextlib.suppress(OSError):
        process.kill()
    process.wait()


def _tree(pid: int) -> Iterator[int]:
    """A process and all below it, as far as /proc tells."""
    waiting = [pid]
    while waiting:
        each = waiting.pop()
        yield each
        with contextlib.suppress(OSError):
            for task in os.listdir(f"/proc/{each}/task"):
                children = Path(f"/proc/{each}/task/{task}/children").read_text()
                waiting.extend(int(child) for child in children.split())


def _usage(pid: int) -> tuple[int, int, float]:
    """Threads, bytes (shared memory counted each time) and computing seconds of a process and all below it;
    nothing without /proc.
    """
    count, memory, computed = 0, 0, 0
    for each in _tree(pid):
        with contextlib.suppress(OSError, ValueError, IndexError):
            memory += int(Path(f"/proc/{each}/statm").read_text().split()[1]) * os.sysconf("SC_PAGE_SIZE")
            count += len(os.listdir(f"/proc/{each}/task"))
            fields = Path(f"/proc/{each}/stat").read_text().rpartition(")")[2].split()
            computed += sum(map(int, fields[11:15]))  # its own and its dead children's
    return count, memory, computed / os.sysconf("SC_CLK_TCK") if computed else 0.0


def _shared_out(pid: int) -> int:
    """Bytes of a process and all below it, shared memory counted once; slower to find out."""
    total = 0
    for each in _tree(pid):
        with contextlib.suppress(OSError):
            found = re.search(
                r"^Pss:\s+(\d+) kB", Path(f"/proc/{each}/smaps_rollup").read_text(), re.MULTILINE
            )
            total += int(found[1]) * 1024 if found else 0
    return total

"""Processes that stand ready in a box, their libraries loaded, and fork for each return.  See within.py.

A ready process is started when one is first needed, serves one return at a time, and is kept for the next.
Whenever a return breaks a limit, it is ended with all that runs in its box.
"""

from __future__ import annotations

import atexit
import base64
import contextlib
import functools
import json
import os
import select
import socket
import subprocess
import tempfile
import threading
from collections.abc import Mapping
from pathlib import Path

from . import walls
from .limits import Limits
from .watch import GROUP, end, watch

START_SECONDS = 180.0


class NotReady(OSError):
    """No process can stand ready here."""


class Ready:
    """One process that stands ready.  Raises NotReady."""

    def __init__(self) -> None:
        self._socket, theirs = socket.socketpair(socket.AF_UNIX, socket.SOCK_SEQPACKET)
        self._complaints = tempfile.TemporaryFile()  # noqa: SIM115  closed in `close`
        self.owner, (command, copies) = os.getpid(), walls.ready(Limits())
        with theirs:
            self._process = subprocess.Popen(
                command, stdin=theirs, stdout=subprocess.DEVNULL, stderr=self._complaints, cwd="/",
                env={"PATH": os.defpath}, **GROUP,
            )  # fmt: skip
        self.pid = self._process.pid
        self._socket.settimeout(START_SECONDS)
        try:
            self._socket.send(json.dumps({"package": str(walls.PACKAGE), "copies": copies}).encode())
            answer = self._socket.recv(16)
        except OSError:
            answer = b""
        if answer != b"ready":
            self.close()
            raise NotReady(f"no process can stand ready in the box: {self.said()}")

    def alive(self) -> bool:
        """Whether it can serve."""
        return self.owner == os.getpid() and self._process.poll() is None

    def begin(self, files: list[int]) -> None:
        """Have it fork for a return: the job, and where outputs and values go."""
        self._complaints.truncate(0)
        socket.send_fds(self._socket, [b"."], files)

    def ended(self, pause: float) -> bool:
        """Whether the fork has ended, after waiting for at most ``pause`` seconds."""
        if not select.select([self._socket], [], [], pause)[0]:
            return False
        with contextlib.suppress(OSError):
            if self._socket.recv(16) == b"ended":
                return True
        self.close()  # it is gone, and what it ran with it
        return True

    def said(self) -> str:
        """What it complained of since ``begin``."""
        if not self._complaints.closed:
            self._complaints.seek(0)
            self._said = self._complaints.read(2000).decode("utf-8", "replace").strip("\0 \n")
        return self._said

    def close(self) -> None:
        """End it with all that it started."""
        if self.owner == os.getpid():
            end(self._process)
        self.said()
        self._complaints.close()
        self._socket.close()


_idle: list[Ready] = []  # kept for the next return; shared by the threads of this process
_lock = threading.Lock()


def _take() -> Ready:
    while True:
        with _lock:
            one = _idle.pop() if _idle else None
        if one is None:
            return Ready()
        if one.alive():
            return one
        one.close()


@atexit.register
def close() -> None:
    """End all that stand idle."""
    with _lock:
        while _idle:
            _idle.pop().close()


@functools.cache
def works() -> bool:
    """Whether a process can stand ready here and give its forks walls of their own: tried once."""
    if not walls.can_fork():
        return False
    try:
        with tempfile.TemporaryDirectory(prefix="solarlab-box-") as name:
            outputs, values = Path(name, "outputs"), Path(name, "values")
            outputs.touch(), values.touch()
            limits = Limits()
            run(walls.job([], "", limits), {}, outputs, values, limits)
            return b"finished" in outputs.read_bytes()
    except OSError:
        return False


def run(
    job: dict, files: Mapping[str, bytes], outputs: Path, values: Path, limits: Limits
) -> tuple[str, str]:
    """Run one job in a fork; return the limit broken ("" if none) and what the box complained of."""
    walls.fork(job, limits)
    job["files"] = {f"/given/{name}": base64.b64encode(data).decode("ascii") for name, data in files.items()}
    one = _take()
    opened = [os.open(path, os.O_WRONLY | os.O_APPEND | os.O_NOFOLLOW) for path in (outputs, values)]
    try:
        with tempfile.TemporaryFile() as given:
            given.write(json.dumps(job).encode())
            given.flush()
            given.seek(0)
            one.begin([given.fileno(), *opened])
            stopped = watch(one.ended, one.pid, outputs, limits)
    except BaseException:
        one.close()
        raise
    finally:
        for number in opened:
            os.close(number)
    said = one.said()
    if stopped or not one.alive():
        one.close()
    else:
        with _lock:
            _idle.append(one)
    return stopped, said

"""The walls of the box: the commands that start a learner's code, and what exists in there.

On Linux they are bubblewrap's (``bwrap``) namespaces; elsewhere a separate process in a temporary folder.
"""

from __future__ import annotations

import contextlib
import functools
import os
import secrets
import shutil
import stat
import subprocess
import sys
from collections.abc import Mapping, Sequence
from pathlib import Path

from .limits import MEGABYTE, Limits

INSIDE = Path(__file__).with_name("inside.py")
SHOWS = Path(__file__).with_name("inside_shows.py")
WITHIN = Path(__file__).with_name("within.py")
PACKAGE = Path(__file__).resolve().parents[1]  # the folder that holds solarlab/ and data/
# What the ready process needs to give each of its forks walls of its own.  The forks lose all of it.
RIGHTS = ("CAP_SYS_ADMIN", "CAP_NET_ADMIN", "CAP_SETPCAP")


@functools.cache
def has_bubblewrap() -> bool:
    """Whether bwrap is here and allowed to work (some systems forbid user namespaces)."""
    if not sys.platform.startswith("linux") or shutil.which("bwrap") is None:
        return False
    trial = ["bwrap", "--ro-bind", "/", "/", "--unshare-pid", "--unshare-net", "--proc", "/proc", "true"]
    return subprocess.run(trial, capture_output=True, timeout=30).returncode == 0


def job(cells: Sequence[Mapping], who: str, limits: Limits) -> dict:
    """What the code in the box is told: cells, learner, limits."""
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


def environment(home: str, who: str) -> dict[str, str]:
    """All environment variables that there are in the box."""
    return {
        "HOME": home,
        "PATH": "/usr/bin:/bin",
        "LANG": "C.UTF-8",
        "PYTHONUTF8": "1",
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


def fresh(given: Path, outputs: Path, values: Path, job: dict, limits: Limits) -> list[str]:
    """A bwrap command that runs one job in a box of its own, and what ``job`` must say of that box."""
    args, folders = _box(limits, job["who"], able=False)
    _describe(job, folders)
    args += ["--ro-bind", str(given), "/given", *_code(INSIDE, SHOWS)]
    args += ["--bind", str(outputs), "/out/outputs", "--bind", str(values), "/out/values"]
    return [*args, *CLOSED, sys.executable, "-s", "/inside.py", "/out/outputs", "/out/values"]


def ready(limits: Limits) -> tuple[list[str], list[tuple[str, str]]]:
    """A bwrap command for the process that forks for each return; the folders it fills first."""
    args, folders = _box(limits, "", able=True)
    args += ["--dir", "/given", *_code(INSIDE, SHOWS, WITHIN)]
    return [*args, *CLOSED, sys.executable, "-s", "/within.py"], _copies(folders)


def can_fork() -> bool:
    """Whether what a fork lays over the shared folders leaves Python and the course in sight."""
    needed = [PACKAGE, Path(sys.prefix), Path(sys.base_prefix)]
    return not any(path.is_relative_to(top) for path in needed for top in ("/tmp", "/learner", "/dev"))


def fork(job: dict, limits: Limits) -> None:
    """Say in ``job`` what a fork of the ready process must lay over the shared folders."""
    folders = _folders(limits)
    _describe(job, folders)
    job["fresh"] = [*folders.items(), ("/given", limits.folder_bytes)]


def bare(
    given: Path, outputs: Path, values: Path, outside: Path, job: dict
) -> tuple[list[str], dict[str, str]]:
    """The command and environment of a separate process in a temporary folder, without bubblewrap."""
    job["folder"], job["predictions"] = str(given), str(outside / ".solarlab")
    variables = environment(str(outside), job["who"])
    variables["TMPDIR"] = variables["TEMP"] = variables["TMP"] = str(outside)
    if os.name == "nt":  # what Python and its libraries look for there
        kept = ("SYSTEMROOT", "SYSTEMDRIVE", "WINDIR", "COMSPEC", "PATHEXT", "NUMBER_OF_PROCESSORS")
        variables |= {name: os.environ[name] for name in kept if name in os.environ}
        variables["PATH"] = os.path.join(os.environ.get("SYSTEMROOT", "C:\\Windows"), "System32")
        variables |= dict.fromkeys(("USERPROFILE", "APPDATA", "LOCALAPPDATA"), str(outside))
    if os.geteuid() == 0 if hasattr(os, "geteuid") else True:
        job["rlimits"].pop("RLIMIT_NPROC")
    else:  # counted over all of the user's processes here, so only growth can be limited
        job["rlimits"]["RLIMIT_NPROC"] += 1000
    return [sys.executable, "-s", str(INSIDE), str(outputs), str(values)], variables


CLOSED = ("--remount-ro", "/dev", "--remount-ro", "/", "--chdir", "/")


def _code(*files: Path) -> list[str]:
    return [word for file in files for word in ("--ro-bind", str(file), f"/{file.name}")]


def _describe(job: dict, folders: Mapping[str, int]) -> None:
    job["uid"] = 10_000_000 + secrets.randbelow(1_000_000_000) if _as_root() else None
    job["copies"] = [("/given", "/learner/work"), *_copies(folders)]
    job["folder"], job["predictions"] = "/learner/work", "/learner/.solarlab"


def _folders(limits: Limits) -> dict[str, int]:
    """The writable folders of a box, with their sizes in bytes."""
    folders = {"/dev/shm": 16 * MEGABYTE, "/tmp": limits.folder_bytes, "/learner": limits.folder_bytes}
    cache = _cache()
    if cache.is_dir():  # compiled code is read from a copy: what a learner does to it stays in their box
        # It must fit beside what the learner's run compiles; many changes of the package swell it.
        folders[str(cache)] = 64 * MEGABYTE + weight(cache)
    return folders


def _copies(folders: Mapping[str, int]) -> list[tuple[str, str]]:
    """What is copied into the writable folders: (from, to), as the box sees them."""
    copies = [("/warm/solarlab", str(_cache()))] if str(_cache()) in folders else []
    return copies + ([("/warm/matplotlib", "/learner/.matplotlib")] if _fonts().is_dir() else [])


def _box(limits: Limits, who: str, *, able: bool) -> tuple[list[str], dict[str, int]]:
    """bwrap's arguments for everything but the job; ``able``: with the rights that forking needs."""
    python = [Path(sys.base_prefix), Path(sys.prefix), Path(sys.executable).resolve().parent.parent]
    package, folders = PACKAGE / "solarlab", _folders(limits)
    args = ["bwrap", "--unshare-ipc", "--unshare-pid", "--unshare-net", "--unshare-uts"]
    args += ["--unshare-cgroup-try"]
    # Root's processes do not count against RLIMIT_NPROC, so root's box changes to a user of its own inside.
    if not _as_root():
        args += ["--unshare-user", "--cap-drop", "ALL"]
        args += [word for right in RIGHTS for word in ("--cap-add", right)] if able else []
    args += ["--die-with-parent", "--new-session", "--hostname", "box", "--clearenv"]
    for name, value in environment("/learner", who).items():
        args += ["--setenv", name, value]
    for path in ("/usr", "/bin", "/sbin", "/lib", "/lib32", "/lib64"):
        if os.path.islink(path):
            args += ["--symlink", os.readlink(path), path]
        elif os.path.isdir(path):
            args += ["--ro-bind", path, path]
    for path in ("/etc/ld.so.cache", "/etc/fonts"):
        args += ["--ro-bind-try", path, path]
    args += ["--proc", "/proc", "--dev", "/dev"]
    for path, size in folders.items():
        if path != str(_cache()):
            args += ["--perms", "1777", "--size", str(size), "--tmpfs", path]
    python = [path for path in dict.fromkeys(python) if not path.is_relative_to("/usr")]
    above = {
        parent
        for path in [*python, package, Path("/warm/x"), Path("/out/x"), Path("/etc/x")]
        for parent in path.parents
    }
    for path in sorted(above - {Path("/")}):
        args += ["--perms", "0755", "--dir", str(path)]  # bwrap would make them for its own user alone
    for path in (*python, package):
        args += ["--ro-bind", str(path), str(path)]
    args += ["--ro-bind-try", str(PACKAGE / "data"), str(PACKAGE / "data")]
    if str(_cache()) in folders:
        args += ["--ro-bind", str(_cache()), "/warm/solarlab"]
        args += ["--perms", "1777", "--size", str(folders[str(_cache())]), "--tmpfs", str(_cache())]
    if _fonts().is_dir():
        args += ["--ro-bind", str(_fonts()), "/warm/matplotlib"]
    return args, folders


def _cache() -> Path:
    return PACKAGE / "solarlab" / "__pycache__"


def _fonts() -> Path:
    return Path(os.environ.get("MPLCONFIGDIR") or Path.home() / ".cache" / "matplotlib")


def _as_root() -> bool:
    """Whether root starts the box, and another user could read what is in it."""
    python = [Path(sys.base_prefix), Path(sys.prefix), Path(sys.executable).resolve().parent.parent]
    return os.geteuid() == 0 and all(map(_open_to_all, [*python, PACKAGE / "solarlab"]))


def _open_to_all(path: Path) -> bool:
    with contextlib.suppress(OSError):
        mode = stat.S_IMODE(path.stat().st_mode)
        return bool(mode & stat.S_IROTH and mode & stat.S_IXOTH)
    return False


def weight(folder: Path) -> int:
    """Bytes of the files in ``folder``; others may be writing there."""
    total = 0
    for file in folder.iterdir():
        with contextlib.suppress(FileNotFoundError):
            total += file.stat().st_size
    return total

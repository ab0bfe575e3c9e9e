"""Open the course in JupyterLab, in a folder of the learner's; for contributors, store and check lessons.

Started by ``python lessons`` in the course's own Python.
"""

from __future__ import annotations

import argparse
import difflib
import os
import subprocess
import sys
from collections.abc import Sequence
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
sys.path[0] = str(ROOT)  # the modules here are `lessons._…`, to scripts and tests alike

from lessons import _copy, _notebooks  # noqa: E402

HOME = Path("~/solarlab-lessons")
SPELLED = ("--folder", "--lay", "--pages", "--store", "--check", "--routes", "--no-browser", "--port")


def main(arguments: Sequence[str] | None = None) -> int:
    """Do what the command line asks; return the exit code."""
    asked, jupyter = parser().parse_known_args(arguments)
    try:
        refuse_misspelled(jupyter)
        if asked.store or asked.check:
            return contribute(asked.lessons, check=asked.check)
        if asked.routes:
            return make_routes(asked.lessons)
        home = outside(asked.pages or asked.folder)
        if asked.pages:
            return write_pages(asked.lessons, home)
        lessons = _notebooks.find_lessons()
        if not lessons:
            raise ValueError(f"There is no lesson in {ROOT / 'lessons'}: get the course anew.")
        first = _notebooks.find_lesson(asked.lessons[0]) if asked.lessons else lessons[0]
        shown = lay_all(lessons, home)[first.name]
    except (ValueError, OSError) as error:
        print(said(error), file=sys.stderr)
        return 2
    except KeyboardInterrupt:
        print("Stopped; what was written so far is whole.", file=sys.stderr)
        return 130
    if asked.lay:
        return 0
    print(f"JupyterLab opens at {shown.notebook}.  To stop it, press Ctrl-C here.", flush=True)
    return start(command(shown, home, jupyter))


def parser() -> argparse.ArgumentParser:
    """The command line."""
    parser = argparse.ArgumentParser(
        prog="python lessons",
        description="Open the course: your own copy of its lessons, in a folder of yours, in JupyterLab.",
        epilog="Any other option goes to JupyterLab: --no-browser, --port=8899.",
    )
    add = parser.add_argument
    add("lessons", nargs="*", metavar="lesson", help="which to open, such as 07 (the first, if not said)")
    add("--folder", default=str(HOME), help="where your lessons lie (%(default)s)")
    add("--lay", action="store_true", help="lay the lessons there and open nothing")
    add("--pages", metavar="FOLDER", help="write the lessons there as pages to read and print; open nothing")
    add("--store", action="store_true", help="for contributors: run lessons and store them in their one form")
    add("--check", action="store_true", help="for contributors: say which lessons are not stored so")
    add("--routes", action="store_true", help="for contributors: make routes.md, measuring lessons named")
    return parser


def refuse_misspelled(options: Sequence[str]) -> None:
    """JupyterLab is silent about what it does not know: it would open as if nothing had been asked."""
    for option in options:
        name = option.partition("=")[0]
        near = [] if name in SPELLED else difflib.get_close_matches(name, SPELLED, 1, 0.8)
        if near:
            raise ValueError(f"There is no option {name}; did you mean {near[0]}?")


def outside(folder: str) -> Path:
    """A folder of the reader's, made if need be, which may not lie in the course itself."""
    try:
        home = Path(folder).expanduser().resolve()
    except RuntimeError:
        raise ValueError(f"No home folder for {folder} is known here: choose one with --folder.") from None
    if home == ROOT or ROOT in home.parents:
        raise ValueError(f"{home} is inside the course itself: choose a folder of your own.")
    home.mkdir(parents=True, exist_ok=True)
    return home


def said(error: Exception) -> str:
    """One sentence; the operating system's own complaints say neither what was wanted nor what to do."""
    if isinstance(error, OSError) and error.strerror:
        where = f"{error.filename} cannot be used" if error.filename else "A file cannot be used"
        return f"{where} ({error.strerror}): choose a folder that you may write in, with --folder or --pages."
    return str(error)


def lay_all(lessons: Sequence[Path], home: Path) -> dict[str, _copy.Laid]:
    """Lay every lesson in the learner's folder and say what was done; return where to open each."""
    shown = {}
    for lesson in lessons:
        laid = _copy.lay(lesson, home)
        if laid.state == "new":
            print(f"{laid.lesson}: laid in {laid.folder}")
        if laid.state == "beside":
            print(f"{laid.lesson}: a newer release lies beside yours now, in {laid.folder}")
        last = _copy.copies(lesson.name, home)[0] if laid.state == "kept" else laid.folder
        shown[lesson.name] = _copy.Laid(laid.lesson, last, laid.state)
    return shown


def command(shown: _copy.Laid, home: Path, jupyter: Sequence[str]) -> list[str]:
    """The command that starts JupyterLab at a lesson."""
    # In a container root is often the only user; the server listens to this computer alone, with a token.
    root = ["--allow-root"] if hasattr(os, "geteuid") and os.geteuid() == 0 else []
    address = f"/lab/tree/{shown.notebook.relative_to(home).as_posix()}"
    return [
        sys.executable, "-m", "jupyterlab", f"--ServerApp.root_dir={home}", f"--LabApp.default_url={address}",
        "--ServerApp.log_level=WARN", *root, *jupyter,
    ]  # fmt: skip


def start(jupyter: Sequence[str]) -> int:
    """Become JupyterLab, so that what ends this ends it; on Windows, which cannot, wait for it."""
    if os.name != "nt":
        os.execve(jupyter[0], jupyter, quiet_environment())
    return subprocess.run(jupyter, env=quiet_environment()).returncode


def quiet_environment() -> dict[str, str]:
    """The environment for JupyterLab: no news, no look for updates, no list of extensions from the net."""
    paths = [str(ROOT / "lessons" / "_jupyter"), os.environ.get("JUPYTER_CONFIG_PATH", "")]
    return dict(os.environ, JUPYTER_CONFIG_PATH=os.pathsep.join(path for path in paths if path))


def write_pages(names: Sequence[str], target: Path) -> int:
    """Run lessons (all, if none is named) and write their pages and cards in a folder."""
    from lessons._edition import build  # slow to import, and only needed here

    if not os.access(target, os.W_OK):  # rather now than after the minutes that all lessons run
        raise PermissionError(13, "Permission denied", str(target))
    build.build(target, [_notebooks.find_lesson(name) for name in names])
    print(f"Read the course from {target / 'index.html'}.")
    return 0


def contribute(names: Sequence[str], *, check: bool) -> int:
    """Store lessons in canonical form as one clean run leaves them, or only say which are not."""
    folders = [_notebooks.find_lesson(name) for name in names] or _notebooks.find_lessons()
    code = 0
    for folder in folders:
        changed = _notebooks.differs(folder) if check else _notebooks.store(folder)
        print(f"{folder.name}: " + (("differs" if check else "stored anew") if changed else "as stored"))
        code = code or int(check and changed)
    return code


def make_routes(names: Sequence[str]) -> int:
    """Make the page of routes anew; the lessons named are run first, for the seconds that they take."""
    from lessons import _minutes, _routes

    for name in names:
        folder = _notebooks.find_lesson(name)
        seconds = _minutes.measure(folder)
        _routes.keep(folder, seconds)
        print(f"{folder.name}: ran {seconds} s")
    print(_routes.write())
    return 0


if __name__ == "__main__":
    sys.exit(main())

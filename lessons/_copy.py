"""The learner's copy of a lesson: made from its source, laid in a folder of theirs, never over their work.

The copy is the source without its solutions, hidden tests, marking schemes and outputs, made by nbgrader's
own preprocessors, so that it is what a class gets from a teacher, too.  Beside the notebook lie the lesson's
other files (its ``exercises.py`` among them: the package is the answer key, and says so).

What a folder was made from is written in its ``.release`` file.  What lies in a folder is never changed;
when the lesson has a newer release, that is laid beside it, in a folder named for the lesson and the day.
"""

from __future__ import annotations

import datetime
import hashlib
import os
import re
import shutil
import tempfile
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

import nbformat
from nbformat import NotebookNode
from traitlets.config import Config

from lessons import _notebooks

RELEASE = ".release"
SKIPPED = {"__pycache__", ".ipynb_checkpoints", ".DS_Store"}
CODE_STUB = "# (nothing to do below this line)"  # the dots to be replaced stand above it
TEXT_STUB = "*Your answer goes here.*"


@dataclass(frozen=True)
class Laid:
    """Where a lesson lies for its learner; ``state``: ``"new"``, ``"kept"`` or ``"beside"`` an older one."""

    lesson: str
    folder: Path
    state: str

    @property
    def notebook(self) -> Path:
        return self.folder / f"{self.lesson}.ipynb"


def settings() -> Config:
    """nbgrader's settings for making a copy; the marking of a class uses the same."""
    config = Config()
    config.ClearSolutions.code_stub = {"python": CODE_STUB}
    config.ClearSolutions.text_stub = TEXT_STUB
    return config


def learner_copy(source: NotebookNode) -> NotebookNode:
    """Return a source notebook as a learner gets it.  Errors: a solution region outside a solution cell."""
    from nbgrader import preprocessors  # slow to import, and only needed here

    copy = nbformat.reads(nbformat.writes(source), as_version=4)
    resources = {"nbgrader": {"notebook": "", "assignment": "", "student": ""}, "unique_key": ""}
    for name in (  # nbgrader's order for generating an assignment, without its database
        "LockCells", "ClearSolutions", "ClearOutput", "CheckCellMetadata", "ClearHiddenTests",
        "ClearMarkScheme", "ComputeChecksums", "CheckCellMetadata",
    ):  # fmt: skip
        copy, resources = getattr(preprocessors, name)(config=settings()).preprocess(copy, resources)
    for cell in copy.cells:
        if "tags" in cell.metadata:  # they speak to the course's own tests only
            del cell.metadata["tags"]
    return copy


def copy_files(lesson: Path) -> dict[str, bytes]:
    """Return all files of a lesson's copy, {path inside its folder: content}: the same bytes every time."""
    files = {}
    for path in sorted(lesson.rglob("*")):
        inside = path.relative_to(lesson)
        if path.is_file() and not SKIPPED.intersection(inside.parts) and path.suffix != ".part":
            files[inside.as_posix()] = path.read_bytes()
    name = f"{lesson.name}.ipynb"
    copy = learner_copy(_notebooks.read(lesson / name))
    files[name] = _notebooks.dumps(copy).encode("utf-8")
    return files


def release(files: Mapping[str, bytes]) -> str:
    """Return a digest of a copy's files: two releases of a lesson differ in it, two equal copies do not."""
    digest = hashlib.sha256()
    for name in sorted(files):
        for part in (name.encode("utf-8"), files[name]):
            digest.update(len(part).to_bytes(8, "big") + part)
    return digest.hexdigest()


def lay(lesson: Path, home: Path, today: datetime.date | None = None) -> Laid:
    """Lay a lesson's copy in the learner's folder ``home``, changing nothing that is there already.

    A file that the learner lost from a copy of this release is given back; every other file is left alone.
    """
    files = copy_files(lesson)
    current = release(files)
    there = copies(lesson.name, home)
    for folder in there:
        if read_release(folder) == current:
            for name, content in files.items():
                if not (folder / name).exists():
                    write_file(folder / name, content)
            return Laid(lesson.name, folder, "kept")
    taken = bool(there) or (home / lesson.name).exists()
    target = home / lesson.name
    day, number = (today or datetime.date.today()).isoformat(), 1
    while target.exists():
        target = home / (f"{lesson.name}-{day}" + (f"-{number}" if number > 1 else ""))
        number += 1
    lay_folder(target, files, current)
    return Laid(lesson.name, target, "beside" if taken else "new")


def lay_folder(target: Path, files: Mapping[str, bytes], current: str) -> None:
    """Make a folder whole under a temporary name, then give it its own: never half, never over another."""
    target.parent.mkdir(parents=True, exist_ok=True)
    aside = Path(tempfile.mkdtemp(prefix=f".{target.name}-", dir=target.parent))
    part = aside / target.name
    try:
        part.mkdir()  # readable by whom the learner's own settings say, not by mkdtemp's
        for name, content in files.items():
            write_file(part / name, content)
        write_file(part / RELEASE, (current + "\n").encode("ascii"))
        part.rename(target)  # fails if a folder with something in it came there meanwhile
    finally:
        shutil.rmtree(aside, ignore_errors=True)


def write_file(path: Path, content: bytes) -> None:
    path.parent.mkdir(parents=True, exist_ok=True)
    part = path.with_name(path.name + ".part")
    part.write_bytes(content)
    os.replace(part, path)


def copies(lesson: str, home: Path) -> list[Path]:
    """Return the folders in ``home`` that were laid for a lesson, the one worked in last first."""
    name = re.compile(re.escape(lesson) + r"(-\d{4}-\d\d-\d\d(-\d+)?)?")
    named = (path for path in home.glob(f"{lesson}*") if name.fullmatch(path.name))
    laid = [path for path in named if (path / RELEASE).is_file()]
    return sorted(laid, key=lambda path: (last_worked(path, lesson), path.name), reverse=True)


def last_worked(folder: Path, lesson: str) -> float:
    notebook = folder / f"{lesson}.ipynb"
    return notebook.stat().st_mtime if notebook.exists() else 0.0


def read_release(folder: Path) -> str:
    return (folder / RELEASE).read_text(encoding="ascii", errors="replace").strip()

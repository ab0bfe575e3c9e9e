"""A class in a folder, in nbgrader's own layout, so that its tools and its JupyterLab extension work on it
too.

    roster.csv    class.toml    secret    nbgrader_config.py    gradebook.db
    source/ release/ submitted/ autograded/ feedback/         nbgrader's
    earlier/ aside/ marked/ report/                           ours
"""

from __future__ import annotations

import contextlib
import csv
import io
import json
import os
import re
import secrets
import shutil
import sys
import tomllib
import unicodedata
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from datetime import UTC, datetime
from pathlib import Path

from lessons._copy import settings
from solarlab.exercises import lesson as load_lesson

from . import tracks
from .archive import clean
from .notebook import decoded
from .release import Release, read_release

ROSTER_COLUMNS = ("id", "first_name", "last_name", "email")
SETTINGS = """\
# "code": lessons with their second track, the exercises in code; "no-code": without it.  Choose before the
# first return is marked.
track = "code"

# Where nbgrader's gradebook is, if not in this folder; see guide.md, "Many computers".
# db_url = "postgresql://teacher@localhost/gradebook"

# Late work: policy = "none" (no penalty), "per_day" (lose `share` of the marks per day begun), or "zero".
# A penalty never eats more than the marks earned, and `grace_minutes` are free.
[late]
policy = "none"
share = 0.1
grace_minutes = 15

# When each lesson is due: a time, its offset from UTC at its end (without, it is this computer's own time).
# A lesson not named here is never late.  A change counts from the next `mark` on.
[due]
# 07-dry-egg = 2030-03-01T18:00:00+00:00

# How a column of nbgrader's gradebook is called in marks.csv; see guide.md, "Marks for your school's system".
[export]
id = "ID"
name = "Name"
email = "Email"
"""


@dataclass(frozen=True)
class Learner:
    """A line of the roster."""

    id: str
    first_name: str = ""
    last_name: str = ""
    email: str = ""

    @property
    def name(self) -> str:
        """First and last name, or the id where none is given."""
        return f"{self.first_name} {self.last_name}".strip() or self.id


@dataclass(frozen=True)
class Course:
    """An open class.  ``secret`` never leaves this folder: hidden tests are drawn from it."""

    folder: Path
    roster: dict[str, Learner]
    secret: str
    settings: dict = field(default_factory=dict)

    @property
    def db_url(self) -> str:
        """nbgrader's database; ``db_url`` in class.toml names another one."""
        return self.settings.get("db_url") or f"sqlite:///{self.folder / 'gradebook.db'}"

    def due(self, lesson: str) -> datetime | None:
        """When a lesson is due, in UTC; None if it never is.  Raises ValueError for what is no time."""
        when = self.settings.get("due", {}).get(lesson)
        if when is None or isinstance(when, datetime):
            return when and when.astimezone(UTC)
        words = "2030-03-01T18:00:00+00:00, without quotation marks"
        raise ValueError(f"class.toml: when {lesson} is due must be a time such as {words}.")

    def release(self, lesson: str) -> Release:
        """The released lesson.  Raises ValueError with what is released when it is not."""
        folder = self.folder / "release" / lesson
        if not (folder / f"{lesson}.ipynb").is_file():
            raise ValueError(
                f"Lesson {lesson!r} is not released; released are: {', '.join(self.lessons()) or 'none'}."
            )
        return read_release(folder, self.folder / "source" / lesson)

    def lessons(self) -> list[str]:
        """Names of the released lessons."""
        return sorted(
            path.stem for path in (self.folder / "release").glob("*/*.ipynb") if path.stem == path.parent.name
        )

    def nbgrader(self):
        """nbgrader's own interface to this class (``nbgrader.apps.api.NbGraderAPI``)."""
        from nbgrader.apps.api import NbGraderAPI
        from nbgrader.coursedir import CourseDirectory

        config = settings()  # stubs as in the copy that `python lessons` lays
        config.CourseDirectory.root = str(self.folder)
        config.CourseDirectory.db_url = self.db_url
        config.CourseDirectory.course_id = self.folder.name
        return NbGraderAPI(CourseDirectory(config=config), config=config)

    @contextlib.contextmanager
    def gradebook(self) -> Iterator:
        """nbgrader's gradebook, open for reading and writing."""
        from nbgrader.api import Gradebook

        with scripts_on_path(), Gradebook(self.db_url, self.folder.name) as gradebook:
            yield gradebook


@contextlib.contextmanager
def scripts_on_path() -> Iterator[None]:
    """nbgrader calls ``alembic`` by name: put this Python's scripts first on PATH, activated or not."""
    before = os.environ.get("PATH", "")
    os.environ["PATH"] = os.path.dirname(sys.executable) + os.pathsep + before
    try:
        yield
    finally:
        os.environ["PATH"] = before


def create(folder: Path, roster: Path) -> Course:
    """Make a class in a new or empty folder from a roster CSV.  Raises ValueError; never overwrites a
    class.
    """
    if (folder / "roster.csv").exists():
        raise ValueError(f"{folder} already holds a class: choose another folder, or edit its roster.csv.")
    if re.search(r"\?|%[0-9a-fA-F]{2}", str(folder.resolve())):
        raise ValueError(f"{folder.resolve()}: no gradebook can lie there; choose a path without ? and %.")
    learners = read_roster(roster)
    for name in (
        "source",
        "release",
        "submitted",
        "autograded",
        "feedback",
        "earlier",
        "aside",
        "marked",
        "report",
    ):
        (folder / name).mkdir(parents=True, exist_ok=True)
    if os.name == "posix":
        folder.chmod(0o700)  # on a shared computer learners are other users of it
    write(folder / "secret", secrets.token_hex(16) + "\n", private=True)
    write(folder / "class.toml", SETTINGS)
    write(folder / "nbgrader_config.py", CONFIGURATION.format(name=folder.name))
    with (folder / "roster.csv.part").open("w", encoding="utf-8", newline="") as file:
        table = csv.writer(file)
        table.writerow(ROSTER_COLUMNS)
        table.writerows([each.id, each.first_name, each.last_name, each.email] for each in learners.values())
    os.replace(folder / "roster.csv.part", folder / "roster.csv")
    course = open_course(folder)
    with course.gradebook() as gradebook:
        for each in learners.values():
            gradebook.update_or_create_student(
                each.id, first_name=each.first_name, last_name=each.last_name, email=each.email
            )
    return course


CONFIGURATION = """\
# nbgrader's tools and its JupyterLab extension, started in this folder, use the same class.
import os
import tomllib

here = os.path.dirname(os.path.abspath(__file__))
with open(os.path.join(here, "class.toml"), encoding="utf-8-sig") as file:
    elsewhere = tomllib.loads(file.read()).get("db_url")

c = get_config()  # noqa: F821
c.CourseDirectory.root = here
c.CourseDirectory.course_id = {name!r}
if elsewhere:
    c.CourseDirectory.db_url = elsewhere
"""


def open_course(folder: Path) -> Course:
    """Open a class.  Raises ValueError where the folder holds none."""
    folder = folder.resolve()
    if not (folder / "roster.csv").is_file() or not (folder / "secret").is_file():
        raise ValueError(f"{folder} holds no class: make one with `python instructor create`.")
    settings = {}
    if (folder / "class.toml").exists():
        try:
            settings = tomllib.loads((folder / "class.toml").read_text("utf-8-sig"))
        except (tomllib.TOMLDecodeError, UnicodeError) as error:
            raise ValueError(f"class.toml cannot be read: {error}.") from None
    secret = (folder / "secret").read_text("ascii").strip()
    return Course(folder, read_roster(folder / "roster.csv"), secret, settings)


def read_roster(path: Path) -> dict[str, Learner]:
    """Read a roster CSV with a column ``id`` (``first_name``, ``last_name``, ``email`` too if you like).

    As any spreadsheet saves it: commas, semicolons or tabs, UTF-8, UTF-16 or Windows' own letters.

    Raises ValueError for a missing column, an id used twice, or one that cannot be a folder's name.
    """
    text, _ = decoded(path.read_bytes())
    first = text.split("\n", 1)[0]
    if first.startswith("sep="):  # a spreadsheet's own note of what parts the columns
        text = text[len(first) + 1 :]
        first = text.split("\n", 1)[0]
    delimiter = max(",;\t", key=first.count)
    rows = [
        {
            str(key).strip().lower().replace(" ", "_"): (value or "").strip()
            for key, value in row.items()
            if key
        }
        for row in csv.DictReader(io.StringIO(text, newline=""), delimiter=delimiter)
    ]
    if not rows or "id" not in rows[0]:
        raise ValueError(
            f"{path.name} needs a first line of column names with `id` in it, and a line per learner."
        )
    learners: dict[str, Learner] = {}
    for row in rows:
        name = unicodedata.normalize("NFC", row["id"])
        if not name:
            continue
        if not re.fullmatch(r"[\w@][\w.@-]{0,63}", name) or clean(name) != name:
            raise ValueError(
                f"{path.name}: the id {name!r} cannot be used. It names a folder: up to 64 letters, digits "
                "and . _ - @, no dot or dash first, no dot last, and no name that Windows keeps for itself."
            )
        if name.casefold() in {each.casefold() for each in learners}:
            raise ValueError(f"{path.name}: the id {name!r} is there twice.")
        learners[name] = Learner(name, *(row.get(column, "") for column in ROSTER_COLUMNS[1:]))
    if not learners:
        raise ValueError(f"{path.name} names no learner.")
    return learners


def release(course: Course, lesson_folder: Path) -> Release:
    """Release a lesson with nbgrader: solutions and hidden tests are stripped, and the second track if the
    class does without it; then check that it can be marked.

    Raises ValueError where it cannot, or where work in the gradebook holds other questions.
    """
    name = lesson_folder.name
    source, due = course.folder / "source" / name, course.due(lesson_folder.name)
    if not (lesson_folder / f"{name}.ipynb").is_file():
        raise ValueError(f"{lesson_folder} holds no {name}.ipynb.")
    notebook = json.loads((lesson_folder / f"{name}.ipynb").read_text("utf-8"))
    if tracks.chosen(course.settings) == tracks.NO_CODE:
        notebook = tracks.without_code(notebook, load_lesson(lesson_folder))
    _demand_same_questions(course, name, notebook)
    shutil.copytree(
        lesson_folder,
        source,
        dirs_exist_ok=True,
        ignore=shutil.ignore_patterns("__pycache__", ".ipynb_checkpoints", f"{name}.ipynb"),
    )
    write(source / f"{name}.ipynb", json.dumps(notebook, ensure_ascii=False, indent=1) + "\n")
    with scripts_on_path():
        answer = course.nbgrader().generate_assignment(name, force=True)
    if not answer["success"]:
        raise ValueError(
            f"nbgrader could not release {name}: {answer.get('error', '')[-400:]} {answer['log'][-800:]}"
        )
    with course.gradebook() as gradebook:
        gradebook.update_or_create_assignment(name, duedate=due)
    return course.release(name)


def _demand_same_questions(course: Course, name: str, notebook: Mapping) -> None:
    """nbgrader cannot add or take away a cell of a lesson of which work is in the gradebook."""
    labels = (cell.get("metadata", {}).get("nbgrader", {}) for cell in notebook["cells"])
    now = {label["grade_id"] for label in labels if label.get("grade")}
    with course.gradebook() as gradebook:
        for assignment in gradebook.assignments:
            for known in assignment.notebooks if assignment.name == name else ():
                if known.submissions and {cell.name for cell in known.grade_cells} != now:
                    raise ValueError(
                        f"Work on {name} is marked already, so no question can be added or taken away: "
                        "release it under another name."
                    )


def write(path: Path, text: str, *, private: bool = False) -> None:
    """Write a text file under a temporary name first; a private one is for its owner's eyes only."""
    part = path.with_name(path.name + ".part")
    path.parent.mkdir(parents=True, exist_ok=True)
    with contextlib.suppress(FileNotFoundError):
        part.unlink()
    with open(
        os.open(part, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600 if private else 0o644),
        "w",
        encoding="utf-8",
        newline="\n",
    ) as file:
        file.write(text)
        file.flush()
        os.fsync(file.fileno())
    os.replace(part, path)

"""Help for the marking tests: a class of invented learners with the small lesson released."""

from __future__ import annotations

import functools
import json
import shutil
import tempfile
from pathlib import Path

from instructor import course
from instructor.limits import MEGABYTE, Limits
from instructor.marking import Result, Return, mark
from instructor.release import Release
from tests.corpus import small_lesson
from tests.corpus.returns import filled, packed

ROSTER = """\
id,first_name,last_name,email
amina,Amina,Demo,amina@example.org
bruno,Bruno,Demo,bruno@example.org
chen,Chen,Demo,chen@example.org
divya,Divya,Demo,divya@example.org
"""
ANSWERS = {
    "learner" if name == "learner" else f"{name}-answer": text
    for name, text in small_lesson.SOLUTIONS.items()
}
QUICK = Limits(
    cell_seconds=2, quiet_seconds=12, total_seconds=120, memory=1024 * MEGABYTE, processes=32
)


@functools.cache
def pattern() -> Path:
    """A class with the small lesson released, made once and copied where a test needs its own."""
    folder = Path(tempfile.mkdtemp(prefix="solarlab-class-"))
    (folder / "roster.csv").write_text(ROSTER, "utf-8")
    made = course.create(folder / "class", folder / "roster.csv")
    course.release(made, small_lesson.write(folder / "lessons"))
    return folder / "class"


def new_class(folder: Path) -> course.Course:
    """A class of four with the small lesson released, in a folder of the test's own."""
    shutil.copytree(pattern(), folder, dirs_exist_ok=True)
    return course.open_course(folder)


def released() -> Release:
    """The small lesson as released."""
    return course.open_course(pattern()).release(small_lesson.NAME)


def answered(**answers: str) -> dict:
    """A returned notebook with every answer right but those given, by exercise: ``answered(power="power =
    3")``.
    """
    given = {"learner" if name == "learner" else f"{name}-answer": text for name, text in answers.items()}
    return filled(released().notebook, {**ANSWERS, **given})


def marked(
    notebook: dict | bytes, learner: str = "amina", *, way: str | None = None, **files: bytes
) -> Result:
    """Mark one returned notebook of the small lesson."""
    data = notebook if isinstance(notebook, bytes) else packed(notebook)
    name = f"{small_lesson.NAME}.ipynb"
    returned = Return(learner, small_lesson.NAME, {name: data, **files}, name, classmates=("bruno", "chen"))
    return mark(returned, released(), "a secret", limits=QUICK, way=way)


def scores(result: Result) -> dict[str, float | None]:
    """Score by exercise: ``{"power": 2.0, …}``."""
    return {mark.grade_id.removesuffix("-mark").removesuffix("-answer"): mark.score for mark in result.marks}


def codes(result: Result) -> set[str]:
    """The slugs of what was mended."""
    return {change.code for change in result.changes}


def submit(class_: course.Course, learner: str, notebook: dict) -> Path:
    """Lay a notebook where nbgrader looks for submissions."""
    folder = class_.folder / "submitted" / learner / small_lesson.NAME
    folder.mkdir(parents=True, exist_ok=True)
    path = folder / f"{small_lesson.NAME}.ipynb"
    path.write_text(json.dumps(notebook), "utf-8")
    return path

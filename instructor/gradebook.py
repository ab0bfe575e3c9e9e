"""The one writer: merge results into nbgrader's gradebook and its folders, with nbgrader's own score saving.

A result that says "not marked" touches nothing: no row, no score that could be taken for a zero, and an
earlier return's mark stands.  Merging the same result again changes nothing, so a run that was killed between
two steps is simply done again.
"""

from __future__ import annotations

import contextlib
import logging
import os
import shutil
import warnings
from collections.abc import Iterator, Mapping
from pathlib import Path

import nbformat
from nbgrader.api import Gradebook
from nbgrader.plugins import LateSubmissionPlugin
from nbgrader.preprocessors import AssignLatePenalties, SaveAutoGrades
from sqlalchemy.exc import SAWarning
from traitlets.config import Config

from .course import Course, Learner, scripts_on_path, write
from .marking import MARKED, Result


class LatePolicy(LateSubmissionPlugin):
    """The policy stated in class.toml, as a plugin of nbgrader's."""

    settings: Mapping = {}

    def late_submission_penalty(
        self, student_id: str, score: float, total_seconds_late: float
    ) -> float | None:
        """Points lost: see ``penalty``."""
        return penalty(self.settings, score, total_seconds_late)


def penalty(settings: Mapping, score: float, seconds_late: float) -> float | None:
    """Points lost for lateness: None for no policy; "per_day" counts each day begun after the minutes of
    grace.
    """
    policy = settings.get("policy", "none")
    if policy not in ("none", "per_day", "zero"):
        raise ValueError(f"class.toml: late policy {policy!r} is not none, per_day or zero")
    late = seconds_late - 60 * settings.get("grace_minutes", 0)
    if policy == "none" or late <= 0:
        return None
    if policy == "zero":
        return score
    return min(score, score * settings.get("share", 0.1) * (1 + late // 86_400))


def merge(course: Course, result: Result) -> None:
    """Record one result.  Raises ValueError for a learner who is not on the roster."""
    learner = course.roster.get(result.learner)
    if learner is None:
        raise ValueError(f"{result.learner!r} is not on the roster")
    if result.state != MARKED:
        return
    notebook = nbformat.from_dict(dict(result.notebook))
    nbformat.validate(notebook)
    _lay(course, result, nbformat.writes(notebook))
    config = Config()
    config.AssignLatePenalties.plugin_class = type(
        "StatedPolicy", (LatePolicy,), {"settings": course.settings.get("late", {})}
    )
    resources = {
        "nbgrader": {
            "notebook": result.lesson,
            "assignment": result.lesson,
            "student": result.learner,
            "db_url": course.db_url,
        }
    }
    with scripts_on_path(), quiet():
        with Gradebook(course.db_url, course.folder.name) as gradebook:
            _enrol(gradebook, learner)
            gradebook.update_or_create_assignment(result.lesson, duedate=course.due(result.lesson))
            when = {"timestamp": result.received} if result.received else {}
            gradebook.update_or_create_submission(result.lesson, result.learner, **when)
        SaveAutoGrades().preprocess(notebook, resources)
        _leave_open(course, result)
        AssignLatePenalties(config=config).preprocess(notebook, resources)


def _enrol(gradebook: Gradebook, learner: Learner) -> None:
    gradebook.update_or_create_student(
        learner.id, first_name=learner.first_name, last_name=learner.last_name, email=learner.email
    )


def _leave_open(course: Course, result: Result) -> None:
    """A question that could not be marked has no score: it waits for a person."""
    open_marks = {mark.grade_id for mark in result.marks if mark.score is None}
    with Gradebook(course.db_url, course.folder.name) as gradebook:
        for name in open_marks:
            grade = gradebook.find_grade(name, result.lesson, result.lesson, result.learner)
            grade.auto_score = None
            grade.needs_manual_grade = True  # a mark given by hand stays, to be looked at again
        gradebook.db.commit()


def _lay(course: Course, result: Result, text: str) -> None:
    """The run notebook where nbgrader's feedback and its marking extension look for it, with the released
    files.
    """
    folder = course.folder / "autograded" / result.learner / result.lesson
    folder.mkdir(parents=True, exist_ok=True)
    given: Path = course.folder / "release" / result.lesson
    for path in given.rglob("*"):
        if path.is_file() and path.suffix != ".ipynb" and "__pycache__" not in path.parts:
            target = folder / path.relative_to(given)
            target.parent.mkdir(parents=True, exist_ok=True)
            part = target.with_name(target.name + ".part")
            shutil.copyfile(path, part)
            os.replace(part, target)
    if result.received:
        write(folder / "timestamp.txt", result.received + "\n")
    write(folder / f"{result.lesson}.ipynb", text)


@contextlib.contextmanager
def quiet() -> Iterator[None]:
    """Keep nbgrader's chatter, and SQLAlchemy's warnings about nbgrader, off the marker's terminal."""
    loggers = [logging.getLogger(name) for name in ("traitlets", "alembic")]
    levels = [logger.level for logger in loggers]
    for logger in loggers:
        logger.setLevel(logging.ERROR)
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore", SAWarning)
            yield
    finally:
        for logger, level in zip(loggers, levels, strict=True):
            logger.setLevel(level)


def dump(course: Course) -> list[tuple]:
    """Every score in the gradebook in a fixed order, to compare two gradebooks; row ids and clocks left
    out.
    """
    rows = []
    with course.gradebook() as gradebook:
        for assignment in gradebook.assignments:
            for submission in gradebook.assignment_submissions(assignment.name):
                for notebook in submission.notebooks:
                    for grade in notebook.grades:
                        rows.append(
                            (
                                assignment.name,
                                submission.student.id,
                                grade.name,
                                grade.auto_score,
                                grade.manual_score,
                                grade.needs_manual_grade,
                                notebook.late_submission_penalty,
                            )
                        )
    return sorted(rows, key=repr)

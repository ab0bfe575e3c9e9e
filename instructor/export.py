"""Marks as CSV for a school's system: a column map in class.toml, blanks where there is no mark, never a
false zero.
"""

from __future__ import annotations

import csv
import io
from pathlib import Path

from .course import Course, write
from .judging import NOT_MARKED
from .run import current

STATES = ("marked", "waits for a person", "not marked", "nothing returned")


def write_marks(course: Course, lessons: list[str] | None = None) -> Path:
    """Write report/marks.csv: a line per learner; for each lesson its points, maximum, late penalty and
    state.
    """
    lessons = lessons or course.lessons()
    names = {"id": "ID", "name": "Name", "email": "Email", **course.settings.get("export", {})}
    table = io.StringIO()
    lines = csv.writer(table)
    lines.writerow(
        [names["id"], names["name"], names["email"]]
        + [f"{lesson}{part}" for lesson in lessons for part in ("", " of", " late penalty", " state")]
    )
    found = {lesson: marks(course, lesson) for lesson in lessons}
    for learner in course.roster.values():
        row = [learner.id, learner.name, learner.email]
        for lesson in lessons:
            row += found[lesson][learner.id]
        lines.writerow([safe(cell) for cell in row])
    path = course.folder / "report" / "marks.csv"
    write(path, table.getvalue().replace("\r\n", "\n"))
    return path


def marks(course: Course, lesson: str) -> dict[str, list]:
    """Learner -> [points, maximum, late penalty, state]; points are blank unless every question has its
    mark.
    """
    release = course.release(lesson)
    maximum = sum(question.points for question in release.questions)
    results = current(course, lesson)
    rows = {name: ["", maximum, "", STATES[3]] for name in course.roster}
    for name, result in results.items():
        if result.state == NOT_MARKED:
            rows[name] = ["", maximum, "", f"{STATES[2]}: {result.why}"]
    with course.gradebook() as gradebook:
        for submission in gradebook.assignment_submissions(lesson):
            name = submission.student.id
            if name not in rows or (name in results and results[name].state == NOT_MARKED):
                continue
            waiting = any(grade.needs_manual_grade for nb in submission.notebooks for grade in nb.grades)
            penalty = submission.late_submission_penalty or 0.0
            points = "" if waiting else round(max(0.0, submission.score - penalty), 4)
            rows[name] = [points, maximum, round(penalty, 4), STATES[1] if waiting else STATES[0]]
    return rows


def safe(cell: object) -> object:
    """A cell that no spreadsheet takes for a formula."""
    if isinstance(cell, str) and cell[:1] in tuple("=+-@\t\r\n＝＋－＠"):
        return f"'{cell}"
    return cell

"""Mark explanations by hand: one after another, with the keyboard only, and stop whenever you like.

Each mark lands in nbgrader's gradebook at once, so a session can be broken off and taken up again.
"""

from __future__ import annotations

import json
import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass

from .course import Course
from .judging import Mark
from .marking import Result
from .release import Release
from .run import current

STEERING = re.compile("[\x00-\x08\x0b-\x1f\x7f-\x9f\ud800-\udfff\u202a-\u202e\u2066-\u2069]")
HELP = "points for each line of the rubric (0 to its points), Enter to skip; b back, c comment, q stop"


@dataclass(frozen=True)
class Waiting:
    """One explanation that waits for a person."""

    learner: str
    grade_id: str
    text: str
    maximum: float


def waiting(course: Course, lesson: str) -> list[Waiting]:
    """Explanations without a mark, in the roster's order."""
    found = []
    with course.gradebook() as gradebook:
        open_marks = {
            (submission.student.id, grade.name): float(grade.max_score)
            for submission in gradebook.assignment_submissions(lesson)
            for notebook in submission.notebooks
            for grade in notebook.grades
            if grade.needs_manual_grade
        }
    for name in course.roster:
        texts = dict(_texts(course, lesson, name))
        for (learner, grade_id), maximum in open_marks.items():
            if learner == name:
                found.append(Waiting(name, grade_id, texts.get(grade_id, ""), maximum))
    return found


def _texts(course: Course, lesson: str, learner: str) -> Iterator[tuple[str, str]]:
    path = course.folder / "autograded" / learner / lesson / f"{lesson}.ipynb"
    if path.is_file():
        for cell in json.loads(path.read_text("utf-8"))["cells"]:
            name = cell.get("metadata", {}).get("nbgrader", {}).get("grade_id")
            if name:
                yield name, "".join(cell["source"])


def give(course: Course, lesson: str, one: Waiting, points: float, comment: str = "") -> None:
    """Record a mark and a comment.  Raises ValueError for points below 0 or above the question's."""
    if not 0 <= points <= one.maximum:
        raise ValueError(f"{points:g} points are not between 0 and {one.maximum:g}.")
    with course.gradebook() as gradebook:
        grade = gradebook.find_grade(one.grade_id, lesson, lesson, one.learner)
        grade.manual_score, grade.needs_manual_grade = float(points), False
        if comment:
            gradebook.find_comment(one.grade_id, lesson, lesson, one.learner).manual_comment = comment
        gradebook.db.commit()


def sit(
    course: Course,
    lesson: str,
    *,
    ask: Callable[[str], str] = input,
    tell: Callable[[str], object] = print,
    anonymous: bool = False,
) -> int:
    """Mark one explanation after another; returns how many were marked.  ``ask`` reads a line, ``tell`` shows
    text.
    """
    release, results, queue = course.release(lesson), current(course, lesson), waiting(course, lesson)
    done, at = 0, 0
    tell(f"{len(queue)} explanations wait.  Keys: {HELP}.")
    while at < len(queue):
        one = queue[at]
        tell(_shown(release, results.get(one.learner), one, at, len(queue), anonymous))
        answer = _points(release, one, ask, tell)
        if answer == "q":
            break
        if answer == "b":
            at = max(0, at - 1)
            continue
        if answer is not None:
            points, comment = answer
            give(course, lesson, one, points, comment)
            done += 1
        at += 1
    tell(f"{done} marked; {len(waiting(course, lesson))} still wait.")
    return done


def _points(
    release: Release, one: Waiting, ask: Callable[[str], str], tell: Callable[[str], object]
) -> tuple[float, str] | str | None:
    """(points, comment), "b", "q", or None to skip."""
    exercise = release.explanation(one.grade_id)
    rubric = exercise.rubric if exercise else ((one.maximum, "the whole answer"),)
    total, comment, line = 0.0, "", 0
    while line < len(rubric):
        most, what = rubric[line]
        said = ask(f"  {what} (0–{most:g}): ").strip().lower()
        if said in ("b", "q"):
            return said
        if said == "":
            return None
        if said == "c":
            comment = ask("  comment for the learner: ").strip()
            continue
        try:
            points = float(said.replace(",", "."))
        except ValueError:
            tell(f"  {said!r} is no number and no key: {HELP}.")
            continue
        if not 0 <= points <= most:
            tell(f"  Between 0 and {most:g}, please.")
            continue
        total, line = total + points, line + 1
    return total, comment


def _shown(
    release: Release, result: Result | None, one: Waiting, at: int, count: int, anonymous: bool
) -> str:
    who = f"learner {at + 1}" if anonymous else one.learner
    lines = ["", "=" * 72, f"{at + 1} of {count}: {one.grade_id}, {who}", ""]
    if result is not None:
        for prediction in result.predictions:
            lines.append(
                f"  predicted: {prediction['question']} = {prediction['value']} ({prediction['sure']})"
            )
        lines += [f"  {_line(release, mark)}" for mark in result.marks if mark.exercise]
    return visible("\n".join([*lines, "", one.text.strip() or "(nothing written)", ""]))


def visible(text: str) -> str:
    """A learner's words without what would steer the terminal, or turn its letters round."""
    return STEERING.sub("\ufffd", text)


def _line(release: Release, mark: Mark) -> str:
    title = release.exercises()[mark.exercise].title
    return f"{title}: {mark.state}" + (f", {mark.handed:.4g}" if isinstance(mark.handed, float) else "")

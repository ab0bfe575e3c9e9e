"""Feedback for learners: what was right, what a wrong number suggests, what to try.

Built from the answer notes and hints of the lesson.  It never holds a hidden input, a right answer, or
anything of another learner.  The page takes the place of nbgrader's own feedback, so its tools hand it back.
"""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

from solarlab.exercises import CANNOT_READ, HANDED_IN, NOT_ATTEMPTED, NOT_YET, RIGHT, hint, variant

from .course import Course, Learner, write
from .judging import NOT_MARKED, NOT_RUN, Mark
from .marking import Result
from .notebook import told
from .page import bullets, heading, page, paragraph, quotation, shown, table
from .page import told as emphasised
from .release import Release
from .run import current, newest

WORDS = {
    RIGHT: "✓ Right",
    NOT_YET: "✗ Not yet",
    CANNOT_READ: "? Could not be read",
    NOT_ATTEMPTED: "– Not attempted",
    HANDED_IN: "… Handed in; a person reads it",
    NOT_RUN: "? The notebook did not come to it",
    NOT_MARKED: "? Not marked, and nothing is lost by it",
}


def write_feedback(course: Course, lesson: str) -> list[Path]:
    """Write a page for each learner who returned the lesson, and each one's summary page.  Returns the
    paths.
    """
    release = course.release(lesson)
    paths = []
    for name, result in current(course, lesson).items():
        path = course.folder / "feedback" / name / lesson / f"{lesson}.html"
        write(path, lesson_page(course.roster[name], release, result, by_hand(course, lesson, name)))
        paths.append(path)
        summary = course.folder / "feedback" / name / "summary.html"
        write(summary, summary_page(course, course.roster[name]))
        paths.append(summary)
    return paths


def by_hand(course: Course, lesson: str, learner: str) -> dict[str, tuple[float | None, str]]:
    """Marks and comments that people gave, by grade_id."""
    from nbgrader.api import MissingEntry

    found: dict[str, tuple[float | None, str]] = {}
    with course.gradebook() as gradebook:
        try:
            notebook = gradebook.find_submission_notebook(lesson, lesson, learner)
        except MissingEntry:
            return found
        comments = {comment.name: comment.comment or "" for comment in notebook.comments}
        for grade in notebook.grades:
            if grade.manual_score is not None and not grade.needs_manual_grade:
                found[grade.name] = (float(grade.manual_score), comments.get(grade.name, ""))
    return found


def lesson_page(
    learner: Learner, release: Release, result: Result, hand: Mapping[str, tuple[float | None, str]]
) -> str:
    """One learner's page for one lesson."""
    title = f"{release.lesson}: feedback for {learner.name}"
    if result.state == NOT_MARKED:
        words = "This return is not marked. That is not a zero: it waits until it can be read."
        return page(title, [paragraph(words), heading("Why"), paragraph(result.why)])
    rows, parts = [], []
    for mark in result.marks:
        score, comment = hand.get(mark.grade_id, (mark.score, ""))
        name = question_title(release, mark)
        state = WORDS[mark.state] if mark.grade_id not in hand else "✓ Read by a person"
        rows.append((name, state, None if score is None else float(score), float(mark.maximum)))
        parts += [
            heading(f"{name}: {state.split(' ', 1)[1].lower()}"),
            *_question(release, result, mark, comment),
        ]
    known = [row for row in rows if row[2] is not None]
    total = f"{shown(sum(row[2] for row in known))} of {shown(sum(row[3] for row in known))} points"
    waiting = sum(row[3] for row in rows if row[2] is None)
    total += f", and {shown(waiting)} still to be marked by a person." if waiting else "."
    head = [paragraph(total), table("Your marks", ("Question", "How it went", "Points", "Of"), rows)]
    if result.changes:
        parts += [heading("About your notebook"), paragraph("Your work was kept. This was noticed:")]
        parts.append(bullets(told(result.changes)))
    return page(title, [*head, *parts])


def question_title(release: Release, mark: Mark) -> str:
    """What a person calls the question."""
    exercise = release.exercises()[mark.exercise] if mark.exercise else release.explanation(mark.grade_id)
    return exercise.title if exercise else mark.grade_id


def _question(release: Release, result: Result, mark: Mark, comment: str) -> list[str]:
    parts = []
    if comment:
        parts += [paragraph("What your reader says:"), quotation(comment)]
    if not mark.exercise:
        return parts
    exercise = release.exercises()[mark.exercise]
    if exercise.kind not in ("function", "bug") and mark.handed is not None and mark.state != NOT_ATTEMPTED:
        parts.append(paragraph(f"You answered: {_answer(mark.handed)}"))
    if mark.state == RIGHT:
        return parts
    if mark.hint:
        parts.append(emphasised(mark.hint))
    if mark.state == NOT_ATTEMPTED:
        parts.append(paragraph("Nothing was written here yet. A first guess costs nothing."))
    if mark.state in (NOT_YET, NOT_ATTEMPTED) and exercise.hints and hint(exercise) != mark.hint:
        parts.append(emphasised(f"What to try: {hint(exercise)}"))
    if exercise.variant and exercise.kind not in ("function", "bug", "explanation"):
        question = exercise.question.format(**variant(exercise, result.learner))
        parts.append(emphasised(f"The question: {question}", "quiet"))
    return parts


def _answer(value: object) -> str:
    if isinstance(value, dict) and "unreadable" in value:
        return str(value["unreadable"])[:200]
    if isinstance(value, dict):
        return "; ".join(f"{name}: {shown(part)}" for name, part in list(value.items())[:20])
    return shown(value)[:300]


def summary_page(course: Course, learner: Learner) -> str:
    """All lessons of one learner on one page."""
    rows = []
    for lesson in course.lessons():
        result = newest(course, lesson, learner.id) if _returned(course, learner, lesson) else None
        if result is None:
            rows.append((lesson, "– nothing returned yet", None, None))
        elif result.state == NOT_MARKED:
            rows.append((lesson, f"? not marked: {result.why}", None, None))
        else:
            hand = by_hand(course, lesson, learner.id)
            scores = [hand.get(mark.grade_id, (mark.score, ""))[0] for mark in result.marks]
            state = "✓ marked" if None not in scores else "… part of it waits for a person"
            rows.append(
                (lesson, state, float(sum(filter(None, scores))), sum(m.maximum for m in result.marks))
            )
    columns = ("Lesson", "State", "Points so far", "Of")
    return page(f"{learner.name}: the course so far", [table("Lessons", columns, rows)])


def _returned(course: Course, learner: Learner, lesson: str) -> bool:
    return (course.folder / "submitted" / learner.id / lesson).is_dir()

"""Teacher's notes for a lesson, made from its exercises: what is asked, who goes wrong how, and how to mark.

They hold the right answers of each learner's own numbers, so they are the teacher's own: kept in ``report/``.
"""

from __future__ import annotations

from pathlib import Path

from solarlab.exercises import Exercise, variant

from .course import Course, write
from .page import bullets, heading, page, paragraph, shown, table, told


def write_notes(course: Course, lesson: str) -> Path:
    """Write report/LESSON-notes.html and return its path."""
    release = course.release(lesson)
    parts = [paragraph("For you, not for the class: right answers stand here.")]
    for exercise in release.asked():
        parts += _exercise(exercise, course)
    path = course.folder / "report" / f"{lesson}-notes.html"
    write(path, page(f"{lesson}: teacher's notes", parts))
    return path


def _exercise(exercise: Exercise, course: Course) -> list[str]:
    parts = [
        heading(f"{exercise.title} ({exercise.points:g} points, {exercise.kind}, {exercise.track} track)")
    ]
    parts.append(told(exercise.question))
    if exercise.alternatives:
        rows = [(a.note, a.why, a.hint, f"{a.credit:.0%}", a.source) for a in exercise.alternatives]
        columns = ("Answer note", "Why people hold it", "The hint they get", "Credit", "Source")
        parts.append(table("How people go wrong", columns, rows))
    if exercise.hints:
        parts += [paragraph("Hints, one after another:"), bullets(list(exercise.hints))]
    if exercise.rubric:
        rows = [(what, float(points)) for points, what in exercise.rubric]
        parts.append(table("Marked by hand", ("What earns points", "Points"), rows))
    if exercise.answer and exercise.kind in ("number", "choice"):
        rows = [(name, exercise.answer(variant(exercise, name))) for name in course.roster]
        parts.append(
            table(f"Right answers {exercise.unit and f'in {exercise.unit}'}", ("Learner", "Answer"), rows)
        )
    elif exercise.kind == "plan":
        sample = next(iter(course.roster))
        plan = exercise.answer(variant(exercise, sample))
        words = "; ".join(f"{name}: {shown(part)}" for name, part in plan.items())
        parts.append(paragraph(f"One plan that works for {sample}: {words}. Any plan that works is right."))
    return parts

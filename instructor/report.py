"""The class report: what was hard, which misconceptions, who was sure and wrong, who needs a word.

Answer notes do not depend on a learner's numbers, so a class can be summed by them.  Likeness of answers is
told as a question to ask, never as a verdict.
"""

from __future__ import annotations

import csv
import io
from collections import Counter, defaultdict
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from solarlab.exercises import NOT_ATTEMPTED, RIGHT, variant
from solarlab.record import SURENESS

from .course import Course, write
from .export import marks, safe
from .feedback import question_title
from .judging import NOT_MARKED, NOT_RUN
from .marking import Result
from .page import bullets, heading, page, paragraph, table
from .release import Release
from .run import current

UNTRIED = (NOT_ATTEMPTED, NOT_MARKED, NOT_RUN)
MANY = 0.25  # of those who tried: a misconception so common is worth teaching again
LOW = 0.4  # of the points: below it somebody should have a word with the learner


@dataclass(frozen=True)
class Item:
    """How one question went: counts of learners, and the mean share of its points."""

    title: str
    grade_id: str
    tried: int
    right: int
    share: float | None


def items(release: Release, results: Mapping[str, Result]) -> list[Item]:
    """One line a question; by-hand questions count who handed something in."""
    found = []
    for question in release.questions:
        marked = [m for r in results.values() for m in r.marks if m.grade_id == question.grade_id]
        tried = [m for m in marked if m.state not in UNTRIED]
        scores = [m.score / m.maximum for m in tried if m.score is not None and m.maximum]
        title = question_title(release, marked[0]) if marked else question.grade_id
        right = sum(m.state == RIGHT for m in tried)
        found.append(
            Item(title, question.grade_id, len(tried), right, sum(scores) / len(scores) if scores else None)
        )
    return found


def misconceptions(release: Release, results: Mapping[str, Result]) -> list[tuple[str, str, int, int, str]]:
    """(question, note, learners, of how many who tried, why people hold it), commonest first."""
    counted: Counter = Counter()
    tried: Counter = Counter()
    for result in results.values():
        for mark in result.marks:
            if mark.exercise and mark.state not in UNTRIED:
                tried[mark.exercise] += 1
                if mark.note:
                    counted[mark.exercise, mark.note] += 1
    rows = []
    for (name, note), count in sorted(counted.items(), key=lambda pair: (-pair[1], pair[0])):
        exercise = release.exercises()[name]
        why = next((a.why for a in exercise.alternatives if a.note == note), "")
        rows.append((exercise.title, note, count, tried[name], why))
    return rows


def calibration(results: Mapping[str, Result]) -> list[tuple[str, float, int, float | None]]:
    """(how sure, the chance that stands for, predictions, share that held)."""
    held: dict[str, list[bool]] = defaultdict(list)
    for result in results.values():
        for prediction in result.predictions:
            right = _held(prediction)
            if right is not None:
                held[prediction["sure"]].append(right)
    return [
        (sure, chance, len(held[sure]), sum(held[sure]) / len(held[sure]) if held[sure] else None)
        for sure, chance in SURENESS.items()
    ]


def sure_and_wrong(results: Mapping[str, Result]) -> dict[str, list[str]]:
    """Learner -> questions on which they were surest and wrong."""
    surest = max(SURENESS, key=SURENESS.__getitem__)
    found = defaultdict(list)
    for name, result in results.items():
        for prediction in result.predictions:
            if prediction["sure"] == surest and _held(prediction) is False:
                found[name].append(prediction["question"])
    return dict(found)


def _held(prediction: Mapping) -> bool | None:
    value, outcome = prediction.get("value"), prediction.get("outcome")
    if outcome is None or value is None:
        return None
    if isinstance(value, float) and isinstance(outcome, float):
        within = prediction.get("within")
        return abs(value - outcome) <= (within if isinstance(within, float) else 0.0)
    return value == outcome


def likeness(release: Release, results: Mapping[str, Result]) -> list[str]:
    """Questions to ask about answers that are exactly a classmate's, where the two had different numbers."""
    asked = []
    right: dict[tuple[str, str], list[str]] = defaultdict(list)
    for name, result in results.items():
        for mark in result.marks:
            if mark.state == RIGHT and isinstance(mark.handed, float):
                right[mark.exercise, repr(mark.handed)].append(name)
    for name, result in results.items():
        for mark in result.marks:
            if mark.state == RIGHT or not isinstance(mark.handed, float):
                continue
            exercise = release.exercises()[mark.exercise]
            for other in right.get((mark.exercise, repr(mark.handed)), []):
                if exercise.variant and variant(exercise, name) != variant(exercise, other):
                    asked.append(
                        f"“{exercise.title}”: {name} gave exactly the number that is right for {other}. Why?"
                    )
        for change in result.changes:
            if change.code == "anothers-numbers":
                asked.append(f"{name} handed in work done under another learner's id. Did they sit together?")
    return list(dict.fromkeys(asked))


def needs_a_word(course: Course, lesson: str, results: Mapping[str, Result]) -> list[tuple[str, str]]:
    """(learner, reason): nothing returned, not marked, few points, little tried, sure and wrong."""
    surely = sure_and_wrong(results)
    found = []
    for name in course.roster:
        result = results.get(name)
        if result is None:
            found.append((name, "returned nothing"))
            continue
        if result.state == NOT_MARKED:
            found.append((name, f"not marked: {result.why}"))
            continue
        scored = [mark for mark in result.marks if mark.score is not None and mark.exercise]
        share = sum(m.score for m in scored) / (sum(m.maximum for m in scored) or 1)
        tried = sum(mark.state != NOT_ATTEMPTED for mark in scored)
        if scored and share < LOW:
            found.append((name, f"{share:.0%} of the points, {tried} of {len(scored)} questions tried"))
        elif name in surely:
            found.append((name, f"very sure and wrong: {', '.join(surely[name])}"))
    return found


def reteach(release: Release, results: Mapping[str, Result]) -> str:
    """The one thing to teach again, if there is one."""
    for title, note, count, tried, why in misconceptions(release, results):
        if tried and count / tried >= MANY and note not in ("unrecognised", "cannot-read", "stopped"):
            reason = f" People hold it because: {why}" if why else ""
            return f"Begin the next meeting with “{title}”: {count} of {tried} answered by “{note}”.{reason}"
    return "No misconception is common enough to stop the class for."


def write_report(course: Course, lesson: str) -> list[Path]:
    """Write report/LESSON.html, report/LESSON-questions.csv and report/progress.csv."""
    release, results = course.release(lesson), current(course, lesson)
    marked = {name: result for name, result in results.items() if result.state != NOT_MARKED}
    html = course.folder / "report" / f"{lesson}.html"
    write(html, _page(course, release, results, marked))
    questions = course.folder / "report" / f"{lesson}-questions.csv"
    lines = [("question", "grade_id", "tried", "right", "mean share of points")]
    lines += [(i.title, i.grade_id, i.tried, i.right, i.share) for i in items(release, marked)]
    write(questions, _csv(lines))
    progress = course.folder / "report" / "progress.csv"
    lessons = course.lessons()
    table_of = {each: marks(course, each) for each in lessons}
    rows = [("id", *lessons)]
    rows += [(name, *(table_of[each][name][0] for each in lessons)) for name in course.roster]
    write(progress, _csv(rows))
    return [html, questions, progress]


def _page(
    course: Course, release: Release, results: Mapping[str, Result], marked: Mapping[str, Result]
) -> str:
    unreadable = len(results) - len(marked)
    count = (
        f"{len(results)} of {len(course.roster)} learners returned {release.lesson}; {len(marked)} are marked"
    )
    parts = [paragraph(f"{count}, {unreadable} could not be marked." if unreadable else f"{count}.")]
    parts += [heading("What to teach again"), paragraph(reteach(release, marked))]
    rows = [(i.title, i.tried, i.right, _percent(i.share)) for i in items(release, marked)]
    parts += [
        heading("Questions"),
        table("How each went", ("Question", "Tried", "Right", "Mean share of points"), rows),
    ]
    wrong = misconceptions(release, marked)
    if wrong:
        rows = [(f"{title}: {note}", count, tried, why) for title, note, count, tried, why in wrong]
        columns = ("Question and note", "Learners", "Of those who tried", "Why people hold it")
        parts += [heading("Misconceptions"), table("Commonest first", columns, rows)]
    rows = [(sure, _percent(c), count, _percent(held)) for sure, c, count, held in calibration(marked)]
    if any(row[2] for row in rows):
        columns = ("How sure", "Chance it stands for", "Predictions", "Share that held")
        parts += [heading("Sure, and right?"), table("Predictions of the class", columns, rows)]
    words = [
        f"{course.roster[name].name}: {why}" for name, why in needs_a_word(course, release.lesson, results)
    ]
    parts += [heading("Who needs a word"), bullets(words) or paragraph("Nobody stands out.")]
    alike = likeness(release, marked)
    if alike:
        parts += [
            heading("Questions to ask"),
            paragraph("Likeness has many honest reasons. Ask before you judge."),
        ]
        parts.append(bullets(alike))
    mended = Counter(code for each in results.values() for code in {change.code for change in each.changes})
    if mended:
        rows = sorted(mended.items(), key=lambda pair: (-pair[1], pair[0]))
        parts += [heading("What was mended"), table("Returns by kind of damage", ("Kind", "Returns"), rows)]
    return page(f"{release.lesson}: report on the class", parts)


def _percent(share: float | None) -> str:
    return "" if share is None else f"{share:.0%}"


def _csv(rows: list[tuple]) -> str:
    text = io.StringIO()
    csv.writer(text, lineterminator="\n").writerows(map(safe, row) for row in rows)
    return text.getvalue()

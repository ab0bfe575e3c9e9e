"""The listing of misconceptions for teachers, made from all lessons' exercises: ``misconceptions.md``."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from pathlib import Path

from solarlab.exercises import Alternative, Exercise, lesson

from . import course

FILE = Path(__file__).with_name("misconceptions.md")
LESSONS = Path(__file__).resolve().parents[1] / "lessons"
OURS = "ours"
HEAD = """\
# How people go wrong

Made from the lessons' exercises by `python instructor misconceptions`; change it there, not here.

There are {ways} named ways of going wrong, in {exercises} exercises of {lessons} lessons. {no_code} of them
can be met without writing code, {code} in the code track only. Not all are beliefs: some are slips with a
unit, a sign or a clock, which look alike from outside. {recurring} come up in more than one exercise and
keep their name, so that a class can be summed over the course. An answer that matches one gets its hint at
once; the report on a class counts them by these names.

- **What** is the name that stands in reports and in the gradebook.
- **Why people hold it** is for you. It is no insult: most are sound rules, used one step too far.
- **What moves them** is the hint that the learner reads. The bet that opens the lesson has gone before it.
- **Source**: "ours" means that we expect it and know of no study. The others ({cited} names) are cited from
  memory: look them up before you cite them yourself.
"""
OFTEN = 3  # exercises in which a way is met, to stand in the first table
COLUMNS = ("What", "Why people hold it", "What moves them: the hint", "Credit", "Source")


@dataclass(frozen=True)
class Way:
    """One alternative model, and where in the course it is met."""

    lesson: str
    exercise: Exercise
    alternative: Alternative

    @property
    def name(self) -> str:
        return self.alternative.note


def ways(lessons: Path = LESSONS) -> tuple[Way, ...]:
    """Every alternative model of every lesson in a folder, in the order of the course."""
    folders = sorted(path.parent for path in lessons.glob("[0-9][0-9]-*/exercises.py"))
    return tuple(
        Way(folder.name, exercise, alternative)
        for folder in folders
        for exercise in lesson(folder).values()
        for alternative in exercise.alternatives
    )


def names(met: Iterable[Way]) -> dict[str, list[Way]]:
    """The ways by name, in the order in which they are first met."""
    found: dict[str, list[Way]] = {}
    for way in met:
        found.setdefault(way.name, []).append(way)
    return found


def counts(met: Sequence[Way]) -> dict[str, int]:
    """How many names there are, and where."""
    found = names(met)
    no_code = sum(any(way.exercise.track == "no-code" for way in each) for each in found.values())
    return {
        "ways": len(found),
        "exercises": len({way.exercise.id for way in met}),
        "lessons": len({way.lesson for way in met}),
        "no_code": no_code,
        "code": len(found) - no_code,
        "recurring": sum(len({way.exercise.id for way in each}) > 1 for each in found.values()),
        "cited": sum(any(way.alternative.source != OURS for way in each) for each in found.values()),
    }


def listing(met: Sequence[Way]) -> str:
    """The page, as Markdown: what is met most often, then a table for each exercise in the course's order."""
    found, here = names(met), ("", "")
    lines = [HEAD.format(**counts(met)), *_often(found)]
    for way in met:
        if way.lesson != here[0]:
            lines.append(f"\n## Lesson {way.lesson[:2]}, {way.lesson[3:].replace('-', ' ')}\n")
        if (way.lesson, way.exercise.id) != here:
            track = ", code track" if way.exercise.track == "code" else ""
            lines += [f"\n### {way.exercise.title} (`{way.exercise.id}`, {way.exercise.kind}{track})\n"]
            lines += [_row(COLUMNS), _row(["---"] * len(COLUMNS))]
        here = (way.lesson, way.exercise.id)
        also = [f"`{w.exercise.id}`" for w in found[way.name] if w.exercise.id != way.exercise.id]
        what = f"`{way.name}`" + (f" (also {', '.join(dict.fromkeys(also))})" if also else "")
        a = way.alternative
        lines.append(_row([what, a.why, a.hint, f"{a.credit:.0%}", a.source]))
    return "\n".join(lines).replace("\n\n\n", "\n\n").rstrip("\n") + "\n"


def _often(found: dict[str, list[Way]]) -> list[str]:
    """The first table: names met in `OFTEN` exercises or more, the most frequent first."""
    times = {name: len({way.exercise.id for way in each}) for name, each in found.items()}
    most = sorted((name for name in found if times[name] >= OFTEN), key=lambda name: -times[name])
    rows = []
    for name in most:
        lessons = dict.fromkeys(way.lesson[:2] for way in found[name])
        why = found[name][0].alternative.why
        rows.append(_row([f"`{name}`", str(times[name]), ", ".join(lessons), why]))
    heading = ["\n## Met most often\n", _row(("What", "Exercises", "Lessons", COLUMNS[1])), _row(["---"] * 4)]
    return [*heading, *rows] if rows else []


def write(page: str) -> Path:
    """Write the page to `FILE`, whole or not at all."""
    course.write(FILE, page)
    return FILE


def _row(cells: Iterable[str]) -> str:
    tidy = (" ".join(cell.split()).replace("|", "\\|") for cell in cells)
    return f"| {' | '.join(tidy)} |"

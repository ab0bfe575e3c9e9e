"""Routes through the course, and plans for two hours, two days and ten weeks: the page ``routes.md``.

What the page says is in ``routes.toml``; its minutes are worked out from the lessons (`_minutes`).
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from lessons import _copy, _minutes, _notebooks
from lessons._minutes import EXERCISE, NO_CODE, PARTS, WORDS_A_MINUTE, Minutes

PAGE, DATA = _notebooks.LESSONS / "routes.md", _notebooks.LESSONS / "routes.toml"
CORE = ("reading", "bets", "benches")
ANSWERS = ("reading", "bets", "exercises")
SHARES = {"core": CORE, "whole": NO_CODE, "answers": ANSWERS, "code": ("code",), "both": PARTS}
WORDS = {
    "core": "no exercises", "whole": "no code", "answers": "no benches, no code", "code": "the code track",
    "both": "with the code track",
}  # fmt: skip
LESSON = "[{number} {title}]({folder}/{folder}.ipynb)"
HEAD = f"""\
# Routes through the course

Made by `python lessons --routes`; change `routes.toml`, not this page.

**Minutes are reading and computing time, estimated, at the screen; add what each lesson says for outside.**
Nobody was timed. Reading: the lesson's own words at {WORDS_A_MINUTE:.0f} a minute, as adults read English
that is their own language (Brysbaert 2019, from memory); who reads it as a second language may need twice
as long. Running: the seconds that its cells took, measured on two processors. The rest is ours:
{_minutes.BET:.0f} minutes for a bet, {_minutes.BENCH:.0f} for a bench, and for an exercise
{{exercises}}. All to the nearest five.
"""


@dataclass(frozen=True)
class Course:
    """The lessons in order: folder, title, minutes, and what they say of outside, by number; and of those
    that may be left half-way, the minutes until there.
    """

    folders: Mapping[str, Path]
    titles: Mapping[str, str]
    minutes: Mapping[str, Minutes]
    outside: Mapping[str, tuple[str, str]]
    first: Mapping[str, Minutes]

    def link(self, number: str) -> str:
        folder = self.folders[number].name
        return LESSON.format(number=number, title=self.titles[number], folder=folder)


def load() -> dict:
    """What ``routes.toml`` holds."""
    return tomllib.loads(DATA.read_text("utf-8"))


def course(seconds: Mapping[str, float]) -> Course:
    """All lessons with their minutes.  A lesson that was not measured raises ``ValueError``."""
    folders = {folder.name[:2]: folder for folder in _notebooks.find_lessons()}
    new = [folder.name for folder in folders.values() if folder.name not in seconds]
    if new:
        raise ValueError(f"not measured yet: {', '.join(new)}; run: python lessons --routes {' '.join(new)}")
    return Course(
        folders,
        {number: _title(folder) for number, folder in folders.items()},
        {number: _minutes.minutes(folder, seconds[folder.name]) for number, folder in folders.items()},
        {number: _minutes.outside(folder) for number, folder in folders.items()},
        {
            number: first
            for number, folder in folders.items()
            if (first := _minutes.first_sitting(folder, seconds[folder.name]))
        },
    )


def took(step: Mapping, lessons: Course) -> int:
    """Minutes of one step."""
    if "lesson" in step:
        return lessons.minutes[step["lesson"]].of(SHARES[step["part"]])
    if "read" in step:
        text = (_notebooks.LESSONS.parent / step["read"]).read_text("utf-8")
        return _minutes.to_five(_minutes.count_words(text) / WORDS_A_MINUTE)
    return step["minutes"]


def page(data: Mapping, lessons: Course) -> str:
    """The page, as Markdown."""
    told = ", ".join(f"{minutes:.0f} ({kind})" for kind, minutes in EXERCISE.items())
    lines = [HEAD.format(exercises=told), "## The lessons", "", *_lessons(lessons)]
    for route in data["route"]:
        lines += ["", f"## {route['title']}", "", route["lead"], "", *_steps(route["steps"], lessons)]
        lines += ["", f"**May be skipped:** {route['skip']}", "", f"**Never:** {route['never']}"]
    for plan in data["plan"]:
        lines += ["", f"## {plan['title']}", "", plan["lead"], ""]
        if plan.get("weekly"):
            lines += _weeks(plan["block"], lessons)
            continue
        for block in plan["block"]:
            heading = [f"### {block['name']}", ""] if len(plan["block"]) > 1 else []
            lines += [*heading, *_steps(block["steps"], lessons), ""]
    return re.sub(r"\n{3,}", "\n\n", "\n".join(lines)).rstrip("\n") + "\n"


def write() -> Path:
    """Make the page anew, whole or not at all."""
    data = load()
    _copy.write_file(PAGE, page(data, course(data["seconds"])).encode("utf-8"))
    return PAGE


def keep(folder: Path, seconds: int) -> None:
    """Keep the seconds that a lesson ran in ``routes.toml``, in the order of the lessons."""
    head, rest = DATA.read_text("utf-8").split("[seconds]\n")
    table = tomllib.loads(rest) | {folder.name: seconds}
    rows = "".join(f"{name} = {table[name]}\n" for name in sorted(table))
    _copy.write_file(DATA, f"{head}[seconds]\n{rows}".encode())


def _lessons(lessons: Course) -> list[str]:
    rows = [
        (
            lessons.link(number), minutes.of(("reading",)), minutes.of(CORE), f"**{minutes.of()}**",
            minutes.of(("code",)) or "–", *lessons.outside[number],
        )
        for number, minutes in lessons.minutes.items()
    ]  # fmt: skip
    whole = lessons.minutes.values()
    sums = [sum(minutes.of(part) for minutes in whole) for part in (("reading",), CORE, NO_CODE, ("code",))]
    rows.append(("All", *sums[:2], f"**{sums[2]}**", sums[3], "", ""))
    columns = (
        "Lesson", "Reading, running", "and bets, benches", "and exercises without code",
        "Code track, besides", "Outside, with an oven", "Outside, without",
    )  # fmt: skip
    may_be_left = [
        f"{lessons.link(number)} may be left after its first {first.of()} minutes, exercises included: what "
        "stands below is for later."
        for number, first in lessons.first.items()
    ]
    return [*_table(columns, rows), *(line for left in may_be_left for line in ("", left))]


def _steps(steps: Sequence[Mapping], lessons: Course) -> list[str]:
    rows = []
    for count, step in enumerate(steps, 1):
        named = "lesson" in step
        what = f"{lessons.link(step['lesson'])}, {WORDS[step['part']]}" if named else step["what"]
        why = f": {step['why']}" if "why" in step else ""
        rows.append((count, what + why, took(step, lessons)))
    rows.append(("", "In all", f"**{sum(row[2] for row in rows)}**"))
    return _table(("", "What", "Minutes"), rows)


def _weeks(blocks: Sequence[Mapping], lessons: Course) -> list[str]:
    rows = [
        (
            block["name"],
            "; ".join(f"{lessons.link(step['lesson'])}, {WORDS[step['part']]}" for step in block["steps"]),
            sum(took(step, lessons) for step in block["steps"]),
        )
        for block in blocks
    ]
    return _table(("", "What", "Minutes"), rows)


def _table(columns: Iterable[str], rows: Iterable[Iterable]) -> list[str]:
    columns = list(columns)
    lines = [columns, ["---"] * len(columns), *rows]
    return ["| " + " | ".join(str(cell) for cell in line) + " |" for line in lines]


def _title(folder: Path) -> str:
    text = _notebooks.read(folder / f"{folder.name}.ipynb").cells[0].source
    return re.match(r"# (.+)", text)[1].strip()

"""The words of the course: each explained once, in the lesson that needs it first.

A lesson's ``terms.toml`` holds its words, ``"word" = "One sentence."``.  A learner asks for one with
``exercises.meaning("drift")``, without a network: the words lie beside the lessons.
"""

from __future__ import annotations

import difflib
import re
import tomllib
from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path

__all__ = ["CONVENTIONS", "Term", "Text", "meaning", "terms"]

CONVENTIONS = (
    ("azimuth", "degrees clockwise from north: east is 90°, south 180°, west 270°"),
    ("tilt", "degrees from level: a glass that lies flat has 0°, one that stands upright 90°"),
    ("elevation", "degrees from the horizon: 0° at sunrise, 90° straight overhead"),
    ("incidence", "degrees from straight on: 0° is a ray that meets the glass square"),
    ("latitude, longitude", "degrees; north and east are plus, south and west are minus"),
    ("temperature", "°C, with °F beside it: a reading in °F is 1.8 × °C + 32, a difference 1.8 × °C only"),
    ("power, energy", "watts (W); joules (J) or watt-hours (Wh, 3,600 J); light in watts on a square metre"),
    ("size", "metres and centimetres, kilograms and grams"),
    ("time", "the clock on the wall, summer time counted, unless it says solar time"),
    ("cloud", "eighths of the sky covered: 0 is clear, 8 is closed"),
)
COPY = re.compile(r"(\d\d-.+?)(-\d{4}-\d\d-\d\d(-\d+)?)?")  # a lesson's folder, or a newer release beside it


@dataclass(frozen=True)
class Term:
    """A word, what it means in one sentence, and the folder name of the lesson that explains it."""

    name: str
    meaning: str
    lesson: str

    @property
    def number(self) -> str:
        """The lesson's number, such as ``"04"``."""
        return self.lesson[:2]

    @property
    def words(self) -> re.Pattern:
        """The word as it stands in a text: one or many of it, or what is done with it, in any case."""
        *first, last = re.split(r"[ -]", self.name)
        stem, changed = re.escape(last[:-1]), {"y": "ies", "e": "ing"}.get(last[-1])
        forms = rf"{re.escape(last)}(?:s|es|d|ed|ing)?" + (f"|{stem}{changed}" if changed else "")
        inside = r"[\s-]+".join([*map(re.escape, first), f"(?:{forms})"])
        return re.compile(rf"(?<![\w-]){inside}(?!\w)", re.IGNORECASE)


class Text(str):
    """Text that a notebook shows as Markdown."""

    def _repr_markdown_(self) -> str:
        return str(self)

    def __repr__(self) -> str:
        return str(self)


def terms(*folders: Path) -> tuple[Term, ...]:
    """The words of all lessons that lie in ``folders``, in the order of the lessons.

    A lesson found in two folders counts once, as in the first.  A file that cannot be read, and a word that
    two lessons claim, raise ``ValueError``.
    """
    files: dict[str, Path] = {}
    for folder in folders:
        for path in sorted(Path(folder).glob("[0-9][0-9]-*/terms.toml")):
            files.setdefault(COPY.fullmatch(path.parent.name)[1], path)
    found: dict[str, Term] = {}
    for lesson, path in sorted(files.items()):
        try:
            words = tomllib.loads(path.read_text("utf-8"))
        except (tomllib.TOMLDecodeError, UnicodeDecodeError) as error:
            raise ValueError(f"{path} cannot be read: {error}") from None
        for name, said in words.items():
            if name.casefold() in found:
                raise ValueError(f"{name!r} is explained twice: {found[name.casefold()].lesson} and {lesson}")
            found[name.casefold()] = Term(name, said, lesson)
    return tuple(found.values())


def meaning(word: str, known: Iterable[Term]) -> Text:
    """What a word means and which lesson explains it; with no word, all of them and the conventions.

    A word that is not known gets a sentence that says so, with one that is spelt much like it.
    """
    found = {term.name.casefold(): term for term in known}
    asked = " ".join(str(word).split()).casefold()
    if not asked:
        lines = [f"- **{t.name}** (lesson {t.number}): {t.meaning}" for _, t in sorted(found.items())]
        return Text("\n".join([*lines, "", "How things are counted here:", "", *_conventions()]))
    for term in found.values():
        if asked == term.name.casefold() or term.words.fullmatch(asked):
            return Text(f"**{term.name}**: {term.meaning} (Lesson {term.number} explains it.)")
    near = difflib.get_close_matches(asked, found, 1)
    meant = f" Did you mean “{found[near[0]].name}”?" if near else ""
    return Text(f"“{word}” is not among the words of this course.{meant}")


def _conventions() -> list[str]:
    return [f"- **{name}**: {said}" for name, said in CONVENTIONS]

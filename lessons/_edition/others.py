"""The pages beside the lessons: the glossary, and for teachers how people go wrong."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from bs4 import BeautifulSoup

from lessons import _glossary
from lessons._edition.reading import markdown
from lessons._edition.tidy import soup, tidy

MISCONCEPTIONS = Path(__file__).resolve().parents[2] / "instructor" / "misconceptions.md"


@dataclass(frozen=True)
class Other:
    """A page that is no lesson: its file's name, a line of what it is about, and its parsed article."""

    file: str
    about: str
    html: BeautifulSoup

    @property
    def title(self) -> str:
        """The page's own heading."""
        return self.html.h1.get_text(strip=True)

    @property
    def sections(self) -> list[tuple[str, str]]:
        """Anchor and words of its main headings."""
        return [(each["id"], each.get_text()) for each in self.html.find_all("h2")]


def others(folders: Sequence[Path], lessons: Mapping[str, str]) -> list[Other]:
    """The other pages of an edition of these lessons.  ``lessons``: number to page, for links."""
    names = {folder.name for folder in folders}
    places = dict.fromkeys(folder.parent for folder in folders)
    known = [term for place in places for term in _glossary.glossary(place) if term.lesson in names]
    return [
        Other(
            "glossary.html",
            "Each word, and the lesson that explains it",
            _page(_glossary.html(known), lessons),
        ),
        Other(
            "misconceptions.html",
            "For teachers: what to expect, why people hold it, what moves them",
            _page(markdown(MISCONCEPTIONS.read_text(encoding="utf-8")), lessons),
        ),
    ]


def _page(html: str, lessons: Mapping[str, str]) -> BeautifulSoup:
    page = soup(html)
    tidy(page, lessons)
    return page

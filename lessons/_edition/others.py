"""The pages beside the lessons: routes through them, the glossary, and for teachers how people go wrong."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from bs4 import BeautifulSoup

from lessons import _glossary
from lessons._edition.reading import markdown
from lessons._edition.tidy import soup, tidy

ROOT = Path(__file__).resolve().parents[2]
DOCUMENTS = {  # Markdown kept in the repository: page, and a line of what it is about
    "lessons/routes.md": ("routes.html", "In which order, how many minutes, what may be skipped"),
    "instructor/misconceptions.md": ("misconceptions.html", "For teachers: why they do, what moves them"),
}


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
    words = _page(_glossary.html(known), lessons)
    found = [Other("glossary.html", "Each word, and the lesson that explains it", words)]
    for document, (file, about) in DOCUMENTS.items():
        if (ROOT / document).exists():
            html = markdown((ROOT / document).read_text(encoding="utf-8"))
            found.append(Other(file, about, _page(html, lessons)))
    return found


def _page(html: str, lessons: Mapping[str, str]) -> BeautifulSoup:
    """A page fit to be read; links to the course's files lead to their pages, or go if they have none."""
    page = soup(html)
    pages = {Path(document).name: file for document, (file, _) in DOCUMENTS.items()}
    pages |= {f"{Path(file).stem}.ipynb": file for file in lessons.values()}
    for link in page.find_all("a", href=True):
        file = link["href"].partition("#")[0]
        if file in lessons.values() or "://" in file or not file:
            continue
        if Path(file).name in pages:
            link["href"] = pages[Path(file).name]
        else:
            link.unwrap()
    tidy(page, lessons)
    return page

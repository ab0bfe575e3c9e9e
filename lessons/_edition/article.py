"""A lesson's parts as one article: what comes after a bet lies closed below it, and all can be opened."""

from __future__ import annotations

import itertools
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from html import escape

from bs4 import BeautifulSoup

from lessons._edition.reading import Part
from lessons._edition.tidy import soup, tidy

TIME = re.compile(r"Time:\s*(.*?)\.(?=\s|$)", re.S)


@dataclass(frozen=True)
class Article:
    """A lesson as read: its folder's ``name``, ``number`` ("04"), ``title``, a line of what it is about, the
    time it says it takes, and the parsed ``html``, in which every part is a ``div`` with its cell's label.
    """

    name: str
    number: str
    title: str
    about: str
    time: str
    html: BeautifulSoup

    @property
    def file(self) -> str:
        """The name of its page."""
        return f"{self.name}.html"

    @property
    def card_file(self) -> str:
        """The name of its card's page."""
        return f"{self.name}-card.html"

    @property
    def sections(self) -> list[tuple[str, str]]:
        """Anchor and words of its main headings."""
        return [(each["id"], each.get_text()) for each in self.html.find_all("h2")]


def article(name: str, parts: Sequence[Part], lessons: Mapping[str, str]) -> Article:
    """Lay a lesson's parts out and make them fit to be read.  ``lessons``: number to page, for links.

    Raises ``ValueError``, with the lesson's name, for what a page may not hold (`tidy`).
    """
    page = soup("".join(_laid(parts)))
    _turn(page)
    try:
        tidy(page, lessons, f"{name}.html")
    except ValueError as error:
        raise ValueError(f"{name}: {error}") from None
    if len(page.find_all("h1")) != 1:
        raise ValueError(f"{name}: a lesson needs one heading of the first rank, at its top.")
    about = " ".join(page.h1.find_next("p").get_text().split())
    time = next((found[1] for p in page.find_all("p") if (found := TIME.search(p.get_text()))), "")
    return Article(
        name=name,
        number=name[:2],
        title=page.h1.get_text(strip=True),
        about=re.sub(r"^Lesson \d\d\.\s*", "", about),
        time=" ".join(time.split()),
        html=page,
    )


def _turn(page: BeautifulSoup) -> None:
    """Mark the main heading after the first bet: on paper it begins a page, so that bets come first."""
    bet = page.find(class_="form-part")
    after = bet.find_next_sibling("h2") if bet else None
    if after is not None:
        after["class"] = "turn"


def _laid(parts: Sequence[Part]) -> list[str]:
    laid, count = [], 0
    for locked, group in itertools.groupby(parts, key=lambda part: part.locked):
        inside = "".join(_one(part) for part in group)
        if locked:
            count += 1
            inside = (
                f'<details class="bet"><summary>Written your bet down? Open what came out ({count})</summary>'
                f"{inside}</details>"
            )
        laid.append(inside)
    return laid


def _one(part: Part) -> str:
    """One part; words lie bare, so that headings and what they head are neighbours."""
    if part.kind == "words":
        return part.html
    tagged = f' data-tags="{escape(" ".join(sorted(part.tags)))}"' if part.tags else ""
    return f'<div class="{part.kind}-part" data-cell="{escape(part.label)}"{tagged}>{part.html}</div>'

"""A lesson on one page of paper, for where there is no computer; all of it taken from the lesson itself.

What stands on it: what one can do afterwards; the argument; the first picture and the first table of what was
seen; the caution; what to do outside; three questions.  A cell tagged ``card`` goes before the first of its
kind: a picture, a table, or the ``…-ask`` of a question.  What does not fit one page at a size that can be
read goes, in the order of ``SPARED``.
"""

from __future__ import annotations

import copy
import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from bs4 import BeautifulSoup, Tag

from lessons._edition.article import Article
from lessons._edition.tidy import HEADINGS, soup
from solarlab.sheet import paper

TAG = "card"
QUESTIONS = 3
WIDE = 0.88  # of a line: letters in bold, italics and code are wider than those it is measured in
COLUMNS = 5  # of a table, in half the width of a page
WIDTH, HEIGHT, ASIDE = 190.0, 255.0, 6.0  # mm: of A4 and Letter within their margins; between columns
COLUMN = (WIDTH - ASIDE) / 2
HEAD = 24.0  # mm that title, subtitle and warning take, above the columns
PICTURE = 62.0  # mm: the highest a picture gets
ROOM = 0.92 * 2 * (HEIGHT - HEAD)  # mm, of both columns: they do not break just where one wishes
LARGEST, SMALLEST = 10.5, 8.0  # points
SPARED = ("table", "able")  # what is left out first


@dataclass(frozen=True)
class Block:
    """A part of a card: its ``name`` (a class on the page), its heading and its HTML."""

    name: str
    heading: str
    html: str


@dataclass(frozen=True)
class Card:
    """A card: its parts in order, and the size of its letters in points."""

    warning: str
    blocks: tuple[Block, ...]
    size: float


def card(lesson: Article) -> Card:
    """The card of a lesson.  Raises ``ValueError`` if it does not fit one page in letters of 8 points."""
    whole = Card(str(lesson.html.find("blockquote") or ""), tuple(_blocks(lesson.html)), LARGEST)
    parsed = {block: soup(block.html) for block in whole.blocks}
    for without in range(len(SPARED) + 1):
        left = tuple(block for block in whole.blocks if block.name not in SPARED[:without])
        for tenths in range(round(LARGEST * 10), round(SMALLEST * 10) - 1, -1):
            if height([(block.heading, parsed[block]) for block in left], tenths / 10) <= ROOM:
                return replace(whole, blocks=left, size=tenths / 10)
    raise ValueError(
        f"{lesson.name}: its card does not fit one page; tag cells of a smaller picture or shorter questions "
        f"with {TAG!r}."
    )


def _blocks(page: BeautifulSoup) -> Iterator[Block]:
    argument = [each for each in section(page, "An argument") if each.name in ("p", "ul", "ol")]
    yield from _block("argument", "An argument", argument)
    yield from _block("picture", "", _picture(page))
    yield from _block("table", "", [_table(page)])
    yield from _block("able", "What you will be able to do", page.find_all("ul", limit=1))
    yield from _block("questions", "Three questions", _questions(page))
    yield from _block("caution", "Caution", _caution(page))
    yield from _block("outside", "Take it outside", _outside(page))


def _block(name: str, heading: str, parts: Sequence[Tag | None]) -> Iterator[Block]:
    """A block of these parts, if there are any; nothing in it has an anchor or is reached by Tab."""
    found = [plain(part) for part in parts if part is not None]
    if found:
        yield Block(name, heading, "".join(map(str, found)))


def plain(part: Tag) -> Tag:
    """A copy without anchors and links: paper has none of them."""
    part = copy.copy(part)
    for each in [part, *part.find_all(True)]:
        for name in ("id", "data-cell", "data-tags"):
            del each[name]
    for link in part.find_all("a"):
        link.unwrap()
    return part


def section(page: BeautifulSoup, heading: str) -> list[Tag]:
    """What stands between a main heading that begins so and the next; empty if there is none."""
    top = next((each for each in page.find_all("h2") if each.get_text().startswith(heading)), None)
    return _until(top, ("h2",)) if top else []


def _until(start: Tag, ends: Sequence[str]) -> list[Tag]:
    found = []
    for each in start.find_next_siblings():
        if each.name in ends:
            break
        found.append(each)
    return found


def _tagged(page: BeautifulSoup, wanted: str) -> Iterator[Tag]:
    """What is wanted (a selector), of cells tagged ``card`` first, then of what was seen and explained."""
    for cell in page.select("[data-tags]"):
        if TAG in cell["data-tags"].split():
            yield from cell.select(wanted)
    for heading in ("Observe", "Explain"):
        for part in section(page, heading):
            yield from part.select(wanted)


def _picture(page: BeautifulSoup) -> list[Tag]:
    """The first picture, and the settings of its bench."""
    figure = next(_tagged(page, "figure"), None)
    return [figure.find_previous_sibling("p"), figure] if figure else []


def _table(page: BeautifulSoup) -> Tag | None:
    """The first table that is not the words of a picture and not too wide for a column, in its box."""
    boxes = (box for box in _tagged(page, ".scroll") if not box.find_parent(class_="words"))
    return next((box for box in boxes if len(box.select("thead tr > *")) <= COLUMNS), None)


def _questions(page: BeautifulSoup) -> list[Tag]:
    """Three exercises that are answered in a line and need no table: those tagged, or the first ones."""
    chosen, others = [], []
    for heading in (each for each in section(page, "Exercises") if each.name == "h3"):
        parts = _until(heading, ("h2", "h3"))
        cells = [part for part in parts if part.has_attr("data-cell")]
        one_line = [cell["class"] for cell in cells] == [["shown-part"], ["answer-part"]]
        one_line = one_line and len(cells[1].select("p.write")) == 1
        if one_line and not any(part.find(["table", "figure", "pre"]) for part in parts):
            tagged = TAG in cells[0].get("data-tags", "").split()
            (chosen if tagged else others).append(_question(heading, parts))
    return [*chosen, *others][:QUESTIONS]


def _question(heading: Tag, parts: Sequence[Tag]) -> Tag:
    """One exercise as an item: its name in bold, its words, its lines."""
    made = soup("<div class='question'></div>")
    title = re.sub(r"^\d+ · |\s*\(.*?\)\s*$", "", heading.get_text())
    name = made.new_tag("strong")
    name.string = title if title[-1] in ".?!" else f"{title}."
    body = made.div
    for part in parts:
        body.append(copy.copy(part))
    first = body.find("p")
    first.insert(0, " ")
    first.insert(0, name)
    return body


def _outside(page: BeautifulSoup) -> list[Tag]:
    """The first way to take it outside (with an oven): how long, its steps, its table to fill in; no code."""
    top = next((each for each in section(page, "Take it outside") if each.name == "h3"), None)
    if top is None:
        return section(page, "Take it outside")
    title = soup(f"<p><strong>{top.get_text()}</strong></p>").p
    parts = _until(top, ("h2", "h3"))
    parts = parts[: next((k for k, each in enumerate(parts) if each.has_attr("data-cell")), len(parts))]
    return [title, *(each for each in parts if each.name != "p" or not each.find("code"))]


def _caution(page: BeautifulSoup) -> list[Tag]:
    """The lists of the caution, whole; where it has tables, the first column of the first."""
    parts = [each for each in section(page, "Caution") if each.name not in HEADINGS]
    lists = [part for part in parts if part.name in ("ul", "ol")]
    tables = [table for part in parts for table in part.find_all("table")]
    if lists or not tables:
        return lists
    made = soup("<ul></ul>")
    for row in tables[0].select("tbody tr"):
        item = made.new_tag("li")
        item.string = row.find("td").get_text()
        made.ul.append(item)
    return [made.ul]


def height(parts: Sequence[tuple[str, BeautifulSoup]], size: float) -> float:
    """How high a card's parts (heading, HTML) are in one column, one below another, in mm."""
    top = paper.line(1.15 * size) + 3.0
    return sum(top * bool(heading) + _height(part, size) for heading, part in parts)


def _height(part: BeautifulSoup | Tag, size: float) -> float:
    total = 0.0
    for each in part.find_all(["p", "li", "img", "table", "figcaption"]):
        if each.find_parent("table"):
            continue
        if each.name == "img":
            total += min(COLUMN * int(each["height"]) / int(each["width"]), PICTURE) + 2.0
        elif each.name == "table":
            rows = [[cell.get_text() for cell in row.find_all(["td", "th"])] for row in each.find_all("tr")]
            caption = each.caption.get_text() if each.caption else ""
            empty = sum(not "".join(row).strip() for row in rows) * 1.5
            total += paper.table(rows[0], rows[1:], caption, COLUMN, size) + empty + 2.0
        elif not (each.name == "li" and each.find("p")):
            listed = each.name == "li"
            width = WIDE * (COLUMN - 5.0 * listed)
            total += paper.lines(each.get_text(), width, size) * paper.line(size) + 1.0 * (not listed)
    return total

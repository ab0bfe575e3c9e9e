"""One page's HTML made fit to be read by all: by keyboard, aloud, on a small screen, on paper.

Pictures keep their words and lose what they do not need of their bytes; wide tables and code scroll in boxes
of their own that the keyboard reaches; headings are in order and have anchors; "lesson 04" leads there.
"""

from __future__ import annotations

import base64
import io
import re
from collections.abc import Iterable, Mapping

from bs4 import BeautifulSoup, NavigableString, Tag
from PIL import Image

HEADINGS = ["h1", "h2", "h3", "h4", "h5", "h6"]
UNBROKEN = 9  # letters of a table's cell that stand on one line
PNG = "data:image/png;base64,"
NAMED = re.compile(r"\b[Ll]essons? \d\d(?:(?:, | and | to |, and )\d\d)*")


def soup(html: str) -> BeautifulSoup:
    """Parsed HTML."""
    return BeautifulSoup(html, "html.parser")


def tidy(page: BeautifulSoup, lessons: Mapping[str, str], here: str = "") -> None:
    """Make one article fit to be read, in place.

    ``lessons``: number ("04") to the name of its page; ``here`` is this page's own.  Raises ``ValueError``
    for a picture without words, a picture from elsewhere, or headings out of order.
    """
    for each in page.find_all(["style", "script"]):
        each.decompose()
    for image in page.find_all("img"):
        _picture(image)
    for figure in page.find_all("figure"):
        del figure["style"]
    for words in page.find_all("details"):
        if words.find_previous_sibling("figure"):
            words["class"] = "words"
    for table in page.find_all("table"):
        _table(page, table)
    for code in page.find_all("pre"):
        code["tabindex"] = "0"
        code["class"] = "code"
    _headings(page)
    _lead(page, lessons, here)


def _picture(image: Tag) -> None:
    if len(image.get("alt", "").strip()) < 20:
        raise ValueError(f"A picture has no words: alt={image.get('alt')!r}.")
    if not image["src"].startswith(PNG):
        raise ValueError(f"A picture is not inside its page: {image['src'][:60]!r}.")
    image["src"] = PNG + base64.b64encode(smaller(base64.b64decode(image["src"][len(PNG) :]))).decode("ascii")
    del image["style"]


def smaller(png: bytes) -> bytes:
    """The same picture in as few bytes as its format allows."""
    stream = io.BytesIO()
    with Image.open(io.BytesIO(png)) as picture:
        picture.save(stream, "png", optimize=True)
    return min(png, stream.getvalue(), key=len)


def _table(page: BeautifulSoup, table: Tag) -> None:
    """Put a table in a box that scrolls, for the mouse and the keyboard; name it; mark its empty cells."""
    box = table.parent
    if not (box.name == "div" and "overflow-x" in box.get("style", "")):
        box = table.wrap(page.new_tag("div"))
    caption = table.find("caption")
    heading = table.find_previous(HEADINGS)
    name = caption.get_text(" ", strip=True) if caption else f"Table: {heading.get_text() if heading else ''}"
    box.attrs = {"class": "scroll", "tabindex": "0", "role": "group", "aria-label": name}
    for cell in table.select("th, td"):
        if len(cell.get_text()) <= UNBROKEN:
            cell["class"] = "short"
    for cell in table.select("thead th"):
        cell["scope"] = "col"
        if not cell.get_text(strip=True):
            cell.name = "td"
            del cell["scope"]
    if any(not cell.get_text(strip=True) for cell in table.select("tbody td")):
        table["class"] = "fill"


def _headings(page: BeautifulSoup) -> None:
    """Take headings with nothing below them away; give the others anchors; demand their order."""
    for heading in reversed(page.find_all(HEADINGS)):
        after = next((each for each in heading.next_siblings if not _blank(each)), None)
        last = after is None and heading.name != "h1"
        if last or (isinstance(after, Tag) and after.name in HEADINGS and after.name <= heading.name):
            heading.decompose()
    taken: set[str] = {each["id"] for each in page.find_all(id=True) if each.name not in HEADINGS}
    before = 0
    for heading in page.find_all(HEADINGS):
        rank = int(heading.name[1])
        if rank > before + 1 or (rank == 1 and before):
            raise ValueError(f"Headings are out of order at {heading.get_text()!r}: {rank} after {before}.")
        before = rank
        heading["id"] = anchor(heading.get_text(), taken)


def anchor(words: str, taken: set[str]) -> str:
    """An id from words, unlike those taken so far, and taken now."""
    stem = re.sub(r"[^a-z0-9]+", "-", words.casefold()).strip("-") or "part"
    found, number = stem, 2
    while found in taken:
        found, number = f"{stem}-{number}", number + 1
    taken.add(found)
    return found


def _lead(page: BeautifulSoup, lessons: Mapping[str, str], here: str) -> None:
    """Make links of "lesson 04" and of the numbers in "lessons 02 and 04"."""
    for text in page.find_all(string=NAMED):
        if text.find_parent(["a", "code", "pre", *HEADINGS, "summary"]):
            continue
        pieces: list[str | Tag] = []
        for piece in re.split(f"({NAMED.pattern})", str(text)):
            pieces += _links(page, piece, lessons, here) if NAMED.fullmatch(piece) else [piece]
        text.replace_with(*(NavigableString(p) if isinstance(p, str) else p for p in pieces))


def _links(page: BeautifulSoup, words: str, lessons: Mapping[str, str], here: str) -> Iterable[str | Tag]:
    for piece in re.split(r"((?:^[Ll]esson )?\d\d)", words):
        number = piece[-2:]
        if not piece[-2:].isdigit() or lessons.get(number, here) == here:
            yield piece
            continue
        link = page.new_tag("a", href=lessons[number])
        link.string = piece
        yield link


def _blank(node: object) -> bool:
    return isinstance(node, NavigableString) and not node.strip()

"""How large letters may be for a page to hold its text: lines are counted as a browser would break them.

Widths are those of Helvetica, which Arial and Liberation Sans share.  Where a computer has none of them, the
page's style scales DejaVu Sans down to about the same widths.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Callable, Sequence
from functools import cache
from pathlib import Path

MM = 25.4 / 72.0  # of a point
PAPERS = {"A4": ("210mm", "297mm"), "Letter": ("215.9mm", "279.4mm")}
FACES = """
@font-face { font-family: Sheet; src: local("Liberation Sans"), local("Arial"), local("Helvetica"); }
@font-face { font-family: Sheet; font-weight: bold; src: local("Liberation Sans Bold"), local("Arial Bold"),
  local("Helvetica Bold"); }
@font-face { font-family: Sheet; font-style: italic; src: local("Liberation Sans Italic"),
  local("Arial Italic"), local("Helvetica Oblique"); }
@font-face { font-family: Spare; size-adjust: 87%; src: local("DejaVu Sans"), local("Verdana"); }
@font-face { font-family: Spare; font-weight: bold; size-adjust: 83%; src: local("DejaVu Sans Bold"),
  local("Verdana Bold"); }
"""
OTHERS = 0.6  # widths of signs that the table lacks, over the size of the letters
UNBROKEN = 13  # letters: a cell no longer stands on one line
LEADING = 1.13
CELL = 1.9  # mm of padding and rule beside a cell's text; above and below it:
ROW = 0.7  # mm
FRAME, INDENT = 2.8, 3.2  # mm that a box's frame and a list's dots take of the width
TITLE = 1.3  # mm under a part's title
LARGEST, SMALLEST = 9.6, 8.0  # points: small letters of 8 points are still read at arm's length
SPARE = 1.5  # mm of the page, to be sure


def size_for(height: Callable[[float], float], available: float) -> float | None:
    """The largest size [pt] at which ``height(size)`` [mm] is within ``available`` mm; ``None``: too much."""
    tenths = range(round(LARGEST * 10), round(SMALLEST * 10) - 1, -1)
    return next((t / 10 for t in tenths if height(t / 10) <= available - SPARE), None)


def line(size: float) -> float:
    """Height of a line of text, mm."""
    return LEADING * size * MM


def lines(words: str, width: float, size: float, bold: bool = False) -> int:
    """How many lines ``words`` take in ``width`` mm; breaks fall at spaces, and after dashes and slashes."""
    room, used, count = width / (size * MM), 0.0, 1
    for piece in _pieces(words):
        wide = _em(piece, bold)
        if used and used + wide > room:
            used, count = 0.0, count + 1
        used += _em(piece + " ", bold) if piece[-1] not in "-–/" else wide
    return count if words else 0


def table(heads: Sequence[str], rows: Sequence[Sequence[str]], note: str, width: float, size: float) -> float:
    """Height of a titled table with its note, mm."""
    if not rows:
        return 0.0
    em = size * MM
    columns = [(head, *cells) for head, *cells in zip(heads, *rows, strict=True)]
    natural = [max(_em(c, k == 0) for k, c in enumerate(column)) * em + CELL for column in columns]
    least = _least(heads, rows, size)
    wish = [full - small for full, small in zip(natural, least, strict=True)]
    share = min(max(width - sum(least), 0.0) / max(sum(wish), 1e-9), 1.0)
    widths = [small + share * more for small, more in zip(least, wish, strict=True)]
    total = title(size)
    for k, row in enumerate((heads, *rows)):
        high = max(lines(cell, at - CELL + 0.05, size, k == 0) for cell, at in zip(row, widths, strict=True))
        total += max(high, 1) * line(size) + ROW
    return total + (lines(note, width, size) * line(size) + 0.3 if note else 0.0)


def narrowest(heads: Sequence[str], rows: Sequence[Sequence[str]], size: float) -> float:
    """The least width of a table, mm: in less its words stick out."""
    return sum(_least(heads, rows, size)) if rows else 0.0


def _least(heads, rows, size: float) -> list[float]:
    """Widths of the columns when each is as wide as its longest piece, mm."""
    columns = [(head, *cells) for head, *cells in zip(heads, *rows, strict=True)]
    longest = [max(_em(p, k == 0) for k, c in enumerate(col) for p in _whole(c, k == 0)) for col in columns]
    return [each * size * MM + CELL for each in longest]


def box(said: Sequence[tuple[str, str]], width: float, size: float, run_on: bool = False) -> float:
    """Height of a framed list, mm; a second language follows each line, and ``run_on`` lines one another."""
    if not said:
        return 0.0
    each = [f"{words} {english}".strip() for words, english in said]
    if run_on:
        high = lines(" ".join(f"•\xa0{words}" for words in each), width - FRAME, size)
    else:
        high = sum(lines(words, width - FRAME - INDENT, size) for words in each)
    return title(size) + 1.0 + high * line(size)


def title(size: float) -> float:
    """Height of a part's title, mm."""
    return line(1.08 * size) + TITLE


def _pieces(words: str) -> list[str]:
    return re.findall(r"[^ –/-]*[–/-]|[^ –/-]+", words)


def _whole(cell: str, head: bool) -> list[str]:
    """What stands on one line: a short cell, or the pieces of a long one."""
    return [cell or " "] if len(cell) <= UNBROKEN and not head else _pieces(cell) or [" "]


@cache
def _em(words: str, bold: bool) -> float:
    """Width of words over the size of their letters; an accent adds none."""
    known = _widths(bold)
    return sum(known.get(unicodedata.normalize("NFD", sign)[0], OTHERS) for sign in words)


@cache
def _widths(bold: bool) -> dict[str, float]:
    """Widths of ASCII signs in Helvetica, from the metrics that matplotlib brings along."""
    from matplotlib import get_data_path

    name = f"Helvetica{'-Bold' if bold else ''}.afm"
    text = (Path(get_data_path()) / "fonts" / "pdfcorefonts" / name).read_text("latin-1")
    listed = re.findall(r"^C (\d+) ; WX (\d+)", text, re.M)
    found = {chr(int(code)): int(wide) / 1000.0 for code, wide in listed}
    return found | {"°": 0.4, "–": 0.556, "—": 1.0, "·": 0.278, "•": 0.35, "’": 0.278}

"""How large letters may be for a page to hold its text: lines are counted as a browser would break them."""

from __future__ import annotations

from collections.abc import Sequence
from math import ceil

MM = 25.4 / 72.0  # of a point
PAPERS = {"A4": ("210mm", "297mm"), "Letter": ("215.9mm", "279.4mm")}
LETTER, PLAIN = (
    0.60,
    0.545,
)  # mean width of a letter over its size, of a wide face: with bold heads, and without
UNBROKEN = 13  # letters: a cell no longer stands on one line
LEADING = 1.24
CELL = 2.0  # mm of padding and rule beside a cell's text; above and below it:
ROW = 0.95  # mm
LARGEST, SMALLEST = 9.4, 6.6  # points
SMALL = 0.9  # of the page's size, in boxes and notes
SPARE = 0.97  # of the page, to be sure


def size_for(heights, available: float) -> float:
    """The largest size [pt] at which ``heights(size)`` [mm] is within ``available`` mm, in tenths."""
    steps = round((LARGEST - SMALLEST) * 10)
    sizes = [round(LARGEST - k / 10, 1) for k in range(steps + 1)]
    return next((size for size in sizes if heights(size) <= SPARE * available), SMALLEST)


def line(size: float) -> float:
    """Height of a line of text, mm."""
    return LEADING * size * MM


def text(words: str, width: float, size: float) -> float:
    """Height of a paragraph, mm."""
    return max(ceil(PLAIN / LETTER * _long(words, size) / width), 1) * line(size) if words else 0.0


def table(heads: Sequence[str], rows: Sequence[Sequence[str]], note: str, width: float, size: float) -> float:
    """Height of a titled table with its note, mm."""
    if not rows:
        return 0.0
    columns = list(zip(heads, *rows, strict=True))
    natural = [max(_long(cell, size) for cell in column) + CELL for column in columns]
    least = [max(_long(word, size) for cell in column for word in _words(cell)) + CELL
             for column in columns]  # fmt: skip
    spare = width - sum(least)
    wish = [full - small for full, small in zip(natural, least, strict=True)]
    share = min(spare / max(sum(wish), 1e-9), 1.0) if spare > 0 else 0.0
    widths = [small + share * more for small, more in zip(least, wish, strict=True)]
    total = line(1.1 * size) + 1.0
    for row in (heads, *rows):
        lines = max(
            ceil((_long(cell, size) + CELL) / at - 0.02) for cell, at in zip(row, widths, strict=True)
        )
        total += max(lines, 1) * line(size) + ROW
    return total + text(note, width, SMALL * size)


def box(lines: Sequence[tuple[str, str]], width: float, size: float) -> float:
    """Height of a framed list, mm: in two columns, or with a second language beside it."""
    if not lines:
        return 0.0
    small, half = SMALL * size, width / 2.0 - 8.0
    tall = [max(text(a, half, small), text(b, half, small)) + 0.4 for a, b in lines]
    pairs = any(b for _, b in lines)
    return line(1.1 * size) + 4.5 + (sum(tall) if pairs else sum(tall) / 2.0 + max(tall) / 2.0)


def _words(cell: str) -> list[str]:
    """What stands on one line: a short cell, or the words of a long one."""
    return [cell] if len(cell) <= UNBROKEN else cell.split()


def _long(words: str, size: float) -> float:
    return len(words) * LETTER * size * MM

"""A logger's CSV as headings and columns of numbers: encoding, delimiter, decimal sign, names, units."""

from __future__ import annotations

import csv
import re
from pathlib import Path

import numpy as np
import pandas as pd

ROLES = ("water", "air", "cavity", "glass", "irradiance", "wind")
_DELIMITERS = (",", ";", "\t", "|")
_LIGHT = r"irradi|insolation|solar|\bsun\b|pyrano|radia[tc]|rayonn|\bg[hn]i\b|w/m|light|\bluz\b|\bjua\b"
_WORDS = (  # first match wins; English, Spanish, French, Swahili
    ("irradiance", _LIGHT),
    ("wind", r"wind|viento|\bvent\b|upepo|anemo"),
    ("glass", r"glass|glaz|vidrio|vitre|kioo"),
    ("air", r"ambient|outside|outdoor|shade|exterior|extérieur|sombra|ombre|kivuli"),
    ("water", r"water|\bpot\b|liquid|food|agua|olla|\beau\b|marmite|casserole|maji|sufuria"),
    ("cavity", r"oven|cavity|\bbox\b|inside|inner|chamber|tray|plate|horno|\bfour\b|tanuri"),
    ("air", r"\bair\b|aire|hewa"),
)
_DEGREES = re.compile(
    r"(?:°|º|deg(?:rees)?\.?\s?)([CF])\b|\b([CF])(?:elsius|ahrenheit)\b|[(\[]\s*([CF])\s*[)\]]|_([CF])$", re.I
)
_SPEEDS = ((r"km/?h|kph", 1 / 3.6), (r"mph", 0.44704), (r"knot|\bkn?t?s?\b", 0.514444))
_NUMBER = re.compile(r"\s*([+-]?\d[\d.,'\s]*)(e[+-]?\d+)?\s*(?:°|º)?\s*[a-z%/²]*\s*", re.I)


class Unfit(ValueError):
    """Why a log will not do, worded to follow its name."""


def text_of(source) -> tuple[str, str]:
    """A name and the text: of a path, of bytes, or of text that holds a line break."""
    name, raw = "the log", source
    if isinstance(source, str) and "\n" in source:
        return name, source
    if not isinstance(source, bytes | bytearray | memoryview):
        path = Path(source)
        name = path.name
        try:
            raw = path.read_bytes()
        except OSError:
            raise FileNotFoundError(f"{name} can't be read; give the path of a logger's CSV file.") from None
    raw = bytes(raw)
    try:
        text = raw.decode("utf-16" if raw[:2] in (b"\xff\xfe", b"\xfe\xff") else "utf-8-sig")
    except UnicodeDecodeError:
        text = raw.decode("cp1252", errors="replace")
    if "\0" in text or text.startswith(("PK\x03\x04", "%PDF")):
        raise ValueError(f"{name} is not text; export it from the logger or the spreadsheet as CSV.")
    return name, text


def table_of(text: str) -> tuple[list[str], pd.DataFrame, list[str]]:
    """Headings, the rows of text under them, and notes.

    The delimiter is the one that makes the most cells in rows as wide as a line of headings above them; lines
    that begin with # and a logger's preamble are passed over.
    """
    lines = [line for line in text.splitlines() if line.strip() and not line.lstrip().startswith("#")]
    best = None
    for delimiter in _DELIMITERS:
        rows = [[" ".join(cell.split()) for cell in row] for row in csv.reader(lines, delimiter=delimiter)]
        sizes, counts = np.unique([len(row) for row in rows] or [0], return_counts=True)
        width = int(sizes[np.argmax(counts)])
        even = [i for i, row in enumerate(rows) if len(row) == width]
        head = next((i for i in even if not any(cell[:1].isdigit() for cell in rows[i])), None)
        if width >= 2 and head is not None and (best is None or width * len(even) > best[0]):
            best = width * len(even), width, head, rows
    if best is None or len(best[3]) < best[2] + 3:
        raise Unfit("there is no line of headings with rows of readings under it; export the log as CSV")
    _, width, head, rows = best
    body = [row for row in rows[head + 1 :] if len(row) == width]
    torn = len(rows) - head - 1 - len(body)
    notes = [f"Torn lines, left out: {torn}."] if torn else []
    header = [cell or f"column {i + 1}" for i, cell in enumerate(rows[head])]
    named = [h if header.index(h) == i else f"{h} ({header[:i].count(h) + 1})" for i, h in enumerate(header)]
    return named, pd.DataFrame(body, columns=named, dtype=str), notes


def numbers(cells: pd.Series) -> tuple[np.ndarray, int]:
    """A column as floats, NaN where empty or not a number, and how many cells were strange.

    A comma is the decimal sign where cells hold one and no point; where a cell holds both, the later is.
    """
    parts = cells.str.replace("−", "-").str.extract(_NUMBER.pattern + "$", flags=re.I)
    digits = parts[0].fillna("").str.replace(r"[\s']", "", regex=True)
    both = digits[digits.str.contains(",", regex=False) & digits.str.contains(".", regex=False)]
    if len(both):
        comma = both.iloc[0].rindex(",") > both.iloc[0].rindex(".")
    else:
        comma = not digits.str.contains(".", regex=False).any()
    thousands, decimal = (".", ",") if comma else (",", ".")
    plain = digits.str.replace(thousands, "", regex=False).str.replace(decimal, ".", regex=False)
    values = pd.to_numeric(plain + parts[1].fillna(""), errors="coerce").to_numpy(float)
    missing = cells.str.fullmatch(r"(?i)-*|#?n/?an?|null|none|err(or)?|ol|open|fault|\+?\*+")
    return values, int((~np.isfinite(values) & ~missing.to_numpy(bool)).sum())


def role_of(heading: str) -> str | None:
    """What a heading says its column is, one of `ROLES`, or None."""
    return next((role for role, words in _WORDS if re.search(words, heading, re.I)), None)


def unit_of(heading: str) -> str | None:
    """The unit, "°C" or "°F", where the heading says so."""
    match = _DEGREES.search(heading)
    return None if match is None else "°" + next(letter for letter in match.groups() if letter).upper()


def plane_of(heading: str) -> str | None:
    """How the light sensor stood, if its heading says so: "level" or "sun"."""
    if re.search(r"\bghi\b|horizontal|level|global", heading, re.I):
        return "level"
    return "sun" if re.search(r"\bgni\b|normal|facing|perpendicular|aperture|aimed", heading, re.I) else None


def scale_of(heading: str, role: str) -> float:
    """Factor to W/m² or m/s from the unit in the heading; the usual units where it is silent."""
    if role == "wind":
        return next((factor for unit, factor in _SPEEDS if re.search(unit, heading, re.I)), 1.0)
    if re.search(r"\bmv\b|volt|\blux\b|\blx\b", heading, re.I):
        raise Unfit(f"“{heading}” is not in W/m²; multiply it by the sensor's factor in a spreadsheet first")
    return 1000.0 if re.search(r"\bkw\b|kw/", heading, re.I) else 1.0


def listed(names) -> str:
    """Headings in quotes, a few of them."""
    names = list(names)
    more = f" and {len(names) - 8} more" if len(names) > 8 else ""
    return ", ".join(f"“{name}”" for name in names[:8]) + more

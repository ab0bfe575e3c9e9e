"""Read a returned notebook however damaged: bytes in, plain cells out, with each oddity told in words.

Nothing is run and nothing is thrown away here: a notebook cut in half gives the cells of its first half.
"""

from __future__ import annotations

import json
import re
from collections.abc import Sequence
from dataclasses import dataclass, field

BYTES_LIMIT = 64 * 2**20
CELL_LIMIT = 20_000
SOURCE_LIMIT = 200_000  # characters of one cell
KINDS = ("code", "markdown", "raw")


class NotMarkable(ValueError):
    """The return cannot be marked; the text is a sentence for the learner.  Never a zero."""


@dataclass(frozen=True)
class Change:
    """One thing that was found or mended.  ``code`` is a stable slug, ``words`` a sentence."""

    code: str
    words: str
    where: str = ""


def told(changes: Sequence[Change], most: int = 3) -> list[str]:
    """Changes in words for a reader: each once, and of one kind no more than ``most``, the rest counted."""
    words: list[str] = []
    by_code: dict[str, list[str]] = {}
    for change in dict.fromkeys(changes):
        by_code.setdefault(change.code, []).append(change.words)
    for sentences in by_code.values():
        words += sentences[:most]
        if len(sentences) > most:
            words.append(f"… and {len(sentences) - most} more in the same way.")
    return words


@dataclass
class Cell:
    """A cell as the learner returned it.  ``label`` is nbgrader's metadata, empty if there is none."""

    kind: str
    source: str
    id: str = ""
    label: dict = field(default_factory=dict)

    @property
    def grade_id(self) -> str:
        """nbgrader's name for the cell, or nothing."""
        name = self.label.get("grade_id", "")
        return name if isinstance(name, str) else ""


def read(data: bytes) -> tuple[list[Cell], dict, list[Change]]:
    """Return the cells, the notebook's metadata, and what had to be mended.  Raises NotMarkable with the
    reason.
    """
    changes: list[Change] = []
    if not data.strip(b"\x00 \t\r\n"):
        raise NotMarkable("The file is empty: send the notebook again.")
    if len(data) > BYTES_LIMIT:
        raise NotMarkable(
            f"The file has {len(data) / 1e6:.0f} MB; up to {BYTES_LIMIT / 1e6:.0f} MB are read. "
            "In Jupyter, choose “Clear outputs of all cells”, save, and send it again."
        )
    text = _text(data, changes)
    try:
        raw = json.loads(text)
    except (ValueError, RecursionError):
        raw = _salvage(text, changes)
    if not isinstance(raw, dict):
        raise NotMarkable("The file holds data, but no notebook: send the .ipynb file that Jupyter saves.")
    cells = [cell for cell in map(_cell, _raw_cells(raw, changes)) if cell is not None]
    if not cells:
        raise NotMarkable("The notebook has no cells: it may have been saved empty. Send it again.")
    if len(cells) > CELL_LIMIT:
        raise NotMarkable(f"The notebook has {len(cells)} cells; up to {CELL_LIMIT} are read.")
    metadata = raw.get("metadata")
    return cells, metadata if isinstance(metadata, dict) else {}, changes


def decoded(data: bytes) -> tuple[str, str]:
    """A file's text and its encoding, as editors and spreadsheets save it."""
    if data[:2] in (b"\xff\xfe", b"\xfe\xff"):
        return data.decode("utf-16", "replace"), "utf-16"
    try:
        return data.decode("utf-8-sig"), "utf-8"
    except UnicodeDecodeError:
        return data.decode("cp1252", "replace"), "cp1252"


def _text(data: bytes, changes: list[Change]) -> str:
    if data[:4] == b"PK\x03\x04":
        raise NotMarkable("The file is a zip renamed to .ipynb: unpack it and send the notebook.")
    text, encoding = decoded(data)
    if encoding == "utf-16":
        changes.append(Change("encoding", "The file was saved as UTF-16; it was read all the same."))
        return text
    if encoding != "utf-8":
        changes.append(Change("encoding", "The file was not saved as UTF-8; accents may be wrong."))
    if re.match(r"\s*<(!doctype|html)", text[:200], re.IGNORECASE):
        raise NotMarkable("The file is a web page, not a notebook: download the .ipynb file itself.")
    return text


def _salvage(text: str, changes: list[Change]) -> dict:
    """The complete cells of a broken file: each one that can be read by itself."""
    start = re.search(r'"(?:cells|worksheets)"\s*:\s*\[', text)
    if start is None:
        kind = "a Python script" if re.search(r"^(import|from|def|#)\b", text, re.M) else "no notebook"
        raise NotMarkable(f"The file cannot be read: it is {kind}. Send the .ipynb file that Jupyter saves.")
    decoder, cells, position, bad = json.JSONDecoder(), [], start.end(), 0
    while (found := text.find("{", position)) >= 0:
        try:
            value, position = decoder.raw_decode(text, found)
        except (ValueError, RecursionError):
            position, bad = found + 1, bad + 1
            if bad > 2000:  # a cell's inner braces are tried too, but not for ever
                break
            continue
        if isinstance(value, dict) and "cell_type" in value:
            cells.append(value)
    if not cells:
        raise NotMarkable("The file is damaged and no cell in it can be read: send it again.")
    changes.append(
        Change("salvaged", f"The file was damaged; {len(cells)} whole cells could be read from it.")
    )
    return {"nbformat": 4, "cells": cells}


def _raw_cells(raw: dict, changes: list[Change]) -> list:
    cells = raw.get("cells")
    if not isinstance(cells, list) and isinstance(raw.get("worksheets"), list):
        cells = [
            c for sheet in raw["worksheets"] if isinstance(sheet, dict) for c in sheet.get("cells") or []
        ]
    if raw.get("nbformat") != 4 or not isinstance(raw.get("nbformat_minor", 5), int):
        version = f"{raw.get('nbformat')!r}"[:20]
        changes.append(
            Change("nbformat", f"The notebook says it is of format {version}; it was read as format 4.")
        )
    return cells if isinstance(cells, list) else []


def _cell(raw: object) -> Cell | None:
    if not isinstance(raw, dict):
        return None
    source = raw.get("source", raw.get("input", ""))
    if isinstance(source, list):
        source = "".join(part for part in source if isinstance(part, str))
    source = source if isinstance(source, str) else ""
    source = source.replace("\r\n", "\n").replace("\r", "\n")  # another system's line ends change no cell
    source = source.encode("utf-8", "replace").decode("utf-8")[:SOURCE_LIMIT]  # no lone surrogates
    metadata = raw.get("metadata")
    label = metadata.get("nbgrader") if isinstance(metadata, dict) else None
    kind = raw.get("cell_type") if raw.get("cell_type") in KINDS else "raw"
    name = raw.get("id")
    return Cell(kind, source, name if isinstance(name, str) else "", label if isinstance(label, dict) else {})

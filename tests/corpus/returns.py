"""Returned notebooks of a released lesson: right, half right, empty and wrong, as bytes.

Only ``grade_id``s and cell kinds are used, so this works on the release of any nbgrader course.
"""

from __future__ import annotations

import copy
import json
from collections.abc import Callable, Mapping

Notebook = dict


def filled(released: Mapping, answers: Mapping[str, str]) -> Notebook:
    """A copy of a released notebook with the sources of some cells, by ``grade_id``, replaced."""
    notebook = json.loads(json.dumps(released))
    for cell in notebook["cells"]:
        name = grade_id(cell)
        if name in answers:
            cell["source"] = answers[name]
    return notebook


def grade_id(cell: Mapping) -> str:
    """nbgrader's name for a cell, or nothing."""
    return cell.get("metadata", {}).get("nbgrader", {}).get("grade_id", "")


def find(notebook: Notebook, name: str) -> dict:
    """The cell of that ``grade_id``."""
    return next(cell for cell in notebook["cells"] if grade_id(cell) == name)


def changed(notebook: Notebook, change: Callable[[Notebook], object]) -> Notebook:
    """A copy that ``change`` has been let loose on."""
    other = copy.deepcopy(notebook)
    change(other)
    return other


def packed(notebook: Notebook) -> bytes:
    """As the bytes of an .ipynb file."""
    return json.dumps(notebook, ensure_ascii=False, indent=1).encode("utf-8", "surrogatepass")

"""A class chooses: the whole lesson, or the lesson without its second track, the exercises in code.

What is left out is left out of the released notebook, so points, marks and feedback follow by themselves.
"""

from __future__ import annotations

import copy
import re
from collections.abc import Mapping

from solarlab.exercises import Lesson

from .release import read_mark

CODE, NO_CODE = "code", "no-code"
TRACKS = (CODE, NO_CODE)
NOTE = "## Second track\n\nYour class does this lesson without its exercises in code; they are not here."


def chosen(settings: Mapping) -> str:
    """The class's track, from class.toml.  Raises ValueError for anything but "code" and "no-code"."""
    track = settings.get("track", CODE)
    if track not in TRACKS:
        raise ValueError(f"class.toml: track {track!r} is not one of {', '.join(TRACKS)}.")
    return track


def without_code(notebook: Mapping, exercises: Lesson) -> dict:
    """A lesson's source notebook without the section "Second track"; unchanged where no exercise is in code.

    Raises ValueError where that section does not hold all exercises in code, or holds others.
    """
    code = {exercise.id for exercise in exercises.values() if exercise.track == CODE}
    made, left_out, inside = copy.deepcopy(dict(notebook)), set(), False
    kept = []
    for cell in made["cells"]:
        text = "".join(cell["source"])
        if cell["cell_type"] == "markdown" and re.match(r"#{1,2} ", text):
            inside = text.lower().startswith("## second track")
            if inside:
                kept.append({"cell_type": "markdown", "id": "second-track", "metadata": {}, "source": NOTE})
        if not inside:
            kept.append(cell)
        elif cell["metadata"].get("nbgrader", {}).get("grade"):
            left_out |= _exercise(cell, text, exercises)
    if left_out != code:
        raise ValueError(
            "The lesson cannot be released without code: its section “Second track” must hold the exercises "
            f"{', '.join(sorted(code)) or 'in code'} and no others."
        )
    return {**made, "cells": kept}


def _exercise(cell: Mapping, text: str, exercises: Lesson) -> set[str]:
    """The exercise that a graded cell is about; a cell marked by hand is no exercise in code."""
    label = cell["metadata"]["nbgrader"]
    if label.get("solution"):
        return {label["grade_id"]}
    return {exercises[read_mark(text, label["grade_id"])[0]].id}

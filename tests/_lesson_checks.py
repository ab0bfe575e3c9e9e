"""What the checks of all lessons share: each lesson loaded once, and its answers run as a learner's are."""

from __future__ import annotations

import re
from collections.abc import Mapping
from pathlib import Path

from nbformat import NotebookNode

from lessons import _notebooks
from solarlab import exercises as ex
from solarlab._reading import plain
from solarlab.exercises import Exercise, Lesson

FOLDERS = _notebooks.find_lessons()
EXERCISES: dict[str, Lesson] = {folder.name: ex.lesson(folder) for folder in FOLDERS}
NOTEBOOKS = {folder.name: _notebooks.read(folder / f"{folder.name}.ipynb") for folder in FOLDERS}
ALL = [exercise for lesson in EXERCISES.values() for exercise in lesson.values()]
DRAWN = [exercise for exercise in ALL if exercise.kind in ("number", "choice", "plan")]
FUNCTIONS = [exercise for exercise in ALL if exercise.kind in ("function", "bug")]
MARKED = ("number", "choice", "plan", "function", "bug")  # at once; an explanation waits for a person


def label_of(cell: NotebookNode) -> str:
    """The grade_id of a cell, or ``""``."""
    return cell.metadata.get("nbgrader", {}).get("grade_id", "")


def short(exercise: Exercise) -> str:
    """The part of an exercise's id after the slash, which its cells are named after."""
    return exercise.id.split("/")[-1]


def points(lesson: Mapping[str, Exercise]) -> dict[str, float]:
    """The points of each exercise of a lesson, by the short name."""
    return {short(exercise): exercise.points for exercise in lesson.values()}


def full(lesson: Mapping[str, Exercise]) -> dict[str, float]:
    """The points that the cells themselves can give: of all but explanations."""
    return {short(exercise): exercise.points for exercise in lesson.values() if exercise.kind in MARKED}


def bench_cells() -> list[tuple[str, str]]:
    """Lesson and grade_id of every cell that shows a bench."""
    return [
        (name, label_of(cell))
        for name, notebook in NOTEBOOKS.items()
        for cell in notebook.cells
        if cell.cell_type == "code" and label_of(cell).startswith("bench-")
    ]


def bench(name: str, label: str, guess: bool | None):
    """The bench that a lesson's own cell makes when the predictions it waits for are ``guess``."""
    source = next(cell.source for cell in NOTEBOOKS[name].cells if label_of(cell) == label)
    waits_for = dict.fromkeys(re.findall(r"\w+_guess", source), guess)
    return eval(source, {**waits_for, "benches": EXERCISES[name].module.benches})


def run(notebook: NotebookNode, folder: Path, who: str) -> dict[str, float]:
    """Run the answers and marks of a notebook's code in this process; the points by exercise."""
    names, earned = {"display": lambda *_: None}, {}
    for cell in notebook.cells:
        label = label_of(cell)
        if cell.cell_type != "code" or not (label == "setup" or label.endswith(("-answer", "-mark"))):
            continue
        body = cell.source.replace("lesson()", f"lesson({str(folder)!r})")
        names["learner"] = who
        if label.endswith("-mark"):
            *first, last = body.split("\n")
            exec("\n".join(first), names)
            earned[label.removesuffix("-mark")] = eval(last, names)
        else:
            exec(body, names)
    return earned


def handed(exercise: Exercise, who: str, model):
    """What ``model`` answers to the learner's own numbers, as it is handed over."""
    if exercise.kind in ("function", "bug"):
        return ex.hand_over(exercise, who, model, ex.inputs(exercise, who, "secret"))
    return plain(model(ex.variant(exercise, who)))

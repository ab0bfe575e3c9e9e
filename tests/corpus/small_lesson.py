"""A small lesson for the marking tests: quick to run, one question of each kind that is marked differently.

Invented, and not part of the course.  The tests of the real lessons use the real lessons.
"""

from __future__ import annotations

from pathlib import Path

import nbformat
from nbformat import NotebookNode

NAME = "90-small"
POINTS = {"power": 2.0, "average": 3.0, "loss": 2.0, "why": 2.0}
EXERCISES = """\
from solarlab.exercises import Alternative, Exercise


def power(numbers):
    return numbers["area"] * numbers["irradiance"]


def average(first, second):
    return (first + second) / 2


LESSON = (
    Exercise(
        id="90-small/power", kind="number", title="Sunlight on a window", points=2,
        variable="power", unit="W",
        question="A window of {area} m² faces {irradiance} W/m². How many watts fall on it?",
        variant=lambda draw: {"area": draw.step(0.2, 0.9, 0.05), "irradiance": draw.step(400, 1000, 10)},
        answer=power,
        alternatives=(
            Alternative("per-area", lambda n: n["irradiance"] / n["area"], "More or less light?", "ours"),
            Alternative("half", lambda n: power(n) / 2, "Nothing is lost yet.", "ours", credit=0.5),
        ),
        hints=("Watts per square metre, times square metres.",),
    ),
    Exercise(
        id="90-small/average", kind="function", title="The middle of two", points=3, variable="average",
        question="Write average(first, second).",
        inputs=lambda draw: {"first": draw.step(-20, 90, 0.5), "second": draw.step(100, 300, 0.5)},
        answer=average,
        alternatives=(
            Alternative("sum", lambda first, second: first + second, "Is it between the two?", "ours"),
            Alternative("difference", lambda first, second: second - first, "Which sign?", "ours"),
        ),
    ),
    Exercise(
        id="90-small/loss", kind="choice", title="What cools most", points=2, variable="loss",
        question="Which cools an oven most?",
        choices={"A": "wind", "B": "the colour of its feet", "C": "its name"},
        answer=lambda numbers: "A",
        alternatives=(
            Alternative("feet", lambda numbers: "B", "Where does the heat leave?", "ours"),
            Alternative("name", lambda numbers: "C", "Where does the heat leave?", "ours"),
        ),
    ),
    Exercise(
        id="90-small/why", kind="explanation", title="Why?", points=2, variable="", question="Why?",
        rubric=((1, "names the wind"), (1, "says how heat is carried off")),
    ),
)
"""
SOLUTIONS = {
    "learner": 'learner = "amina"',
    "power": 'power = exercises["power"].answer(numbers)',
    "average": "def average(first, second):\n    return (first + second) / 2",
    "loss": 'loss = "A"',
    "why": "The wind carries the warm air at the glass away, so more heat leaves.",
}


def _label(name: str, *, grade: bool, solution: bool, points: float | None = None) -> NotebookNode:
    label = NotebookNode(
        grade=grade, solution=solution, locked=not solution, task=False, schema_version=3, grade_id=name
    )
    if points is not None:
        label.points = points
    return NotebookNode(nbgrader=label)


def notebook() -> NotebookNode:
    """The lesson's source, solutions in it."""
    v4, made = nbformat.v4, []

    def code(source: str, identity: str, metadata: NotebookNode | None = None) -> None:
        made.append(v4.new_code_cell(source, id=identity, metadata=metadata or NotebookNode()))

    def text(source: str, identity: str, metadata: NotebookNode | None = None) -> None:
        made.append(v4.new_markdown_cell(source, id=identity, metadata=metadata or NotebookNode()))

    text("# A small lesson\n\nInvented, for tests.", "title")
    code(
        "import numpy as np\n\nfrom solarlab.exercises import lesson, mark, variant\n\nexercises = lesson()",
        "start",
        _label("start", grade=False, solution=False),
    )
    identity = 'learner = ""\n### BEGIN SOLUTION\nlearner = "example"\n### END SOLUTION'
    code(identity, "learner", _label("learner", grade=False, solution=True))
    code('numbers = variant(exercises["power"], learner)\nnumbers', "numbers")
    for name in ("power", "average", "loss"):
        solution = f"### BEGIN SOLUTION\n{SOLUTIONS[name]}\n### END SOLUTION"
        text(f"## {exercises_title(name)}", f"title-{name}")
        code(solution, f"{name}-answer", _label(f"{name}-answer", grade=False, solution=True))
        test = f'mark(exercises["{name}"], learner, {name})'
        code(test, f"{name}-mark", _label(f"{name}-mark", grade=True, solution=False, points=POINTS[name]))
    text(
        f"### BEGIN SOLUTION\n{SOLUTIONS['why']}\n### END SOLUTION",
        "why-answer",
        _label("why-answer", grade=True, solution=True, points=POINTS["why"]),
    )
    made_notebook = v4.new_notebook(cells=made)
    made_notebook.metadata = NotebookNode(
        kernelspec=NotebookNode(display_name="Python 3", language="python", name="python3"),
        language_info=NotebookNode(name="python"),
    )
    return made_notebook


def exercises_title(name: str) -> str:
    """A heading."""
    return {"power": "Sunlight on a window", "average": "The middle of two", "loss": "What cools most"}[name]


def write(lessons: Path) -> Path:
    """Write the lesson below ``lessons``; return its folder."""
    folder = lessons / NAME
    folder.mkdir(parents=True)
    (folder / "exercises.py").write_text(EXERCISES, "utf-8")
    nbformat.write(notebook(), folder / f"{NAME}.ipynb")
    return folder

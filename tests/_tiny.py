"""A throw-away lesson with every kind of cell, for the tests of what handles lessons."""

from __future__ import annotations

from pathlib import Path

import nbformat
from nbformat.v4 import new_code_cell, new_markdown_cell, new_notebook

CODE = """import matplotlib.pyplot as plt

plt.plot([0, 1], [20, 90])
print("core rises from 20 to 90 °C")
"""
SLIDER = """import ipywidgets

power = ipywidgets.IntSlider(value=300, min=0, max=900, step=100, description="power [W]")
said = ipywidgets.Output()


def redraw(change=None):
    said.clear_output(wait=True)
    with said:
        print(f"half of {power.value} W is {power.value // 2} W")


power.observe(redraw, "value")
redraw()
ipywidgets.VBox([power, said])
"""
ANSWER = """warmth = None
### BEGIN SOLUTION
warmth = 42.0
### END SOLUTION
"""
CHECK = """print("not attempted yet" if warmth is None else "right" if warmth == 42 else "not yet")
### BEGIN HIDDEN TESTS
assert warmth == 42
### END HIDDEN TESTS
"""
RUBRIC = """Because it is dark.

### BEGIN MARK SCHEME
Two points for the word absorb.
### END MARK SCHEME
"""


def grading(name: str, **more: object) -> dict:
    """Return nbgrader's metadata for a cell."""
    plain = {"grade": False, "solution": False, "locked": False, "task": False, "schema_version": 3}
    return {"nbgrader": {"grade_id": name} | plain | more}


def tiny_notebook() -> nbformat.NotebookNode:
    """Return the notebook, never run."""
    notebook = new_notebook(
        cells=[
            new_markdown_cell("# A tiny lesson\n\nA line.  \nAnother line."),
            new_code_cell(CODE),
            new_code_cell(SLIDER, metadata={"tags": ["nbval-ignore-output"]}),
            new_code_cell(ANSWER, metadata=grading("warmth", solution=True)),
            new_code_cell(CHECK, metadata=grading("warmth-test", grade=True, locked=True, points=1)),
            new_markdown_cell(RUBRIC, metadata=grading("why", grade=True, solution=True, points=2)),
        ]
    )
    notebook.metadata["kernelspec"] = {"name": "python3", "display_name": "Python 3", "language": "python"}
    return notebook


def write_tiny(lessons: Path, name: str = "01-tiny") -> Path:
    """Write the lesson in a folder of lessons; return its own folder."""
    folder = lessons / name
    folder.mkdir(parents=True)
    nbformat.write(tiny_notebook(), folder / f"{name}.ipynb")
    (folder / "exercises.py").write_text("LESSON = ()\n", encoding="utf-8")
    return folder

"""Lessons as files: find them, run them, and store them in one canonical form.

A stored lesson is its source with the outputs of one clean run.  The canonical form makes two runs on two
machines give the same bytes, so that a difference means a change: cell ids follow from the cells, execution
counts go up from 1, text and HTML outputs are kept and compared, pictures and widget states are not stored,
and metadata is only what a reader, nbgrader or nbval needs.
"""

from __future__ import annotations

import hashlib
import os
import re
import shutil
import tempfile
from copy import deepcopy
from pathlib import Path

import nbformat
from nbclient import NotebookClient
from nbformat import NotebookNode

LESSONS = Path(__file__).resolve().parent
CELL_SECONDS = 120  # the longest a cell may take before its run is given up

PICTURE = re.compile(r"(data:image/[a-z+.-]+;base64,)[A-Za-z0-9+/=\s]+")
KEPT_METADATA = ("nbgrader", "tags", "editable", "deletable")


def find_lessons(lessons: Path = LESSONS) -> list[Path]:
    """Return the folders of all lessons, in order: every ``NN-name`` that holds ``NN-name.ipynb``."""
    notebooks = lessons.glob("[0-9][0-9]-*/*.ipynb")
    return sorted(path.parent for path in notebooks if path.stem == path.parent.name)


def find_lesson(wanted: str, lessons: Path = LESSONS) -> Path:
    """Return the folder of the lesson whose number or name starts so: ``"7"``, ``"07"``, ``"07-dry"``."""
    folders = find_lessons(lessons)
    start = wanted.zfill(2) if wanted.isdigit() else wanted
    found = [folder for folder in folders if folder.name.startswith(start)]
    if len(found) != 1:
        names = ", ".join(folder.name for folder in folders) or "none yet"
        raise ValueError(f"There is no single lesson {wanted!r}; the lessons are: {names}.")
    return found[0]


def read(path: Path) -> NotebookNode:
    """Read a notebook as version 4, current minor version."""
    return nbformat.read(path, as_version=4)


def dumps(notebook: NotebookNode) -> str:
    """Return the text of a notebook: sorted keys, one space of indent, one newline at the end."""
    return nbformat.writes(notebook, version=4).rstrip("\n") + "\n"


def run(
    notebook: NotebookNode, folder: Path, *, seconds: int = CELL_SECONDS, go_on: bool = False
) -> NotebookNode:
    """Return the notebook as run from top to bottom in a temporary copy of ``folder``.

    Nothing is written in ``folder`` itself.  A cell that raises ends the run with nbclient's
    ``CellExecutionError``, unless ``go_on``: then the error is stored as that cell's output.
    """
    notebook = deepcopy(notebook)
    for cell in notebook.cells:
        if cell.cell_type == "code":
            cell.outputs, cell.execution_count = [], None
    with tempfile.TemporaryDirectory(prefix="solarlab-run-") as temporary:
        copy = Path(temporary) / folder.name
        shutil.copytree(folder, copy, ignore=shutil.ignore_patterns("__pycache__", ".ipynb_checkpoints"))
        environment = dict(os.environ, IPYTHONDIR=temporary, SOLARLAB_HOME=str(Path(temporary) / "home"))
        for name in ("MPLBACKEND", "SOLARLAB_LEARNER"):  # what is stored must not hang on who runs it
            environment.pop(name, None)
        client = NotebookClient(
            notebook,
            timeout=seconds,
            kernel_name="python3",
            allow_errors=go_on,
            resources={"metadata": {"path": str(copy)}},
        )
        return client.execute(env=environment)


def canonical(notebook: NotebookNode) -> NotebookNode:
    """Return the notebook in canonical form (see the module's text).  Doing it twice changes nothing."""
    notebook = deepcopy(notebook)
    notebook.nbformat, notebook.nbformat_minor = 4, 5
    notebook.metadata = NotebookNode(
        kernelspec=NotebookNode(display_name="Python 3", language="python", name="python3"),
        language_info=NotebookNode(name="python"),
    )
    taken: set[str] = set()
    for cell in notebook.cells:
        cell.source = cell.source.strip("\n")
        kept = {key: cell.metadata[key] for key in KEPT_METADATA if key in cell.metadata}
        cell.metadata = NotebookNode(kept)
        cell.id = cell_id(cell, taken)
        if cell.cell_type == "code":
            cell.outputs = canonical_outputs(cell.outputs)
        cell.pop("attachments", None)
    return notebook


def cell_id(cell: NotebookNode, taken: set[str]) -> str:
    """Return a cell's id: its grade_id, or a digest of its text, numbered when two cells share it."""
    name = cell.metadata.get("nbgrader", {}).get("grade_id", "")
    stem = re.sub(r"[^A-Za-z0-9_-]", "-", name)[:56]
    stem = stem or hashlib.sha256(f"{cell.cell_type}\n{cell.source}".encode()).hexdigest()[:8]
    found, number = stem, 2
    while found in taken:
        found, number = f"{stem}-{number}", number + 1
    taken.add(found)
    return found


def canonical_outputs(outputs: list[NotebookNode]) -> list[NotebookNode]:
    """Return outputs with streams joined, pictures and widget views gone, and nothing but text kept."""
    kept: list[NotebookNode] = []
    for output in outputs:
        if output.output_type == "stream":
            if kept and kept[-1].output_type == "stream" and kept[-1].name == output.name:
                kept[-1].text += output.text
            else:
                kept.append(deepcopy(output))
        elif output.output_type == "error":
            kept.append(deepcopy(output))
        else:
            data = {
                kind: PICTURE.sub(r"\1", content)
                for kind, content in output.data.items()
                if kind.startswith("text/") and isinstance(content, str)
            }
            if data:
                kept.append(NotebookNode({**output, "data": NotebookNode(data), "metadata": NotebookNode()}))
    return kept


def fresh(folder: Path) -> str:
    """Return the text that a lesson's notebook has in canonical form after one clean run."""
    return dumps(canonical(run(read(folder / f"{folder.name}.ipynb"), folder)))


def differs(folder: Path) -> bool:
    """Whether a lesson's stored notebook is not what a clean run of it gives now."""
    return fresh(folder) != (folder / f"{folder.name}.ipynb").read_text(encoding="utf-8")


def store(folder: Path) -> bool:
    """Run a lesson and store it in canonical form; return whether its file changed."""
    path = folder / f"{folder.name}.ipynb"
    text = fresh(folder)
    changed = text != path.read_text(encoding="utf-8")
    if changed:
        part = path.with_name(path.name + ".part")  # so that no half-written notebook is ever in its place
        part.write_text(text, encoding="utf-8", newline="\n")
        os.replace(part, path)
    return changed

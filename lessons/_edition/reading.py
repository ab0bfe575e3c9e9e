"""From a lesson's notebook to the parts of its page: words, what its run showed, lines to write on, code.

The notebook is the learner's copy, without solutions, hidden tests and marking schemes; it is run as it is,
on paper (`paper`).  What a part becomes is told by its cell's label, as `tests/test_every_lesson.py` asks it:
``…-answer`` is answered by the reader, ``…-mark`` and ``…-hint`` are for a computer only, ``…-try`` is code
to try a function on.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from html import escape
from pathlib import Path

from nbconvert.filters.highlight import Highlight2HTML
from nbconvert.filters.markdown_mistune import IPythonRenderer, MarkdownWithMath
from nbformat import NotebookNode
from nbformat.v4 import new_code_cell

from lessons import _copy, _notebooks
from lessons._edition import screen

PAPER = Path(__file__).with_name("paper.py")
UNSHOWN = re.compile(r"(?:setup|learner|.*-mark|.*-hint)")
LOCKED = re.compile(r"\b(?:unlock|settle|record\.table)\(|\block=")  # a table of bets tells how they came out
TO_FILL = re.compile(r"\s*[\"']?(\w+)[\"']?\s*[=:]\s*\.\.\.,?\s*(?:#\s*(.*))?")
BRACKETS = re.compile(r"\s*(?:\w+\s*=\s*)?[{}()\[\],]+\s*")
WIDGET = "application/vnd.jupyter.widget-view+json"
TEX = re.compile(r"\$[^$\n]+\$|\\\(|\\\[|\\begin\{")
LINES = 8  # to write on, for an explanation


@dataclass(frozen=True)
class Part:
    """A piece of a lesson's page.

    ``kind``: "words", "shown" (by a run), "form" (a bet), "answer", or "code".  ``locked``: shown only after
    a bet.  ``label`` is the cell's grade_id, ``tags`` the source cell's.
    """

    kind: str
    html: str
    label: str = ""
    locked: bool = False
    tags: frozenset[str] = frozenset()


def parts(folder: Path) -> list[Part]:
    """Run a lesson as its learner has it, on paper, and return the parts of its page in order."""
    source = _notebooks.read(folder / f"{folder.name}.ipynb")
    tags = {cell.id: frozenset(cell.metadata.get("tags", ())) for cell in source.cells}
    copy = _copy.learner_copy(source)
    copy.cells = [cell for cell in copy.cells if not re.fullmatch(r".*-(mark|hint)", label_of(cell))]
    found = (part(cell, tags) for cell in run_on_paper(copy, folder).cells)
    return [each for each in found if each is not None and each.html]


def run_on_paper(copy: NotebookNode, folder: Path) -> NotebookNode:
    """Return the copy as run, with its locks open and its forms turned into lines."""
    lay = new_code_cell(f"import runpy\nrunpy.run_path({str(PAPER)!r})['lay_on_paper']()")
    cells = copy.cells
    copy.cells = [lay, *cells]
    ran = _notebooks.run(copy, folder)
    ran.cells = ran.cells[1:]
    return ran


def part(cell: NotebookNode, tags: Mapping[str, frozenset[str]]) -> Part | None:
    """The part of the page that one cell becomes; ``None`` for a cell that means nothing on paper."""
    label, own = label_of(cell), tags.get(cell.id, frozenset())
    if cell.cell_type == "markdown":
        if cell.metadata.get("nbgrader", {}).get("solution"):
            return Part("answer", ruled(LINES), label, tags=own)
        return Part("words", markdown(screen.for_paper(cell.source, own)), label, tags=own)
    if cell.cell_type != "code" or UNSHOWN.fullmatch(label) or screen.TAG in own:
        return None
    if label.endswith("-answer"):
        lines = to_fill(cell.source)
        return Part("answer" if lines else "code", lines or code(cell.source), label, tags=own)
    if label.endswith("-try"):
        return Part("code", code(cell.source), label, tags=own)
    if cell.metadata.get("nbgrader", {}).get("solution"):
        return None  # a bet, typed; its form comes in the next cell
    html = "".join(shown(output) for output in cell.outputs)
    kind = "form" if 'class="form"' in html else "shown"
    return Part(kind, html, label, bool(LOCKED.search(cell.source)), own)


def shown(output: NotebookNode) -> str:
    """The HTML of one output: HTML before markdown before plain text; a widget's hint is no text."""
    if output.output_type == "stream":
        return f'<p class="printed">{escape(output.text.strip())}</p>' if output.text.strip() else ""
    data = output.get("data", {})
    if "text/html" in data:
        return data["text/html"]
    if "text/markdown" in data:
        return markdown(data["text/markdown"])
    if WIDGET in data:
        return ""
    return f'<p class="printed">{escape(data["text/plain"])}</p>' if "text/plain" in data else ""


def to_fill(source: str) -> str:
    """Lines to write on, if all that an answer's cell wants is values in place of dots; else ``""``."""
    wanted = [line for line in source.replace(_copy.CODE_STUB, "").split("\n") if line.strip()]
    fields = [match for line in wanted if (match := TO_FILL.fullmatch(line))]
    if len(fields) + sum(bool(BRACKETS.fullmatch(line)) for line in wanted) < len(wanted) or not fields:
        return ""
    names = ["My answer"] if len(fields) == 1 else [field[1].replace("_", " ") for field in fields]
    rows = []
    for name, field in zip(names, fields, strict=True):
        note = plainly(field[2] or "")
        rows.append(
            f'<p class="write">{escape(name)}: <span class="line" aria-hidden="true"></span> '
            f'<span class="note">{escape(note)}</span></p>'
        )
    return f'<div class="answer">{"".join(rows)}</div>'


def plainly(note: str) -> str:
    """A comment beside dots, as it reads without a keyboard: nothing needs quotes."""
    note = re.sub(r"\bor in quotes, such as\b", "or", note.replace('"', ""))
    note = re.sub(r"\s*\bin quotes(,| with its unit:)?", lambda found: "," * (found[1] == ","), note)
    return note.lstrip(", ")


def ruled(lines: int) -> str:
    """Empty ruled lines."""
    return f'<div class="ruled" aria-hidden="true">{"<span></span>" * lines}</div>'


def markdown(source: str) -> str:
    """Markdown as HTML.  Raises ``ValueError`` for a formula in TeX, which these pages do not set."""
    if not source:
        return ""
    if found := TEX.search(re.sub(r"`[^`]*`", "", source)):
        raise ValueError(f"A formula in TeX, {found[0][:40]!r}: write it in plain letters and signs.")
    renderer = IPythonRenderer(escape=False, exclude_anchor_links=True)
    return MarkdownWithMath(renderer=renderer).render(source)


def code(source: str) -> str:
    """Python as HTML, its words marked by classes only."""
    text = source.replace(_copy.CODE_STUB, "").rstrip()
    return Highlight2HTML()(text, language="python") if text else ""


def label_of(cell: NotebookNode) -> str:
    """The grade_id of a cell, or ``""``."""
    return cell.metadata.get("nbgrader", {}).get("grade_id", "")

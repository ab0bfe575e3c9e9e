"""The run notebook with its scores, as nbgrader's score saving, feedback and marking extension want it.

A test cell is written as failed first, and overwritten once its question has been marked: nbgrader gives a
test that never ran full marks.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence

from solarlab.exercises import Reply

from .box import Ran
from .judging import Left, Mark
from .notebook import Change, told
from .repair import Built

SHOWN = ("text/plain", "image/png", "image/jpeg")
MARKUP = re.compile(  # what begins HTML, ends a link's words, or makes MathJax do more than set type
    r"<(?=[a-z/!?])|\](?=[(\[:])|\\(?=href|url|html|require|style|class|cssid|mml)", re.IGNORECASE
)
PICTURE = re.compile(r"[A-Za-z0-9+/=\s]*")  # base64, and nothing that could leave the page's attribute
FAILED = {
    "output_type": "error",
    "ename": "NotRun",
    "evalue": "this test has not run",
    "traceback": ["NotRun: this test has not run"],
}


def scored_notebook(
    built: Sequence[Built],
    metadata: Mapping,
    ran: Ran,
    marks: Sequence[Mark],
    changes: Sequence[Change],
    left_out: Mapping[int, Left],
) -> dict:
    """The run notebook in nbformat 4.5, for nbgrader's score saving, its feedback and its marking
    extension.
    """
    told_in_it = MARKUP.sub(r"\g<0> ", _bullets(changes))
    cells = [_markdown("marker-changes", f"**What was mended**\n\n{told_in_it}")] if changes else []
    by_question = {mark.grade_id: mark for mark in marks}
    count = 0
    for number, cell in enumerate(built):
        released = cell.released or {}
        made = {
            "cell_type": cell.kind,
            "id": released.get("id") or f"learner-{number}",
            "metadata": dict(released.get("metadata", {})),
            "source": cell.source if cell.source == released.get("source") else harmless(cell),
        }
        if cell.kind == "code":
            count += 1
            made["execution_count"] = count
            made["outputs"] = _outputs(ran.outputs.get(number, []), count)
            if number in left_out:
                made["outputs"] = [
                    {
                        **FAILED,
                        "ename": "LeftOut",
                        "evalue": left_out[number].words,
                        "traceback": [f"LeftOut: this cell {left_out[number].words}"],
                    }
                ]
        if cell.role == "test":
            made["outputs"] = [FAILED]  # failed until it has run
            mark = by_question[cell.grade_id]
            if mark.score is not None:
                made["outputs"] = _scored(mark, count)
        cells.append(made)
    return {"cells": cells, "metadata": dict(metadata), "nbformat": 4, "nbformat_minor": 5}


def harmless(cell: Built) -> str:
    """A learner's words for the pages that nbgrader makes of a notebook: in text it shows HTML and links
    as they are, so a script in an explanation would run in the marker's browser.  A blank undoes them.
    """
    return cell.source if cell.kind == "code" else MARKUP.sub(r"\g<0> ", cell.source)


def _scored(mark: Mark, count: int) -> list[dict]:
    """A score as nbgrader reads it (the plain float of the last expression), and the reply in words before
    it.
    """
    words = str(Reply(mark.state, mark.note, mark.hint)) + "\n"
    return [
        {"output_type": "stream", "name": "stdout", "text": words},
        {
            "output_type": "execute_result",
            "data": {"text/plain": repr(float(mark.score))},
            "metadata": {},
            "execution_count": count,
        },
    ]


def _outputs(outputs: Sequence[object], count: int) -> list[dict]:
    """Outputs from the box, taken apart and put together again: only what a notebook may hold, only text and
    pictures.
    """
    kept = []
    for output in outputs:
        kind = output.get("output_type") if isinstance(output, dict) else None
        if kind == "stream":
            name = "stderr" if output.get("name") == "stderr" else "stdout"
            kept.append({"output_type": kind, "name": name, "text": str(output.get("text"))})
        elif kind == "error":
            lines = output.get("traceback")
            lines = [str(line) for line in lines] if isinstance(lines, list) else []
            kept.append(
                {
                    "output_type": kind,
                    "ename": str(output.get("ename")),
                    "evalue": str(output.get("evalue")),
                    "traceback": lines,
                }
            )
        elif kind in ("display_data", "execute_result") and isinstance(output.get("data"), dict):
            data = {mime: str(output["data"][mime]) for mime in SHOWN if mime in output["data"]}
            data = {m: d for m, d in data.items() if m == "text/plain" or PICTURE.fullmatch(d)}
            made = {"output_type": kind, "metadata": {}, "data": data}
            kept.append({**made, "execution_count": count} if kind == "execute_result" else made)
    return kept


def _markdown(name: str, text: str) -> dict:
    return {"cell_type": "markdown", "id": name, "metadata": {}, "source": text}


def _bullets(changes: Sequence[Change]) -> str:
    return "\n".join(f"- {words}" for words in told(changes))

"""Returned notebooks damaged the way they come back: each kind with what it may cost and what must be said.

A case is made from a good return, by grade_ids and cell kinds alone, so the same damage can be done to a
return of any nbgrader course::

    for case in damaged.cases(good):          # good: a filled-in notebook as a dict
        (folder / f"{case.name}.ipynb").write_bytes(case.data)

``costs`` names the questions (by what their grade_ids start with) that may lose points, and with what score.
"""

from __future__ import annotations

import itertools
import json
from collections.abc import Mapping
from dataclasses import dataclass, field

from tests.corpus.returns import Notebook, changed, find, grade_id, packed


@dataclass(frozen=True)
class Case:
    """One return, what it costs (question -> score; all others stay whole), and what must be reported."""

    name: str
    data: bytes
    costs: Mapping[str, float] = field(default_factory=dict)
    codes: frozenset[str] = frozenset()
    why: str = ""  # a piece of the reason, if it cannot be marked


@dataclass(frozen=True)
class Shape:
    """Where things are in a notebook: grade_ids of an answer cell, its test cell, another answer, a locked
    cell.
    """

    answer: str
    test: str
    second: str
    locked: str


def shape(notebook: Notebook) -> Shape:
    """Find an answer cell, its test, the next answer and a locked cell."""
    labels = [cell["metadata"]["nbgrader"] for cell in notebook["cells"] if grade_id(cell)]
    answers = [
        label["grade_id"]
        for label, following in itertools.pairwise(labels)
        if label["solution"] and not label["grade"] and following["grade"]
    ]
    tests = [label["grade_id"] for label in labels if label["grade"] and not label["solution"]]
    locked = [label["grade_id"] for label in labels if not label["grade"] and not label["solution"]]
    return Shape(answers[0], tests[0], answers[1], locked[0])


def cases(good: Notebook, released: Notebook, other: Notebook) -> list[Case]:
    """Every kind of damage done to a good return; ``other`` is a notebook of another lesson."""
    return [*_cells(good, released), *_labels(good), *_versions(good), *_files(good, other)]


def _case(name: str, notebook: Notebook, costs: Mapping | None = None, *codes: str) -> Case:
    return Case(name, packed(notebook), costs or {}, frozenset(codes))


def _cells(good: Notebook, released: Notebook) -> list[Case]:
    at = shape(good)
    first = at.answer.split("-")[0]

    def after(name, **new):
        def change(nb):
            cell = find(nb, name)
            nb["cells"].insert(
                nb["cells"].index(cell) + 1, {**json.loads(json.dumps(cell)), "id": "copy", **new}
            )

        return changed(good, change)

    def without(*names):
        return changed(good, lambda nb: nb.update(cells=[c for c in nb["cells"] if grade_id(c) not in names]))

    def edited(name, **new):
        return changed(good, lambda nb: find(nb, name).update(**new))

    stub = find(released, at.answer)["source"]
    right = find(good, at.answer)["source"]
    wrong_then_right = changed(
        after(at.answer, source=right),
        lambda nb: find(nb, at.answer).update(source="answer_in_a_first_try = 1"),
    )
    return [
        Case("untouched-good-return", packed(good)),
        _case("answer-cell-twice", after(at.answer), {}, "duplicated"),
        _case("answer-cell-again-as-given-out", after(at.answer, source=stub), {}, "duplicated"),
        _case("answer-cell-two-tries", wrong_then_right, {}, "duplicated"),
        _case(
            "answer-cell-seven-times",
            changed(
                good,
                lambda nb: [
                    nb["cells"].insert(
                        nb["cells"].index(find(nb, at.answer)), dict(find(nb, at.answer), id=f"c{i}")
                    )
                    for i in range(6)
                ],
            ),
            {},
            "duplicated",
        ),
        _case("test-cell-twice", after(at.test), {}, "duplicated"),
        _case("test-cell-deleted", without(at.test), {}, "deleted-test"),
        _case("locked-cell-deleted", without(at.locked), {}, "deleted-locked"),
        _case("answer-cell-deleted", without(at.answer), {first: 0.0}, "deleted-answer"),
        _case(
            "answer-and-test-deleted",
            without(at.answer, at.test),
            {first: 0.0},
            "deleted-answer",
            "deleted-test",
        ),
        _case(
            "everything-but-answers-deleted",
            changed(
                good,
                lambda nb: nb.update(
                    cells=[c for c in nb["cells"] if c["metadata"].get("nbgrader", {}).get("solution")]
                ),
            ),
            {},
            "deleted-test",
            "deleted-locked",
            "deleted-plain",
        ),
        _case("answer-retyped-markdown", edited(at.answer, cell_type="markdown"), {}, "retyped"),
        _case("answer-retyped-raw", edited(at.answer, cell_type="raw"), {}, "retyped"),
        _case("test-retyped-raw", edited(at.test, cell_type="raw"), {}, "retyped"),
        _case("test-overwritten-with-a-number", edited(at.test, source="2.0"), {}, "changed-test"),
        _case("test-overwritten-with-nothing", edited(at.test, source=""), {}, "changed-test"),
        _case("locked-cell-changed", edited(at.locked, source="exercises = me = 3"), {}, "changed-locked"),
        _case("cells-in-reverse", changed(good, lambda nb: nb["cells"].reverse()), {}, "reordered"),
        _case(
            "cell-split-in-two",
            changed(
                after(at.answer, source=right, metadata={}),
                lambda nb: find(nb, at.answer).update(source="a_half = 1"),
            ),
            {},
        ),
        _case(
            "empty-cells-everywhere",
            changed(
                good,
                lambda nb: nb.update(
                    cells=[
                        c
                        for cell in nb["cells"]
                        for c in (cell, {"cell_type": "code", "metadata": {}, "source": ""})
                    ]
                ),
            ),
        ),
        _case(
            "ten-thousand-cells",
            changed(
                good,
                lambda nb: nb["cells"].extend(
                    {"cell_type": "code", "metadata": {}, "source": f"x = {i}", "id": f"n{i}"}
                    for i in range(10_000)
                ),
            ),
        ),
        _case(
            "a-cell-of-a-megabyte",
            changed(
                good,
                lambda nb: nb["cells"].append(
                    {"cell_type": "markdown", "metadata": {}, "source": "long " * 200_000}
                ),
            ),
        ),
    ]


def _labels(good: Notebook) -> list[Case]:
    at = shape(good)

    def stripped(nb):
        for cell in nb["cells"]:
            cell["metadata"] = {}

    def bare(nb):
        stripped(nb)
        for i, cell in enumerate(nb["cells"]):
            cell["id"] = f"new-{i}"

    def relabelled(nb):
        find(nb, at.answer)["metadata"]["nbgrader"]["grade_id"] = f"{at.answer}-copy1"

    def points(nb):
        find(nb, at.test)["metadata"]["nbgrader"]["points"] = 100

    def nonsense(nb):
        for cell in nb["cells"]:
            if "nbgrader" in cell["metadata"]:
                cell["metadata"]["nbgrader"] = {
                    **cell["metadata"]["nbgrader"],
                    "schema_version": 99,
                    "solution": "x",
                }

    def label_on_another(nb):
        label = find(nb, at.answer)["metadata"]
        nb["cells"][0]["metadata"] = json.loads(json.dumps(label))

    return [
        _case("nbgrader-labels-stripped", changed(good, stripped), {}, "unlabelled"),
        _case("labels-and-ids-stripped", changed(good, bare), {}, "unlabelled"),
        _case("grade-id-renamed", changed(good, relabelled), {}, "unlabelled"),
        _case("points-changed", changed(good, points), {}, "changed-points"),
        _case("labels-from-another-world", changed(good, nonsense)),
        _case("label-also-on-the-title", changed(good, label_on_another), {}, "duplicated"),
        _case("notebook-metadata-gone", changed(good, lambda nb: nb.update(metadata={}))),
        _case(
            "kernel-of-another-language",
            changed(
                good,
                lambda nb: nb.update(
                    metadata={"kernelspec": {"name": "ir", "display_name": "R", "language": "R"}}
                ),
            ),
        ),
    ]


def _versions(good: Notebook) -> list[Case]:
    def version3(nb):
        nb["nbformat"], nb["nbformat_minor"] = 3, 0
        cells = nb.pop("cells")
        for cell in cells:
            if cell["cell_type"] == "code":
                cell["input"], cell["language"] = cell.pop("source"), "python"
        nb["worksheets"] = [{"cells": cells, "metadata": {}}]

    def listed(nb):
        for cell in nb["cells"]:
            cell["source"] = cell["source"].splitlines(keepends=True)

    def odd(nb):
        for cell in nb["cells"]:
            cell.pop("outputs", None)
            cell["execution_count"] = "three"
        nb["cells"] += [
            None,
            7,
            "text",
            {},
            {"cell_type": "heading", "source": ["x", 3]},
            {"cell_type": "code"},
        ]

    huge = [{"output_type": "stream", "name": "stdout", "text": "x" * 3_000_000}]
    return [
        _case("nbformat-3", changed(good, version3), {}, "nbformat"),
        _case("nbformat-5", changed(good, lambda nb: nb.update(nbformat=5)), {}, "nbformat"),
        _case("nbformat-text", changed(good, lambda nb: nb.update(nbformat="4")), {}, "nbformat"),
        _case("nbformat-missing", changed(good, lambda nb: nb.pop("nbformat")), {}, "nbformat"),
        _case("sources-as-lists", changed(good, listed)),
        _case("cells-that-are-no-cells", changed(good, odd)),
        _case(
            "three-megabytes-of-stored-output",
            changed(good, lambda nb: find(nb, shape(nb).answer).update(outputs=huge)),
        ),
        _case(
            "unknown-keys",
            changed(
                good,
                lambda nb: nb.update(
                    extra=[1],
                    cells=[{**cell, "attachments": {"a": 1}, "collapsed": True} for cell in nb["cells"]],
                ),
            ),
        ),
    ]


def _files(good: Notebook, other: Notebook) -> list[Case]:
    data = packed(good)
    text = data.decode("utf-8")
    last = json.dumps(good["cells"][-1]["source"], ensure_ascii=False)
    middle = text.index(last)
    conflict = text[:middle] + "<<<<<<< HEAD\n" + text[middle:]

    def not_marked(name: str, content: bytes, why: str) -> Case:
        return Case(name, content, why=why)

    return [
        Case(
            "cut-off-in-the-last-cell",
            text[:middle].encode(),
            {},
            frozenset({"salvaged", "deleted-answer"}),
        ),
        Case("merge-conflict-in-it", conflict.encode(), {}, frozenset({"salvaged", "deleted-answer"})),
        Case("bytes-after-the-end", data + b"\n}}}garbage", {}, frozenset({"salvaged"})),
        Case("utf-16", text.encode("utf-16"), {}, frozenset({"encoding"})),
        Case("utf-8-with-mark", b"\xef\xbb\xbf" + data),
        Case(
            "latin-1",
            text.replace("# A small", "# \u00c5 sm\u00e5ll").encode("cp1252", "replace"),
            {},
            frozenset({"encoding"}),
        ),
        Case("windows-line-ends-in-the-file", data.replace(b"\n", b"\r\n")),
        Case("windows-line-ends-in-the-cells", text.replace("\\n", "\\r\\n").encode()),
        Case("old-line-ends-in-the-cells", text.replace("\\n", "\\r").encode()),
        Case("saved-twice-into-one-file", data + b"\n" + data, {}, frozenset({"salvaged"})),
        Case("nan-in-the-json", text.replace('"outputs": []', '"outputs": [NaN, Infinity]', 1).encode()),
        Case("lone-surrogate", text.replace("A small", "A \\ud800 small").encode()),
        Case("null-character", text.replace("A small", "A \\u0000 small").encode()),
        not_marked("empty-file", b"", "empty"),
        not_marked("only-zero-bytes", bytes(4096), "empty"),
        not_marked("a-web-page", b"<!DOCTYPE html><html>sign in</html>", "web page"),
        not_marked("a-script", b"import numpy as np\npower = 3\n", "Python script"),
        not_marked("a-zip-renamed", b"PK\x03\x04" + bytes(100), "zip"),
        not_marked("a-list", b"[1, 2, 3]", "no notebook"),
        not_marked("a-picture", b"\x89PNG\r\n\x1a\n" + bytes(range(256)), "no notebook"),
        not_marked("deep-nesting", b"[" * 200_000, "no notebook"),
        not_marked(
            "no-cells", b'{"cells": [], "metadata": {}, "nbformat": 4, "nbformat_minor": 5}', "no cells"
        ),
        not_marked("another-lesson", packed(other), "another one"),
        not_marked("too-large", b" " * (2**26 + 1) + b"x", "MB"),
        not_marked(
            "forty-thousand-cells",
            packed(dict(good, cells=[{"cell_type": "raw", "source": ""}] * 40_000)),
            "40000 cells",
        ),
    ]

"""Lessons run whole, with the network cut: to what is stored; untouched copies to no verdict and no error."""

from __future__ import annotations

import difflib
import itertools
import re

import pytest

from lessons import _copy, _notebooks
from tests import _outside

pytestmark = pytest.mark.long
LESSONS = pytest.mark.parametrize("lesson", _notebooks.find_lessons(), ids=lambda folder: folder.name)


@LESSONS
def test_lesson_runs_to_what_is_stored(lesson):
    _outside.must_be_cut()
    stored = (lesson / f"{lesson.name}.ipynb").read_text(encoding="utf-8")
    fresh = _notebooks.fresh(lesson)
    changes = difflib.unified_diff(stored.split("\n"), fresh.split("\n"), "stored", "now", lineterm="", n=0)
    shown = "\n".join(line[:300] for line in itertools.islice(changes, 40))
    if fresh != stored:
        pytest.fail(f"If this is meant: python lessons --store {lesson.name}\n{shown}")


@LESSONS
def test_untouched_copy_runs_and_says_not_attempted_yet_and_nothing_else(lesson, tmp_path):
    _outside.must_be_cut()
    laid = _copy.lay(lesson, tmp_path / "mine")
    before = laid.notebook.read_bytes()
    notebook = _notebooks.run(_notebooks.read(laid.notebook), laid.folder)  # a cell that raises ends it
    said = _outside.printed(notebook)
    assert re.search(_outside.NOT_ATTEMPTED, said)
    assert not re.search(_outside.REPLIES, said)
    streams = [
        out for cell in notebook.cells for out in cell.get("outputs", []) if out.get("name") == "stderr"
    ]
    assert streams == []
    assert laid.notebook.read_bytes() == before

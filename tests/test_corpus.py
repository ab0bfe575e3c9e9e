"""The corpus: every damaged return keeps the marks it earned, and says what was mended; none stops the run."""

import nbformat
import pytest

from instructor.marking import MARKED, NOT_MARKED
from tests.corpus import damaged, small_lesson
from tests.marking_class import answered, codes, marked, released, scores

FULL = {**small_lesson.POINTS, "why": None}
OTHER = {
    "cells": [nbformat.v4.new_code_cell("eggs = 12"), nbformat.v4.new_markdown_cell("# Eggs")],
    "metadata": {},
    "nbformat": 4,
    "nbformat_minor": 5,
}
DAMAGED = damaged.cases(answered(), released().notebook, OTHER)


@pytest.mark.parametrize("case", DAMAGED, ids=lambda case: case.name)
def test_a_damaged_return_keeps_its_marks_and_is_told_in_words(case):
    result = marked(case.data)
    assert result.log == ""
    if case.why:
        assert result.state == NOT_MARKED and case.why in result.why and result.marks == ()
        return
    assert result.state == MARKED, result.why
    assert scores(result) == {**FULL, **case.costs}
    assert codes(result) >= case.codes
    assert case.codes or not result.changes
    assert all(change.words.endswith(".") for change in result.changes)
    nbformat.validate(nbformat.from_dict(result.notebook))

"""Fuzz the marking path with mutated notebooks: no crash, no lost return, no full mark for an empty answer.

    .venv/bin/python .ci/long/marking_fuzz.py [SECONDS] [SEED]

Every return is made from a good one by a few random changes to its bytes or its cells.  What is asked of
each: the marker comes back with a result; a result that is not marked has a reason; scores lie between 0 and
the maximum; the run notebook is valid; what was not attempted scores nothing.  Ten minutes unless told.
"""

import json
import random
import sys
import time
from pathlib import Path

import nbformat

ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT))

from instructor.judging import NOT_MARKED  # noqa: E402
from tests.corpus import damaged, hostile, small_lesson  # noqa: E402
from tests.corpus.returns import packed  # noqa: E402
from tests.marking_class import answered, marked, released  # noqa: E402

SNIPPETS = [attack.before for attack in [*hostile.FOOLS, *hostile.WRITES] if attack.before]
ODD = [None, True, -1, 1e400, "", "code", "raw", [], {}, [None], {"nbgrader": 3}, "\ud800", "א" * 50, "\x00"]


def changed_bytes(data: bytes, chance: random.Random) -> bytes:
    """Bytes flipped, cut, doubled or put in."""
    data = bytearray(data)
    for _ in range(chance.randint(1, 8)):
        at = chance.randrange(len(data) + 1)
        kind = chance.randrange(4)
        if kind == 0 and at < len(data):
            data[at] = chance.randrange(256)
        elif kind == 1:
            del data[at : at + chance.randint(1, 400)]
        elif kind == 2:
            data[at:at] = data[at : at + chance.randint(1, 400)]
        else:
            data[at:at] = bytes(chance.randrange(256) for _ in range(chance.randint(1, 20)))
    return bytes(data[: chance.randint(0, len(data))]) if chance.random() < 0.05 else bytes(data)


def changed_tree(value: object, chance: random.Random, left: list[int]) -> object:
    """A JSON value with a few parts replaced by odd ones."""
    if left[0] and chance.random() < 0.02:
        left[0] -= 1
        return chance.choice(ODD)
    if isinstance(value, dict):
        return {key: changed_tree(part, chance, left) for key, part in value.items()}
    if isinstance(value, list):
        parts = [changed_tree(part, chance, left) for part in value]
        if left[0] and parts and chance.random() < 0.05:
            left[0] -= 1
            chance.shuffle(parts)
        return parts
    return value


def one(chance: random.Random, good: dict, cases: list[damaged.Case]) -> bytes:
    """A mutated return."""
    kind = chance.randrange(4)
    if kind == 0:
        return changed_bytes(packed(good), chance)
    if kind == 1:
        return packed(changed_tree(json.loads(json.dumps(good)), chance, [chance.randint(1, 6)]))
    if kind == 2:
        return changed_bytes(chance.choice(cases).data, chance)
    notebook = json.loads(json.dumps(good))
    for _ in range(chance.randint(1, 3)):
        cell = {
            "cell_type": "code",
            "metadata": {},
            "source": chance.choice(SNIPPETS).replace("PLACES", "[]"),
        }
        notebook["cells"].insert(chance.randrange(len(notebook["cells"]) + 1), cell)
    return packed(changed_tree(notebook, chance, [chance.randint(0, 2)]))


def main() -> int:
    """Fuzz until the time is up; print what was found; 1 if anything broke."""
    seconds = float(sys.argv[1]) if len(sys.argv) > 1 else 600.0
    seed = int(sys.argv[2]) if len(sys.argv) > 2 else 1
    chance, good = random.Random(seed), answered()
    other = {
        "cells": [nbformat.v4.new_code_cell("eggs = 12")],
        "metadata": {},
        "nbformat": 4,
        "nbformat_minor": 5,
    }
    cases = [case for case in damaged.cases(good, released().notebook, other) if 0 < len(case.data) < 10**6]
    began, count, unmarked, broken = time.monotonic(), 0, 0, 0
    while time.monotonic() - began < seconds:
        data = one(chance, good, cases)
        count += 1
        try:
            result = marked(data)
            assert result.log == "", result.log
            if result.state == NOT_MARKED:
                unmarked += 1
                assert result.why and not result.marks
                continue
            assert [mark.grade_id for mark in result.marks] == [q.grade_id for q in released().questions]
            assert all(mark.score is None or 0 <= mark.score <= mark.maximum for mark in result.marks)
            assert all(
                mark.score != mark.maximum for mark in result.marks if mark.state == "not attempted yet"
            )
            nbformat.validate(nbformat.from_dict(result.notebook))
            result.dumps()
        except Exception as error:
            broken += 1
            path = Path(f"/tmp/marking-fuzz-{seed}-{count}.ipynb")
            path.write_bytes(data)
            print(f"{path}: {type(error).__name__}: {str(error)[:2000]}", flush=True)
    print(
        f"{count} mutated returns of {small_lesson.NAME}: {unmarked} not marked with a reason, {broken} "
        f"broken"
    )
    return 1 if broken or not count else 0


if __name__ == "__main__":
    sys.exit(main())

"""The corpus: every damaged return keeps the marks it earned and says what was mended; no attack succeeds."""

import contextlib
import json
import sys
from pathlib import Path

import nbformat
import psutil
import pytest

from instructor import box, nursery, walls
from instructor.judging import NOT_MARKED
from instructor.marking import MARKED
from tests.corpus import __main__ as corpus
from tests.corpus import damaged, hostile, small_lesson
from tests.corpus.returns import changed, find, packed
from tests.marking_class import answered, codes, marked, new_class, released, scores

FULL = {**small_lesson.POINTS, "why": None}
OTHER = {
    "cells": [nbformat.v4.new_code_cell("eggs = 12"), nbformat.v4.new_markdown_cell("# Eggs")],
    "metadata": {},
    "nbformat": 4,
    "nbformat_minor": 5,
}
GUIDE = (walls.PACKAGE / "instructor" / "guide.md").read_text("utf-8")
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


@pytest.fixture(scope="module")
def places(tmp_path_factory) -> list[str]:
    """What the marker can read and a learner must not: each holds or is named with something to look for."""
    folder = new_class(tmp_path_factory.mktemp("treasure") / "class").folder
    other = folder / "submitted" / "bruno" / small_lesson.NAME / f"{small_lesson.NAME}.ipynb"
    other.parent.mkdir(parents=True, exist_ok=True)
    other.write_text(json.dumps({"cells": [], "note": "brunos-own-work"}), "utf-8")
    (folder / "secret").write_text("the-class-secret", "utf-8")
    source = folder / "source" / small_lesson.NAME / f"{small_lesson.NAME}.ipynb"
    source.write_text(
        json.dumps({**json.loads(source.read_text("utf-8")), "note": "the-teachers-source"}), "utf-8"
    )
    return [
        str(path)
        for path in (folder / "secret", source, folder / "gradebook.db", other, folder / "roster.csv")
    ]


TREASURE = ("the-class-secret", "brunos-own-work", "the-teachers-source", "bruno@example.org")


@pytest.mark.parametrize("attack", hostile.ATTACKS, ids=lambda attack: attack.name)
def test_an_attack_does_not_succeed_and_costs_its_own_answer_at_most(attack, places):
    own = attack.instead.replace("ANSWER", "power") or small_lesson.SOLUTIONS["power"]
    text = attack.before.replace("PLACES", repr(places)) + own
    before = {place: Path(place).read_bytes() for place in places}
    result = marked(answered(power=text))
    assert result.state == MARKED and result.log == "", (result.why, result.log)
    assert scores(result) == {**FULL, "power": 0.0 if attack.costs else 2.0}
    if attack.code != hostile.ANY:
        assert codes(result) == ({attack.code} if attack.code else set())
    assert not [word for word in TREASURE if word in result.dumps()]
    assert {place: Path(place).read_bytes() for place in places} == before
    assert len(result.dumps()) < 3_000_000
    run = find(result.notebook, "power-answer")["outputs"]
    assert not {"text/html", "application/javascript"} & {mime for out in run for mime in out.get("data", ())}
    assert not [out for out in run if out.get("text", "").strip() in ("root", "online", "raised")]
    if attack.costs and not attack.instead:
        assert any(out["output_type"] == "error" for out in run)


@pytest.mark.parametrize("attack", [*hostile.READS, *hostile.WRITES], ids=lambda attack: attack.name)
def test_a_box_of_its_own_keeps_the_same_attacks_in(attack, places):
    text = attack.before.replace("PLACES", repr(places)) + small_lesson.SOLUTIONS["power"]
    result = marked(answered(power=text), way="fresh")
    assert result.state == MARKED and scores(result) == {**FULL, "power": 0.0 if attack.costs else 2.0}
    assert not [word for word in TREASURE if word in result.dumps()]


def printed(text: str, learner: str = "amina", **kind) -> str:
    """What a cell of a learner's shows."""
    result = marked(answered(power=f"{text}\n{small_lesson.SOLUTIONS['power']}"), learner, **kind)
    return "".join(out.get("text", "") for out in find(result.notebook, "power-answer")["outputs"])


@pytest.mark.parametrize("way", ["warm", "fresh"])
def test_in_the_box_there_are_no_rights_no_others_and_nothing_open(way):
    status = printed("print(open('/proc/self/status').read())", way=way)
    for line in ("CapInh", "CapPrm", "CapEff", "CapAmb"):
        assert f"{line}:\t0000000000000000" in status
    assert "NoNewPrivs:\t1" in status
    assert int(printed("import os\nprint(sum(name.isdigit() for name in os.listdir('/proc')))", way=way)) <= 3
    sockets = "import os\nfor n in range(256):\n    try:\n        print(os.readlink(f'/proc/self/fd/{n}'))\n"
    assert "socket:" not in printed(sockets + "    except OSError:\n        pass", way=way)
    bound = (Path(root) for root in (walls.PACKAGE, sys.prefix, sys.base_prefix))  # perhaps in /tmp
    there = sorted({root.parts[2] for root in bound if root.is_relative_to("/tmp")})
    empty = "import os\nprint(sorted(os.listdir('/tmp')), os.listdir('/dev/shm'))"
    assert printed(empty, way=way) == f"{there} []\n"


def test_nothing_of_one_learner_is_left_for_the_next_in_the_same_box():
    start = (
        "import builtins, numpy, os, time, solarlab.exercises as known\n"
        "patched = (builtins, numpy, known)\n"
        "folders = ('/tmp', '/dev/shm', '/learner', os.path.dirname(known.__file__) + '/__pycache__')\n"
    )
    first = (
        "for module in patched:\n    module.mine = 1\nos.environ['MINE'] = '1'\n"
        "for folder in folders:\n    open(folder + '/mine', 'w').write('mine')\n"
        "if os.fork() == 0:\n    time.sleep(600)"
    )
    second = (
        "print([hasattr(module, 'mine') for module in patched], os.environ.get('MINE'),\n"
        "      [os.path.exists(folder + '/mine') for folder in folders], os.environ['SOLARLAB_LEARNER'])"
    )
    printed(start + first, way="warm")
    before = {one.pid for one in nursery._idle}
    said = printed(start + second, "bruno", way="warm")
    assert said == "[False, False, False] None [False, False, False, False] bruno\n"
    assert {one.pid for one in nursery._idle} == before != set()


FUNCTIONS = {  # ways for a function to go wrong only when it is called
    "exits": "    import os\n    os._exit(0)",
    "leaves": "    raise SystemExit",
    "never-ends": "    while True:\n        pass",
    "asks": "    return float(input())",
    "prints-a-gigabyte": "    print('x' * 10**9)\n    return 1.0",
    "says-yes": "    class Yes:\n        def __eq__(self, other): return True\n    return Yes()",
    "raises-in-its-text": "    class E(Exception):\n        def __str__(self): raise ValueError\n    raise E",
    "kills": "    import os\n    os.kill(-1, 9)",
}


@pytest.mark.parametrize("name", FUNCTIONS)
def test_a_function_that_goes_wrong_when_called_costs_its_own_question_only(name):
    result = marked(answered(average=f"def average(first, second):\n{FUNCTIONS[name]}"))
    assert scores(result) == {**FULL, "average": 0.0}
    assert result.marks[1].hint


def test_five_deadly_cells_in_one_notebook_still_leave_the_other_answers_their_marks():
    def deadly(notebook):
        for _ in range(3):
            cell = {"cell_type": "code", "metadata": {}, "source": "import os\nos._exit(1)"}
            notebook["cells"].insert(2, cell)

    result = marked(changed(answered(), deadly))
    assert scores(result) == FULL
    assert [change.code for change in result.changes] == ["stopped-itself"] * 3


def test_a_notebook_that_ends_itself_again_and_again_fails_what_was_not_reached_with_the_reason():
    def deadly(notebook):
        for _ in range(9):
            cell = {"cell_type": "code", "metadata": {}, "source": "import os\nos._exit(1)"}
            notebook["cells"].insert(notebook["cells"].index(find(notebook, "average-answer")), cell)

    result = marked(changed(answered(), deadly))
    assert scores(result) == {**FULL, "average": 0.0, "loss": 0.0}
    assert {mark.state for mark in result.marks} >= {"not run", "right"}


def test_without_a_box_honest_and_careless_work_gets_the_same_marks():
    assert scores(marked(answered(), way="bare")) == FULL
    careless = answered(power="while True:\n    pass", loss="import os\nos._exit(0)")
    assert scores(marked(careless, way="bare")) == {**FULL, "power": 0.0, "loss": 0.0}


def test_an_answer_lost_with_the_end_of_a_file_is_not_marked_and_waits():
    data = packed(answered())
    result = marked(data[: data.index(b'"average-answer"')])
    assert scores(result) == {"power": 2.0, "average": None, "loss": None, "why": None}
    assert [mark.state for mark in result.marks] == ["right", NOT_MARKED, NOT_MARKED, NOT_MARKED]
    cell = find(result.notebook, "average-mark")
    assert cell["outputs"][0]["ename"] == "NotRun"  # and the gradebook leaves it open: see gradebook.merge


def test_what_protects_is_said_plainly():
    assert box.has_bubblewrap() == ("no network" in box.protection())


def test_a_sensible_error_when_the_box_does_not_start(monkeypatch):
    monkeypatch.setattr(walls, "INSIDE", Path("/nowhere/inside.py"))
    result = marked(answered(), way="fresh")
    assert result.state == NOT_MARKED and "did not start" in result.why and result.log


# --- the corpus for other courses ---


def plain_course(solved: bool) -> dict:
    """A notebook of a course that knows nothing of this one: plain nbgrader, tests as asserts."""

    def cell(name: str, source: str, **label) -> dict:
        made = nbformat.v4.new_code_cell(source, id=name)
        made.metadata["nbgrader"] = {"schema_version": 3, "task": False, "grade_id": name, **label}
        return made

    answer = {"grade": False, "solution": True, "locked": False}
    test = {"grade": True, "solution": False, "locked": True, "points": 1}
    cells = [nbformat.v4.new_markdown_cell("# A small course of somebody else's", id="title")]
    cells.append(cell("start", "import math", grade=False, solution=False, locked=True))
    for name, right in (("double", "def double(x):\n    return 2 * x"), ("half", "half = 0.5")):
        cells.append(cell(f"{name}-answer", right if solved else "raise NotImplementedError()", **answer))
        cells.append(cell(f"{name}-test", f"assert {name} is not None", **test))
    return json.loads(nbformat.writes(nbformat.v4.new_notebook(cells=cells)))


def test_the_corpus_is_written_for_any_nbgrader_course(tmp_path, capsys):
    for name, solved in (("released", False), ("filled", True)):
        (tmp_path / f"{name}.ipynb").write_text(json.dumps(plain_course(solved)), "utf-8")
    words = [str(tmp_path / "released.ipynb"), str(tmp_path / "filled.ipynb"), str(tmp_path / "out")]
    assert corpus.main(words) == 0 and corpus.main([]) == 2
    lines = (tmp_path / "out" / "expected.csv").read_text("utf-8").splitlines()
    assert len(lines) - 1 == len(DAMAGED) + len(hostile.ATTACKS) >= 100
    files = {f"{path.parent.name}/{path.stem}" for path in (tmp_path / "out").glob("*/*.ipynb")}
    assert {line.split(",")[0] for line in lines[1:]} == files
    assert "double: 0" in next(line for line in lines if line.startswith("damaged/answer-cell-deleted"))
    yes = json.loads((tmp_path / "out" / "hostile" / "answer-that-says-yes.ipynb").read_text("utf-8"))
    assert "double = Yes()" in find(yes, "double-answer")["source"]
    assert "ANSWER" not in str(yes)


def test_the_written_corpus_is_the_one_that_is_tested_here(tmp_path):
    count = corpus.write(released().notebook, answered(), tmp_path, ["/nowhere"])
    assert count == len(DAMAGED) + len(hostile.ATTACKS)
    for case in DAMAGED:
        if case.name != "another-lesson":
            assert (tmp_path / "damaged" / f"{case.name}.ipynb").read_bytes() == case.data
    work = (tmp_path / "hostile" / "answer-that-is-true.ipynb").read_bytes()
    assert scores(marked(work)) == {**FULL, "power": 0.0}


# --- where there is no bubblewrap ---


@pytest.mark.parametrize("name", [
    "sys-exit", "asks-for-input", "gigabyte-of-output", "patched-builtins", "patched-judge",
    "patched-numpy-types", "traceback-hidden", "answer-that-says-yes", "answer-not-a-number",
    "warning-before-a-right-answer",
])  # fmt: skip
def test_without_a_box_accidents_and_fools_cost_no_more_than_in_it(name):
    attack = next(each for each in hostile.ATTACKS if each.name == name)
    own = attack.instead.replace("ANSWER", "power") or small_lesson.SOLUTIONS["power"]
    result = marked(answered(power=attack.before + own), way="bare")
    assert scores(result) == {**FULL, "power": 0.0 if attack.costs else 2.0}


def test_without_bubblewrap_the_portable_way_is_taken_and_says_what_it_does_not_stop(monkeypatch):
    monkeypatch.setattr(box, "has_bubblewrap", lambda: False)
    words = box.protection()
    assert "stops accidents, not attacks" in words and "network" in words and "WSL" in words
    assert "Marking on Windows and macOS" in words
    assert "## What keeps learners' code away" in GUIDE and "### Marking on Windows and macOS" in GUIDE
    found = printed("import os\nprint(sorted(os.environ), os.getcwd())")
    assert "SOLARLAB_LEARNER" in found and "PYTEST_CURRENT_TEST" not in found and "/learner" not in found


def test_a_portable_run_that_never_ends_is_ended_with_all_it_started(tmp_path):
    text = (
        "import subprocess, sys, time\n"
        "child = subprocess.Popen([sys.executable, '-c', 'import time; time.sleep(600)'])\n"
        f"open({str(tmp_path / 'child')!r}, 'w').write(str(child.pid))\ntime.sleep(600)\n"
    )
    result = marked(answered(power=text), way="bare")
    assert scores(result) == {**FULL, "power": 0.0} and codes(result) == {"stopped-quiet"}
    with contextlib.suppress(psutil.NoSuchProcess):  # dead, if perhaps not yet collected by its new parent
        assert psutil.Process(int((tmp_path / "child").read_text())).status() == psutil.STATUS_ZOMBIE

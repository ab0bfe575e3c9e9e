"""Traps already found in nbgrader 0.9.6: each is shown to be there, then our way round it.

The numbers are those of the list the project started from.
"""

import json
import subprocess
import sys
import textwrap
from pathlib import Path

import nbformat
import numpy as np
import pytest
from nbgrader.api import Gradebook
from nbgrader.nbgraderformat import MetadataValidator, ValidationError
from nbgrader.utils import determine_grade, get_username

from instructor import course, gradebook, walls
from instructor.judging import NOT_MARKED
from instructor.scored import FAILED
from tests.corpus import small_lesson
from tests.corpus.returns import changed, find, grade_id
from tests.marking_class import answered, codes, marked, new_class, scores, submit

NAME = small_lesson.NAME
nbgrader_with_sqlalchemy = pytest.mark.filterwarnings("ignore::sqlalchemy.exc.SAWarning")


def scored_by_nbgrader(*outputs: dict) -> float | None:
    """What nbgrader gives a test cell worth 2 points with these outputs."""
    label = {
        "grade": True,
        "solution": False,
        "locked": True,
        "grade_id": "t",
        "points": 2,
        "schema_version": 3,
    }
    cell = nbformat.v4.new_code_cell("x", metadata={"nbgrader": label}, execution_count=1)
    cell.outputs = [nbformat.from_dict(output) for output in outputs]
    return determine_grade(cell)[0]


def value(text: str) -> dict:
    """An execute_result that prints so."""
    return {
        "output_type": "execute_result",
        "data": {"text/plain": text},
        "metadata": {},
        "execution_count": 1,
    }


def test_trap_1_a_warning_costs_the_mark_and_here_it_does_not():
    warning = {"output_type": "stream", "name": "stderr", "text": "DeprecationWarning"}
    assert scored_by_nbgrader(value("2.0")) == 2.0
    assert scored_by_nbgrader(warning, value("2.0")) == 0.0
    noisy = "import sys, warnings\nwarnings.warn('old', DeprecationWarning)\nprint('!', file=sys.stderr)\n"
    function = "def average(first, second):\n    print('!', file=sys.stderr)\n    return (first + second) / 2"
    result = marked(answered(power=noisy + small_lesson.SOLUTIONS["power"], average=function))
    assert scores(result)["power"] == 2.0 and scores(result)["average"] == 3.0


def test_trap_2_partial_credit_printed_by_numpy_or_negative_is_full_marks_and_here_it_is_not():
    assert repr(np.float64(0.5)) == "np.float64(0.5)"
    assert scored_by_nbgrader(value("np.float64(0.5)")) == 2.0
    assert scored_by_nbgrader(value("-1.0")) == 2.0
    half = 'power = np.float64(numbers["area"] * numbers["irradiance"]) / 2'
    result = marked(answered(power=half))
    assert scores(result)["power"] == 1.0
    assert find(result.notebook, "power-mark")["outputs"][-1]["data"]["text/plain"] == "1.0"


def test_trap_3_a_slider_that_nobody_moves_does_not_hang_the_box():
    slider = "from ipywidgets import interact\ninteract(lambda x: x, x=(0, 10))\n"
    assert scores(marked(answered(power=slider + small_lesson.SOLUTIONS["power"])))["power"] == 2.0


def test_trap_6_validate_says_all_is_well_to_the_shell_when_it_is_not(tmp_path):
    cell = nbformat.v4.new_code_cell("assert False", metadata={"nbgrader": {
        "grade": True, "solution": False, "locked": True, "task": False, "grade_id": "t", "points": 1,
        "schema_version": 3, "cell_type": "code",
    }})  # fmt: skip
    path = tmp_path / "fails.ipynb"
    nbformat.write(nbformat.v4.new_notebook(cells=[cell]), path)
    shell = subprocess.run(
        [sys.executable, "-m", "nbgrader", "validate", str(path)], capture_output=True, text=True, timeout=120
    )
    assert "VALIDATION FAILED" in shell.stdout and shell.returncode == 0
    assert (
        marked(answered(power="raise ValueError")).marks[0].score == 0.0
    )  # ours is a value, not an exit code


@nbgrader_with_sqlalchemy
def test_trap_6_feedback_shows_hidden_tests_and_9_learners_code_reads_the_gradebook(tmp_path, monkeypatch):
    monkeypatch.setenv("PYTHONPATH", str(walls.PACKAGE))
    monkeypatch.setenv("SOLARLAB_LEARNER", "amina")
    class_ = new_class(tmp_path / "class")
    lesson = small_lesson.write(tmp_path / "lessons")
    notebook = nbformat.read(lesson / f"{NAME}.ipynb", as_version=4)
    test = next(cell for cell in notebook.cells if grade_id(cell) == "power-mark")
    hidden = "### BEGIN HIDDEN TESTS\nassert power != 12.5  # the hidden test\n### END HIDDEN TESTS\n"
    test.source = hidden + test.source
    nbformat.write(notebook, lesson / f"{NAME}.ipynb")
    course.release(class_, lesson)
    spy = f"{small_lesson.SOLUTIONS['power']}\nprint(len(open({str(class_.folder / 'secret')!r}).read()))"
    submit(class_, "amina", answered(power=spy))
    with course.scripts_on_path():
        assert class_.nbgrader().autograde(NAME, "amina")["success"]
        assert class_.nbgrader().generate_feedback(NAME, "amina")["success"]
    page = (class_.folder / "feedback" / "amina" / NAME / f"{NAME}.html").read_text("utf-8")
    run = json.loads((class_.folder / "autograded" / "amina" / NAME / f"{NAME}.ipynb").read_text("utf-8"))
    assert "the hidden test" in page  # trap 6
    printed = "".join("".join(said.get("text", "")) for said in find(run, "power-answer")["outputs"])
    secret = (class_.folder / "secret").read_text("utf-8")
    assert printed.strip() == str(len(secret))  # trap 9: it was read, every character of it

    result = marked(answered(power=spy))
    assert "the hidden test" not in str(result.notebook)
    assert "FileNotFoundError" in str(find(result.notebook, "power-answer")["outputs"])
    assert scores(result)["power"] == 2.0


@nbgrader_with_sqlalchemy
def test_trap_6_one_writer_only_because_many_lock_each_other_out(tmp_path):
    class_ = new_class(tmp_path / "class")
    with Gradebook(class_.db_url) as first:
        first.db.execute(__import__("sqlalchemy").text("BEGIN IMMEDIATE"))
        second = subprocess.run(
            [sys.executable, "-c", textwrap.dedent(f"""
                from sqlalchemy import create_engine, text
                engine = create_engine({class_.db_url!r}, connect_args={{"timeout": 0.2}})
                with engine.begin() as db:
                    db.execute(text("UPDATE student SET email = 'x'"))
            """)], capture_output=True, text=True, timeout=60,
        )  # fmt: skip
    assert "database is locked" in second.stderr
    assert "Gradebook" not in Path(sys.modules["instructor.marking"].__file__).read_text("utf-8")


def test_trap_7_duplicated_cells_stop_nbgrader_and_here_nothing_is_lost():
    twice = changed(answered(), lambda nb: nb["cells"].append(dict(find(nb, "power-answer"), id="again")))
    with pytest.raises(ValidationError, match="Duplicate grade id"):
        MetadataValidator().validate_nb(nbformat.from_dict(twice))
    result = marked(twice)
    assert scores(result) == {"power": 2.0, "average": 3.0, "loss": 2.0, "why": None}
    assert codes(result) == {"duplicated", "reordered"}


@nbgrader_with_sqlalchemy
def test_trap_8_a_deleted_test_cell_is_zero_without_a_word_and_here_it_is_put_back(tmp_path, monkeypatch):
    monkeypatch.setenv("PYTHONPATH", str(walls.PACKAGE))
    class_ = new_class(tmp_path / "class")
    without = changed(answered(), lambda nb: nb["cells"].remove(find(nb, "average-mark")))
    submit(class_, "amina", without)
    with course.scripts_on_path():
        assert class_.nbgrader().autograde(NAME, "amina")["success"]
    with class_.gradebook() as book:
        assert book.find_grade("average-mark", NAME, NAME, "amina").score == 0.0
    result = marked(without)
    assert scores(result)["average"] == 3.0 and codes(result) == {"deleted-test"}


def test_trap_8_an_object_that_equals_everything_is_no_answer():
    class_text = "class Yes:\n    def __eq__(self, other):\n        return True\n    __hash__ = None\n"
    result = marked(answered(power=class_text + "power = Yes()", loss="loss = Yes()"))
    assert scores(result)["power"] == 0.0 and scores(result)["loss"] == 0.0
    assert result.marks[0].note == "cannot-read"


@nbgrader_with_sqlalchemy
def test_trap_8_a_corrupt_notebook_looks_like_an_honest_zero_and_here_it_is_not_marked(tmp_path):
    class_ = new_class(tmp_path / "class")
    path = submit(class_, "amina", answered())
    path.write_text(path.read_text("utf-8")[:300], "utf-8")
    with course.scripts_on_path():
        assert not class_.nbgrader().autograde(NAME, "amina")["success"]
    with class_.gradebook() as book:
        assert book.find_submission(NAME, "amina").score == 0.0  # the row that looks like a zero
    other = new_class(tmp_path / "other")
    result = marked(path.read_bytes())
    assert result.state == NOT_MARKED and result.why
    gradebook.merge(other, result)
    assert gradebook.dump(other) == []


def test_trap_10_nbgrader_knows_a_learner_by_the_operating_systems_user_only(monkeypatch):
    monkeypatch.setenv("JUPYTERHUB_USER", "bruno")
    assert get_username() != "bruno"
    assert (
        marked(answered(learner='learner = "bruno"'), "bruno").learner == "bruno"
    )  # ours comes with the return, from intake


def test_trap_15_a_test_that_never_ran_is_full_marks_and_here_it_is_failed_first():
    assert scored_by_nbgrader() == 2.0
    assert scored_by_nbgrader(FAILED) == 0.0
    result = marked(answered(power="import os\nwhile True:\n    os._exit(0)"))
    assert scores(result)["power"] == 0.0 and scores(result)["average"] == 3.0


def test_trap_16_without_alembic_on_path_there_is_no_gradebook_and_here_there_is(tmp_path, monkeypatch):
    monkeypatch.setenv("PATH", str(tmp_path))
    with pytest.raises(FileNotFoundError, match="alembic"):
        Gradebook(f"sqlite:///{tmp_path}/theirs.db")
    (tmp_path / "roster.csv").write_text("id\namina\n", "utf-8")
    made = course.create(tmp_path / "class", tmp_path / "roster.csv")
    with made.gradebook() as book:
        assert [student.id for student in book.students] == ["amina"]

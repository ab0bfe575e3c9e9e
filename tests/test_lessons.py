"""Lessons as files: the learner's copy, laid once and never over work; the one form they are stored in."""

from __future__ import annotations

import ast
import datetime
import itertools
import json
import os
import re

import nbformat
import pytest

from lessons import _copy, _notebooks, _open
from solarlab.exercises import CANNOT_READ, HANDED_IN, NOT_ATTEMPTED, NOT_YET, RIGHT, Reply
from tests import _outside, _tiny
from tests import _repository as repository

STORED = _notebooks.find_lessons()
DAY = datetime.date(2026, 12, 1)


@pytest.fixture
def lesson(tmp_path):
    return _tiny.write_tiny(tmp_path / "lessons")


@pytest.fixture
def home(tmp_path):
    return tmp_path / "mine"


def source(lesson):
    return lesson / f"{lesson.name}.ipynb"


def change(lesson):
    """Release the lesson anew: one more sentence in it."""
    notebook = _notebooks.read(source(lesson))
    notebook.cells[0].source += " One more sentence."
    nbformat.write(notebook, source(lesson))


def contents(folder):
    return {
        path.relative_to(folder).as_posix(): path.read_bytes() for path in folder.rglob("*") if path.is_file()
    }


# The learner's copy


def test_copy_holds_neither_solutions_nor_hidden_tests_nor_marking_schemes_nor_outputs(lesson):
    _notebooks.store(lesson)
    text = _copy.copy_files(lesson)["01-tiny.ipynb"].decode("utf-8")
    for secret in ("SOLUTION", "42.0", "HIDDEN", "assert", "MARK SCHEME", "absorb", "Because it is dark"):
        assert secret not in text
    cells = json.loads(text)["cells"]
    assert all(not cell.get("outputs") for cell in cells)
    assert _copy.CODE_STUB in "".join(cells[3]["source"])


def test_copy_can_be_marked_its_tests_are_locked_and_its_answers_are_open(lesson):
    cells = json.loads(_copy.copy_files(lesson)["01-tiny.ipynb"])["cells"]
    marks = {cell["metadata"]["nbgrader"]["grade_id"]: cell["metadata"] for cell in cells if cell["metadata"]}
    assert set(marks) == {"warmth", "warmth-test", "why"}
    assert all(mark["nbgrader"]["checksum"] for mark in marks.values())
    assert marks["warmth-test"]["editable"] is False
    assert "editable" not in marks["warmth"]
    assert not any(mark["deletable"] for mark in marks.values())


def test_copy_is_the_same_bytes_every_time(lesson):
    first = _copy.copy_files(lesson)
    assert _copy.copy_files(lesson) == first
    assert set(first) == {"01-tiny.ipynb", "exercises.py"}
    assert _copy.release(first) == _copy.release(dict(reversed(first.items())))


def test_solution_outside_a_solution_cell_is_refused(lesson):
    notebook = _notebooks.read(source(lesson))
    del notebook.cells[3].metadata["nbgrader"]
    with pytest.raises(RuntimeError, match="non-solution cell"):
        _copy.learner_copy(notebook)


def test_first_laying_is_new_and_the_second_changes_nothing(lesson, home):
    laid = _copy.lay(lesson, home)
    assert laid == _copy.Laid("01-tiny", home / "01-tiny", "new")
    before = contents(home)
    assert _copy.lay(lesson, home) == _copy.Laid("01-tiny", home / "01-tiny", "kept")
    assert contents(home) == before
    assert not [path for path in home.iterdir() if path.name.startswith(".")]


def test_work_is_never_overwritten_and_a_newer_release_is_laid_beside(lesson, home):
    old = _copy.lay(lesson, home)
    old.notebook.write_text("my work", encoding="utf-8")
    change(lesson)
    new = _copy.lay(lesson, home, DAY)
    assert (new.folder.name, new.state) == ("01-tiny-2026-12-01", "beside")
    assert old.notebook.read_text("utf-8") == "my work"
    assert "One more sentence." in new.notebook.read_text("utf-8")
    change(lesson)
    assert _copy.lay(lesson, home, DAY).folder.name == "01-tiny-2026-12-01-2"
    assert old.notebook.read_text("utf-8") == "my work"


def test_lost_file_is_given_back_and_the_others_are_left_alone(lesson, home):
    laid = _copy.lay(lesson, home)
    laid.notebook.write_text("my work", encoding="utf-8")
    (laid.folder / "exercises.py").unlink()
    assert _copy.lay(lesson, home).state == "kept"
    assert (laid.folder / "exercises.py").exists()
    assert laid.notebook.read_text("utf-8") == "my work"


def test_folder_of_the_learners_own_with_that_name_is_left_alone(lesson, home):
    (home / "01-tiny").mkdir(parents=True)
    (home / "01-tiny" / "01-tiny.ipynb").write_text("mine", encoding="utf-8")
    laid = _copy.lay(lesson, home, DAY)
    assert (laid.folder.name, laid.state) == ("01-tiny-2026-12-01", "beside")
    assert contents(home / "01-tiny") == {"01-tiny.ipynb": b"mine"}


def test_laying_that_fails_half_way_leaves_nothing(lesson, home, monkeypatch):
    def write_file(path, content):
        raise OSError("disk full")

    monkeypatch.setattr(_copy, "write_file", write_file)
    with pytest.raises(OSError, match="disk full"):
        _copy.lay(lesson, home)
    assert list(home.iterdir()) == []


def test_copy_is_open_to_whom_the_learners_own_settings_say(lesson, home):
    before = os.umask(0o077)
    try:
        laid = _copy.lay(lesson, home)
    finally:
        os.umask(before)
    if os.name == "posix":
        assert laid.folder.stat().st_mode & 0o777 == 0o700
        assert laid.notebook.stat().st_mode & 0o777 == 0o600
    assert [path.name for path in home.iterdir()] == ["01-tiny"]


def test_course_opens_where_the_learner_worked_last(lesson, home, capsys):
    old = _copy.lay(lesson, home)
    change(lesson)
    shown = _open.lay_all([lesson], home)["01-tiny"]
    assert shown.folder != old.folder
    assert "newer release" in capsys.readouterr().out
    newest = shown.notebook.stat().st_mtime
    old.notebook.write_text("my work", encoding="utf-8")
    os.utime(old.notebook, (newest + 60, newest + 60))
    assert _open.lay_all([lesson], home)["01-tiny"].folder == old.folder


# Opening the course


def test_command_opens_the_lesson_in_the_learners_folder(home):
    laid = _copy.Laid("01-tiny", home / "01-tiny", "new")
    command = _open.command(laid, home, ["--no-browser"])
    assert f"--ServerApp.root_dir={home}" in command
    assert "--LabApp.default_url=/lab/tree/01-tiny/01-tiny.ipynb" in command
    assert command[-1] == "--no-browser"


def test_jupyterlab_is_told_to_be_quiet():
    settings = repository.ROOT / "lessons" / "_jupyter"
    lab = json.loads((settings / "jupyter_lab_config.json").read_text("utf-8"))["LabApp"]
    assert lab["news_url"] is None
    assert lab["check_for_updates_class"] == "jupyterlab.NeverCheckForUpdate"
    page = json.loads((settings / "labconfig" / "page_config.json").read_text("utf-8"))["disabledExtensions"]
    assert page["@jupyterlab/apputils-extension:announcements"]
    assert page["@jupyterlab/extensionmanager-extension"]
    assert str(settings) in _open.quiet_environment()["JUPYTER_CONFIG_PATH"]


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (["99"], "There is no single lesson '99'; the lessons are: "),
        (["--folder", str(repository.ROOT / "lessons")], "is inside the course itself"),
        (["--folder", os.__file__], "os.py cannot be used (File exists): choose a folder that you may"),
        (["--pages", os.__file__, "00"], "os.py cannot be used (File exists): choose a folder that you may"),
        (["--folder", "~nobody-of-that-name/x"], "No home folder for ~nobody-of-that-name/x is known here"),
        (["--foldr=/tmp", "--lay"], "There is no option --foldr; did you mean --folder?"),
        (["--no-brwser"], "There is no option --no-brwser; did you mean --no-browser?"),
    ],
)
def test_trouble_is_told_in_one_sentence(arguments, said, capsys):
    assert _open.main(arguments) == 2
    error = capsys.readouterr().err
    assert said in error
    assert error.count("\n") == 1


def test_jupyterlabs_own_options_pass():
    _open.refuse_misspelled(["--port=8899", "--no-browser", "--port-retries=0", "--ServerApp.ip=::1", "-y"])


def test_stopping_by_hand_is_told_in_one_sentence(monkeypatch, home, capsys):
    def stopped(lessons, home):
        raise KeyboardInterrupt

    monkeypatch.setattr(_open, "lay_all", stopped)
    assert _open.main(["--folder", str(home), "--lay"]) == 130
    assert capsys.readouterr().err == "Stopped; what was written so far is whole.\n"


def test_lesson_is_found_by_number_or_name(tmp_path):
    for name in ("01-tiny", "07-egg", "10-teach"):
        _tiny.write_tiny(tmp_path, name)
    for wanted, name in (("7", "07-egg"), ("07", "07-egg"), ("10", "10-teach"), ("01-t", "01-tiny")):
        assert _notebooks.find_lesson(wanted, tmp_path).name == name
    assert [folder.name for folder in _notebooks.find_lessons(tmp_path)] == ["01-tiny", "07-egg", "10-teach"]
    for wanted in ("1-tiny", "11", ""):
        with pytest.raises(ValueError, match="01-tiny, 07-egg, 10-teach"):
            _notebooks.find_lesson(wanted, tmp_path)


# The stored form


def test_storing_runs_the_lesson_and_doing_it_twice_changes_nothing(lesson):
    assert _notebooks.store(lesson)
    first = source(lesson).read_text("utf-8")
    assert not _notebooks.store(lesson)
    assert source(lesson).read_text("utf-8") == first
    notebook = _notebooks.read(source(lesson))
    code = [cell for cell in notebook.cells if cell.cell_type == "code"]
    assert [cell.execution_count for cell in code] == [1, 2, 3, 4]
    assert code[0].outputs[0].text == "core rises from 20 to 90 °C\n"
    assert code[3].outputs[0].text == "right\n"
    assert "image/png" not in first
    assert "widget-view" not in first
    assert sorted(path.name for path in lesson.iterdir()) == ["01-tiny.ipynb", "exercises.py"]


def test_canonical_form_is_its_own_canonical_form():
    notebook = _tiny.tiny_notebook()
    once = _notebooks.canonical(notebook)
    assert _notebooks.dumps(_notebooks.canonical(once)) == _notebooks.dumps(once)


def test_ids_follow_from_the_cells_and_equal_cells_are_numbered():
    cells = [nbformat.v4.new_code_cell("1 + 1") for _ in range(3)]
    cells.append(nbformat.v4.new_code_cell("x = 1", metadata=_tiny.grading("egg.time answer", solution=True)))
    ids = [cell.id for cell in _notebooks.canonical(nbformat.v4.new_notebook(cells=cells)).cells]
    assert ids == [ids[0], f"{ids[0]}-2", f"{ids[0]}-3", "egg-time-answer"]
    again = [nbformat.v4.new_code_cell("1 + 1")]
    assert _notebooks.canonical(nbformat.v4.new_notebook(cells=again)).cells[0].id == ids[0]


def test_outputs_keep_text_and_lose_pictures():
    output = nbformat.v4.new_output
    png = "iVBORw0KGgoAAAANSUhEUg=="
    kept = _notebooks.canonical_outputs(
        [
            output("stream", name="stdout", text="a\n"),
            output("stream", name="stdout", text="b\n"),
            output("display_data", data={"image/png": png, "text/plain": "<Figure>"}, metadata={"x": 1}),
            output("display_data", data={"image/png": png}),
            output(
                "display_data", data={"text/html": f'<img alt="an egg" src="data:image/png;base64,{png}">'}
            ),
            output("execute_result", data={"application/vnd.jupyter.widget-view+json": {"model_id": "7"}}),
        ]
    )
    assert [list(item.get("data", {"text": 0})) for item in kept] == [["text"], ["text/plain"], ["text/html"]]
    assert kept[0].text == "a\nb\n"
    assert kept[1].metadata == {}
    assert kept[2].data["text/html"] == '<img alt="an egg" src="data:image/png;base64,">'


def test_run_writes_nothing_in_the_lessons_folder(lesson):
    notebook = _notebooks.read(source(lesson))
    notebook.cells.append(nbformat.v4.new_code_cell("open('left.txt', 'w').close()"))
    before = contents(lesson)
    _notebooks.run(notebook, lesson)
    assert contents(lesson) == before


# The lessons that are stored here


def shows(code):
    """Whether a cell, as it stands, prints or shows something: not only inside a function."""
    tree = ast.parse(re.sub(r"^\s*[%!].*$", "", code, flags=re.M))
    for statement in tree.body:
        if isinstance(statement, (ast.FunctionDef, ast.ClassDef)):
            continue
        for node in ast.walk(statement):
            if isinstance(node, ast.Call) and getattr(node.func, "id", "") in ("print", "display"):
                return True
    return False


@pytest.mark.parametrize("lesson", STORED, ids=lambda folder: folder.name)
def test_stored_lesson_is_in_canonical_form(lesson):
    text = source(lesson).read_text(encoding="utf-8")
    canonical = _notebooks.dumps(_notebooks.canonical(_notebooks.read(source(lesson))))
    assert text == canonical, f"run: python lessons --store {lesson.name}"


@pytest.mark.parametrize("lesson", STORED, ids=lambda folder: folder.name)
def test_stored_lesson_was_run_whole_and_holds_an_output_wherever_it_prints(lesson):
    code = [cell for cell in _notebooks.read(source(lesson)).cells if cell.cell_type == "code"]
    assert [cell.execution_count for cell in code] == list(range(1, len(code) + 1))
    for cell in code:
        assert cell.outputs or not shows(cell.source), f"no output is stored for: {cell.source}"
        assert not [out for out in cell.outputs if out.output_type == "error" or out.get("name") == "stderr"]
    assert any(shows(cell.source) or cell.outputs for cell in code)


@pytest.mark.parametrize("lesson", STORED, ids=lambda folder: folder.name)
def test_stored_lesson_shows_nothing_that_differs_between_runs(lesson):
    outputs = [cell.outputs for cell in _notebooks.read(source(lesson)).cells if cell.cell_type == "code"]
    assert not re.findall(r"0x[0-9a-f]{6,}|/tmp/\w+|/site-packages/", json.dumps(outputs))


@pytest.mark.parametrize("lesson", STORED, ids=lambda folder: folder.name)
def test_stored_lesson_gives_a_copy_without_solutions(lesson):
    text = _copy.copy_files(lesson)[f"{lesson.name}.ipynb"].decode("utf-8")
    assert not re.search(r"BEGIN|END (SOLUTION|HIDDEN TESTS|MARK SCHEME)", text)
    answers = [
        cell for cell in json.loads(text)["cells"] if cell["metadata"].get("nbgrader", {}).get("solution")
    ]
    assert answers


@pytest.mark.parametrize("lesson", STORED, ids=lambda folder: folder.name)
def test_stored_lesson_has_one_title_and_headings_in_order(lesson):
    cells = [cell.source for cell in _notebooks.read(source(lesson)).cells if cell.cell_type == "markdown"]
    text = re.sub(r"```.*?```", "", "\n".join(cells), flags=re.S)
    levels = [len(marks) for marks in re.findall(r"^(#+) ", text, re.M)]
    assert levels[0] == 1
    assert levels.count(1) == 1
    assert all(after <= before + 1 for before, after in itertools.pairwise(levels))


def test_what_a_check_says_is_recognised_and_prose_is_not():
    for state in (RIGHT, NOT_YET, CANNOT_READ, HANDED_IN):
        assert re.search(_outside.REPLIES, str(Reply(state, hint="Look again.")))
    assert re.search(_outside.NOT_ATTEMPTED, str(Reply(NOT_ATTEMPTED)))
    assert not re.search(_outside.REPLIES, str(Reply(NOT_ATTEMPTED)) + "\nThe curve on the right.")

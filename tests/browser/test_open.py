"""A learner opens the course with one command, in a real browser, with the network cut."""

from __future__ import annotations

import re
import subprocess
import sys

import pytest

from lessons import _copy, _notebooks
from tests import _outside, _tiny
from tests import _repository as repository
from tests.browser import _harness

pytestmark = pytest.mark.browser
LESSONS = pytest.mark.parametrize("lesson", _notebooks.find_lessons(), ids=lambda folder: folder.name)


@pytest.fixture(scope="module")
def browser():
    with _harness.start_browser() as browser:
        yield browser


@pytest.fixture
def opened(tmp_path, browser):
    """Return a function that opens a lesson's copy, in a JupyterLab of its own."""
    import contextlib

    with contextlib.ExitStack() as stack:

        def open_lesson(lesson, **window):
            home = tmp_path / "mine"
            laid = _copy.lay(lesson, home)
            (tmp_path / "scratch").mkdir()
            lab = stack.enter_context(_harness.start_lab(laid, home, tmp_path / "scratch"))
            return stack.enter_context(_harness.open_notebook(browser, lab, laid.notebook, **window))

        yield open_lesson


def test_lesson_opens_quietly_runs_and_its_slider_moves(tmp_path, opened):
    _outside.must_be_cut()
    notebook = opened(_tiny.write_tiny(tmp_path / "lessons"))
    notebook.run_all()
    assert "not attempted yet" in notebook.printed()
    notebook.type_value("power [W]", 700)
    notebook.shows("half of 700 W is 350 W")
    notebook.press_slider("power [W]")
    notebook.shows("half of 800 W is 400 W")
    assert notebook.interruptions() == []
    assert notebook.outside() == []
    assert notebook.broken == []


@LESSONS
def test_untouched_lesson_runs_whole_in_the_browser(lesson, opened):
    _outside.must_be_cut()
    notebook = opened(lesson)
    notebook.run_all()
    said = notebook.printed()
    assert re.search(_outside.NOT_ATTEMPTED, said)
    assert not re.search(_outside.REPLIES, said)
    assert not [cell for cell in notebook.cells() for out in cell.get("outputs", []) if "ename" in out]
    assert notebook.interruptions() == []
    assert notebook.outside() == []
    assert notebook.broken == []


def test_the_command_itself_lays_the_lessons_and_serves_them(tmp_path):
    _outside.must_be_cut()
    port, home = _harness.free_port(), tmp_path / "mine"
    command = [
        sys.executable,
        str(repository.ROOT / "lessons" / "_open.py"),
        "--folder",
        str(home),
        "--no-browser",
    ]
    command += [
        f"--ServerApp.port={port}",
        "--IdentityProvider.token=told",
        *_harness.as_root("--allow-root"),
    ]
    log = tmp_path / "log"
    with log.open("wb") as output:
        server = subprocess.Popen(command, stdout=output, stderr=output, cwd=tmp_path)
    try:
        lab = _harness.Lab(f"http://127.0.0.1:{port}", "told", home)
        _harness.wait_for(lab, server, log)
        for lesson in _notebooks.find_lessons():
            assert (home / lesson.name / f"{lesson.name}.ipynb").is_file()
    finally:
        _harness.stop(server)
    assert "JupyterLab opens at" in log.read_text("utf-8")

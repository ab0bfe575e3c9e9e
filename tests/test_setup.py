"""Setting up: no half-made `.venv` is believed, a ready one is used as it is, trouble is one sentence."""

from __future__ import annotations

import ast
import os
import subprocess
import sys
import types
from pathlib import Path

import pytest

from tests import _repository as repository

SETUP = repository.ROOT / ".setup.py"
LAUNCHERS = [SETUP, repository.ROOT / "lessons/__main__.py", repository.ROOT / "tests/__main__.py"]


@pytest.fixture
def setup(tmp_path, monkeypatch):
    """The set-up, at work in a temporary folder, with an installer that only takes notes."""
    (tmp_path / "pyproject.toml").write_bytes((repository.ROOT / "pyproject.toml").read_bytes())
    module = types.ModuleType("setup")
    module.__file__ = str(tmp_path / ".setup.py")
    exec(compile(SETUP.read_text(encoding="ascii"), module.__file__, "exec"), module.__dict__)
    module.made = []

    def make(groups, wanted):
        Path(module.HOME, "bin").mkdir(parents=True)
        Path(module.HOME, "Scripts").mkdir()
        module.write_stamp([module.UNFINISHED])
        module.made.append(groups)
        Path(module.python_in(module.HOME)).touch()
        if getattr(module, "trouble", None):
            raise module.trouble
        module.write_stamp([wanted[name] for name in groups])

    monkeypatch.setattr(module, "make", make)
    return module


def says(setup, group="lessons"):
    with pytest.raises(SystemExit) as stopped:
        setup.ready(group)
    return str(stopped.value)


def test_ready_environment_is_used_as_it_is(setup):
    first = setup.ready("lessons")
    assert setup.ready("lessons") == first == setup.python_in(setup.HOME)
    assert setup.made == [["lessons"]]


def test_tests_add_what_they_need_and_lessons_keep_it(setup):
    setup.ready("lessons")
    setup.ready("tests")
    setup.ready("lessons")
    assert setup.made == [["lessons"], ["lessons", "tests"]]


def test_interrupted_environment_is_made_anew(setup):
    setup.trouble = KeyboardInterrupt()
    assert "run this again" in says(setup)
    assert setup.read_stamp(setup.HOME) == [setup.UNFINISHED]
    setup.trouble = None
    setup.ready("lessons")
    assert len(setup.made) == 2


def test_changed_pins_make_it_anew_and_a_failure_gives_the_good_one_back(setup):
    setup.ready("lessons")
    good = setup.read_stamp(setup.HOME)
    pins = Path(setup.ROOT, "pyproject.toml")
    pins.write_text(pins.read_text("utf-8").replace("pvlib==0.16.1", "pvlib==0.16.2"), encoding="utf-8")
    setup.trouble = setup.Failed("no network")
    assert says(setup) == "no network"
    assert setup.read_stamp(setup.HOME) == good
    assert not os.path.exists(setup.KEPT)
    setup.trouble = None
    setup.ready("lessons")
    assert setup.read_stamp(setup.HOME) != good
    assert not os.path.exists(setup.KEPT)


def test_environment_of_a_folder_that_was_moved_is_made_anew(setup, monkeypatch):
    before, project = setup.read_wanted(), setup.read_project()
    monkeypatch.setattr(setup, "read_project", lambda: project)
    monkeypatch.setattr(setup, "ROOT", setup.ROOT + "-moved")
    assert setup.read_wanted()["lessons"] != before["lessons"]


def test_environment_somebody_else_made_is_left_alone(setup):
    theirs = Path(setup.HOME, "pyvenv.cfg")
    theirs.parent.mkdir()
    theirs.write_text("theirs", encoding="ascii")
    assert "was not made by this course" in says(setup)
    assert theirs.read_text("ascii") == "theirs"


def test_file_in_the_place_of_the_environment_is_left_alone(setup):
    Path(setup.HOME).write_text("theirs", encoding="ascii")
    assert "was not made by this course" in says(setup)
    assert Path(setup.HOME).read_text("ascii") == "theirs"


@pytest.mark.parametrize("mine", [True, False])
def test_environment_that_cannot_be_replaced_says_who_may(setup, monkeypatch, mine):
    setup.ready("lessons")

    def refuse(*paths):
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(os, "rename", refuse)
    monkeypatch.setattr(os, "access", lambda path, mode: mine)
    said = says(setup, "tests")
    assert ("close JupyterLab" in said) == mine
    assert ("copy the course to a folder of your own" in said) != mine


@pytest.mark.parametrize("text", [None, "[[[", "[project]\n"])
def test_damaged_project_file_is_told_in_one_sentence(setup, text):
    pins = Path(setup.ROOT, "pyproject.toml")
    pins.unlink()
    if text is not None:
        pins.write_text(text, encoding="ascii")
    assert says(setup).startswith("pyproject.toml is missing or damaged (")


@pytest.mark.parametrize("folder", ["lessons", "tests"])
def test_copy_without_its_hidden_files_says_so(folder, tmp_path):
    start = tmp_path / folder / "__main__.py"
    start.parent.mkdir()
    start.write_bytes((repository.ROOT / folder / "__main__.py").read_bytes())
    ran = subprocess.run([sys.executable, start.parent], capture_output=True, text=True)
    assert ran.returncode == 1
    assert ran.stderr == f"{tmp_path / '.setup.py'} is missing: copy the course anew, hidden files with it.\n"


def test_environment_whose_python_is_gone_is_made_anew(setup):
    Path(setup.ready("lessons")).unlink()
    setup.ready("lessons")
    assert len(setup.made) == 2


@pytest.mark.parametrize("version", [(2, 7, 18), (3, 6, 15), (3, 10, 13)])
def test_old_python_is_told_in_one_sentence(setup, monkeypatch, version):
    monkeypatch.setattr(sys, "version_info", version)
    said = says(setup, "tests")
    assert said.startswith(
        f"The course needs Python 3.11 or newer, and this is Python {version[0]}.{version[1]}:"
    )
    assert said.count(". ") == 0


@pytest.mark.parametrize("path", LAUNCHERS, ids=repository.name)
def test_old_pythons_can_read_it(path):
    source = path.read_text(encoding="ascii")  # Python 2 takes nothing else without being told
    tree = ast.parse(source, feature_version=(3, 4))
    for node in ast.walk(tree):
        assert not isinstance(node, (ast.JoinedStr, ast.AnnAssign, ast.NamedExpr)), node.lineno
        if isinstance(node, (ast.List, ast.Tuple)):
            assert not any(isinstance(part, ast.Starred) for part in node.elts), node.lineno
        assert not (isinstance(node, ast.Raise) and node.cause), node.lineno
        if isinstance(node, ast.FunctionDef):
            assert not node.returns and not any(argument.annotation for argument in node.args.args), (
                node.lineno
            )
            assert not node.args.kwonlyargs, node.lineno


def test_missing_venv_is_told_in_one_sentence(tmp_path, monkeypatch):
    module = types.ModuleType("setup")
    module.__file__ = str(tmp_path / ".setup.py")
    exec(compile(SETUP.read_text(encoding="ascii"), module.__file__, "exec"), module.__dict__)
    (tmp_path / "pyproject.toml").write_bytes((repository.ROOT / "pyproject.toml").read_bytes())
    monkeypatch.setitem(sys.modules, "ensurepip", None)  # as on Debian without python3-venv
    assert "sudo apt install python3-venv" in says(module)
    assert not os.path.exists(module.HOME)


def test_pip_gets_the_pins_in_a_file_and_no_address(setup, monkeypatch):
    calls = []

    class Pip:
        stdout = types.SimpleNamespace(readline=iter([b"Collecting numpy==2 (from -r x)\n", b""]).__next__)

        def __init__(self, command, env, **kept):
            pins = Path(command[command.index("--constraint") + 1]).read_text("utf-8").split("\n")
            calls.append((command, env, pins))

        def wait(self):
            return 0

    monkeypatch.setattr(setup.subprocess, "Popen", Pip)
    monkeypatch.setenv("PIP_TARGET", "elsewhere")
    setup.install(["numpy"], ["numpy==2", "six==1"])
    ((command, environment, pins),) = calls
    assert command[-1] == "numpy"
    assert pins[:2] == ["numpy==2", "six==1"]
    assert not Path(command[command.index("--constraint") + 1]).exists()
    assert "PIP_TARGET" not in environment
    assert not any("://" in word for word in command)

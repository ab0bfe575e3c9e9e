"""The house: what every file of the repository keeps to, and which way its rooms open."""

from __future__ import annotations

import ast
import importlib.metadata
import re
import subprocess
import sys
import tomllib
import zipfile
from pathlib import Path

import pytest
from packaging.requirements import Requirement
from packaging.utils import canonicalize_name

from tests import _repository as repository

PAGES = {"README.md", "DEVELOPERS.md", "LICENSE", "pyproject.toml"}
FOLDERS = {"data", "instructor", "lessons", "solarlab", "tests"}
ROOMS = {"catalogue", "sky", "oven", "food", "heat", "doneness", "egg", "safety", "cook"}
ROOMS |= {"figures", "controls", "record", "exercises", "plan", "trial"}
HIGHEST = 400  # lines in a module

# What a room may not know of, directly or through another (design decisions, "Rooms").
CLOSED = {
    "sky": {"oven", "food", "heat", "doneness", "egg", "safety", "cook"},
    "oven": {"food", "heat", "doneness", "egg", "safety", "cook"},
    "food": {"sky", "oven", "heat", "cook", "safety"},
    "heat": {"cook", "doneness", "safety"},
    "doneness": {"sky", "oven", "heat", "cook"},
    "egg": {"sky", "oven", "cook"},
    "safety": {"sky", "oven", "cook"},
    "controls": {"cook", "sky", "oven", "heat", "food"},
    "exercises": {"controls", "figures", "cook"},
    "record": {"controls", "cook"},
    "cook": {"figures", "controls", "record", "exercises", "plan", "trial"},
}
# Written in halves, so that this file does not name them either.
REGISTRIES = [
    f"{a}{b}"
    for a, b in (
        ("pypi", ".org"),
        ("python", "hosted"),
        ("registry.", "npmjs"),
        ("deb.", "debian"),
        ("anaconda", ".org"),
        ("jsdel", "ivr"),
        ("unp", "kg"),
        ("--index", "-url"),
        ("--extra-index", "-url"),
        ("--find", "-links"),
    )
]
LOCKS = {
    "uv.lock",
    "poetry.lock",
    "pdm.lock",
    "Pipfile.lock",
    "package-lock.json",
    "yarn.lock",
    "conda-lock.yml",
}
MACHINE = re.compile(r"(?<![\w.~<}])/(?:work|root|home|Users)/\w|[A-Z]:\\\\?Users")
PICTURE = re.compile(r"data:image/[a-z+.-]+;base64,[A-Za-z0-9+/=]{16}|\"image/(?!\")[a-z+]+\"")


@pytest.fixture(scope="module")
def project() -> dict:
    return tomllib.loads((repository.ROOT / "pyproject.toml").read_text(encoding="utf-8"))


def test_top_level_holds_what_the_design_names_and_nothing_else():
    found = {repository.name(path).split("/")[0] for path in repository.files()}
    assert {name for name in found if not name.startswith(".")} == PAGES | FOLDERS


def test_package_holds_the_rooms_the_design_names():
    assert {path.stem for path in (repository.ROOT / "solarlab").iterdir()} >= ROOMS


def test_no_module_is_longer_than_a_person_can_hold():
    long = {repository.name(path): text.count("\n") for path in repository.files(".py")
            if (text := repository.text(path)).count("\n") > HIGHEST}  # fmt: skip
    assert long == {}


def test_no_file_names_a_registry_or_a_delivery_network():
    found = [(repository.name(path), address) for path in repository.files() for address in REGISTRIES
             if address in repository.text(path)]  # fmt: skip
    assert found == []


def test_no_file_names_a_path_of_the_machine_it_was_written_on():
    found = [(repository.name(path), match.group()) for path in repository.files()
             for match in MACHINE.finditer(repository.text(path))]  # fmt: skip
    assert found == []


def test_no_lock_file_is_kept():
    names = {path.name for path in repository.files()}
    assert not names & LOCKS
    assert not [name for name in names if re.fullmatch(r"pylock(\..+)?\.toml", name)]


def test_no_notebook_holds_a_picture():
    found = [repository.name(path) for path in repository.files(".ipynb")
             if PICTURE.search(repository.text(path)) and "corpus" not in path.parts]  # fmt: skip
    assert found == []


def test_no_test_is_skipped_or_let_fail():
    marks = re.compile(r"pytest\.(" + "skip|xfail|importorskip" + r")\b|mark\.(" + "skip|xfail" + r")\b")
    tests = [path for path in repository.files(".py") if repository.name(path).startswith("tests/")]
    found = [repository.name(path) for path in tests if marks.search(repository.text(path))]
    assert found == []


def test_ruff_finds_nothing():
    ruff = subprocess.run(
        [sys.executable, "-m", "ruff", "check", "--no-cache", "--output-format", "concise", "."],
        cwd=repository.ROOT, capture_output=True, text=True,
    )  # fmt: skip
    assert ruff.returncode == 0, ruff.stdout + ruff.stderr


def imports(room: str) -> set[str]:
    """Return the names of the package's rooms that one of them imports, in functions too."""
    package = repository.ROOT / "solarlab"
    inside = package / room
    found = set()
    for path in inside.glob("*.py") if inside.is_dir() else [package / f"{room}.py"]:
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.ImportFrom):
                named, up = node.module or "", node.level - inside.is_dir()
                if node.level and up == 0:
                    continue  # from the room itself
                if node.level or named.split(".")[0] == "solarlab":
                    rest = named.removeprefix("solarlab").lstrip(".")
                    found |= {rest.split(".")[0]} if rest else {alias.name for alias in node.names}
            elif isinstance(node, ast.Import):
                found |= {
                    alias.name.split(".")[1] for alias in node.names if alias.name.startswith("solarlab.")
                }
    return {name for name in found if (package / f"{name}.py").exists() or (package / name).is_dir()}


def reach(module: str) -> set[str]:
    """Return every module that one leads to."""
    seen, ahead = set(), [module]
    while ahead:
        for name in imports(ahead.pop()) - seen:
            seen.add(name)
            ahead.append(name)
    return seen


@pytest.mark.parametrize("room", sorted(CLOSED))
def test_room_opens_one_way_only(room):
    assert reach(room) & CLOSED[room] == set()


def test_package_never_imports_the_marking_of_a_class():
    for path in (repository.ROOT / "solarlab").rglob("*.py"):
        assert not re.search(
            r"^\s*(from|import) (instructor|lessons|tests)\b", repository.text(path), re.M
        ), path.name


def test_import_loads_neither_figures_nor_widgets():
    heavy = {"matplotlib", "ipywidgets", "IPython"}
    code = f"import sys, solarlab; print([name for name in {heavy} if name in sys.modules])"
    done = subprocess.run(
        [sys.executable, "-W", "error", "-c", code],
        cwd=repository.ROOT,
        capture_output=True,
        text=True,
        check=True,
    )
    assert done.stdout.strip() == "[]"
    assert done.stderr == ""


def test_every_package_that_can_be_installed_is_pinned(project):
    pins = {canonicalize_name(Requirement(pin).name): Requirement(pin) for pin in constraints(project)}
    wanted = [*project["project"]["dependencies"], *project["dependency-groups"]["tests"]]
    seen, ahead = set(), [Requirement(line) for line in wanted]
    while ahead:
        requirement = ahead.pop()
        name = canonicalize_name(requirement.name)
        if name in seen or (requirement.marker and not requirement.marker.evaluate({"extra": ""})):
            continue
        seen.add(name)
        assert name in pins, f"{name} is not pinned in pyproject.toml"
        assert pins[name].specifier.contains(importlib.metadata.version(name)), f"{name} is not at its pin"
        ahead += [Requirement(line) for line in importlib.metadata.requires(name) or []]
    assert len(seen) > 80


def test_pins_are_exact_sorted_and_without_addresses(project):
    pins = constraints(project)
    assert all(re.fullmatch(r"[a-z0-9-]+==[0-9][\w.]*(; [\w ='!<>.]+)?", pin) for pin in pins)
    assert pins == sorted(pins, key=lambda pin: pin.split("==")[0])


def constraints(project: dict) -> list[str]:
    return project["tool"]["uv"]["constraint-dependencies"]


def test_wheel_carries_its_data_and_works_alone(tmp_path):
    build = [sys.executable, "-m", "hatchling", "build", "-t", "wheel", "-d", str(tmp_path)]
    subprocess.run(build, cwd=repository.ROOT, check=True, capture_output=True)
    (wheel,) = tmp_path.glob("*.whl")
    with zipfile.ZipFile(wheel) as archive:
        archive.extractall(tmp_path / "alone")
    data = {path.name for path in (tmp_path / "alone/solarlab/data").iterdir()}
    assert data >= {
        path.name for path in (repository.ROOT / "data").iterdir() if path.suffix in (".toml", ".csv")
    }
    code = (
        "import sys; sys.path.insert(0, sys.argv[1]); from solarlab import catalogue as shelf; "
        "print(shelf.__file__, len(shelf.ovens()), sep='\\n')"
    )
    alone = [sys.executable, "-W", "error", "-c", code, str(tmp_path / "alone")]
    said = subprocess.run(alone, cwd=tmp_path, capture_output=True, text=True, check=True).stdout.split("\n")
    assert Path(said[0]).is_relative_to(tmp_path)
    assert int(said[1]) >= 5


@pytest.mark.parametrize("page", ["README.md", "DEVELOPERS.md"])
def test_links_of_a_page_lead_somewhere(page):
    text = (repository.ROOT / page).read_text(encoding="utf-8")
    links = re.findall(r"\]\(([^)#\s]+)", text)
    missing = [link for link in links if "://" not in link and not (repository.ROOT / link).exists()]
    assert missing == []
    assert all(alt.strip() for alt in re.findall(r"!\[([^\]]*)\]", text)), "a picture without words"


def test_readme_gives_the_two_commands_and_ci_runs_the_second():
    readme = repository.text(repository.ROOT / "README.md")
    assert "python lessons\n" in readme
    assert "python tests\n" in readme
    assert re.search(r"^python3 tests$", repository.text(repository.ROOT / ".ci" / "run"), re.M)


def test_ci_reruns_lessons_cell_by_cell_with_a_time_limit_and_a_file_at_a_time():
    run = repository.text(repository.ROOT / ".ci" / "run")
    assert re.search(r"--network-cut lessons --nbval .*--nbval-cell-timeout \d{2,3}\b", run, re.S)
    assert '"--dist", "loadfile"' in repository.text(repository.ROOT / "tests" / "_run.py")

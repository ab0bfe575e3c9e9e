"""An invented class of thirty, with returns as they come: right, partly right, misled, damaged, missing.

Nobody in it is real.  It shows the whole run on a lesson, and tests and timings use it.
"""

from __future__ import annotations

import io
import json
import random
import re
import tempfile
import zipfile
from collections.abc import Mapping
from pathlib import Path

from solarlab.exercises import Exercise, variant

from . import course
from .release import Release

NAMES = """
    Abeni Achieng Amaru Anahí Asha Bahar Bilal Chipo Dalia Emeka Farah Gita Hakim Inés Jomo Kavya Lien Maribel
    Nadia Olu Paloma Quang Rosa Sefu Tariq Uma Víctor Wanjiru Ximena Zola
""".split()  # noqa: SIM905  a list of thirty would be thirty lines
SEED = 30
SHARES = {"right": 8, "partly": 5, "misconception": 10, "empty": 1, "damaged": 5, "nothing": 1}


def roster() -> str:
    """The class's roster as CSV."""
    lines = ["id,first_name,last_name,email"]
    lines += [f"{_id(n)},{name},Invented,{_id(n)}@example.org" for n, name in enumerate(NAMES)]
    return "\n".join(lines) + "\n"


def invent(folder: Path, lesson: Path) -> Path:
    """Write the class's ``roster.csv`` and what it ``returned`` of a lesson below ``folder``.

    Returns the folder of the returns.
    Raises ValueError where ``folder`` holds something already.
    """
    if folder.exists() and any(folder.iterdir()):
        raise ValueError(f"{folder} is not empty: choose another folder.")
    folder.mkdir(parents=True, exist_ok=True)
    (folder / "roster.csv").write_text(roster(), "utf-8")
    with tempfile.TemporaryDirectory() as name:
        made = course.release(course.create(Path(name, "class"), folder / "roster.csv"), lesson)
        source = json.loads((lesson / f"{lesson.name}.ipynb").read_text("utf-8"))
        returns(made, source, folder / "returned")
    return folder / "returned"


def _id(number: int) -> str:
    return f"demo{number + 1:02d}"


def returns(release: Release, source: Mapping, folder: Path) -> dict[str, str]:
    """Write thirty learners' returns of a released lesson below ``folder``, as folders and zips.

    ``source`` is the lesson's own notebook, whose solutions are the right answers.  Returns learner -> kind.
    """
    right, chance = solutions(source), random.Random(SEED)
    kinds = [kind for kind, count in SHARES.items() for _ in range(count)]
    made = {}
    for number, kind in enumerate(kinds):
        who, place = _id(number), number - kinds.index(kind)
        made[who] = kind
        if kind == "nothing":
            continue
        answers = {"learner": f'learner = "{who}"'}
        if kind != "empty":
            bets = [name for name in right if name.startswith("predict")]
            answers = {**right, **{n: _bet(right[n], release, n, chance) for n in bets}, **answers}
        if kind in ("partly", "misconception"):
            for question in release.questions:
                if question.by_hand:  # the first thought only
                    answers[question.grade_id] = right[question.grade_id].split(". ")[0].rstrip(".") + "."
        if kind == "partly":
            tried = [name for name in answers if name != "learner" and "predict" not in name]
            for name in chance.sample(sorted(tried), len(tried) // 3):
                answers.pop(name)
        if kind == "partly":
            answers.update(list(_misled(release, who, 0).items())[:1])  # what many of a class get wrong
        if kind == "misconception":
            answers.update(_misled(release, who, place))
        data = _filled(release.notebook, answers)
        if kind == "damaged":
            data = _damaged(data, place)
        _hand_in(folder, number, release.lesson, data)
    return made


def _bet(text: str, release: Release, name: str, chance: random.Random) -> str:
    """A bet of one's own: the words that the cell offers, a number not far from the lesson's."""
    labels = [cell["metadata"].get("nbgrader", {}).get("grade_id") for cell in release.cells]
    stub, lines = release.cells[labels.index(name)]["source"], []
    for line in text.split("\n"):
        found = re.fullmatch(r"(\w+) = (.+)", line)
        if not found or "..." in line:
            continue
        variable, value = found.groups()
        offered = re.findall(r'"([^"]+)"', re.search(rf"^{variable} = \.\.\..*", stub, re.MULTILINE)[0])
        if variable.startswith("sure"):
            value = repr(chance.choices(offered, (5, 4, 1))[0])
        elif value.startswith('"') and len(offered) > 1:
            value = repr(chance.choice(offered))
        elif re.fullmatch(r"[\d.]+", value):
            value = f"{float(value) * chance.uniform(0.6, 1.5):.3g}"
        lines.append(f"{variable} = {value}")
    return "\n".join(lines)


def solutions(source: Mapping) -> dict[str, str]:
    """The right answers of a lesson's own notebook, by ``grade_id``."""
    return {
        cell["metadata"]["nbgrader"]["grade_id"]: _solution("".join(cell["source"]))
        for cell in source["cells"]
        if cell["metadata"].get("nbgrader", {}).get("solution")
    }


def _solution(text: str) -> str:
    """The text of a solution cell without nbgrader's marks around it."""
    return "\n".join(line for line in text.split("\n") if "### BEGIN" not in line and "### END" not in line)


def _filled(released: Mapping, answers: Mapping[str, str]) -> bytes:
    notebook = json.loads(json.dumps(released))
    for cell in notebook["cells"]:
        name = cell["metadata"].get("nbgrader", {}).get("grade_id")
        if name in answers:
            cell["source"] = answers[name]
    return json.dumps(notebook, ensure_ascii=False, indent=1).encode()


def _misled(release: Release, who: str, place: int) -> dict[str, str]:
    """Wrong answers of known kinds: among the ten misled learners every kind of every exercise is met, and
    one kind of the first exercise often.
    """
    found, answer = {}, ""
    questions = {question.grade_id: question for question in release.questions}
    for cell in release.cells:
        label = cell["metadata"].get("nbgrader", {})
        answer = label["grade_id"] if label.get("solution") else answer
        question = questions.get(label.get("grade_id"))
        if question is None or question.by_hand:
            continue
        exercise = release.exercise(question)
        turn = (place + list(questions).index(question.grade_id)) % SHARES["misconception"]
        if not found and place >= len(exercise.alternatives):
            turn = 0
        if turn < len(exercise.alternatives):
            found[answer] = f"{exercise.variable} = {_wrong(exercise, who, turn)}"
    return found


def _wrong(exercise: Exercise, who: str, turn: int) -> str:
    """A wrong answer as Python text; wrong functions are borrowed from the lesson, which keeps them."""
    if exercise.kind in ("function", "bug"):
        return f'exercises["{exercise.id.split("/")[-1]}"].alternatives[{turn}].model'
    value = exercise.alternatives[turn].model(variant(exercise, who))
    return repr(float(value) if exercise.kind == "number" else value)


def _damaged(data: bytes, number: int) -> bytes:
    notebook = json.loads(data)
    kind = number % 5
    if kind == 0:
        return data[: int(len(data) * 0.8)]
    if kind == 1:
        notebook["cells"] = [
            c for c in notebook["cells"]
            if not c["metadata"].get("nbgrader", {}).get("grade") or c["metadata"]["nbgrader"]["solution"]
        ]  # fmt: skip
    elif kind == 2:
        for cell in notebook["cells"]:
            cell["metadata"] = {}
    elif kind == 3:
        notebook["cells"] = [copy for cell in notebook["cells"] for copy in (cell, cell)]
    else:
        return b"<!DOCTYPE html><title>Sign in</title>"
    return json.dumps(notebook).encode()


def _hand_in(folder: Path, number: int, lesson: str, data: bytes) -> None:
    """As it comes: a folder, a folder with a name, a zip, a file named by its owner."""
    who, name, way = _id(number), NAMES[number], number % 4
    if way == 3:
        packed = io.BytesIO()
        with zipfile.ZipFile(packed, "w", zipfile.ZIP_DEFLATED) as archive:
            archive.writestr(f"my lesson/{lesson}.ipynb", data)
        path, data = folder / f"Invented {name}_{1000 + number}_file_.zip", packed.getvalue()
    else:
        inside = {
            0: f"{who}/{lesson}.ipynb",
            1: f"{name} Invented/{lesson} (1).ipynb",
            2: f"loose/{who} work.ipynb",
        }
        path = folder / inside[way]
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_bytes(data)

"""What a lesson's learners were given, as the marker needs it: cells, questions, public files, trusted
exercises.

A test cell of a released lesson ends with ``mark(EXERCISE, LEARNER, ANSWER)``.  The marker never runs that
line.  It reads from it which exercise is meant and which expression holds the answer, has the box hand the
answer over, and judges it outside.
"""

from __future__ import annotations

import ast
import functools
import hashlib
import json
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from solarlab.exercises import Exercise, Lesson
from solarlab.exercises import lesson as load_lesson

SKIPPED = {"__pycache__", ".ipynb_checkpoints"}


@dataclass(frozen=True)
class Question:
    """A graded cell; ``points`` is its maximum.

    ``who`` and ``expression`` are the expressions of the learner's id and of the answer.  They and
    ``exercise`` are empty where a person marks.
    """

    grade_id: str
    points: float
    exercise: str = ""
    who: str = ""
    expression: str = ""

    @property
    def by_hand(self) -> bool:
        """Whether a person marks this one."""
        return not self.exercise


@dataclass(frozen=True)
class Release:
    """One released lesson.  ``notebook`` is nbformat 4 as plain JSON, with no hidden test and no solution in
    it.

    ``folder`` holds the released files; ``trusted`` is the lesson's own folder, never shown to learners'
    code.
    """

    lesson: str
    notebook: Mapping
    questions: tuple[Question, ...]
    folder: Path
    trusted: Path
    fingerprint: str

    @property
    def cells(self) -> list[dict]:
        """The released cells."""
        return self.notebook["cells"]

    def exercises(self) -> Lesson:
        """The lesson's exercises, loaded from the trusted folder."""
        return _exercises(str(self.trusted), self.fingerprint)

    def asked(self) -> list[Exercise]:
        """The exercises whose questions stand in the released notebook, in its order."""
        found = [
            self.exercise(each) if each.exercise else self.explanation(each.grade_id)
            for each in self.questions
        ]
        return [exercise for exercise in found if exercise is not None]

    def exercise(self, question: Question) -> Exercise:
        """The exercise a question is about."""
        return self.exercises()[question.exercise]

    def explanation(self, question_id: str) -> Exercise | None:
        """The exercise with the rubric of a question that a person marks: the one its grade_id is named
        after.
        """
        written = [exercise for exercise in self.exercises().values() if exercise.kind == "explanation"]
        named = [each for each in written if each.id.split("/")[-1] == question_id.rsplit("-", 1)[0]]
        found = named or (written if len(written) == 1 else [])
        return found[0] if found else None


@functools.lru_cache(maxsize=64)
def _exercises(folder: str, fingerprint: str) -> Lesson:
    return load_lesson(folder)


def read_release(folder: Path, trusted: Path) -> Release:
    """Read the released lesson in ``folder`` (``NAME/NAME.ipynb``); ``trusted`` is its source folder.

    Raises ValueError where the lesson could not be marked: a test cell without ``mark(...)``, an unknown
    exercise, points that differ from the exercise's, or a hidden test left in.
    """
    path = folder / f"{folder.name}.ipynb"
    notebook = json.loads(path.read_text("utf-8"))
    for cell in notebook["cells"]:
        cell["source"] = "".join(cell.get("source", ""))
    known = load_lesson(trusted)
    questions = []
    for cell in notebook["cells"]:
        label = cell.get("metadata", {}).get("nbgrader", {})
        if not label.get("grade"):
            continue
        if "BEGIN HIDDEN TESTS" in cell["source"]:
            raise ValueError(
                f"{folder.name}: {label['grade_id']} still holds a hidden test; release it again"
            )
        if label.get("solution"):
            questions.append(Question(label["grade_id"], float(label["points"])))
            continue
        name, who, expression = read_mark(cell["source"], f"{folder.name}: {label['grade_id']}")
        exercise = known[name]
        if float(exercise.points) != float(label["points"]):
            raise ValueError(
                f"{folder.name}: {label['grade_id']} is worth {label['points']} points in the notebook "
                f"and {exercise.points} in exercises.py; make them equal"
            )
        questions.append(Question(label["grade_id"], float(label["points"]), exercise.id, who, expression))
    return Release(folder.name, notebook, tuple(questions), folder, trusted, _fingerprint(path, trusted))


def read_mark(source: str, where: str) -> tuple[str, str, str]:
    """Exercise, learner and answer of a test cell's ``mark(exercises["name"], LEARNER, ANSWER)``, as text."""
    for node in reversed(ast.parse(source).body):
        call = node.value if isinstance(node, (ast.Expr, ast.Assign)) else None
        name = getattr(getattr(call, "func", None), "id", getattr(getattr(call, "func", None), "attr", ""))
        if not isinstance(call, ast.Call) or name != "mark" or len(call.args) != 3:
            continue
        which = call.args[0].slice if isinstance(call.args[0], ast.Subscript) else call.args[0]
        if isinstance(which, ast.Constant) and isinstance(which.value, str):
            return which.value, ast.unparse(call.args[1]), ast.unparse(call.args[2])
    raise ValueError(f'{where}: a test cell must end with mark(exercises["name"], learner, answer)')


def _fingerprint(path: Path, trusted: Path) -> str:
    """Changes whenever the released notebook or any file of the lesson changes."""
    digest = hashlib.sha256(path.read_bytes())
    for file in sorted(trusted.rglob("*")):
        if file.is_file() and not SKIPPED & set(file.parts):
            digest.update(str(file.relative_to(trusted)).encode())
            digest.update(file.read_bytes())
    return digest.hexdigest()

"""Finding and loading a lesson's exercises, which lie beside its notebook as ``exercises.py``."""

from __future__ import annotations

import difflib
import os
import sys
import types
from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from .glossary import Text, meaning, terms

if TYPE_CHECKING:
    from .exercises import Exercise


class Lesson(Mapping):
    """The exercises of one lesson by id, or by the part of it after the slash, in the lesson's order.

    ``module`` is what they were loaded from.
    """

    def __init__(self, name: str, exercises: Sequence[Exercise], module: types.ModuleType | None = None):
        self.name, self.module = name, module
        self._exercises = {exercise.id: exercise for exercise in exercises}

    def __getitem__(self, key: str) -> Exercise:
        for name, exercise in self._exercises.items():
            if key in (name, name.split("/")[-1]):
                return exercise
        near = difflib.get_close_matches(str(key), [name.split("/")[-1] for name in self._exercises], 1)
        meant = f"; did you mean {near[0]!r}?" if near else ""
        raise KeyError(f"no exercise {key!r} in {self.name}{meant}")

    def meaning(self, word: str = "") -> Text:
        """What a word of the course means, and which lesson explains it; without a word, all of them.

        The words of the lessons that lie beside this one, and of those the package has beside it.
        """
        here = Path(getattr(self.module, "__file__", None) or ".").resolve().parent
        return meaning(word, terms(here.parent, Path(__file__).resolve().parents[1] / "lessons"))

    def __iter__(self) -> Iterator[str]:
        return iter(self._exercises)

    def __len__(self) -> int:
        return len(self._exercises)


def lesson(name: str | os.PathLike = ".") -> Lesson:
    """Load a lesson's ``exercises.py``: its folder, the file itself, or a name such as ``"07-dry-egg"``.

    A name is looked for beside and above the working folder, under ``lessons/`` there, and in the repository
    the package runs from.  The file is run, so load only the course's own and your teacher's.
    """
    given = Path(name)
    roots = [Path.cwd(), *Path.cwd().parents[:3], Path(__file__).resolve().parents[1]]
    tried = [given, given / "exercises.py"]
    if len(given.parts) == 1 and str(given) != ".":
        tried += [root / part / given / "exercises.py" for root in roots for part in ("", "lessons")]
    for path in tried:
        if path.is_file() and path.suffix == ".py":
            break
    else:
        raise FileNotFoundError(f"no lesson {str(name)!r}: give its folder, or a name such as '07-dry-egg'")
    module = beside(path, path.stem)
    return Lesson(path.resolve().parent.name, module.LESSON, module)


def beside(file: str | os.PathLike, name: str) -> types.ModuleType:
    """The module ``name``.py that lies beside ``file``: how the files of one lesson import each other."""
    path = Path(file).resolve().with_name(f"{name}.py")
    module = types.ModuleType(f"lesson {path.parent.name} {name}")
    module.__file__ = str(path)
    sys.modules[module.__name__] = module  # dataclasses look their module up
    exec(compile(path.read_text("utf-8"), str(path), "exec"), module.__dict__)
    return module

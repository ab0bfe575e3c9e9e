"""Rebuild a returned notebook from the release, keeping every piece of the learner's work, told in words.

The release decides the tests, the points and the order; the learner decides what stands in the answer cells
and whatever they added.  Cells find their place by ``grade_id``; where that is lost, by cell id, by text, by
the names they define, and last by the place they stand in.
"""

from __future__ import annotations

import ast
import contextlib
import itertools
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass

from .notebook import Cell, Change, NotMarkable
from .release import Release

EXTRA_LIMIT = 10_000  # cells of the learner's own that are run


@dataclass(frozen=True)
class Built:
    """A cell of the rebuilt notebook.

    ``role``: "answer", "test", "locked" or "plain" as released, "extra" for the learner's own, "kept" for
    text that is shown but not run.  ``released`` is the released cell, or None.  ``untouched``: an answer as
    it was given out.
    """

    kind: str
    source: str
    role: str
    released: dict | None = None
    untouched: bool = False

    @property
    def grade_id(self) -> str:
        """nbgrader's name for the cell, or nothing."""
        return (self.released or {}).get("metadata", {}).get("nbgrader", {}).get("grade_id", "")


def role(cell: dict) -> str:
    """What a released cell is for: "answer", "test", "locked" or "plain"."""
    label = cell.get("metadata", {}).get("nbgrader", {})
    if label.get("solution"):
        return "answer"
    if label.get("grade"):
        return "test"
    return "locked" if label.get("locked") else "plain"


def rebuild(cells: Sequence[Cell], release: Release) -> tuple[list[Built], list[Change]]:
    """Return the cells to run, in the release's order, and every change in words.

    Raises NotMarkable when not one of the lesson's questions can be found in the notebook.
    """
    changes: list[Change] = []
    places = _match(cells, release, changes)
    asked = [i for i, cell in enumerate(release.cells) if role(cell) in ("answer", "test")]
    if not any(places[i] for i in asked):
        raise NotMarkable(
            f"None of the questions of {release.lesson} is in this notebook: it seems to be another one. "
            f"Send the notebook named {release.lesson}.ipynb."
        )
    chosen: dict[int, int] = {}  # learner's cell -> released cell
    shown: dict[int, list[Built]] = defaultdict(list)
    for i, released in enumerate(release.cells):
        built, used, kept = _place(released, [cells[k] for k in places[i]], places[i], changes)
        shown[i] = [built, *kept]
        chosen.update({k: i for k in used})
    dropped = {k for found in places.values() for k in found} - set(chosen)
    _check_order([chosen[k] for k in sorted(chosen)], changes)
    after: dict[int, list[Built]] = defaultdict(list)
    anchor, extras = -1, 0
    for k, cell in enumerate(cells):
        if k in chosen:
            anchor = chosen[k]
            continue
        if k in dropped and not _another_try(cell, release):
            continue
        extras += 1
        runs = cell.kind != "raw" and extras <= EXTRA_LIMIT
        after[anchor].append(Built(cell.kind if runs else "raw", cell.source, "extra" if runs else "kept"))
    if extras > EXTRA_LIMIT:
        changes.append(
            Change("too-many-cells", f"{extras - EXTRA_LIMIT} cells of your own were kept but not run.")
        )
    result = list(after[-1])
    for i in range(len(release.cells)):
        result += shown[i] + after[i]
    return result, changes


def _match(cells: Sequence[Cell], release: Release, changes: list[Change]) -> dict[int, list[int]]:
    """Released cell -> the learner's cells that claim to be it, in the learner's order."""
    places: dict[int, list[int]] = {i: [] for i in range(len(release.cells))}
    free = dict.fromkeys(range(len(cells)))
    names = {
        c["metadata"]["nbgrader"]["grade_id"]: i for i, c in enumerate(release.cells) if role(c) != "plain"
    }
    for k, cell in enumerate(cells):
        if cell.grade_id in names:
            places[names[cell.grade_id]].append(k)
            free.pop(k)

    def take(i: int, k: int, how: str) -> None:
        places[i].append(k)
        free.pop(k)
        if role(release.cells[i]) != "plain":
            name = release.cells[i]["metadata"]["nbgrader"]["grade_id"]
            changes.append(
                Change("unlabelled", f"The cell “{name}” had lost its label; found again by {how}.", name)
            )

    by_id, by_text = defaultdict(list), defaultdict(list)
    for k in free:
        by_id[cells[k].id].append(k)
        by_text[cells[k].source.strip()].append(k)
    for lookup, key, how in ((by_id, "id", "its number"), (by_text, "source", "its text")):
        for i, released in enumerate(release.cells):
            value = str(released.get(key, "")).strip()
            left = [k for k in lookup.get(value, ()) if k in free] if value and not places[i] else []
            if left:
                take(i, left[0], how)
    answers = [i for i, cell in enumerate(release.cells) if role(cell) == "answer" and not places[i]]
    if answers and free:
        made = {k: defined_names(cells[k].source) for k in free}
        for i in answers:
            wanted = _wanted(i, release)
            left = [k for k in free if wanted & made[k]]
            if left:
                take(i, left[-1], "the name it defines")  # the last one decides what the name means
    for i in answers:
        left = [] if places[i] else _gap(i, places, free, len(cells))
        if len(left) == 1 and cells[left[0]].source.strip():
            take(i, left[0], "its place")
    return places


def _gap(i: int, places: dict[int, list[int]], free: dict, count: int) -> list[int]:
    """The learner's free cells between the nearest found cells before and after released cell ``i``."""
    before = max((k for j in range(i) for k in places[j]), default=-1)
    following = [min(places[j]) for j in range(i + 1, len(places)) if places[j]]
    after = min((k for k in following if k > before), default=count)
    return [k for k in free if before < k < after]


def _place(
    released: dict, found: list[Cell], numbers: list[int], changes: list[Change]
) -> tuple[Built, list[int], list[Built]]:
    """The rebuilt cell, which of the learner's cells it uses, and text kept beside it."""
    kind, what, stub = released["cell_type"], role(released), released["source"]
    name = released.get("metadata", {}).get("nbgrader", {}).get("grade_id", "")
    if not found:
        if what != "plain" or kind == "code":
            words = f"The {what} cell “{name}” was missing and was put back."
            if what == "answer":
                words = f"The answer cell “{name}” was missing, so that question counts as not attempted."
            elif what == "plain":
                words = "A code cell of the lesson was missing and was put back."
            changes.append(Change(f"deleted-{what}", words, name))
        return Built(kind, stub, what, released, what == "answer"), [], []
    if what == "plain":
        source = found[0].source if found[0].kind == kind else stub
        kept = [] if source is found[0].source else [Built("raw", found[0].source, "kept")]
        return Built(kind, source, what, released), numbers[:1], kept
    if any(cell.kind != kind for cell in found):
        changes.append(
            Change("retyped", f"The cell “{name}” had become {found[0].kind}; it is {kind} again.", name)
        )
    if what in ("test", "locked"):
        return _restore(released, found, numbers, changes)
    tried = [k for k, cell in zip(numbers, found, strict=True) if cell.source.strip() != stub.strip()]
    if len(found) > 1:
        words = f"The answer cell “{name}” was there {len(found)} times; nothing of it was lost."
        changes.append(Change("duplicated", words, name))
    label = released["metadata"]["nbgrader"]
    if label.get("grade") and len(tried) > 1:  # a person marks: all of the text, in one place
        texts = list(dict.fromkeys(found[numbers.index(k)].source.strip() for k in tried))
        return Built(kind, "\n\n".join(texts), what, released), numbers, []
    if not tried:
        return Built(kind, stub, what, released, True), numbers, []
    return Built(kind, found[numbers.index(tried[-1])].source, what, released), tried[-1:], []


def _restore(
    released: dict, found: list[Cell], numbers: list[int], changes: list[Change]
) -> tuple[Built, list[int], list[Built]]:
    """A test or locked cell as it was released; what the learner made of it is kept, not run."""
    label, stub, what = released["metadata"]["nbgrader"], released["source"], role(released)
    name = label["grade_id"]
    altered = [cell.source for cell in found if cell.source.strip() != stub.strip()]
    if altered:
        words = f"The {what} cell “{name}” had been changed; the released one counts."
        changes.append(Change(f"changed-{what}", words, name))
    if len(found) > 1:
        changes.append(Change("duplicated", f"The {what} cell “{name}” was there {len(found)} times.", name))
    if label.get("grade") and any(c.label and c.label.get("points") != label["points"] for c in found):
        words = f"The points of “{name}” had been changed; it is worth {label['points']:g} points."
        changes.append(Change("changed-points", words, name))
    kept = [Built("raw", source, "kept") for source in dict.fromkeys(altered) if source.strip()]
    return Built(released["cell_type"], stub, what, released), numbers, kept


def _another_try(cell: Cell, release: Release) -> bool:
    """Whether a second copy of an answer cell holds work: an untouched one must not wipe an answer out
    again.
    """
    stubs = [released["source"].strip() for released in release.cells]
    return cell.source.strip() not in stubs


def _check_order(order: list[int], changes: list[Change]) -> None:
    if any(a > b for a, b in itertools.pairwise(order)):
        changes.append(Change("reordered", "Cells had been moved; they were run in the order of the lesson."))


def _wanted(i: int, release: Release) -> set[str]:
    """Names an answer cell is to define: those of its stub, and those its test cell asks for."""
    names = defined_names(release.cells[i]["source"])
    expressions = {question.grade_id: question.expression for question in release.questions}
    for cell in release.cells[i + 1 :]:
        if role(cell) == "answer":
            break
        expression = expressions.get(cell.get("metadata", {}).get("nbgrader", {}).get("grade_id", ""))
        if expression:
            names |= {node.id for node in ast.walk(ast.parse(expression)) if isinstance(node, ast.Name)}
    return names


def defined_names(source: str) -> set[str]:
    """Names that a cell assigns or defines at its top level; none if it is no Python."""
    names: set[str] = set()
    with contextlib.suppress(SyntaxError, ValueError, RecursionError, MemoryError):
        for node in ast.parse(source[:20_000]).body:
            if isinstance(node, (ast.FunctionDef, ast.ClassDef)):
                names.add(node.name)
            elif isinstance(node, ast.Assign):
                names |= {target.id for target in node.targets if isinstance(target, ast.Name)}
            elif isinstance(node, ast.AnnAssign) and isinstance(node.target, ast.Name):
                names.add(node.target.id)
    return names

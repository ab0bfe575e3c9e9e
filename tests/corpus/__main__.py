"""Write the corpus for a notebook of any nbgrader course: damaged and hostile returns, and what each costs.

    python -m tests.corpus RELEASED.ipynb FILLED_IN.ipynb FOLDER

RELEASED is what nbgrader gave out, FILLED_IN the same with right answers.  FOLDER then holds
damaged/NAME.ipynb, hostile/NAME.ipynb and expected.csv.  An attack goes before the answer in the first answer
cell; where it replaces the answer, the name that cell defines last is taken.
"""

from __future__ import annotations

import ast
import csv
import json
import sys
from pathlib import Path

import nbformat

from tests.corpus import damaged, hostile
from tests.corpus.returns import Notebook, changed, find, packed

OTHER = {
    "cells": [nbformat.v4.new_code_cell("eggs = 12", id="eggs")],
    "metadata": {},
    "nbformat": 4,
    "nbformat_minor": 5,
}


def attacked(good: Notebook, attack: hostile.Attack, places: list[str]) -> Notebook:
    """A good return with an attack in its first answer cell."""
    at = damaged.shape(good).answer
    right = find(good, at)["source"]
    own = attack.instead.replace("ANSWER", defined(right)) or right
    source = attack.before.replace("PLACES", repr(places)) + own
    return changed(good, lambda notebook: find(notebook, at).update(source=source))


def defined(source: str) -> str:
    """The name that a cell defines last."""
    for node in reversed(ast.parse(source).body):
        if isinstance(node, ast.Assign) and isinstance(node.targets[0], ast.Name):
            return node.targets[0].id
        if isinstance(node, (ast.FunctionDef, ast.ClassDef)):
            return node.name
    raise ValueError("The first answer cell defines no name, so no attack can take its answer's place.")


def write(released: Notebook, good: Notebook, folder: Path, places: list[str]) -> int:
    """Write all returns below ``folder``; return how many."""
    rows = [("file", "may cost", "must be said")]
    for kind in ("damaged", "hostile"):
        (folder / kind).mkdir(parents=True, exist_ok=True)
    for case in damaged.cases(good, released, OTHER):
        (folder / "damaged" / f"{case.name}.ipynb").write_bytes(case.data)
        cost = "; ".join(f"{name}: {score:g}" for name, score in case.costs.items())
        said = case.why or " ".join(sorted(case.codes))
        rows.append((f"damaged/{case.name}", "not marked" if case.why else cost, said))
    at = damaged.shape(good).answer
    for attack in hostile.ATTACKS:
        (folder / "hostile" / f"{attack.name}.ipynb").write_bytes(packed(attacked(good, attack, places)))
        rows.append((f"hostile/{attack.name}", f"{at}: 0" if attack.costs else "", ""))
    with (folder / "expected.csv").open("w", encoding="utf-8", newline="") as file:
        csv.writer(file, lineterminator="\n").writerows(rows)
    return len(rows) - 1


def main(words: list[str]) -> int:
    """The command line."""
    if len(words) != 3:
        print(__doc__)
        return 2
    released, good = (json.loads(Path(word).read_text("utf-8")) for word in words[:2])
    for notebook in (released, good):
        for cell in notebook["cells"]:
            cell["source"] = "".join(cell["source"])
    print(f"{write(released, good, Path(words[2]), [words[0]])} returns below {words[2]}")
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))

"""How long a lesson takes at the screen, worked out from the lesson itself.  Nobody was timed: an estimate.

Reading is counted in words, running was measured, and for what a person thinks about there is a time by kind
of exercise, which is ours.  Time outside is the lesson's own word and is not in here.
"""

from __future__ import annotations

import re
import time
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from pathlib import Path

from nbformat import NotebookNode

from lessons import _notebooks
from solarlab.exercises import Exercise, lesson

# Brysbaert 2019, "How many words do we read per minute?", J. of Memory and Language 109: adults reading
# English silently, non-fiction, 238 words a minute [from memory].
WORDS_A_MINUTE = 238.0
BET, BENCH = 2.0, 8.0  # min, ours: a prediction with its sureness; a bench with what it asks to find out
EXERCISE = {"number": 5.0, "choice": 2.0, "plan": 10.0, "explanation": 10.0, "function": 15.0, "bug": 10.0}
PARTS = ("reading", "bets", "benches", "exercises", "code")
NO_CODE = PARTS[:4]
LATER = re.compile(r"#+ If you have more time\b")  # begins the cell at which a lesson may be left
UNREAD = re.compile(r"```.*?```|`[^`]*`|<[^>]*>|\]\([^)]*\)|[|*_#>~-]+", re.S)  # code, marks, addresses


@dataclass(frozen=True)
class Minutes:
    """Minutes of a lesson at the screen, by part; ``reading`` holds the seconds its cells run, too."""

    reading: float
    bets: float
    benches: float
    exercises: float
    code: float

    def of(self, parts: Iterable[str] = NO_CODE) -> int:
        """Minutes that these parts take together, to the nearest five: no nearer is honest."""
        return to_five(sum(getattr(self, part) for part in parts))


def to_five(exact: float) -> int:
    """Minutes to the nearest five, and five for what takes any time at all."""
    return max(5 * round(exact / 5.0), 5 if exact > 0 else 0)


def minutes(folder: Path, seconds: float) -> Minutes:
    """The minutes of the lesson in ``folder``, whose cells ran for ``seconds`` in all."""
    notebook = _notebooks.read(folder / f"{folder.name}.ipynb")
    return estimate(notebook, lesson(folder), seconds)


def first_sitting(folder: Path, seconds: float) -> Minutes | None:
    """The minutes of what stands above *If you have more time*; ``None`` for a lesson without that heading.

    The same rule as for the whole, and all seconds that its cells run, those below included.
    """
    notebook = _notebooks.read(folder / f"{folder.name}.ipynb")
    later = (count for count, cell in enumerate(notebook.cells) if LATER.match(cell.source))
    if (end := next(later, None)) is None:
        return None
    notebook.cells = notebook.cells[:end]
    answered = {cell.metadata.get("nbgrader", {}).get("grade_id") for cell in notebook.cells}
    exercises = {
        name: each
        for name, each in lesson(folder).items()
        if f"{each.id.split('/')[-1]}-answer" in answered
    }
    return estimate(notebook, exercises, seconds)


def estimate(notebook: NotebookNode, exercises: Mapping[str, Exercise], seconds: float) -> Minutes:
    """The same from a notebook and its exercises."""
    asked = [e for e in exercises.values() if e.track == "no-code"]
    coded = [e for e in exercises.values() if e.track == "code"]
    code = [cell.source for cell in notebook.cells if cell.cell_type == "code"]
    words = sum(count_words(cell.source) for cell in notebook.cells if _is_text(cell))
    words += sum(count_words(" ".join([e.question, *e.choices.values()])) for e in exercises.values())
    return Minutes(
        reading=words / WORDS_A_MINUTE + seconds / 60.0,
        bets=BET * sum(bool(re.search(r"= benches\.bet_\w+\(", source)) for source in code),
        benches=BENCH * sum(bool(re.match(r"benches\.\w+\(", source)) for source in code),
        exercises=sum(EXERCISE[e.kind] for e in asked),
        code=sum(EXERCISE[e.kind] for e in coded),
    )


def count_words(text: str) -> int:
    """Words of a text without its code, its signs of Markdown and the addresses of its links."""
    return len(re.findall(r"\w[\w'’.,:°%-]*", UNREAD.sub(" ", text)))


def measure(folder: Path) -> int:
    """Seconds, rounded up, that a clean run of a lesson takes here and now, its kernel's start included."""
    start = time.perf_counter()
    _notebooks.run(_notebooks.read(folder / f"{folder.name}.ipynb"), folder)
    return int(time.perf_counter() - start) + 1


def outside(folder: Path) -> tuple[str, str]:
    """What the lesson says of its walk outside, with an oven and without one: ``"an hour, two people"``."""
    notebook = _notebooks.read(folder / f"{folder.name}.ipynb")
    text = "\n".join(cell.source for cell in notebook.cells if cell.cell_type == "markdown")
    found = [re.search(rf"^### {word} an oven\b.*\((.+)\)$", text, re.M) for word in ("With", "Without")]
    if None in found:
        raise ValueError(f"{folder.name} does not say how long it takes outside, with and without an oven.")
    return found[0][1], found[1][1]


def _is_text(cell: NotebookNode) -> bool:
    """Whether a learner reads this cell: an answer written as an example they never see."""
    return cell.cell_type == "markdown" and not cell.metadata.get("nbgrader", {}).get("solution", False)

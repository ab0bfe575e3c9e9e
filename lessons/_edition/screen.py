"""What a lesson says to somebody at its screen, left out for those who read it on paper.

Whole paragraphs go, never part of one: those that speak of keys and of cells to run, and the list that such a
paragraph introduces.  What stands under an exercise's own heading always stays.  A cell tagged ``screen`` is
left out whole.
"""

from __future__ import annotations

import re

TAG = "screen"
KEYS = (
    "Shift + Enter", "Ctrl + S", "`print(hint(", "`hint(exercises", "cell above", "new cell",
    "all cells again", "brackets to the left of the cell", "place of the dots", "the reply is your points",
    "Who are you?", "id your teacher gave", "between the quotes",
)  # fmt: skip
SAID = {  # how an explanation is written, at a screen and on paper
    "Click the cell below twice, write, and press Shift + Enter.": "Write it down.",
    "Click the cell below twice and write": "Write",
    "in the cell below (click it twice), five": "down, five",
}
EXERCISE = re.compile(r"#+ \d+ · ")
LIST = re.compile(r"[-*+] |\d+\. ")
FENCE = re.compile(r"```|~~~")


def for_paper(source: str, tags: frozenset[str] = frozenset()) -> str:
    """The markdown of a cell without what only helps at a screen; ``""`` if nothing is left of it."""
    if TAG in tags:
        return ""
    kept, dropped, exercise = [], False, False
    for block in map(rewritten, blocks(source)):
        exercise = (exercise and not block.startswith("#")) or bool(EXERCISE.match(block))
        goes = not exercise and not block.startswith(("#", "|", ">")) and speaks_of_keys(block)
        if goes or (dropped and LIST.match(block)):
            dropped = flat(block).endswith(":")
            continue
        dropped = False
        kept.append(block)
    return "\n\n".join(kept)


def blocks(source: str) -> list[str]:
    """Paragraphs, lists, tables and headings, as they stand between empty lines; fenced code is one."""
    found: list[str] = []
    inside = False
    for block in re.split(r"\n\s*\n", source.strip()):
        if inside:
            found[-1] += f"\n\n{block}"
        else:
            found.append(block)
        inside ^= len(FENCE.findall(block)) % 2 == 1
    return found


def rewritten(block: str) -> str:
    """A block with what it says of clicking said for a pencil."""
    for screen, paper in SAID.items():
        block = re.sub(r"\s+".join(map(re.escape, screen.split())), paper, block)
    return block


def speaks_of_keys(block: str) -> bool:
    return any(key in flat(block) for key in KEYS)


def flat(block: str) -> str:
    """A block without bold marks and line ends, so that a phrase is found wherever its line broke."""
    return " ".join(block.replace("**", "").split())

"""The table of sayings against model, as CSV and as a page made from that CSV.

``python -m tests.published.sayings_table`` computes every row and writes both into data/.
"""

from __future__ import annotations

import csv
import io
import math
import os
from pathlib import Path

from tests.published._saying import CLEAR, DRAWS, NEVER, Row

DATA = Path(__file__).resolve().parents[2] / "data"
TABLE, PAGE = DATA / "sayings.csv", DATA / "sayings.md"
COLUMNS = (
    "key", "saying", "condition", "quantity", "unit", "said_from", "said_to",
    "model_10", "model_50", "model_90", "verdict", "dangerous", "note",
)  # fmt: skip
DIGITS = {"°C": 0, "°": 0, "min": 0, "%": 0, "h": 1, "ratio": 2, "1": 2}
AGREES, DISAGREES, CONTRADICTED = "agrees", "disagrees", "contradicted"

# What a saying with which the model, somewhere, does not agree teaches.  No numbers: those are in the table.
LESSONS = {
    "Wind costs more than people think.": (
        "It depends on the glass.  A single hot pane over an empty box loses more to wind than to a cold "
        "day.  Two panes, or a pot that is still cold and keeps the pane cool, take most of the wind's hold "
        "away: there the cold day costs more.  Wind also rocks mirrors and blows through seals, which the "
        "model does not count."
    ),
    "A glass pot takes about a tenth longer than thin dark enamelled steel.": (
        "Longer it is, but in the model nearer a fifth.  Thick glass is heavy, insulates, and lets less "
        "through to the food than a dark pot would catch.  What the food inside looks like counts, too."
    ),
    "A shiny pot takes clearly longer than thin dark enamelled steel.": (
        "It does; but in the model a glass pot is about as slow.  A polished pot gives up sunlight, yet "
        "takes much of its heat from hot air and from the tray it stands on.  With a fifth of the contact "
        "between pot and tray the shiny pot becomes the slowest of the three; the dark pot loses least."
    ),
    "Rice, pasta and sauces take about a third less water than on a stove.": (
        "Only what boils off can be saved, and most of the water given to rice stays in the rice.  Pasta at "
        "a rolling boil without a lid, and a sauce that simmers open, lose enough for the saying to hold.  "
        "The stronger the box, the less is saved: it boils too.  Start rice with nearly its usual water."
    ),
    "A loaf of 45-60 kitchen minutes takes 2-2.5 h where a veil of cloud holds the box near 90-110 °C.": (
        "In proportion it holds: the crumb takes as many times longer than in a kitchen oven as the saying "
        "has it.  In minutes it does not: the model's kitchen loaf is set inside in about half of a baker's "
        "time.  The rule of doneness measures the middle of the crumb and nothing else.  A baker also waits "
        "for crust and colour, often with a bigger loaf."
    ),
    "A loaf baked so is none the worse.": (
        "The starch is set, by the same count of heat; but a moist dough gives off water and stays well "
        "below the box, so its middle need not reach what a kitchen loaf's does.  In the model all of its "
        "water must go before any of it passes the boil; a real crust dries first, and then the middle gets "
        "hotter.  Of crust and colour the model says nothing.  Judge the loaf by its own thermometer, not "
        "by the box's."
    ),
    "A frozen chicken can be left in the oven all day.": (
        "Left to itself, the skin is warm for longer than the clock allows before the middle is hot, in a "
        "good box under a clear sky; cloud makes it worse.  Even turned by hand all morning, the strongest "
        "box comes only near the limit.  Nobody can see the middle, so it is refused: thaw in the cold first."
    ),
    "The glass cannot burn you.": (
        "A single pane burns in seconds, and so does the inner pane of every double-glazed box when the lid "
        "opens.  Only the outer pane of a weak double-glazed box may stay below the limit, most of all with "
        "a full pot in it.  Nobody should learn from that one that glass is safe."
    ),
}

INTRODUCTION = """# What people say, and what the model says

This page is made by `python -m tests.published.sayings_table` from `sayings.csv`; a test computes every
number again.  Change neither by hand.

Sayings of the trade are *common practice, no source*, and how we read them as numbers is our own reading.
The catalogue was finished first; then each saying was computed, with {draws} draws or more from the spreads
that the catalogue states for oven, pot and food, and from the weather and the load that the saying leaves
open.  A saying **agrees** if it overlaps the range from 10 to 90 % of the draws.  Where it does not, the
model stays as it is and the saying stays in the table: it makes a lesson.  "Never" means not that day.

*Clear day* stands for: {clear}.

A model says only what to expect.  *Safe* needs a thermometer, and local food-safety rules come first.

"""

CAVEATS = """## Before leaning on this table

- One place and one day for most rows.  Elsewhere minutes and degrees differ: compute your own.
- Nobody opens the lid, the sky stays as it is, every aim is within two degrees.
- The box has one cavity temperature: no hot and cold corners.  The tray under a pot lies in its shade; the
  model counts what a thin tray can carry there as for a fin.
- Wind takes heat from the glass only: it blows no harder through seals and cools the walls no more.
- Solid food stays below boiling in the model until all of its water has gone, and chars after that.  Dry
  seeds are counted as so much warm metal, and long bakes stay too moist.
- The stove and the kitchen oven are stated, not measured (`tests/published/_kitchen.py`).
"""


def rounded(row: Row) -> tuple[str, ...]:
    """The model's three numbers as written: rounded for the unit, "never" where it never comes."""
    digits = DIGITS[row.unit]

    def written(value: float) -> str:
        return "never" if value == NEVER else f"{round(value, digits) + 0.0:.{digits}f}"

    return tuple(written(value) for value in row.model)


def verdict(row: Row) -> str:
    if row.agrees:
        return AGREES
    return CONTRADICTED if row.dangerous else DISAGREES


def cells(key: str, row: Row) -> dict[str, str]:
    """One row of the table, as text."""
    ends = ("" if math.isinf(end) else f"{round(end, 2):g}" for end in row.said)
    texts = (key, row.saying, row.condition, row.quantity, row.unit, *ends, *rounded(row), verdict(row))
    return dict(zip(COLUMNS, (*texts, "yes" if row.dangerous else "no", row.note), strict=True))


def csv_text(rows: dict[str, Row]) -> str:
    out = io.StringIO()
    writer = csv.DictWriter(out, COLUMNS, lineterminator="\n")
    writer.writeheader()
    writer.writerows(cells(key, row) for key, row in rows.items())
    return out.getvalue()


def read(text: str) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(text)))


def _said(line: dict[str, str]) -> str:
    low, high = line["said_from"], line["said_to"]
    unit = "" if line["unit"] in ("ratio", "1") else f" {line['unit']}"
    if not high:
        return f"{low}{unit} or more"
    return f"up to {high}{unit}" if low == "0" else f"{low} to {high}{unit}"


def _section(saying: str, lines: list[dict[str, str]]) -> str:
    """The page's part on one saying: under which conditions it was computed, and what came out."""
    danger = "**Dangerous.**  " if lines[0]["dangerous"] == "yes" else ""
    out = [f"### {saying}\n"]
    out += [f"{danger}{LESSONS[saying]}\n"] if saying in LESSONS else []
    notes = (sentence for line in lines for sentence in line["note"].split("  ") if sentence)
    out += [f"{'  '.join(dict.fromkeys(notes))}\n"] if any(line["note"] for line in lines) else []
    out += ["| where | what | said | model 10 % | 50 % | 90 % | |", "|---|---|---|---|---|---|---|"]
    for line in lines:
        model = " | ".join(line[name] for name in ("model_10", "model_50", "model_90"))
        word = line["verdict"] if line["verdict"] == AGREES else f"**{line['verdict']}**"
        what = f"{line['quantity']}{'' if line['unit'] in ('ratio', '1') else ', ' + line['unit']}"
        where = line["condition"].replace(CLEAR, "clear day")
        out.append(f"| {where} | {what} | {_said(line)} | {model} | {word} |")
    return "\n".join(out) + "\n"


def markdown(text: str) -> str:
    """The page made from the CSV's text."""
    lines = read(text)
    sayings: dict[str, list[dict[str, str]]] = {}
    for line in lines:
        sayings.setdefault(line["saying"], []).append(line)
    out = ["## In short\n", "| saying | rows that agree | |", "|---|---|---|"]
    for saying, mine in sayings.items():
        good = sum(line["verdict"] == AGREES for line in mine)
        word = AGREES if good == len(mine) else "in part" if good else "**disagrees**"
        if mine[0]["dangerous"] == "yes":
            word = "**dangerous, contradicted**" if good < len(mine) else "**dangerous, not contradicted**"
        out.append(f"| {saying} | {good} of {len(mine)} | {word} |")
    body = "\n".join(_section(saying, mine) for saying, mine in sayings.items())
    head = INTRODUCTION.format(draws=DRAWS, clear=CLEAR)
    return f"{head}{chr(10).join(out)}\n\n## One by one\n\n{body}\n{CAVEATS}"


def write(path: Path, text: str) -> None:
    new = path.with_name(f".{path.name}.new")
    new.write_text(text, encoding="utf-8")
    os.replace(new, path)


if __name__ == "__main__":
    from tests.published.sayings import compute

    table = csv_text(compute())
    write(TABLE, table)
    write(PAGE, markdown(table))

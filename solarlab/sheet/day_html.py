"""A day sheet as one HTML file for A4 or Letter: one page, and the pictures without words on request.

Black on white: nothing hangs on colour, so any printer will do.  One file, no script, nothing fetched.  All
is on the one page, in letters of 8 points or more.  What a long menu in a wordy language leaves no room for
goes on the back, what is least missed in the sun first: of a draft the English of its cautions and of plan B
(never of its safety box), then the table of faults.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from html import escape
from itertools import product

from . import paper as _paper
from .card import card_svg
from .day import Box, DaySheet, Table
from .paper import PAPERS

EDGE, GAP, ASIDE = 6.0, 1.1, 2.8  # mm: margin of the page, between parts, between columns
LEFT, RIGHT = ("aims", "steps"), ("plan_b", "safety")  # first in their columns; the rest goes where room is
FREE = ("talk", "faults", "cautions", "site")
RUN_ON = ("cautions", "site")  # boxes whose lines follow one another, to save room (a draft's safety, too)
# To the back, if it must be, in this order:
SPARED = ("cautions, English", "plan_b, English", "faults", "plates", "talk")

STYLE = """{faces}
@page {{ size: {width} {height}; margin: 0; }}
* {{ box-sizing: border-box; }}
body {{ margin: 0; font-family: Sheet, Spare, sans-serif; line-height: {leading}; color: #000;
  background: #fff; }}
.page {{ width: {width}; height: calc({height} - .2mm); padding: {edge}mm; break-after: page; display: flex;
  flex-direction: column; gap: {gap}mm; }}
.page:last-child {{ break-after: auto; }}
h1 {{ font-size: 1.4em; margin: 0; }}
h2 {{ font-size: 1.08em; margin: 0 0 .5mm; border-bottom: .5pt solid #000; }}
.facts {{ display: flex; flex-wrap: wrap; gap: 0 4mm; }}
.headline {{ font-size: 1.15em; font-weight: bold; border: 1.2pt solid #000; padding: .6mm 1.6mm; }}
.warning {{ font-weight: bold; }}
.columns {{ display: grid; gap: {aside}mm; align-items: start; }}
.columns > div {{ display: flex; flex-direction: column; gap: {gap}mm; min-width: 0; }}
section {{ min-width: 0; }}
table {{ border-collapse: collapse; width: 100%; }}
th, td {{ border: .4pt solid #000; padding: .25mm .8mm; text-align: left; vertical-align: top; }}
th {{ font-weight: bold; background: #eee; }}
p, ul {{ margin: 0; }}
ul {{ padding-left: {indent}mm; }}
.box {{ border: 1.4pt solid #000; padding: .5mm .9mm; }}
.run-on ul {{ padding: 0; }}
.run-on li {{ display: inline; }}
.run-on li::before {{ content: "•\\00a0"; }}
.run-on li::after {{ content: " "; }}
.reading, .clock {{ white-space: nowrap; }}
.card {{ flex: 1 1 0; min-height: 0; }}
.card svg {{ width: 100%; height: 100%; }}
.foot {{ margin-top: auto; }}
"""


@dataclass(frozen=True)
class _Laid:
    """What stands where: names of parts, size of the letters [pt], width of the left column [mm]."""

    size: float
    wide: tuple[str, ...]
    columns: tuple[tuple[str, ...], tuple[str, ...]]
    left: float
    back: tuple[str, ...] = ()


def page_html(sheet: DaySheet, paper: str = "A4", *, card: bool = False) -> str:
    """The sheet as an HTML document; ``paper`` is "A4" or "Letter", ``card`` adds the page without words."""
    if paper not in PAPERS:
        raise ValueError(f"paper is {paper!r}; it is A4 or Letter.")
    width, height = PAPERS[paper]
    laid = arranged(sheet, paper)
    drawn = {name: _part(name, part) for name, part in _parts(sheet, laid.back).items()}
    heading, foot = f"<h1>{escape(sheet.title)}</h1>", f'<p class="foot">{escape(_foot(sheet))}</p>'
    beside = "".join(f"<div>{''.join(drawn[name] for name in column)}</div>" for column in laid.columns)
    pages = [
        heading
        + '<div class="facts">'
        + (f"<b>{escape(sheet.draft)}</b>" if sheet.draft else "")
        + "".join(f"<span>{escape(name)}: <b>{escape(value)}</b></span>" for name, value in sheet.facts)
        + f'</div><div class="headline">{escape(sheet.headline)}</div>'
        + "".join(f'<div class="warning">⚠ {escape(words)}</div>' for words in sheet.warnings)
        + "".join(drawn[name] for name in laid.wide)
        + f'<div class="columns" style="grid-template-columns:{laid.left:.1f}mm 1fr">{beside}</div>{foot}'
    ]
    if laid.back:
        pages.append(heading + "".join(drawn[name] for name in laid.back) + foot)
    if card:
        pages.append(f'{heading}<div class="card">{card_svg(sheet)}</div>{foot}')
    body = "".join(f'<div class="page" style="font-size:{laid.size}pt">{page}</div>' for page in pages)
    style = STYLE.format(width=width, height=height, faces=_paper.FACES, leading=_paper.LEADING, edge=EDGE,
                         gap=GAP, aside=ASIDE, indent=_paper.INDENT)  # fmt: skip
    head = f'<meta charset="utf-8"><title>{escape(sheet.title)}</title><style>{style}</style>'
    code = sheet.language.code
    return f'<!DOCTYPE html><html lang="{code}"><head>{head}</head><body>{body}</body></html>\n'


def arranged(sheet: DaySheet, paper: str = "A4") -> _Laid:
    """The parts laid on the page in letters as large as it allows; ``back`` is empty but for long menus."""
    wide, high = (float(length.removesuffix("mm")) - 2.0 * EDGE for length in PAPERS[paper])
    warned = [f"⚠ {words}" for words in sheet.warnings]
    facts = "      ".join((sheet.draft, *(f"{name}: {value}" for name, value in sheet.facts)))
    for spared in range(len(SPARED) + 1):
        back = SPARED[:spared]
        parts = _parts(sheet, back)
        whole = tuple(name for name in ("dishes", "plates") if name not in back)

        def page(size, whole=whole, back=back, parts=parts):
            said = sum(_paper.lines(words, wide, size, bold=True) for words in warned)
            top = _paper.line(1.4 * size) + _paper.lines(facts, wide, size) * _paper.line(size)
            top += _paper.lines(sheet.headline, wide - 4.0, 1.15 * size, bold=True) * _paper.line(1.15 * size)
            top += said * _paper.line(size) + 2.2 + (3 + len(warned)) * GAP
            top += sum(_height(name, parts[name], wide, size) + GAP for name in whole)
            foot = _paper.lines(_foot(sheet), wide, size) * _paper.line(size) + GAP
            return top + foot + _split(parts, back, wide - ASIDE, size)[0]

        size = _paper.size_for(page, high)
        if size is not None or spared == len(SPARED):
            size = size or _paper.SMALLEST
            back = tuple(name for name in back if _lines(parts[name]))
            return _Laid(size, whole, *_split(parts, back, wide - ASIDE, size)[1:], back)
    raise AssertionError("one of the arrangements is returned")


def _split(parts, back, width: float, size: float):
    """(height, columns, width of the left one): halves, or a left one as wide as the table of aims asks.

    The free parts are shared out so that the longer column is as short as can be, and no table sticks out.
    """
    least = {
        name: _paper.narrowest(part.heads, part.rows, size) if isinstance(part, Table) else 0.0
        for name, part in parts.items()
    }
    left = max(width / 2.0, least["aims"] + 0.3)
    wide = (left, width - left)
    free = [name for name in FREE if name not in back]
    high = [
        {n: _height(n, parts[n], each, size) + GAP * bool(_lines(parts[n])) for n in (*LEFT, *RIGHT, *free)}
        for each in wide
    ]
    best = None
    for sides in product((0, 1), repeat=len(free)):
        columns = tuple(
            first + tuple(name for name, side in zip(free, sides, strict=True) if side == k)
            for k, first in enumerate((LEFT, RIGHT))
        )
        out = sum(least[name] > wide[k] for k, column in enumerate(columns) for name in column)
        longer = max(sum(high[k][name] for name in column) for k, column in enumerate(columns))
        if best is None or (out, longer + 0.01) < best[:2]:
            best = out, longer, columns
    return best[1], best[2], left


def _foot(sheet: DaySheet) -> str:
    """What the numbers rest on, and what they are not."""
    return " ".join((f"{sheet.basis.title}:", *(words for words, _ in sheet.basis.lines), sheet.foot))


def _parts(sheet: DaySheet, back: tuple[str, ...]) -> dict[str, Table | Box]:
    names = ("dishes", "aims", "steps", "plan_b", "safety", *FREE)
    parts = {name: getattr(sheet, name) for name in names} | {"plates": _plates(sheet)}
    for name in ("cautions", "plan_b"):
        both, english = parts[name], f"{name}, English"
        parts[english] = Box(f"{both.title} (English)", tuple((b, "") for _, b in both.lines if b))
        if english in back:
            parts[name] = Box(both.title, tuple((a, "") for a, _ in both.lines))
    return parts


def _plates(sheet: DaySheet) -> Table:
    """Portions and recipes side by side: one row a dish."""
    recipes = {row[0]: row[1:] for row in sheet.recipes.rows}
    if not recipes:
        return sheet.portions
    none = ("—",) * (len(sheet.recipes.heads) - 1)
    rows = tuple((*row, *recipes.get(row[0], none)) for row in sheet.portions.rows)
    return replace(
        sheet.portions,
        title=f"{sheet.portions.title} · {sheet.recipes.title}",
        heads=(*sheet.portions.heads, *sheet.recipes.heads[1:]),
        rows=rows,
        note=sheet.recipes.note,
    )


def _lines(part: Table | Box) -> tuple:
    return part.rows if isinstance(part, Table) else part.lines


def _height(name: str, part: Table | Box, width: float, size: float) -> float:
    if isinstance(part, Table):
        return _paper.table(part.heads, part.rows, part.note, width, size)
    return _paper.box(part.lines, width, size, _runs_on(name, part))


def _runs_on(name: str, box: Box) -> bool:
    return name in RUN_ON or (name == "safety" and any(english for _, english in box.lines))


def _part(name: str, part: Table | Box) -> str:
    if not _lines(part):
        return ""
    return _table(part) if isinstance(part, Table) else _box(part, _runs_on(name, part))


def _table(table: Table) -> str:
    heads = "".join(f'<th scope="col">{escape(head)}</th>' for head in table.heads)
    body = "".join(
        "<tr>" + "".join(f"<td{_kind(cell)}>{escape(cell)}</td>" for cell in row) + "</tr>"
        for row in table.rows
    )
    note = f"<p>{escape(table.note)}</p>" if table.note else ""
    whole = f"<table><thead><tr>{heads}</tr></thead><tbody>{body}</tbody></table>"
    return f"<section><h2>{escape(table.title)}</h2>{whole}{note}</section>"


def _kind(cell: str) -> str:
    if cell.startswith("____"):
        return ' class="reading"'
    return ' class="clock"' if len(cell) <= _paper.UNBROKEN else ""


def _box(box: Box, run_on: bool) -> str:
    items = "".join(
        f"<li>{escape(words)}" + (f' <i lang="en">{escape(english)}</i>' if english else "") + "</li>"
        for words, english in box.lines
    )
    kind = "box run-on" if run_on else "box"
    return f'<section class="{kind}"><h2>{escape(box.title)}</h2><ul>{items}</ul></section>'

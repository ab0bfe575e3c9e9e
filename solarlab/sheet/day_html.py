"""A day sheet as one HTML file for A4 or Letter: sheet, back of the sheet, and the pictures without words.

Black on white: nothing hangs on colour, so any printer will do.  One file, no script, nothing fetched.
"""

from __future__ import annotations

from html import escape

from . import paper as _paper
from .card import card_svg
from .day import Box, DaySheet, Table
from .paper import PAPERS

BACK = 0.94  # of the back's counted height: its wide cells break less often than counted (seen in Chromium)
GAP, HEAD = 2.0, 16.0  # mm between parts, and of the title and the foot

STYLE = """
@page {{ size: {width} {height}; margin: 0; }}
* {{ box-sizing: border-box; }}
body {{ margin: 0; font: 9pt/1.24 "DejaVu Sans", Verdana, Arial, sans-serif; color: #000;
  background: #fff; }}
.page {{ width: {width}; min-height: calc({height} - .2mm); padding: 8mm 9mm 7mm; break-after: page;
  display: flex; flex-direction: column; gap: 2mm; }}
.page:last-child {{ break-after: auto; }}
h1 {{ font-size: 13pt; margin: 0; }}
h2 {{ font-size: 1.1em; margin: 0 0 .6mm; border-bottom: .5pt solid #000; }}
.facts {{ display: flex; flex-wrap: wrap; gap: 0 5mm; }}
.facts b {{ font-weight: bold; }}
.headline {{ font-size: 1.15em; font-weight: bold; border: 1.2pt solid #000; padding: 1mm 2mm; }}
.warning {{ font-weight: bold; }}
.columns {{ display: grid; grid-template-columns: 1fr 1fr; gap: 4mm; align-items: start; }}
.columns.wide-left {{ grid-template-columns: 1.15fr 1fr; }}
section {{ min-width: 0; }}
table {{ border-collapse: collapse; width: 100%; }}
th, td {{ border: .4pt solid #000; padding: .35mm .9mm; text-align: left; vertical-align: top; }}
th {{ font-weight: bold; background: #eee; }}
p, ul {{ margin: .5mm 0 0; }}
ul {{ padding-left: 3.6mm; }}
.box {{ border: 1.6pt solid #000; padding: 1mm 2mm; }}
.box ul {{ columns: 2; column-gap: 5mm; }}
.box li {{ break-inside: avoid; }}
.box.pairs ul {{ columns: 1; list-style: none; padding: 0; }}
.box.pairs li {{ display: grid; grid-template-columns: 1fr 1fr; gap: 3mm; border-top: .3pt solid #777; }}
.small {{ font-size: .9em; }}
.reading, .clock {{ white-space: nowrap; }}
.card svg {{ width: 100%; height: auto; }}
.foot {{ margin-top: auto; font-size: 7pt; }}
"""


def page_html(sheet: DaySheet, paper: str = "A4") -> str:
    """The whole sheet as an HTML document; ``paper`` is "A4" or "Letter"."""
    if paper not in PAPERS:
        raise ValueError(f"paper is {paper!r}; it is A4 or Letter.")
    width, height = PAPERS[paper]
    say = sheet.language
    words = say(
        "The model says expected, never safe: only a thermometer does. Local food-safety rules come first."
    )
    foot = f'<p class="foot">{escape(words)}</p>'
    first = "".join(
        [
            f"<h1>{escape(sheet.title)}</h1>",
            '<div class="facts">',
            *(f"<span>{escape(name)}: <b>{escape(value)}</b></span>" for name, value in sheet.facts),
            "</div>",
            f'<div class="headline">{escape(sheet.headline)}</div>',
            *(f'<div class="warning">⚠ {escape(words)}</div>' for words in sheet.warnings),
            _table(sheet.dishes),
            '<div class="columns wide-left">',
            f"<div>{_table(sheet.aims)}</div>",
            f"<div>{_table(sheet.steps)}</div>",
            "</div>",
            _box(sheet.plan_b),
            _box(sheet.safety),
            foot,
        ]
    )
    second = "".join(
        [
            f"<h1>{escape(sheet.title)}</h1>",
            _table(sheet.talk),
            _table(sheet.portions),
            _table(sheet.recipes),
            _table(sheet.faults),
            _box(sheet.cautions),
            _box(sheet.site),
            _box(sheet.basis),
            foot,
        ]
    )
    third = f'<h1>{escape(sheet.title)}</h1><div class="card">{card_svg(sheet)}</div>{foot}'
    sizes = (*_sizes(sheet, paper), _paper.LARGEST)
    pages = "".join(
        f'<div class="page" style="font-size:{size}pt">{page}</div>'
        for size, page in zip(sizes, (first, second, third), strict=True)
    )
    style = STYLE.format(width=width, height=height)
    head = f'<meta charset="utf-8"><title>{escape(sheet.title)}</title><style>{style}</style>'
    return f'<!DOCTYPE html><html lang="{say.code}"><head>{head}</head><body>{pages}</body></html>\n'


def _sizes(sheet: DaySheet, paper: str) -> tuple[float, float]:
    """Letters as large as the front and the back of the sheet allow, in points."""
    wide, high = (float(length.removesuffix("mm")) for length in PAPERS[paper])
    width, height = wide - 18.0, high - 15.0

    def tables(size, *chosen):
        return sum(_paper.table(t.heads, t.rows, t.note, width, size) + GAP for t in chosen)

    def boxes(size, *chosen):
        return sum(_paper.box(each.lines, width, size) + GAP for each in chosen)

    def front(size):
        beside = max(
            _paper.table(each.heads, each.rows, each.note, share * (width - 4.0), size)
            for each, share in ((sheet.aims, 0.535), (sheet.steps, 0.465))
        )
        facts = "  ".join(f"{name}: {value}   " for name, value in sheet.facts)
        told = (
            _paper.text(facts, width, size)
            + 2.0 * _paper.line(1.2 * size)
            + len(sheet.warnings) * _paper.line(size)
        )
        return HEAD + told + beside + tables(size, sheet.dishes) + boxes(size, sheet.plan_b, sheet.safety)

    def back(size):
        listed = tables(size, sheet.talk, sheet.portions, sheet.recipes, sheet.faults)
        return BACK * (HEAD + listed + boxes(size, sheet.cautions, sheet.site, sheet.basis))

    return _paper.size_for(front, height), _paper.size_for(back, height)


def _table(table: Table) -> str:
    if not table.rows:
        return ""
    heads = "".join(f'<th scope="col">{escape(head)}</th>' for head in table.heads)
    body = "".join(
        "<tr>" + "".join(f"<td{_kind(cell)}>{escape(cell)}</td>" for cell in row) + "</tr>"
        for row in table.rows
    )
    note = f'<p class="small">{escape(table.note)}</p>' if table.note else ""
    whole = f"<table><thead><tr>{heads}</tr></thead><tbody>{body}</tbody></table>"
    return f"<section><h2>{escape(table.title)}</h2>{whole}{note}</section>"


def _kind(cell: str) -> str:
    if cell.startswith("____"):
        return ' class="reading"'
    return ' class="clock"' if len(cell) <= _paper.UNBROKEN else ""


def _box(box: Box) -> str:
    if not box.lines:
        return ""
    pairs = any(english for _, english in box.lines)
    items = "".join(
        f"<li><span>{escape(words)}</span>"
        + (f'<span lang="en">{escape(english)}</span>' if english else "")
        + "</li>"
        for words, english in box.lines
    )
    kind = f"box{' pairs' if pairs else ''} small"
    return f'<section class="{kind}"><h2>{escape(box.title)}</h2><ul>{items}</ul></section>'

"""Pages that open anywhere: one HTML file, no script, nothing fetched, readable aloud and in black and
white.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from html import escape

STYLE = """
body { font: 1rem/1.5 system-ui, sans-serif; max-width: 46rem; margin: 2rem auto; padding: 0 1rem;
       color: #1a1a1a; background: #fff; }
h1 { font-size: 1.6rem; } h2 { font-size: 1.2rem; margin-top: 2rem; border-top: 1px solid #767676;
     padding-top: 1rem; }
table { border-collapse: collapse; width: 100%; }
caption { text-align: left; font-weight: 600; padding: .3rem 0; }
th, td { border: 1px solid #767676; padding: .3rem .5rem; text-align: left; vertical-align: top; }
td.number { text-align: right; font-variant-numeric: tabular-nums; }
.quiet { color: #4a4a4a; } blockquote { border-left: 3px solid #767676; margin: 0; padding-left: 1rem;
         white-space: pre-wrap; overflow-wrap: anywhere; }
@media (max-width: 30rem) { body { margin: 1rem auto; padding: 0 .5rem; } th, td { padding: .2rem .3rem; }
         table { font-size: .8rem; } th[scope=row] { overflow-wrap: anywhere; min-width: 5.5rem; } }
@media print { body { margin: 0; max-width: none; } h2 { break-after: avoid; } }
"""


def page(title: str, parts: Iterable[str]) -> str:
    """A whole page with one heading; ``parts`` are pieces of HTML."""
    return (
        '<!DOCTYPE html>\n<html lang="en">\n<head>\n<meta charset="utf-8">\n'
        '<meta name="viewport" content="width=device-width, initial-scale=1">\n'
        f"<title>{escape(title)}</title>\n<style>{STYLE}</style>\n</head>\n<body>\n<main>\n"
        f"<h1>{escape(title)}</h1>\n" + "\n".join(parts) + "\n</main>\n</body>\n</html>\n"
    )


def heading(text: str) -> str:
    """A heading below the page's own."""
    return f"<h2>{escape(text)}</h2>"


def paragraph(text: str, kind: str = "") -> str:
    """A paragraph of plain text."""
    return f"<p{_class(kind)}>{escape(text)}</p>" if text else ""


def told(text: str, kind: str = "") -> str:
    """A paragraph of the lesson's own words, whose *emphasis* is Markdown's."""
    marked = escape(text)
    for mark, tag in ((r"\*\*", "strong"), (r"\*", "em"), ("`", "code")):
        marked = re.sub(rf"{mark}(?=\S)([^*`]+?)(?<=\S){mark}", rf"<{tag}>\1</{tag}>", marked)
    return f"<p{_class(kind)}>{marked}</p>" if text else ""


def bullets(items: Sequence[str]) -> str:
    """A list of plain texts."""
    return "<ul>\n" + "".join(f"<li>{escape(item)}</li>\n" for item in items) + "</ul>" if items else ""


def quotation(text: str) -> str:
    """A person's own words, line breaks kept."""
    return f"<blockquote>{escape(text)}</blockquote>"


def table(caption: str, columns: Sequence[str], rows: Iterable[Sequence[object]]) -> str:
    """A table with a caption; the first column heads each row, numbers stand right."""
    lines = [f"<table>\n<caption>{escape(caption)}</caption>\n<thead><tr>"]
    lines += [f'<th scope="col">{escape(column)}</th>' for column in columns]
    lines.append("</tr></thead>\n<tbody>")
    for first, *rest in rows:
        cells = "".join(f"<td{_class(_kind(cell))}>{escape(shown(cell))}</td>" for cell in rest)
        lines.append(f'<tr><th scope="row">{escape(shown(first))}</th>{cells}</tr>')
    return "\n".join([*lines, "</tbody></table>"])


def shown(value: object) -> str:
    """A value in words: numbers short, nothing as a dash."""
    if value is None or value == "":
        return "–"
    if isinstance(value, float):
        return f"{value:.4g}"
    return str(value)


def _kind(value: object) -> str:
    return "number" if isinstance(value, (int, float)) and not isinstance(value, bool) else ""


def _class(kind: str) -> str:
    return f' class="{kind}"' if kind else ""

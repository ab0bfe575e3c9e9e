"""The glossary as a page: the course's words, the lesson that explains each, and how things are counted."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from html import escape
from pathlib import Path

from lessons import _notebooks
from solarlab.glossary import CONVENTIONS, Term, terms

TITLE = "Glossary"
LEAD = "Each word is explained once, in the lesson that needs it first."
COUNTED = "How things are counted"


def glossary(lessons: Path = _notebooks.LESSONS) -> tuple[Term, ...]:
    """Every word of the course, in the order of the lessons."""
    return terms(lessons)


def anchor(term: Term) -> str:
    """The id of a word's place on the page."""
    return "term-" + "".join(c if c.isalnum() else "-" for c in term.name.casefold())


def by_name(known: Sequence[Term]) -> list[Term]:
    """Words as a reader looks for them."""
    return sorted(known, key=lambda term: term.name.casefold())


def html(known: Sequence[Term], address: Callable[[str], str] = "{}.html".format) -> str:
    """The page from its heading on; ``address`` gives a lesson's page from the name of its folder."""
    rows = "".join(
        f'<dt id="{anchor(term)}"><dfn>{escape(term.name)}</dfn></dt>'
        f'<dd>{escape(term.meaning)} <a href="{escape(address(term.lesson))}">Lesson {term.number}</a></dd>'
        for term in by_name(known)
    )
    counted = "".join(f"<dt>{escape(name)}</dt><dd>{escape(said)}</dd>" for name, said in CONVENTIONS)
    place = COUNTED.casefold().replace(" ", "-")
    return (
        f'<h1>{TITLE}</h1><p>{LEAD} Angles, units and times: <a href="#{place}">{COUNTED.lower()}</a>.</p>'
        f'<dl>{rows}</dl><h2 id="{place}">{COUNTED}</h2><dl>{counted}</dl>'
    )

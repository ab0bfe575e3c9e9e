"""The course as pages to read: every lesson, its card, the contents.  `python lessons --pages FOLDER`.

Each page is one file with its pictures inside; nothing in it asks the network for anything.
"""

from __future__ import annotations

import os
from collections.abc import Callable, Sequence
from pathlib import Path

import jinja2

from lessons import _notebooks
from lessons._edition import card, links
from lessons._edition.article import Article, article
from lessons._edition.others import others
from lessons._edition.reading import parts

HERE = Path(__file__).resolve().parent
COURSE = "solarlab"


def build(target: Path, lessons: Sequence[Path] = (), say: Callable[[str], object] = print) -> list[Path]:
    """Run lessons (all, if none is named) and write their pages in ``target``; return the files written.

    Nothing is written before all of it is made and every link in it leads somewhere.  Files of other names in
    ``target`` are left alone.  Raises ``ValueError`` for a page that cannot be read by all, or a dead link.
    """
    folders = list(lessons) or _notebooks.find_lessons()
    pages = make(folders, say)
    dead = links.dead(pages)
    if dead:
        raise ValueError("Links that lead nowhere: " + "; ".join(dead) + ".")
    target.mkdir(parents=True, exist_ok=True)
    written = []
    for name, text in pages.items():
        part = target / f"{name}.part"
        part.write_text(text, encoding="utf-8", newline="\n")
        os.replace(part, target / name)
        written.append(target / name)
    return written


def make(folders: Sequence[Path], say: Callable[[str], object] = lambda words: None) -> dict[str, str]:
    """Run these lessons and return their pages, {file name: HTML}."""
    numbers = {folder.name[:2]: f"{folder.name}.html" for folder in folders}
    read: list[Article] = []
    for folder in folders:
        say(f"{folder.name}: running")
        read.append(article(folder.name, parts(folder), numbers))
    environment = jinja2.Environment(
        loader=jinja2.FileSystemLoader(HERE),
        autoescape=True,
        trim_blocks=True,
        undefined=jinja2.StrictUndefined,
    )
    style = (HERE / "style.css").read_text(encoding="utf-8")

    def page(template: str, title: str, **named: object) -> str:
        kind = template.split(".")[0]
        return environment.get_template(template).render(title=title, style=style, kind=kind, **named) + "\n"

    beside = others(folders, numbers)
    pages = {"index.html": page("index.html.j2", f"Contents · {COURSE}", lessons=read, others=beside)}
    for lesson, before, after in zip(read, [None, *read[:-1]], [*read[1:], None], strict=True):
        title = f"{lesson.title} · lesson {lesson.number} · {COURSE}"
        pages[lesson.file] = page("lesson.html.j2", title, lesson=lesson, before=before, after=after)
        pages[lesson.card_file] = page(
            "card.html.j2", f"Card: {lesson.title} · {COURSE}", lesson=lesson, card=card.card(lesson)
        )
    for other in beside:
        pages[other.file] = page("plain.html.j2", f"{other.title} · {COURSE}", other=other)
    return pages

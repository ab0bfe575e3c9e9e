"""The course as pages to read: one made-up lesson made into pages, and the rules by which that is done."""

from __future__ import annotations

import itertools
import json
import re

import nbformat
import pytest
from bs4 import BeautifulSoup
from nbformat.v4 import new_code_cell, new_markdown_cell, new_notebook

from lessons import _notebooks, _open
from lessons._edition import build, card, links, reading, screen
from lessons._edition.article import article
from lessons._edition.reading import Part
from lessons._edition.tidy import soup, tidy
from tests import _repository as repository
from tests._tiny import grading

TITLE = """# A made-up lesson

*Lesson 03. Of one picture and one table.*

**Afterwards you can**

- read a page;
- print it.

**Time:** about ten minutes at the screen.

> **Careful.** Nothing here is safe.
"""
ARGUMENT = "## An argument\n\nTwo people (invented) quarrel. See lessons 01 and 04."
PREDICT = "## Predict\n\nClick into a grey cell and press Shift + Enter.\n\nHow hot will it be?"
SETUP = "import pandas as pd\nfrom solarlab import controls, figures, record, table"
BET = """guess_number = ...  # °C
sure = ...
### BEGIN SOLUTION
guess_number, sure = 84.75, "a guess"
### END SOLUTION
"""
FORM = """guess = controls.predict(
    "How hot is the box?",
    lambda value, how: record.predict("made-up/hot", "", value, how, unit="°C", within=8),
    sureness=record.SURENESS, unit="°C", value=guess_number, sure=sure,
)
guess
"""
RUN = """import numpy as np

times = pd.date_range("2026-03-21 10:00", periods=9, freq="15min", tz="Africa/Nairobi")
record.unlock(guess.prediction, lambda: figures.temperatures(times, {"box": np.linspace(20, 150, 9)}))
"""
SETTLE = "bet = record.settle(guess.prediction, 150.0)\nbet"
TABLE = 'table.Table(pd.DataFrame({"minutes": [0, 15], "°C": ["20", "36"]}), "First readings")'
EXERCISE = "## Exercises\n\n### 1 · Half as hot *(1 point)*\n\nHow hot is half of it?"
ANSWER = "half = ...  # °C\n### BEGIN SOLUTION\nhalf = 84.75\n### END SOLUTION\n"
MARK = 'print("right")\n### BEGIN HIDDEN TESTS\nassert half == 84.75\n### END HIDDEN TESTS\n'
WHY = "Because the secret is out.\n\n### BEGIN MARK SCHEME\nTwo points for nothing.\n### END MARK SCHEME\n"
CODE = "def double(number):\n    ...\n    ### BEGIN SOLUTION\n    return number * 2.0\n    ### END SOLUTION\n"
LAST = "## Caution\n\n- **Hot.** It burns.\n\n## Take it outside\n\n### With an oven\n\n1. Look."
LAST += "\n\n|a|b|\n|-|-|\n| | |\n"


@pytest.fixture(scope="module")
def lesson(tmp_path_factory):
    """A lesson's folder, with every kind of cell that pages tell apart."""
    solution = grading("half-answer", solution=True)
    cells = [
        new_markdown_cell(TITLE), new_markdown_cell(ARGUMENT),
        new_code_cell(SETUP, metadata=grading("setup")),
        new_markdown_cell(PREDICT), new_code_cell(BET, metadata=grading("predict-hot", solution=True)),
        new_code_cell(FORM, metadata=grading("predict-hot-kept")),
        new_markdown_cell("## Observe\n\nLook:"), new_code_cell(RUN, metadata=grading("run")),
        new_code_cell(SETTLE, metadata=grading("run-settled")), new_code_cell("record.table([bet])"),
        new_code_cell(TABLE, metadata=grading("first")),
        new_markdown_cell(EXERCISE), new_code_cell("print('Think.')", metadata=grading("half-ask")),
        new_code_cell(ANSWER, metadata=solution),
        new_code_cell(MARK, metadata=grading("half-mark", grade=True, locked=True, points=1)),
        new_markdown_cell("### 2 · Why? *(2 points)*"),
        new_markdown_cell(WHY, metadata=grading("why-answer", grade=True, solution=True, points=2)),
        new_markdown_cell("### 3 · Double *(1 point)*"),
        new_code_cell(CODE, metadata=grading("double-answer", solution=True)),
        new_code_cell("print(double(2))", metadata=grading("double-try")),
        new_markdown_cell(LAST),
    ]  # fmt: skip
    notebook = new_notebook(cells=cells)
    notebook.metadata["kernelspec"] = {"name": "python3", "display_name": "Python 3", "language": "python"}
    folder = tmp_path_factory.mktemp("lessons") / "03-made-up"
    folder.mkdir()
    nbformat.write(notebook, folder / "03-made-up.ipynb")
    return folder


@pytest.fixture(scope="module")
def pages(lesson, tmp_path_factory):
    target = tmp_path_factory.mktemp("pages")
    (target / "mine.txt").write_text("mine", encoding="utf-8")
    build.build(target, [lesson], say=lambda words: None)
    assert (target / "mine.txt").read_text(encoding="utf-8") == "mine"
    return {path.name: path.read_text(encoding="utf-8") for path in target.glob("*.html")}


@pytest.fixture(scope="module")
def page(pages):
    return BeautifulSoup(pages["03-made-up.html"], "html.parser")


def test_the_edition_has_contents_a_page_and_a_card_for_each_lesson_and_the_glossary(pages):
    assert set(pages) >= {"index.html", "03-made-up.html", "03-made-up-card.html", "glossary.html"}
    contents = BeautifulSoup(pages["index.html"], "html.parser")
    leads = {link["href"] for link in contents("a")}
    assert {"03-made-up.html", "03-made-up-card.html", "glossary.html"} <= leads
    assert "About ten minutes at the screen." in contents.get_text()


def test_no_solution_hidden_test_or_marking_scheme_is_in_it(pages):
    for name, text in pages.items():
        for secret in ("84.75", "secret is out", "Two points for nothing", "number * 2.0", "BEGIN", "assert"):
            assert secret not in text, (name, secret)


def test_a_bet_is_a_form_for_a_pencil_and_what_it_unlocks_lies_closed_behind_it(page):
    form = page.find(class_="form")
    assert "How hot is the box?" in form.get_text()
    assert [each.get_text(strip=True) for each in form(class_="pick")] == [
        "a guess (35%)", "fairly sure (65%)", "quite sure (90%)",
    ]  # fmt: skip
    (closed,) = page("details", class_="bet")
    assert not closed.has_attr("open")
    assert "box starts at 20 °C" in closed.find("img")["alt"]
    assert "It came out as 150 °C. Within 8 °C counts as right." in closed.get_text()
    assert "My bets" in closed.get_text()
    assert page.get_text().count("150 °C") == closed.get_text().count("150 °C")
    assert "Locked" not in page.get_text()
    assert "Not attempted" not in page.get_text()


def test_answers_are_lines_code_is_shown_and_what_is_for_keys_only_is_gone(page):
    assert [each.get_text(" ", strip=True) for each in page(class_="answer")] == ["My answer: °C"]
    assert len(page(class_="ruled")) == 1
    assert [each.get_text().split("(")[0] for each in page("pre")] == ["def double", "print"]
    text = page.get_text()
    assert "Shift + Enter" not in text
    assert "How hot will it be?" in text
    assert page.find(attrs={"data-cell": re.compile("mark|setup")}) is None


def test_a_page_has_language_title_landmarks_and_headings_in_order(pages):
    for name, text in pages.items():
        page = BeautifulSoup(text, "html.parser")
        assert page.html["lang"] == "en", name
        assert page.title.get_text().strip()
        assert [len(page(each)) for each in ("main", "header", "footer", "h1")] == [1, 1, 1, 1], name
        assert page.body.find("a")["href"] == "#main"
        ranks = [int(each.name[1]) for each in page(re.compile("^h[1-6]$"))]
        assert ranks[0] == 1 and all(b <= a + 1 for a, b in itertools.pairwise(ranks)), name


def test_every_picture_has_words_every_table_a_box_that_the_keyboard_reaches(pages):
    for name, text in pages.items():
        page = BeautifulSoup(text, "html.parser")
        assert all(len(image["alt"]) >= 40 for image in page("img")), name
        boxes = [table.parent for table in page("table")]
        assert all(box["class"] == ["scroll"] and box["tabindex"] == "0" for box in boxes), name
        assert all(box["aria-label"].strip() for box in boxes), name


def test_nothing_is_fetched_and_every_link_leads_somewhere(pages):
    assert links.dead(pages) == []
    for text in pages.values():
        assert "default-src 'none'" in text
        assert not re.search(r"https?://", text)


def test_the_card_holds_what_is_needed_without_a_computer(pages):
    page = BeautifulSoup(pages["03-made-up-card.html"], "html.parser")
    assert [each.get_text() for each in page("h2")] == [
        "An argument", "What you will be able to do", "Three questions", "Caution", "Take it outside",
    ]  # fmt: skip
    assert len(page("img")) == 1
    assert "Half as hot. How hot is half of it?" in " ".join(page.get_text().split())
    assert page.find("blockquote").get_text(strip=True).startswith("Careful.")


def test_lesson_numbers_lead_to_their_pages():
    numbers = {"01": "01-a.html", "04": "04-b.html", "03": "03-c.html"}
    page = soup("<h1>A</h1><p>See lessons 01, 03 and 04, lesson 01, lesson 09; not 04 alone.</p>")
    tidy(page, numbers, "03-c.html")
    assert [(link.get_text(), link["href"]) for link in page("a")] == [
        ("01", "01-a.html"), ("04", "04-b.html"), ("lesson 01", "01-a.html"),
    ]  # fmt: skip
    assert page.p.get_text() == "See lessons 01, 03 and 04, lesson 01, lesson 09; not 04 alone."


@pytest.mark.parametrize(
    ("html", "said"),
    [
        ("<h1>A</h1><img src='data:image/png;base64,'>", "no words"),
        ("<h1>A</h1><img alt='The box is at 150 °C at noon.' src='box.png'>", "not inside its page"),
        ("<h1>A</h1><h3>B</h3><p>b</p>", "out of order"),
        ("<h1>A</h1><p>a</p><h1>B</h1><p>b</p>", "out of order"),
    ],
)
def test_a_page_that_not_all_can_read_is_refused_with_its_lessons_name(html, said):
    with pytest.raises(ValueError, match=f"03-made-up: .*{said}"):
        article("03-made-up", [Part("words", html)], {})


def test_a_dead_link_stops_the_edition_before_anything_is_written(tmp_path, monkeypatch):
    made = {"a.html": "<h1 id='x'>A</h1><a href='b.html'>b</a>"}
    monkeypatch.setattr(build, "make", lambda folders, say: made)
    with pytest.raises(ValueError, match=r"a\.html: no page b\.html"):
        build.build(tmp_path / "there", [tmp_path])
    assert not (tmp_path / "there").exists()


@pytest.mark.parametrize(
    ("html", "said"),
    [
        ("<a href='#y'>y</a>", "no anchor #y"),
        ("<a href='b.html#z'>z</a>", "no anchor b.html#z"),
        ("<a>nothing</a>", "without an address"),
        ("<img src='c.png'>", "fetches c.png"),
        ("<link rel='stylesheet' href='d.css'>", "fetches d.css"),
        ("<style>p { background: url(e.png) }</style>", "style that fetches"),
        ("<p id='x'></p>", "anchor x twice"),
    ],
)
def test_links_and_fetches_that_are_wrong_are_told(html, said):
    wrong = links.dead({"a.html": f"<h1 id='x'>A</h1>{html}", "b.html": "<h1 id='b'>B</h1>"})
    assert len(wrong) == 1 and said in wrong[0]
    assert links.dead({"a.html": "<a href='https://example.org'>web</a>"}) == []


def test_what_only_helps_at_a_screen_is_left_out_whole_paragraphs_at_a_time():
    source = (
        "## Exercises\n\nPut it in place of\nthe dots. It says:\n\n- right;\n- not yet.\n\nThink.\n\n"
        "### 1 · Egg *(1 point)*\n\nClick the cell below\ntwice and write five lines."
    )
    said = screen.for_paper(source)
    assert said == "## Exercises\n\nThink.\n\n### 1 · Egg *(1 point)*\n\nWrite five lines."
    assert screen.for_paper("## How\n\nAll of it.", frozenset({"screen"})) == ""


@pytest.mark.parametrize(
    ("source", "lines"),
    [
        ('egg = ...  # "a", "b" or "c"', ["My answer: a, b or c"]),
        ('noon = ...  # in quotes, such as "13:05"', ["My answer: such as 13:05"]),
        ('wait = ...  # such as 45; or in quotes, such as "1 h"', ["My answer: such as 45; or 1 h"]),
        ('plan = {\n    "panes": ...,  # 1 or 2\n    "out_at": ...,\n}', ["panes: 1 or 2", "out at:"]),
        ("def double(number):\n    ...", []),
        ("import math\n\nx = ...", []),
    ],
)
def test_what_is_typed_in_place_of_dots_becomes_a_line_to_write_on(source, lines):
    found = BeautifulSoup(reading.to_fill(source), "html.parser")
    assert [" ".join(each.get_text().split()) for each in found("p")] == lines


def test_tex_is_refused_for_these_pages_do_not_set_it():
    with pytest.raises(ValueError, match="plain letters"):
        reading.markdown("So $x^2$ grows.")
    assert "costs 3" in reading.markdown("It costs 3 dollars.")
    for folder in _notebooks.find_lessons():
        for cell in _notebooks.read(folder / f"{folder.name}.ipynb").cells:
            if cell.cell_type == "markdown":
                reading.markdown(cell.source)


def test_a_card_that_fits_no_page_is_refused_and_tagged_cells_go_first():
    figure = "<figure><img alt='{0}' width='900' height='500' src='data:image/png;base64,'></figure>"
    words = "<h1>A</h1><p>about</p><h2>An argument</h2><p>{}</p><h2>Observe</h2><p>x</p>"
    made = article("03-made-up", [Part("words", words.format("Short."))], {})
    for name, tags in (("first", ""), ("second", "card")):
        part = f"<div data-cell='{name}' data-tags='{tags}'>{figure.format(name)}</div>"
        made.html.append(soup(part))
    (picture,) = (block for block in card.card(made).blocks if block.name == "picture")
    assert "second" in picture.html
    long = article("03-made-up", [Part("words", words.format("Word after word. " * 900))], {})
    with pytest.raises(ValueError, match="does not fit one page"):
        card.card(long)


def test_the_command_says_where_it_may_not_write(capsys):
    assert _open.main(["--pages", str(repository.ROOT / "lessons" / "pages")]) == 2
    assert "inside the course itself" in capsys.readouterr().err


def test_what_comes_from_npm_is_pinned_and_is_the_check_alone():
    asked = json.loads(repository.text(repository.ROOT / "tests" / "browser" / "package.json"))
    assert list(asked["dependencies"]) == ["axe-core"]
    assert re.fullmatch(r"\d+\.\d+\.\d+", asked["dependencies"]["axe-core"])

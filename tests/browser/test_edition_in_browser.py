"""The course as pages, in a real browser: for every eye and hand, at every width, on paper, no network."""

from __future__ import annotations

import html
import re
from pathlib import Path

import pytest
from playwright.sync_api import Page

from lessons import _copy, _notebooks
from lessons._edition import build, card
from tests.browser import _harness

pytestmark = pytest.mark.browser
AXE = Path(__file__).with_name("node_modules") / "axe-core" / "axe.min.js"
LOOKS = [(1280, "light"), (360, "dark")]
BLOCKS = re.compile(r"### BEGIN (?:SOLUTION|HIDDEN TESTS|MARK SCHEME)\n(.*?)### END", re.S)
PAGE = re.compile(rb"/Type\s*/Page\b")  # of a PDF

OPEN = "document.querySelectorAll('details').forEach(each => { each.open = true; })"
WIDE = """() => {
  const page = document.documentElement, found = [];
  if (page.scrollWidth > page.clientWidth) found.push('the page scrolls sideways');
  for (const each of document.querySelectorAll('body *')) {
    if (each.closest('.scroll, pre, .skip') || !each.getClientRects().length) continue;
    const box = each.getBoundingClientRect();
    if (box.right > page.clientWidth + 1) found.push(`${each.tagName} ${each.className} is cut off`);
  }
  return found;
}"""
SCROLLED = """new Promise(done => {
  const box = document.activeElement, told = () => done(box.scrollLeft);
  box.scrollLeft ? told() : box.addEventListener('scroll', told, {once: true});
})"""
OVERFULL = """font => {
  if (font) document.body.style.fontFamily = font;
  const box = document.querySelector('.columns'), size = getComputedStyle(document.body).fontSize;
  const overfull = box.scrollWidth > box.clientWidth + 1 || box.scrollHeight > box.clientHeight + 1;
  return [overfull, parseFloat(size) * .75];
}"""


@pytest.fixture(scope="module")
def browser():
    with _harness.start_browser() as browser:
        yield browser


@pytest.fixture(scope="module")
def files(tmp_path_factory):
    """Every page of the edition of the whole course."""
    made = build.build(tmp_path_factory.mktemp("pages"), say=lambda words: None)
    assert len(made) >= 2 * len(_notebooks.find_lessons()) + 2
    return made


@pytest.fixture
def visit(browser):
    """Return a function that opens a page and demands that it asks for nothing and breaks nowhere."""
    asked, broken, windows = [], [], []

    def open_page(file: Path, width: int = 1280, scheme: str = "light") -> Page:
        window = browser.new_context(viewport={"width": width, "height": 800}, color_scheme=scheme)
        windows.append(window)
        page = window.new_page()
        page.on("request", lambda request: asked.append(request.url))
        page.on("pageerror", lambda error: broken.append(f"{file.name}: {error}"))
        page.on("console", lambda said: broken.append(f"{file.name}: {said.text}"))
        page.goto(file.as_uri())
        return page

    yield open_page
    for window in windows:
        window.close()
    assert [url for url in asked if not url.startswith(("file:", "data:"))] == []
    assert broken == []


def test_nothing_serious_is_in_the_way_of_anybody(files, visit):
    if not AXE.exists():
        raise RuntimeError("This test needs axe-core: run 'npm install --prefix tests/browser'.")
    source, found = AXE.read_text(encoding="utf-8"), []
    for file in files:
        for width, scheme in LOOKS:
            page = visit(file, width, scheme)
            page.evaluate(OPEN)
            page.evaluate(source)
            told = page.evaluate("axe.run(document, {resultTypes: ['violations']})")
            assert len(told["passes"]) > 15, file.name  # it did look
            found += [
                (file.name, width, scheme, each["impact"], each["id"], each["nodes"][0]["html"][:200])
                for each in told["violations"]
                if each["impact"] in ("serious", "critical")
            ]
            page.context.close()
    assert found == []


def test_the_check_finds_what_is_in_the_way(tmp_path, visit):
    bad = "<title>x</title><h1>x</h1><img src='data:,'><input>"
    (tmp_path / "bad.html").write_text(bad, encoding="utf-8")
    page = visit(tmp_path / "bad.html")
    page.evaluate(AXE.read_text(encoding="utf-8"))
    told = page.evaluate("axe.run(document)")["violations"]
    assert {"image-alt", "label", "html-has-lang"} <= {each["id"] for each in told}


@pytest.mark.parametrize("width", [320, 360, 800, 1280])
def test_no_page_scrolls_sideways_and_nothing_is_cut_off(files, visit, width):
    found = []
    for file in files:
        page = visit(file, width)
        page.evaluate(OPEN)
        found += [f"{file.name}: {said}" for said in page.evaluate(WIDE)]
        page.context.close()
    assert found == []


def test_pictures_are_there_and_drawn(files, visit):
    for file in files:
        page = visit(file)
        page.evaluate(OPEN)
        page.evaluate("Promise.all([...document.images].map(each => each.decode())).then(() => true)")
        blank = page.evaluate("[...document.images].filter(e => !e.naturalWidth || e.alt.length < 40).length")
        assert blank == 0, file.name
        page.context.close()


def test_the_keyboard_reaches_the_text_the_bets_and_what_is_wide(files, visit):
    (file,) = (file for file in files if re.fullmatch(r"07-[a-z-]+(?<!-card)\.html", file.name))
    page = visit(file, 360)
    page.keyboard.press("Tab")
    assert page.evaluate("document.activeElement.className") == "skip"
    assert page.evaluate("document.activeElement.getBoundingClientRect().left >= 0")
    page.keyboard.press("Enter")
    assert page.evaluate("document.activeElement.id") == "main"
    page.locator("details.bet summary").first.focus()
    page.keyboard.press("Enter")
    assert page.evaluate("document.querySelector('details.bet').open")
    page.get_by_role("button", name="Open all").focus()
    assert page.evaluate("getComputedStyle(document.activeElement).outlineStyle") == "solid"
    page.keyboard.press("Enter")
    assert page.evaluate("[...document.querySelectorAll('details.bet')].every(each => each.open)")
    page.evaluate("[...document.querySelectorAll('pre')].find(e => e.scrollWidth > e.clientWidth).focus()")
    page.keyboard.press("ArrowRight")
    page.evaluate(SCROLLED)


def test_on_paper_bets_come_first_and_all_that_they_unlock_is_printed(files, visit):
    for file in files:
        page = visit(file)
        if not page.locator("details.bet").count():
            continue
        page.emulate_media(media="print")
        page.evaluate("dispatchEvent(new Event('beforeprint'))")
        assert page.locator("details.bet").first.locator("figure, table, p").first.is_visible(), file.name
        assert not page.locator("summary:visible").count(), file.name
        assert page.evaluate("getComputedStyle(document.querySelector('h2.turn')).breakBefore") == "page"
        page.evaluate("dispatchEvent(new Event('afterprint'))")
        assert page.evaluate("[...document.querySelectorAll('details')].every(each => !each.open)")
        page.context.close()


@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_a_card_is_one_page_in_letters_that_can_be_read(files, visit, paper):
    cards = [file for file in files if file.name.endswith("-card.html")]
    assert len(cards) == len(_notebooks.find_lessons())
    for file in cards:
        page = visit(file)
        assert len(PAGE.findall(page.pdf(format=paper))) == 1, file.name
        page.emulate_media(media="print")
        for font in ("", "DejaVu Sans"):
            overfull, size = page.evaluate(OVERFULL, font)
            assert not overfull, (file.name, font)
            assert size >= card.SMALLEST - 0.01, file.name
        page.context.close()


def test_no_solution_is_in_any_page(files):
    pages = [re.sub(r"base64,[^\"]*|<[^>]+>", "", file.read_text(encoding="utf-8")) for file in files]
    text = html.unescape(" ".join(" ".join(pages).split()))
    looked = 0
    for folder in _notebooks.find_lessons():
        source = _notebooks.read(folder / f"{folder.name}.ipynb")
        copy = "\n".join(cell.source for cell in _copy.learner_copy(source).cells)
        for cell in source.cells:
            secret = "\n".join(BLOCKS.findall(cell.source))
            if cell.cell_type == "markdown" and cell.metadata.get("nbgrader", {}).get("solution"):
                secret += cell.source.split("### BEGIN")[0]
            for line in secret.split("\n"):
                if len(line.strip()) >= 20 and line.strip() not in copy:
                    looked += 1
                    assert line.strip() not in text, (folder.name, line)
    assert looked > 100

"""No word is used before it is explained; a learner can ask for any of them."""

from __future__ import annotations

import re
from functools import cache

import pytest
from bs4 import BeautifulSoup

from lessons import _glossary
from solarlab import glossary
from solarlab.exercises import lesson
from solarlab.glossary import Term, meaning, terms
from tests import _lesson_checks as checks

KNOWN = _glossary.glossary()
NAMES = [folder.name for folder in checks.FOLDERS]
EACH_LESSON = pytest.mark.parametrize("name", NAMES)

# Words that everybody knows in one sense and this course uses in another, narrower one.  Before the lesson
# that narrows them they may stand in the everyday sense, which is given here.
EVERYDAY = {
    "clock": "a thing on the wall, and the time it shows",
    "standing": "not lying, not moving",
    "rise": "to go up",
    "boil": "what water does on a stove",
    "steam": "what comes out of a hot pot",
    "shade": "where the sun does not fall",
    "plate": "what food is eaten from",
    "R²": "the square of a radius R",
    "chance": "how likely a thing is, told as so many in so many",
}
EMPHASISED = re.compile(  # bold, italic, or an option to type
    r"\*\*(?=\S)(.+?)(?<=\S)\*\*|(?<!\*)\*(?=[^\s*])(.+?)(?<=[^\s*])\*(?!\*)|`\"(.+?)\"`", re.S
)
SHORT = 12  # words: more are a sentence in bold, and no word explained


def prose(name: str) -> str:
    """What a lesson's own text says, without its headings."""
    cells = (cell.source for cell in checks.NOTEBOOKS[name].cells if cell.cell_type == "markdown")
    return re.sub(r"^#+ .*$", "", "\n\n".join(cells), flags=re.M)


@cache
def all_words(name: str) -> str:
    """All that a learner may read in a lesson: text, notes in cells, outputs, questions, hints, rubrics."""
    parts = []
    for cell in checks.NOTEBOOKS[name].cells:
        if cell.cell_type == "markdown":
            parts.append(cell.source)
            continue
        parts += re.findall(r"#\s(?!noqa)(.*)", cell.source)
        for output in cell.get("outputs", ()):
            data = output.get("data", {})
            page = BeautifulSoup(data.get("text/html", ""), "html.parser")
            parts += [output.get("text", ""), page.get_text(" "), *(i.get("alt", "") for i in page("img"))]
            parts += [said for kind, said in data.items() if kind != "text/html" and isinstance(said, str)]
    for exercise in checks.EXERCISES[name].values():
        parts += [exercise.title, exercise.question, *exercise.choices.values(), *exercise.hints]
        parts += [alternative.hint for alternative in exercise.alternatives]
        parts += [words for _, words in exercise.rubric]
    return re.sub(r"\{\w+[^{}]*\}", " ", "\n".join(parts))


def used(term: Term, text: str, explained: list[Term]) -> list[str]:
    """Where a term stands in a text, but not as a part of a longer one that is explained already."""
    longer = [t for t in explained if term.name != t.name and term.words.search(t.name)]
    for other in longer:
        text = other.words.sub(" ", text)
    return [text[max(0, m.start() - 60) : m.end() + 40] for m in term.words.finditer(text)]


def test_every_lesson_names_its_words():
    assert {term.lesson for term in KNOWN} == set(NAMES)


@pytest.mark.parametrize("term", KNOWN, ids=lambda term: term.name)
def test_a_word_is_explained_in_one_sentence(term):
    assert term.meaning[0].isupper() and term.meaning.endswith(".")
    assert len(re.findall(r"[.?!](?=\s|$)", term.meaning)) == 1


@pytest.mark.parametrize("term", KNOWN, ids=lambda term: term.name)
def test_a_word_stands_out_where_its_own_lesson_explains_it(term):
    spans = ["".join(filter(None, match.groups())) for match in EMPHASISED.finditer(prose(term.lesson))]
    assert [s for s in spans if term.words.search(s) and len(s.split()) <= SHORT]


@EACH_LESSON
def test_no_word_is_used_before_it_is_explained(name):
    explained = [term for term in KNOWN if term.lesson <= name]
    early = {
        term.name: found[:3]
        for term in KNOWN
        if term.lesson > name and term.name not in EVERYDAY
        if (found := used(term, all_words(name), explained))
    }
    assert not early


def test_only_words_that_need_it_are_let_stand_in_their_everyday_sense():
    for word in EVERYDAY:
        (term,) = (term for term in KNOWN if term.name == word)
        before = [name for name in NAMES if name < term.lesson]
        assert any(used(term, all_words(name), [t for t in KNOWN if t.lesson <= name]) for name in before)


@pytest.mark.parametrize(
    ("name", "stands", "does_not"),
    [
        ("loss", "two losses", "lossless"),
        ("danger zone", "The Danger\nZones", "danger, zone"),
        ("shade", "it shades, it is shading", "lampshade"),
        ("azimuth", "by azimuth.", "azimuthal"),
        ("sun's noon", "the sun's noon", "the sun's noontide"),
    ],
)
def test_a_word_is_found_in_its_forms_only(name, stands, does_not):
    term = Term(name, "Something.", "00-invented")
    assert term.words.search(stands) and not term.words.search(does_not)


# --- asking for one ---


def test_a_learner_gets_a_word_again_wherever_the_lesson_lies(tmp_path, monkeypatch):
    (tmp_path / "90-invented").mkdir()
    (tmp_path / "90-invented" / "exercises.py").write_text("LESSON = ()\n", encoding="utf-8")
    (tmp_path / "90-invented" / "terms.toml").write_text('"snark" = "A boojum."\n', encoding="utf-8")
    monkeypatch.chdir(tmp_path / "90-invented")
    mine = lesson()
    assert mine.meaning("Snarks") == "**snark**: A boojum. (Lesson 90 explains it.)"
    assert "Lesson 00" in mine.meaning("reflector")  # from the course the package runs from
    assert mine.meaning("reflectr").endswith("Did you mean “reflector”?")
    assert "not among the words" in mine.meaning("xyzzy")
    whole = mine.meaning()
    assert all(f"**{term.name}**" in whole for term in KNOWN) and "clockwise from north" in whole
    assert whole._repr_markdown_() == whole == repr(whole)


def test_a_newer_release_beside_an_older_one_is_no_second_explanation(tmp_path):
    for name in ("04-invented", "04-invented-2026-12-01"):
        (tmp_path / name).mkdir()
        (tmp_path / name / "terms.toml").write_text('"snark" = "A boojum."\n', encoding="utf-8")
    assert [term.lesson for term in terms(tmp_path)] == ["04-invented"]


@pytest.mark.parametrize(
    ("text", "said"),
    [('"snark" = ', "cannot be read"), ('"Reflector" = "Twice."\n', "'Reflector' is explained twice")],
)
def test_a_damaged_list_and_a_word_explained_twice_are_told(tmp_path, text, said):
    (tmp_path / "90-invented").mkdir()
    (tmp_path / "90-invented" / "terms.toml").write_text(text, encoding="utf-8")
    with pytest.raises(ValueError, match=said):
        terms(tmp_path, _glossary._notebooks.LESSONS)


# --- the page ---


def test_the_page_holds_every_word_once_with_its_lesson_and_the_conventions():
    page = BeautifulSoup(_glossary.html(KNOWN, lambda name: f"{name}.html"), "html.parser")
    assert [d.get_text() for d in page("dfn")] == sorted((t.name for t in KNOWN), key=str.casefold)
    anchors = [each["id"] for each in page.find_all(id=True)]
    assert len(set(anchors)) == len(anchors) == len(KNOWN) + 1
    inside = {"#how-things-are-counted"}
    assert {link["href"] for link in page("a")} == {f"{name}.html" for name in NAMES} | inside
    assert len(page("h1")) == 1 and all(said in page.get_text() for _, said in glossary.CONVENTIONS)


def test_the_conventions_are_those_of_the_words():
    for name in ("azimuth", "tilt", "elevation"):
        told = dict(glossary.CONVENTIONS)[name]
        word = meaning(name, KNOWN).casefold()
        assert {"azimuth": "clockwise from north", "tilt": "level", "elevation": "horizon"}[name] in told
        assert set(re.findall(r"\d+°", word)) <= set(re.findall(r"\d+°", told))

"""The listing for teachers says what the exercises say; the course names what it set out to name."""

from __future__ import annotations

import re
from collections import Counter

import pytest

from instructor import _commands, misconceptions
from instructor.misconceptions import OURS, Way, listing, names, ways
from solarlab.exercises import KINDS, Alternative, Exercise
from tests import _lesson_checks as checks

MET = ways()
NAMES = names(MET)
TOLD = re.compile(r"\(from memory\)|\(read for this course\)|\bdoi\b", re.I)

# What the course set out to name, and the name it has.  The lesson is the one that teaches against it.
WANTED = {
    "oven thermometer shows the food": ("oven-thermometer-shows-the-food", "01"),
    "water boils at 100 °C everywhere": ("boils-at-100-everywhere", "03"),
    "a harder boil cooks faster": ("harder-boil-cooks-faster", "03"),
    "hot day, hot oven": ("hot-day-hot-oven", "02"),
    "half cloud, half sun": ("half-cloud-half-sun", "06"),
    "mirrors gather cloud light": ("mirrors-gather-cloud-light", "06"),
    "tilt equals latitude all day": ("tilt-equals-latitude", "04"),
    "mirrors add their whole area": ("mirrors-add-their-whole-area", "04"),
    "mis-aim costs only the cosine": ("mis-aim-costs-only-the-cosine", "04"),
    "twice the meat, twice the time": ("twice-the-meat-twice-the-time", "08"),
    "10 % cooler, 10 % longer": ("ten-percent-cooler-ten-percent-longer", "08"),
    "frozen is just colder": ("frozen-is-just-colder", "01"),
    "doubling insulation doubles the rise": ("doubling-insulation-doubles-the-rise", "02"),
    "hot at the end means safe": ("hot-at-the-end-means-safe", "01"),
    "°F difference minus 32": ("difference-minus-32", "09"),
}
# Names that were two for one thing, and are one now.
MERGED = {
    "degrees-into-sine", "oven-air-for-food", "skin-for-middle", "shell-for-core", "height-for-zenith",
    "minutes-for-seconds-of-steam", "sea-level-minutes", "thickness-does-not-matter", "size-not-squared",
    "time-as-mass", "a-bit-cooler-a-bit-longer", "cold-oven", "standing-does-not-count", "area-times-beam",
    "a-watt-a-minute", "natural-exponent", "no-reflectance", "wrong-way-round", "scaled-the-wrong-way",
}  # fmt: skip


# --- the data ---


@pytest.mark.parametrize("wanted", WANTED)
def test_each_misconception_that_was_asked_for_is_a_model_in_the_lesson_that_teaches_against_it(wanted):
    name, number = WANTED[wanted]
    assert number in {way.lesson[:2] for way in NAMES[name]}


def test_one_misconception_has_one_name():
    assert not MERGED & set(NAMES)
    assert len(NAMES) >= 60
    assert all(re.fullmatch(r"[a-z0-9]+(-[a-z0-9]+)*", name) for name in NAMES)


def test_every_way_says_why_people_hold_it_what_moves_them_and_whose_claim_that_is():
    for way in MET:
        a = way.alternative
        assert all(said.strip() and len(said) < 400 for said in (a.why, a.hint)), way.name
        assert a.source == OURS or TOLD.search(a.source), (way.name, a.source)


def test_the_course_has_as_many_exercises_of_each_kind_as_it_set_out_to_have():
    lessons = Counter(exercise.id.split("/")[0] for exercise in checks.ALL)
    kinds = Counter(exercise.kind for exercise in checks.ALL)
    assert len(checks.ALL) >= 45 and min(lessons.values()) >= 4
    assert len(lessons) == len(checks.FOLDERS) == 11
    assert set(kinds) == set(KINDS)
    assert kinds["function"] + kinds["bug"] >= 20
    assert all(exercise.inputs for exercise in checks.FUNCTIONS)  # tested on inputs never shown


# --- the listing ---


def test_the_stored_listing_is_what_the_exercises_say():
    assert misconceptions.FILE.read_text("utf-8") == listing(MET), "run: python instructor misconceptions"


def test_the_listing_has_a_row_for_every_way_and_nothing_else():
    page = listing(MET)
    rows = [re.split(r"(?<!\\) \| ", line) for line in page.split("\n") if line.startswith("| `")]
    whole = [row for row in rows if len(row) == 5]
    assert [row[0].split("`")[1] for row in whole] == [way.name for way in MET]
    assert [row[3] for row in whole] == [f"{way.alternative.credit:.0%}" for way in MET]
    often = [row for row in rows if len(row) == 4]
    assert len(often) == sum(len({w.exercise.id for w in each}) >= 3 for each in NAMES.values())
    assert len(rows) == len(whole) + len(often)


def way(lesson, exercise, track, name, source=OURS):
    made = Exercise(
        f"{lesson[3:]}/{exercise}", "number", "Some | thing", "?", "x", 1.0, answer=lambda v: 1.0, track=track
    )
    return Way(lesson, made, Alternative(name, lambda v: 2.0, "Look\nagain.", "Who knows | why.", source))


def test_the_counts_are_those_of_the_data():
    met = [
        way("01-a", "x", "no-code", "one"), way("01-a", "y", "code", "one"), way("01-a", "y", "code", "two"),
        way("02-b", "z", "no-code", "three", "A. Body 1999 (from memory)"), way("02-b", "q", "code", "one"),
    ]  # fmt: skip
    assert misconceptions.counts(met) == {
        "ways": 3, "exercises": 4, "lessons": 2, "no_code": 2, "code": 1, "recurring": 1, "cited": 1,
    }  # fmt: skip
    page = listing(met)
    assert "| `one` | 3 | 01, 02 | Who knows \\| why. |" in page
    assert "| `one` (also `a/y`, `b/q`) | Who knows \\| why. | Look again. | 0% | ours |" in page
    assert page.count("## Lesson") == 2 and page.endswith("|\n") and "\n\n\n" not in page


def test_the_command_writes_the_listing_whole(tmp_path, monkeypatch, capsys):
    monkeypatch.setattr(misconceptions, "FILE", tmp_path / "listing.md")
    assert _commands.main(["misconceptions"]) == 0
    assert [path.name for path in tmp_path.iterdir()] == ["listing.md"]
    assert (tmp_path / "listing.md").read_text("utf-8") == listing(MET)
    assert f"{len(NAMES)} ways" in capsys.readouterr().out

"""Ovens of one's own: where they are kept, found by name, and offered by every lesson's benches."""

from dataclasses import replace

import pytest

from solarlab import oven
from solarlab._picture import Picture
from solarlab.own import own_folder, own_ovens, save_own, with_own
from tests import _lesson_checks as checks

MINE = "Grace's box"  # invented
OFFERING = [
    cell for cell in checks.bench_cells()
    if any(control.name == "oven" for control in checks.bench(*cell, None).controls)
]  # fmt: skip


@pytest.fixture
def mine(monkeypatch, tmp_path):
    """An oven of one's own that loses more, and throws less, than the one it was built like."""
    monkeypatch.setenv("SOLARLAB_HOME", str(tmp_path))
    like = oven("one-mirror box")
    worse = {"wall_conductance": 1.4 * like.wall_conductance, "reflectance": 0.8 * like.reflectance}
    made = replace(like, name=MINE, **worse)
    save_own(made)
    return made


def test_an_oven_of_ones_own_is_found_by_its_name_and_the_shelf_comes_first(mine):
    assert oven("grace's BOX").wall_conductance == pytest.approx(mine.wall_conductance)
    assert with_own(("bare box",)) == ("bare box", MINE)
    save_own(replace(mine, name="bare box"), "other")
    assert list(own_ovens()) == [MINE]
    assert oven("bare box").wall_conductance != mine.wall_conductance
    with pytest.raises(ValueError, match="no oven 'barn box'"):
        oven("barn box")


def test_from_outside_the_lessons_the_learners_copy_of_them_keeps_it(monkeypatch, tmp_path):
    monkeypatch.delenv("SOLARLAB_HOME")
    monkeypatch.setenv("HOME", str(tmp_path))
    monkeypatch.setenv("USERPROFILE", str(tmp_path))
    terminal, copy = tmp_path / "course", tmp_path / "solarlab-lessons"
    lesson = copy / "02-warm-box"
    terminal.mkdir()
    monkeypatch.chdir(terminal)
    assert own_folder() == terminal / "solarlab-ovens"
    lesson.mkdir(parents=True)
    (lesson / "exercises.py").touch()
    assert own_folder() == copy / "solarlab-ovens"
    monkeypatch.chdir(lesson)
    assert own_folder() == copy / "solarlab-ovens"


def test_the_lessons_from_safe_to_eat_to_stand_and_teach_offer_ovens():
    assert {name[:2] for name, _ in OFFERING} >= {"01", "02", "03", "04", "07", "08", "10"}


@pytest.mark.parametrize(("name", "label"), OFFERING, ids=["-".join(cell) for cell in OFFERING])
def test_every_bench_that_offers_ovens_offers_ones_own_and_works_with_it(mine, name, label):
    bench = checks.bench(name, label, None)
    shown = bench.picture.alt
    bench.set(oven=MINE)
    assert bench.message == "" and isinstance(bench.picture, Picture)
    assert bench.picture.alt != shown

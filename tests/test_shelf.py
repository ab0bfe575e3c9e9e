"""An oven of one's own: saved with its sources, never over another, read back or refused in a sentence."""

from __future__ import annotations

import re
from dataclasses import replace

import numpy as np
import pytest

from solarlab import catalogue as c

BOX = c.oven("four-mirror box")


@pytest.mark.parametrize("name", c.ovens())
def test_a_saved_oven_comes_back_the_same(name, tmp_path):
    file = tmp_path / "mine.toml"
    c.save_oven(c.oven(name), file)
    back = c.load_oven(file)
    assert back == c.oven(name) and back.sources == c.oven(name).sources and back.about == c.oven(name).about
    assert [path.name for path in tmp_path.iterdir()] == ["mine.toml"]


def test_a_saved_oven_says_what_was_changed(tmp_path):
    mine = replace(
        BOX, name='Ali\'s "box" ☀', dust=0.3, wall_conductance=1.2, sources={"dust": BOX.sources["dust"]}
    )
    c.save_oven(mine, tmp_path / "mine.toml")
    back = c.load_oven(tmp_path / "mine.toml")
    assert back == mine
    assert back.sources["dust"].source.startswith("changed by hand; was 0.03")
    assert back.sources["wall_conductance"].source == "stated by hand"


def test_saving_never_overwrites_unasked(tmp_path):
    file = tmp_path / "mine.toml"
    file.write_text("mine")
    with pytest.raises(FileExistsError, match=r"mine\.toml is already there"):
        c.save_oven(BOX, file)
    assert file.read_text() == "mine"
    c.save_oven(BOX, file, replace=True)
    assert c.load_oven(file) == BOX
    with pytest.raises(ValueError, match="only a thing of single numbers can be saved"):
        c.save_oven(c.vary(BOX, np.random.default_rng(0), 3), tmp_path / "many.toml")
    assert not (tmp_path / "many.toml").exists()


@pytest.mark.parametrize(
    ("change", "told"),
    [
        (lambda t: t.replace('unit = "m²"', 'unit = "cm²"', 1), "tray_area is in 'cm²'; it must be in 'm²'"),
        (lambda t: t.replace("dust =", "dost ="), "there is no field 'dost'; did you mean 'dust'"),
        (lambda t: re.sub(r"dust = .*\n", "", t), "field 'dust' is missing"),
        (lambda t: re.sub(r"dust = .*\n", "dust = 0.1\n", t), "dust lacks its unit"),
        (lambda t: re.sub(r"(dust = \{ value = )[0-9.]+", r"\1nan", t), "dust holds something that"),
        (lambda t: re.sub(r"(dust = \{ value = )[0-9.]+", r"\g<1>7.0", t), "dust is 7"),
        (lambda t: t + t.replace("four-mirror", "second"), "holds 2 ovens"),
        (lambda t: t[:200], "not a readable TOML file"),
        (lambda t: "like = 3", "has no entry 'like' that is a table"),
        (lambda t: '[a]\nlike = "b"', "'a' is like 'b', which is not another entry"),
    ],
)  # fmt: skip
def test_a_damaged_oven_file_gets_one_clear_sentence(change, told, tmp_path):
    file = tmp_path / "mine.toml"
    c.save_oven(BOX, file)
    file.write_text(change(file.read_text("utf-8")), "utf-8")
    with pytest.raises(ValueError) as caught:
        c.load_oven(file)
    assert told in str(caught.value)


def test_a_missing_or_binary_oven_file_is_named(tmp_path):
    with pytest.raises(FileNotFoundError, match=r"none\.toml can't be read"):
        c.load_oven(tmp_path / "none.toml")
    (tmp_path / "b.toml").write_bytes(b"\xff\xfe\x00")
    with pytest.raises(ValueError, match="not text in UTF-8"):
        c.load_oven(tmp_path / "b.toml")

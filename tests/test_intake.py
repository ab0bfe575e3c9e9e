"""Taking returned work in: whose it is, which lesson, what is newest, and nothing lost or let out."""

import io
import os
import stat
import zipfile
from datetime import UTC, datetime

import pytest

from instructor import archive, intake
from instructor.course import Learner
from instructor.gradebook import penalty
from instructor.intake import ASIDE, EARLIER, SAME, TAKEN, find_learner, take_in
from tests.corpus import small_lesson
from tests.corpus.returns import packed
from tests.marking_class import answered, new_class

NAME = small_lesson.NAME
WORK = packed(answered())
OTHER = packed(answered(loss='loss = "B"'))


@pytest.fixture
def class_(tmp_path):
    """A class of its own."""
    return new_class(tmp_path / "class")


def zipped(path, entries: dict, times: dict | None = None):
    """A zip with these entries: name -> bytes, or an entry made by hand -> bytes."""
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as file:
        for name, data in entries.items():
            info = (
                name if isinstance(name, zipfile.ZipInfo) else zipfile.ZipInfo(name, (2024, 3, 1, 12, 0, 0))
            )
            if isinstance(name, str):
                info.date_time = (times or {}).get(name, info.date_time)
                info.compress_type = zipfile.ZIP_DEFLATED
            file.writestr(info, data)
    return path


def states(taken):
    """(state, learner, lesson) of each."""
    return [(each.state, each.learner, each.lesson) for each in taken]


def test_a_memory_stick_of_folders(class_, tmp_path):
    stick = tmp_path / "stick"
    for folder, name in (
        ("Amina Demo", "my work.ipynb"),
        ("bruno", f"{NAME} (1).ipynb"),
        ("CHEN", f"{NAME}.ipynb"),
    ):
        (stick / folder).mkdir(parents=True)
        (stick / folder / name).write_bytes(WORK)
    (stick / "bruno" / "log of the day.csv").write_text("t,x\n1,2\n")
    taken = take_in(class_, stick)
    assert states(taken) == [(TAKEN, "amina", NAME), (TAKEN, "chen", NAME), (TAKEN, "bruno", NAME)]
    assert any("renamed" in words for words in taken[0].words)
    kept = class_.folder / "submitted" / "bruno" / NAME
    assert sorted(os.listdir(kept)) == [f"{NAME}.ipynb", "log of the day.csv", "timestamp.txt"]


def test_a_learning_platforms_zip_of_zips(class_, tmp_path):
    inner = io.BytesIO()
    zipped(inner, {f"{NAME}.ipynb": WORK})
    path = zipped(tmp_path / "all.zip", {
        "Demo Amina_1234567_assignsubmission_file_/work.zip": inner.getvalue(),
        f"Demo Bruno_1234568_assignsubmission_file_/{NAME}.ipynb": OTHER,
        "__MACOSX/._x.ipynb": b"x",
    })  # fmt: skip
    assert states(take_in(class_, path)) == [(TAKEN, "amina", NAME), (TAKEN, "bruno", NAME)]


def test_nbgraders_exchange_with_its_own_time_stamps(class_, tmp_path):
    for who, when in (
        ("amina", "2024-03-01 10:00:00.000000 UTC"),
        ("amina", "2024-03-02 10:00:00.000000 UTC"),
    ):
        folder = tmp_path / "inbound" / f"{who}+{NAME}+{when}+a1b2"
        folder.mkdir(parents=True)
        (folder / f"{NAME}.ipynb").write_bytes(WORK if when[9] == "1" else OTHER)
    taken = take_in(class_, tmp_path / "inbound")
    assert states(taken) == [(TAKEN, "amina", NAME), (TAKEN, "amina", NAME)]
    assert taken[1].received == "2024-03-02T10:00:00+00:00"
    assert (class_.folder / "submitted" / "amina" / NAME / f"{NAME}.ipynb").read_bytes() == OTHER


def test_duplicates_by_time_are_both_kept_and_the_newest_counts(class_, tmp_path):
    late = zipped(tmp_path / "amina.zip", {f"{NAME}.ipynb": OTHER})
    early = zipped(
        tmp_path / "amina early.zip", {f"{NAME}.ipynb": WORK}, {f"{NAME}.ipynb": (2024, 2, 1, 9, 0, 0)}
    )
    assert states(take_in(class_, late)) == [(TAKEN, "amina", NAME)]
    assert states(take_in(class_, late)) == [(SAME, "amina", NAME)]
    assert states(take_in(class_, early)) == [(EARLIER, "amina", NAME)]
    assert (class_.folder / "submitted" / "amina" / NAME / f"{NAME}.ipynb").read_bytes() == OTHER
    (kept,) = (class_.folder / "earlier" / "amina" / NAME).iterdir()
    assert (kept / f"{NAME}.ipynb").read_bytes() == WORK


def test_the_same_two_returns_in_the_other_order_end_the_same(class_, tmp_path):
    early = zipped(
        tmp_path / "amina early.zip", {f"{NAME}.ipynb": WORK}, {f"{NAME}.ipynb": (2024, 2, 1, 9, 0, 0)}
    )
    late = zipped(tmp_path / "amina.zip", {f"{NAME}.ipynb": OTHER})
    assert [each.state for path in (early, late) for each in take_in(class_, path)] == [TAKEN, TAKEN]
    assert (class_.folder / "submitted" / "amina" / NAME / f"{NAME}.ipynb").read_bytes() == OTHER
    assert len(list((class_.folder / "earlier" / "amina" / NAME).iterdir())) == 1


def test_unknown_learners_and_unknown_lessons_are_set_aside_with_the_reason(class_, tmp_path):
    path = zipped(tmp_path / "box.zip", {
        f"Nobody Known/{NAME}.ipynb": packed(answered(learner='learner = "somebody"')),
        "amina/shopping.ipynb": b'{"cells": [{"cell_type": "markdown", "source": "eggs"}], "nbformat": 4}',
        "bruno/photo.jpg": b"x",
    })  # fmt: skip
    assert states(take_in(class_, path)) == [(ASIDE, "", NAME), (ASIDE, "amina", ""), (ASIDE, "bruno", "")]
    reasons = sorted(path.read_text("utf-8") for path in (class_.folder / "aside").glob("*/reason.txt"))
    assert len(reasons) == 3 and "No learner of the roster" in reasons[0]
    before = sorted(os.listdir(class_.folder / "aside"))
    take_in(class_, path)
    assert sorted(os.listdir(class_.folder / "aside")) == before


def test_a_zip_cannot_write_outside_nor_bring_a_link_nor_a_bomb(class_, tmp_path):
    link = zipfile.ZipInfo("amina/link.ipynb")
    link.external_attr = (stat.S_IFLNK | 0o777) << 16
    bomb = zipfile.ZipInfo("chen/bomb.csv")
    bomb.compress_type = zipfile.ZIP_DEFLATED
    path = zipped(tmp_path / "bad.zip", {
        link: str(class_.folder / "secret").encode(),
        f"../../../amina/{NAME}.ipynb": WORK,
        f"/etc/bruno/{NAME}.ipynb": WORK,
        f"C:\\divya\\{NAME}.ipynb": WORK,
        bomb: b"0" * 50_000_000,
        f"chen/{NAME}.ipynb": WORK,
    })  # fmt: skip
    before = {p for p in tmp_path.rglob("*") if class_.folder not in p.parents}
    taken = take_in(class_, path)
    assert {p for p in tmp_path.rglob("*") if class_.folder not in p.parents} == before
    got = {(each.state, each.learner) for each in taken}
    assert {(TAKEN, who) for who in ("bruno", "chen", "divya")} <= got
    words = " ".join(word for each in taken for word in each.words)
    assert "is a link" in words and "leads out of the zip" in words and "zip bomb" in words
    assert (class_.folder / "secret").read_text() not in str(list((class_.folder / "submitted").rglob("*")))


def test_a_size_that_lies_is_found_out(tmp_path, monkeypatch):
    monkeypatch.setattr(archive, "BYTES_LIMIT", 1000)
    entry = zipfile.ZipInfo("amina/x.ipynb")
    path = zipped(tmp_path / "lie.zip", {entry: b"a" * 5000})
    data = bytearray(path.read_bytes())
    at = data.index(b"PK\x01\x02")
    data[at + 24 : at + 28] = (10).to_bytes(4, "little")  # the directory's word for the unpacked size
    path.write_bytes(data)
    (bundle,) = archive.bundles(path)
    assert bundle.files[0].problem and bundle.files[0].data == b""


def test_damaged_zip_damaged_entry_locked_entry(tmp_path):
    path = zipped(tmp_path / "amina.zip", {"a.ipynb": WORK})
    whole = path.read_bytes()
    path.write_bytes(whole[: len(whole) // 2])
    assert not zipfile.is_zipfile(path)
    (bundle,) = archive.bundles(path)
    assert bundle.files[0].name == "amina.zip"
    data = bytearray(whole)
    data[60:200] = bytes(140)
    path.write_bytes(data)
    (bundle,) = archive.bundles(path)
    assert "cannot be unpacked" in bundle.files[0].problem
    data = bytearray(whole)
    at = data.index(b"PK\x01\x02")
    data[6] |= 1
    data[at + 8] |= 1
    path.write_bytes(data)
    (bundle,) = archive.bundles(path)
    assert "password" in bundle.files[0].problem


def test_a_file_too_large_is_a_return_that_cannot_be_marked_not_one_that_is_missing(class_, tmp_path):
    (tmp_path / "in" / "amina").mkdir(parents=True)
    with (tmp_path / "in" / "amina" / f"{NAME}.ipynb").open("wb") as file:
        file.truncate(200_000_000)
    assert states(take_in(class_, tmp_path / "in")) == [(TAKEN, "amina", NAME)]
    assert "200 MB" in (class_.folder / "submitted" / "amina" / NAME / intake.WHY).read_text("utf-8")


@pytest.mark.parametrize(
    ("raw", "kept"),
    [
        ("my work (final).ipynb", "my work (final).ipynb"),
        ("zoë's œuf.ipynb", "zoë's œuf.ipynb"),
        ("zoe\u0308.ipynb", "zoë.ipynb"),
        ("\u202egpj.هيئة\u202c.ipynb", "gpj.هيئة.ipynb"),
        ("שלום.ipynb", "שלום.ipynb"),
        ("a/b\\c:d.ipynb", "a b c d.ipynb"),
        ("...", "unnamed"),
        ("CON.ipynb", "_CON.ipynb"),
        ("x" * 300 + ".ipynb", "x" * 90 + ".ipynb"),
        ("tab\there\nand\x00there.ipynb", "tab here and there.ipynb"),
    ],
)
def test_names_are_made_safe_and_stay_the_persons_own(raw, kept):
    assert archive.clean(raw) == kept
    assert archive.clean(kept) == kept


def test_whose_it_is():
    roster = [
        Learner("1001", "Zoë", "Demo-Ya", "zoe@example.org"),
        Learner("1002", "Zo", "Demo"),
        Learner("sam", "Sam", "Demo"),
        Learner("sam2", "Sam", "Demo"),
    ]

    def who(folders, file="x.ipynb", inside=()):
        learner, words = find_learner(roster, folders, file, inside)
        return learner.id if learner else None, words

    assert who(["ZOE DEMO YA"])[0] == "1001"
    assert who(["Demo-Ya, Zoë_55_assign"])[0] == "1001"
    assert who(["zoe@example.org"])[0] == "1001"
    assert who(["x"], "1002 07-dry-egg.ipynb")[0] == "1002"
    assert who(["stick"], "x.ipynb", ["sam2"])[0] == "sam2"
    assert who(["Sam Demo"])[0] is None  # two people of one name: asked, not guessed
    assert who(["sam", "1002"])[0] is None
    found, words = who(["sam"], "sam2.ipynb")
    assert found == "sam" and "the folder counts" in words[0]
    assert who(["11002"])[0] is None


def test_the_late_policy_takes_what_it_says_and_never_more_than_was_earned():
    assert penalty({}, 8.0, 1e6) is None
    days = {"policy": "per_day", "share": 0.1, "grace_minutes": 15}
    assert penalty(days, 8.0, 14 * 60) is None
    assert penalty(days, 8.0, 16 * 60) == pytest.approx(0.8)
    assert penalty(days, 8.0, 26 * 3600) == pytest.approx(1.6)
    assert penalty(days, 8.0, 1e7) == 8.0
    assert penalty({"policy": "zero"}, 8.0, 1.0) == 8.0
    with pytest.raises(ValueError, match="none, per_day or zero"):
        penalty({"policy": "harsh"}, 8.0, 1.0)


def test_the_time_given_on_the_command_line_counts(class_, tmp_path):
    path = zipped(tmp_path / "amina.zip", {f"{NAME}.ipynb": WORK})
    (taken,) = take_in(class_, path, received=datetime(2024, 1, 1, tzinfo=UTC))
    assert taken.received == "2024-01-01T00:00:00+00:00"


def test_a_class_with_nothing_released_says_so(tmp_path):
    from instructor.course import create

    (tmp_path / "r.csv").write_text("id\namina\n", "utf-8")
    made = create(tmp_path / "empty", tmp_path / "r.csv")
    with pytest.raises(ValueError, match="No lesson is released"):
        take_in(made, tmp_path)
    with pytest.raises(ValueError, match="already holds a class"):
        create(tmp_path / "empty", tmp_path / "r.csv")

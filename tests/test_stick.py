"""What else comes back on a stick: names and files as browsers, mail, clouds and worn sticks leave them."""

import io
import os

import pytest

from instructor import archive, intake
from instructor.intake import ASIDE, SAME, TAKEN, take_in
from tests.corpus.returns import packed
from tests.marking_class import answered
from tests.test_intake import NAME, OTHER, WORK, class_, states, zipped

__all__ = ["class_"]  # a fixture, asked for by its name


def one_by_one(class_, folder, **files):
    """Lay files in the learner amina's folder, collect, and return what became of them."""
    (folder / "amina").mkdir(parents=True, exist_ok=True)
    for name, data in files.items():
        (folder / "amina" / name).write_bytes(data)
    return take_in(class_, folder)


@pytest.mark.parametrize(
    "name",
    [f"Copy of {NAME} (1).ipynb", f"{NAME}.ipynb.txt", f"{NAME}.json", f"{NAME}.ipynb.download",
     f"{NAME} - Kopie (2).IPYNB", "no ending", "e\u0301tude.ipynb", "x" * 200 + ".ipynb", "CON.ipynb"],
)  # fmt: skip
def test_a_notebook_is_known_whatever_a_browser_or_mail_made_of_its_name(class_, tmp_path, name):
    (taken,) = one_by_one(class_, tmp_path / "in", **{name: WORK, "log.csv": b"t,x\n1,2\n"})
    assert (taken.state, taken.learner, taken.lesson) == (TAKEN, "amina", NAME)
    assert sorted(os.listdir(class_.folder / "submitted" / "amina" / NAME)) == [
        f"{NAME}.ipynb", "log.csv", "timestamp.txt",
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("name", "data", "words"),
    [
        ("work.7z", b"7z\xbc\xaf\x27\x1c" + bytes(40), "is a 7z, which is not unpacked"),
        ("work.rar", b"Rar!\x1a\x07\x01\x00" + bytes(40), "is a RAR"),
        ("work.tar.gz", b"\x1f\x8b\x08" + bytes(40), "is a gzip"),
        ("work.tar", bytes(257) + b"ustar\x0000" + bytes(248), "is a tar"),
        (f".{NAME}.ipynb.icloud", b"bplist00" + bytes(40), "download it"),
        ("notes.txt", b"hello", "no notebook in this folder"),
    ],
)
def test_what_hides_a_notebook_is_set_aside_with_what_to_do(class_, tmp_path, name, data, words):
    (taken,) = one_by_one(class_, tmp_path / "in", **{name: data})
    assert taken.state == ASIDE and taken.learner == "amina" and words in taken.words[0]
    (kept,) = (class_.folder / "aside").iterdir()
    assert words in (kept / "reason.txt").read_text("utf-8") and len(list(kept.iterdir())) == 2


def test_zips_within_more_zips_than_are_opened_are_told(class_, tmp_path):
    data = WORK
    for depth in range(5):
        packed_once = io.BytesIO()
        zipped(packed_once, {f"{NAME}.ipynb" if depth == 0 else "inner.zip": data})
        data = packed_once.getvalue()
    (taken,) = one_by_one(class_, tmp_path / "in", **{"outer.zip": data})
    assert taken.state == ASIDE and "zip within many zips" in taken.words[0]


def test_an_empty_file_and_one_that_cannot_be_read_end_nothing_and_are_told(class_, tmp_path, monkeypatch):
    (taken,) = one_by_one(class_, tmp_path / "in", **{f"{NAME}.ipynb": b""})
    assert taken.state == TAKEN and any("cloud folder" in words for words in taken.words)
    real = archive.Path.read_bytes

    def worn(path):
        if path.parent.name == "bruno":
            raise OSError(5, "Input/output error", str(path))
        return real(path)

    (tmp_path / "in" / "bruno").mkdir()
    (tmp_path / "in" / "bruno" / f"{NAME}.ipynb").write_bytes(WORK)
    monkeypatch.setattr(archive.Path, "read_bytes", worn)
    taken = take_in(class_, tmp_path / "in")
    assert states(taken)[1] == (TAKEN, "bruno", NAME)
    why = class_.folder / "submitted" / "bruno" / NAME / intake.WHY
    assert "Input/output error" in why.read_text("utf-8")


def test_a_time_that_has_not_come_does_not_count_for_ever(class_, tmp_path):
    path = tmp_path / "in" / "amina" / f"{NAME}.ipynb"
    one_by_one(class_, tmp_path / "in", **{path.name: WORK})
    os.utime(path, (4e9, 4e9))  # the year 2096
    (taken,) = take_in(class_, tmp_path / "in")
    assert taken.state == SAME
    path.write_bytes(OTHER)
    os.utime(path, (4e9, 4e9))
    (taken,) = take_in(class_, tmp_path / "in")
    assert taken.state == TAKEN and any("a clock is wrong" in words for words in taken.words)
    path.write_bytes(WORK)
    (taken,) = take_in(class_, tmp_path / "in")
    assert taken.state == TAKEN
    os.utime(path, (1e12, 1e12))  # no year at all
    assert states(take_in(class_, tmp_path / "in")) == [(SAME, "amina", NAME)]


def test_a_return_that_only_names_itself_is_taken_and_that_is_told(class_, tmp_path):
    (tmp_path / "in" / "stick").mkdir(parents=True)
    (tmp_path / "in" / "stick" / "Untitled.ipynb").write_bytes(WORK)
    (taken,) = take_in(class_, tmp_path / "in")
    assert states([taken]) == [(TAKEN, "amina", NAME)] and "only" in taken.words[0].lower()


def test_two_who_swapped_their_folders_are_found_out(class_, tmp_path):
    for folder, typed in (("amina", "bruno"), ("bruno", "amina")):
        (tmp_path / "in" / folder).mkdir(parents=True)
        work = packed(answered(learner=f'learner = "{typed}"'))
        (tmp_path / "in" / folder / f"{NAME}.ipynb").write_bytes(work)
    taken = take_in(class_, tmp_path / "in")
    assert states(taken) == [(TAKEN, "amina", NAME), (TAKEN, "bruno", NAME)]
    for each, typed in zip(taken, ("bruno", "amina"), strict=True):
        assert f"In the notebook stands the name of {typed}." in each.words


def test_names_that_differ_in_capitals_only_are_both_kept(class_, tmp_path):
    path = zipped(tmp_path / "amina.zip", {
        f"{NAME}.ipynb": WORK, "Log.csv": b"1", "log.csv": b"2", "Timestamp.TXT": b"mine",
    })  # fmt: skip
    assert states(take_in(class_, path)) == [(TAKEN, "amina", NAME)]
    kept = intake.contents(class_.folder / "submitted" / "amina" / NAME)
    assert {"Log.csv": b"1", "log-2.csv": b"2", "Timestamp-2.TXT": b"mine"}.items() <= kept.items()
    assert len({name.lower() for name in kept}) == len(kept) == 4

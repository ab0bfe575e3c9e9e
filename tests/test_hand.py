"""What a learner wrote, before the eyes of whoever marks it: in a terminal and in a spreadsheet."""

import pytest

from instructor import _commands, export, hand, report
from tests.corpus import small_lesson
from tests.marking_class import new_class


@pytest.mark.parametrize("start", ["=", "+", "-", "@", "\t", "\r", "\uff1d"])
def test_no_cell_of_any_table_is_a_formula(start):
    assert export.safe(f"{start}1+1") == f"'{start}1+1" and export.safe(-1.5) == -1.5
    assert report._csv([("id", "x"), (f"{start}1+1", 2)]).splitlines()[1].strip('"').startswith("'")


def test_a_learners_words_do_not_steer_the_terminal_of_whoever_marks():
    words = "a\x1b[2J\x1b]52;c;x\x07b\x9b1m \u202etxt\u202c\ntab\tthere می\u200cخواهم"
    shown = "a\ufffd[2J\ufffd]52;c;x\ufffdb\ufffd1m \ufffdtxt\ufffd\ntab\tthere می\u200cخواهم"
    assert hand.visible(words) == shown


def test_the_end_of_what_is_typed_ends_marking_by_hand_like_any_other_word(tmp_path, monkeypatch, capsys):
    class_ = new_class(tmp_path / "class")

    def nothing_more(*rest, **named):
        raise EOFError

    monkeypatch.setattr(hand, "sit", nothing_more)
    assert _commands.main(["hand", str(class_.folder), small_lesson.NAME]) == 0
    assert "marks.csv again" in capsys.readouterr().out

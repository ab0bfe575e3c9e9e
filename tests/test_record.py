"""The record of predictions: recorded before the run, never lost silently, scored for calibration."""

from __future__ import annotations

import json
import os
import subprocess
import sys
import threading

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from solarlab import record as rec
from solarlab.figures import calibration as calibration_picture
from solarlab.record import Prediction, Waiting, calibration, predict, record, settle, unlock


@pytest.fixture
def folder(tmp_path):
    return tmp_path / "home"


def files(folder):
    return sorted(path.name for path in folder.rglob("*") if path.is_file())


@pytest.mark.parametrize(("value", "sure"), [(..., ...), (None, "a guess"), (50, ...), ("", "")])
def test_without_a_prediction_the_run_stays_locked_and_nothing_is_written(folder, value, sure):
    guess = predict("egg/hard", "ana", value, sure, unit="min", folder=folder)
    assert isinstance(guess, Waiting) and "Not attempted yet" in str(guess)
    result = unlock(guess, lambda: pytest.fail("ran before the prediction"))
    assert isinstance(result, Waiting) and not result and "Locked" in str(result)
    assert isinstance(settle(guess, 40.0, folder), Waiting)
    assert not folder.exists()


@pytest.mark.parametrize(
    ("value", "sure", "why"),
    [(50, "certain", "a guess"), ("soon", "a guess", "number"), (True, "a guess", "number"),
     (50, 3, "a guess"),
     (float("nan"), "a guess", "number"), (object(), "a guess", "number")],
)  # fmt: skip
def test_what_cannot_be_read_is_explained_not_raised(folder, value, sure, why):
    guess = predict("egg/hard", "ana", value, sure, unit="min", folder=folder)
    assert isinstance(guess, Waiting) and "Cannot read" in str(guess) and why in str(guess)


def test_a_recorded_prediction_unlocks_and_is_held_against_the_outcome(folder):
    guess = predict("egg/hard", "Ana", "1 h 5 min", "Fairly sure", unit="min", within=10, folder=folder)
    assert (guess.value, guess.sure, guess.chance, guess.right) == (65, "fairly sure", 0.65, None)
    assert unlock(guess, lambda: "ran") == "ran"
    assert settle(guess, 74.9, folder).right is True
    (kept,) = record("ana", folder).predictions
    assert (kept.value, kept.outcome, kept.right) == (65, 74.9, True)
    assert record("ben", folder).predictions == ()


def test_a_prediction_may_change_until_the_answer_was_seen(folder):
    predict("egg/hard", "ana", 30, "a guess", unit="min", within=5, folder=folder)
    guess = predict("egg/hard", "ana", 60, "quite sure", unit="min", within=5, folder=folder)
    settle(guess, 90, folder)
    late = predict("egg/hard", "ana", 90, "quite sure", unit="min", within=5, folder=folder)
    assert (late.value, late.right) == (60, False) and "first prediction stands" in str(late)
    assert settle(late, 60, folder).outcome == 90
    assert len(files(folder)) == 1


def test_a_prediction_made_before_is_found_again_when_nothing_is_typed(folder):
    made = predict("egg/hard", "ana", 30, "a guess", unit="min", folder=folder)
    assert predict("egg/hard", "ana", None, None, unit="min", folder=folder) == made
    assert isinstance(predict("egg/hard", "ben", None, None, unit="min", folder=folder), Waiting)
    assert isinstance(predict("egg/hard", "ana", None, "quite sure", unit="min", folder=folder), Waiting)


def test_words_are_predicted_too(folder):
    guess = predict("egg/shell", "ana", "Brown", "a guess", choices=("brown", "white"), folder=folder)
    assert settle(guess, "white", folder).right is False
    assert isinstance(predict("egg/shell2", "ana", "red", "a guess", choices=("brown", "white")), Waiting)


def test_the_example_reader_leaves_no_trace(folder):
    guess = predict("egg/hard", "example", 50, "a guess", unit="min", within=10, folder=folder)
    assert settle(guess, 55, folder).right and not folder.exists()


def test_a_damaged_file_is_set_aside_and_explained_never_lost(folder):
    for n in range(3):
        predict(f"egg/{n}", "ana", 50 + n, "a guess", folder=folder)
    first = next(folder.rglob("egg-0*.json"))
    first.write_text('{"question": "egg/0", "value": 5')
    seen = record("ana", folder)
    assert len(seen.predictions) == 2 and "set aside" in seen.notes[0]
    assert first.with_suffix(".damaged-1").read_text().startswith('{"question"')
    assert record("ana", folder).notes == ()
    again = predict("egg/0", "ana", 44, "a guess", folder=folder)
    assert again.value == 44 and len(record("ana", folder).predictions) == 3


FIELDS = ["question", "who", "value", "sure", "chance", "within", "outcome", "odd"]
BROKEN = st.one_of(
    st.binary(max_size=60),
    st.recursive(st.none() | st.booleans() | st.text(max_size=5) | st.integers(),
                 lambda inner: st.lists(inner, max_size=3), max_leaves=5)
    .map(lambda value: json.dumps(value).encode()),
    st.dictionaries(st.sampled_from(FIELDS),
                    st.none() | st.integers() | st.text(max_size=4) | st.lists(st.none(), max_size=1))
    .map(lambda value: json.dumps(value).encode()),
)  # fmt: skip


@given(BROKEN)
@settings(max_examples=80, deadline=None)
def test_any_bytes_in_a_file_are_survived(tmp_path_factory, broken):
    folder = tmp_path_factory.mktemp("broken")
    predict("egg/0", "ana", 50, "a guess", folder=folder)
    path = next(folder.rglob("*.json"))
    path.write_bytes(broken)
    seen = record("ana", folder)
    assert seen.predictions == () and len(seen.notes) == 1
    assert next(folder.rglob("*.damaged-1")).read_bytes() == broken


def test_a_disk_that_refuses_is_said_and_the_session_goes_on(tmp_path):
    blocked = tmp_path / "file"
    blocked.write_text("in the way")
    guess = predict("egg/hard", "ana", 50, "a guess", folder=blocked)
    assert "this session only" in str(guess)
    assert unlock(guess, lambda: 1) == 1
    assert blocked.read_text() == "in the way"


def test_a_kill_while_writing_leaves_the_old_file_whole(folder):
    predict("egg/hard", "ana", 50, "a guess", folder=folder)
    code = (
        "import os, sys; from solarlab import record\n"
        "os.replace = lambda *a: os._exit(9)\n"
        "record.predict('egg/hard', 'ana', 99, 'a guess', folder=sys.argv[1])\n"
    )
    assert subprocess.run([sys.executable, "-c", code, str(folder)]).returncode == 9
    assert record("ana", folder).predictions[0].value == 50


def test_two_notebooks_writing_at_once_lose_nothing(folder):
    def write(start):
        for n in range(start, start + 20):
            predict(f"egg/{n}", "ana", n, "a guess", folder=folder)

    threads = [threading.Thread(target=write, args=(20 * k,)) for k in range(4)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    seen = record("ana", folder)
    assert len(seen.predictions) == 80 and seen.notes == ()
    assert not [name for name in files(folder) if name.endswith(".part")]


def test_the_first_outcome_stands_though_the_lesson_is_open_twice(folder):
    one = predict("a", "Amina", 70, "fairly sure", within=5, folder=folder)
    predict("a", "Amina", 90, "fairly sure", within=5, folder=folder)  # changed in the other window
    seen = settle(one, 90, folder)
    assert (seen.value, seen.outcome) == (90, 90)
    assert settle(one, 999, folder).outcome == 90
    assert record("Amina", folder).predictions[0].outcome == 90


def test_the_copies_of_a_synced_folder_do_not_count_twice(folder):
    settle(predict("a", "Amina", 70, "fairly sure", title="When done", folder=folder), 70, folder)
    (file,) = folder.rglob("*.json")
    names = ("a (copy of the other computer).json", f"{file.stem}.conflict-2.json")
    for name in names:
        file.with_name(name).write_bytes(file.read_bytes())
    found = record("Amina", folder)
    assert len(found.predictions) == 1
    assert sorted(found.notes) == sorted(
        f"{name} is a copy of “When done” under another name; it does not count." for name in names
    )
    assert len(list(folder.rglob("*.json"))) == 3


def test_a_damaged_file_is_told_of_where_the_prediction_is_looked_for(folder):
    predict("a", "Amina", 70, "fairly sure", folder=folder)
    (file,) = folder.rglob("*.json")
    file.write_text("{", encoding="ascii")
    assert "was damaged; it was set aside as" in str(predict("a", "Amina", ..., ..., folder=folder))
    assert file.with_suffix(".damaged-1").read_text("ascii") == "{"


@pytest.mark.parametrize("within", [float("nan"), float("inf"), -1.0])
def test_a_band_that_is_none_is_the_author_s_slip(within, folder):
    with pytest.raises(ValueError, match="how far off still counts is a number from 0 up"):
        predict("a", "Amina", 70, "fairly sure", within=within, folder=folder)
    assert not folder.exists()


def test_learners_whose_names_tidy_to_the_same_are_kept_apart(folder):
    for who in ("ana/../ben", "ana ben", "أمل", "🙂", "a" * 200):
        predict("egg", who, 1, "a guess", folder=folder)
        assert len(record(who, folder).predictions) == 1
    assert all(path.is_relative_to(folder) for path in folder.rglob("*"))
    assert len(files(folder)) == 5


def made(sure, right):
    value = 1.0 if right else 9.0
    return Prediction("q", "ana", value, sure, rec.SURENESS[sure], outcome=1.0)


def test_calibration_counts_each_word_and_scores_the_stated_chances():
    group = [made("quite sure", n < 4) for n in range(8)] + [made("a guess", n < 1) for n in range(3)]
    result = calibration([*group, Prediction("q", "ana", 1.0, "a guess", 0.35)])
    assert list(result.levels.sure) == ["a guess", "quite sure"]
    assert list(result.levels.right) == pytest.approx([100 / 3, 50])
    assert (result.held, result.settled) == (5, 11)
    brier = (4 * 0.01 + 4 * 0.81 + 0.65**2 + 2 * 0.35**2) / 11  # Brier 1950: mean squared miss
    assert result.score == pytest.approx(brier)
    # Wilson interval of 4 in 8 at 95 %: .2152 to .7848 (closed form) [lib]
    assert result.levels.low[1] == pytest.approx(21.52, abs=0.01)
    assert result.levels.high[1] == pytest.approx(78.48, abs=0.01)
    assert "No prediction" in str(calibration([]))
    assert "No prediction" in str(rec.picture([], calibration_picture))
    assert "90 % sure: right 50 % of 8" in rec.picture(group, calibration_picture).alt
    shown = rec.table(group)
    assert shown.frame.columns[0] == "question" and len(shown) == 11
    assert shown._repr_html_().count("<tr>") == 12 and "did not hold" in repr(shown)
    assert repr(rec.table([])) == "Your predictions: no rows yet."


def test_the_record_shows_titles_and_never_a_file_s_name(folder):
    predict("safe-to-eat/middle", "ana", 45, "a guess", unit="°C", title="the bird's middle", folder=folder)
    predict("dark-pot/lid", "ana", 10, "a guess", unit="min", folder=folder)
    kept = record("ana", folder).predictions
    assert set(rec.table(kept).frame.question) == {"the bird's middle", "Dark pot: lid"}
    assert "/" not in rec.table(kept)._repr_html_().replace("</", "").replace("/>", "")


def test_a_prediction_kept_before_there_were_titles_is_still_read(folder):
    predict("egg/hard", "ana", 50, "a guess", title="the egg", folder=folder)
    path = next(folder.rglob("*.json"))
    old = json.loads(path.read_text("utf-8"))
    del old["title"]
    path.write_text(json.dumps(old), encoding="utf-8")
    seen = record("ana", folder)
    assert seen.notes == () and seen.predictions[0].asked == "Egg: hard"


def test_predictions_are_kept_beside_the_lesson_or_where_the_environment_says(tmp_path, monkeypatch):
    lesson = tmp_path / "course" / "07-invented"
    lesson.mkdir(parents=True)
    (lesson / "exercises.py").touch()
    monkeypatch.delenv("SOLARLAB_HOME", raising=False)
    monkeypatch.chdir(lesson)
    assert rec.home() == tmp_path / "course"
    monkeypatch.setenv("SOLARLAB_HOME", os.fspath(tmp_path / "else"))
    assert rec.home() == tmp_path / "else"

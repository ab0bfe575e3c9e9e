"""Marking a class: in parallel, with one writer, and the same gradebook however often the run is killed."""

import dataclasses
import errno
import functools
import json
import os
import random
import signal
import sqlite3
import subprocess
import sys
import time
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest

from instructor import _commands, export, gradebook, nursery, run, walls
from instructor.course import open_course
from instructor.judging import NOT_MARKED
from tests.corpus import small_lesson
from tests.marking_class import QUICK, answered, marked, new_class, pattern, submit

NAME = small_lesson.NAME
WORKS = {
    "amina": answered(),
    "bruno": answered(learner='learner = "bruno"', loss='loss = "B"'),
    "chen": answered(learner='learner = "chen"', average="import os\nos._exit(1)"),
}


@pytest.fixture
def class_(tmp_path):
    """A class in which three learners returned work, one of it deadly, and one returned rubbish."""
    made = new_class(tmp_path / "class")
    for learner, notebook in WORKS.items():
        submit(made, learner, notebook)
    submit(made, "divya", {}).write_bytes(b"<html>sign in</html>")
    return made


def stored(class_):
    """Every stored result and when it was written."""
    return {path: path.stat().st_mtime_ns for path in (class_.folder / "marked").glob("*/*/*.json")}


def test_a_class_is_marked_once_and_known_the_second_time(class_):
    told = []
    with ThreadPoolExecutor(2) as pool:
        summary = run.mark_class(class_, NAME, executor=pool, limits=QUICK, tell=told.append)
        assert (summary.marked, summary.not_marked, summary.known, summary.missing) == (3, 1, 0, ())
        assert [each.done for each in told] == [1, 2, 3, 4] and told[-1].seconds_left == 0
        book, files = gradebook.dump(class_), stored(class_)
        assert {row[1] for row in book} == {"amina", "bruno", "chen"}
        again = run.mark_class(class_, NAME, executor=pool, limits=QUICK)
        assert again.known == 4 and gradebook.dump(class_) == book and stored(class_) == files
        submit(class_, "bruno", answered(learner='learner = "bruno"'))
        third = run.mark_class(class_, NAME, executor=pool, limits=QUICK)
        assert third.known == 3
    results = run.current(class_, NAME)
    assert [mark.score for mark in results["bruno"].marks] == [2.0, 3.0, 2.0, None]
    assert results["divya"].state == NOT_MARKED and results["divya"].marks == ()


def test_a_mark_given_by_hand_stays_when_the_return_is_marked_again(class_):
    with ThreadPoolExecutor(1) as pool:
        run.mark_class(class_, NAME, executor=pool, limits=QUICK)
        with class_.gradebook() as book:
            grade = book.find_grade("why-answer", NAME, NAME, "amina")
            grade.manual_score, grade.needs_manual_grade = 1.5, False
            book.db.commit()
        submit(class_, "amina", answered(loss='loss = "C"'))
        run.mark_class(class_, NAME, executor=pool, limits=QUICK)
    with class_.gradebook() as book:
        grade = book.find_grade("why-answer", NAME, NAME, "amina")
        assert grade.manual_score == 1.5 and grade.needs_manual_grade
        assert book.find_grade("loss-mark", NAME, NAME, "amina").auto_score == 0.0


def test_a_newer_return_that_cannot_be_read_does_not_take_the_mark_away(class_):
    with ThreadPoolExecutor(1) as pool:
        run.mark_class(class_, NAME, executor=pool, limits=QUICK)
        before = gradebook.dump(class_)
        submit(class_, "amina", {}).write_bytes(b"")
        run.mark_class(class_, NAME, executor=pool, limits=QUICK)
    assert gradebook.dump(class_) == before
    assert run.current(class_, NAME)["amina"].state == NOT_MARKED


SPRING = "2026-03-29T03:30:00+02:00"  # half an hour after Central Europe's clocks went from 2 to 3


@pytest.mark.parametrize(
    ("received", "lost"),
    [
        ("2026-03-29T03:44:00+02:00", 0.0),  # within the minutes of grace
        ("2026-03-29T01:44:00+00:00", 0.0),
        ("2026-03-29T03:46:00+02:00", 0.7),
        ("2026-03-29T01:46:00+00:00", 0.7),  # the same instant
        ("2026-03-29T01:59:00+01:00", 0.0),  # by the old clock
    ],
)
def test_late_is_late_by_the_minute_where_clocks_change(class_, received, lost):
    rules = f'[late]\npolicy = "per_day"\nshare = 0.1\ngrace_minutes = 15\n[due]\n{NAME} = {SPRING}\n'
    (class_.folder / "class.toml").write_text(rules, "utf-8")
    (class_.folder / "submitted" / "amina" / NAME / "timestamp.txt").write_text(received, "utf-8")
    late = open_course(class_.folder)
    run.settle(late, marked_once("amina", received))
    assert export.marks(late, NAME)["amina"][2] == pytest.approx(lost)


@functools.cache
def marked_once(learner, received):
    """The result of the right answers, as received at that time."""
    return dataclasses.replace(marked(answered(), learner, way="fresh"), received=received)


def test_a_change_of_the_rules_for_late_work_counts_from_the_next_run(class_):
    result = marked_once("amina", "2026-03-29T12:00:00+00:00")
    run.settle(class_, result)
    assert export.marks(class_, NAME)["amina"][2] == 0.0
    path = class_.folder / "class.toml"
    path.write_text(f'[late]\npolicy = "zero"\n[due]\n{NAME} = {SPRING}\n', "utf-8")
    run.settle(open_course(class_.folder), result)
    assert export.marks(class_, NAME)["amina"][2] == 7.0
    path.write_text("", "utf-8")
    run.settle(open_course(class_.folder), result)
    assert export.marks(class_, NAME)["amina"][2] == 0.0
    assert run.newest(class_, NAME, "amina").fingerprint == result.fingerprint


def test_a_gradebook_in_use_is_told_in_a_sentence_and_nothing_is_lost(class_, capsys):
    other = sqlite3.connect(class_.folder / "gradebook.db", isolation_level=None)
    other.execute("BEGIN EXCLUSIVE")
    assert _commands.main(["report", str(class_.folder), NAME]) == 1
    said = capsys.readouterr().err
    assert "locked" in said and "Nothing is lost" in said and said.count("\n") == 1
    other.execute("ROLLBACK")
    assert _commands.main(["report", str(class_.folder), NAME]) == 0


@pytest.mark.parametrize(
    ("error", "words"),
    [
        (OSError(errno.ENOSPC, "No space left on device", "x.part"), "x.part: the disk is full."),
        (PermissionError(errno.EACCES, "Permission denied", "marks.csv"), "open in another program"),
        (FileNotFoundError(errno.ENOENT, "No such file or directory", "x"), "No such file"),
    ],
)
def test_a_full_disk_and_an_open_file_are_told_in_a_sentence(class_, monkeypatch, capsys, error, words):
    def fails(*rest):
        raise error

    monkeypatch.setattr(export, "write", fails)
    assert _commands.main(["report", str(class_.folder), NAME]) == 1
    said = capsys.readouterr().err
    assert words in said and "Nothing is lost" in said and said.count("\n") == 1


def test_two_runs_at_once_are_refused(class_):
    with run._lock(class_), pytest.raises(run.Busy, match="Another run"):
        run.mark_class(class_, NAME)


def test_a_stored_result_cut_short_is_made_again(class_):
    with ThreadPoolExecutor(2) as pool:
        run.mark_class(class_, NAME, executor=pool, limits=QUICK)
        (path,) = (class_.folder / "marked" / NAME / "amina").glob("*.json")
        whole = path.read_text("utf-8")
        path.write_text(whole[: len(whole) // 2], "utf-8")
        assert run.mark_class(class_, NAME, executor=pool, limits=QUICK).known == 3
    assert json.loads(path.read_text("utf-8")) == json.loads(whole)


def test_a_fault_of_the_marker_is_tried_again_by_the_next_run(class_, monkeypatch):
    with ThreadPoolExecutor(1) as pool:
        monkeypatch.setattr(walls, "INSIDE", Path("/nowhere/inside.py"))
        monkeypatch.setattr(nursery, "works", lambda: False)
        first = run.mark_class(class_, NAME, executor=pool, limits=QUICK)
        assert (first.marked, first.not_marked) == (0, 4) and gradebook.dump(class_) == []
        monkeypatch.undo()
        second = run.mark_class(class_, NAME, executor=pool, limits=QUICK)
    assert (second.marked, second.not_marked, second.known) == (3, 1, 1)  # the rubbish is known
    assert {row[1] for row in gradebook.dump(class_)} == set(WORKS)


def test_a_pool_whose_worker_is_killed_is_set_up_again(class_, monkeypatch):
    tries = []

    def breaks_once(*args):
        tries.append(1)
        if len(tries) == 1:
            raise run.BrokenProcessPool
        return (
            run.mark(run.load(class_, name, NAME), args[3], class_.secret, limits=QUICK)
            for name in list(args[2])
        )

    monkeypatch.setattr(run, "_spread", breaks_once)
    assert run.mark_class(class_, NAME, limits=QUICK).marked == 3 and len(tries) == 2


@pytest.mark.long
def test_killed_at_twenty_random_instants_it_ends_with_the_same_gradebook(class_, tmp_path):
    script = (
        "import sys; from pathlib import Path; from concurrent.futures import ThreadPoolExecutor\n"
        "from instructor import course, run\n"
        "with ThreadPoolExecutor(2) as pool:\n"
        "    run.mark_class(course.open_course(Path(sys.argv[1])), sys.argv[2], executor=pool)\n"
    )

    def start(folder):
        command = [sys.executable, "-c", script, str(folder), NAME]
        with (tmp_path / "said").open("w") as said:
            return subprocess.Popen(command, start_new_session=True, stderr=said)

    whole = new_class(tmp_path / "whole")
    for learner, notebook in WORKS.items():
        submit(whole, learner, notebook)
    submit(whole, "divya", {}).write_bytes(b"<html>sign in</html>")
    (whole.folder / "secret").write_text((class_.folder / "secret").read_text())
    began = time.monotonic()
    assert start(whole.folder).wait() == 0
    seconds = time.monotonic() - began

    chance, seen, kills = random.Random(7), {}, 0
    while kills < 20:
        process = start(class_.folder)
        try:
            process.wait(chance.uniform(0, 0.9 * seconds))
        except subprocess.TimeoutExpired:
            os.killpg(process.pid, signal.SIGKILL)
            process.wait()
        kills += 1
        now = stored(class_)
        assert {path: now.get(path) for path in seen} == seen  # nothing that was marked is marked again
        seen = now
        if len(now) == 4 and kills < 20:  # done early: begin again with some of it taken away
            for path in chance.sample(sorted(now), 2):
                (path.parent / "merged").unlink(missing_ok=True)
                path.unlink()
                seen.pop(path)
    assert start(class_.folder).wait() == 0, (tmp_path / "said").read_text()
    assert gradebook.dump(class_) == gradebook.dump(whole)
    assert len(stored(class_)) == 4 and pattern().is_dir()

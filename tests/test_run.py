"""Marking a class: in parallel, with one writer, and the same gradebook however often the run is killed."""

import json
import os
import random
import signal
import subprocess
import sys
import time
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest

from instructor import gradebook, nursery, run, walls
from instructor.judging import NOT_MARKED
from tests.corpus import small_lesson
from tests.marking_class import QUICK, answered, new_class, pattern, submit

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

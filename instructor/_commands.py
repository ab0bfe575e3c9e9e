"""The commands of ``python instructor``.  Started by it in the course's own Python."""

from __future__ import annotations

import argparse
import errno
import sys
from collections.abc import Sequence
from datetime import datetime
from pathlib import Path

AGAIN = "Nothing is lost: give the same command again when that is put right."
ROOT = Path(__file__).resolve().parent.parent
if __name__ == "__main__":
    sys.path[0] = str(ROOT)  # the modules here are `instructor.…`, to scripts and tests alike


def commands() -> argparse.ArgumentParser:
    """The command line."""
    parser = argparse.ArgumentParser(
        prog="python instructor", description="Mark a class; guide.md tells the whole story."
    )
    sub = parser.add_subparsers(dest="command", required=True, metavar="COMMAND")

    def add(name: str, words: str, *arguments: str) -> argparse.ArgumentParser:
        command = sub.add_parser(name, help=words, description=words)
        for argument in arguments:
            kind = Path if argument in ("class", "roster", "work", "folder", "lesson_folder") else str
            command.add_argument(argument, type=kind, metavar=argument.upper())
        return command

    add("create", "make a class in a folder from a roster CSV", "class", "roster")
    add(
        "release",
        "release a lesson to the class, its solutions and hidden tests stripped",
        "class",
        "lesson_folder",
    )
    collect = add(
        "collect", "take returned work in: a folder, a zip, a memory stick, the exchange", "class", "work"
    )
    collect.add_argument(
        "--received", type=datetime.fromisoformat, metavar="TIME", help="when it was handed in"
    )
    add("mark", "mark all that was returned, then write feedback, report and marks", "class", "lesson")
    hand = add("hand", "mark the explanations by hand, with the keyboard", "class", "lesson")
    hand.add_argument("--anonymous", action="store_true", help="show no names")
    add("feedback", "write the feedback pages again (after marking by hand)", "class", "lesson")
    add("report", "write the class report and marks.csv again", "class", "lesson")
    add("notes", "write the teacher's notes of a lesson, right answers in them", "class", "lesson")
    add("misconceptions", "write the listing of how people go wrong again, from the lessons' exercises")
    words = "write an invented class: a roster, and thirty returns of a lesson"
    add("invent", words, "folder", "lesson_folder")
    add("protection", "say what keeps learners' code away from your files on this computer")
    return parser


def main(arguments: Sequence[str] | None = None) -> int:
    """Run one command; returns 0, or 1 when something was set aside, not marked, or refused in a sentence."""
    given = commands().parse_args(arguments)
    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):  # a name in letters that this terminal has not must end nothing
            stream.reconfigure(errors="replace")
    try:
        return globals()[f"_{given.command}"](given)
    except Exception as error:
        words = _in_a_sentence(error)
        if not words:
            raise
        print(words, file=sys.stderr)
        return 1
    except KeyboardInterrupt:
        print("\nStopped. Nothing is lost: the same command goes on where this one ended.", file=sys.stderr)
        return 130


def _in_a_sentence(error: Exception) -> str:
    """What to tell of an error that is not a fault of these programs; "" for any other."""
    kind = type(error).__name__
    if isinstance(error, ValueError) or kind == "Busy":
        return str(error)
    if isinstance(error, OSError):
        known = {errno.ENOSPC: "the disk is full", errno.EROFS: "that place can only be read"}
        reason = known.get(error.errno) or error.strerror or str(error)
        hint = " Is it open in another program?" if isinstance(error, PermissionError) else ""
        return f"{error.filename or 'A file'}: {reason}.{hint} {AGAIN}"
    if kind == "OperationalError":
        reason = getattr(error, "orig", error)
        return f"The gradebook cannot be used: {reason}. Does another program use it? {AGAIN}"
    return ""


def _course(given: argparse.Namespace):
    from instructor.course import open_course

    return open_course(getattr(given, "class"))


def _create(given: argparse.Namespace) -> int:
    from instructor.course import create

    made = create(getattr(given, "class"), given.roster)
    count = len(made.roster)
    print(f"{count} learner{'s' * (count != 1)} in {made.folder}. Keep its file “secret” to yourself.")
    return 0


def _release(given: argparse.Namespace) -> int:
    from instructor.course import release
    from instructor.tracks import CODE

    made = release(_course(given), given.lesson_folder)
    points = sum(question.points for question in made.questions)
    code = any(exercise.track == CODE for exercise in made.asked())
    print(f"{made.lesson} is released: {len(made.questions)} questions, {points:g} points, "
          f"{'with' if code else 'without'} exercises in code. Give out {made.folder}.")  # fmt: skip
    return 0


def _collect(given: argparse.Namespace) -> int:
    from instructor.intake import ASIDE, take_in

    received = given.received.astimezone() if given.received else None
    taken = take_in(_course(given), given.work, received=received)
    for each in taken:
        print(f"{each.state:8} {each.learner or '?':16} {each.lesson or '?':20} {each.came_as}")
        for words in each.words:
            print(f"{'':8} {words}")
    aside = sum(each.state == ASIDE for each in taken)
    print(f"{len(taken) - aside} taken in, {aside} set aside.")
    return 1 if aside else 0


def _mark(given: argparse.Namespace) -> int:
    from instructor import box
    from instructor.run import mark_class

    course = _course(given)
    print(box.protection())
    print("The first return takes longest, for the box is made ready.", flush=True)
    summary = mark_class(course, given.lesson, tell=_bar)
    known, missing = summary.known, len(summary.missing)
    print(f"\n{summary.marked} marked, {summary.not_marked} not marked, {known} of them known from before;")
    print(f"{missing} returned nothing.")
    _feedback(given)
    _report(given)
    return 1 if summary.not_marked else 0


def _bar(progress) -> None:
    width = 30
    full = width * progress.done // progress.total
    left = "" if progress.seconds_left is None else f" {progress.seconds_left / 60:.0f} min left"
    if sys.stdout.isatty():
        if progress.result.why:
            print(f"\r{progress.result.learner}: not marked: {progress.result.why}{'':{width}}")
        bar = "█" * full + "░" * (width - full)
        print(f"\r{bar} {progress.done}/{progress.total}{left} ", end="", flush=True)
    else:
        print(f"{progress.done}/{progress.total} {progress.result.learner}: {progress.result.state}"
              + (f": {progress.result.why}" if progress.result.why else ""), flush=True)  # fmt: skip


def _hand(given: argparse.Namespace) -> int:
    from instructor.hand import sit

    try:
        sit(_course(given), given.lesson, anonymous=given.anonymous)
    except EOFError:  # the end of what is typed: as good as q
        print()
    print("Now `feedback` and `report` write the pages and marks.csv again, with these marks.")
    return 0


def _feedback(given: argparse.Namespace) -> int:
    from instructor.feedback import write_feedback

    paths = write_feedback(_course(given), given.lesson)
    print(f"{len(paths)} pages of feedback below {getattr(given, 'class') / 'feedback'}.")
    return 0


def _report(given: argparse.Namespace) -> int:
    from instructor.export import write_marks
    from instructor.report import write_report

    course = _course(given)
    for path in [*write_report(course, given.lesson), write_marks(course)]:
        print(path)
    return 0


def _notes(given: argparse.Namespace) -> int:
    from instructor.notes import write_notes

    print(write_notes(_course(given), given.lesson))
    return 0


def _misconceptions(given: argparse.Namespace) -> int:
    from instructor import misconceptions

    met = misconceptions.ways()
    path = misconceptions.write(misconceptions.listing(met))
    print(f"{path}: {misconceptions.counts(met)['ways']} ways of going wrong.")
    return 0


def _invent(given: argparse.Namespace) -> int:
    from instructor.invented import invent

    returned = invent(given.folder, given.lesson_folder)
    print(f"{given.folder / 'roster.csv'} and {returned}: nobody in them is real.")
    return 0


def _protection(given: argparse.Namespace) -> int:
    from instructor.box import protection

    print(protection())
    return 0


if __name__ == "__main__":
    sys.exit(main())

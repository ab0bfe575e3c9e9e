"""Mark many returns: memory must stay flat and time grow in proportion.

    .venv/bin/python .ci/long/marking_many.py [COUNT] [LESSON_FOLDER]

Three hundred returns of lesson 07 unless told: right, with an answer missing, cut off, or no notebook at all.
Memory is that of the marker, its workers and their boxes together, shared pages counted once, read after each
return.  Compared are the second and the last fifth of the run.  Feedback and report are timed, too.
"""

import json
import statistics
import sys
import tempfile
import time
import warnings
from pathlib import Path

import psutil

ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT))

from instructor import course, export, feedback, invented, report, run  # noqa: E402
from tests.corpus.returns import filled, packed  # noqa: E402

MORE_MEMORY, MORE_TIME = 1.15, 1.25  # how much more the last fifth may take than the second


def a_class(folder: Path, lesson: Path, count: int) -> course.Course:
    """A class with ``count`` returns."""
    names = [f"many{n:04d}" for n in range(count)]
    (folder / "roster.csv").write_text("\n".join(["id", *names]) + "\n", "utf-8")
    made = course.create(folder / "class", folder / "roster.csv")
    release = course.release(made, lesson)
    right = invented.solutions(json.loads((lesson / f"{lesson.name}.ipynb").read_text("utf-8")))
    for number, name in enumerate(names):
        answers = {**right, "learner": f'learner = "{name}"'}
        if number % 10 == 3:
            answers.pop(sorted(answers)[number % len(answers)])
        data = packed(filled(release.notebook, answers))
        data = {7: data[: len(data) * 2 // 3], 8: b"<html>sign in</html>"}.get(number % 10, data)
        path = made.folder / "submitted" / name / lesson.name / f"{lesson.name}.ipynb"
        path.parent.mkdir(parents=True)
        path.write_bytes(data)
    return made


def memory() -> int:
    """Bytes of this process and all below it."""
    total = 0
    for process in [psutil.Process(), *psutil.Process().children(recursive=True)]:
        try:
            total += process.memory_full_info().pss
        except (psutil.NoSuchProcess, psutil.AccessDenied):
            continue
    return total


def main() -> int:
    """Mark them; print what it took; 1 if it was not flat or not linear."""
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 300
    lesson = Path(sys.argv[2] if len(sys.argv) > 2 else ROOT / "lessons" / "07-dry-egg").resolve()
    warnings.simplefilter("ignore")
    seen: list[tuple[float, int]] = []
    with tempfile.TemporaryDirectory() as name:
        made = a_class(Path(name), lesson, count)
        began = time.perf_counter()
        summary = run.mark_class(
            made, lesson.name, tell=lambda _: seen.append((time.perf_counter() - began, memory()))
        )
        marked = time.perf_counter()
        pages = len(feedback.write_feedback(made, lesson.name))
        report.write_report(made, lesson.name)
        export.write_marks(made)
        written = time.perf_counter() - marked
    fifth = count // 5
    parts = (seen[fifth - 1 : 2 * fifth], seen[-fifth - 1 :])
    held = [statistics.median(used for _, used in part) / 2**20 for part in parts]
    took = [(part[-1][0] - part[0][0]) / fifth for part in parts]
    print(f"{summary.marked} marked, {summary.not_marked} not marked of {count} in {seen[-1][0]:.0f} s; "
          f"{pages} pages, report and marks in {written:.1f} s")  # fmt: skip
    print(f"memory {held[0]:.0f} MB in the second fifth, {held[1]:.0f} MB in the last; "
          f"seconds a return {took[0]:.2f} and {took[1]:.2f}")  # fmt: skip
    good = held[1] <= MORE_MEMORY * held[0] and took[1] <= MORE_TIME * took[0]
    return 0 if good and summary.marked + summary.not_marked == count else 1


if __name__ == "__main__":
    sys.exit(main())

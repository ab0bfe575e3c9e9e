"""Time the marking of an invented class of thirty against plain sequential ``nbgrader autograde``.

    .venv/bin/python .ci/long/marking_bench.py [LESSON_FOLDER] [--few] [--json]

Both mark the same returns of the same lesson in one run, figures included.  Ours runs each in its box, on all
processors; nbgrader's runs one after another, with no isolation.  Aim: at most 0.6 of its time on two
processors.  Returns that cannot be read are left out for nbgrader, and cost ours no more than the reading.
``--few`` marks every fifth return only: a look, not the measurement.
"""

import json
import os
import shutil
import sys
import tempfile
import time
import warnings
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT))

from instructor import course, intake, invented, run  # noqa: E402
from instructor.judging import NOT_MARKED  # noqa: E402

GOAL = 0.6


def prepared(folder: Path, lesson: Path) -> course.Course:
    """A class of thirty with the lesson released and their work taken in."""
    (folder / "roster.csv").write_text(invented.roster(), "utf-8")
    made = course.create(folder / "class", folder / "roster.csv")
    release = course.release(made, lesson)
    source = json.loads((lesson / f"{lesson.name}.ipynb").read_text("utf-8"))
    invented.returns(release, source, folder / "in")
    intake.take_in(made, folder / "in")
    if "--few" in sys.argv:
        for number, name in enumerate(run.learners(made, lesson.name)):
            if number % 5:
                shutil.rmtree(made.folder / "submitted" / name)
    return made


def main() -> int:
    """Time both; print the ratio."""
    words = [word for word in sys.argv[1:] if not word.startswith("--")]
    lesson = Path(words[0] if words else ROOT / "lessons" / "07-dry-egg").resolve()
    warnings.simplefilter("ignore")
    os.environ["PYTHONPATH"] = str(ROOT)
    with tempfile.TemporaryDirectory() as ours, tempfile.TemporaryDirectory() as theirs:
        class_ = prepared(Path(ours), lesson)
        began = time.perf_counter()
        summary = run.mark_class(class_, lesson.name)
        our_seconds = time.perf_counter() - began
        results = run.current(class_, lesson.name)
        other = prepared(Path(theirs), lesson)
        api = other.nbgrader()
        their_seconds, count = 0.0, 0
        for name in run.learners(other, lesson.name):
            if results[name].state == NOT_MARKED:
                continue
            os.environ["SOLARLAB_LEARNER"] = name
            began = time.perf_counter()
            with course.scripts_on_path():
                api.autograde(lesson.name, name)
            their_seconds += time.perf_counter() - began
            count += 1
    ratio = our_seconds / their_seconds
    if "--json" in sys.argv:
        line = {"name": "marking/nbgrader", "value": ratio, "goal": GOAL, "met": ratio <= GOAL}
        print(json.dumps(line))
    print(f"{summary.marked} marked in {our_seconds:.1f} s, nbgrader {count} in {their_seconds:.1f} s;"
          f" ratio {ratio:.2f}, aim {GOAL}, on {os.cpu_count()} processors")  # fmt: skip
    return 0 if ratio <= GOAL else 1


if __name__ == "__main__":
    sys.exit(main())

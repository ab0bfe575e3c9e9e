"""Mark a class on real Dask workers with the gradebook on PostgreSQL; compare with local ones and SQLite.

    pip install distributed psycopg2-binary   # the optional extra "cluster" of pyproject.toml
    .venv/bin/python .ci/long/marking_dask.py

Starts a PostgreSQL of its own on loopback in a temporary folder (Debian's ``postgresql``; as root it is run
by the user ``postgres``), and two worker processes.  The two gradebooks must hold the same marks, and a
second run must mark nothing.
"""

import contextlib
import os
import shutil
import socket
import subprocess
import sys
import tempfile
import time
import warnings
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT))

from instructor import course, gradebook, run  # noqa: E402
from instructor.limits import Limits  # noqa: E402
from tests.corpus import small_lesson  # noqa: E402
from tests.marking_class import answered, submit  # noqa: E402

NAME, COUNT = small_lesson.NAME, 12


@contextlib.contextmanager
def postgres():
    """A server of our own on loopback; yields its address."""
    programs = max(Path("/usr/lib/postgresql").glob("*/bin"), default=None)
    if programs is None:
        raise SystemExit("PostgreSQL is not here: apt-get install -y postgresql")
    user = ["runuser", "-u", "postgres", "--"] if os.geteuid() == 0 else []
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    folder = Path(tempfile.mkdtemp(prefix="marking-pg-"))
    if user:
        shutil.chown(folder, "postgres")

    def call(*words: str) -> None:
        subprocess.run([*user, *words], check=True, cwd=folder, stdout=subprocess.DEVNULL)

    data = str(folder / "data")
    call(str(programs / "initdb"), "-D", data, "--auth", "trust", "-U", "teacher", "-E", "UTF8")
    options = f"-h 127.0.0.1 -p {port} -k {folder} -F"
    call(str(programs / "pg_ctl"), "-D", data, "-w", "-l", str(folder / "log"), "-o", options, "start")
    try:
        call(str(programs / "createdb"), "-h", "127.0.0.1", "-p", str(port), "-U", "teacher", "gradebook")
        yield f"postgresql+psycopg2://teacher@127.0.0.1:{port}/gradebook"
    finally:
        call(str(programs / "pg_ctl"), "-D", data, "-w", "-m", "immediate", "stop")
        shutil.rmtree(folder)


def a_class(folder: Path, db_url: str = "", secret: str = "") -> course.Course:
    """A class of twelve with the small lesson returned: right, wrong, deadly, unreadable."""
    folder.mkdir()
    names = [f"learner{n:02d}" for n in range(COUNT)]
    (folder / "roster.csv").write_text("\n".join(["id", *names]) + "\n", "utf-8")
    made = course.create(folder / "class", folder / "roster.csv")
    settings = made.folder / "class.toml"
    if db_url:
        settings.write_text(f'db_url = "{db_url}"\n' + settings.read_text("utf-8"), "utf-8")
        (made.folder / "gradebook.db").unlink()
        (made.folder / "secret").write_text(secret, "utf-8")
    made = course.open_course(made.folder)
    course.release(made, small_lesson.write(folder / "lessons"))
    for number, name in enumerate(names):
        own = {"learner": f'learner = "{name}"'}
        if number % 4 == 1:
            own["power"] = "power = 1.0"
        if number % 4 == 2:
            own["average"] = "import os\nos._exit(1)"
        path = submit(made, name, answered(**own))
        if number % 4 == 3:
            path.write_bytes(b"<html>sign in</html>")
    return made


def main() -> int:
    """Mark both ways; print what was found."""
    from distributed import Client

    warnings.simplefilter("ignore")
    limits = Limits(cell_seconds=10)
    with tempfile.TemporaryDirectory() as name, postgres() as url:
        local = a_class(Path(name, "local"))
        began = time.perf_counter()
        run.mark_class(local, NAME, limits=limits)
        print(f"local processes, SQLite: {time.perf_counter() - began:.1f} s")
        far = a_class(Path(name, "far"), url, (local.folder / "secret").read_text("utf-8"))
        with Client(n_workers=2, threads_per_worker=1, dashboard_address=None) as client:
            workers = len(client.scheduler_info()["workers"])
            began = time.perf_counter()
            summary = run.mark_class(far, NAME, executor=client.get_executor(), limits=limits)
            print(f"{workers} Dask workers, PostgreSQL: {time.perf_counter() - began:.1f} s")
            again = run.mark_class(far, NAME, executor=client.get_executor(), limits=limits)
        same = gradebook.dump(local) == gradebook.dump(far)
        here = (far.folder / "gradebook.db").exists()
    print(f"{summary.marked} marked, {summary.not_marked} not marked; a second run knew {again.known} of "
          f"{COUNT}; gradebooks {'equal' if same else 'DIFFER'}")  # fmt: skip
    good = same and not here and again.known == COUNT and (summary.marked, summary.not_marked) == (9, 3)
    return 0 if good else 1


if __name__ == "__main__":
    sys.exit(main())

"""Run a learner's cells in this process, and write what they showed and handed over.  Runs inside the box.

    python inside.py OUTPUTS VALUES  < job.json

Everything the grader needs is taken hold of before the first of the learner's cells runs: a learner who
replaces ``json``, ``print``, ``assert`` or a whole library later changes only what their own cells see.
Answers are handed over by private copies of ``solarlab.exercises`` and its reader, which the learner's own
``import`` does not find. Nothing is judged here.  Each line written is one JSON object; a last line
``{"finished": true}`` says that no cell ended the process.  This file imports nothing from ``instructor``: in
the box there is no such package.
"""

import builtins
import contextlib
import json
import os
import shutil
import signal
import stat
import sys
import time
import types

from inside_shows import Outputs, Stream, make_shell

READ = os.O_RDONLY | getattr(os, "O_NOFOLLOW", 0) | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_BINARY", 0)
PLAIN = (str, int, float, bool, type(None))
KEPT = ("builtins", "math", "re", "json", "io", "contextlib", "warnings", "numpy")


class TookTooLong(KeyboardInterrupt):
    """The cell was stopped because its time was used up."""


class Record:
    """Append JSON lines to a file (its number) that was opened before the learner's code ran."""

    def __init__(self, file, limit):
        self._file, self._left, self._home = file, limit, os.getpid()
        self._write, self._dumps = os.write, json.JSONEncoder().encode
        self._getpid, self.leave = os.getpid, os._exit

    def add(self, line, otherwise=None):
        """Write ``line``; when no room is left for it, write the small ``otherwise`` instead."""
        if self._getpid() != self._home:  # a copy made by os.fork() in a learner's cell must not go on here
            self.leave(0)
        data = (self._dumps(line) + "\n").encode("utf-8", "replace")
        if len(data) > self._left:
            if otherwise is None:
                return
            data = (self._dumps(otherwise) + "\n").encode()
        self._left -= len(data)
        while data:
            data = data[self._write(self._file, data) :]


def own_hand_over(package):
    """solarlab's ``hand_over`` from private module objects: patching the library does not reach this one."""
    sys.path.insert(0, package)
    before = set(sys.modules)
    from solarlab.exercises import hand_over

    for name in [name for name in sys.modules if name.split(".")[0] == "solarlab" and name not in before]:
        del sys.modules[name]
    return hand_over


def settle(job):
    """Fill the writable folders from the read-only ones, then give up every right that a learner must not
    have.
    """
    for source, target in job["copies"]:
        with contextlib.suppress(shutil.Error):  # a file that went away meanwhile
            shutil.copytree(source, target, dirs_exist_ok=True)
        for folder, _, names in os.walk(target) if job["uid"] is not None else ():
            for path in [folder, *(os.path.join(folder, name) for name in names)]:
                os.chown(path, job["uid"], job["uid"])
    os.chdir(job["folder"])
    if job["uid"] is not None:
        os.setgroups([])
        os.setgid(job["uid"])
        os.setuid(job["uid"])
    with contextlib.suppress(ImportError):
        import resource

        for name, value in job["rlimits"].items():
            kind, hard = getattr(resource, name, None), None
            if kind is not None:
                hard = resource.getrlimit(kind)[1]
                value = value if hard == resource.RLIM_INFINITY else min(value, hard)
                with contextlib.suppress(ValueError, OSError):  # macOS refuses some of them
                    resource.setrlimit(kind, (value, value))
        if hasattr(signal, "SIGXFSZ"):
            signal.signal(signal.SIGXFSZ, signal.SIG_IGN)  # a full file: an error in the cell, not its end


def silence():
    """Nothing written past Python reaches the marker's terminal."""
    nowhere = os.open(os.devnull, os.O_RDWR)
    for number in (0, 1, 2):
        os.dup2(nowhere, number)


def no_input(prompt="", /):
    """Take the place of ``input``: nobody is there to type."""
    words = "input() was called, but nobody types while work is being marked: put the value in the cell."
    raise EOFError(words)


class Originals:
    """The libraries that hand an answer over, as they were: put back for that moment, then left to the
    learner.
    """

    def __init__(self, *modules):
        self._kept = [(vars(module), dict(vars(module))) for module in modules]

        self._update = dict.update

    def restore(self):
        """Put back what was replaced; names that were added stay."""
        for now, kept in self._kept:
            self._update(now, kept)

    def __enter__(self):
        self._theirs = [dict(now) for now, _ in self._kept]
        self.restore()

    def __exit__(self, *error):
        for (now, _), theirs in zip(self._kept, self._theirs):  # noqa: B905  no keyword: `zip` may be the learner's
            self._update(now, theirs)


class Clock:
    """Raise TookTooLong in the cell when its computing time is up, again every second until it gives in.

    Computing time, not the wall clock's: an honest answer must not depend on how busy the marker's computer
    is.
    """

    def __init__(self, seconds):
        self._seconds = seconds
        self._set = getattr(signal, "setitimer", None)
        self._signal, self._alarm = signal.signal, getattr(signal, "SIGPROF", None)
        self._timer = getattr(signal, "ITIMER_PROF", None)

    def _ring(self, number, frame):
        raise TookTooLong(f"stopped after {self._seconds:g} seconds of computing")

    def start(self):
        if self._set is not None:
            self._signal(self._alarm, self._ring)
            self._set(self._timer, self._seconds, 1.0)

    def stop(self):
        if self._set is not None:
            self._set(self._timer, 0.0)


def main(outputs_path, values_path):
    """Run the job on standard input in this process alone."""
    job = json.loads(sys.stdin.buffer.read())
    flags = os.O_WRONLY | os.O_APPEND | getattr(os, "O_NOFOLLOW", 0) | getattr(os, "O_BINARY", 0)
    outputs, values = os.open(outputs_path, flags), os.open(values_path, flags)
    hand_over = own_hand_over(job["package"])
    settle(job)
    work(job, outputs, values, hand_over)


def work(job, outputs, values, hand_over):
    """Run the job's cells and write to the two open files; never comes back."""
    shown, values = Record(outputs, job["output_bytes"]), Record(values, job["value_bytes"])
    current = [Outputs(0)]
    shell = make_shell(lambda: current[0])
    names, run, clock = shell.user_ns, type(shell).run_cell, Clock(job["cell_seconds"])
    stdout, stderr = Stream("stdout", lambda: current[0]), Stream("stderr", lambda: current[0])
    builtins.input, now = no_input, time.perf_counter
    asks = {
        cell["number"]: Ask(cell, job["who"], names, hand_over)
        for cell in job["cells"]
        if cell["do"] == "ask"
    }
    ours = os.path.dirname(os.path.abspath(__file__))  # as in Jupyter, what lies beside the work comes first
    sys.path[:] = ["", *(place for place in sys.path if place != ours)]
    foundations, records = Originals(builtins), Originals(os, os.path, stat, json, contextlib)
    silence()

    for cell in job["cells"]:
        number = cell["number"]
        shown.add({"start": number}, {"start": number})
        began, current[0] = now(), Outputs(job["cell_bytes"])
        sys.stdout, sys.stderr = stdout, stderr
        failure, claim = None, None
        handed = {"unreadable": "an answer that took too long or could not be read"}
        try:
            clock.start()
            if number in asks:
                claim = asks[number].claim()
                handed = asks[number]()
            else:
                ran = run(shell, cell["source"], store_history=True)
                failure = ran.error_before_exec or ran.error_in_exec
            clock.stop()
        except BaseException as error:
            failure = error
        foundations.restore()
        clock.stop()
        if number in asks:
            values.add({"grade_id": cell["grade_id"], "handed": handed, "claim": claim})
        if failure is not None and not any(output["output_type"] == "error" for output in current[0]):
            current[0].error(_name(failure), "", ["The traceback was hidden."])
        line = {"number": number, "outputs": current[0].done(), "seconds": round(now() - began, 3)}
        shown.add(line, {**line, "outputs": []})
    told = []
    try:
        with records:
            told = predictions(job["predictions"])
    except Exception:  # what a learner made of the folder or of the libraries costs no mark
        told = []
    values.add({"predictions": told})
    shown.add({"finished": True}, {"finished": True})
    shown.leave(0)  # no atexit hook and no thread of the learner's goes on after the last answer


def predictions(folder, most=100, size=4000):
    """The learner's record of predictions, as the lesson wrote it: small plain files, no link followed."""
    found = []
    for place, _, names in os.walk(folder):
        for name in sorted(names)[: most - len(found)]:
            with contextlib.suppress(OSError, ValueError, RecursionError):
                file = os.open(os.path.join(place, name), READ)
                try:  # of a pipe there is no end to read to
                    read = json.loads(os.read(file, size)) if stat.S_ISREG(os.fstat(file).st_mode) else None
                finally:
                    os.close(file)
                if type(read) is dict:
                    found.append({key: value for key, value in read.items() if type(value) in PLAIN})
    return found


class Ask:
    """Hand over one answer: prepared before the learner's first cell ran, called where its test cell
    stands.
    """

    def __init__(self, cell, who, names, hand_over):
        self._expression = compile(cell["expression"], "<answer>", "eval")
        self._claim = compile(cell["claim"], "<learner>", "eval")
        self._exercise, self._tests = types.SimpleNamespace(kind=cell["kind"]), cell["tests"]
        self._nobody = types.SimpleNamespace(kind="choice")
        self._who, self._names, self._hand_over, self._evaluate = who, names, hand_over, eval
        self._originals = Originals(*(sys.modules[name] for name in KEPT if name in sys.modules))

    def __call__(self):
        with self._originals:
            return self._hand_over(self._exercise, self._who, self._value(self._expression), self._tests)

    def claim(self):
        """The learner's id as the notebook has it: it decided the numbers that the learner saw."""
        with self._originals:
            return self._hand_over(self._nobody, self._who, self._value(self._claim))

    def _value(self, expression):
        try:
            return self._evaluate(expression, self._names)
        except NameError:
            return None  # nothing was written yet


def _name(error):
    return type.__getattribute__(type(error), "__name__")


if __name__ == "__main__":
    main(*sys.argv[1:3])

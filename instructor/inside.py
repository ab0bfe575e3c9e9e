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
import io
import json
import os
import shutil
import signal
import sys
import time
import types

SHOWN = ("text/plain", "image/png", "image/jpeg")  # never HTML or scripts: a marker's browser will open this
KEPT = ("builtins", "math", "re", "json", "io", "contextlib", "warnings", "numpy")
WORDS_WHEN_CUT = "\n… cut here: the cell wrote more than the marker keeps."


class TookTooLong(KeyboardInterrupt):
    """The cell was stopped because its time was used up."""


class Record:
    """Append JSON lines to a file (its number) that was opened before the learner's code ran."""

    def __init__(self, file, limit):
        self._file, self._left, self._home = file, limit, os.getpid()
        self._write, self._dumps, self._getpid, self._leave = (
            os.write,
            json.JSONEncoder().encode,
            os.getpid,
            os._exit,
        )

    def add(self, line, otherwise=None):
        """Write ``line``; when no room is left for it, write the small ``otherwise`` instead."""
        if self._getpid() != self._home:
            self._leave(
                0
            )  # a copy made by os.fork() in a learner's cell: it must not go on as if it were the marker
        data = (self._dumps(line) + "\n").encode("utf-8", "replace")
        if len(data) > self._left:
            if otherwise is None:
                return
            data = (self._dumps(otherwise) + "\n").encode()
        self._left -= len(data)
        while data:
            data = data[self._write(self._file, data) :]


class Outputs(list):
    """The outputs of the running cell as a notebook stores them, text and pictures up to a limit."""

    def __init__(self, limit):
        super().__init__()
        self.limit, self.left, self.cut = limit, limit, False

    def text(self, name, text):
        if len(text) > self.left:
            text, self.cut = text[: self.left], True
        self.left -= len(text)
        if text and self and self[-1]["output_type"] == "stream" and self[-1]["name"] == name:
            self[-1]["text"] += text
        elif text:
            self.append({"output_type": "stream", "name": name, "text": text})

    def show(self, kind, data, count=None):
        kept = {}
        for mime in SHOWN:
            content = data.get(mime)
            if type(content) is bytes:
                content = content.hex() if mime == "text/plain" else _base64(content)
            if type(content) is str and len(content) <= self.left:
                kept[mime] = content
                self.left -= len(content)
            elif content is not None:
                self.cut = True
        if kept:
            output = {"output_type": kind, "data": kept, "metadata": {}}
            self.append(output if count is None else {**output, "execution_count": count})

    def error(self, name, value, traceback):
        lines = [str(line)[:4000] for line in traceback[-40:]]
        self.append({"output_type": "error", "ename": name[:100], "evalue": value[:2000], "traceback": lines})

    def done(self):
        if self.cut:
            self.append({"output_type": "stream", "name": "stdout", "text": WORDS_WHEN_CUT})
        return list(self)


class Stream(io.TextIOBase):
    """sys.stdout or sys.stderr of the learner's cells."""

    encoding = "utf-8"

    def __init__(self, name, sink):
        self._name, self._sink = name, sink

    def writable(self):
        return True

    def write(self, text):
        if type(text) is not str:
            raise TypeError(f"write() argument must be str, not {type(text).__name__}")
        self._sink().text(self._name, text)
        return len(text)


def _base64(content):
    import base64

    return base64.b64encode(content).decode("ascii")


def make_shell(sink):
    """A plain IPython shell, no kernel: it runs cells as a notebook does and leaves no messages to be
    parsed.
    """
    from IPython.core.displayhook import DisplayHook
    from IPython.core.displaypub import DisplayPublisher
    from IPython.core.interactiveshell import InteractiveShell
    from traitlets import Type
    from traitlets.config import Config

    class Hook(DisplayHook):
        def write_output_prompt(self):
            pass

        def write_format_data(self, format_dict, md_dict=None):
            sink().show("execute_result", format_dict, self.shell.execution_count - 1)

        def log_output(self, format_dict):
            pass

        def finish_displayhook(self):
            self._is_active = False

    class Publisher(DisplayPublisher):
        def publish(self, data, metadata=None, **rest):
            sink().show("display_data", data)

        def clear_output(self, wait=False):
            sink().clear()

    class Shell(InteractiveShell):
        displayhook_class = Type(Hook)
        display_pub_class = Type(Publisher)

        def _showtraceback(self, etype, evalue, stb):
            with contextlib.suppress(Exception):
                sink().error(etype.__name__, str(evalue), stb)

        @contextlib.contextmanager
        def _tee(
            self, channel
        ):  # IPython keeps all that is printed, without limit, for a history unused here
            yield

        def enable_gui(self, gui=None):
            pass

        def ask_exit(self):
            raise SystemExit

    config = Config()
    config.HistoryManager.enabled = False
    config.InteractiveShell.colors = "nocolor"
    config.InteractiveShell.cache_size = 0
    return Shell.instance(config=config)


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
            signal.signal(
                signal.SIGXFSZ, signal.SIG_IGN
            )  # a full file is an error in the cell, not the end of it


def silence():
    """Nothing written past Python reaches the marker's terminal."""
    nowhere = os.open(os.devnull, os.O_RDWR)
    for number in (0, 1, 2):
        os.dup2(nowhere, number)


def no_input(prompt="", /):
    """Take the place of ``input``: nobody is there to type."""
    raise EOFError(
        "input() was called, but nobody types while work is being marked: put the value in the cell."
    )


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
    foundations = Originals(builtins)
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
    values.add({"predictions": predictions(job["predictions"])})
    shown.add({"finished": True}, {"finished": True})
    os._exit(0)  # no atexit hook and no thread of the learner's goes on after the last answer


def predictions(folder, most=100, size=4000):
    """The learner's record of predictions, as the lesson wrote it: small plain files, no link followed."""
    found = []
    for place, _, names in os.walk(folder):
        for name in sorted(names)[:most]:
            with contextlib.suppress(OSError, ValueError, RecursionError):
                number = os.open(os.path.join(place, name), os.O_RDONLY | getattr(os, "O_NOFOLLOW", 0))
                with open(number, "rb") as file:
                    found.append(json.loads(file.read(size)))
    return found[:most]


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

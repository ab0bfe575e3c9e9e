"""What a learner's cells show: text and pictures up to a limit, from a plain IPython shell.

Runs inside the box.  Like ``inside``, which uses it, it imports nothing from ``instructor``: none is there.
"""

import base64
import contextlib
import io

SHOWN = ("text/plain", "image/png", "image/jpeg")  # never HTML or scripts: a marker's browser will open this
WORDS_WHEN_CUT = "\n… cut here: the cell wrote more than the marker keeps."


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
                content = content.hex() if mime == "text/plain" else base64.b64encode(content).decode("ascii")
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


def make_shell(sink):
    """A plain IPython shell, no kernel: it runs cells as a notebook does, and no messages need parsing."""
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
        def _tee(self, channel):  # IPython keeps all that is printed, without limit, for a history
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

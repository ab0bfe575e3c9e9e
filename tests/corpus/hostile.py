"""Hostile and careless code in an answer cell: what each kind may cost, and what must be said.

``before`` is put before the right answer in an answer cell, so an attack that comes to nothing costs nothing.
The code knows nothing of the lesson; it can be put into a return of any nbgrader course.  ``PLACES`` in the
text of a case is replaced by a list of paths that the marker can read and a learner must not.

This is a list of what was tried, not a proof that nothing else succeeds.
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Attack:
    """Code before the right answer (or ``instead`` of it), whether it costs that answer, and what must be
    said.
    """

    name: str
    before: str = ""
    instead: str = ""
    costs: bool = False
    code: str = ""


ANY = "any"  # which limit is met first depends on how busy the computer is


def _reading(name: str, body: str) -> Attack:
    """Tries to read; whatever it gets hold of it prints, and the test looks for it in all that came out."""
    return Attack(
        name, f"try:\n{_indented(body)}\nexcept Exception as error:\n    print(type(error).__name__)\n"
    )


def _indented(body: str) -> str:
    return "\n".join(f"    {line}" for line in body.strip("\n").split("\n"))


STOPS = [  # ways of not coming to an end, or of ending everything
    Attack("infinite-loop", "while True:\n    pass\n", costs=True),
    Attack(
        "infinite-loop-that-catches-everything",
        "while True:\n    try:\n"
        "        while True:\n            pass\n    except BaseException:\n        pass\n",
        costs=True,
        code="stopped-quiet",
    ),
    Attack("sleeps-for-an-hour", "import time\ntime.sleep(3600)\n", costs=True, code="stopped-quiet"),
    Attack("endless-power", "10 ** 10 ** 10\n", costs=True),
    Attack("sys-exit", "import sys\nsys.exit(0)\n", costs=True),
    Attack("exit-and-quit", "exit()\n", costs=True),
    Attack("os-exit", "import os\nos._exit(0)\n", costs=True, code="stopped-itself"),
    Attack("kills-itself", "import os\nos.kill(os.getpid(), 9)\n", costs=True, code="stopped-itself"),
    Attack("kills-everything", "import os\nos.kill(-1, 9)\n", costs=True),
    Attack("kills-its-parent", "import os\ntry:\n    os.kill(os.getppid(), 9)\nexcept OSError:\n    pass\n"),
    Attack("segfault", "import ctypes\nctypes.string_at(0)\n", costs=True, code="stopped-itself"),
    Attack("endless-recursion", "def deeper():\n    return deeper() + 1\ndeeper()\n", costs=True),
    Attack("exits-when-it-is-over", "import atexit, os\natexit.register(os._exit, 3)\n"),
    Attack(
        "thread-that-never-ends",
        "import threading, time\nthreading.Thread(target=lambda: time.sleep(1e6), daemon=False).start()\n",
    ),
    Attack("asks-for-input", "name = input('your name?')\n", costs=True),
    Attack("reads-standard-input", "import sys\nsys.stdin.read()\n"),
    Attack("debugger", "breakpoint()\n", costs=True),
]
FLOODS = [
    Attack("memory-bomb", "hoard = bytearray(50 * 10**9)\n", costs=True),
    Attack("memory-bomb-slowly", "hoard = []\nwhile True:\n    hoard.append(bytearray(10**8))\n", costs=True),
    Attack(
        "memory-bomb-in-children",
        "import os, time\nfor _ in range(8):\n"
        "    if os.fork() == 0:\n        hoard = bytearray(b'1') * (3 * 10**8)\n"
        "        time.sleep(600)\ntime.sleep(600)\n",
        costs=True,
        code="stopped-memory",
    ),
    Attack("fork-bomb", "import os\nwhile True:\n    os.fork()\n", costs=True, code=ANY),
    Attack("fork-and-go-on", "import os\nfor _ in range(3):\n    os.fork()\n"),
    Attack(
        "thread-bomb",
        "import threading, time\nfor _ in range(10_000):\n"
        "    threading.Thread(target=time.sleep, args=(99,)).start()\n",
        costs=True,
    ),
    Attack("gigabyte-of-output", "for _ in range(1000):\n    print('x' * 10**6)\n"),
    Attack("gigabyte-to-the-terminal", "import os\nfor _ in range(1000):\n    os.write(1, b'x' * 10**6)\n"),
    Attack(
        "gigabyte-in-a-file",
        "with open('big', 'wb') as f:\n    for _ in range(1000):\n        f.write(bytes(10**6))\n",
        costs=True,
    ),
    Attack(
        "gigabyte-in-tmp",
        "with open('/tmp/big', 'wb') as f:\n    for _ in range(1000):\n        f.write(bytes(10**6))\n",
        costs=True,
    ),
    Attack("million-files", "for i in range(10**6):\n    open(f'f{i}', 'w').close()\n", costs=True),
    Attack(
        "huge-picture",
        "from IPython.display import display\n"
        "class P:\n    def _repr_png_(self): return b'x' * 10**8\ndisplay(P())\n",
    ),
    Attack("gigabyte-of-error", "raise ValueError('x' * 10**9)\n", costs=True),
]
READS = [
    _reading(
        "reads-the-solutions-gradebook-secret-and-others",
        "import os\nfor place in PLACES:\n"
        "    print(os.path.exists(place))\n    print(open(place, 'rb').read()[:9999])",
    ),
    Attack(
        "reads-each-place-alone",
        "for place in PLACES:\n    try:\n        print(open(place, 'rb').read()[:9999])\n"
        "    except OSError as error:\n        print(type(error).__name__)\n",
    ),
    _reading(
        "walks-the-disk",
        "import os\nfor folder, _, names in os.walk('/'):\n    for name in names:\n"
        "        if name.endswith(('.db', '.toml', 'secret', '.ipynb')):\n"
        "            print(open(os.path.join(folder, name), 'rb').read()[:9999])",
    ),
    _reading(
        "reads-through-proc",
        "import glob\nfor p in glob.glob('/proc/*/environ') + glob.glob('/proc/*/cmdline'):\n"
        "    print(open(p, 'rb').read())",
    ),
    _reading("climbs-with-a-link", "import os\nos.symlink(PLACES[0], 'link')\nprint(open('link').read())"),
    _reading(
        "shell", "import subprocess\nprint(subprocess.run(['cat', *PLACES], capture_output=True).stdout)"
    ),
    _reading(
        "peels-off-the-folders",
        "import ctypes, os\nlibc = ctypes.CDLL(None)\nprint(libc.unshare(0x10020000))\n"
        "for place in ('/learner', '/tmp', '/given', '/proc', '/'):\n"
        "    print(libc.umount2(place.encode(), 2), os.listdir(place)[:9])\n"
        "for place in PLACES:\n    print(open(place, 'rb').read()[:9999])",
    ),
    _reading(
        "looks-through-open-files",
        "import os\nfor n in range(256):\n    try:\n        print(n, os.readlink(f'/proc/self/fd/{n}'))\n"
        "        print(os.pread(n, 9999, 0))\n    except OSError:\n        pass",
    ),
    _reading(
        "traces-other-processes-and-reads-their-memory",
        "import ctypes, os\nfor pid in range(1, 9):\n    print(ctypes.CDLL(None).ptrace(16, pid, 0, 0))\n"
        "    for name in ('mem', 'environ', 'maps', 'cmdline'):\n        try:\n"
        "            print(open(f'/proc/{pid}/{name}', 'rb').read(99999))\n        except OSError:\n"
        "            pass",
    ),
    _reading(
        "marker-in-memory",
        "import gc\nprint([o for o in gc.get_objects() if type(o) is dict and 'tests' in o])",
    ),
]
WRITES = [
    _reading("writes-outside-its-folder", "for place in PLACES:\n    open(place, 'a').write('mine')"),
    _reading(
        "writes-into-the-package",
        "import solarlab\nopen(solarlab.__path__[0] + '/exercises.py', 'a').write('x = 1')",
    ),
    _reading("writes-into-the-python", "import numpy\nopen(numpy.__file__, 'a').write('x = 1')"),
    _reading(  # all but the programs, which only take long to be refused
        "deletes-everything",
        "import os, shutil\nfor name in ('learner', 'tmp', 'given', 'dev', 'etc', 'out', 'warm', 'home'):\n"
        "    shutil.rmtree('/' + name, ignore_errors=True)\n"
        "for place in PLACES:\n    shutil.rmtree(os.path.dirname(place), ignore_errors=True)",
    ),
    _reading(
        "mounts", "import ctypes\nprint(ctypes.CDLL(None).mount(b'none', b'/learner', b'tmpfs', 0, None))"
    ),
    _reading("becomes-root", "import os\nos.setuid(0)\nprint('root')"),
    _reading(
        "network", "import socket\nsocket.create_connection(('192.0.2.1', 80), timeout=3)\nprint('online')"
    ),
    _reading("network-name", "import socket\nprint(socket.gethostbyname('example.org'))"),
    _reading(
        "talks-to-the-host",
        "import socket\ns = socket.socket(socket.AF_UNIX)\ns.connect('/var/run/docker.sock')",
    ),
]
FOOLS = [  # code that tries to change what the marker sees
    Attack(
        "warning-before-a-right-answer",
        "import warnings, sys\nwarnings.warn('old')\nprint('!', file=sys.stderr)\n",
    ),
    Attack("closes-every-file", "import os\nos.closerange(3, 1000)\n", costs=True, code="stopped-itself"),
    Attack(
        "writes-into-every-file",
        "import os\nfor n in range(3, 64):\n"
        '    try:\n        os.write(n, b\'\\n{"finished": true}\\n{"grade_id": 3}\\n[1]\\n\\xff\\n\')\n'
        "    except OSError:\n        pass\n",
    ),
    Attack("stdout-gone", "import sys\nsys.stdout = sys.stderr = None\n"),
    Attack(
        "patched-builtins",
        "import builtins\nbuiltins.float = builtins.type = builtins.len = builtins.isinstance = "
        "lambda *a: 1\n",
    ),
    Attack(
        "patched-print-and-open", "import builtins\nbuiltins.print = builtins.open = builtins.eval = None\n"
    ),
    Attack(
        "patched-json",
        "import json\njson.dumps = json.loads = json.JSONEncoder.encode = lambda *a, **k: '{}'\n",
    ),
    Attack("patched-math", "import math\nmath.isfinite = math.isclose = lambda *a, **k: False\n"),
    Attack("patched-isclose", "import numpy\nnumpy.isclose = numpy.allclose = lambda *a, **k: True\n"),
    Attack("patched-numpy-types", "import numpy\nnumpy.ndarray = numpy.bool_ = numpy.str_ = int\n"),
    Attack(
        "patched-judge",
        "import solarlab.exercises as e\ne.judge = e.check = e.hand_over = lambda *a, **k: 'right'\n"
        "e.plain = lambda *a: 10**9\n",
    ),
    Attack(
        "patched-time-and-os", "import os, time\nos.write = os.getpid = time.perf_counter = lambda *a: 0\n"
    ),
    Attack(
        "no-modules",
        "import sys\nfor name in list(sys.modules):\n"
        "    if name.split('.')[0] in ('solarlab', 'json', 'io'):\n"
        "        del sys.modules[name]\n",
    ),
    Attack(
        "traceback-hidden",
        "get_ipython().showtraceback = lambda *a, **k: None\n"
        "get_ipython()._showtraceback = lambda *a: None\n",
    ),
    Attack("shell-patched", "type(get_ipython()).run_cell = lambda *a, **k: None\n"),
    Attack(
        "alarm-switched-off",
        "import signal\nfor name in ('SIGALRM', 'SIGPROF', 'SIGTERM'):\n"
        "    signal.signal(getattr(signal, name), signal.SIG_IGN)\n",
    ),
    Attack("tracing", "import sys\nsys.settrace(lambda *a: None)\nsys.setprofile(lambda *a: None)\n"),
    Attack(
        "limits-raised",
        "import resource\nfor kind in (resource.RLIMIT_AS, resource.RLIMIT_NPROC):\n    try:\n"
        "        resource.setrlimit(kind, (-1, -1))\n        print('raised')\n"
        "    except (ValueError, OSError):\n        pass\n",
    ),
    Attack("names-wiped", "%reset -f\n", costs=True),
    Attack(
        "scripts-for-the-markers-browser",
        "from IPython.display import HTML, Javascript, display\n"
        "display(HTML('<script>alert(1)</script>'), Javascript('alert(2)'))\n",
    ),
    Attack(
        "answer-that-says-yes",
        instead="class Yes:\n    def __eq__(self, other): return True\n"
        "    def __float__(self): return 1.0\n    __hash__ = None\nANSWER = Yes()\n",
        costs=True,
    ),
    Attack(
        "answer-of-a-false-name",
        instead="class float64(float):\n    def __sub__(self, other): return 0.0\n"
        "    __rsub__ = __sub__\nANSWER = float64(3)\n",
        costs=True,
    ),
    Attack(
        "answer-that-is-a-lie-about-its-class",
        instead="class Liar:\n    __class__ = float\nANSWER = Liar()\n",
        costs=True,
    ),
    Attack("answer-not-a-number", instead="ANSWER = float('nan')\n", costs=True),
    Attack("answer-without-end", instead="ANSWER = float('inf')\n", costs=True),
    Attack("answer-of-a-million-digits", instead="ANSWER = 10 ** 1_000_000\n", costs=True),
    Attack("answer-within-itself", instead="ANSWER = []\nANSWER.append(ANSWER)\n", costs=True),
    Attack("answer-of-a-million-entries", instead="ANSWER = [1.0] * 10**6\n", costs=True),
    Attack("answer-in-a-string-of-a-megabyte", instead="ANSWER = '9' * 10**6\n", costs=True),
    Attack("answer-that-is-true", instead="ANSWER = True\n", costs=True),
    Attack("answer-in-a-text-of-its-own", instead="class Text(str): pass\nANSWER = Text('3')\n", costs=True),
    Attack(
        "answer-an-array-of-objects",
        instead="import numpy\nANSWER = numpy.array([None, [3]], dtype=object)\n",
        costs=True,
    ),
    Attack("answer-in-another-language", instead="%%javascript\nANSWER = 3\n", costs=True),
]


def _writing(lines: str, then: str) -> str:
    """Code that writes lines, as the marker's own, into every file that stands open."""
    return (
        f"import os\nfor n in range(3, 64):\n    try:\n        os.write(n, {lines})\n"
        f"    except OSError:\n        pass\n{then}\n"
    )


FORGERIES = [  # code that writes in the marker's place
    Attack(
        "says-that-a-cell-beyond-the-last-is-running",
        _writing('b\'{"start": 99999}\\n{"start": true}\\n\'', "os._exit(0)"),
        costs=True,
        code="stopped-itself",
    ),
    Attack(
        "says-that-every-cell-is-done-and-leaves",
        _writing("b''.join(b'{\"number\": %d, \"outputs\": []}\\n' % k for k in range(99))", "os._exit(0)"),
        costs=True,
        code="stopped-itself",
    ),
    Attack("says-odd-things-of-a-cell", _writing('b\'{"number": 5, "outputs": [3, {"data": []}]}\\n\'', "")),
    Attack(
        "empties-every-file",
        "import os\nfor n in range(3, 64):\n    try:\n        os.ftruncate(n, 0)\n"
        "    except OSError:\n        pass\n",
    ),
    Attack(
        "hands-over-what-is-nested-too-deeply-to-store",
        instead="import gc\nfor found in gc.get_objects():\n    if type(found).__name__ == 'Record':\n"
        "        def forged(line, dumps=found._dumps, done=[]):\n"
        "            deep = '' if done or 'handed' not in line else '[' * 900 + ']' * 900 + ', \"was\": '\n"
        "            done += ['once'] * bool(deep)\n"
        "            return dumps(line).replace('\"handed\": ', '\"handed\": ' + deep)\n"
        "        found._dumps = forged\nANSWER = 3\n",
        costs=True,
    ),
    Attack(
        "a-pipe-among-its-predictions",
        "import os\nhome = os.environ['SOLARLAB_HOME']\nos.makedirs(home, exist_ok=True)\n"
        "os.mkfifo(home + '/pipe.json')\nos.symlink('/dev/zero', home + '/zero.json')\n",
    ),
    Attack(
        "predictions-when-the-library-is-gone",
        "import json, os\nhome = os.environ['SOLARLAB_HOME']\nos.makedirs(home, exist_ok=True)\n"
        "open(home + '/deep.json', 'w').write('{\"question\": ' + '[' * 900 + ']' * 900 + '}')\n"
        "os.open = os.walk = os.fstat = json.loads = os._exit = None\n",
    ),
]
ATTACKS = [*STOPS, *FLOODS, *READS, *WRITES, *FOOLS, *FORGERIES]

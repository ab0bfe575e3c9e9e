"""Stand ready in the box with the course's libraries loaded, and fork for each return.  Runs inside the box.

    python within.py  < a socket

Loading the libraries takes longer than most lessons take to run, so they are loaded once.  No learner's code
ever runs in this process, and nothing of a learner is ever read by it: what a return needs comes through
three open files that only its own fork keeps.  Each fork gets namespaces of its own inside the box
(processes, folders, network, shared memory), an empty working folder, and loses every right before the first
cell runs.  When its first process ends, the kernel ends all that it started.
"""

import base64
import contextlib
import ctypes
import fcntl
import gc
import importlib
import json
import os
import shutil
import socket
import struct
import sys

import inside

PRELOADED = (
    "IPython.core.interactiveshell", "IPython.display", "ipywidgets", "matplotlib.pyplot", "pandas", "scipy",
    "scipy.ndimage", "matplotlib.backends.backend_agg", "pvlib.solarposition", "solarlab", "solarlab.figures",
    "solarlab.controls",
)  # fmt: skip
OVENS = ("bare box", "four-mirror box", "one-mirror box")
NEW = 0x00020000 | 0x08000000 | 0x04000000 | 0x20000000 | 0x40000000  # mounts, IPC, name, processes, net
PRIVATE, RECURSIVE = 1 << 18, 1 << 14  # of mount(2)
READ_ONLY, NO_SUID, NO_DEVICES, NO_PROGRAMS = 1, 2, 4, 8
NO_NEW_RIGHTS, DROP_FROM_BOUNDS, CAPABILITY_VERSION = 38, 24, 0x20080522  # of prctl(2) and capset(2)
LIBC = ctypes.CDLL(None, use_errno=True)


def demand(answer):
    """Raise OSError when a call of the C library failed."""
    if answer != 0:
        number = ctypes.get_errno()
        raise OSError(number, os.strerror(number))


def load():
    """Load what lessons use, and cook in the ovens they cook in: compiled code and tables of light are then
    there, too.  What fails is left out.
    """
    for name in PRELOADED:
        with contextlib.suppress(Exception):
            importlib.import_module(name)
    with contextlib.suppress(Exception):
        from solarlab import Handling, cook, food, instants, oven, place, pot, sky

        here = place("Nairobi")
        clear = sky(here, instants(here, "2026-03-21", start="09:00", end="10:00"))
        for name in OVENS:
            cook(clear, oven(name), pot("glass"), food("water"), Handling("09:00"))
        cook(clear, oven(name), None, food("egg"), Handling("09:00"))


def apart(size_of):
    """Folders of this fork's own over the shared ones, its own /proc and its own loopback."""
    demand(LIBC.mount(None, b"/", None, PRIVATE | RECURSIVE, None))
    for path, size in size_of:
        options = f"mode=1777,size={size}".encode()
        demand(LIBC.mount(b"tmpfs", path.encode(), b"tmpfs", NO_SUID | NO_DEVICES, options))
    demand(LIBC.mount(b"proc", b"/proc", b"proc", READ_ONLY | NO_SUID | NO_DEVICES | NO_PROGRAMS, None))
    with contextlib.suppress(OSError), socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as any_socket:
        fcntl.ioctl(any_socket, 0x8914, struct.pack("16sh14x", b"lo", 0x41))  # loopback: up and running


def give_up_rights():
    """Lose every capability, for good."""
    for number in range(64):
        LIBC.prctl(DROP_FROM_BOUNDS, number, 0, 0, 0)
    demand(LIBC.prctl(NO_NEW_RIGHTS, 1, 0, 0, 0))
    header, nothing = (ctypes.c_uint32 * 2)(CAPABILITY_VERSION, 0), (ctypes.c_uint32 * 6)()
    demand(LIBC.capset(header, nothing))


def keep_only(files):
    """Close every open file but these and the one for complaints."""
    kept = {2, *files}
    for name in os.listdir("/proc/self/fd"):
        if int(name) not in kept:
            with contextlib.suppress(OSError):
                os.close(int(name))


def one(files, hand_over):
    """Run one return in a fork: ``files`` are its job, and where outputs and values go.  Never comes back."""
    demand(LIBC.unshare(NEW))
    first = os.fork()  # the first process of the new process namespace
    if first:
        keep_only(())
        os.waitpid(first, 0)
        return
    os.setsid()
    keep_only(files)
    with open(files[0], "rb") as file:
        job = json.loads(file.read())
    apart(job["fresh"])
    for name, content in job["files"].items():
        os.makedirs(os.path.dirname(name), exist_ok=True)
        with open(name, "wb") as file:
            file.write(base64.b64decode(content))
    os.environ["SOLARLAB_LEARNER"] = job["who"]
    inside.settle(job)
    give_up_rights()
    worker = os.fork()
    if worker == 0:
        inside.work(job, *files[1:], hand_over)
    keep_only(())
    while os.wait()[0] != worker:  # orphans come here to be buried
        pass


def main():
    """Fork for each three files that come through the socket, until it is closed."""
    control = socket.socket(fileno=0)
    told = json.loads(control.recv(100_000))
    for source, target in told["copies"]:
        with contextlib.suppress(shutil.Error):
            shutil.copytree(source, target, dirs_exist_ok=True)
    hand_over = inside.own_hand_over(told["package"])
    load()
    gc.collect()
    gc.freeze()
    control.send(b"ready")
    while True:
        _, files, _, _ = socket.recv_fds(control, 1, 3)
        if len(files) != 3:
            return
        fork = os.fork()
        if fork == 0:
            try:
                one(files, hand_over)
            except BaseException as error:
                print(f"{type(error).__name__}: {error}", file=sys.stderr, flush=True)
            finally:
                os._exit(0)
        for file in files:
            os.close(file)
        os.waitpid(fork, 0)
        control.send(b"ended")


if __name__ == "__main__":
    main()

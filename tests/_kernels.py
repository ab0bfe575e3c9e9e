"""Kernels that tests start are spoken to over files (``ipc``), not TCP ports; ``_run.py`` loads this plugin.

A manager picks free ports, lets go of them, and leaves the kernel to take them a second later.  When two
start at once, now and then one finds its port taken and dies: 1 of 500 here, and a CI run starts over 100.
"""

import atexit
import functools
import os
import shutil
import tempfile
import uuid

from jupyter_client.manager import KernelManager

TRANSPORT = "tcp" if os.name == "nt" else "ipc"  # Windows has no such files


def over_files(begin):
    """Wrap ``KernelManager.__init__``: files of its own for each kernel, unless told otherwise."""
    folder = tempfile.mkdtemp(prefix="kernels-")  # short: the path of a socket has room for about 100 letters
    atexit.register(shutil.rmtree, folder, ignore_errors=True)

    @functools.wraps(begin)
    def beginning(self, *arguments, **settings):
        own = {"transport": TRANSPORT, "ip": os.path.join(folder, uuid.uuid4().hex)}
        begin(self, *arguments, **(own | settings))

    return beginning


if TRANSPORT == "ipc":
    KernelManager.__init__ = over_files(KernelManager.__init__)

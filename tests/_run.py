"""Run pytest on the whole course, on every core, from whatever folder this was called in.

``--network-cut`` runs it in a network of its own, with nothing but this computer's loopback in it.
"""

import os
import shutil
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parent.parent
CUT = "--network-cut"


def main(arguments: list[str]) -> int:
    """Run pytest with these arguments; return its exit code."""
    os.chdir(ROOT)
    if CUT in arguments:
        return cut([argument for argument in arguments if argument != CUT])
    sys.path[0] = str(ROOT)
    return pytest.main(["-p", "tests._kernels", "-n", "auto", "--dist", "loadfile", *arguments])


def cut(arguments: list[str]) -> int:
    """Run this again where no network is; nothing else of the computer is hidden."""
    bubblewrap = shutil.which("bwrap")
    if bubblewrap is None:
        print(f"{CUT} needs bubblewrap: install the package 'bubblewrap' (Linux only).", file=sys.stderr)
        return 2
    inside = [bubblewrap, "--unshare-net", "--die-with-parent", "--dev-bind", "/", "/", "--"]
    os.environ["SOLARLAB_NETWORK"] = "cut"
    os.execv(bubblewrap, [*inside, sys.executable, __file__, *arguments])


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))

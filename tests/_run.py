"""Run pytest on the whole course, on every core, from whatever folder this was called in."""

import os
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parent.parent

if __name__ == "__main__":
    os.chdir(ROOT)
    sys.path[0] = str(ROOT)
    sys.exit(pytest.main(["-n", "auto", "--dist", "loadfile", *sys.argv[1:]]))

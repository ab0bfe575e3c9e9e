"""`python instructor`: mark a class.  `python instructor --help` lists the commands."""

import os
import sys

HERE = os.path.dirname(os.path.abspath(__file__))
SETUP = os.path.join(os.path.dirname(HERE), ".setup.py")

if __name__ == "__main__":
    course = {"__file__": SETUP, "__name__": "setup"}
    with open(SETUP, encoding="utf-8") as file:
        exec(compile(file.read(), SETUP, "exec"), course)
    course["run"]("lessons", os.path.join("instructor", "_commands.py"), sys.argv[1:])

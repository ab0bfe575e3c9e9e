"""`python tests`: run the tests.  Arguments go to pytest: `python tests -k egg`."""

import os
import sys

HERE = os.path.dirname(os.path.abspath(__file__))
SETUP = os.path.join(os.path.dirname(HERE), ".setup.py")

if __name__ == "__main__":
    course = {"__file__": SETUP, "__name__": "setup"}
    with open(SETUP) as file:
        exec(compile(file.read(), SETUP, "exec"), course)
    course["run"]("tests", os.path.join("tests", "_run.py"), sys.argv[1:])

"""`python tests`: run the tests.  Arguments go to pytest: `python tests -k egg`."""

import os
import sys

HERE = os.path.dirname(os.path.abspath(__file__))
SETUP = os.path.join(os.path.dirname(HERE), ".setup.py")

if __name__ == "__main__":
    course = {"__file__": SETUP, "__name__": "setup"}
    if not os.path.exists(SETUP):  # a copy by hand easily leaves out what begins with a dot
        sys.exit(SETUP + " is missing: copy the course anew, hidden files with it.")
    with open(SETUP) as file:
        exec(compile(file.read(), SETUP, "exec"), course)
    course["run"]("tests", os.path.join("tests", "_run.py"), sys.argv[1:])

"""Serve the trainer's bench as a plain page: ``python lessons/trainers-bench``.

It needs Voilà, an optional extra.  Options go to Voilà: --no-browser, --port=8899.
"""

from __future__ import annotations

import importlib.util
import os
import subprocess
import sys
from pathlib import Path

HERE = Path(__file__).resolve().parent


def main(options: list[str]) -> int:
    """Run Voilà on the bench with a page that fetches nothing from the network; return its exit code."""
    if importlib.util.find_spec("voila") is None:
        print(
            "Voilà is not installed here.  Open trainers-bench.ipynb in JupyterLab instead, or install it:\n"
            f"{sys.executable} -m pip install voila",
            file=sys.stderr,
        )
        return 2
    paths = [str(HERE / "page"), os.environ.get("JUPYTER_PATH", "")]
    root = [str(HERE.parent.parent), os.environ.get("PYTHONPATH", "")]
    environment = dict(
        os.environ,
        JUPYTER_PATH=os.pathsep.join(path for path in paths if path),
        PYTHONPATH=os.pathsep.join(path for path in root if path),
    )
    command = [
        sys.executable,
        "-m",
        "voila",
        str(HERE / "trainers-bench.ipynb"),
        "--template=plain",
        *options,
    ]
    return subprocess.run(command, env=environment).returncode


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))

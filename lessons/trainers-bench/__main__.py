"""Serve the trainer's bench as a plain page: ``python lessons/trainers-bench``.

It needs Voilà, the optional extra "page" of pyproject.toml.  Options go to Voilà: --no-browser, --port=8899.
"""

from __future__ import annotations

import importlib.util
import os
import subprocess
import sys
import tomllib
from pathlib import Path

HERE = Path(__file__).resolve().parent


def main(options: list[str]) -> int:
    """Run Voilà on the bench with a page that fetches nothing from the network; return its exit code."""
    if importlib.util.find_spec("voila") is None:
        told = "Voilà is not installed here: open trainers-bench.ipynb in JupyterLab, or install it by"
        print(told, f"{sys.executable} -m pip install {' '.join(pins())}", file=sys.stderr)
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
    if os.name != "nt":
        os.execve(sys.executable, command, environment)  # so that what ends this ends Voilà
    return subprocess.run(command, env=environment).returncode


def pins() -> list[str]:
    """Voilà and what it alone needs, in the versions that pyproject.toml pins."""
    with (HERE.parent.parent / "pyproject.toml").open("rb") as file:
        pinned = tomllib.load(file)["tool"]["uv"]["constraint-dependencies"]
    return [pin for pin in pinned if pin.partition("==")[0] in ("voila", "websockets")]


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))

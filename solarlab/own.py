"""Ovens of one's own: fitted to logs, kept beside the predictions, chosen from like any on the shelf."""

from __future__ import annotations

import os
import re
from collections.abc import Iterable
from pathlib import Path

from ._shelf import home
from .catalogue import Oven, load_oven, ovens, save_oven

__all__ = ["own_file", "own_folder", "own_ovens", "provenance", "save_own", "with_own"]

FOLDER = "solarlab-ovens"
COPY = "solarlab-lessons"  # where `python lessons` lays a learner's copy, in the home folder


def own_folder(folder=None) -> Path:
    """Where ovens of one's own are kept: in ``folder``, else where predictions are; see `record.home`.

    From outside the lessons, as on a command line, it is the learner's copy of them, if there is one, so that
    an oven measured there can be chosen in the lessons.
    """
    place = home(folder)
    chosen = folder or os.environ.get("SOLARLAB_HOME")
    copy = Path.home() / COPY
    return (copy if not chosen and place == Path.cwd() and copy.is_dir() else place) / FOLDER


def own_file(name: str, folder=None) -> Path:
    """The file of an oven called ``name``: a path stays one, a bare name lies in `own_folder`."""
    if name.casefold().endswith(".toml"):
        return Path(name).expanduser()
    plain = re.sub(r"[^\w-]+", "-", name.strip().casefold()).strip("-")
    if not plain:
        raise ValueError(f"{name!r} can't name an oven; use letters or numbers.")
    return own_folder(folder) / f"{plain}.toml"


def save_own(oven: Oven, name: str = "", *, replace: bool = False) -> Path:
    """Keep ``oven`` as `own_file` of ``name``, else of its own name; return the file.  See `save_oven`."""
    path = own_file(name or oven.name)
    path.parent.mkdir(parents=True, exist_ok=True)
    save_oven(oven, path, replace=replace)
    return path


def own_ovens(folder=None) -> dict[str, Oven]:
    """Ovens of one's own by name; a file that can't be read is left out, one that shadows the shelf too."""
    found = {}
    for path in sorted(own_folder(folder).glob("*.toml")):
        try:
            oven = load_oven(path)
        except (ValueError, OSError):
            continue
        if oven.name not in ovens():
            found[oven.name] = oven
    return found


def with_own(names: Iterable[str]) -> tuple[str, ...]:
    """The ``names`` of ovens on the shelf that a bench offers, and after them those of one's own."""
    return (*names, *own_ovens())


def provenance(oven: Oven) -> str:
    """What its sources say of an oven's fit, in one line; "" for one that was not fitted."""
    told = [
        q.source.partition(": all ")[0] for q in oven.sources.values() if q.source.startswith("fitted to")
    ]
    return "; ".join(dict.fromkeys(told))

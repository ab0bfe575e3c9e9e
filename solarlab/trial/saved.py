"""Ovens of one's own: fitted to logs, saved beside the predictions, and chosen from like any on the shelf."""

from __future__ import annotations

import re
from pathlib import Path

from ..catalogue import Oven, load_oven, ovens
from ..record import home

FOLDER = "solarlab-ovens"


def own_folder(folder=None) -> Path:
    """Where ovens of one's own are kept: in ``folder``, else where predictions are; see `record.home`."""
    return home(folder) / FOLDER


def own_file(name: str, folder=None) -> Path:
    """The file of an oven called ``name``: a path stays one, a bare name lies in `own_folder`."""
    if name.casefold().endswith(".toml"):
        return Path(name).expanduser()
    plain = re.sub(r"[^\w-]+", "-", name.strip().casefold()).strip("-")
    if not plain:
        raise ValueError(f"{name!r} can't name an oven; use letters or numbers.")
    return own_folder(folder) / f"{plain}.toml"


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


def provenance(oven: Oven) -> str:
    """What its sources say of an oven's fit, in one line; "" for one that was not fitted."""
    told = [
        q.source.partition(": all ")[0] for q in oven.sources.values() if q.source.startswith("fitted to")
    ]
    return "; ".join(dict.fromkeys(told))

"""The data files: finding them, reading things out of them, writing one thing back.

An entry may say ``like = "other entry"``, and a file may hold an entry ``every``; what an entry leaves out
comes from there.  A number is ``{ value, unit, spread, source, low, high }``, the last two optional; a bare
number takes the rest from ``every``.
"""

from __future__ import annotations

import json
import math
import os
import tempfile
import tomllib
from dataclasses import MISSING, fields
from functools import cache
from importlib import resources
from pathlib import Path

import numpy as np

from ._limits import COMPOSITION, LIMITS, suggest
from ._quantity import Quantity

FOLDER = "predictions"  # where a learner has some, that is the learner's place
_TEXT = ("timezone", "form", "shape", "doneness", "about")


@cache
def folder():
    """Where the data files are: inside an installed package, else beside it in the course's own folder."""
    package = resources.files(__package__)
    for place in (package / "data", Path(__file__).resolve().parent.parent / "data"):
        if (place / "sources.toml").is_file():
            return place
    raise FileNotFoundError("the data folder with sources.toml is missing: install the course again.")


def home(folder: str | os.PathLike | None = None) -> Path:
    """Where a learner keeps things: ``folder``, else ``SOLARLAB_HOME``, else beside the lesson's folder."""
    chosen = folder or os.environ.get("SOLARLAB_HOME")
    if chosen:
        return Path(chosen).expanduser()
    here = Path.cwd()
    for place in (here, here.parent):
        if (place / FOLDER).is_dir():
            return place
    return here.parent if (here / "exercises.py").is_file() else here


@cache
def references() -> dict[str, str]:
    """Short names of sources and what they stand for."""
    return tomllib.loads((folder() / "sources.toml").read_text("utf-8"))


def shelf(filename, kind, part=None) -> dict[str, object]:
    """All things of class ``kind`` in a data file, by name and in the file's order."""
    return parse((folder() / filename).read_text("utf-8"), filename, kind, part)


def parse(text, origin, kind, part=None) -> dict[str, object]:
    """Things of class ``kind`` in the TOML ``text``; ``part`` is the class of an oven's reflectors."""
    try:
        raw = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise ValueError(f"{origin} is not a readable TOML file: {error}.") from None
    every = raw.pop("every", {})
    return {name: _thing(kind, part, name, _whole(raw, name, origin), every, origin) for name in raw}


def _whole(raw, name, origin):
    entry = raw.get(name)
    if not isinstance(entry, dict):
        raise ValueError(f"{origin} has no entry {name!r} that is a table of fields.")
    parent = entry.get("like")
    if parent is None:
        return entry
    if parent == name or parent not in raw:
        raise ValueError(f"{origin}: {name!r} is like {parent!r}, which is not another entry of the file.")
    rest = {key: value for key, value in entry.items() if key != "like"}
    return {**_whole({key: value for key, value in raw.items() if key != name}, parent, origin), **rest}


def _thing(kind, part, name, entry, every, origin):
    owner = f"{origin}, {name}"
    limits, sources, values = LIMITS[kind.__name__], {}, {"name": name}
    known = {field.name for field in fields(kind)} - {"name", "sources"}
    strange = sorted(set(entry) - known)
    if strange:
        raise ValueError(
            f"{owner}: there is no field {strange[0]!r}; " + suggest(strange[0], known, "leave it out")
        )
    for field in fields(kind):
        key = field.name
        if key in ("name", "sources"):
            continue
        raw = entry.get(key, every.get(key))
        if raw is None or (key in limits and isinstance(raw, dict) and "value" not in raw):
            if field.default is MISSING:
                raise ValueError(f"{owner}: field {key!r} is missing.")
            continue
        if key in _TEXT:
            values[key] = raw
        elif key == "safety":
            values[key] = tuple(raw)
        elif key == "composition":
            values[key] = _composition(owner, raw, sources)
        elif key == "reflectors":
            values[key] = tuple(_reflector(owner, part, mirror, sources) for mirror in raw)
        else:
            quantity = _quantity(owner, key, raw, every.get(key, {}), limits[key])
            sources[key] = quantity
            values[key] = int(quantity.value) if key == "glazing_sheets" else quantity.value
    return kind(**values, sources=sources)


def _quantity(owner, key, raw, default, limit):
    if not isinstance(raw, dict):
        raw = {**default, "value": raw}
    lowest, highest, unit = limit
    try:
        stated = {name: raw[name] for name in ("value", "unit", "spread", "source")}
    except KeyError as missing:
        told = f"{owner}: {key} lacks its {missing.args[0]}; give value, unit, spread and source."
        raise ValueError(told) from None
    if stated["unit"] != unit:
        raise ValueError(f"{owner}: {key} is in {stated['unit']!r}; it must be in {unit!r}.")
    numbers = {"value": stated["value"], "spread": stated["spread"]}
    numbers |= {"low": raw.get("low", lowest), "high": raw.get("high", highest)}
    if not all(isinstance(x, (int, float)) and not math.isnan(x) for x in numbers.values()):
        raise ValueError(f"{owner}: {key} holds something that is not a number.")
    numbers = {name: float(x) for name, x in numbers.items()}
    if numbers["spread"] < 0.0 or not numbers["low"] <= numbers["value"] <= numbers["high"]:
        raise ValueError(
            f"{owner}: {key} is {numbers['value']:g} {unit}, which must lie between {numbers['low']:g} and "
            f"{numbers['high']:g}, and its spread {numbers['spread']:g} must not be negative."
        )
    return Quantity(unit=unit, source=_cited(stated["source"]), **numbers)


def _cited(source: str) -> str:
    """The source in full: its short name replaced, what follows the colon kept."""
    name, colon, detail = str(source).partition(":")
    full = references().get(name)
    return source if full is None else f"{full}{': ' if colon else ''}{detail.strip()}"


def _composition(owner, raw, sources):
    shares = {}
    for name in COMPOSITION:
        spread = raw["spread"] if name == "water" else raw["relative_spread"] * raw[name]
        stated = {"value": raw[name], "unit": "1", "spread": spread, "source": raw["source"]}
        quantity = _quantity(owner, name, stated, {}, (0.0, 1.0, "1"))
        sources[f"composition.{name}"] = quantity
        shares[name] = quantity.value
    return shares


def _reflector(owner, part, raw, sources):
    values = {}
    for name in ("length", "flare"):
        quantity = _quantity(owner, name, raw[name], {}, LIMITS["Reflector"][name])
        sources[f"reflectors.{raw['edge']}.{name}"] = quantity
        values[name] = quantity.value
    return part(edge=raw["edge"], **values)


def entry(thing) -> str:
    """An oven as one TOML entry; every number with unit, spread and source."""
    sources, limits = thing.sources, LIMITS[type(thing).__name__]
    lines = [f"[{_text(thing.name)}]"]
    if thing.about:
        lines.append(f"about = {_text(thing.about)}")
    for field in fields(thing):
        value = getattr(thing, field.name)
        if field.name in limits:
            told = _inline(field.name, value, sources.get(field.name), limits[field.name])
            lines.append(f"{field.name} = {told}")
        elif field.name == "reflectors":
            lines.append("reflectors = [")
            for mirror in value:
                parts = [f"edge = {_text(mirror.edge)}"]
                for name in ("length", "flare"):
                    known = sources.get(f"reflectors.{mirror.edge}.{name}")
                    told = _inline(name, getattr(mirror, name), known, LIMITS["Reflector"][name])
                    parts.append(f"{name} = {told}")
                lines.append(f"    {{ {', '.join(parts)} }},")
            lines.append("]")
    return "\n".join(lines) + "\n"


def _inline(name, value, quantity, limit):
    if np.ndim(value):
        raise ValueError(f"{name} holds {np.size(value)} draws; only a thing of single numbers can be saved.")
    number = value if isinstance(value, int) else float(value)
    unit = limit[2]
    if quantity is None:
        return f'{{ value = {number!r}, unit = "{unit}", spread = 0.0, source = "stated by hand" }}'
    source = quantity.source
    if float(value) != quantity.value:
        source = f"changed by hand; was {quantity.value:.6g}: {source}"
    bounds = "".join(
        f", {end} = {x!r}"
        for end, x in (("low", quantity.low), ("high", quantity.high))
        if math.isfinite(x) and (x <= value if end == "low" else x >= value)
    )
    told = f"value = {number!r}, unit = {_text(unit)}, spread = {float(quantity.spread)!r}"
    return f"{{ {told}, source = {_text(source)}{bounds} }}"


def _text(text: str) -> str:
    return json.dumps(text, ensure_ascii=False).replace("\x7f", "\\u007f")


def write(path, text, *, replace) -> None:
    """Write a whole file or nothing; an existing one is kept unless ``replace``."""
    path = Path(path)
    if path.exists() and not replace:
        raise FileExistsError(f"{path.name} is already there; choose another name, or say replace=True.")
    handle, part = tempfile.mkstemp(dir=path.parent, prefix=f".{path.name}.", suffix=".part")
    try:
        with os.fdopen(handle, "w", encoding="utf-8", newline="\n") as file:
            file.write(text)
        os.replace(part, path)
    except BaseException:
        os.unlink(part)
        raise

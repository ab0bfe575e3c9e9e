"""Reading what a learner hands in: into plain JSON values, then into the number, choice or plan wanted.

Types are looked at before anything is compared, and only exact, known types are read: an object that claims
to equal everything, or a number that prints as something else, is never asked for its opinion.
"""

from __future__ import annotations

import math
import re
from collections.abc import Mapping

import numpy as np

TEXT_LIMIT = 4000  # characters kept of anything typed
ITEM_LIMIT = 400  # entries kept of a list or a plan
BLANK = {"", "…", "?", "-", "your answer here", "your answer goes here", "none"}


def _units(factors: Mapping[str, float]) -> dict[str, tuple[float, float]]:
    return {word: (factor, 0.0) for words, factor in factors.items() for word in words.split("|")}


_HOUR, _MINUTE, _SECOND = "h|hr|hrs|hour|hours", "min|mins|minute|minutes", "s|sec|secs|second|seconds"
_SCALES = {  # unit wanted -> what may be typed after the number -> (factor, offset)
    "°C": _units({"°c|c|celsius": 1}) | {word: (5 / 9, -160 / 9) for word in ("°f", "f", "fahrenheit")},
    "h": _units({_HOUR: 1, _MINUTE: 1 / 60, _SECOND: 1 / 3600}),
    "min": _units({_HOUR: 60, _MINUTE: 1, _SECOND: 1 / 60}),
    "s": _units({_HOUR: 3600, _MINUTE: 60, _SECOND: 1}),
    "°": _units({"°|deg|degree|degrees": 1}),
    "%": _units({"%|percent|per cent": 1}),
    "": _units({"%|percent|per cent": 0.01}),
    "kg": _units({"kg": 1, "g": 0.001}),
    "g": _units({"g|gram|grams": 1, "kg": 1000}),
    "W": _units({"w|watt|watts": 1, "kw": 1000}),
    "m": _units({"m|metre|metres|meter|meters": 1, "cm": 0.01, "mm": 0.001}),
    "cm": _units({"m|metre|metres|meter|meters": 100, "cm": 1, "mm": 0.1}),
}
_NUMBER = r"[+-]?(?:\d{1,3}(?:[ \u00a0\u202f]\d{3})+(?:[.,]\d+)?|\d[\d.,]*\d|\d|[.,]\d+)(?:e[+-]?\d+)?"
_NUMPY = frozenset(
    kind for kind in vars(np).values() if isinstance(kind, type) and issubclass(kind, (np.number, np.bool_))
)


class Unreadable(ValueError):
    """What was handed in is not of the kind wanted; the message is one sentence for the learner."""


def plain(value: object, depth: int = 3) -> object:
    """``value`` as JSON can hold it: number, text, true/false, ``None`` (nothing yet), list, dict of these.

    Anything else becomes ``{"unreadable": what it is}``.  Never raises and never calls a method of the value
    unless its type is exactly a built-in or NumPy's own.
    """
    kind = type(value)
    if value is None or value is Ellipsis:
        return None
    if kind is bool or kind is np.bool_:
        return bool(value)
    if kind is str or kind is np.str_:
        return str(value)[:TEXT_LIMIT]
    if kind is int or kind is float or kind in _NUMPY:
        if issubclass(kind, (np.complexfloating, np.timedelta64)):
            return {"unreadable": f"a {kind.__name__}"}
        try:
            value = float(value)
        except OverflowError:
            return {"unreadable": "a number too large to use"}
        return value if math.isfinite(value) else {"unreadable": f"{value}, which is no number"}
    if kind is np.ndarray and value.shape == () and value.dtype.type in _NUMPY:
        return plain(value.item())
    if depth and kind in (list, tuple):
        return [plain(item, depth - 1) for item in value[:ITEM_LIMIT]]
    if depth and kind is dict:
        pairs = [pair for pair in value.items() if type(pair[0]) is str][:ITEM_LIMIT]
        return {key[:TEXT_LIMIT]: plain(item, depth - 1) for key, item in pairs}
    if kind is np.ndarray:
        return {"unreadable": f"an array of shape {value.shape}"}
    return {"unreadable": "a " + re.sub(r"[^\w .]", "", type.__getattribute__(kind, "__name__"))[:60]}


def blank(value: object) -> bool:
    """Whether a plain value says that nothing was attempted yet."""
    return value is None or (type(value) is str and value.strip(" \t\r\n*_.").lower() in BLANK)


def number(value: object, unit: str = "") -> float:
    """A plain value as a finite float in ``unit``; ``"75 °C"``, ``"12,5"`` or ``"1 h 20 min"`` can be read.

    Raises Unreadable with one sentence where it is not one number.
    """
    if type(value) is bool:
        raise Unreadable("A number is wanted, not true or false.")
    if type(value) in (int, float):
        if not math.isfinite(value):
            raise Unreadable(f"{value} is not a number that can be checked.")
        if unit == "clock" and 0 < value <= 24:  # 11.40 for 11:40; as minutes after midnight nobody means it
            raise Unreadable(f'A clock time such as "13:40" is wanted, in quotes; this is {value}.')
        return float(value)
    if type(value) is str:
        return _clock(value) if unit == "clock" else _typed(value, unit)
    if type(value) is list:
        hint = '; a decimal comma goes in quotes: "12,5"' if len(value) == 2 else ""
        raise Unreadable(f"One number is wanted; this is a list of {len(value)}{hint}.")
    raise Unreadable(f"A number is wanted; this is {_what(value)}.")


def _typed(text: str, unit: str) -> float:
    shown = text.strip()[:40]
    line = text.strip().lower().replace("−", "-").replace("º", "°")
    line = re.sub(r"^(about|approx\.?|roughly|circa|ca\.?|~|≈|=)\s*", "", line)
    line = re.sub(r"°\s+(?=[cf]\b)|deg(rees)?\s*(?=[cf]\b)", "°", line)
    parts = re.findall(rf"({_NUMBER})\s*([^\d+.,-]*)", line)
    if not parts or re.sub(r"\s", "", "".join(map("".join, parts))) != re.sub(r"\s", "", line):
        raise Unreadable(f"A number is wanted; “{shown}” cannot be read as one.")
    if unit in ("min", "h", "s") and re.fullmatch(r"\d{1,3}:\d{2}", line):
        raise Unreadable(f"“{shown}” can mean two things: write it as 1 h 20 min, or as 80 min.")
    scales = _SCALES.get(unit, {unit.lower(): (1.0, 0.0)})
    words = [word.strip(" .") for _, word in parts]
    if unit in ("min", "h", "s") and len(parts) == 2 and words[0] in _HOUR.split("|") and not words[1]:
        words[1] = "min"  # 1h43
    if len(parts) > 1 and (unit not in ("min", "h", "s") or not all(words)):
        raise Unreadable(f"One number is wanted; “{shown}” holds {len(parts)}.")
    total = 0.0
    for (digits, _), word in zip(parts, words, strict=True):
        if word and word not in scales:
            wanted = f"in {unit}" if unit else "without a unit"
            raise Unreadable(f"The answer is wanted {wanted}; “{word[:20]}” cannot be read.")
        factor, offset = scales[word] if word else (1.0, 0.0)
        total += _digits(digits) * factor + offset
    if not math.isfinite(total):
        raise Unreadable(f"“{shown}” is too large to be checked.")
    return total


def _digits(text: str) -> float:
    """Decimal point or decimal comma; a lone ``1,234`` is asked about, not guessed."""
    text = re.sub(r"[\s\u00a0\u202f]", "", text)
    if re.fullmatch(r"[+-]?[1-9]\d{0,2},\d{3}", text):
        point, whole = text.replace(",", "."), text.replace(",", "")
        raise Unreadable(f"“{text}” can mean two things: write {point} or {whole}.")
    if "," in text and "." in text:
        thousands, point = (",", ".") if text.rfind(".") > text.rfind(",") else (".", ",")
        text = text.replace(thousands, "").replace(point, ".")
    elif text.count(",") == 1:
        text = text.replace(",", ".")
    try:
        return float(text.replace(",", ""))
    except ValueError:
        raise Unreadable(f"“{text[:40]}” cannot be read as a number.") from None


def _clock(text: str) -> float:
    """Minutes after midnight of ``"13:40"``, ``"13h40"``, ``"1:40 pm"``, ``"5 pm"``."""
    line = text.strip().lower().replace("a.m.", "am").replace("p.m.", "pm")
    line = re.sub(r"^(\d{1,2})\s*(am|pm)$", r"\1:00 \2", line)
    match = re.fullmatch(r"(\d{1,2})\s*[:.h]\s*(\d{2})\s*(am|pm)?", line)
    if match is None or int(match[2]) > 59 or int(match[1]) > (12 if match[3] else 24):
        raise Unreadable(f"A clock time such as 13:40 is wanted; “{text.strip()[:40]}” is not one.")
    hour = int(match[1]) % 12 + (12 if match[3] == "pm" else 0) if match[3] else int(match[1])
    return hour * 60.0 + int(match[2])


def choice(value: object, choices: Mapping[str, str]) -> str:
    """The key of the choice meant: its letter, or its words.  Raises Unreadable."""
    letters = ", ".join(choices)
    if type(value) is not str:
        raise Unreadable(f"Answer with one letter in quotes: {letters}.")
    said = value.strip().replace("’", "'").strip("().'\"").casefold()
    for key, words in choices.items():
        if said in (key.casefold(), words.strip().casefold().replace("’", "'")):
            return key
    raise Unreadable(f"“{value.strip()[:40]}” is none of the choices: {letters}.")


def plan(value: object, fields: Mapping[str, object]) -> dict[str, object]:
    """A plan's fields, each a number in its unit, or one of its words.  Raises Unreadable."""
    if type(value) is not dict or "unreadable" in value:
        raise Unreadable(f"A plan with these parts is wanted: {', '.join(fields)}.")
    missing = [name for name in fields if name not in value]
    if missing:
        raise Unreadable(f"The plan lacks: {', '.join(missing)}.")
    read: dict[str, object] = {}
    for name, kind in fields.items():
        if blank(value[name]) and not (isinstance(kind, tuple) and value[name] in kind):
            raise Unreadable(f"The plan says nothing yet about {name}.")
        try:
            if isinstance(kind, str):
                read[name] = number(value[name], kind)
            else:
                read[name] = choice(value[name], {word: word for word in kind})
        except Unreadable as error:
            raise Unreadable(f"{name}: {error}") from None
    return read


def _what(value: object) -> str:
    if type(value) is dict:
        return str(value.get("unreadable", "a table of values"))[:80]
    return "nothing" if value is None else f"a {type(value).__name__}"

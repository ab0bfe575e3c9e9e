"""What a trainer types, read and checked: one clear sentence for what can't be, a question for what is odd.

Both the command line and the page of controls hand their texts here, so they accept the same and complain in
the same words.
"""

from __future__ import annotations

import datetime
import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from importlib import resources
from pathlib import Path

from .. import catalogue
from .._reading import Unreadable, number
from ..catalogue import Oven, Place, load_oven, place_at, portion
from ..dates import clock
from ..language import language
from ..plan.chance import Outlook
from ..plan.kitchen import Dish, minutes_of
from ..plan.meal import Plan
from ..plan.search import nothing_to_tell, plan
from ..plan.site import skyline
from ..weather import Weather, read_weather
from .paper import PAPERS

FAR = 10.0  # °: a latitude that fits its zone so much better with the other sign is asked about
SPLIT = re.compile(r"[;\n]+")


class Question(ValueError):
    """What was typed may be a slip: ask, and go on only when told that it is meant."""


@dataclass(frozen=True)
class Asked:
    """A day sheet as asked for."""

    outlook: Outlook
    ovens: tuple[Oven, ...]
    menu: tuple[Dish, ...]
    eat: str
    earliest: str
    preheat: int
    group: int | None
    declination: float | None
    language: str
    paper: str

    def planned(self, progress: Callable[[int, int], None] = nothing_to_tell) -> Plan:
        """The searched plan of what was asked for."""
        return plan(
            self.outlook,
            self.ovens,
            self.menu,
            eat=self.eat,
            earliest=self.earliest,
            preheat=self.preheat,
            progress=progress,
        )


def read(values: Mapping[str, object]) -> Asked:
    """The day sheet that ``values`` ask for, all of them text as typed; empty means not told.

    ``place`` (a name on the shelf) or ``latitude``, ``longitude``, ``elevation``, ``timezone``; ``date``;
    ``ovens`` and ``menu`` separated by ";" ("rice in glass; potatoes; 0.8 kg lentils in clay"); ``cloud``
    ("unknown", "clear", oktas "0" … "8", "month 5"); ``weather`` a path; ``air`` "12 24" (or "54 F 75 F");
    ``wind`` [m/s]; ``skyline`` "90:15, 120:25"; ``eat``, ``earliest`` "HH:MM"; ``preheat`` min; ``people``;
    ``declination`` °; ``language``; ``paper``; ``sure`` "yes" answers a `Question`.
    """
    text = {name: str(value).strip() for name, value in values.items() if value not in (None, "")}
    here = read_place(text)
    weather = _weather(text, here.timezone)
    date = _date(text.get("date", ""))
    oktas, mean = _cloud(text.get("cloud", "unknown"))
    air = _air(text.get("air", ""))
    wind = _number(text, "wind", "", 0.0, 20.0)
    outlook = Outlook(here, date, weather, oktas, mean, air, wind, skyline(text.get("skyline", "")))
    ovens = tuple(read_oven(name) for name in _list(text.get("ovens", "")))
    menu = tuple(read_dish(words) for words in _list(text.get("menu", "")))
    if not ovens or not menu:
        raise ValueError(
            f"name at least one {'dish' if ovens else 'oven'}; "
            f"there are {'; '.join(catalogue.foods() if ovens else catalogue.ovens())}."
        )
    spoken, paper = language(text.get("language", "en")).code, text.get("paper", "A4")
    if paper not in PAPERS:
        raise ValueError(f"paper is {paper!r}; it is {' or '.join(PAPERS)}.")
    group = _number(text, "people", "", 1, 2000, whole=True)
    preheat = _number(text, "preheat", "min", 0, 180)
    return Asked(
        outlook,
        ovens,
        menu,
        clock(minutes_of(text.get("eat", "13:00"))),
        clock(minutes_of(text.get("earliest", "07:00"))),
        30 if preheat is None else int(preheat),
        None if group is None else int(group),
        _number(text, "declination", "°", -90, 90),
        spoken,
        paper,
    )


def read_place(text: Mapping[str, str]) -> Place:
    """A place on the shelf by name, or one's own by its numbers; asks if the hemisphere seems wrong."""
    name = text.get("place", "")
    if "latitude" not in text and "longitude" not in text:
        if not name:
            raise ValueError("name a place, or give latitude, longitude, elevation and timezone.")
        return catalogue.place(name)
    missing = [each for each in ("latitude", "longitude", "elevation", "timezone") if each not in text]
    if missing:
        raise ValueError(f"a place of your own needs {', '.join(missing)} too.")
    latitude, longitude = (_degrees(text, each) for each in ("latitude", "longitude"))
    elevation = _number(text, "elevation", "", -450, 6000)
    here = place_at(latitude, longitude, elevation, text["timezone"], name or "here")
    asked = hemisphere(here)
    if asked and text.get("sure", "").casefold() not in ("yes", "true", "1"):
        raise Question(asked)
    return here


def read_year(values: Mapping[str, object]):
    """(place, weather or None, twelve monthly clouds or None) for a year calendar; a file's place will do."""
    text = {name: str(value).strip() for name, value in values.items() if value not in (None, "")}
    named = any(name in text for name in ("place", "latitude", "longitude"))
    if not named and "weather" not in text:
        raise ValueError("name a place, or give a weather file, which has one of its own.")
    here = read_place(text) if named else None
    weather = _weather(text, here.timezone if here else text.get("timezone"))
    clouds = None
    if "clouds" in text and weather is None:
        try:
            clouds = [float(each) for each in re.split(r"[,;\s]+", text["clouds"])]
        except ValueError:
            raise ValueError(
                f"clouds {text['clouds']!r} can't be read; write twelve oktas, such as 2 2 3 5 5 4 4 4 4 4 "
                "4 3."
            ) from None
    return here or weather.place, weather, clouds


def hemisphere(here: Place) -> str:
    """A question if the latitude would fit its time zone much better with the other sign, else ""."""
    home = _zones().get(here.timezone)
    if home is None or abs(abs(here.latitude - home) - abs(-here.latitude - home)) < FAR:
        return ""
    if abs(here.latitude - home) < abs(-here.latitude - home):
        return ""
    side, other = ("north", "south") if here.latitude > 0 else ("south", "north")
    return (
        f"Latitude {abs(here.latitude):g}° {side} is far from {here.timezone}; did you mean "
        f"{abs(here.latitude):g}° {other}, {-here.latitude:g}?  If it is meant, say that you are sure."
    )


def _zones() -> dict[str, float]:
    """Latitude of each time zone's principal town, from the zone table that comes with the tz database."""
    table = (resources.files("tzdata") / "zoneinfo" / "zone.tab").read_text("utf-8")
    rows = (line.split("\t") for line in table.splitlines() if line and not line.startswith("#"))
    found = {}
    for row in rows:
        sign, digits = re.match(r"([+-])(\d+)", row[1]).groups()
        degrees = int(digits[:2]) + int(digits[2:4]) / 60.0
        found[row[2]] = degrees if sign == "+" else -degrees
    return found


def read_oven(name: str) -> Oven:
    """An oven of one's own, by its name or its file (ends in .toml), or one on the shelf."""
    if name.casefold().endswith(".toml"):
        return load_oven(Path(name).expanduser())
    return catalogue.oven(name)


def read_dish(words: str) -> Dish:
    """A dish from "rice in glass", "0.8 kg lentils in clay", "potatoes", "rice, stove 20 min in glass".

    "porridge, open 40 min" opens the lid that long after loading, to stir; several may be given.
    """
    found = re.match(r"(?:(?P<kg>[-−]?[\d.,]+)\s*(?P<unit>kg|g)\s+)?(?P<rest>.+)$", words.strip())
    rest, stove = found["rest"], re.search(r",?\s*stove\s+(\d+)\s*min", found["rest"])
    rest = rest.replace(stove[0], "") if stove else rest
    opened = re.findall(r",?\s*open\s+(\d+)\s*min", rest)
    rest = re.sub(r",?\s*open\s+\d+\s*min", "", rest)
    whole = {catalogue._folded(name) for name in catalogue.foods()}
    name, vessel = rest.strip(), ""
    if catalogue._folded(name) not in whole and " in " in name:
        name, _, vessel = (part.strip() for part in name.rpartition(" in "))
    dish = catalogue.food(name)
    if found["kg"]:
        mass = number(found["kg"], "") * (0.001 if found["unit"] == "g" else 1.0)
        if mass <= 0.0:
            raise ValueError(f"the dish {words.strip()!r} weighs nothing; write it as 0.4 kg rice.")
        dish = portion(dish, mass=mass)
    pot = catalogue.pot(vessel) if vessel else None
    if pot is None and dish.form != "solid":
        pot = catalogue.pot("dark enamelled steel")  # what needs a pot gets the common one
    return Dish(dish, pot, float(stove[1]) if stove else None, tuple(map(float, opened)))


def _list(text: str) -> list[str]:
    return [part.strip() for part in SPLIT.split(text) if part.strip()]


def _weather(text, timezone: str | None) -> Weather | None:
    if "weather" not in text:
        return None
    path = Path(text["weather"]).expanduser()
    try:
        return read_weather(path, timezone)
    except OSError:
        raise ValueError(
            f"the weather file {path.name} can't be read; give the path of a TMY3, EPW or PVGIS file."
        ) from None


def _date(text: str) -> str:
    try:
        return datetime.date.fromisoformat(text).isoformat()
    except ValueError:
        raise ValueError(
            f"the date {text!r} can't be read; write year-month-day, such as 2026-03-10."
        ) from None


def _cloud(text: str):
    """(oktas, monthly mean) of what was typed."""
    word = text.casefold()
    if word in ("unknown", "?", ""):
        return None, None
    if word == "clear":
        return 0.0, None
    mean = word.removeprefix("month").strip()
    try:
        oktas = float(mean.replace(",", "."))
    except ValueError:
        oktas = -1.0
    if not 0.0 <= oktas <= 8.0:
        raise ValueError(
            f"cloud {text!r} can't be read; it is unknown, clear, oktas from 0 to 8, or 'month' and "
            "the month's mean oktas."
        )
    return (None, oktas) if word.startswith("month") else (oktas, None)


def _air(text: str) -> tuple[float, float] | None:
    if not text:
        return None
    parts = re.findall(r"[-+−]?\d+(?:[.,]\d+)?\s*°?\s*[CF]?", text, re.I)
    unit = "°F" if re.search(r"f\b", text, re.I) else "°C"
    if len(parts) != 2:
        raise ValueError(
            f"air {text!r} can't be read; give the coolest and the warmest of the day, such as "
            "12 24 or 54 F 75 F."
        )
    bare = [re.sub(r"[°\sCFcf]", "", part).replace("−", "-") for part in parts]
    low, high = sorted(number(f"{part} {unit}", "°C") for part in bare)
    if not -40.0 <= low <= high <= 55.0:
        raise ValueError(
            f"air of {low:.0f} to {high:.0f} °C is outside -40 to 55 °C; is it in °F?  Write 54 F 75 F."
        )
    return low, high


def _degrees(text, name: str) -> float:
    """A latitude or longitude, "-1.29" or "1.29 S"."""
    raw = text[name].replace("°", " ").strip()
    side = raw[-1:].upper()
    if side in ("N", "S", "E", "W"):
        value = _plain(raw[:-1], name)
        return -abs(value) if side in ("S", "W") else abs(value)
    return _plain(raw, name)


def _plain(text: str, name: str) -> float:
    try:
        return float(text.strip().replace(",", ".").replace("−", "-"))
    except ValueError:
        raise ValueError(f"{name} {text!r} can't be read; write degrees, such as -1.29 or 1.29 S.") from None


def _number(text, name: str, unit: str, low: float, high: float, whole: bool = False) -> float | None:
    if name not in text:
        return None
    try:
        value = number(text[name].replace("−", "-"), unit)
        if whole and value % 1.0:
            raise Unreadable
    except Unreadable:
        raise ValueError(
            f"{name} {text[name]!r} can't be read; write a number from {low:g} to {high:g}."
        ) from None
    if not low <= value <= high:
        raise ValueError(f"{name} is {value:g}; it lies between {low:g} and {high:g}.")
    return value

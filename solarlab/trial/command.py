"""A measured oven from a terminal, such as: python -m solarlab log day-1.csv --place Bamako …"""

from __future__ import annotations

import argparse
import re
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from .report import Report


def parser() -> argparse.ArgumentParser:
    """The command line."""
    whole = argparse.ArgumentParser(prog="python -m solarlab log", description=__doc__.splitlines()[0])
    add = whole.add_argument
    add("logs", nargs="*", help="CSV files of water being heated, one load throughout")
    add("--empty", action="append", default=[], help="a CSV file of the empty oven; again for more")
    add("--oven", required=True, help="what it was built like: on the shelf, or a .toml file")
    add("--place", help="a city on the shelf, or any name beside your own coordinates")
    for name in ("latitude", "longitude", "elevation", "timezone"):
        add(f"--{name}")
    add("--sure", action="store_true", help="yes, the coordinates are meant as they are")
    add("--water", help="kg of water in the pot")
    add("--pot", default="dark enamelled steel", help="(%(default)s)")
    add("--loaded", default="09:00", help="local clock when the water went in (%(default)s)")
    add("--aimed", default="30", help="minutes between two aims, or once (%(default)s)")
    add("--light", help="how the light sensor stood: level, or facing the sun")
    add("--unit", help="of temperatures, where the headings are silent: C or F")
    add("--columns", help='which heading is what, such as "water=T1+T2; air=T3"')
    add("--date", help="year-month-day, where the stamps have none")
    add("--start", help="when the log began, where it counts seconds")
    add("--day-first", help="for stamps such as 03/04/2026: yes or no")
    add("--clock", help='what the logger and a good clock said, such as "08:31=08:31, 17:36=17:30"')
    add("--save", help="keep the fitted oven: a .toml file, or a name, under which sheets then know it")
    add("--name", help="of the fitted oven in a .toml file")
    add("--report", help="write the whole report as a page to print, to this .html file")
    add("--language", default="en", help="of what is said and printed: en, es, fr or sw (%(default)s)")
    add("--intervals", help="write the standard's intervals, kept and rejected, to this .csv file")
    add("--replace", action="store_true", help="write over files of the same name")
    return whole


def main(arguments: Sequence[str] | None = None) -> int:
    """Print what the logs say of the oven; return the exit code."""
    asked = parser().parse_args(arguments)
    try:
        return _report(asked)
    except (ValueError, OSError) as error:
        from ..sheet.mistakes import said_to

        print(said_to(asked.language, error), file=sys.stderr)
        return 2


def _report(asked: argparse.Namespace) -> int:
    from ..__main__ import Progress
    from .._shelf import write
    from ..language import language
    from ..sheet.mistakes import spoken

    say = language(asked.language)
    notes, found = reported(asked, Progress("Measuring the oven"))
    for name, part in [*notes, *(("", part) for part in found.told())]:
        print(name + " ".join(spoken(say, sentence) for sentence in part))
    if found.improvements is not None:
        from ..sheet.report_html import improvements

        print(improvements(found, say).to_string(index=False))
    if asked.intervals and found.power is not None:
        write(asked.intervals, found.power.intervals.to_csv(index=False), replace=asked.replace)
        print(asked.intervals)
    if asked.report:
        from ..sheet.report_html import report_html

        write(asked.report, report_html(found, say, notes), replace=asked.replace)
        print(asked.report)
    if asked.save:
        print(saved(found, asked))
    return 0


def saved(found: Report, asked: argparse.Namespace) -> str:
    """Save the fitted oven where it was asked for, and return the path; ValueError where there is none."""
    from ..own import save_own

    if found.fit is None:
        raise ValueError("there is no fitted oven to save; the notes above say why.")
    bare = not asked.save.casefold().endswith(".toml")
    oven = found.fit.oven(asked.save.strip() if bare else asked.name)
    return str(save_own(oven, asked.save, replace=asked.replace))


def reported(asked: argparse.Namespace, progress) -> tuple[list[tuple[str, list[str]]], Report]:
    """(what was noticed in reading each log, the report) that the options of `parser` ask for."""
    from ..catalogue import Handling, pot
    from ..own import own_file
    from ..sheet.asked import read_oven, read_place
    from . import Run, measure, read_log

    if not asked.logs and not asked.empty:
        raise ValueError("name at least one CSV file from the logger.")
    if asked.logs and not asked.water:
        raise ValueError("say how much water was in the pot, such as --water 2.5 (kg).")
    keep = str(own_file(asked.save)) if asked.save else None
    for path in (keep, asked.intervals, asked.report):
        if path and Path(path).exists() and not asked.replace:
            raise FileExistsError(
                f"{Path(path).name} is already there; add --replace, or choose another name."
            )
    texts = {
        name: getattr(asked, name) for name in ("place", "latitude", "longitude", "elevation", "timezone")
    }
    here = read_place({**{k: v for k, v in texts.items() if v}, **({"sure": "yes"} if asked.sure else {})})
    like = read_oven(asked.oven)
    aims = None if asked.aimed == "once" else _number("aimed", asked.aimed)
    handling = Handling(loaded=asked.loaded, reaim_every=aims)
    options = {
        "unit": _one_of("unit", asked.unit, {"c": "°C", "f": "°F"}),
        "plane": _one_of("light", asked.light, {"level": "level", "sun": "sun"}),
        "day_first": _one_of("day-first", asked.day_first, {"yes": True, "no": False}),
        "columns": _columns(asked.columns), "date": asked.date, "start": asked.start,
        "clock": _pairs(asked.clock),
    }  # fmt: skip
    notes, runs = [], []
    for path in [*asked.logs, *asked.empty]:
        log = read_log(Path(path).expanduser(), here.timezone, **options)
        notes.append((f"{log.name}: ", list(log.notes)))
        wet = path in asked.logs
        for day in log.days():
            water = _number("water", asked.water) if wet else 0.0
            runs.append(Run(day, handling, water, pot(asked.pot) if wet else None))
    return notes, measure(like, here, runs, progress=progress)


def _number(name: str, text: str) -> float:
    try:
        return float(str(text).replace(",", "."))
    except ValueError:
        raise ValueError(f"--{name} is {text!r}; it must be a number.") from None


def _one_of(name: str, text: str | None, meanings: dict):
    """The meaning of one of a few words, None where nothing was said."""
    if not text:
        return None
    try:
        return meanings[text.strip(" °").casefold()]
    except KeyError:
        raise ValueError(f"--{name} is {text!r}; it takes {', '.join(meanings)}.") from None


def _columns(text: str | None) -> dict[str, list[str]] | None:
    """Roles and their headings from "water=T1+T2; air=T3"."""
    if not text:
        return None
    parts = [part.partition("=") for part in text.split(";") if part.strip()]
    return {role.strip(): [name.strip() for name in names.split("+")] for role, _, names in parts}


def _pairs(text: str | None) -> tuple[tuple[str, str], ...]:
    """Clock comparisons from "08:31=08:31, 17:36=17:30"."""
    pairs = [tuple(re.split(r"\s*=\s*", part.strip())) for part in (text or "").split(",") if part.strip()]
    if any(len(pair) != 2 for pair in pairs):
        raise ValueError(f"--clock is {text!r}; write logger=clock, such as 08:31=08:31, 17:36=17:30.")
    return tuple(pairs)

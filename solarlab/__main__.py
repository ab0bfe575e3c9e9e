"""Sheets from a terminal: `sheet` for tomorrow, `year` for a year, `log` for an oven that was measured.

Every option takes text as one would say it; see ``python -m solarlab sheet --help``.
"""

from __future__ import annotations

import argparse
import re
import sys
import time
from collections.abc import Sequence
from pathlib import Path

SLOW = 2.0  # seconds, after which progress is shown


def main(arguments: Sequence[str] | None = None) -> int:
    """Do what the command line asks; return the exit code."""
    arguments = list(sys.argv[1:] if arguments is None else arguments)
    if arguments[:1] == ["log"]:
        return log(arguments[1:])
    asked = parser().parse_args(arguments)
    try:
        return {"sheet": sheet, "year": calendar}[asked.what](asked)
    except (ValueError, OSError, RuntimeError) as error:
        from .sheet.mistakes import said_to

        print(said_to(asked.language, error), file=sys.stderr)
        return 2
    except KeyboardInterrupt:
        print("Stopped; nothing was written.", file=sys.stderr)
        return 130


def parser() -> argparse.ArgumentParser:
    """The command line."""
    whole = argparse.ArgumentParser(prog="python -m solarlab", description=__doc__.splitlines()[0])
    kinds = whole.add_subparsers(dest="what", required=True, metavar="sheet | year | log")
    day = kinds.add_parser("sheet", help="tomorrow's demonstration on paper")
    year = kinds.add_parser("year", help="a year on one page")
    for each in (day, year):
        add = each.add_argument
        add("--place", help="a city on the shelf, or any name beside your own coordinates")
        add("--latitude", help="degrees, such as -1.29 or 1.29 S")
        add("--longitude", help="degrees, such as 36.8 or 36.8 E")
        add("--elevation", help="metres above the sea")
        add("--timezone", help="such as Africa/Nairobi")
        add("--sure", action="store_true", help="yes, the coordinates are meant as they are")
        add("--weather", help="a TMY3, EPW or PVGIS file")
        add(
            "--oven",
            action="append",
            default=[],
            dest="ovens",
            help="on the shelf, one of your own, or a .toml file; again for more",
        )
        add(
            "--dish",
            action="append",
            default=[],
            dest="menu",
            help='such as "0.5 kg rice in glass"; again for more',
        )
        add("--language", default="en", help="en, es, fr or sw (%(default)s)")
        add("--to", default=".", help="the folder to write in (%(default)s)")
        add("--replace", action="store_true", help="write over files of the same name")
        add("--no-pdf", action="store_true", help="HTML only")
    add = day.add_argument
    add("--date", help="year-month-day")
    add("--cloud", default="unknown", help="unknown, clear, oktas 0 to 8, or 'month 5' (%(default)s)")
    add("--air", help='coolest and warmest, such as "12 24" or "54 F 75 F"')
    add("--wind", help="metres per second at the oven")
    add("--skyline", help='bearing:height in degrees, such as "90:15, 120:25"')
    add("--eat", default="13:00", help="when the group eats (%(default)s)")
    add("--earliest", default="07:00", help="when the first oven may be put out (%(default)s)")
    add("--preheat", default="30", help="minutes the empty oven stands in the sun (%(default)s)")
    add("--people", help="in the group")
    add("--declination", help="degrees the compass needle errs, east positive")
    add("--paper", default="A4", help="A4 or Letter (%(default)s)")
    add("--card", action="store_true", help="add a page of pictures without words, for those who don't read")
    add("--home-made", action="store_true", help="add the cautions for home-made ovens")
    add = year.add_argument
    add(
        "--clouds",
        help="without a file: twelve monthly means in oktas, January first, such as 2,2,3,4,5,6,6,6,5,4,3,2",
    )
    add("--meal", default="18:00", help="when the food must be ready (%(default)s)")
    add("--stove", default="wood, open fire", help="what would have been burnt (%(default)s)")
    add("--per-week", type=float, default=5.0, help="how often one tries (%(default)s)")
    kinds.add_parser("log", help="your own oven, measured; has options of its own")
    return whole


def sheet(asked: argparse.Namespace) -> int:
    """Make a day sheet."""
    from .sheet.asked import read
    from .sheet.day import day_sheet, html

    wanted = answered(asked, read)
    name = f"sheet-{_file(wanted.outlook.place.name)}-{wanted.outlook.date}-{wanted.language}"
    free(asked, name)
    made = wanted.planned(Progress("Searching the menu's order"))
    page = day_sheet(
        made,
        language_code=wanted.language,
        group=wanted.group,
        declination=wanted.declination,
        home_made=asked.home_made,
    )
    print(page.headline, *page.warnings, sep="\n")
    return written(asked, name, html(page, wanted.paper, card=asked.card))


def calendar(asked: argparse.Namespace) -> int:
    """Make a year calendar."""
    from .language import language
    from .plan.year import year
    from .sheet.asked import read_dish, read_oven, read_year
    from .sheet.year_html import page_html

    say = language(asked.language)
    here, weather, clouds = answered(asked, read_year)
    name = f"year-{_file(here.name)}-{asked.language}"
    free(asked, name)
    menu = [read_dish(words) for words in asked.menu]
    made = year(
        here,
        [read_oven(name) for name in asked.ovens],
        menu,
        weather=weather,
        mean_oktas=clouds,
        meal=asked.meal,
        progress=Progress("Cooking a year"),
    )
    page = page_html(made, menu, say, stove=asked.stove, per_week=asked.per_week)
    return written(asked, name, page)


def log(arguments: Sequence[str]) -> int:
    """Hand over to the room of measured ovens, which has a command line of its own."""
    from .trial import main as measured

    return measured(arguments)


def answered(asked: argparse.Namespace, read):
    """What ``read`` makes of the options; a question is put to whoever sits at the terminal."""
    from .sheet.asked import Question

    texts = {
        name: "; ".join(value) if isinstance(value, list) else value for name, value in vars(asked).items()
    }
    texts["sure"] = "yes" if asked.sure else ""
    texts = {name: str(value) for name, value in texts.items() if value not in (None, "", False)}
    try:
        return read(texts)
    except Question as question:
        if not sys.stdin.isatty():
            raise ValueError(f"{question}  (Add --sure.)") from None
        if input(f"{question}  Sure? (yes/no) ").strip().casefold() not in ("y", "yes"):
            raise ValueError("Nothing was written; give the coordinates again.") from None
        return read(texts | {"sure": "yes"})


def free(asked: argparse.Namespace, name: str) -> None:
    """Refuse, before any work is done, a name that is taken."""
    for kind in ("html",) if asked.no_pdf else ("html", "pdf"):
        if (Path(asked.to).expanduser() / f"{name}.{kind}").exists() and not asked.replace:
            raise FileExistsError(
                f"{name}.{kind} is there already; choose another folder with --to, or --replace."
            )


def written(asked: argparse.Namespace, name: str, page: str) -> int:
    """Write the page, and its PDF where a browser can make one; say where."""
    from .sheet.files import write, write_pdf

    folder = Path(asked.to).expanduser()
    print(write(folder / f"{name}.html", page, replace=asked.replace))
    if not asked.no_pdf:
        try:
            print(write_pdf(folder / f"{name}.pdf", page, replace=asked.replace))
        except RuntimeError as error:
            print(error, file=sys.stderr)
    return 0


class Progress:
    """A line that counts, on a terminal or not, once the work takes more than two seconds."""

    def __init__(self, what: str):
        self.what, self.begin, self.told = what, time.monotonic(), -1

    def __call__(self, done: int, total: int) -> None:
        share = 100 * done // max(total, 1)
        if time.monotonic() - self.begin > SLOW and share >= self.told + 10:
            self.told = share
            print(f"{self.what}: {share} %", file=sys.stderr, flush=True)


def _file(name: str) -> str:
    return re.sub(r"[^\w-]+", "-", name.casefold()).strip("-") or "here"


if __name__ == "__main__":
    sys.exit(main())

"""The trainer's desk: a page of controls for the day sheet and the year, the same as the command line's.

It is shown in a notebook, or alone as a plain page by Voilà.  Nothing is computed before a button is pressed.
ipywidgets is imported when the desk is shown, not before.
"""

from __future__ import annotations

import base64
import tempfile
from collections.abc import Callable, Mapping
from html import escape
from pathlib import Path

from . import catalogue
from ._files import write_pdf
from ._sheet_parts import later
from .asked import Question, read
from .language import NAMES, Language, language
from .plan import plan
from .sheet import day_sheet, html

FIELDS = (  # key, label (a message), what it starts with
    ("place", later("Place (city on the shelf, or your own name)"), "Nairobi"),
    ("latitude", later("Latitude, of a place of your own"), ""),
    ("longitude", later("Longitude"), ""),
    ("elevation", later("Height above the sea, m"), ""),
    ("timezone", later("Time zone"), ""),
    ("date", later("Date (year-month-day)"), ""),
    ("cloud", later("Cloud: unknown, clear, or oktas 0 to 8"), "unknown"),
    ("weather", later("Weather file (path)"), ""),
    ("air", later("Coolest and warmest air"), ""),
    ("wind", later("Wind at the oven, m/s"), ""),
    ("skyline", later("Skyline, bearing:height in °"), ""),
    ("menu", later("Menu, with ; between dishes"), "rice; eggs in water"),
    ("eat", later("Eat at"), "13:00"),
    ("earliest", later("First oven out at the earliest"), "07:00"),
    ("people", later("People in the group"), "30"),
    ("declination", later("Error of the compass needle, ° east"), ""),
)


def make_sheet(values: Mapping[str, object], progress: Callable[[int, int], None]) -> tuple[str, str, str]:
    """(headline, HTML page, file name) of the day sheet that ``values`` ask for; see `asked.read`."""
    wanted = read(values)
    made = plan(
        wanted.outlook,
        wanted.ovens,
        wanted.menu,
        eat=wanted.eat,
        earliest=wanted.earliest,
        preheat=wanted.preheat,
        progress=progress,
    )
    page = day_sheet(made, language_code=wanted.language, group=wanted.group, declination=wanted.declination)
    return page.headline, html(page, wanted.paper), f"sheet-{wanted.outlook.date}-{wanted.language}"


def shown(page: str, name: str, say: Language) -> str:
    """The page inside a frame, with links that save it as HTML and, where a browser can, as PDF."""
    links = [_link(f"{name}.html", "text/html", page.encode(), say("Save the page"))]
    try:
        with tempfile.TemporaryDirectory(prefix="solarlab-desk-") as folder:
            pdf = write_pdf(Path(folder) / "sheet.pdf", page).read_bytes()
        links.append(_link(f"{name}.pdf", "application/pdf", pdf, say("Save as PDF")))
    except RuntimeError as error:
        links.append(escape(str(error)))
    frame = (
        f'<iframe title="{escape(name)}" style="width:100%;height:1150px;border:1px solid #000" '
        f'srcdoc="{escape(page)}"></iframe>'
    )
    return f"<p>{' · '.join(links)}</p>{frame}"


def _link(name: str, kind: str, data: bytes, label: str) -> str:
    held = base64.b64encode(data).decode("ascii")
    return (
        f'<a download="{escape(name)}" href="data:{kind};base64,{held}">{escape(label)} ({escape(name)})</a>'
    )


def desk(code: str = "en"):
    """The page of controls, in one of the sheet's languages: a widget to show as a cell's last line."""
    import ipywidgets as widgets

    say = language(code)
    wide = widgets.Layout(width="auto")
    style = {"description_width": "22em"}
    boxes = {
        key: widgets.Text(start, description=say(label), layout=wide, style=style, continuous_update=False)
        for key, label, start in FIELDS
    }
    ovens = widgets.SelectMultiple(
        options=[(say(n), n) for n in catalogue.ovens()],
        value=("four-mirror box",),
        description=say("Ovens (Ctrl for more)"),
        layout=wide,
        style=style,
        rows=5,
    )
    tongue = widgets.Dropdown(
        options=[(name, key) for key, name in NAMES.items()],
        value=code,
        description=say("Language of the sheet"),
        layout=wide,
        style=style,
    )
    paper = widgets.Dropdown(options=["A4", "Letter"], description=say("Paper"), layout=wide, style=style)
    sure = widgets.Checkbox(
        False, description=say("Yes, the coordinates are meant as they are"), indent=False
    )
    sure.layout.display = "none"
    button = widgets.Button(
        description=say("Make the sheet"), button_style="primary", layout={"width": "20em"}
    )
    bar = widgets.IntProgress(0, 0, 100, layout={"width": "20em", "visibility": "hidden"})
    message, result = widgets.HTML(), widgets.HTML()

    def progress(done: int, total: int) -> None:
        bar.value = round(100 * done / max(total, 1))

    def make(_) -> None:
        values = {key: box.value for key, box in boxes.items()}
        values |= {
            "ovens": "; ".join(ovens.value),
            "language": tongue.value,
            "paper": paper.value,
            "sure": "yes" if sure.value else "",
        }
        button.disabled, bar.value, bar.layout.visibility = True, 0, "visible"
        message.value = f'<p role="status">{escape(say("Searching…"))}</p>'
        try:
            headline, page, name = make_sheet(values, progress)
            message.value = f'<p role="status"><b>{escape(headline)}</b></p>'
            result.value = shown(page, name, say)
        except Question as question:  # what was typed stays; the old sheet stays
            sure.layout.display = ""
            message.value = f'<p role="alert">{escape(str(question))}</p>'
        except (ValueError, OSError) as error:
            message.value = f'<p role="alert">{escape(str(error))}</p>'
        finally:
            button.disabled, bar.layout.visibility = False, "hidden"

    button.on_click(make)
    return widgets.VBox(
        [*boxes.values(), ovens, tongue, paper, sure, widgets.HBox([button, bar]), message, result]
    )

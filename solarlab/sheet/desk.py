"""The trainer's desk: a page of controls for the day sheet, the year and one's own oven, no code to write.

It is shown in a notebook, or alone as a plain page by Voilà, and calls what the command line calls.
Nothing is computed before a button is pressed; what was typed, and the last result, stay when something can't
be done.
ipywidgets is imported when the desk is shown, not before.
"""

from __future__ import annotations

import base64
import tempfile
from collections.abc import Callable, Mapping
from html import escape
from pathlib import Path

from .. import catalogue
from ..language import NAMES, Language, language
from ..own import own_ovens, provenance
from .asked import Question, read
from .day import day_sheet, html
from .dropped import dropping
from .files import write_pdf
from .mistakes import spoken
from .parts import later

STYLE = """<style>
.solarlab-tabs > .lm-TabBar .lm-TabBar-tab { flex: 0 1 auto; max-width: none; }
.solarlab-desk { container-type: inline-size; }
@container (max-width: 48em) {  /* a label above its box where both don't fit */
  .solarlab-desk .widget-inline-hbox { flex-wrap: wrap; height: auto; }
  .solarlab-desk .widget-inline-hbox > .widget-label {
    width: 100% !important; height: auto; text-align: left; white-space: normal; }
  .solarlab-desk .widget-inline-hbox > input, .solarlab-desk .widget-inline-hbox > select { flex: 1 1 100%; }
}
</style>"""
Fields = tuple[tuple[str, str, str], ...]  # key, label (a message), what it starts with
DROPS = {  # fields of paths into which files may be dropped; whether several
    "weather": (later("or drop the file here:"), False),
    "logs": (later("or drop the files here:"), True),
    "empty": (later("or drop the files here:"), True),
}
PLACE: Fields = (
    ("place", later("Place (city on the shelf, or your own name)"), "Nairobi"),
    ("latitude", later("Latitude, of a place of your own"), ""),
    ("longitude", later("Longitude"), ""),
    ("elevation", later("Height above the sea, m"), ""),
    ("timezone", later("Time zone"), ""),
)
SHEET: Fields = (
    *PLACE,
    ("date", later("Date (year-month-day)"), ""),
    ("cloud", later("Cloud: unknown, clear, or oktas 0 to 8"), "unknown"),
    ("weather", later("Weather file (path)"), ""),
    ("air", later("Coolest and warmest air"), ""),
    ("wind", later("Wind at the oven, m/s"), ""),
    ("skyline", later("Skyline, bearing:height in °"), ""),
    ("menu", later("Menu, with ; between dishes"), "rice; eggs in water"),
    ("eat", later("Eat at"), "13:00"),
    ("earliest", later("First oven out at the earliest"), "07:00"),
    ("preheat", later("Minutes the empty oven stands in the sun"), "30"),
    ("people", later("People in the group"), "30"),
    ("declination", later("Error of the compass needle, ° east"), ""),
)
YEAR: Fields = (
    *PLACE,
    ("weather", later("Weather file (path)"), ""),
    ("clouds", later("Without a file: twelve monthly mean clouds, oktas"), "2 2 3 5 5 4 4 4 4 4 4 3"),
    ("menu", later("Menu, with ; between dishes"), "rice; eggs in water"),
    ("meal", later("Eat at"), "18:00"),
)
LOG: Fields = (
    *PLACE,
    ("logs", later("Logger files with water in the pot (paths, ; between)"), ""),
    ("empty", later("Logger files of the empty oven"), ""),
    ("water", later("Water in the pot, kg"), ""),
    ("pot", later("Pot"), "dark enamelled steel"),
    ("loaded", later("The water went in at"), "09:00"),
    ("aimed", later("Minutes between two aims, or once"), "30"),
    ("light", later("Light sensor: level, or sun (facing it)"), ""),
    ("unit", later("Temperatures in C or F, if the headings don't say"), ""),
    ("columns", later("Which heading is what: water=T1+T2; air=T3"), ""),
    ("date", later("First day, if the log has none"), ""),
    ("start", later("When it began, if it counts seconds"), ""),
    ("day-first", later("Day before month in its dates: yes or no"), ""),
    ("clock", later("Logger = good clock: 08:31=08:31, 17:36=17:30"), ""),
    ("save", later("Keep the fitted oven under the name"), ""),
)
Progress = Callable[[int, int], None]


def make_sheet(values: Mapping[str, str], progress: Progress) -> tuple[str, str]:
    """(headline, result as HTML) of the day sheet that ``values`` ask for; see `asked.read`."""
    wanted = read(values)
    made = wanted.planned(progress)
    page = day_sheet(
        made,
        language_code=wanted.language,
        group=wanted.group,
        declination=wanted.declination,
        home_made=bool(values.get("home_made")),
    )
    name = f"sheet-{wanted.outlook.date}-{wanted.language}"
    return page.headline, shown(html(page, wanted.paper, card=bool(values.get("card"))), name, page.language)


def make_year(values: Mapping[str, str], progress: Progress) -> tuple[str, str]:
    """(headline, result as HTML) of the year that ``values`` ask for; ``clouds`` as twelve numbers."""
    from ..plan.year import year
    from .asked import read_dish, read_oven, read_year
    from .year_html import page_html

    say = language(values.get("language", "en"))
    here, weather, clouds = read_year(values)
    menu = [read_dish(words) for words in values.get("menu", "").split(";") if words.strip()]
    ovens = [read_oven(name.strip()) for name in values.get("ovens", "").split(";") if name.strip()]
    made = year(here, ovens, menu, weather=weather, mean_oktas=clouds, meal=values["meal"], progress=progress)
    return here.name, shown(page_html(made, menu, say), f"year-{say.code}", say)


def make_report(values: Mapping[str, str], progress: Progress) -> tuple[str, str]:
    """(headline, report as HTML) on one's own oven: the first oven chosen is what it was built like."""
    from ..trial.command import parser, reported, saved
    from .report_html import report_html

    say, like = language(values.get("language", "en")), values["ovens"].split(";")[0].strip()
    options = [path.strip() for path in values.get("logs", "").split(";") if path.strip()]
    options += [f"--empty={path.strip()}" for path in values.get("empty", "").split(";") if path.strip()]
    keys = [key for key, _, _ in LOG if key not in ("logs", "empty")]
    options += [f"--{key}={values[key].strip()}" for key in keys if values.get(key, "").strip()]
    asked = parser().parse_args([*options, f"--oven={like}", *(["--sure"] if values.get("sure") else [])])
    notes, found = reported(asked, progress)
    headline = say("Measured oven, built like the {oven}", oven=say(found.oven.name))
    if asked.save:
        headline += ". " + say("Saved: {name}.", name=Path(saved(found, asked)).name)
    return headline, shown(report_html(found, say, notes), f"oven-{say.code}", say)


def shown(page: str, name: str, say: Language) -> str:
    """The page inside a frame, with links that save it as HTML and, where a browser can, as PDF."""
    links = [_link(f"{name}.html", "text/html", page.encode(), say("Save the page"))]
    try:
        with tempfile.TemporaryDirectory(prefix="solarlab-desk-") as folder:
            pdf = write_pdf(Path(folder) / "sheet.pdf", page).read_bytes()
        links.append(_link(f"{name}.pdf", "application/pdf", pdf, say("Save as PDF")))
    except RuntimeError as error:
        links.append(escape(spoken(say, str(error))))
    style = "display:block;box-sizing:border-box;width:100%;height:1150px;border:1px solid #000"
    frame = f'<iframe title="{escape(name)}" style="{style}" srcdoc="{escape(page)}"></iframe>'
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
    forms = (
        (say("Day sheet"), SHEET, say("Make the sheet"), make_sheet),
        (say("Year"), YEAR, say("Make the year"), make_year),
        (say("Your own oven"), LOG, say("Measure the oven"), make_report),
    )
    tabs = widgets.Tab(children=[_form(say, fields, label, make) for _, fields, label, make in forms])
    for k, form in enumerate(forms):
        tabs.set_title(k, form[0])
    return tabs.add_class("solarlab-tabs")


def oven_choices(say: Language) -> list[tuple[str, str]]:
    """(label, name) of every oven to choose from: one's own first, then those on the shelf."""
    own = [(say("{oven} (your own)", oven=name), name) for name in own_ovens()]
    return own + [(say(name), name) for name in catalogue.ovens()]


def origins(names, say: Language) -> str:
    """Where the chosen ovens of one's own come from, as HTML; empty for those on the shelf."""
    own = own_ovens()
    told = [f"{name}: {spoken(say, provenance(own[name]))}" for name in names if name in own]
    return "".join(f"<p>{escape(line)}</p>" for line in told)


def _form(say: Language, fields: Fields, label: str, make: Callable):
    """One tab: text boxes, ovens, language and paper, a button, a bar, a message and the result."""
    import ipywidgets as widgets

    common = {"layout": widgets.Layout(width="auto"), "style": {"description_width": "28em"}}
    message, result, whence = widgets.HTML(), widgets.HTML(), widgets.HTML()

    def complain(error: Exception) -> None:
        message.value = f'<p role="alert">{escape(spoken(say, str(error)))}</p>'

    boxes, shown_fields = {}, []
    for key, name, start in fields:
        boxes[key] = widgets.Text(start, description=say(name), continuous_update=False, **common)
        shown_fields.append(boxes[key])
        if key in DROPS:
            words, several = DROPS[key]
            shown_fields.append(dropping(boxes[key], say(words), several, complain))
    ovens = widgets.SelectMultiple(
        options=oven_choices(say),
        value=("four-mirror box",),
        description=say("Ovens (Ctrl for more)"),
        rows=6,
        **common,
    )
    ovens.observe(lambda change: setattr(whence, "value", origins(change["new"], say)), "value")
    tongue = widgets.Dropdown(
        options=[(name, key) for key, name in NAMES.items()],
        value=say.code,
        description=say("Language of the sheet"),
        **common,
    )
    paper = widgets.Dropdown(options=["A4", "Letter"], description=say("Paper"), **common)
    card = widgets.Checkbox(False, description=say("Add a page of pictures without words"), indent=False)
    home_made = widgets.Checkbox(False, description=say("Add the cautions for home-made ovens"), indent=False)
    sure = widgets.Checkbox(
        False, description=say("Yes, the coordinates are meant as they are"), indent=False
    )
    sure.layout.display = "none"
    button = widgets.Button(description=label, button_style="primary", layout={"width": "20em"})
    bar = widgets.IntProgress(0, 0, 100, layout={"width": "20em", "visibility": "hidden"})

    def progress(done: int, total: int) -> None:
        bar.value = round(100 * done / max(total, 1))

    def pressed(_) -> None:
        values = {key: box.value for key, box in boxes.items()}
        values |= {"ovens": "; ".join(ovens.value), "language": tongue.value, "paper": paper.value}
        values |= {"sure": "yes" if sure.value else "", "card": "yes" if card.value else ""}
        values["home_made"] = "yes" if home_made.value else ""
        button.disabled, bar.value, bar.layout.visibility = True, 0, "visible"
        message.value = f'<p role="status">{escape(say("Working…"))}</p>'
        try:
            headline, result.value = make(values, progress)
            message.value = f'<p role="status"><b>{escape(headline)}</b></p>'
        except Question as question:
            sure.layout.display = ""
            complain(question)
        except (ValueError, OSError, ArithmeticError) as error:
            complain(error)
        finally:
            button.disabled, bar.layout.visibility = False, "hidden"
            chosen, ovens.options = ovens.value, oven_choices(say)  # an oven may just have been saved
            ovens.value = chosen

    button.on_click(pressed)
    shared = [ovens, whence, tongue] + ([paper, card, home_made] if fields is SHEET else [])
    rows = [*shown_fields, *shared, sure, widgets.HBox([button, bar]), message, result]
    return widgets.VBox([widgets.HTML(STYLE), *rows]).add_class("solarlab-desk")

"""The widgets of a bench and of a prediction: ipywidgets, laid out so that nothing is cut off.

Each slider stands under a text box with its label; either moves the other.  A slider that is dragged sends
its next position when the last picture has been answered, so no picture waits in a queue.
"""

from __future__ import annotations

import itertools
from contextlib import contextmanager
from html import escape

import ipywidgets as widgets

STYLE = """<style>
.solarlab { max-width: 1060px; padding: 2px; overflow: visible; }
.solarlab .widget-label { white-space: normal; overflow: visible; text-overflow: clip; line-height: 1.2;
  height: auto; width: auto; text-align: left; align-self: center; margin: 0; }
.solarlab .widget-html, .solarlab .widget-html-content { height: auto; line-height: 1.3; overflow: visible; }
.solarlab .solarlab-grid { display: grid; gap: 4px 30px; overflow: visible;
  grid-template-columns: repeat(auto-fill, minmax(min(100%, 340px), 1fr)); }
.solarlab .solarlab-cell { display: grid; align-items: center; overflow: visible; min-height: 34px;
  grid-template-columns: 9.5em minmax(5em, 1fr) 5.2em 3em; column-gap: 8px; }
.solarlab .solarlab-cell .widget-text, .solarlab .solarlab-cell .widget-dropdown { display: contents; }
.solarlab .solarlab-cell .widget-label { grid-column: 1; }
.solarlab .solarlab-cell .widget-slider { grid-column: 2; grid-row: 1; width: auto; }
.solarlab .solarlab-cell input[type="text"] { grid-column: 3; grid-row: 1; width: 100%; text-align: right; }
.solarlab .solarlab-cell .solarlab-unit { grid-column: 4; grid-row: 1; }
.solarlab .solarlab-cell select { grid-column: 2 / -1; grid-row: 1; width: 100%; }
.solarlab .solarlab-cell .widget-checkbox { grid-column: 1 / -1; width: auto; }
.solarlab .solarlab-cell .solarlab-help { grid-column: 1 / -1; color: #595959; font-size: 90%; margin: 0; }
.solarlab .noUi-handle:focus-visible { outline: 3px solid #0072B2; outline-offset: 2px; }
.solarlab .solarlab-problem { border-left: 5px solid #D55E00; padding: 4px 10px; margin: 4px 0; }
.solarlab .solarlab-answer .widget-text { width: auto; }
.solarlab .solarlab-answer .widget-label { margin-right: 8px; }
.solarlab .solarlab-answer input[type="text"] { flex: 0 0 7em; }
.solarlab .solarlab-drawing { overflow-x: auto; }
.solarlab .solarlab-drawing img { display: block; background: white; min-width: 640px; }
.solarlab .solarlab-faded { opacity: 0.35; }
.jp-OutputArea:has(.solarlab) .solarlab-still { display: none; }
</style>"""


class View:
    """Something shown as widgets."""

    root: widgets.DOMWidget

    def widget_bundle(self) -> dict:
        """The part of a display bundle that names the widget."""
        kind = "application/vnd.jupyter.widget-view+json"
        return {kind: {"version_major": 2, "version_minor": 0, "model_id": self.root.model_id}}


class BenchView(View):
    """Controls in columns as the width allows, the picture below, its words and numbers on demand."""

    def __init__(self, bench):
        self.bench, self._quiet, self._count = bench, False, itertools.count(1)
        self.fahrenheit = False
        self.inputs = {control.name: _Input(control, self) for control in bench.controls}
        grid = widgets.Box([each.cell for each in self.inputs.values()], layout=_layout())
        grid.add_class("solarlab-grid")
        self.reset = widgets.Button(
            description="Back to the start", tooltip="Put every control back", icon="undo"
        )
        self.reset.on_click(lambda _: self.bench.reset())
        self.numbers = widgets.ToggleButton(
            description="Words and numbers", tooltip="What the picture shows, in words and as a table"
        )
        self.numbers.layout.width = self.reset.layout.width = "auto"
        self.numbers.observe(lambda _: self.show_words(), "value")
        bar = [self.reset, self.numbers]
        if any(control.unit == "°C" for control in bench.controls):
            self.units = widgets.ToggleButtons(options=["°C", "°F"], tooltips=["Celsius", "Fahrenheit"])
            self.units.style.button_width = "3.2em"
            self.units.observe(self._change_units, "value")
            bar.append(self.units)
        tools = widgets.HBox(bar, layout=_layout(flex_flow="row wrap", margin="8px 0 4px"))
        self.message, self.image, self.words = widgets.HTML(), widgets.HTML(), widgets.HTML()
        title = [widgets.HTML(f"<b>{escape(bench.title)}</b>")] if bench.title else []
        self.root = widgets.VBox(
            [widgets.HTML(STYLE), *title, grid, tools, self.message, self.image, self.words], layout=_layout()
        )
        self.root.add_class("solarlab")
        self.show()

    def show(self) -> None:
        """Bring everything on the screen in line with the bench."""
        bench = self.bench
        with self.quietly():
            for each in self.inputs.values():
                each.show(bench._values[each.control.name], self.fahrenheit)
                each.allow(each.control.when is None or bool(each.control.when(bench.values)))
        problem = bench._why_locked() if bench.locked else bench.message
        self.message.value = (
            f'<div class="solarlab-problem" role="alert">{escape(problem)}</div>' if problem else ""
        )
        if bench.picture is not None:
            kind = "solarlab-drawing solarlab-faded" if problem else "solarlab-drawing"
            drawn = f"<div><strong>{escape(bench.picture.title)}</strong></div>{bench.picture.image_html()}"
            self.image.value = f'<div class="{kind}" data-drawing="{next(self._count)}">{drawn}</div>'
        self.show_words()

    def show_words(self) -> None:
        """Words and table, if asked for."""
        shown = self.numbers.value and self.bench.picture is not None and not self.bench.message
        self.words.value = self.bench.picture.words_html() if shown else ""

    @contextmanager
    def quietly(self):
        """While widgets are set from here, they do not report back."""
        before, self._quiet = self._quiet, True
        try:
            yield
        finally:
            self._quiet = before

    def changed(self, name: str, value: object) -> None:
        """A control was moved or typed into."""
        if self._quiet:
            return
        try:
            self.bench.set(**{name: value})
        except ValueError as error:
            self.refuse(error)

    def refuse(self, error: ValueError) -> None:
        """Say what was not accepted, and put the control back."""
        self.show()
        self.message.value = f'<div class="solarlab-problem" role="alert">{escape(str(error))}</div>'

    def _change_units(self, change) -> None:
        self.fahrenheit = change["new"] == "°F"
        with self.quietly():
            for each in self.inputs.values():
                each.show(self.bench._values[each.control.name], self.fahrenheit)


def view(shown) -> View:
    """The widgets of a bench or of a prediction."""
    return BenchView(shown) if hasattr(shown, "controls") else GuessView(shown)


class _Input:
    """The widgets of one control."""

    def __init__(self, control, view: BenchView):
        self.control, self.view = control, view
        make = {"slider": self._slider, "choice": self._choice, "toggle": self._toggle}[control.kind]
        parts = make()
        if control.help:
            note = widgets.HTML(escape(control.help))
            note.add_class("solarlab-help")
            parts.append(note)
        self.cell = widgets.Box(parts, layout=_layout())
        self.cell.add_class("solarlab-cell")

    def _slider(self) -> list:
        c = self.control
        self.text = widgets.Text(
            description=c.label, continuous_update=False, style={"description_width": "auto"}
        )
        self.unit = widgets.HTML()
        self.unit.add_class("solarlab-unit")
        self.handle = widgets.FloatSlider(
            min=c.low,
            max=c.high,
            step=c.step,
            value=c.low,
            readout=False,
            tooltip=c.label,
            layout=_layout(),
        )
        self.text.observe(self._typed, "value")
        self.handle.observe(self._dragged, "value")
        return [self.text, self.handle, self.unit]

    def _choice(self) -> list:
        options = list(self.control.options.items())
        self.text = widgets.Dropdown(
            description=self.control.label,
            options=options,
            style={"description_width": "auto"},
            layout=_layout(),
        )
        self.text.observe(lambda change: self.view.changed(self.control.name, change["new"]), "value")
        return [self.text]

    def _toggle(self) -> list:
        self.text = widgets.Checkbox(description=self.control.label, indent=False, layout=_layout())
        self.text.observe(lambda change: self.view.changed(self.control.name, change["new"]), "value")
        return [self.text]

    def _typed(self, change) -> None:
        if self.view._quiet:
            return
        try:
            value = self.control.read(change["new"], self.view.fahrenheit)
        except ValueError as error:
            self.view.refuse(error)
        else:
            self.view.changed(self.control.name, value)

    def _dragged(self, change) -> None:
        # A slider's position is a multiple of its step, give or take the last bits of the fraction.
        self.view.changed(self.control.name, round(change["new"], self.control.decimals))

    def allow(self, allowed: bool) -> None:
        """Grey the control out where it has no say."""
        self.text.disabled = not allowed
        if self.control.kind == "slider":
            self.handle.disabled = not allowed

    def show(self, value, fahrenheit: bool) -> None:
        if self.control.kind != "slider":
            self.text.value = value
            return
        self.text.value = self.control.show(value, fahrenheit, unit=False)
        whole = self.control.show(value, fahrenheit)
        unit = whole.removeprefix(self.text.value).strip()
        if self.unit.value != unit:
            self.unit.value = unit
        # The slider is set on one of its steps: given a value between two, it would send back the nearer.
        c = self.control
        steps = round((float(value) - c.low) / c.step)
        self.handle.value = min(round(c.low + steps * c.step, c.decimals), float(c.high))


class GuessView(View):
    """The question, a box or choices for the answer, how sure, a button, and what was kept."""

    def __init__(self, guess):
        self.guess = guess
        if guess.choices:
            self.value = widgets.RadioButtons(options=guess.choices, value=None, layout=_layout())
            answer = [widgets.HTML("Your prediction:"), self.value]
        else:
            self.value = widgets.Text(description="Your prediction:", style={"description_width": "auto"})
            answer = [
                widgets.HBox(
                    [self.value, widgets.HTML(escape(guess.unit))], layout=_layout(align_items="center")
                )
            ]
            answer[0].add_class("solarlab-answer")
        self.sure = widgets.ToggleButtons(options=guess.sureness, value=None)
        self.sure.style.button_width = "auto"
        self.button = widgets.Button(
            description="Write it down", button_style="primary", layout=_layout(align_self="flex-start")
        )
        self.button.on_click(lambda _: self._make())
        self.said = widgets.HTML()
        question, sure = widgets.HTML(f"<b>{escape(guess.question)}</b>"), widgets.HTML("How sure are you?")
        parts = [widgets.HTML(STYLE), question, *answer, sure, self.sure, self.button, self.said]
        self.root = widgets.VBox(parts, layout=_layout())
        self.root.add_class("solarlab")
        guess.when_made(lambda _: self.show())
        if guess:
            self.show()

    def _make(self) -> None:
        value, sure = self.value.value, self.sure.value
        if value is None or not value.strip() or sure is None:
            self._say("Give your prediction and say how sure you are, then press the button.", problem=True)
            return
        self.guess.make(value, sure)
        self.show()

    def show(self) -> None:
        """What was kept, or why nothing was."""
        self._say(str(self.guess.prediction), problem=not self.guess)

    def _say(self, text: str, problem: bool) -> None:
        kind = ' class="solarlab-problem"' if problem else ""
        self.said.value = f'<div{kind} role="status">{escape(text)}</div>'


def _layout(**more) -> widgets.Layout:
    return widgets.Layout(**({"width": "auto", "max_width": "100%"} | more))

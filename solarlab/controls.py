"""Controls beside a picture, and the prediction that unlocks them.

A bench is handed a callable, ``model(**values) -> Picture``, and knows nothing of what it computes.  Every
slider can also be typed into, in the units a person thinks in: "45 F", "1 h 20 min", "07:30".  Without
widgets, or where nobody looks (a lesson run from the command line, printed, or marked), a bench is the
picture of its starting values with its words and table: nothing waits for a hand that never comes.

ipywidgets is imported when something is first shown, not before.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from html import escape

from ._reading import Unreadable, number
from .figures import Picture

_LOST = ".jp-OutputArea:has(.solarlab-still) .jp-OutputArea-output.jupyter-widgets:not(:has(*))"
STILL = (
    f"<div class='solarlab-still'><style>{_LOST} {{ font-size: 0 }} {_LOST}::after {{ font-size: 14px;"
    " content: 'Run this cell (Shift+Enter) to get its controls.' }</style>"
)


@dataclass(frozen=True)
class Control:
    """One thing a person may change.  Make it with :func:`slider`, :func:`choice` or :func:`toggle`.

    ``name`` is the model's keyword, ``label`` what a person reads, ``value`` where it starts.  A slider has
    ``unit``, ``low``, ``high`` and ``step``, and takes only whole numbers if ``whole``; a choice has
    ``options``, label to value.  ``help`` is a short sentence shown below.  While ``when(values)`` is false
    the control has no say and is greyed out.
    """

    name: str
    label: str
    kind: str
    value: object
    unit: str = ""
    low: float = 0.0
    high: float = 0.0
    step: float = 0.0
    options: Mapping[str, object] | None = None
    help: str = ""
    whole: bool = False
    when: Callable[[dict], bool] | None = None

    @property
    def decimals(self) -> int:
        """Decimals a value needs to be told from the next step."""
        steps = (self.step, self.low)
        return next((d for d in range(6) if all(abs(v - round(v, d)) < 1e-9 for v in steps)), 6)

    def accept(self, value: object) -> object:
        """``value`` if this control may take it; an ``int`` where it is whole and the control starts at one.

        Raises ``ValueError`` with a sentence that says what is accepted.
        """
        if self.kind == "toggle":
            return bool(value)
        if self.kind == "choice":
            if not any(value is option or value == option for option in self.options.values()):
                raise ValueError(f"{self.label}: {value!r} is none of {', '.join(self.options)}.")
            return value
        if not self.low <= value <= self.high:
            span = f"{self.show(self.low)} to {self.show(self.high)}"
            raise ValueError(f"{self.label} goes from {span}; {self.show(value)} is outside.")
        whole = float(value).is_integer()
        if self.whole and not whole:
            raise ValueError(f"{self.label} takes whole numbers only; {value:g} is none.")
        return int(value) if whole and isinstance(self.value, int) else float(value)

    def show(self, value: float, fahrenheit: bool = False, unit: bool = True) -> str:
        """A slider's value as text, with its unit unless ``unit`` is false."""
        if self.unit == "clock":
            return f"{round(value) // 60:02d}:{round(value) % 60:02d}"
        value, name, decimals = float(value), self.unit, self.decimals
        if self.unit == "°C" and fahrenheit:
            value, name, decimals = value * 1.8 + 32.0, "°F", min(self.decimals, 1)
        # As few decimals as say the value itself, so that what was typed stands as it was typed.
        while decimals < 3 and abs(value - round(value, decimals)) > 1e-6 and not fahrenheit:
            decimals += 1
        text = f"{round(value, decimals) + 0.0:.{decimals}f}".replace("-", "−")
        return text + (f" {name}" if name not in ("", "°") else name) if unit else text

    def read(self, text: str, fahrenheit: bool = False) -> float:
        """The value ``text`` says; a bare number is in °F where ``fahrenheit``.  Raises ``ValueError``."""
        bare = not any(letter.isalpha() for letter in text)
        if self.unit == "°C" and fahrenheit and bare:
            text += " °F"
        try:
            value = number(text, self.unit)
        except Unreadable as error:
            raise ValueError(f"{self.label}: {str(error).replace('The answer', 'It')}") from None
        if self.unit == "°C" and fahrenheit:
            # 32 °F is 0 °C, not the -1.8e-14 that the conversion leaves, just outside a slider from 0.
            value = round(value, 9)
        return self.accept(value)


def slider(
    name: str,
    label: str,
    low: float,
    high: float,
    value: float,
    *,
    step: float,
    unit: str = "",
    help: str = "",
    whole: bool = False,
    when: Callable[[dict], bool] | None = None,
) -> Control:
    """A number from ``low`` to ``high``.  Unit "clock" counts minutes after midnight and reads "07:30"."""
    if not low < high or not step > 0:
        raise ValueError(f"{label}: a slider needs low below high and a step above zero.")
    control = Control(name, label, "slider", value, unit, low, high, step, None, help, whole, when)
    control.accept(value)
    return control


def choice(
    name: str,
    label: str,
    options: Mapping[str, object] | Sequence[str],
    value: object = None,
    *,
    help: str = "",
    when: Callable[[dict], bool] | None = None,
) -> Control:
    """One of several: ``options`` are words, or labels with values.  Starts at ``value``, or the first."""
    if not isinstance(options, Mapping):
        options = {option: option for option in options}
    if not options:
        raise ValueError(f"{label}: a choice needs at least one option.")
    start = next(iter(options.values())) if value is None else value
    control = Control(name, label, "choice", start, options=dict(options), help=help, when=when)
    control.accept(start)
    return control


def toggle(
    name: str,
    label: str,
    value: bool = False,
    *,
    help: str = "",
    when: Callable[[dict], bool] | None = None,
) -> Control:
    """Yes or no."""
    return Control(name, label, "toggle", bool(value), help=help, when=when)


class _Shown:
    """Something shown twice: as plain HTML that lasts, and as widgets that need a running kernel.

    While its widgets are on the screen they hide the plain one.  In a notebook opened again, or printed, or
    marked, the plain one stands, and JupyterLab's "model not found" is replaced by what to do.
    """

    _view = None

    def outputs(self) -> list[dict]:
        """The display bundles, in order: the plain one, and the widgets if ipywidgets is there."""
        still = {"text/plain": repr(self), "text/html": f"{STILL}{self.static_html()}</div>"}
        try:
            from ._bench import view
        except ImportError:
            return [still]
        if self._view is None:
            self._view = view(self)
        return [still, {"text/plain": self._hint()} | self._view.widget_bundle()]

    def _ipython_display_(self) -> None:
        from IPython.display import display

        for bundle in self.outputs():
            display(bundle, raw=True)


class Bench(_Shown):
    """Controls and the picture they change; made by :func:`bench`."""

    def __init__(self, model: Callable[..., Picture], controls: Sequence[Control], lock: object, title: str):
        self._model, self.controls, self.title, self._lock = model, tuple(controls), title, lock
        self.picture: Picture | None = None
        self.message = ""
        self._values = {control.name: control.value for control in self.controls}
        if self.locked:
            if hasattr(lock, "when_made"):
                lock.when_made(self._unlock)
        else:
            self.picture = self._draw()

    @property
    def values(self) -> dict[str, object]:
        """The values now, by name."""
        return dict(self._values)

    @property
    def locked(self) -> bool:
        """Whether a prediction must be made first."""
        return self._lock is not None and not self._lock

    def set(self, **values: object) -> None:
        """Change one or several values and draw again.  Raises ``ValueError`` for what is not accepted."""
        known = {control.name: control for control in self.controls}
        for name in values:
            if name not in known:
                raise ValueError(f"There is no control {name!r}; there are {', '.join(known)}.")
        self._values |= {name: known[name].accept(value) for name, value in values.items()}
        self._redraw()

    def reset(self) -> None:
        """Put every control back where it started, and draw."""
        self.set(**{control.name: control.value for control in self.controls})

    def static_html(self) -> str:
        """What stands here without widgets: the settings in words, then the picture, or why there is none."""
        if self.picture is None:
            return f"<p>{escape(self._why_locked() if self.locked else self.message)}</p>"
        settings = "; ".join(f"{control.label}: {escape(self._said(control))}" for control in self.controls)
        return f"<p>{settings}.</p>{self.picture._repr_html_()}"

    def _said(self, control: Control) -> str:
        value = self._values[control.name]
        if control.kind == "toggle":
            return "yes" if value else "no"
        if control.kind == "choice":
            return next(label for label, option in control.options.items() if option == value)
        return control.show(value)

    def _why_locked(self) -> str:
        return getattr(self._lock, "why", "") or "Locked: make your prediction above first."

    def _draw(self) -> Picture:
        picture = self._model(**self._values)
        if not isinstance(picture, Picture):
            raise TypeError(
                f"The model of a bench must return a Picture; it returned {type(picture).__name__}."
            )
        return picture

    def _redraw(self) -> None:
        """Draw for the values now; where the model cannot, say so, and leave the last picture, faded."""
        if self.locked:
            return
        try:
            self.picture, self.message = self._draw(), ""
        except ValueError as error:
            self.message = str(error)
        except Exception as error:
            self.message = (
                f"This could not be worked out ({type(error).__name__}: {error}). Try other settings."
            )
        if self._view is not None:
            self._view.show()

    def _unlock(self, lock: object) -> None:
        self._lock = lock
        self._redraw()

    def __repr__(self):
        if self.picture is None:
            return self._why_locked() if self.locked else self.message
        return repr(self.picture)

    def _hint(self) -> str:
        labels = ", ".join(control.label for control in self.controls)
        return f"Run this cell to change: {labels}."


def bench(
    model: Callable[..., Picture], controls: Sequence[Control], *, lock: object = None, title: str = ""
) -> Bench:
    """Controls beside the picture that ``model(**values)`` returns; shown as a cell's last line.

    The model is called once here with the starting values, and whatever it raises comes through; while
    controls move, a ``ValueError`` is shown as its sentence.  ``lock``: something false until a prediction is
    made (a :class:`Guess`, or what ``record.predict`` returned); until then there is no picture.
    """
    names = [control.name for control in controls]
    if not names or len(set(names)) != len(names):
        raise ValueError("A bench needs at least one control, and each needs a name of its own.")
    return Bench(model, controls, lock, title)


class Guess(_Shown):
    """A question asked before the run; false until it is answered.  Made by :func:`predict`."""

    def __init__(self, question, write, sureness, unit, choices):
        self.question, self.unit = question, unit
        self.sureness, self.choices = tuple(sureness), tuple(choices)
        self._write, self._waiting_for = write, []
        self.prediction: object = None

    def __bool__(self) -> bool:
        return bool(self.prediction)

    def make(self, value: object, sure: object) -> object:
        """Hand an answer to whoever keeps it; what they return is kept as ``prediction`` and shown."""
        self.prediction = self._write(value, sure)
        if self:
            for waiting in self._waiting_for:
                waiting(self)
        return self.prediction

    def when_made(self, call: Callable[[Guess], None]) -> None:
        """Call ``call(self)`` each time an answer is accepted."""
        self._waiting_for.append(call)

    def __repr__(self):
        return f"{self.question} {'' if self.prediction is None else self.prediction}".strip()

    def static_html(self) -> str:
        """The question, and what was answered."""
        said = "" if self.prediction is None else f"<p>{escape(str(self.prediction))}</p>"
        return f"<p><b>{escape(self.question)}</b></p>{said}"

    def _hint(self) -> str:
        return "Run this cell to answer in a form, or type the answer in the cell."


def predict(
    question: str,
    write: Callable[[object, object], object],
    *,
    sureness: Sequence[str],
    unit: str = "",
    choices: Sequence[str] = (),
    value: object = None,
    sure: object = None,
) -> Guess:
    """Ask for a prediction and how sure the learner is, in a form or, just as well, typed in the cell.

    ``write(value, sure)`` keeps the answer and returns something true that prints what was kept, or something
    false that prints what is missing.  ``value`` and ``sure`` typed in the cell are handed to it at once.
    """
    if len(sureness) < 2:
        raise ValueError("A prediction needs at least two degrees of sureness to choose from.")
    guess = Guess(question, write, sureness, unit, choices)
    guess.make(value, sure)
    return guess

"""One picture: a drawing, the same thing in words, and its numbers as a table.

A drawing alone shuts people out: those who cannot see it, those who print in grey, those whose notebook came
back without pictures.  A :class:`Picture` therefore cannot be made without its words and its numbers.
Colours come from one palette for colour-blind readers, and no meaning hangs on colour alone: each line has
its own dashes and marker, each area its own hatching.
"""

from __future__ import annotations

import base64
import io
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from html import escape

import numpy as np
import pandas as pd
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure
from PIL import Image

# Okabe and Ito, "Color Universal Design" (2002, revised 2008), jfly.uni-koeln.de/color.  Of theirs only the
# colours with a contrast of 3:1 against white (WCAG 2.1, 1.4.11) may draw lines; orange, sky blue and yellow
# are for areas that also have an edge.
BLACK, BLUE, VERMILLION, GREEN = "#000000", "#0072B2", "#D55E00", "#009E73"
ORANGE, SKY_BLUE, YELLOW = "#E69F00", "#56B4E9", "#F0E442"
GREY = "#595959"  # ours: quiet lines and small print, 7:1 on white
GRID = "#D0D0D0"


@dataclass(frozen=True)
class LineStyle:
    """How one curve is told from its neighbours, with or without colour."""

    colour: str
    dashes: str | tuple
    marker: str
    width: float

    def drawn(self, points: int) -> dict:
        """Keywords for ``Axes.plot``; about eight markers along ``points`` samples."""
        return {
            "color": self.colour, "linestyle": self.dashes, "linewidth": self.width, "marker": self.marker,
            "markersize": 4.5, "markevery": max(1, points // 8),
        }  # fmt: skip


LINES = (
    LineStyle(VERMILLION, "-", "o", 2.4),
    LineStyle(BLUE, (0, (6, 2)), "s", 1.9),
    LineStyle(BLACK, "-", "", 1.6),
    LineStyle(GREEN, (0, (6, 2, 1.5, 2)), "^", 1.9),
    LineStyle(GREY, (0, (1.5, 1.8)), "", 1.7),
    LineStyle(BLUE, (0, (1.5, 1.8)), "D", 1.7),
)


def line(index: int) -> LineStyle:
    """The style of curve number ``index``, 0 to 5; more curves than styles in one picture is an error."""
    if not 0 <= index < len(LINES):
        raise ValueError(
            f"A picture holds at most {len(LINES)} curves that can be told apart; draw two pictures."
        )
    return LINES[index]


@dataclass(frozen=True)
class Picture:
    """A drawing with its title, its words and its numbers.

    ``figure`` is a matplotlib figure made without pyplot.  ``alt`` says in words what the drawing shows, with
    the numbers that matter (at least 40 characters, more than the title).  ``table`` holds the drawn numbers,
    already rounded as they are to be read.  Raises ``ValueError`` when words or numbers are missing.
    """

    figure: Figure = field(repr=False, compare=False)
    alt: str
    table: pd.DataFrame = field(repr=False, compare=False)
    title: str = ""

    def __post_init__(self):
        if not isinstance(self.figure, Figure):
            raise TypeError("A picture needs a matplotlib Figure; make it with matplotlib.figure.Figure.")
        words = self.alt.strip() if isinstance(self.alt, str) else ""
        if len(words) < 40 or words == self.title.strip():
            raise ValueError(
                "A picture needs alt text: a sentence or two saying what it shows, with its numbers."
            )
        if not isinstance(self.table, pd.DataFrame) or self.table.empty:
            raise ValueError("A picture needs its numbers as a table with at least one row and one column.")

    def __repr__(self):
        return f"Picture: {self.title or 'untitled'}. {self.alt}"

    def png(self) -> bytes:
        """The drawing as PNG bytes, at the figure's own size and resolution."""
        canvas = self.figure.canvas
        if not isinstance(canvas, FigureCanvasAgg):
            canvas = FigureCanvasAgg(self.figure)
        canvas.draw()
        pixels = np.ascontiguousarray(np.asarray(canvas.buffer_rgba())[..., :3])
        stream = io.BytesIO()
        # The lightest compression: a few kilobytes more, a third of the time while a slider moves.
        Image.fromarray(pixels).save(stream, "png", compress_level=1)
        return stream.getvalue()

    def image_html(self) -> str:
        """An ``<img>`` with the drawing inside it and its alt text."""
        width, height = (int(v) for v in self.figure.get_size_inches() * self.figure.dpi)
        data = base64.b64encode(self.png()).decode("ascii")
        return (
            f'<img alt="{escape(self.alt)}" width="{width}" height="{height}" '
            f'style="max-width:100%;height:auto" src="data:image/png;base64,{data}">'
        )

    def words_html(self) -> str:
        """The words and the table, without the drawing: the same text for the same numbers."""
        return f"<p>{escape(self.alt)}</p>{table_html(self.table, self.title)}"

    def _repr_html_(self) -> str:
        # One text/html output and no image/png one: JupyterLab shows an image/png without any alt text.
        title = escape(self.title or "Picture")
        return (
            f'<figure style="margin:0"><figcaption><strong>{title}</strong></figcaption>'
            f"{self.image_html()}</figure>"
            f"<details><summary>{title}: in words and numbers</summary>"
            f"{self.words_html()}</details>"
        )


_STORED = re.compile(r"(data:image/png;base64,)[A-Za-z0-9+/=]+")


def without_pictures(html: str) -> str:
    """The HTML of pictures with every drawing taken out and its alt text, words and table kept.

    Stored lessons go through this; until the cell is run a reader sees the alt text in the picture's place.
    """
    return _STORED.sub(r"\1", html)


def table_html(table: pd.DataFrame, caption: str = "") -> str:
    """A table as HTML with marked header cells; each column with as few decimals as it needs, up to 3."""
    texts = [_texts(table[name]) for name in table.columns]
    head = "".join(f'<th scope="col">{escape(str(name))}</th>' for name in table.columns)
    rows = "".join(
        "<tr>" + "".join(f"<td>{escape(text)}</td>" for text in row) + "</tr>"
        for row in zip(*texts, strict=True)
    )
    top = f"<caption>{escape(caption)}</caption>" if caption else ""
    body = f"<table>{top}<thead><tr>{head}</tr></thead><tbody>{rows}</tbody></table>"
    return f'<div style="overflow-x:auto">{body}</div>'


def _texts(column: pd.Series) -> list[str]:
    if column.dtype == bool:
        return ["yes" if value else "no" for value in column]
    if not pd.api.types.is_numeric_dtype(column):
        return ["" if value is None else str(value) for value in column]
    values = column.to_numpy(float)
    finite = values[np.isfinite(values)]
    decimals = next((d for d in range(3) if np.allclose(finite, finite.round(d), rtol=0, atol=1e-9)), 3)
    # Adding zero turns the -0.0 that rounding leaves into 0.
    return [f"{round(value, decimals) + 0.0:.{decimals}f}" if np.isfinite(value) else "–" for value in values]


def blank(width: float = 9.0, height: float = 5.0) -> Figure:
    """An empty figure, inches at 100 dots an inch: 9 by 5 fits a notebook page."""
    figure = Figure(figsize=(width, height), dpi=100, facecolor="white")
    FigureCanvasAgg(figure)
    return figure


def dress(axes, xlabel: str = "", ylabel: str = "") -> None:
    """Grid lines behind the drawing, no box on top and right, labels at a size that survives shrinking."""
    axes.set_axisbelow(True)
    axes.grid(True, color=GRID, linewidth=0.8)
    for side in ("top", "right"):
        axes.spines[side].set_visible(False)
    axes.tick_params(labelsize=10, length=3)
    if xlabel:
        axes.set_xlabel(xlabel, fontsize=10)
    if ylabel:
        axes.set_ylabel(ylabel, fontsize=10)


def local_clock(times) -> pd.DatetimeIndex:
    """The local clock of ``times``: a tz-aware index, or anything with one as ``.local``."""
    index = pd.DatetimeIndex(getattr(times, "local", times))
    if index.tz is None:
        raise ValueError("Times need a time zone; give them one with tz_localize or take Instants.local.")
    if len(index) < 2:
        raise ValueError("A picture over time needs at least two instants.")
    return index


def clock_hours(times: pd.DatetimeIndex, since: pd.Timestamp) -> np.ndarray:
    """Hours on the local clock since the midnight that began the day of ``since``; shape of ``times``."""
    naive = pd.DatetimeIndex(times).tz_convert(since.tz).tz_localize(None)
    return ((naive - since.tz_localize(None).normalize()) / pd.Timedelta(hours=1)).to_numpy(float)


def clock_text(hours: float) -> str:
    """Hours since midnight as HH:MM, rounded to the minute."""
    minutes = round(hours * 60)
    return f"{minutes // 60 % 24:02d}:{minutes % 60:02d}"


def clock_axis(axes, hours: np.ndarray, label: bool = True) -> None:
    """Whole local hours along the bottom, at most nine of them."""
    low, high = float(np.min(hours)), float(np.max(hours))
    step = next(s for s in (0.25, 0.5, 1, 2, 3, 6, 12, 24, 48, 96) if (high - low) / s <= 8 or s == 96)
    ticks = np.arange(np.ceil(low / step - 1e-9) * step, high + 1e-9, step)
    axes.set_xlim(low, high)
    axes.set_xticks(ticks, [clock_text(tick) for tick in ticks] if label else [""] * len(ticks))


def sampled(count: int, rows: int = 13) -> np.ndarray:
    """Indices of about ``rows`` evenly spaced samples out of ``count``, the first and the last among them."""
    return np.unique(np.linspace(0, count - 1, min(rows, count)).round().astype(int))


def series(curves: Mapping[str, Sequence[float]], count: int) -> dict[str, np.ndarray]:
    """The curves as float arrays, checked: names, ``count`` values each, not all of them missing."""
    if not curves:
        raise ValueError("Nothing to draw: give at least one named curve.")
    checked = {}
    for name, values in curves.items():
        array = np.asarray(values, float)
        if array.shape != (count,):
            raise ValueError(
                f"Curve {name!r} has shape {array.shape}; it needs one value for each of {count} times."
            )
        if not np.isfinite(array).any():
            raise ValueError(f"Curve {name!r} holds no numbers.")
        checked[str(name)] = array
    return checked

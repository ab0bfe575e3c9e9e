"""A number with its unit, spread and source: drawn from, and printed."""

from __future__ import annotations

import html
from dataclasses import dataclass, fields

import numpy as np
from scipy.special import ndtr, ndtri

from ._limits import LIMITS, fahrenheit


@dataclass(frozen=True)
class Quantity:
    """One number of the catalogue as its data file states it.

    ``spread`` is one standard deviation in the same unit; draws are normal, kept inside ``low``..``high``.
    """

    value: float
    unit: str
    spread: float
    source: str
    low: float = float("-inf")
    high: float = float("inf")


def draw(generator, size, value, spread, low, high):
    """Normal draws about ``value``, truncated to ``low``..``high``; one uniform number spent on each.

    Truncation bends the distribution: with ``low`` two spreads away the mean moves by .06 spreads.
    """
    below, above = ndtr((low - value) / spread), ndtr((high - value) / spread)
    return np.clip(value + spread * ndtri(below + generator.random(size) * (above - below)), low, high)


@dataclass(frozen=True)
class Row:
    """One line of a description."""

    field: str
    value: str
    unit: str
    spread: str
    source: str


@dataclass(frozen=True)
class Description:
    """A thing as a table with units, spreads and sources; prints as text, shows as HTML in a notebook."""

    title: str
    rows: tuple[Row, ...]

    heading = Row("quantity", "value", "unit", "spread (1 sd)", "source")

    def __str__(self) -> str:
        lines = [self.heading, *self.rows]
        names = [f.name for f in fields(Row)]
        widths = [max(len(getattr(row, name)) for row in lines) for name in names]
        told = [self.title]
        for row in lines:
            cells = [getattr(row, name).ljust(width) for name, width in zip(names, widths, strict=True)]
            told.append("  ".join(cells).rstrip())
        return "\n".join(told)

    __repr__ = __str__

    def _repr_html_(self) -> str:
        names = [f.name for f in fields(Row)]

        def line(row, tag):
            return "<tr>" + "".join(f"<{tag}>{html.escape(getattr(row, n))}</{tag}>" for n in names) + "</tr>"

        caption, head = f"<caption>{html.escape(self.title)}</caption>", line(self.heading, "th")
        body = "".join(line(row, "td") for row in self.rows)
        return f"<table>{caption}<thead>{head}</thead><tbody>{body}</tbody></table>"


def _number(value) -> str:
    if np.ndim(value) == 0:
        return f"{float(value):.6g}"
    low, high = np.percentile(value, [10, 90])
    return f"{np.mean(value):.4g} ({low:.4g} to {high:.4g} in 80 % of {np.size(value)})"


def _row(label, value, quantity, unit) -> Row:
    unit = quantity.unit if quantity else unit
    told = _number(value)
    spread = f"{quantity.spread:.3g}" if quantity else ""
    if unit == "°C" and np.ndim(value) == 0:
        told += f" ({float(fahrenheit(value)):.4g} °F)"
    source = quantity.source if quantity else "stated by hand"
    if quantity and np.ndim(value) == 0 and not np.isclose(value, quantity.value, rtol=1e-9, atol=0):
        source = f"changed by hand; was {quantity.value:.6g}: {source}"
    return Row(label.replace("_", " "), told, "" if unit == "1" else unit, spread, source)


def describe(thing) -> Description:
    """Every field of a place, oven, pot or food with unit, spread and source.

    A number that no longer equals what its source states says so; one without a source says "stated by hand".
    """
    limits = LIMITS[type(thing).__name__]
    sources = getattr(thing, "sources", {})
    rows = []
    for field in fields(thing):
        value = getattr(thing, field.name)
        if field.name in ("name", "about", "sources"):
            continue
        if field.name == "reflectors":
            for mirror in value:
                for part in ("length", "flare"):
                    key = f"reflectors.{mirror.edge}.{part}"
                    unit = LIMITS["Reflector"][part][2]
                    label = f"{mirror.edge} reflector, {part}"
                    rows.append(_row(label, getattr(mirror, part), sources.get(key), unit))
        elif field.name == "composition":
            rows += [_row(f"share of {k}", v, sources.get(f"composition.{k}"), "1") for k, v in value.items()]
        elif field.name in limits and value is not None:
            rows.append(_row(field.name, value, sources.get(field.name), limits[field.name][2]))
        else:
            told = ", ".join(map(str, value)) if isinstance(value, tuple) else str(value)
            rows.append(Row(field.name.replace("_", " "), told, "", "", ""))
    kind, about = type(thing).__name__.lower(), getattr(thing, "about", "")
    name = getattr(thing, "name", "")
    title = f"{kind} {name}".strip() + (f": {about}" if about else "")
    return Description(title, tuple(rows))

"""Pictures of results: plain arrays in, a :class:`Picture` with words and a table out.

Nothing here computes physics.  Each function draws arrays that a model or a log has already made, says in
words what they show, and lists the numbers it drew.  Times are tz-aware and drawn on the local clock, and may
be an index or anything with one as ``.local``; temperatures are in °C with °F beside them.  Arrays have shape
(T,): one scenario a picture; ``NaN`` leaves a gap.  A wrong shape or a naive time raises ``ValueError``.

For a picture of your own: ``blank``, ``dress`` and ``line`` with the palette, and :class:`Picture` around it.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np
import pandas as pd

from . import _drawing as draw
from . import _words as say
from ._picture import (
    BLACK,
    BLUE,
    GREEN,
    GREY,
    GRID,
    ORANGE,
    SKY_BLUE,
    VERMILLION,
    YELLOW,
    Picture,
    blank,
    clock_hours,
    clock_text,
    dress,
    line,
    local_clock,
    sampled,
    series,
    table_html,
    without_pictures,
)

__all__ = [
    "BLACK", "BLUE", "GREEN", "GREY", "GRID", "ORANGE", "SKY_BLUE", "VERMILLION", "YELLOW", "Picture",
    "blank", "calibration", "clock_text", "clocks", "cooking_day", "dress", "egg_bench", "egg_section",
    "ledger", "line", "powers", "sampled", "sayings", "sun_path", "table_html", "temperatures",
    "without_pictures",
]  # fmt: skip

Marks = Sequence[tuple[str, pd.Timestamp | None]]


def temperatures(
    times,
    curves: Mapping[str, Sequence[float]],
    *,
    marks: Marks = (),
    levels: Mapping[str, float] | None = None,
    title: str = "Temperatures",
) -> Picture:
    """Temperatures through the day.

    ``curves``: name to °C, at most six.  ``marks``: (what happens, when), drawn as numbered flags; ``None``
    means it does not happen.  ``levels``: name to °C, drawn as dotted lines.
    """
    clock, hours, curves = _over_time(times, curves)
    events = say.events(marks, clock)
    figure = blank(9, 4.3 + 0.2 * len(events))
    floor = _list_events(figure, events)
    axes = _panel(figure, (0.085, 0.9), (floor + 0.13 * (1 - floor), floor + 0.9 * (1 - floor)))
    draw.temperatures_panel(axes, hours, curves, levels)
    draw.marks_on(axes, events)
    return Picture(figure, say.temperatures(hours, curves, events), say.day_table(hours, curves), title)


def powers(times, powers: Mapping[str, Sequence[float]], *, title: str = "Power through the day") -> Picture:
    """Powers [W] through the day, by name, such as what enters the cavity and what the glass soaks up."""
    _, hours, curves = _over_time(times, powers)
    figure = blank(9, 4)
    draw.powers_panel(_panel(figure, (0.085, 0.97), (0.13, 0.89)), hours, curves)
    return Picture(figure, say.powers(hours, curves), say.day_table(hours, powers=curves), title)


def cooking_day(
    times,
    curves: Mapping[str, Sequence[float]],
    powers: Mapping[str, Sequence[float]],
    *,
    marks: Marks = (),
    levels: Mapping[str, float] | None = None,
    title: str = "A cooking day",
) -> Picture:
    """Temperatures above powers on one local clock; arguments as in :func:`temperatures`, :func:`powers`."""
    clock, hours, curves = _over_time(times, curves)
    powers, events = series(powers, len(hours)), say.events(marks, clock)
    figure = blank(9, 5 + 0.2 * len(events))
    floor = _list_events(figure, events)
    top = _panel(figure, (0.085, 0.9), (floor + 0.44 * (1 - floor), floor + 0.91 * (1 - floor)))
    low = _panel(figure, (0.085, 0.9), (floor + 0.10 * (1 - floor), floor + 0.33 * (1 - floor)))
    draw.temperatures_panel(top, hours, curves, levels, label_hours=False)
    draw.marks_on(top, events)
    draw.powers_panel(low, hours, powers)
    alt = f"{say.temperatures(hours, curves, events)} {say.powers(hours, powers)}"
    return Picture(figure, alt, say.day_table(hours, curves, powers), title)


def egg_section(
    radius: Sequence[float],
    set_fraction: Sequence[float],
    is_yolk: Sequence[bool],
    *,
    title: str = "The egg, cut in half",
) -> Picture:
    """A cut egg.

    Per shell of the model, centre first, shape (n,): outer ``radius`` [m], ``set_fraction`` from 0 (raw) to 1
    (set), and ``is_yolk``.
    """
    egg = _egg(radius, set_fraction, is_yolk)
    figure = blank(6.4, 4)
    draw.egg_panel(figure, (2.0, 2.0), 1.85, *egg)
    draw.state_key(figure, 4.1, 2.9, 2.1)
    figure.text(4.1, 1.9, say.egg_lines(egg), transform=figure.dpi_scale_trans, fontsize=11, va="top")
    return Picture(figure, say.egg(egg), say.egg_table(egg), title)


def egg_bench(
    times,
    curves: Mapping[str, Sequence[float]],
    powers: Mapping[str, Sequence[float]],
    radius: Sequence[float],
    set_fraction: Sequence[float],
    is_yolk: Sequence[bool],
    at: pd.Timestamp,
    *,
    marks: Marks = (),
    levels: Mapping[str, float] | None = None,
    title: str = "The egg in the oven",
) -> Picture:
    """The cut egg at the instant ``at``, beside the temperatures and powers of its day.

    Arguments as in :func:`egg_section`, :func:`temperatures` and :func:`powers`; at most five marks.
    """
    clock, hours, curves = _over_time(times, curves)
    powers, events = series(powers, len(hours)), say.events(marks, clock)
    egg = _egg(radius, set_fraction, is_yolk)
    if len(events) > 5:
        raise ValueError(f"The egg picture lists at most 5 marks; {len(events)} were given.")
    now = say.hour_of(at, clock)
    figure = blank(9.6, 5.2)
    inches = {"transform": figure.dpi_scale_trans, "fontsize": 10, "va": "top"}
    figure.text(1.45, 5.1, f"the egg at {clock_text(now)} (thick line)", ha="center", **inches)
    draw.egg_panel(figure, (1.45, 3.5), 1.32, *egg)
    draw.state_key(figure, 0.12, 2.02, 2.75)
    listed = [say.egg_lines(egg), *(f"{event.number}  {event.text}" for event in events)]
    figure.text(0.12, 1.2, "\n".join(listed), linespacing=1.25, **inches)
    top = _panel(figure, (0.375, 0.92), (0.44, 0.91))
    low = _panel(figure, (0.375, 0.92), (0.10, 0.33))
    draw.temperatures_panel(top, hours, curves, levels, label_hours=False)
    draw.powers_panel(low, hours, powers)
    draw.marks_on(top, events)
    for axes in (top, low):
        axes.axvline(now, color=BLACK, linewidth=2.2)
    alt = (
        f"At {clock_text(now)}. {say.egg(egg)} {say.temperatures(hours, curves, events)} "
        f"{say.powers(hours, powers)}"
    )
    return Picture(figure, alt, say.day_table(hours, curves, powers), title)


def ledger(absorbed: float, ends: Mapping[str, float], *, title: str = "Where the sunlight went") -> Picture:
    """The energy ledger [J]: what was ``absorbed`` and, by name, where it ended; what came back is negative.

    Raises ``ValueError`` if the ends miss the absorbed energy by over 0.5 %: the picture would mislead.
    """
    names, joules = list(ends), np.array(list(ends.values()), float)
    if not names or not absorbed > 0 or not np.isfinite(joules).all():
        raise ValueError("A ledger needs absorbed energy above zero and at least one named end, all numbers.")
    if abs(joules.sum() - absorbed) > 0.005 * absorbed:
        raise ValueError(f"The ledger does not close: {absorbed:.0f} J absorbed, {joules.sum():.0f} J found.")
    order = np.argsort(-joules, kind="stable")
    names, joules = [names[i] for i in order], joules[order]
    share, watt_hours = 100.0 * joules / absorbed, joules / 3600.0
    figure = blank(9, 1.1 + 0.42 * len(names))
    height = figure.get_figheight()
    axes = _panel(figure, (0.27, 0.97), (0.6 / height, 1 - 0.15 / height))
    texts = [f"{s:.0f} % · {w:.0f} Wh".replace("-", "−") for s, w in zip(share, watt_hours, strict=True)]
    draw.bars_panel(axes, names, share, texts)
    axes.set_xlabel(f"share of the {absorbed / 3600:.0f} Wh absorbed (%)", fontsize=10)
    parts = ", ".join(f"{name} {text.split(' · ')[0]}" for name, text in zip(names, texts, strict=True))
    alt = f"Of {absorbed / 3600:.0f} Wh ({absorbed / 1e6:.1f} MJ) of sunlight absorbed: {parts}."
    table = pd.DataFrame({"where": names, "share (%)": share.round(), "energy (Wh)": watt_hours.round()})
    return Picture(figure, alt, table, title)


def sun_path(days: Mapping[str, tuple], *, title: str = "The sun's path") -> Picture:
    """Sun paths on a map of the sky: name of the day to (times, azimuth [°], elevation [°]).

    Good for both hemispheres and the tropics; what is below the horizon is left out.
    """
    if not days:
        raise ValueError("Nothing to draw: give at least one named day.")
    figure = blank(7.2, 5)
    axes = figure.add_axes((0.0, 0.0, 5 / 7.2, 1.0))
    north = sum(_noon_stands_north(azimuth, elevation) for _, azimuth, elevation in days.values())
    draw.dome_panel(axes, -1 if 2 * north > len(days) else 1)
    rows, said = [], []
    for index, (name, (times, azimuth, elevation)) in enumerate(days.items()):
        _, hours, angles = _over_time(times, {"azimuth": azimuth, "elevation": elevation})
        azimuth, elevation = angles.values()
        if not (elevation >= 0).any():
            said.append(f"{name}: the sun does not rise")
            rows.append((name, "does not rise", np.nan, np.nan))
            continue
        whole = [
            int(np.argmin(np.abs(hours - hour))) for hour in range(int(np.ceil(hours[0])), int(hours[-1]) + 1)
        ]
        shown = [i for i in whole if elevation[i] >= 0]
        draw.path_on(axes, name, hours, azimuth, elevation, shown, line(index))
        rows += [(name, clock_text(hours[i]), round(azimuth[i]), round(elevation[i])) for i in shown]
        top = int(np.nanargmax(elevation))
        where = f"{elevation[top]:.0f}° at {clock_text(hours[top])}, in the {say.compass(azimuth[top])}"
        said.append(f"{name}: highest {where}")
    if axes.lines:
        figure.legend(*axes.get_legend_handles_labels(), loc="upper right", fontsize=10, frameon=False)
    note = "rim: the horizon\ncentre: straight overhead\ndots: hours, local clock"
    figure.text(0.985, 0.03, note, fontsize=9, ha="right")
    alt = "The sky as a map, north up and east right. " + "; ".join(said) + "."
    table = pd.DataFrame(rows, columns=["day", "local clock", "azimuth (°)", "elevation (°)"])
    return Picture(figure, alt, table, title)


def clocks(spans: Sequence[tuple], *, verdict: str = "", title: str = "The food-safety clocks") -> Picture:
    """Clocks as bars: (name, start, stop, state, why) each; start and stop tz-aware, ``verdict`` a sentence.

    States: "expected", "too slow", "refuse", "no verdict"; each is written at its bar, with a hatching.
    """
    if not spans:
        raise ValueError("Nothing to draw: give at least one clock.")
    rows = []
    first = local_clock([spans[0][1], spans[0][2]])
    for name, start, stop, state, why in spans:
        if state not in draw.STATES:
            raise ValueError(f"Unknown state {state!r}; the states are {', '.join(draw.STATES)}.")
        begin, end = clock_hours(local_clock([start, stop]), first[0])
        rows.append((str(name), begin, end, state, f"{state}, {say.duration(end - begin)}. {why}".strip()))
    figure = blank(9, 1.3 + 0.62 * len(rows))
    height = figure.get_figheight()
    axes = _panel(figure, (0.2, 0.97), (0.6 / height, 1 - (0.45 if verdict else 0.1) / height))
    draw.spans_panel(axes, rows)
    if verdict:
        figure.text(0.012, 1 - 0.12 / height, verdict, fontsize=11, va="top")
    said = " ".join(f"{name}, {clock_text(a)} to {clock_text(b)}: {text}" for name, a, b, _, text in rows)
    table = pd.DataFrame(
        [(name, clock_text(a), clock_text(b), round(60 * (b - a)), state) for name, a, b, state, _ in rows],
        columns=["clock", "from", "to", "minutes", "state"],
    )
    return Picture(figure, f"{verdict} {said}".strip(), table, title)


def sayings(rows: Sequence[tuple], *, title: str = "What people say, and the model") -> Picture:
    """Sayings against the model: (saying, unit, said low, said high, model 10 %, middle, 90 %) each.

    An open end of a saying is infinite.  A saying agrees where its range meets the model's 80 % range.
    """
    if not rows:
        raise ValueError("Nothing to draw: give at least one saying.")
    said = [say.span(row[2], row[3]) for row in rows]
    agrees = [bool(row[2] <= row[6] and row[3] >= row[4]) for row in rows]
    figure = blank(9.6, 0.6 + 0.62 * len(rows))
    height = figure.get_figheight()
    axes = _panel(figure, (0.40, 0.62), (0.1 / height, 1 - 0.5 / height))
    draw.ranges_panel(axes, [row[2:] for row in rows])
    heads = ((0.01, "saying"), (0.40, "hatched: said, line: model"), (0.64, "said; model, 8 of 10 cases"))
    for x, text in heads:
        figure.text(x, 1 - 0.3 / height, text, fontsize=10)
    sentences = []
    for index, (saying, unit, _, _, low, _, high) in enumerate(rows):
        y = (0.1 + 0.62 * (len(rows) - 0.5 - index)) / height
        judged = "agree" if agrees[index] else "differ"
        figure.text(0.01, y, say.wrapped(saying, 48), fontsize=9.5, va="center")
        figure.text(
            0.64, y, f"said {said[index]} {unit}\nmodel {low:g}–{high:g} {unit}", fontsize=9.5, va="center"
        )
        figure.text(0.93, y, judged, fontsize=10, va="center", weight="normal" if agrees[index] else "bold")
        sentences.append(f"{saying}: said {said[index]} {unit}, model {low:g} to {high:g} {unit}, {judged}.")
    alt = f"{sum(agrees)} of {len(rows)} sayings agree with the model. " + " ".join(sentences)
    table = pd.DataFrame(
        {
            "saying": [row[0] for row in rows],
            "said": said,
            "model, 10 %": [f"{row[4]:g}" for row in rows],
            "middle": [f"{row[5]:g}" for row in rows],
            "90 %": [f"{row[6]:g}" for row in rows],
            "unit": [row[1] for row in rows],
            "agree": agrees,
        }
    )
    return Picture(figure, alt, table, title)


def calibration(
    stated: Sequence[float],
    right: Sequence[float],
    counts: Sequence[int],
    *,
    title: str = "How sure, and how often right",
) -> Picture:
    """How well a learner judges their sureness: per level, stated [%], right [%], number of predictions."""
    stated, right, counts = np.asarray(stated, float), np.asarray(right, float), np.asarray(counts, int)
    if stated.ndim != 1 or stated.size == 0 or not stated.shape == right.shape == counts.shape:
        raise ValueError("Give one stated percentage, one right percentage and one count for each level.")
    figure = blank(6, 4.6)
    draw.calibration_panel(_panel(figure, (0.13, 0.97), (0.12, 0.91)), stated, right, counts)
    said = (
        f"{s:.0f} % sure: right {r:.0f} % of {c} times" for s, r, c in zip(stated, right, counts, strict=True)
    )
    alt = "Beside each point, the number of predictions. " + "; ".join(said) + "."
    table = pd.DataFrame({"sure (%)": stated.round(), "right (%)": right.round(), "predictions": counts})
    return Picture(figure, alt, table, title)


def _panel(figure, across: tuple[float, float], up: tuple[float, float]):
    """Axes between two fractions of the width and two of the height; fixed margins draw fastest."""
    return figure.add_axes((across[0], up[0], across[1] - across[0], up[1] - up[0]))


def _noon_stands_north(azimuth, elevation) -> bool:
    return bool(np.cos(np.radians(np.asarray(azimuth, float)[np.argmax(elevation)])) > 0)


def _over_time(times, curves):
    clock = local_clock(times)
    return clock, clock_hours(clock, clock[0]), series(curves, len(clock))


def _list_events(figure, events) -> float:
    """Write the numbered marks along the bottom; the fraction of the height they take."""
    height = figure.get_figheight()
    for row, event in enumerate(reversed(events)):
        figure.text(0.085, (0.06 + 0.2 * row) / height, f"{event.number}  {event.text}", fontsize=10)
    return (0.2 * len(events) + 0.06) / height if events else 0.0


def _egg(radius, set_fraction, is_yolk):
    """The three arrays of a cut egg, checked."""
    radius, state, yolk = (
        np.asarray(radius, float),
        np.asarray(set_fraction, float),
        np.asarray(is_yolk, bool),
    )
    if radius.ndim != 1 or radius.size < 2 or not radius.shape == state.shape == yolk.shape:
        raise ValueError(
            "An egg needs a radius, a set fraction and a yolk mark for each of two or more shells."
        )
    if not (np.diff(radius) > 0).all() or radius[0] <= 0:
        raise ValueError("The egg's radii must grow from the centre outwards and be above zero.")
    if not ((state >= -1e-9) & (state <= 1 + 1e-9)).all():
        raise ValueError("A set fraction lies between 0 (raw) and 1 (set).")
    return radius, np.clip(state, 0.0, 1.0), yolk

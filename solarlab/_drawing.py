"""The parts pictures are made of: one panel each, drawn on a matplotlib ``Axes`` from plain arrays."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from itertools import pairwise

import numpy as np
from matplotlib.collections import PatchCollection
from matplotlib.colors import LinearSegmentedColormap
from matplotlib.patches import Circle, Rectangle
from matplotlib.transforms import Affine2D

from ._limits import fahrenheit
from ._picture import BLACK, BLUE, GREY, GRID, ORANGE, SKY_BLUE, VERMILLION, YELLOW, clock_axis, dress, line
from ._words import Event

# Raw to set: each grows steadily lighter, so the order survives greyscale; a dashed ring also marks where
# each is half set, and the words say it.
WHITE_STATES = LinearSegmentedColormap.from_list("white", ["#6FA8CF", "#B9D6E8", "#FFFFFF"])
YOLK_STATES = LinearSegmentedColormap.from_list("yolk", ["#D26D00", ORANGE, "#FBEFA5"])

# State of a verdict or of a clock: fill, hatching.
STATES = {
    "expected": (SKY_BLUE, ""),
    "too slow": (YELLOW, "//"),
    "refuse": (VERMILLION, "xx"),
    "no verdict": ("#E8E8E8", ".."),
}


def temperatures_panel(axes, hours, curves: Mapping[str, np.ndarray], levels=None, label_hours=True) -> None:
    """Curves in °C over local hours, °F on the right at the same grid lines, named levels dotted."""
    levels = levels or {}
    values = np.concatenate([np.ravel(v) for v in curves.values()] + [np.array(list(levels.values()), float)])
    low, high = float(np.nanmin(values)), float(np.nanmax(values))
    step = next(s for s in (5, 10, 20, 40, 100, 1000) if (high - low) / s <= 7.5 or s == 1000)
    bottom, top = np.floor(low / step) * step, (np.floor(high / step) + 1) * step
    ticks = np.arange(bottom, top + step / 2, step)
    for index, (name, curve) in enumerate(curves.items()):
        axes.plot(hours, curve, label=name, **line(index).drawn(len(hours)))
    dress(axes, "local clock" if label_hours else "", "temperature (°C)")
    axes.set_ylim(bottom, top)
    axes.set_yticks(ticks, [f"{tick:.0f}" for tick in ticks])
    clock_axis(axes, hours, label_hours)
    for name, level in levels.items():
        axes.axhline(level, color=GREY, linewidth=1.2, linestyle=(0, (1, 2)))
        left = _emptier_left(hours, curves, level, 0.08 * (top - bottom))
        text = f" {name}" if left else f"{name} "
        place, side = (hours[0], "left") if left else (hours[-1], "right")
        label = axes.text(place, level, text, fontsize=9, color=BLACK, va="bottom", ha=side)
        label.set_bbox({"facecolor": "white", "alpha": 0.75, "linewidth": 0, "pad": 0.8})
    # Plain text instead of a twin axes: the same look for a tenth of the drawing time.
    beside = axes.get_yaxis_transform()
    for tick in ticks:
        text = f"{round(fahrenheit(tick))}" + (" °F" if tick == ticks[-1] else "")
        axes.text(1.012, tick, text, transform=beside, fontsize=10, va="center", ha="left")
    legend(axes)


def _emptier_left(hours, curves: Mapping[str, np.ndarray], level: float, near: float) -> bool:
    """Whether curves are within ``near`` of ``level`` less in the day's first quarter than in its last."""
    span = hours[-1] - hours[0]
    ends = (hours <= hours[0] + span / 4, hours >= hours[-1] - span / 4)
    room = []
    for end in ends:
        nearby = np.concatenate([np.abs(curve[end] - level) for curve in curves.values()])
        room.append(np.mean(nearby < near))
    return room[0] < room[1]


def legend(axes) -> None:
    """The names of the curves above the panel, clear of them."""
    handles, labels = axes.get_legend_handles_labels()
    columns = len(labels) if sum(len(text) + 6 for text in labels) <= 72 else (len(labels) + 1) // 2
    axes.legend(
        handles,
        labels,
        loc="lower left",
        bbox_to_anchor=(0.0, 1.0),
        ncols=columns,
        fontsize=10,
        frameon=False,
        handlelength=2.6,
        columnspacing=1.3,
        borderaxespad=0.3,
    )


def marks_on(axes, events: Sequence[Event]) -> None:
    """Numbered flags for the events that happen; near neighbours step down so that none is hidden."""
    low, high = axes.get_xlim()
    taken: list[tuple[float, int]] = []
    happening = [event for event in events if event.hour is not None]
    for event in sorted(happening, key=lambda event: event.hour):
        used = {row for hour, row in taken if abs(hour - event.hour) < 0.04 * (high - low)}
        row = next(r for r in range(len(events) + 1) if r not in used)
        taken.append((event.hour, row))
        axes.axvline(event.hour, color=BLACK, linewidth=1.0, linestyle=(0, (3, 2)))
        flag = {"boxstyle": "circle,pad=0.25", "facecolor": "white", "edgecolor": BLACK}
        place = axes.get_xaxis_transform()
        height = 0.9 - 0.1 * row
        axes.text(
            event.hour,
            height,
            f"{event.number}",
            transform=place,
            fontsize=9,
            ha="center",
            va="center",
            bbox=flag,
        )


def powers_panel(axes, hours, powers: Mapping[str, np.ndarray]) -> None:
    """Powers over local hours from zero up, the first one filled."""
    for index, (name, power) in enumerate(powers.items()):
        style = line((0, 1, 3, 4, 2, 5)[index] if index < 6 else index)
        axes.plot(hours, power, label=name, **style.drawn(len(hours)))
        if index == 0:
            axes.fill_between(hours, 0.0, power, color=ORANGE, alpha=0.25, linewidth=0)
    dress(axes, "local clock", "power (W)")
    largest = max(float(np.nanmax(power)) for power in powers.values())
    axes.set_ylim(
        min(0.0, *(float(np.nanmin(power)) for power in powers.values())), max(largest * 1.08, 1e-9)
    )
    axes.locator_params(axis="y", nbins=4)
    clock_axis(axes, hours)
    legend(axes)


def egg_panel(figure, centre: tuple[float, float], size: float, radius, set_fraction, is_yolk) -> None:
    """An egg cut in half: a disc per shell, the largest first, coloured by how far it has set.

    ``centre`` and the radius ``size`` are in inches on the figure.
    """
    radius, state, yolk = (np.asarray(v) for v in (radius, set_fraction, is_yolk))
    place = Affine2D().scale(size / float(radius[-1])).translate(*centre) + figure.dpi_scale_trans
    order = np.argsort(radius)[::-1]
    colours = np.where(yolk[:, None], YOLK_STATES(state), WHITE_STATES(state))
    discs = PatchCollection([Circle((0, 0), float(radius[i])) for i in order], linewidths=0, transform=place)
    discs.set_facecolor(colours[order])
    figure.add_artist(discs)
    rings = [(float(radius[-1]), "-", 2.4)]
    if yolk.any() and not yolk.all():
        rings.append((float(radius[yolk].max()), "-", 1.2))
    rings += [(at, (0, (4, 2)), 1.3) for at in half_set_radii(radius, state, yolk)]
    for at, dashes, width in rings:
        ring = Circle((0, 0), at, fill=False, edgecolor=BLACK, linestyle=dashes, linewidth=width)
        ring.set_transform(place)
        figure.add_artist(ring)


def half_set_radii(radius, state, yolk) -> list[float]:
    """Where white and yolk are each half set, outermost first; nothing where a part is all raw or all set."""
    found = []
    for part in (~yolk, yolk):
        inside = np.flatnonzero(part)
        for i, j in pairwise(inside):
            if (state[i] - 0.5) * (state[j] - 0.5) < 0:
                found.append(float(radius[i]))
    return sorted(found, reverse=True)


def state_key(figure, left: float, top: float, width: float) -> None:
    """Two small bars, raw on the left and set on the right, and what the rings mean; inches on the figure."""
    steps = np.linspace(0, 1, 25)
    for row, (name, colours) in enumerate((("white", WHITE_STATES), ("yolk", YOLK_STATES))):
        low, start, across = top - 0.24 * (row + 1), left + 0.85, width - 1.2
        cells = [Rectangle((start + across * at, low), across / 23.5, 0.17) for at in steps[:-1]]
        bar = PatchCollection(cells, linewidths=0, transform=figure.dpi_scale_trans, antialiaseds=False)
        bar.set_facecolor(colours(steps[:-1]))
        figure.add_artist(bar)
        edge = Rectangle((start, low), across, 0.17, fill=False, edgecolor=BLACK, linewidth=0.8)
        edge.set_transform(figure.dpi_scale_trans)
        figure.add_artist(edge)
        for x, text, side in (
            (start - 0.07, f"{name}:  raw", "right"),
            (start + across + 0.07, "set", "left"),
        ):
            figure.text(
                x, low + 0.085, text, transform=figure.dpi_scale_trans, fontsize=9, ha=side, va="center"
            )
    figure.text(
        left, top - 0.66, "dashed ring: half set", transform=figure.dpi_scale_trans, fontsize=9, va="center"
    )


def bars_panel(axes, names: Sequence[str], values, texts: Sequence[str]) -> None:
    """Horizontal bars, the first on top, the text of each beside it; losses below zero are hatched."""
    values = np.asarray(values, float)
    places = np.arange(len(values))[::-1]
    bars = axes.barh(places, values, height=0.62, color=SKY_BLUE, edgecolor=BLACK, linewidth=0.8)
    for bar, value in zip(bars, values, strict=True):
        if value < 0:
            bar.set_hatch("//")
    span = max(float(values.max()), 0.0) - min(float(values.min()), 0.0) or 1.0
    for place, value, text in zip(places, values, texts, strict=True):
        axes.text(max(value, 0.0) + 0.012 * span, place, text, va="center", ha="left", fontsize=10)
    dress(axes)
    axes.grid(False, axis="y")
    axes.set_yticks(places, names)
    axes.tick_params(axis="y", length=0)
    axes.set_xlim(min(float(values.min()), 0.0) * 1.05, max(float(values.max()), 0.0) + 0.33 * span)


def dome_panel(axes, label_side: int) -> None:
    """The sky as a map: north up, east right, the rim the horizon, the centre straight overhead.

    The heights are written to the north (``label_side`` 1) or to the south (-1), away from the paths.
    """
    for elevation in (0, 30, 60):
        axes.add_patch(
            Circle(
                (0, 0), 90 - elevation, fill=False, edgecolor=GREY if elevation == 0 else GRID, linewidth=1.2
            )
        )
        axes.text(2, label_side * (86 - elevation), f"{elevation}°", fontsize=8, color=GREY, va="center")
    axes.plot([-90, 90], [0, 0], color=GRID, linewidth=0.8, zorder=0)
    axes.plot([0, 0], [-90, 90], color=GRID, linewidth=0.8, zorder=0)
    for name, x, y in (("N", 0, 99), ("E", 99, 0), ("S", 0, -99), ("W", -99, 0)):
        axes.text(x, y, name, fontsize=11, ha="center", va="center", color=BLACK)
    axes.set_xlim(-108, 108)
    axes.set_ylim(-108, 108)
    axes.set_aspect("equal")
    axes.axis("off")


def path_on(axes, name, hours, azimuth, elevation, shown: Sequence[int], style) -> None:
    """One day's path on the dome, a dot at the samples ``shown`` and the hour beside every third."""
    reach = np.where(elevation >= 0, 90.0 - elevation, np.nan)
    x, y = reach * np.sin(np.radians(azimuth)), reach * np.cos(np.radians(azimuth))
    axes.plot(x, y, label=name, color=style.colour, linestyle=style.dashes, linewidth=style.width)
    axes.plot(x[shown], y[shown], color=style.colour, marker="o", markersize=4, linestyle="")
    for i in shown:
        if round(hours[i]) % 3 == 0:
            axes.annotate(f"{hours[i]:.0f}", (x[i], y[i]), (4, 4), textcoords="offset points", fontsize=9)


def spans_panel(axes, rows: Sequence[tuple[str, float, float, str, str]]) -> None:
    """Clocks as bars: (name, start hour, stop hour, state, text), hatched by state, the text above."""
    count = len(rows)
    for index, (_, start, stop, state, text) in enumerate(rows):
        colour, hatch = STATES[state]
        y = count - 1 - index
        axes.barh(
            y, stop - start, left=start, height=0.5, color=colour, edgecolor=BLACK, hatch=hatch, linewidth=0.9
        )
        axes.annotate(text, (start, y + 0.29), (3, 0), textcoords="offset points", va="bottom", fontsize=9)
    dress(axes, "local clock")
    axes.grid(False, axis="y")
    axes.set_yticks(range(count - 1, -1, -1), [row[0] for row in rows])
    axes.tick_params(axis="y", length=0)
    axes.set_ylim(-0.6, count - 0.25)
    low, high = min(row[1] for row in rows), max(row[2] for row in rows)
    # A quarter more on the right, for what is written above the last bar.
    clock_axis(axes, np.array([low, high + 0.25 * (high - low)]))


def ranges_panel(axes, rows: Sequence[tuple[float, float, float, float, float]]) -> None:
    """A row each, on a scale of its own: (said low, said high, model low, middle, high); open ends run on."""
    count = len(rows)
    for index, row in enumerate(rows):
        y = count - 1 - index
        finite = [value for value in row if np.isfinite(value)]
        low, high = min(finite), max(finite)
        pad = 0.15 * (high - low) or 0.15 * abs(high) or 1.0
        low, high = low - pad, high + pad
        said_low, said_high, model_low, model_middle, model_high = (
            (np.clip(value, low, high) - low) / (high - low) for value in row
        )
        # A saying that is a single number is still a bar one can see.
        width = max(said_high - said_low, 0.008)
        axes.barh(
            y + 0.14,
            width,
            left=said_low,
            height=0.26,
            color="#E8E8E8",
            edgecolor=GREY,
            hatch="///",
            linewidth=0.8,
        )
        axes.plot(
            [model_low, model_high], [y - 0.16, y - 0.16], color=BLUE, linewidth=3.0, solid_capstyle="butt"
        )
        axes.plot([model_middle], [y - 0.16], color=BLUE, marker="D", markersize=7, linestyle="")
        axes.axhline(y - 0.5, color=GRID, linewidth=0.8)
    axes.set_xlim(-0.02, 1.02)
    axes.set_ylim(-0.5, count - 0.5)
    axes.set_xticks([])
    axes.set_yticks([])
    for side in ("top", "right", "bottom"):
        axes.spines[side].set_visible(False)


def calibration_panel(axes, stated, right, counts) -> None:
    """How often a stated confidence was right, in percent; on the line means well judged."""
    dress(axes, "how sure they said they were (%)", "how often they were right (%)")
    axes.plot([0, 100], [0, 100], color=GREY, linestyle=(0, (1.5, 1.8)), linewidth=1.5, label="well judged")
    axes.plot(stated, right, color=BLUE, marker="o", markersize=9, linewidth=1.8, label="predictions made")
    for x, y, count in zip(stated, right, counts, strict=True):
        below = y > 88
        axes.annotate(
            f"{count}", (x, y), (0, -9 if below else 9), textcoords="offset points", fontsize=10, ha="center",
            va="top" if below else "bottom",
        )  # fmt: skip
    axes.set_xlim(0, 104)
    axes.set_ylim(-4, 104)
    axes.set_xticks(range(0, 101, 20))
    axes.set_yticks(range(0, 101, 20))
    legend(axes)

"""Lesson 05, where the sun stands: a stick and its shadow, and the clock of the sun's noon, as pictures."""

from __future__ import annotations

import math

import numpy as np
import pandas as pd

from solarlab import catalogue, figures
from solarlab.exercises import beside
from solarlab.sun import equation_of_time, instants, sun_vector

scene = beside(__file__, "scene")
REACH = (4.0, 10.0)  # stick lengths of shadow that the picture has room for: most days, and low winter suns
BLUR = 0.25  # °: the sun is half a degree wide, so the shadow's edge is soft; its middle is within a quarter
CITIES = ("Nairobi", "Madrid", "Bamako", "Mumbai", "Quito", "Lima", "Melbourne", "Berlin", "Reykjavik")


def reading_error(stick: float, height: float) -> float:
    """Degrees by which the sun's height comes out wrong if the shadow of a ``stick`` [cm] is read 1 cm wrong.

    The height is atan(stick/shadow); its change with the shadow is sin²(height)/stick.
    """
    return math.degrees(math.sin(math.radians(height)) ** 2 * scene.READING / stick)


def doubt(stick: float, height: float) -> float:
    """Degrees to either side that a height measured with a ``stick`` [cm] may be off: reading and soft "
    "edge."""
    return math.hypot(reading_error(stick, height), BLUR)


def shadow_picture(city: str, month: int, minutes: float, stick: float):
    """A stick from above: the path of its shadow's end over the day, and the shadow at one clock time."""
    place, date = catalogue.place(city), scene.date_of(month)
    times = instants(place, date, "04:00", "22:00", 300)
    east, north, up = np.moveaxis(sun_vector(place, times), -1, 0)
    long = np.hypot(east, north) / np.maximum(up, 1e-6)
    longest = REACH[0] if long.min() < 0.6 * REACH[0] else REACH[1]
    seen = (up > 0) & (long <= longest)
    x = np.where(seen, -east / np.maximum(up, 1e-6), np.nan)
    y = np.where(seen, -north / np.maximum(up, 1e-6), np.nan)
    height, azimuth = scene.angles(place, scene.at_clock(place, date, minutes))
    told = told_of_shadow(height, azimuth, stick, minutes)
    title = f"A stick in {city} on {scene.on_the_day(date)}"
    figure = figures.blank(8.6, 5.0)
    axes = figure.add_axes((0.07, 0.10, 0.52, 0.82))
    figures.dress(axes, "east of the stick (stick lengths)", "north of the stick (stick lengths)")
    axes.set_xlim(-longest, longest)
    axes.set_ylim(-longest, longest)
    axes.set_aspect("equal")
    axes.plot(x, y, color=figures.BLUE, linestyle=(0, (6, 2)), linewidth=1.9, label="shadow's end, all day")
    hours = times.clock
    whole = [i for i in np.flatnonzero(seen) if abs(hours[i] - round(hours[i])) < 1e-6]
    axes.plot(x[whole], y[whole], color=figures.BLUE, marker="s", markersize=4, linestyle="")
    for i in whole:
        if round(hours[i]) % 2 == 0:
            axes.annotate(f"{hours[i]:.0f}", (x[i], y[i]), (4, 4), textcoords="offset points", fontsize=9)
    if height > 0:
        length = min(1.0 / math.tan(math.radians(height)), 2 * longest)
        toward = math.radians(azimuth + 180.0)
        end = (length * math.sin(toward), length * math.cos(toward))
        axes.plot([0, end[0]], [0, end[1]], color=figures.BLACK, linewidth=4, label="the shadow now")
    axes.plot([0], [0], color=figures.VERMILLION, marker="o", markersize=9, linestyle="", label="the stick")
    figure.text(0.635, 0.90, "\n".join(told), fontsize=10, va="top", linespacing=1.6)
    figure.legend(*axes.get_legend_handles_labels(), loc="lower right", fontsize=10, frameon=False)
    rows = [
        (
            f"{hours[i]:02.0f}:00",
            f"{long[i]:.2f}",
            f"{math.degrees(math.atan2(-east[i], -north[i])) % 360:.0f}°",
            f"{math.degrees(math.asin(up[i])):.1f}°",
        )
        for i in whole
    ]
    columns = ["local clock", "shadow ÷ stick", "shadow points to", "sun's elevation"]
    table = pd.DataFrame(rows or [("–", "no short shadow", "–", "–")], columns=columns)
    told_noon = "; ".join(scene.told_of(place, date))
    return figures.Picture(figure, f"{' '.join(told)} The day: {told_noon}.", table, title)


def told_of_shadow(height: float, azimuth: float, stick: float, minutes: float) -> list[str]:
    """The shadow at one clock time in words, a line each."""
    lines = [f"At {scene.clock(minutes)} on the clock:"]
    if height <= 0.3:
        return [*lines, "the sun is down, or as good as;", "there is no shadow to read."]
    shadow = stick / math.tan(math.radians(height))
    lines.append(f"stick {stick:.0f} cm, shadow {shadow:.0f} cm,")
    lines.append(f"shadow points to {(azimuth + 180) % 360:.0f}° ({scene.compass(azimuth + 180)}).")
    lines.append(f"The sun is at {azimuth:.0f}° ({scene.compass(azimuth)}),")
    lines.append(f"{height:.1f}° above the horizon;")
    lines.append(
        f"measured so, good to ±{doubt(stick, height):.1f}°."
        if shadow <= REACH[1] * stick
        else "too long a shadow to measure."
    )
    return lines


def noon_over_the_year(city: str):
    """The clock of the sun's noon on every day of a year, beside an even clock at that longitude."""
    place = catalogue.place(city)
    days = pd.date_range(f"{scene.YEAR}-01-01", f"{scene.YEAR}-12-31", freq="D", tz="UTC")
    mean = days + pd.to_timedelta(720.0 - 4.0 * place.longitude, unit="min")
    ahead = equation_of_time(mean)
    clocks = {}
    for name, moments in {
        "sun's noon on the clock": mean - pd.to_timedelta(ahead, unit="min"),
        "without the sundial's swing": mean,
    }.items():
        local = moments.tz_convert(place.timezone)
        clocks[name] = (local.hour * 60 + local.minute + local.second / 60.0).to_numpy(float)
    figure = figures.blank(9, 4)
    axes = figure.add_axes((0.085, 0.11, 0.885, 0.77))
    figures.dress(axes, "", "local clock")
    along = np.arange(len(days))
    for index, (name, values) in enumerate(clocks.items()):
        axes.plot(along, values, label=name, **figures.line(index).drawn(len(days)))
    axes.axhline(720, color=figures.GREY, linestyle=(0, (1, 2)), linewidth=1.4)
    starts = [i for i, day in enumerate(days) if day.day == 1]
    axes.set_xticks(starts, [name[:3] for name in scene.MONTHS], ha="left")
    axes.set_xlim(0, len(days) - 1)
    low = min(float(v.min()) for v in clocks.values())
    high = max(float(v.max()) for v in clocks.values())
    low, high = min(low, 715.0), max(high, 725.0)
    step = 15 if high - low < 120 else 30  # twelve is a tick either way
    ticks = np.arange(math.floor(low / step) * step, high + step, step)
    axes.set_yticks(ticks, [scene.clock(tick) for tick in ticks])
    axes.legend(loc="lower left", bbox_to_anchor=(0.0, 1.0), ncols=2, fontsize=10, frameon=False)
    noon = clocks["sun's noon on the clock"]
    first, last = int(noon.argmin()), int(noon.argmax())
    alt = (
        f"In {city} the sun's noon comes between {scene.clock(noon[first])} on {days[first].day} "
        f"{scene.MONTHS[days[first].month - 1]} and {scene.clock(noon[last])} on {days[last].day} "
        f"{scene.MONTHS[days[last].month - 1]} on the clock. The dotted line is twelve."
    )
    rows = [
        (f"21 {scene.MONTHS[day.month - 1]}", scene.clock(noon[i]), f"{ahead[i]:+.0f}")
        for i, day in enumerate(days)
        if day.day == 21
    ]
    table = pd.DataFrame(rows, columns=["day", "sun's noon on the clock", "sundial ahead (min)"])
    return figures.Picture(figure, alt, table, f"The sun's noon in {city}")

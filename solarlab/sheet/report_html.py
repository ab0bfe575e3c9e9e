"""The report on a measured oven as one page to print: the standard's line, what was rejected and why, the fit
with its doubt, model against measurement, and what to improve first.

Black on white like the sheets; every picture has its words and its numbers.
"""

from __future__ import annotations

from collections.abc import Sequence
from html import escape

import numpy as np
import pandas as pd

from .._picture import Picture, blank, clock_axis, clock_hours, clock_text, dress
from ..language import Language
from ..trial import Estimate, Fit, Report, StandardPower
from .mistakes import spoken
from .parts import later

STYLE = """
@page { size: A4; margin: 12mm; }
body { font: 9.5pt/1.35 "DejaVu Sans", Verdana, Arial, sans-serif; color: #000; background: #fff;
  max-width: 186mm; margin: auto; }
h1 { font-size: 14pt; margin: 0; } h2 { font-size: 11pt; margin: 4mm 0 1mm; break-after: avoid; }
figure { margin: 2mm 0; break-inside: avoid; } img { max-width: 100%; height: auto; }
table { border-collapse: collapse; } th { background: #eee; text-align: left; }
td, th { border: .4pt solid #000; padding: 0 1.2mm; } tr { break-inside: avoid; }
.numbers td { white-space: nowrap; } .numbers td:last-child { white-space: normal; }
details { font-size: 8pt; } p, ul { margin: 1mm 0; }
"""
CHANGES = (  # what a hand can improve, as `improve` names it
    later("wipe and true glass and mirrors"),
    later("brighter mirrors"),
    later("twice the insulation"),
    later("a tighter seal"),
    later("a second glass"),
    later("blacken the tray"),
    later("a dark pot"),
    later("a lid on the pot"),
    later("aim every 15 minutes"),
    later("shelter from the wind"),
)
REASONS = (  # why the standard rejects an interval, as `standard` says it
    later("gap in the readings"),
    later("light {light} W/m², below {least}"),
    later("light {light} W/m², above {most}"),
    later("light varies by {light} W/m², more than {most}"),
    later("wind {wind} m/s, above {most}"),
    later("wind above {wind} m/s for over 10 min that day: the day is discarded"),
    later("air {air} °C, outside {low} to {high}"),
    later("outside 10:00 to 14:00 solar time"),
    later("water less than {least} K above the air"),
    later("water within {least} K of the boil ({boil} °C here)"),
)


def report_html(found: Report, say: Language, notes: Sequence[tuple[str, Sequence[str]]] = ()) -> str:
    """The whole report as one HTML document; ``notes``: a log's name and what was noticed in it."""
    title = say("Measured oven, built like the {oven}", oven=say(found.oven.name))
    noted = [name + " ".join(spoken(say, note) for note in told) for name, told in notes]
    parts = [
        f"<h1>{escape(title)}</h1>",
        _said([say("Draft translation, awaiting a native reader.")] * (say.draft and say.code != "en")),
        _fitted(found.fit, say),
        _improved(found, say),
        _power(found.power, say),
        _merit(found, say),
        _section(say("Notes"), _said([spoken(say, note) for note in found.notes] + noted)),
        _said([say("The model says expected, never safe: only a thermometer does. "
                   "Local food-safety rules come first.")]),
    ]  # fmt: skip
    head = f'<meta charset="utf-8"><title>{escape(title)}</title><style>{STYLE}</style>'
    return f'<!DOCTYPE html><html lang="{say.code}"><head>{head}</head><body>{"".join(parts)}</body></html>\n'


def _section(title: str, body: str) -> str:
    return f"<section><h2>{escape(title)}</h2>{body}</section>" if body else ""


def _said(lines) -> str:
    return "".join(f"<p>{escape(line)}</p>" for line in lines if line)


def _table(heads, rows, kind: str = "") -> str:
    head = "".join(f'<th scope="col">{escape(name)}</th>' for name in heads)
    body = "".join("<tr>" + "".join(f"<td>{escape(cell)}</td>" for cell in row) + "</tr>" for row in rows)
    return f'<table class="{kind}"><thead><tr>{head}</tr></thead><tbody>{body}</tbody></table>'


def _picture(drawn: Picture, say: Language) -> str:
    words = f"<details><summary>{escape(say('the same as a table'))}</summary>{drawn.words_html()}</details>"
    return f"<figure><figcaption>{escape(drawn.title)}</figcaption>{drawn.image_html()}</figure>{words}"


def _interval(found: Estimate, say: Language, digits: int, scale: float = 1.0) -> tuple[str, ...]:
    if not np.isfinite(found.value):
        return say("no value from these data"), "—", "—"
    numbers = (found.value, found.low, found.high)
    return tuple(say.number(scale * x, digits) if np.isfinite(x) else "—" for x in numbers)


def _fitted(fit: Fit | None, say: Language) -> str:
    if fit is None:
        return ""
    rows = [
        (say("light taken in, % of the oven it was built like"), *_interval(fit.light, say, 0, 100.0)),
        (say("loss of the walls, W/(m² K)"), *_interval(fit.wall_conductance, say, 2)),
        (
            say("the same in the oven it was built like"),
            say.number(float(fit.base.wall_conductance), 2),
            "—",
            "—",
        ),
    ]
    heads = (say("what"), say("value"), say("from"), say("to (95 of 100)"))
    missed = say("The model misses the readings by {kelvin} K.", kelvin=say.number(fit.misfit, 1))
    try:
        made = fit.oven()
        told = {made.sources[name].source for name in ("wall_conductance", "dust") if name in made.sources}
    except ValueError as error:
        told = {str(error)}
    origin = [say("Where the fitted oven comes from: {source}", source=source) for source in sorted(told)]
    drawn = "".join(_picture(curve_picture(curve, say), say) for curve in fit.curves)
    notes = [spoken(say, note) for note in fit.notes]
    return _section(
        say("Fitted loss and light"), _table(heads, rows) + _said([missed, *origin, *notes]) + drawn
    )


def curve_picture(curve: pd.DataFrame, say: Language) -> Picture:
    """Model against measurement of one log: the two curves, and the readings the fit used."""
    clock = pd.DatetimeIndex(curve["time"])
    hours = clock_hours(clock, clock[0])
    title = say("Model against measurement, {date}", date=say.date(clock[0].date()))
    figure = blank(7.2, 3.0)
    axes = figure.add_axes((0.09, 0.17, 0.89, 0.78))
    names = say("measured"), say("modelled")
    axes.plot(hours, curve["measured"], ".", color="#777777", markersize=4, label=names[0])
    axes.plot(hours, curve["modelled"], "-", color="#000000", linewidth=1.5, label=names[1])
    dress(axes, say("local clock"), "°C")
    clock_axis(axes, hours)
    axes.legend(fontsize=9, frameon=False)
    apart = (curve["measured"] - curve["modelled"])[curve["used"]]
    worst = int(np.nanargmax(np.abs(apart.to_numpy())))
    alt = say(
        "{title}: measured up to {hottest}, modelled up to {modelled}; at most {kelvin} K apart, at {time}.",
        title=title,
        hottest=say.degrees(np.nanmax(curve["measured"])),
        modelled=say.degrees(np.nanmax(curve["modelled"])),
        kelvin=say.number(abs(apart.iloc[worst]), 1),
        time=clock_text(hours[apart.index[worst]]),
    )
    rows = np.unique(np.linspace(0, len(curve) - 1, 13).round().astype(int))
    table = pd.DataFrame({say("local clock"): [clock_text(hours[k]) for k in rows]})
    for name, key in zip(names, ("measured", "modelled"), strict=True):
        table[f"{name} (°C)"] = curve[key].to_numpy()[rows].round(1)
        table[f"{name} (°F)"] = curve[f"{key}_F"].to_numpy()[rows].round(1)
    return Picture(figure, alt, table, title)


def _power(power: StandardPower | None, say: Language) -> str:
    if power is None:
        return ""
    rows = [
        (say("standard cooking power at 50 K, W"), *_interval(power.at_50, say, 0)),
        (say("the same for each m² of intercept area, W/m²"), *_interval(power.per_area, say, 0)),
    ]
    heads = (say("what"), say("value"), say("from"), say("to (95 of 100)"))
    told = []
    if np.isfinite(power.slope):
        told.append(
            say(
                "Line: {intercept} W and {slope} W for each kelvin of water above the air; R² {square}; "
                "{points} intervals kept on {days} days.",
                intercept=say.number(power.intercept, 1),
                slope=say.number(power.slope, 2),
                square=say.number(power.r_squared, 2),
                points=say.number(power.points),
                days=say.number(power.days),
            )
        )
    told.append(
        say("All that the standard asks was met.")
        if power.fulfilled
        else say("Not all that the standard asks was met.")
    )
    told += [spoken(say, note) for note in power.notes]
    body = _table(heads, rows) + _said(told)
    if power.points >= 2:
        body += _picture(line_picture(power, say), say)
    kept = power.intervals["reason"] == ""
    out = power.intervals[~kept]
    listed = [
        (
            f"{row.start:%Y-%m-%d %H:%M}",
            say.number(row.difference, 1) if np.isfinite(row.difference) else "—",
            say.number(row.power, 0) if np.isfinite(row.power) else "—",
            "; ".join(spoken(say, reason) for reason in row.reason.split("; ")),
        )
        for row in out.itertuples()
    ]
    names = (say("begins"), say("water less air, K"), say("power, W"), say("why it was rejected"))
    told = say("Rejected: {count} of {total} intervals.", count=len(out), total=len(power.intervals))
    return _section(say("Standard cooking power"), body + _said([told]) + _table(names, listed, "numbers"))


def line_picture(power: StandardPower, say: Language) -> Picture:
    """The intervals that were kept, those that were not, and the line."""
    figure = blank(7.2, 3.0)
    axes = figure.add_axes((0.1, 0.17, 0.88, 0.78))
    kept = power.intervals["reason"] == ""
    for rows, style, name in (
        (power.intervals[kept], {"marker": "o", "color": "#000000"}, say("kept")),
        (power.intervals[~kept], {"marker": "x", "color": "#777777"}, say("rejected")),
    ):
        axes.plot(rows["difference"], rows["standard_power"], linestyle="", markersize=4, label=name, **style)
    if np.isfinite(power.slope):
        x = np.array([0.0, max(float(np.nanmax(power.intervals["difference"])), 50.0)])
        axes.plot(x, power.intercept + power.slope * x, "-", color="#000000", linewidth=1.2)
    dress(axes, say("water less air, K"), "W")
    axes.legend(fontsize=9, frameon=False)
    title = say("Standardised cooking power of each interval")
    alt = say(
        "{title}: {kept} kept and {rejected} rejected; at 50 K {power} W.",
        title=title,
        kept=int(kept.sum()),
        rejected=int((~kept).sum()),
        power=_interval(power.at_50, say, 0)[0],
    )
    table = power.intervals[kept][["difference", "standard_power"]].round(1)
    table.columns = [say("water less air, K"), say("power, W")]
    if table.empty:
        table = pd.DataFrame({say("kept"): [0]})
    return Picture(figure, alt, table, title)


def _merit(found: Report, say: Language) -> str:
    merit = found.merit
    if merit is None:
        return ""
    none = say("not measured")
    rows = [
        ("F1, K m²/W", say.number(merit.first, 3) if np.isfinite(merit.first) else none),
        (say("stagnation"), say.degrees(merit.stagnation) if np.isfinite(merit.stagnation) else none),
        ("F2", say.number(merit.second, 2) if np.isfinite(merit.second) else none),
        (say("grade"), say(merit.grade) if merit.grade == "none" else merit.grade),
    ]
    table = _table((say("what"), say("value")), rows)
    return _section(say("Figures of merit"), table + _said([spoken(say, note) for note in merit.notes]))


def _improved(found: Report, say: Language) -> str:
    table = found.improvements
    if table is None:
        return ""
    told = say(
        "Minutes that each change alone would save until the water is at {degrees}; it now takes {minutes}.",
        degrees=say.degrees(table.attrs["target"]),
        minutes=say.number(table.attrs["minutes"]),
    )
    rows = improvements(found, say)
    return _section(say("What to improve first"), _said([told]) + _table(rows.columns, rows.to_numpy()))


def improvements(found: Report, say: Language) -> pd.DataFrame:
    """The report's table of improvements in words: text in every cell."""
    heads = (say("change"), say("minutes saved"), say("from"), say("to (8 of 10)"), say("hottest water"))
    rows = [
        (
            say.start(row.change),
            *(say.number(x) if np.isfinite(x) else "—" for x in (row.minutes_saved, row.low, row.high)),
            say.degrees(row.hottest),
        )
        for row in found.improvements.itertuples()
    ]
    return pd.DataFrame(rows, columns=heads)

"""The card without words: what hands do, in pictures, for groups who don't read.

Each panel has a clock face, the sun on its path at that hour, and a picture of what is done: which oven (its
mirrors are drawn), which kind of dish.  Black lines only; the words of a panel are in its ``<title>``, for
those who hear the page.
"""

from __future__ import annotations

from html import escape
from math import cos, pi, sin

from ..dates import clock
from ..sun import sun_times
from .pictograms import LINE, RULES, SOLID, picture

WIDE, HIGH, ACROSS, GAP, MOST = 178, 190, 4, 8, 24


def card_svg(sheet) -> str:
    """One SVG of all panels: the day's moments in order, then the rules that hold all day."""
    day = sun_times(sheet.plan.outlook.place, sheet.plan.outlook.date)
    up, down = (
        given if t is None else t.hour * 60 + t.minute for t, given in ((day.sunrise, 0), (day.sunset, 1440))
    )
    drawn = []
    for moment in _thinned(sheet.moments):
        sky = _face(36, 38, 26, moment.minutes) + _path(116, 60, moment.minutes, up, down)
        drawn.append(_panel(len(drawn), f"{clock(moment.minutes)} {moment.words}", sky, picture(moment), 130))
    if sheet.moments:
        for kind, words in RULES.items():
            drawn.append(_panel(len(drawn), sheet.language(words), "", picture(kind), 98))
    rows = -(-len(drawn) // ACROSS)
    size = f"{ACROSS * (WIDE + GAP)} {max(rows, 1) * (HIGH + GAP)}"
    return f'<svg viewBox="0 0 {size}" xmlns="http://www.w3.org/2000/svg">{"".join(drawn)}</svg>'


def _panel(number: int, words: str, sky: str, drawing: str, middle: float) -> str:
    x, y = number % ACROSS * (WIDE + GAP), number // ACROSS * (HIGH + GAP)
    frame = f'<rect x="2" y="2" width="{WIDE}" height="{HIGH}" rx="6" {LINE}/>'
    return (
        f'<g transform="translate({x} {y})" role="img"><title>{escape(words)}</title>{frame}{sky}'
        f'<g transform="translate({WIDE / 2:g} {middle:g})">{drawing}</g></g>'
    )


def _thinned(moments) -> list:
    """No more moments than fit a page with the rules: of repeated aims every other one goes first."""
    kept = list(moments)
    while len(kept) > MOST - len(RULES):
        aims = [k for k, moment in enumerate(kept) if moment.kind == "aim"]
        if not aims:
            break
        drop = set(aims[1::2] or aims)
        kept = [moment for k, moment in enumerate(kept) if k not in drop]
    return kept


def _face(x: float, y: float, r: float, minutes: int) -> str:
    """A clock face with twelve ticks and two hands."""

    def ray(turn: float, begin: float, end: float, wide: float) -> str:
        ends = [(x + share * r * sin(turn), y - share * r * cos(turn)) for share in (begin, end)]
        (x1, y1), (x2, y2) = ends
        return (
            f'<line x1="{x1:.1f}" y1="{y1:.1f}" x2="{x2:.1f}" y2="{y2:.1f}" stroke="#000" '
            f'stroke-width="{wide}" stroke-linecap="round"/>'
        )

    ticks = "".join(ray(k * pi / 6, 0.86, 1.0, 2.0) for k in range(12))
    hands = ray(minutes / 720.0 * 2 * pi, 0.0, 0.5, 4.5) + ray(minutes % 60 / 60.0 * 2 * pi, 0.0, 0.78, 2.6)
    return f'<circle cx="{x}" cy="{y}" r="{r}" {LINE}/>{ticks}{hands}'


def _path(x: float, y: float, minutes: int, up: int, down: int) -> str:
    """The sun on its arc from left (rise) to right (set); the arc is a day, not a map."""
    share = min(max((minutes - up) / max(down - up, 1), 0.0), 1.0)
    at_x, at_y = x - 46 * cos(pi * share), y - 40 * sin(pi * share)
    turns = [k * pi / 4 for k in range(8)]
    ends = [[(at_x + r * cos(a), at_y + r * sin(a)) for r in (9, 13)] for a in turns]
    rays = " ".join(f"M {a:.1f} {b:.1f} L {c:.1f} {d:.1f}" for (a, b), (c, d) in ends)
    arc = f'<path d="M {x - 46} {y} A 46 40 0 0 1 {x + 46} {y}" {LINE} stroke-dasharray="2 5"/>'
    ground = f'<path d="M {x - 54} {y} L {x + 54} {y} {rays}" {LINE}/>'
    return f'{arc}{ground}<circle cx="{at_x:.1f}" cy="{at_y:.1f}" r="6.5" {SOLID}/>'

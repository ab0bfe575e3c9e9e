"""The card without words: what hands do, in pictures, for groups who don't read.

Each panel has a clock face, the sun on its path at that hour, and a picture of what is done.  Drawn as SVG in
black lines; the words of each panel are in its ``<title>``, for those who hear the page.
"""

from __future__ import annotations

from html import escape
from math import cos, pi, sin

from .plan import clock
from .sun import sun_times

WIDE, HIGH, ACROSS = 178.0, 172.0, 4
LINE = 'fill="none" stroke="#000" stroke-width="2.4" stroke-linejoin="round" stroke-linecap="round"'
SOLID = 'fill="#000" stroke="none"'


def card_svg(sheet) -> str:
    """One SVG of all panels: the day's moments in order, then the rules that hold all day."""
    panels = [(moment.kind, moment.minutes, moment.words) for moment in sheet.moments]
    last = max((m.minutes for m in sheet.moments if m.kind == "in"), default=None)
    if last is not None:
        say = sheet.language
        panels += [("hot", None, say("Don't touch the glass: it burns.")),
                   ("eyes", None, say("Don't look into the mirrors.")),
                   ("stove", None, say("Not hot in the middle after two hours: onto the stove.")),
                   ("away", None, say("After four hours: throw it away."))]  # fmt: skip
    panels = _thinned(panels)
    rows = -(-len(panels) // ACROSS)
    drawn = []
    day = sun_times(sheet.plan.outlook.place, sheet.plan.outlook.date)
    up, down = (
        (t.hour * 60 + t.minute if t is not None else given)
        for t, given in ((day.sunrise, 0), (day.sunset, 1440))
    )
    for k, (kind, minutes, words) in enumerate(panels):
        x, y = k % ACROSS * (WIDE + 8), k // ACROSS * (HIGH + 8)
        when = "" if minutes is None else _face(36, 38, 26, minutes) + _path(116, 60, minutes, up, down)
        spoken = words if minutes is None else f"{clock(minutes)} {words}"
        drawn.append(
            f'<g transform="translate({x} {y})" role="img"><title>{escape(spoken)}</title>'
            f'<rect x="2" y="2" width="{WIDE}" height="{HIGH}" rx="6" {LINE}/>{when}'
            f'<g transform="translate({WIDE / 2} {118 if minutes is not None else 92})">{PICTURES[kind]}</g></g>'
        )
    width, height = ACROSS * (WIDE + 8), rows * (HIGH + 8)
    return f'<svg viewBox="0 0 {width:.0f} {height:.0f}" xmlns="http://www.w3.org/2000/svg">{"".join(drawn)}</svg>'


def _thinned(panels: list) -> list:
    """At most 24 panels: repeated aims go first, every other one at a time."""
    while len(panels) > 24 and any(panel[0] == "aim" for panel in panels):
        aims = [k for k, panel in enumerate(panels) if panel[0] == "aim"]
        drop = set(aims[1::2] or aims)
        panels = [panel for k, panel in enumerate(panels) if k not in drop]
    return panels[:24]


def _face(x: float, y: float, r: float, minutes: int) -> str:
    """A clock face with twelve ticks and two hands."""
    ticks = "".join(
        f'<line x1="{x + 0.86 * r * sin(k * pi / 6):.1f}" y1="{y - 0.86 * r * cos(k * pi / 6):.1f}" '
        f'x2="{x + r * sin(k * pi / 6):.1f}" y2="{y - r * cos(k * pi / 6):.1f}" {LINE}/>'
        for k in range(12)
    )
    hands = "".join(
        f'<line x1="{x}" y1="{y}" x2="{x + size * r * sin(turn):.1f}" y2="{y - size * r * cos(turn):.1f}" '
        f'fill="none" stroke="#000" stroke-width="{wide}" stroke-linecap="round"/>'
        for turn, size, wide in (
            (minutes / 720.0 * 2 * pi, 0.5, 4.5),
            (minutes % 60 / 60.0 * 2 * pi, 0.78, 2.6),
        )
    )
    return f'<circle cx="{x}" cy="{y}" r="{r}" {LINE}/>{ticks}{hands}'


def _path(x: float, y: float, minutes: int, up: int, down: int) -> str:
    """The sun on its arc from left (rise) to right (set); the arc is a day, not a map."""
    share = min(max((minutes - up) / max(down - up, 1), 0.0), 1.0)
    at_x, at_y = x - 46 * cos(pi * share), y - 44 * sin(pi * share)
    rays = "".join(
        f'<line x1="{at_x + 9 * cos(a):.1f}" y1="{at_y + 9 * sin(a):.1f}" x2="{at_x + 13 * cos(a):.1f}" '
        f'y2="{at_y + 13 * sin(a):.1f}" {LINE}/>'
        for a in (k * pi / 4 for k in range(8))
    )
    arc = f'<path d="M {x - 46} {y} A 46 44 0 0 1 {x + 46} {y}" {LINE} stroke-dasharray="2 5"/>'
    ground = f'<line x1="{x - 54}" y1="{y}" x2="{x + 54}" y2="{y}" {LINE}/>'
    return f'{arc}{ground}<circle cx="{at_x:.1f}" cy="{at_y:.1f}" r="6.5" {SOLID}/>{rays}'


def _path_of(d: str, extra: str = "") -> str:
    return f'<path d="{d}" {LINE} {extra}/>'


# A box seen from the side, its glass on the slope, one mirror up behind.
_OVEN = _path_of("M -34 40 L -34 14 L 26 -8 L 34 -4 L 34 40 Z") + _path_of("M 26 -8 L 40 -38")
_POT = _path_of("M -14 -8 L -14 10 Q -14 14 -10 14 L 10 14 Q 14 14 14 10 L 14 -8 Z") + _path_of(
    "M -18 -8 L 18 -8 M -4 -12 L 4 -12"
)
_HAND = _path_of("M 0 18 L 0 2 M -6 4 L -6 -14 M 0 2 L 0 -18 M 6 4 L 6 -14 M 12 6 L 12 -8 M -6 4 Q -14 0 -14 8 Q "
                 "-10 22 0 24 Q 12 24 12 6")  # fmt: skip
_CROSS = '<path d="M -44 -40 L 44 42 M 44 -40 L -44 42" fill="none" stroke="#000" stroke-width="5"/>'
_TURN = _path_of("M -40 -24 A 46 30 0 0 1 14 -40") + f'<path d="M 14 -40 l -12 -5 l 3 12 Z" {SOLID}/>'
_THERMOMETER = (
    _path_of("M -5 -44 L -5 14 A 10 10 0 1 0 5 14 L 5 -44 A 5 5 0 0 0 -5 -44 Z")
    + f'<circle cx="0" cy="23" r="7" {SOLID}/><rect x="-2.4" y="-26" width="4.8" height="44" {SOLID}/>'
    + _path_of("M 10 -26 L 24 -26")
)
_FLAME = _path_of("M 0 16 Q -16 4 -4 -14 Q -2 -4 4 -8 Q 2 -20 8 -26 Q 22 -4 12 8 Q 8 16 0 16 Z")
_BOWL = _path_of("M -28 0 L 28 0 Q 24 26 0 26 Q -24 26 -28 0 Z")
_STEAM = _path_of(
    "M -12 -8 q -5 -7 0 -13 q 5 -6 0 -13 M 0 -8 q -5 -7 0 -13 q 5 -6 0 -13 M 12 -8 q -5 -7 0 -13 q 5 -6 0 -13"
)
PICTURES = {
    "out": _OVEN + f'<path d="M -64 40 l 20 0 m -8 -7 l 9 7 l -9 7" {LINE}/>',
    "in": _OVEN + f'<g transform="translate(-40 -22) scale(.8)">{_POT}</g>'
    + f'<path d="M -34 0 q 12 6 20 16 m 0 -9 l 1 10 l -10 -1" {LINE}/>',
    "aim": _OVEN + f'<g transform="translate(0 -2)">{_TURN}</g>',
    "open": _OVEN + f'<g transform="translate(-14 -18) scale(.8)">{_STEAM}</g>',
    "measure": f'<g transform="translate(-16 22) scale(1.35)">{_POT}</g><g transform="translate(30 0)">{_THERMOMETER}</g>',
    "eat": f'<g transform="translate(0 8)">{_BOWL}{_STEAM}</g>',
    "hot": _OVEN + f'<g transform="translate(-8 -22) scale(.9)">{_HAND}</g>' + _CROSS,
    "eyes": _path_of("M -36 0 Q 0 -34 36 0 Q 0 34 -36 0 Z") + f'<circle cx="0" cy="0" r="12" {SOLID}/>' + _CROSS,
    "stove": f'<g transform="translate(0 -18) scale(1.2)">{_POT}</g><g transform="translate(-20 30) scale(.9)">{_FLAME}'
    f'</g><g transform="translate(18 30) scale(.9)">{_FLAME}</g>',
    "away": f'<g transform="translate(0 -4)">{_BOWL}</g>' + _CROSS,
}  # fmt: skip

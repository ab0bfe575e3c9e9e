"""Pictures for the card without words, in black lines: ovens, dishes, hands and what must not be done."""

from __future__ import annotations

from math import cos, pi, sin

from .parts import later

LINE = 'fill="none" stroke="#000" stroke-width="2.4" stroke-linejoin="round" stroke-linecap="round"'
SOLID = 'fill="#000" stroke="none"'
WHITE = 'fill="#fff" stroke="#000" stroke-width="2.4" stroke-linejoin="round"'

#: What holds all day: kind of picture, and the message it stands for.
RULES = {
    "hot": later("Don't touch the glass: it burns."),
    "eyes": later("Don't look into the mirrors."),
    "stove": later("Not hot in the middle after two hours: onto the stove."),
    "away": later("After four hours: throw it away."),
}


def _line(d: str) -> str:
    return f'<path d="{d}" {LINE}/>'


def _at(x: float, y: float, size: float, *parts: str) -> str:
    return f'<g transform="translate({x} {y}) scale({size})">{"".join(parts)}</g>'


# A box seen from the side, its glass on the slope; mirrors stand at the back, the front, and behind.
_BOX = _line("M -34 40 L -34 14 L 26 -8 L 34 -4 L 34 40 Z M -28 16 L 22 -3")
_MIRRORS = (
    _line("M 26 -8 L 40 -40"),
    _line("M -34 14 L -54 -4"),
    _line("M -26 8 L -34 -18 M 18 -8 L 22 -36"),
)
_POT = f'<path d="M -14 -8 L -14 10 Q -14 14 -10 14 L 10 14 Q 14 14 14 10 L 14 -8 Z" {WHITE}/>' + _line(
    "M -18 -8 L 18 -8 M -5 -13 Q 0 -16 5 -13"
)
_DISHES = {
    "egg": f'<path d="M 0 -15 C 10 -15 13 16 0 16 C -13 16 -10 -15 0 -15 Z" {WHITE}/>',
    "roots": "".join(
        f'<ellipse cx="{x}" cy="{y}" rx="9" ry="7" {WHITE}/>' for x, y in ((-9, 6), (9, 7), (0, -5))
    ),
    "fish": f'<path d="M -18 0 Q -4 -14 14 0 Q -4 14 -18 0 Z M 14 0 L 22 -8 L 22 8 Z" {WHITE}/>'
    + f'<circle cx="-10" cy="-2" r="1.6" {SOLID}/>',
    "bird": f'<path d="M -16 4 Q -14 -12 2 -10 Q 16 -8 10 6 Q 0 16 -16 4 Z M 10 4 L 22 12" {WHITE}/>',
    "bread": '<path d="M -18 12 L -18 0 Q -22 -12 0 -12 Q 22 -12 18 0 L 18 12 Z M -8 -6 L -4 0 M 4 -6 L 8 0" '
    f"{WHITE}/>",
    "pot": _POT,
}
_HAND = _line(
    "M 0 18 L 0 2 M -6 4 L -6 -14 M 0 2 L 0 -18 M 6 4 L 6 -14 M 12 6 L 12 -8 "
    "M -6 4 Q -14 0 -14 8 Q -10 22 0 24 Q 12 24 12 6"
)
_CROSS = '<path d="M -44 -40 L 44 42 M 44 -40 L -44 42" fill="none" stroke="#000" stroke-width="5"/>'
_TURN = _line("M -40 -26 A 46 30 0 0 1 14 -44") + f'<path d="M 14 -44 l -12 -5 l 3 12 Z" {SOLID}/>'
_THERMOMETER = (
    _line("M -5 -44 L -5 14 A 10 10 0 1 0 5 14 L 5 -44 A 5 5 0 0 0 -5 -44 Z M 10 -24 L 24 -24")
    + f'<circle cx="0" cy="23" r="7" {SOLID}/><rect x="-2.4" y="-26" width="4.8" height="44" {SOLID}/>'
)
_FLAME = _line("M 0 16 Q -16 4 -4 -14 Q -2 -4 4 -8 Q 2 -20 8 -26 Q 22 -4 12 8 Q 8 16 0 16 Z")
_BOWL = _line("M -28 0 L 28 0 Q 24 26 0 26 Q -24 26 -28 0 Z")
_WAVE = "q -5 -7 0 -13 q 5 -6 0 -13"
_STEAM = _line(f"M -12 -8 {_WAVE} M 0 -8 {_WAVE} M 12 -8 {_WAVE}")
_ARROW_IN = _line("M -34 -8 q 12 6 20 16 m 0 -9 l 1 10 l -10 -1")
_ARROW_OUT = _line("M -66 40 l 20 0 m -8 -7 l 9 7 l -9 7")


def _hours(hours: int) -> str:
    """A clock face of which so many hours have run: a black sector from the top."""
    turn = hours * pi / 6
    sector = f'<path d="M 0 0 L 0 -17 A 17 17 0 0 1 {17 * sin(turn):.1f} {-17 * cos(turn):.1f} Z" {SOLID}/>'
    ticks = " ".join(
        f"M {17 * sin(k * pi / 6):.1f} {-17 * cos(k * pi / 6):.1f} "
        f"L {20 * sin(k * pi / 6):.1f} {-20 * cos(k * pi / 6):.1f}"
        for k in range(12)
    )
    return f'<circle cx="0" cy="0" r="20" {LINE}/>{_line(ticks)}{sector}'


def _oven(mirrors: int) -> str:
    return _BOX + "".join(_MIRRORS[: min(mirrors, 3)])


def _dish(food) -> str:
    """The picture of a dish: what it is made of, or the pot it cooks in."""
    if food is None or (food.form != "solid" and not food.doneness.startswith("egg")):
        return _DISHES["pot"]
    kinds = {
        "egg": "egg",
        "roots": "roots",
        "fish": "fish",
        "chicken": "bird",
        "bread": "bread",
        "flat": "bread",
    }
    return _DISHES[kinds.get(food.doneness.split("_")[0], "pot")]


def picture(what) -> str:
    """The drawing of a moment of the day, or of one of `RULES`; about 130 units square, centred."""
    if isinstance(what, str):
        cool = _at(
            44,
            -20,
            0.8,
            _line("M -5 -44 L -5 14 A 10 10 0 1 0 5 14 L 5 -44 A 5 5 0 0 0 -5 -44 Z"),
            f'<circle cx="0" cy="23" r="7" {SOLID}/>',
            _line("M 10 -24 L 24 -24"),
        )
        stove = _at(0, 8, 1.3, _POT) + _at(-20, 52, 0.9, _FLAME) + _at(18, 52, 0.9, _FLAME)
        eye = _line("M -36 0 Q 0 -34 36 0 Q 0 34 -36 0 Z") + f'<circle cx="0" cy="0" r="12" {SOLID}/>'
        return {
            "hot": _oven(1) + _at(-8, -22, 0.9, _HAND) + _CROSS,
            "eyes": eye + _CROSS,
            "stove": _at(-44, -46, 1.0, _hours(2)) + cool + stove,
            "away": _at(-44, -52, 1.0, _hours(4)) + _at(0, 6, 1.0, _BOWL) + _CROSS,
        }[what]
    oven, dish = _oven(what.mirrors), _dish(what.food)
    return {
        "out": lambda: oven + _ARROW_OUT,
        "in": lambda: oven + _at(-46, -24, 1.0, dish) + _ARROW_IN,
        "aim": lambda: oven + _TURN,
        "open": lambda: oven + _at(-14, -18, 0.8, _STEAM),
        "measure": lambda: _at(-24, 16, 1.6, dish) + _at(34, 2, 1.0, _THERMOMETER),
        "eat": lambda: _at(0, 10, 1.0, _BOWL, _STEAM),
    }[what.kind]()

"""Lesson 06, what the sky lets through: its two bets and its four benches."""

from __future__ import annotations

from solarlab import controls
from solarlab.bets import Bet
from solarlab.exercises import beside

light = beside(__file__, "light")
real_year = beside(__file__, "real_year")
yard = beside(__file__, "yard")
ANSWERS = ("the cool day", "the hot day", "about the same")


#: The first bet: what a white sky leaves to the four-mirror box, within eight percent.
bet_on_white = Bet(
    "sky-lets-through/white",
    "White sky, half the light: how many percent of the clear day's watts come into the four-mirror box?",
    title="four-mirror box under a white sky, of a clear day",
    unit="%",
    within=8,
)

#: The second bet: the cool clear day or the hot hazy one.
bet_on_days = Bet(
    "sky-lets-through/days",
    "On which day does the empty four-mirror box get hotter?",
    title="hotter box: cool clear day or hot hazy day",
    choices=ANSWERS,
)


def skies(lock=None) -> controls.Bench:
    """The first bench: air, haze and cloud."""
    return controls.bench(
        light.under_this_sky,
        [
            controls.slider("height", "height of the sun", 5, 90, 60, step=1, unit="°"),
            controls.slider("haze", "haze number", 1.5, 8, 3, step=0.5),
            controls.slider("eighths", "cloud, eighths of the sky", 0, 8, 0, step=1),
            controls.slider("above_sea", "height above the sea", 0, 4000, 0, step=100, unit="m"),
        ],
        lock=lock,
        title="A sky of your own",
    )


def year(lock=None) -> controls.Bench:
    """The second bench: the hours of a real year with so much cloud."""
    return controls.bench(
        real_year.spread,
        [
            controls.slider("tenths", "tenths of the sky covered", 0, 10, 5, step=1),
            controls.choice("season", "months", tuple(real_year.SEASONS)),
        ],
        lock=lock,
        title="Hours with so much cloud",
    )


def reading(lock=None) -> controls.Bench:
    """The third bench: a learner's own reading, in the open and in the shade of a hand."""
    return controls.bench(
        light.from_a_reading,
        [
            controls.slider("reading", "level meter in the open", 50, 1200, 800, step=10, unit="W/m²"),
            controls.slider("shade", "in the shade of a hand, of that", 5, 100, 20, step=1, unit="%"),
            controls.slider("height", "height of the sun", 10, 90, 50, step=1, unit="°"),
        ],
        lock=lock,
        title="Your own reading",
    )


def your_yard(lock=None) -> controls.Bench:
    """The fourth bench: what stands around."""
    return controls.bench(
        yard.yard,
        [
            controls.slider("latitude", "latitude (south is minus)", -60, 60, -1.3, step=0.1, unit="°"),
            controls.slider("longitude", "longitude (west is minus)", -180, 180, 36.8, step=0.1, unit="°"),
            controls.slider(
                "ahead", "your clock is ahead of UTC by", -12, 14, 3, step=0.25, unit="h",
                help="behind UTC, as in America: minus",
            ),
            controls.slider("month", "month (the 21st)", 1, 12, 6, step=1),
            controls.slider("north", "what stands in the north", 0, 60, 2, step=1, unit="°"),
            controls.slider("east", "in the east", 0, 60, 20, step=1, unit="°"),
            controls.slider("south", "in the south", 0, 60, 2, step=1, unit="°"),
            controls.slider("west", "in the west", 0, 60, 10, step=1, unit="°"),
        ],
        lock=lock,
        title="Your yard",
    )  # fmt: skip

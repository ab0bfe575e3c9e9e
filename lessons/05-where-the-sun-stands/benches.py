"""Lesson 05, where the sun stands: its two bets and its three benches."""

from __future__ import annotations

from solarlab import controls
from solarlab.bets import Bet
from solarlab.exercises import beside

scene = beside(__file__, "scene")
stick = beside(__file__, "stick")
SIDES = ("north", "south", "overhead")


#: The first bet: on which side of Nairobi the noon sun stands in June.
bet_on_side = Bet(
    "sun/side",
    "Nairobi, 21 June: where does the sun stand at its highest?",
    title="Nairobi's noon sun in June",
    choices=SIDES,
)

#: The second bet: minutes after twelve at the sun's noon in Madrid, fifteen to either side allowed.
bet_on_noon = Bet(
    "sun/noon",
    "Madrid, 1 July: how many minutes after twelve is the sun highest?",
    title="Madrid's noon, minutes after twelve",
    unit="min",
    within=15,
)


def your_sky(lock=None) -> controls.Bench:
    """The first bench: the sun's paths over any place."""
    return controls.bench(
        scene.your_sky,
        [
            controls.slider("latitude", "latitude (south is minus)", -70, 70, -1.3, step=0.1, unit="°"),
            controls.slider("longitude", "longitude (west is minus)", -180, 180, 36.8, step=0.1, unit="°"),
            controls.slider(
                "ahead",
                "your clock is ahead of UTC by",
                -12,
                14,
                3,
                step=0.25,
                unit="h",
                help="behind UTC, as in America: minus",
            ),
            controls.slider("month", "month", 1, 12, 6, step=1),
            controls.slider("day", "day", 1, 28, 21, step=1),
        ],
        lock=lock,
        title="Your sky",
    )


def clocks(lock=None) -> controls.Bench:
    """The second bench: the sun's noon on the clock of a city, over the year."""
    cities = ("Madrid", "Berlin", "Greensboro", "Nairobi", "Mumbai", "Lhasa", "Lima", "Santiago", "Melbourne")
    return controls.bench(
        stick.noon_over_the_year,
        [controls.choice("city", "city", cities)],
        lock=lock,
        title="The sun's noon on the clock",
    )


def shadows(lock=None) -> controls.Bench:
    """The third bench: a stick's shadow."""
    return controls.bench(
        stick.shadow_picture,
        [
            controls.choice("city", "city", stick.CITIES),
            controls.slider("month", "month", 1, 12, 6, step=1),
            controls.slider("minutes", "clock", 300, 1260, 600, step=5, unit="clock"),
            controls.slider("stick", "length of the stick", 10, 200, 100, step=5, unit="cm"),
        ],
        lock=lock,
        title="A stick and its shadow",
    )

"""Lesson 08, a cooking day: the two bets, and the three benches that they unlock."""

from __future__ import annotations

from solarlab import controls
from solarlab.bets import Bet
from solarlab.exercises import beside
from solarlab.own import with_own

days = beside(__file__, "days")
scene = days.scene


#: The first bet: a meal of two dishes in a real April.
bet_on_days = Bet(
    "cooking-day/days",
    "On how many of the thirty days is the whole meal ready?",
    title="days of a real April with the whole meal ready",
    within=3,
)

#: The second bet: twice the soup.
bet_on_soup = Bet(
    "cooking-day/soup",
    "After how many minutes are two kilograms of soup ready?",
    title="twice the soup",
    unit="min",
    within=8,
)


def month(lock) -> controls.Bench:
    """The first bench: one dish on every day of a month of a real year."""
    return controls.bench(
        days.month_picture,
        [
            controls.slider("month", "month", 1, 12, 4, step=1, whole=True),
            controls.choice("dish", "dish", tuple(scene.DISHES)),
            controls.slider("loaded", "goes in at", 480, 840, 540, step=30, unit="clock", whole=True),
            controls.slider("meal", "ready by", 600, 1020, 720, step=30, unit="clock", whole=True),
        ],
        lock=lock,
        title="A year in Greensboro",
    )


def pot(lock) -> controls.Bench:
    """The second bench: one pot and its clock."""
    return controls.bench(
        scene.pot_picture,
        [
            controls.choice("place", "place, on a clear day", tuple(scene.DAYS)),
            controls.choice("dish", "dish", tuple(scene.DISHES)),
            controls.slider("kilos", "kilograms, water included", 0.3, scene.FULL, 1.4, step=0.05, unit="kg"),
            controls.choice("oven", "oven, half an hour in the sun already", with_own(scene.OVENS)),
            controls.slider("loaded", "goes in at", 480, 780, 570, step=15, unit="clock", whole=True),
            controls.choice("every", "turned to the sun", scene.TURNS),
            controls.slider(
                "cloud", "thick cloud comes at", 480, 1020, 1020, step=15, unit="clock", whole=True
            ),
        ],
        lock=lock,
        title="One pot, one day",
    )


def place(lock) -> controls.Bench:
    """The third bench: the chance at the learner's own place, from its mean cloud."""
    return controls.bench(
        days.place_picture,
        [
            controls.slider("latitude", "latitude (south is minus)", -60, 60, 15, step=1, unit="°"),
            controls.slider("month", "month", 1, 12, 3, step=1, whole=True),
            controls.slider("percent", "mean cloud of the month", 5, 95, 40, step=5, unit="%", whole=True),
            controls.choice("dish", "dish", tuple(scene.DISHES)),
            controls.slider(
                "loaded", "goes in at (sun's clock)", 480, 840, 540, step=30, unit="clock", whole=True
            ),
            controls.slider(
                "meal", "ready by (sun's clock)", 600, 1020, 720, step=30, unit="clock", whole=True
            ),
        ],
        lock=lock,
        title="Your own place",
    )

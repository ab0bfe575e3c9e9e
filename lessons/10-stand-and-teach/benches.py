"""Lesson 10, stand and teach: the two bets, and the two benches that they unlock."""

from __future__ import annotations

from solarlab import controls, fuel
from solarlab.bets import Bet
from solarlab.exercises import beside
from solarlab.own import with_own

scene = beside(__file__, "scene")
PLACES = ("Nairobi", "Bamako", "Cape Town", "Delhi", "Melbourne", "Mexico City")
OVENS = ("bare box", "one-mirror box", "four-mirror box", "school box", "cardboard box")
DISHES = ("chicken pieces", "fish", "thick stew", "rice", "lentils")


#: The first bet: chicken that goes in when the people come.
bet_on_crowd = Bet(
    "teach/crowd",
    "On how many days of 100 is it ready?",
    title="loaded when the people come: days of 100",
    within=15,
)

#: The second bet: what a hundred solar pots save.
bet_on_wood = Bet(
    "teach/wood",
    "How many kilograms of wood do 100 solar pots of lentils save?",
    title="wood saved by 100 solar pots",
    unit="kg",
    within=12,
)


def window(lock) -> controls.Bench:
    """The first bench: the window of hours."""
    return controls.bench(
        scene.window,
        [
            controls.choice("place", "place", PLACES),
            controls.slider("month", "month (its 15th day)", 1, 12, 2, step=1, whole=True),
            controls.choice("oven", "oven", with_own(OVENS)),
            controls.choice("dish", "dish", DISHES),
            controls.slider(
                "kilograms", "kilograms of it (without water)", 0.2, 1.2, 0.8, step=0.1, unit="kg"
            ),
            controls.slider("cloud", "cloud forecast, in eighths", 0, 8, 2, step=1, whole=True),
            controls.slider("meal", "eaten at", 630, 870, 780, step=15, unit="clock", whole=True),
        ],
        lock=lock,
        title="The window of hours",
    )


def claims(lock) -> controls.Bench:
    """The second bench: what people say an oven saves."""
    return controls.bench(
        scene.claims,
        [
            controls.choice("stove", "what they cooked on before", tuple(fuel.FUELS)),
            controls.choice("dish", "dish", scene.FUEL_DISHES),
            controls.slider("cooks", "solar pots in all", 10, 400, 100, step=10, whole=True),
            controls.toggle("counted", "somebody counted what they replaced", False),
            controls.slider(
                "replaced",
                "of ten solar pots, replaced one on the stove",
                0,
                10,
                7,
                step=1,
                whole=True,
                when=lambda values: values["counted"],
            ),
        ],
        lock=lock,
        title="Three claims and a range",
    )

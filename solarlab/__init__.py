"""solarlab: what the sun, a box oven and a dish will do, for people who teach cooking with the sun.

Start here::

    from solarlab import Handling, cook, food, instants, oven, place, pot, sky

    here = place("Nairobi")
    day = instants(here, "2026-03-20", start="07:00", end="18:00")
    clear = sky(here, day, oktas=1)
    result = cook(clear, oven("four-mirror box"), pot("glass"), food("rice"), Handling("09:30"))
    print(result.sentence())

Rooms with many names are modules of this package: ``egg``, ``safety``, ``doneness``, ``water``,
``exercises``, ``record``, and, loaded when first asked for, ``figures``, ``controls``, ``plan``, ``trial``
and ``fuel``.  Where a room and
its main function share a name (``sky``, ``oven``, ``food``, ``cook``) the name here is the function; take
other names of that room with ``from solarlab.oven import …``.

A model says what is *expected*.  Only a thermometer in the coldest point says *safe*.
"""

from __future__ import annotations

from importlib import import_module

# Loading the last room loads every other: afterwards no module can take the place of a function of its name.
from . import cook as _last_room  # noqa: F401
from . import doneness, egg, exercises, record, safety, water
from .catalogue import (
    Food,
    Handling,
    Oven,
    Place,
    Pot,
    Reflector,
    describe,
    food,
    foods,
    load_oven,
    oven,
    ovens,
    place,
    place_at,
    places,
    portion,
    pot,
    pots,
    save_oven,
    vary,
)
from .cook import Cook, cook
from .food import Body, body
from .heat import Ledger, Stagnation, Warming, stagnation, top_loss_coefficient, warm
from .oven import Aim, Gain, aim, breakdown, concentration, gain, glazing_transmittance, optical_parts
from .safety import Verdict
from .sky import Sky, clear_sky, daily_temperature, sky, sky_from_log
from .sun import Instants, SunTimes, equation_of_time, instants, solar_time, sun_times
from .weather import Weather, read_weather

_LATER = ("bets", "controls", "figures", "fuel", "plan", "trial")  # they bring pictures, widgets, statistics

__all__ = [
    "Aim", "Body", "Cook", "Food", "Gain", "Handling", "Instants", "Ledger", "Oven", "Place", "Pot",
    "Reflector", "Sky", "Stagnation", "SunTimes", "Verdict", "Warming", "Weather", "aim", "bets", "body",
    "breakdown", "clear_sky", "concentration", "controls", "cook", "daily_temperature", "describe",
    "doneness", "egg", "equation_of_time", "exercises", "figures", "food", "foods", "fuel", "gain",
    "glazing_transmittance", "instants", "load_oven", "optical_parts", "oven", "ovens", "place",
    "place_at", "places", "plan", "portion", "pot", "pots", "read_weather", "record", "safety",
    "save_oven", "sky", "sky_from_log", "solar_time", "stagnation", "sun_times", "top_loss_coefficient",
    "trial", "vary", "warm", "water",
]  # fmt: skip


def __getattr__(name: str):
    if name in _LATER:
        return import_module(f".{name}", __name__)
    raise AttributeError(f"module {__name__!r} has no attribute {name!r}")


def __dir__() -> list[str]:
    return sorted(__all__)

"""Lesson 04, catching it: mirrors to design, a real optimum, and an answer to the crowd."""

from __future__ import annotations

from functools import lru_cache

import numpy as np

from solarlab.exercises import Alternative, Exercise, beside

scene = beside(__file__, "scene")
NUMBER = {"one": 1, "two": 2, "four": 4}
STEEPEST, LONGEST = 60, 2.0  # ° of flare, times the glass
ENOUGH = 0.97  # of what the best design catches


@lru_cache(maxsize=65536)
def caught(count: str, length: float, flare: float, drift: float) -> float:
    """Light on the glass, times the bare glass, in the mean of a drift to either side [°]."""
    angles = tuple(float(angle) for angle in np.linspace(-drift, drift, 5))
    return float(np.mean(scene.mirrors.light_at(count, length, flare, angles)))


@lru_cache(maxsize=512)
def best_flare(count: str, length: float, drift: float) -> int:
    """The flare [°] that catches most."""
    return max(range(14, 45), key=lambda flare: caught(count, length, float(flare), drift))


def longest(v, count: str) -> float:
    return min(LONGEST, v["sheet"] / NUMBER[count])


@lru_cache(maxsize=256)
def best(sheet: float, drift: float) -> tuple[float, str]:
    """The most that so much sheet can catch, and with how many mirrors."""
    v = {"sheet": sheet}
    scores = {n: caught(n, longest(v, n), float(best_flare(n, longest(v, n), drift)), drift) for n in NUMBER}
    most = max(scores, key=scores.get)
    return scores[most], most


def design_variant(draw):
    v = {"sheet": draw.pick((2.0, 2.4, 3.0, 3.6)), "drift": draw.pick((5.0, 7.5, 10.0))}
    v["target"] = int(100.0 * ENOUGH * best(v["sheet"], v["drift"])[0]) / 100.0
    return v | {"minutes": round(8 * v["drift"])}


def design(v, **change):
    count = change.pop("count", None) or best(v["sheet"], v["drift"])[1]
    length = longest(v, count)
    good = {"mirrors": count, "length": length, "flare": best_flare(count, length, v["drift"])}
    return good | {name: value(v) if callable(value) else value for name, value in change.items()}


def design_fault(v, plan):
    count, length, flare = plan["mirrors"], float(plan["length"]), float(plan["flare"])
    if not 0.05 <= length <= 10.0:
        raise ValueError(f"a mirror is 0.05 to 10 times as long as the glass, not {length:g}")
    if not 0.0 <= flare <= STEEPEST:
        raise ValueError(f"the hinges lean out by 0 to {STEEPEST}°, not {flare:g}°")
    if NUMBER[count] * length > v["sheet"] + 1e-6:
        return "more-sheet-than-there-is"
    if caught(count, round(length, 4), round(flare, 2), v["drift"]) >= v["target"]:
        return ""
    if length < 0.85 * longest(v, count):
        return "sheet-left-over"
    right, most = best_flare(count, length, v["drift"]), longest(v, count)
    if abs(flare - right) > 3.0 or caught(count, round(length, 4), float(right), v["drift"]) >= v["target"]:
        return "mirrors-thrown-wide-open" if flare > right else "mirrors-upright"
    enough = caught(count, most, float(best_flare(count, most, v["drift"])), v["drift"]) >= v["target"]
    return "sheet-left-over" if enough else "few-big-mirrors"


DESIGN = Exercise(
    id="catching-it/design",
    kind="plan",
    title="So much sheet and no more",
    variable="mirror_design",
    points=3.0,
    question=(
        "A square glass, and mirror sheet for **{sheet:g} times** its area (80 % thrown back). All "
        "mirrors are "
        "as wide as the glass. The oven is turned every {minutes} minutes, so the sun wanders "
        "**{drift:g}°** to "
        "either side. Choose how many mirrors, how long (in times the glass) and their flare, so "
        "that the glass "
        "catches in the mean at least **{target:g} times** what it would catch bare and facing the sun."
    ),
    fields={"mirrors": ("one", "two", "four"), "length": "", "flare": "°"},
    variant=design_variant,
    answer=design,
    fault=design_fault,
    alternatives=(
        Alternative(
            "more-sheet-than-there-is",
            lambda v: design(v, length=v["sheet"]),
            "Lay your mirrors on the sheet: length × number of mirrors. Is there enough?",
            "A budget for all is read as a budget for each.",
            credit=0.25,
        ),
        Alternative(
            "mirrors-thrown-wide-open",
            lambda v: design(v, flare=55.0),
            "Wide open they look big from the sun, and then they throw the light *over* the glass. Watch the "
            "rays on the first bench while you close them, degree by degree.",
            "The wider the mouth, the more it swallows.",
            credit=0.5,
        ),
        Alternative(
            "mirrors-upright",
            lambda v: design(v, flare=8.0),
            "All that they catch reaches the glass. But how much do they catch, standing so? Look "
            "at them from "
            "the sun.",
            "What stands straight looks right, and nothing misses.",
            credit=0.5,
        ),
        Alternative(
            "few-big-mirrors",
            lambda v: design(v, count="one"),
            "Well aimed. But the far end of a long mirror throws its light past the glass. Could "
            "the same sheet "
            "be shared out better?",
            "One big thing seems stronger than several small ones.",
            credit=0.5,
        ),
        Alternative(
            "sheet-left-over",
            lambda v: design(v, length=longest(v, "four") * 0.4),
            "There is sheet left on the floor.",
            "Trying small first, and stopping there.",
            credit=0.5,
        ),
    ),
    hints=(
        "Start from the flare table: read the flare off for the length you can afford.",
        "Length × number of mirrors is the sheet. Compare one, two and four mirrors on the first "
        "bench, at the "
        "middle of the drift.",
    ),
)


WHY = Exercise(
    id="catching-it/why",
    kind="explanation",
    title="Answer the four in the yard",
    variable="why",
    points=4.0,
    question="Answer the Collector, the Easygoing, the Leaflet and the Optimist in five to ten sentences.",
    rubric=(
        (1.0, "Collector: a leaning mirror looks narrow from the sun and part of its light may "
        "miss; with one "
              "number (about 2.5 times, not 4.4)."),
        (1.0, "Easygoing: a bare pane loses the cosine only, mirrors must also hit; one number for "
        "a bare and "
              "one for a mirrored box at the same drift."),
        (1.0, "Leaflet and Optimist: tilt follows the sun's height through the day; mirrors gather beam, not "
              "grey light (they hide as much sky as they show)."),
        (1.0, "Holds an own prediction against the run, with both numbers, and says what it had missed."),
    ),
)  # fmt: skip

EXERCISES = (DESIGN, WHY)

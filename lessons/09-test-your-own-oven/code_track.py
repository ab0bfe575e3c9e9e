"""Lesson 09, test your own oven: the exercises of the second track, in which learners write code."""

from __future__ import annotations

import numpy as np

from solarlab import trial
from solarlab.exercises import Alternative, Exercise, beside
from solarlab.water import SPECIFIC_HEAT

points = beside(__file__, "points")
STEP = 1.8  # °F in one K

# --- 11 standard: one interval, in either unit ---


def standard_watts(water, start, end, minutes, light, unit):
    """Standardised cooking power [W] of ``water`` [kg] that went from ``start`` to ``end`` in ``minutes``."""
    step = (end - start) / (STEP if unit == "°F" else 1.0)
    return float(trial.standardised(water * SPECIFIC_HEAT * step / (minutes * 60.0), light))


def standard_inputs(draw):
    unit = draw.pick(("°C", "°F"))
    start = draw.step(90, 170, 1) if unit == "°F" else draw.step(32, 77, 1)
    return {
        "water": draw.step(1.5, 6.0, 0.25),
        "start": start,
        "end": start + (draw.step(5, 14, 1) if unit == "°F" else draw.step(3, 8, 1)),
        "minutes": draw.pick((5, 10, 15)),
        "light": draw.pick((draw.step(460, 620, 10), draw.step(800, 1050, 10))),
        "unit": unit,
    }


def minus_32(water, start, end, minutes, light, unit):
    if unit == "°C":
        return standard_watts(water, start, end, minutes, light, unit)
    return standard_watts(water, 0.0, (end - start - 32.0) / STEP, minutes, light, "°C")


STANDARD = Exercise(
    id="own-oven/standard",
    kind="function",
    title="One interval, anybody's",
    variable="standard_watts",
    points=3.0,
    track="code",
    question=(
        "Write `standard_watts(water, start, end, minutes, light, unit)`: the standardised cooking power in "
        'watts of `water` kg that went from `start` to `end`, both in `unit` (`"°C"` or `"°F"`), in '
        "`minutes`, under `light` W/m² facing the sun. A kilogram of water takes 4,186 J for 1 K."
    ),
    answer=standard_watts,
    inputs=standard_inputs,
    tolerance=(0.01, 0.01),
    alternatives=(
        Alternative(
            "difference-minus-32",
            minus_32,
            "In °C you are right; in °F your water gets colder. Must anything be taken off a *step*?",
            "'Minus 32, times 5, over 9' is learnt as one spell, for everything in °F.",
            credit=0.5,
        ),
        Alternative(
            "difference-not-converted",
            lambda water, start, end, minutes, light, unit: standard_watts(
                water, start, end, minutes, light, "°C"
            ),
            "In °C you are right. A step of 1 °F is smaller: what becomes of `unit` in your function?",
            "Both are called degrees.",
            credit=0.5,
        ),
        Alternative(
            "minutes-for-seconds",
            lambda water, start, end, minutes, light, unit: (
                60.0 * standard_watts(water, start, end, minutes, light, unit)
            ),
            "Sixty times too strong. A watt is a joule in each *second*.",
            "Minutes are what was read off the clock.",
            credit=0.5,
        ),
        Alternative(
            "sun-left-in",
            lambda water, start, end, minutes, light, unit: standard_watts(
                water, start, end, minutes, 700.0, unit
            ),
            "These are the watts that went in under the sun of that day. Scale them to 700 W/m².",
            "What was measured feels truer than what was worked out from it.",
            credit=0.5,
        ),
        Alternative(
            "upside-down",
            lambda water, start, end, minutes, light, unit: standard_watts(
                water, start, end, minutes, 700.0 * 700.0 / light, unit
            ),
            "The brighter the day, the better your oven. Should the scaling not take the sun *out*?",
            "Which of two numbers goes on top of a fraction is a coin toss under stress.",
            credit=0.5,
        ),
        Alternative(
            "ten-minutes-always",
            lambda water, start, end, minutes, light, unit: standard_watts(
                water, start, end, 10, light, unit
            ),
            "Right for ten minutes. What if `minutes` is something else?",
            "The standard's interval is ten minutes, so the number is written in.",
            credit=0.5,
        ),
    ),
    hints=("The step first, in K: `unit` decides.", "Joules ÷ seconds are watts; then × 700 ÷ light."),
)


# --- 12 fifty: the line, by least squares ---


def at_fifty(rises, powers):
    """The least-squares line's power [W] at a rise of 50 K."""
    return points.fitted(list(zip(rises, powers, strict=True)))


def ends_only(rises, powers):
    (x1, y1), (x2, y2) = ((f(zip(rises, powers, strict=True))) for f in (min, max))
    return y1 + (y2 - y1) / (x2 - x1) * (50.0 - x1)


def fifty_inputs(draw):
    start, slope = draw.uniform(60, 120), draw.uniform(0.5, 0.9)
    count = int(draw.step(8, 14, 1))
    rises = sorted({round(draw.uniform(8, 66), 1) for _ in range(count)})
    powers = [round(start - slope * rise + draw.uniform(-6, 6), 1) for rise in rises]
    return {"rises": rises, "powers": powers}


FIFTY = Exercise(
    id="own-oven/fifty",
    kind="function",
    title="The line, exactly",
    variable="at_fifty",
    points=3.0,
    track="code",
    question=(
        "Write `at_fifty(rises, powers)`: two lists, the water's rise above the air [K] and the scaled "
        "power [W] of each interval that counts. Give the power at 50 K of the line that fits best: slope = "
        "Σ(x − x̄)(y − ȳ) / Σ(x − x̄)², through the point of the means (x̄, ȳ)."
    ),
    answer=at_fifty,
    inputs=fifty_inputs,
    tolerance=(0.002, 0.02),
    alternatives=(
        Alternative(
            "line-through-zero",
            lambda rises, powers: points.through_zero(list(zip(rises, powers, strict=True))),
            "Your line goes through zero. It should go through the point of the two means.",
            "Graphs in school go through the corner.",
        ),
        Alternative(
            "start-of-the-line",
            lambda rises, powers: points.fitted(list(zip(rises, powers, strict=True)), 0.0),
            "That is where the line begins, at a rise of 0. Go along it to 50 K.",
            "Textbooks call slope and intercept the answer.",
            credit=0.5,
        ),
        Alternative(
            "mean-power",
            lambda rises, powers: float(np.mean(powers)),
            "That is the mean of all powers, wherever their rises lie. What does the line say at 50?",
            "A mean is the one sum that everybody knows for many numbers.",
            credit=0.25,
        ),
        Alternative(
            "ends-only",
            ends_only,
            "Your line hangs on the coldest and the warmest interval alone. Those two have luck like all "
            "others; let every one pull.",
            "Two points make a line.",
            credit=0.25,
        ),
        Alternative(
            "nearest-point-alone",
            lambda rises, powers: points.nearest(list(zip(rises, powers, strict=True))),
            "One interval has luck of its own. Use the line through all of them.",
            "Why draw a line if there is a point right there?",
            credit=0.25,
        ),
        Alternative(
            "roles-swapped",
            lambda rises, powers: _swapped(rises, powers),
            "Your line says which rise belongs to a power. Which of the two is to be foretold, and stands "
            "on the left of the line's equation?",
            "In a formula full of x and y they look alike.",
            credit=0.5,
        ),
    ),
    hints=(
        "Means first: sum(rises) / len(rises), and the same for powers.",
        "The line at 50: ȳ + slope × (50 − x̄). zip(rises, powers) walks along both lists.",
    ),
)


def _swapped(rises, powers):
    x, y = np.asarray(rises, float), np.asarray(powers, float)
    slope = ((x - x.mean()) @ (y - y.mean())) / ((y - y.mean()) @ (y - y.mean()))
    return float(y.mean() + (50.0 - x.mean()) / slope)


# --- 13 gaps: a reader of a damaged log ---


def mean_rise(lines):
    """Mean rise of water above air [K] over the lines of a log in °F that have both readings."""
    pairs = [line.split(",")[1:] for line in lines]
    rises = [(float(water) - float(air)) / STEP for water, air in pairs if water and air]
    return sum(rises) / len(rises)


def as_zero(lines):
    pairs = [line.split(",")[1:] for line in lines]
    return sum((float(water or 0) - float(air or 0)) / STEP for water, air in pairs) / len(pairs)


def last_again(lines):
    last, rises = [0.0, 0.0], []
    for line in lines:
        last = [
            float(cell) if cell else before for cell, before in zip(line.split(",")[1:], last, strict=True)
        ]
        rises.append((last[0] - last[1]) / STEP)
    return sum(rises) / len(rises)


def up_to_the_gap(lines):
    whole = [all(line.split(",")) for line in lines]
    return mean_rise(lines[: whole.index(False)] if False in whole else lines)


def channels_apart(lines):
    columns = zip(*(line.split(",")[1:] for line in lines), strict=True)
    water, air = (np.mean([float(cell) for cell in column if cell]) for column in columns)
    return float(water - air) / STEP


def gaps_inputs(draw):
    count = int(draw.step(8, 12, 1))
    start, step, shade = draw.step(80, 120, 1), draw.uniform(5.0, 8.0), draw.step(70, 85, 1)
    cells = [
        [f"{start + step * i + draw.uniform(-1, 1):.1f}", f"{shade + 0.4 * i:.1f}"] for i in range(count)
    ]
    first = int(draw.step(2, count - 5, 1))
    cells[first][0] = cells[first + 1][0] = ""  # water lost for two lines
    cells[int(draw.step(first + 2, count - 1, 1))][1] = ""  # air lost later
    return {"lines": [f"{9 + i // 6:02d}:{i % 6}0,{water},{air}" for i, (water, air) in enumerate(cells)]}


GAPS = Exercise(
    id="own-oven/gaps",
    kind="bug",
    title="A log with holes",
    variable="mean_rise",
    points=2.0,
    track="code",
    question=(
        '`mean_rise(lines)` reads lines of a logger such as `"09:20,101.3,78.2"`: clock, water and air, '
        "both in °F. It should give the mean rise of the water above the air in K, over those lines that "
        'have *both* readings. Some have a hole: `"09:30,,78.6"`. As soon as a line has a hole, the '
        "rise comes out absurd. Mend it."
    ),
    answer=mean_rise,
    given=as_zero,
    inputs=gaps_inputs,
    tolerance=(0.002, 0.002),
    alternatives=(
        Alternative(
            "gap-repeats-the-last",
            last_again,
            "You wrote the last reading into the hole. Water that was warming stood still there, in your "
            "log only.",
            "A display that shows its last number looks as if it were measuring.",
            credit=0.5,
        ),
        Alternative(
            "stops-at-the-gap",
            up_to_the_gap,
            "All that comes after the first hole is lost. Is it bad, too? (`continue` goes on, `break` does "
            "not.)",
            "A torn file looks useless from the tear on.",
            credit=0.5,
        ),
        Alternative(
            "channels-averaged-apart",
            channels_apart,
            "You took the mean water of some lines and the mean air of others. A rise needs both at one "
            "moment.",
            "Columns are what a spreadsheet averages.",
            credit=0.5,
        ),
        Alternative(
            "difference-not-converted",
            lambda lines: STEP * mean_rise(lines),
            "The holes are mended, and on the way the K got lost: your rise is in °F.",
            "Mending one thing breaks its neighbour.",
            credit=0.5,
        ),
    ),
    hints=(
        "What does `water or 0` give for an empty text? Is that what the thermometer showed?",
        "Skip a line in which water or air is empty: `if not (water and air): continue`.",
    ),
)


EXERCISES = (STANDARD, FIFTY, GAPS)

"""Lesson 08, a cooking day: the exercises of the second track, in which learners write code."""

from __future__ import annotations

import math

from solarlab.exercises import Alternative, Exercise, beside
from solarlab.safety import WARM_SHADE

scene = beside(__file__, "scene")

# --- 10 odds: a function ---


def dinner_odds(stew, rice, stew_by, rice_by):
    """Of 100 days, those on which both are ready: lists of clock minutes, day by day; 0 is never that day."""
    both = [0 < a <= stew_by and 0 < b <= rice_by for a, b in zip(stew, rice, strict=True)]
    return 100.0 * sum(both) / len(both)


def odds_inputs(draw):
    count = int(draw.step(12, 30, 1))
    stew, rice = [], []
    for _ in range(count):
        grey = draw.uniform(0, 1)
        stew.append(0 if grey > 0.8 else int(660 + 90 * grey + draw.uniform(-10, 10)))
        shower = draw.uniform(0, 1) < 0.1
        rice.append(0 if grey > 0.85 or shower else int(740 + 50 * grey + draw.uniform(-10, 20)))
    return {"stew": stew, "rice": rice, "stew_by": int(draw.step(700, 725, 5)),
            "rice_by": int(draw.step(765, 790, 5))}  # fmt: skip


def _share(ready, by):
    return sum(0 < minute <= by for minute in ready) / len(ready)


def _mean_day(ready, by):
    came = [minute for minute in ready if minute > 0]
    return bool(came) and sum(came) / len(came) <= by


def _came_only(stew, rice, stew_by, rice_by):
    came = [(a, b) for a, b in zip(stew, rice, strict=True) if a > 0 and b > 0]
    return 100.0 * sum(a <= stew_by and b <= rice_by for a, b in came) / max(len(came), 1)


ODDS = Exercise(
    id="cooking-day/odds",
    kind="function",
    title="Count the days",
    variable="dinner_odds",
    points=3.0,
    track="code",
    question=(
        "Write `dinner_odds(stew, rice, stew_by, rice_by)`. `stew` and `rice` are lists, one entry a day: "
        "the minute after midnight at which that dish was ready, or `0` for *not that day*. `stew_by` and "
        "`rice_by` are the minutes by which they must be. Give the number of days, of 100, on which *both* "
        "were ready in time."
    ),
    answer=dinner_odds,
    inputs=odds_inputs,
    tolerance=(0.0, 0.05),
    alternatives=(
        Alternative(
            "chances-multiplied",
            lambda stew, rice, stew_by, rice_by: 100.0 * _share(stew, stew_by) * _share(rice, rice_by),
            "You worked out two chances and multiplied them. The same cloud hits both: go through the days, "
            "one by one.",
            "Multiplying is the one rule of chance that school teaches.",
            credit=0.25,
        ),
        Alternative(
            "as-sure-as-one-dish",
            lambda stew, rice, stew_by, rice_by: 100.0 * min(_share(stew, stew_by), _share(rice, rice_by)),
            "You took the less sure dish. Are there days on which that one came and the other did not?",
            "The weakest link, it is said, decides.",
            credit=0.5,
        ),
        Alternative(
            "never-counts-as-early",
            lambda stew, rice, stew_by, rice_by: 100.0
            * sum(a <= stew_by and b <= rice_by for a, b in zip(stew, rice, strict=True)) / len(stew),
            "What does your function make of a 0? Midnight would be a fine time to be ready, but 0 means not "
            "at all.",
            "A number that stands for something else is still compared as a number.",
            credit=0.5,
        ),
        Alternative(
            "lost-days-left-out",
            _came_only,
            "You counted among the days that came out. What became of the others? They are days, too.",
            "Failures leave no number behind, so they fall out of the sum.",
            source="ours",
            credit=0.5,
        ),
        Alternative(
            "a-mean-day-is-a-typical-day",
            lambda stew, rice, stew_by, rice_by: 100.0
            * (_mean_day(stew, stew_by) and _mean_day(rice, rice_by)),
            "You asked whether the *mean* day is in time. On how many days was it the mean day?",
            "A mean is said to stand for all.",
        ),
    ),
    hints=(
        "zip(stew, rice) walks through both lists, day by day.",
        "A day counts if 0 < a <= stew_by and 0 < b <= rice_by. Divide by all days, times 100.",
    ),
)  # fmt: skip


# --- 11 latest: a function ---


def light_stove(loaded, standing, shade, lighting, warm_up, finish, meal):
    """Latest minute to light the stove: by the two-hour clock and by the meal, whichever comes first."""
    used = standing * (2.0 if shade > WARM_SHADE else 1.0)
    return min(scene.stove_by(loaded - used, warm_up, lighting), meal - finish - lighting)


def latest_inputs(draw):
    loaded = int(draw.step(520, 640, 5))
    warm_up = int(draw.step(10, 30, 5))
    return {
        "loaded": loaded, "standing": int(draw.step(0, 30, 5)), "shade": draw.step(24, 38, 1),
        "lighting": int(draw.step(5, 15, 5)), "warm_up": warm_up,
        "finish": warm_up + int(draw.step(20, 60, 5)),
        "meal": loaded + int(draw.pick((110, 130, 150, 200, 260, 320))),
    }  # fmt: skip


def _by_clock(loaded, standing, shade, lighting, warm_up, finish, meal):
    return light_stove(loaded, standing, shade, lighting, warm_up, finish, 1e9)


LATEST = Exercise(
    id="cooking-day/latest",
    kind="function",
    title="The hour of plan B, for anybody",
    variable="light_stove",
    points=3.0,
    track="code",
    question=(
        "Write `light_stove(loaded, standing, shade, lighting, warm_up, finish, meal)`: the last minute "
        "after midnight to light the stove. `loaded` and `meal` are minutes after midnight; the food stood "
        "for `standing` minutes in a shade of `shade` °C before (above 32 °C each of them counts twice). "
        "The stove takes `lighting` minutes to burn. From then on it takes `warm_up` minutes to bring the "
        "middle past 60 °C, and `finish` minutes, `warm_up` included, until it is cooked. Both must hold: "
        "two hours on the safety clock, and the meal in time."
    ),
    answer=light_stove,
    inputs=latest_inputs,
    tolerance=(0.0, 0.5),
    alternatives=(
        Alternative(
            "plan-b-when-hungry",
            lambda loaded, standing, shade, lighting, warm_up, finish, meal: meal - finish - lighting,
            "You count back from the meal only. With a late meal, how long is the food lukewarm?",
            "Plan B is thought of as saving the meal.",
            credit=0.25,
        ),
        Alternative(
            "meal-forgotten",
            _by_clock,
            "The clock is kept. But with an early meal the guests sit before an empty table.",
            "The new rule pushes out the old one.",
            credit=0.5,
        ),
        Alternative(
            "shade-is-cool",
            lambda loaded, standing, shade, lighting, warm_up, finish, meal: light_stove(
                loaded, standing, 20.0, lighting, warm_up, finish, meal),
            "What of a shade of 35 °C?",
            "Shade feels cool.",
            credit=0.5,
        ),
        Alternative(
            "clock-starts-at-the-oven",
            lambda loaded, standing, shade, lighting, warm_up, finish, meal: light_stove(
                loaded, 0.0, shade, lighting, warm_up, finish, meal),
            "Did `standing` get lost?",
            "Cooking starts at the oven.",
            credit=0.5,
        ),
        Alternative(
            "stove-heats-at-once",
            lambda loaded, standing, shade, lighting, warm_up, finish, meal: light_stove(
                loaded, standing, shade, 0.0, 0.0, finish - warm_up, meal),
            "A cold stove warms nothing. Two of the numbers have gone missing.",
            "A deadline is taken for the time to begin.",
            credit=0.25,
        ),
        Alternative(
            "later-of-the-two",
            lambda loaded, standing, shade, lighting, warm_up, finish, meal: max(
                _by_clock(loaded, standing, shade, lighting, warm_up, finish, meal),
                meal - finish - lighting),
            "If two things must both hold, which of the two times counts?",
            "`max` goes with 'at the latest', by ear.",
            credit=0.5,
        ),
    ),
    hints=(
        "Two times: one for the clock, on from `loaded`; one for the meal, back from it. What comes off "
        "each?",
        "The clock: loaded + 120, less what was used up, the warm-up, the lighting. min(…, …) keeps both.",
    ),
)  # fmt: skip


# --- 12 plates: a bug ---


def plates(pot_kilos, share, at_boil, per_kilo, span):
    """People one pot feeds in ``span`` minutes: ``per_kilo`` minutes a kg to the boil, then ``at_boil``."""
    kilos = min(pot_kilos, (span - at_boil) / per_kilo)
    return max(math.floor(kilos / share + 1e-9), 0)


def plates_inputs(draw):
    """A pot and a time whose plates are no whole number, which rounding in the machine might miss by one."""
    for _ in range(200):
        given = {
            "pot_kilos": draw.step(1.55, 6.05, 0.5), "share": draw.step(0.25, 0.5, 0.05),
            "at_boil": draw.step(15, 90, 5), "per_kilo": draw.step(20, 70, 5), "span": draw.step(80, 300, 10),
        }  # fmt: skip
        in_time = (given["span"] - given["at_boil"]) / given["per_kilo"]
        people = [kilos / given["share"] for kilos in (given["pot_kilos"], in_time)]
        if all(abs(each - round(each)) > 0.02 for each in people):
            break
    return given


PLATES = Exercise(
    id="cooking-day/plates",
    kind="bug",
    title="The pot that fed everybody",
    variable="plates",
    points=2.0,
    track="code",
    question=(
        "`plates(pot_kilos, share, at_boil, per_kilo, span)` should say how many people one pot feeds. The "
        "pot holds `pot_kilos`, a plate is `share` kg. The way to the boil takes `per_kilo` minutes for "
        "each kilogram, and then it must boil for `at_boil` minutes; there are `span` minutes in all. "
        "Somebody's version never looks at a clock. Mend it. (Only whole plates, never fewer than none.)"
    ),
    answer=plates,
    given=lambda pot_kilos, share, at_boil, per_kilo, span: math.floor(pot_kilos / share + 1e-9),
    inputs=plates_inputs,
    tolerance=(0.0, 0.25),
    alternatives=(
        Alternative(
            "minutes-per-kilo",
            lambda pot_kilos, share, at_boil, per_kilo, span: max(
                math.floor(min(pot_kilos, span / (per_kilo + at_boil)) / share + 1e-9), 0),
            "You let the minutes at the boil grow with the kilograms. A big pot boils no longer than a small "
            "one.",
            "Minutes per kilogram is the one rule everybody knows.",
            credit=0.5,
        ),
        Alternative(
            "boil-means-done",
            lambda pot_kilos, share, at_boil, per_kilo, span: max(
                math.floor(min(pot_kilos, span / per_kilo) / share + 1e-9), 0),
            "It boils, and you serve it? Which number have you not used?",
            "'It boils' is heard as 'it is done'.",
            credit=0.5,
        ),
        Alternative(
            "pot-has-no-bottom",
            lambda pot_kilos, share, at_boil, per_kilo, span: max(
                math.floor((span - at_boil) / per_kilo / share + 1e-9), 0),
            "With all day to cook, how much goes into the pot?",
            "Mending one thing breaks its neighbour.",
            credit=0.5,
        ),
        Alternative(
            "one-more-plate",
            lambda pot_kilos, share, at_boil, per_kilo, span: max(
                math.ceil(min(pot_kilos, (span - at_boil) / per_kilo) / share - 1e-9), 0),
            "Half a plate feeds nobody. Round down.",
            "What is nearly enough is counted as enough.",
            credit=0.5,
        ),
    ),
    hints=(
        "How many kilograms reach the boil in the minutes that are left for it?",
        "min(pot_kilos, (span - at_boil) / per_kilo), then whole plates of it.",
    ),
)  # fmt: skip

EXERCISES = (ODDS, LATEST, PLATES)

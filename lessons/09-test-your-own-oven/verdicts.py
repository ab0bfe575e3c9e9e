"""Lesson 09, test your own oven: which of two ovens is better, and whether that may be said yet."""

from __future__ import annotations

import math

from solarlab import trial
from solarlab.exercises import Alternative, Exercise, beside, letter_of, lettered

twins = beside(__file__, "twins")
INTERVALS = "Schenker & Gentleman 2001, The American Statistician 55 (from memory); ours in this form"


# --- 6 best: three ways to brag ---


def best_variant(draw):
    strong = draw.step(40, 70, 1)
    light = {"dull": draw.step(520, 640, 10), "bright": draw.step(930, 1030, 10)}
    other = round(strong * draw.uniform(0.75, 0.85))  # truly weaker, at the standard's light
    v = {
        "light_a": light["bright"], "light_b": light["dull"],
        "watts_a": round(other * light["bright"] / 700.0), "watts_b": round(strong * light["dull"] / 700.0),
        "hot_a": draw.step(128, 140, 1), "hot_b": draw.step(108, 120, 1),
    }  # fmt: skip
    v |= {f"{oven}_f": round(v[oven] * 1.8 + 32) for oven in ("hot_a", "hot_b")}
    if v["watts_a"] <= v["watts_b"] + 2:
        return best_variant(draw)
    ahead = strong_of(v, "b") - strong_of(v, "a")
    said = {
        "right": f"B, by about {ahead:.0f} W of standard cooking power",
        "watts": f"A, by {v['watts_a'] - v['watts_b']} W",
        "hottest": f"A, for it gets {v['hot_a'] - v['hot_b']} °C hotter, empty",
        "never": "nobody can ever tell, for they had different suns",
    }
    return v | lettered(draw.shuffle(said), said)


def strong_of(v, oven):
    return float(trial.standardised(v[f"watts_{oven}"], v[f"light_{oven}"]))


BEST = Exercise(
    id="own-oven/best",
    kind="choice",
    title="Two leaflets",
    variable="stronger",
    points=1.0,
    question=(
        "Two boxes of one size, each measured with care (invented).\n\n"
        "| | power into the water at 50 K | light | hottest, empty |\n|---|---|---|---|\n"
        "| **A** | {watts_a} W | {light_a} W/m² | {hot_a} °C ({hot_a_f} °F) |\n"
        "| **B** | {watts_b} W | {light_b} W/m² | {hot_b} °C ({hot_b_f} °F) |\n\n"
        "Both powers are sure to within a watt or two. Which box heats water faster under one and the same "
        "sun?"
    ),
    choices={letter: f"{{{letter}}}" for letter in "abcd"},
    variant=best_variant,
    answer=letter_of("right"),
    alternatives=(
        Alternative(
            "sunnier-day-better-oven",
            letter_of("watts"),
            "A had the brighter day. What would each have had at 700 W/m²?",
            "The bigger number wins, and the sun is not printed beside it.",
        ),
        Alternative(
            "hottest-is-strongest",
            letter_of("hottest"),
            "At its hottest an empty box takes nothing more in than it loses: how many watts are then left "
            "for a pot?",
            "A thermometer is what one has, and hot sounds like strong.",
        ),
        Alternative(
            "different-suns-never-compare",
            letter_of("never"),
            "So it would be if nobody had measured the light. Somebody did. What is it for?",
            "Once it is seen that the sun matters, all comparing seems lost.",
        ),
    ),
    hints=(
        "Bring both to the same light before you compare.",
        "Watts × 700 ÷ light, for each. The hottest temperature is another question.",
    ),
)


# --- 7 gap: the range of a difference ---


def gap_variant(draw):
    small = draw.step(3.0, 5.0, 0.5)
    halves = draw.pick(((small, small + 1.5), (small + 2.0, small)))
    both = math.hypot(*halves)
    gap = round(both + draw.uniform(0.35, 0.75) * (sum(halves) - both), 1)
    second = draw.step(30, 55, 1)
    v = {"second": second, "first": round(second + gap, 1), "half_1": halves[0], "half_2": halves[1]}
    return v | {
        "ends_1": f"{v['first'] - halves[0]:.1f} to {v['first'] + halves[0]:.1f}",
        "ends_2": f"{second - halves[1]:.1f} to {second + halves[1]:.1f}",
    }


def low_end(v):
    one, other = (twins.stated(v[box], v[half]) for box, half in (("first", "half_1"), ("second", "half_2")))
    return trial.compare(one, other, twins.NAMES).difference.low


def less(half):
    return lambda v: v["first"] - v["second"] - half(v)


GAP = Exercise(
    id="own-oven/gap",
    kind="number",
    title="They overlap",
    variable="low_end",
    points=2.0,
    unit="W",
    question=(
        "Two ovens, tested apart from each other, many intervals each.\n\n- the first: **{first:.1f} ± "
        "{half_1:.1f} W** (95 %: {ends_1})\n- the second: **{second:.1f} ± {half_2:.1f} W** (95 %: {ends_2})"
        "\n\nThe two ranges overlap. Now take the *difference*, first less second. What is the **low end** "
        "of its 95 % range, in watts? (To within 0.25; below zero takes a minus.)"
    ),
    variant=gap_variant,
    answer=low_end,
    tolerance=(0.0, 0.25),
    alternatives=(
        Alternative(
            "doubts-added",
            less(lambda v: v["half_1"] + v["half_2"]),
            "You let both be as wrong as they can, and in opposite ways, at once. That seldom happens: two "
            "doubts add up like the two short sides of a right triangle.",
            "Two doubts make more doubt, and more is plus.",
            source=INTERVALS,
            credit=0.5,
        ),
        Alternative(
            "larger-doubt-only",
            less(lambda v: max(v["half_1"], v["half_2"])),
            "The smaller doubt is gone. It adds less than itself, but it adds.",
            "A chain is as weak as its weakest link.",
            credit=0.5,
        ),
        Alternative(
            "doubts-taken-off",
            less(lambda v: abs(v["half_1"] - v["half_2"])),
            "You took one doubt from the other. Can a difference of two shaky numbers be steadier than both?",
            "The numbers are subtracted, so the doubts are, too.",
        ),
        Alternative(
            "difference-without-doubt",
            less(lambda v: 0.0),
            "That is the difference itself, in the middle of its range. Where does the range begin?",
            "A difference of two measured numbers looks like a fact.",
            credit=0.25,
        ),
    ),
    hints=(
        "The difference is easy. Its doubt: like the long side of a right triangle whose short sides are "
        "the two doubts.",
        "Square both doubts, add, take the root. Then the difference less that.",
    ),
)


# --- 8 overlap: what may be said ---


def overlap_variant(draw):
    halves = draw.step(4.0, 7.0, 0.5), draw.step(4.0, 7.0, 0.5)
    gap = round(math.hypot(*halves) * draw.uniform(0.35, 0.7))
    second = draw.step(30, 55, 1)
    v = {"first": second + gap, "second": second, "half_1": halves[0], "half_2": halves[1],
         "days_1": draw.step(4, 6, 1), "days_2": draw.step(2, 3, 1)}  # fmt: skip
    found = trial.compare(
        twins.stated(v["first"], halves[0]), twins.stated(second, halves[1]), twins.NAMES
    ).difference
    reach = max(abs(found.low), abs(found.high))
    said = {
        "right": f"nobody can tell yet; as much as {reach:.0f} W may lie between them",
        "equal": "the two ovens are equally good, for the ranges overlap",
        "higher": f"the first is better by {gap} W",
        "longer": f"the first was tested on {v['days_1']} days, not {v['days_2']}: that pushed it up",
    }
    return v | lettered(draw.shuffle(said), said)


OVERLAP = Exercise(
    id="own-oven/overlap",
    kind="choice",
    title="What may be said?",
    variable="may_be_said",
    points=1.0,
    question=(
        "The first oven: **{first} ± {half_1:g} W**, from {days_1} days. The second: **{second} ± "
        "{half_2:g} W**, from {days_2} days. The 95 % range of the difference takes in zero. What may be "
        "said?"
    ),
    choices={letter: f"{{{letter}}}" for letter in "abcd"},
    variant=overlap_variant,
    answer=letter_of("right"),
    alternatives=(
        Alternative(
            "overlap-proves-equal",
            letter_of("equal"),
            "Not seeing a difference is not seeing that there is none. How large a difference could still "
            "hide there?",
            "'Not significant' is read as 'the same'.",
            source=INTERVALS,
        ),
        Alternative(
            "higher-number-wins",
            letter_of("higher"),
            "It may be so. But with another few days of luck, could it have come out the other way round?",
            "Two numbers are never quite equal, so one is always the winner.",
        ),
        Alternative(
            "longer-test-bigger-number",
            letter_of("longer"),
            "More days do not push the number up. What do they make smaller?",
            "More sun was collected, so there ought to be more power.",
        ),
    ),
    hints=(
        "What does the range of the difference allow, at its two ends?",
        "Its one end says: the first is far better. Its other end says: the second is a little better.",
    ),
)

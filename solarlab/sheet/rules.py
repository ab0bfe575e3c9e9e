"""What a sheet says of danger: the rules of its dishes, the cautions, and plan B by the safety clock.

Until a native speaker has read a language, each of these lines carries its English.
"""

from __future__ import annotations

from .. import safety
from ..dates import clock
from ..language import Language, language
from ..plan.meal import Job, Plan, clocked
from .parts import Box, later

PLAN_B, DISCARD = 120, 240  # minutes of the come-up clock
STOVE = 45  # minutes a stove needs to finish what is far from ready (common practice, no source)


def safety_box(plan: Plan, say: Language) -> Box:
    """The rules of these dishes and of every clock."""
    keys = list(dict.fromkeys(key for job in plan.jobs for key in job.dish.food.safety))
    chosen = [*keys, "total", "cooling", "half_cooked", "authorities"]
    return Box(say("Safety first"), _bilingual(say, [safety.rule(key) for key in chosen]))


def cautions(plan: Plan, say: Language, home_made: bool) -> Box:
    """What hurts hands, eyes and eaters, whatever is cooked."""
    keys = [key for job in plan.jobs for key in job.dish.food.safety]
    chosen = [rule for rule in safety.cautions(keys, home_made=home_made) if rule.key != "authorities"]
    return Box(say("Cautions"), _bilingual(say, chosen))


def plan_b(plan: Plan, say: Language) -> Box:
    """What to do when it is slow, by the clock; dishes that share an hour share a line.

    Each dish has an hour to light the stove, so that the meal is in time; what spoils has another, the end of
    its come-up clock two hours after loading.
    """
    told: dict[tuple, list[Job]] = {}
    for job in plan.jobs:
        if clocked(job.dish.food, "come_up"):
            message = later(
                "{time}, {dish}: below 60 °C in the middle? Onto a stove now, eat at once, keep "
                "nothing. {late}: throw it away."
            )
            late = clock(min(job.loaded + DISCARD, 1439))
            told.setdefault((job.loaded + PLAN_B, message, late), []).append(job)
        light = max(job.out - STOVE, (job.loaded + job.out) // 2)
        message = later("{time}, {dish}: far from ready? Light the stove.")
        told.setdefault((light, message, ""), []).append(job)

    def spoken(speak: Language) -> list[str]:
        lines = []
        for (minutes, message, late), jobs in sorted(told.items(), key=lambda each: each[0][0]):
            dishes = ", ".join(speak(job.dish.food.name) for job in jobs)
            words = {"time": clock(minutes), "dish": dishes} | ({"late": late} if late else {})
            lines.append(speak(message, **words))
        goes_on = later("Cloud before it is ready: the same clock goes on. Later heat never sets it back.")
        return [*lines, speak(goes_on)] if lines else []

    ours, theirs = spoken(say), spoken(language("en"))
    beside = theirs if drafted(say) else [""] * len(ours)
    return Box(say("Plan B, by the safety clock"), tuple(zip(ours, beside, strict=True)))


def drafted(say: Language) -> bool:
    """Whether no native speaker has read the language yet."""
    return say.draft and say.code != "en"


def _bilingual(say: Language, rules) -> tuple[tuple[str, str], ...]:
    english = language("en")
    return tuple(
        dict.fromkeys((say(rule.text), english(rule.text) if drafted(say) else "") for rule in rules)
    )

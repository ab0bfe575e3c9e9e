"""What a sheet says of the spot: its shade, what holds the oven down, and pots that lean with it."""

from __future__ import annotations

import numpy as np

from ..dates import clock
from ..language import Language
from ..plan.meal import Job, Plan
from ..plan.site import ballast, shade_spans, spill_tilt
from ..sky import sky
from ..sun import instants
from .parts import Box

SLACK = 5.0  # ° short of the rim: hands jolt and stews bubble (common practice, no source)


def site(plan: Plan, say: Language) -> Box:
    """Shade, ballast and leaning pots of a plan, a sentence each."""
    outlook, lines = plan.outlook, []
    if outlook.line.bearings:
        day = sky(outlook.place, instants(outlook.place, outlook.date, "05:00", "20:00", 300))
        spans = shade_spans(day, outlook.line)
        when = ", ".join(f"{a:%H:%M}–{b:%H:%M}" for a, b in spans) or say("none")
        lines.append(say("Shade of the skyline you drew: {when}.", when=when))
    else:
        hours = " ".join(f"{hour}h\xa0__" for hour in range(plan.start // 60, -(-plan.eat // 60) + 1))
        lines.append(
            say(
                "Skyline not drawn. Walk the spot: a fist at arm's length is about 10°; compare with the "
                "sun's height above. Shade seen: {hours}",
                hours=hours,
            )
        )
    weights = {
        say(oven.name): 5.0 * np.ceil(ballast(oven, float(oven.tilt_max)) / 5.0)
        for oven in dict.fromkeys(job.oven for job in plan.jobs)
    }
    if weights:
        hung = ", ".join(f"{oven} {say.number(weight)} kg" for oven, weight in weights.items())
        lines.append(
            say("Hang low on the windward side: {weights}. Gusts over 10 m/s: take it in.", weights=hung)
        )
    spills = {
        say(job.dish.food.name): max(spill_tilt(job.dish.pot, job.dish.food) - SLACK, 0.0)
        for job in plan.jobs
        if job.dish.pot is not None
    }
    if spills:
        most = ", ".join(f"{dish} {say.number(degrees)}°" for dish, degrees in spills.items())
        lines.append(say("A pot that leans with the oven spills beyond: {degrees}.", degrees=most))
    leaning = [
        say(job.dish.food.name)
        for job in plan.jobs
        if job.dish.pot is not None and _leans(plan, job) > spills[say(job.dish.food.name)]
    ]
    if leaning:
        lines.append(say("It leans more for {dishes}: wedge the pot level.", dishes=", ".join(leaning)))
    return Box(say("The spot"), tuple((line, "") for line in dict.fromkeys(lines)))


def _leans(plan: Plan, job: Job) -> float:
    """The steepest tilt [°] at which the oven is aimed for that dish."""
    times = instants(plan.outlook.place, plan.outlook.date, clock(job.put_out), clock(job.out), 300.0)
    high = sky(plan.outlook.place, times).elevation
    at = np.interp(job.aims, job.put_out + 5.0 * np.arange(high.size), high)
    return float(np.max(np.clip(90.0 - at, job.oven.tilt_min, job.oven.tilt_max)))

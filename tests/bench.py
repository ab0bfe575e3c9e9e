"""Speed, as ratios taken in one run on this machine: ``python tests/bench.py [--json] [--browser]``.

Never a test: a figure that is missed is printed as missed.
"""

from __future__ import annotations

import argparse
import json
import os
import statistics
import subprocess
import sys
import tempfile
import time
import tracemalloc
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
sys.path.insert(0, str(ROOT))
DAY_STEP = 300  # s, of the sky in the figures below


def median(run, times: int = 7) -> float:
    """Median seconds of ``run()`` after one unmeasured call."""
    run()
    taken = []
    for _ in range(times):
        start = time.perf_counter()
        run()
        taken.append(time.perf_counter() - start)
    return statistics.median(taken)


def imports() -> list[tuple]:
    """Seconds that ``import solarlab`` adds to ``import pvlib``, in fresh interpreters, medians of seven."""

    def fresh(code: str) -> float:
        taken = []
        for _ in range(7):
            start = time.perf_counter()
            subprocess.run([sys.executable, "-c", code], check=True, cwd=ROOT)
            taken.append(time.perf_counter() - start)
        return statistics.median(taken)

    plain, ours = fresh("import pvlib"), fresh("import pvlib, solarlab")
    return [("import solarlab over import pvlib, s", ours - plain, "<= 0.3", ours - plain <= 0.3)]


def first_cook() -> list[tuple]:
    """Seconds of the first cook in a fresh interpreter: with a cold compiler cache, and with a warm one."""
    code = (
        "import time, solarlab as s; p = s.place('Nairobi');"
        "d = s.instants(p, '2026-03-20', start='07:00', end='17:00'); t = time.perf_counter();"
        "s.cook(s.sky(p, d, oktas=1), s.oven('one-mirror box'), None, s.food('egg'), s.Handling('09:00'));"
        "print(time.perf_counter() - t)"
    )
    rows = []
    with tempfile.TemporaryDirectory() as cache:
        for name in ("first cook ever (compiling), s", "first cook of a session, s"):
            out = subprocess.run(
                [sys.executable, "-c", code], check=True, cwd=ROOT, capture_output=True, text=True,
                env={**os.environ, "NUMBA_CACHE_DIR": cache},
            )  # fmt: skip
            rows.append((name, float(out.stdout), "", None))
    return rows


def day_figures() -> list[tuple]:
    """One cook-day, a year of days, ten thousand scenarios, and the same right-hand side in LSODA."""
    import numpy as np

    from solarlab import Handling, cook, food, gain, instants, oven, place, pot, sky
    from solarlab._scenario import problem
    from solarlab.food import body
    from tests._reference import reference

    here = place("Greensboro")
    box, vessel, dish, handling = (
        oven("four-mirror box"),
        None,
        food("egg"),
        Handling("10:00", reaim_every=30.0),
    )
    day = instants(here, "2026-06-21", start="09:00", end="17:00", step=DAY_STEP)

    def one_day():
        return cook(sky(here, day, oktas=1), box, vessel, dish, handling)

    one = median(one_day)
    rows = [("one cook-day, ms", 1e3 * one, "<= 25", one <= 0.025)]

    # LSODA at the march's accuracy (0.1 K), same right-hand side, heat alone: the ratio flatters LSODA.
    egg = body(dish)
    under = sky(here, day, oktas=1)
    light = gain(box, under, handling)
    q = problem(box, vessel, egg, light, under, handling, ())
    options = {"rtol": 1e-4, "atol": 3e-3, "lband": 9, "uband": 9}
    tight = reference(q, rtol=1e-9, atol=1e-9, lband=9, uband=9)[1]
    loose = reference(q, **options)[1]
    ours = one_day().warming.shells
    rows.append(
        (
            "march against tight LSODA, K",
            float(np.abs(ours - tight).max()),
            "<= 0.1",
            bool(np.abs(ours - tight).max() <= 0.1),
        )
    )
    rows.append(
        (
            "loose LSODA against tight, K",
            float(np.abs(loose - tight).max()),
            "<= 0.1",
            bool(np.abs(loose - tight).max() <= 0.1),
        )
    )
    lsoda = median(lambda: reference(q, **options), 5)
    rows.append(("LSODA heat only over our whole cook-day, ratio", lsoda / one, "> 1", lsoda > one))

    beans, cast = food("black beans, soaked"), pot("cast iron")
    dates = np.datetime64("2026-01-01") + np.arange(365)
    year = instants(here, [str(d) for d in dates], start="09:00", end="17:00", step=DAY_STEP)

    def whole_year():
        return cook(sky(here, year, oktas=2), box, cast, beans, handling, keep="outcome")

    taken = median(whole_year, 3)
    rows.append(("365 days of one dish, cook-days/s", 365 / taken, ">= 2000", 365 / taken >= 2000))

    generator = np.random.default_rng(1)
    oktas = generator.uniform(0.0, 6.0, 10000)

    def many():
        return cook(sky(here, day, oktas=oktas), box, cast, beans, handling, keep="outcome")

    taken = median(many, 1)
    rows.append(("10,000 scenarios of one day, cook-days/s", 10000 / taken, ">= 5000", 10000 / taken >= 5000))
    q = problem(box, cast, body(beans, cast), light, under, handling, ())
    lsoda = median(lambda: reference(q, **options), 5)
    rows.append(
        ("LSODA loop over ours, 10,000 scenarios, ratio", lsoda * 10000 / taken, "> 1", lsoda * 10000 > taken)
    )

    peaks = []
    for count in (2000, 4000):
        tracemalloc.start()
        cook(sky(here, day, oktas=oktas[:count]), box, vessel, dish, handling, keep="outcome")
        peaks.append(tracemalloc.get_traced_memory()[1])
        tracemalloc.stop()
    series = 2000 * day.shape[-1] * 24 * 8
    extra = (peaks[1] - peaks[0]) / series
    rows.append(("memory of 2,000 more scenarios over their kept shells, ratio", extra, "< 1", extra < 1))
    return rows


def slider() -> list[tuple]:
    """Slider to new picture in headless Chromium over the same figure redrawn from ready arrays."""
    from tests.browser.measure import slider_ratio

    ratio = slider_ratio()
    return [("slider to new picture over redrawing alone, ratio of medians", ratio, "<= 1.5", ratio <= 1.5)]


def main() -> None:
    parser = argparse.ArgumentParser(description="Speed figures of this machine, as ratios where it can be.")
    parser.add_argument("--json", action="store_true", help="print a line of JSON per figure")
    parser.add_argument("--browser", action="store_true", help="measure the slider too; needs Chromium")
    asked = parser.parse_args()
    rows = [*imports(), *first_cook(), *day_figures(), *(slider() if asked.browser else [])]
    for name, value, goal, met in rows:
        if asked.json:
            print(json.dumps({"name": name, "value": round(value, 4), "goal": goal, "met": met}))
        else:
            verdict = "" if met is None else ("met" if met else "MISSED")
            print(f"{name:62s} {value:10.3f}  {goal:8s} {verdict}")


if __name__ == "__main__":
    main()

"""Lesson 07, the dry egg: its two bets and its two benches."""

from __future__ import annotations

from solarlab import catalogue, controls
from solarlab.bets import Bet
from solarlab.exercises import beside
from solarlab.own import with_own

scene = beside(__file__, "scene")
AIMS = {  # re-aimed every … minutes, by hand
    "at the sun, again every half hour": (30.0, False),
    "at the sun once, then left": (None, False),
    "by hand: the tilt set here, facing the noon sun": (None, True),
}


#: The first bet: minutes until the eggs are hard, ten to either side allowed.
bet_on_minutes = Bet(
    "dry-egg/hard",
    "After how many minutes are the eggs hard to the centre?",
    title="eggs hard to the centre",
    unit="min",
    within=10,
)

#: The second bet: which of `scene.CHANGES` moves the clock most.
bet_on_change = Bet(
    "dry-egg/change",
    "Which change moves the clock most?",
    title="which change moves the eggs' clock most",
    choices=scene.CHANGES,
)


def many_skies(lock=None) -> controls.Bench:
    """The first bench: one oven under many skies."""
    return controls.bench(
        under_a_sky,
        [
            controls.slider("month", "month", 1, 12, 3, step=1),
            controls.slider("latitude", "latitude (south is minus)", -60, 60, -1, step=1, unit="°"),
            controls.choice("aim", "aim", AIMS),
            controls.slider("tilt", "tilt, if aimed by hand", 0, 90, 30, step=5, unit="°"),
            controls.slider("oktas", "cloud, in eighths of the sky", 0, 8, 0, step=1),
            controls.slider("grams", "one egg", 35, 90, 60, step=1, unit="g"),
            controls.slider("start", "egg at the start", 2, 35, 20, step=1, unit="°C"),
            controls.slider("look", "look: cut it open after", 0, 240, 20, step=2, unit="min"),
        ],
        lock=lock,
        title="One oven, many skies",
    )


def many_ways(lock=None) -> controls.Bench:
    """The second bench: one sky, and what is done with egg and oven."""
    return controls.bench(
        in_a_way,
        [
            controls.choice("oven", "oven", with_own(scene.OVENS)),
            controls.choice("shell", "shell", ("brown", "white")),
            controls.choice("where", "the eggs lie", tuple(scene.WHERE)),
            controls.toggle("hot", "the empty oven stood in the sun for an hour before"),
            controls.slider("look", "look: cut it open after", 0, 120, 20, step=2, unit="min"),
        ],
        lock=lock,
        title="One sky, many ways",
    )


def under_a_sky(month, latitude, aim, tilt, oktas, grams, start, look):
    """Eggs on the meridian of the clock, where noon is noon."""
    reaim, by_hand = aim
    place = catalogue.place_at(latitude, 0.0, 0.0, "Etc/UTC")
    noon_side = 180.0 if latitude > scene.declination(month) else 0.0
    day = scene.egg_day(
        place,
        f"2026-{month:02d}-21",
        oktas=oktas,
        grams=grams,
        start=start,
        reaim=reaim,
        tilt=float(tilt) if by_hand else None,
        azimuth=noon_side if by_hand else None,
    )
    return scene.picture(day, look, f"Eggs at latitude {latitude:g}° on 21 {scene.MONTHS[month - 1]}")


def in_a_way(oven, shell, where, hot, look):
    """Eggs in Nairobi at 11:00."""
    day = scene.egg_day(oven=oven, shell=shell, where=where, preheat=60.0 if hot else 0.0, loaded="11:00")
    return scene.picture(day, look, f"{shell.capitalize()} eggs {where}")

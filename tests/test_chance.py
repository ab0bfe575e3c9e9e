"""Chances: the drawn ranges hold what they say, and widen where less is known."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pvlib
import pytest

from solarlab import Handling, food, oven, place, pot, read_weather
from solarlab.plan.chance import Outlook, chances, covered, draws, skies, span, spread
from solarlab.plan.site import Skyline, ballast, filling, shade_spans, skyline, spill_tilt

GREENSBORO = Path(pvlib.__file__).parent / "data" / "723170TYA.CSV"
BOX, POT, RICE = oven("four-mirror box"), pot("dark enamelled steel"), food("rice")
HANDLING = Handling("10:00", preheat=30)
NAIROBI = place("Nairobi")


@pytest.fixture(scope="module")
def weather():
    return read_weather(GREENSBORO, "America/New_York")


def run(outlook, n, seed, **more):
    return chances(outlook, BOX, POT, RICE, HANDLING, end="16:00", n=n, seed=seed, step=600, **more)


def test_eighty_per_cent_range_covers_four_in_five_outcomes_of_other_seeds(weather):
    told = Outlook(NAIROBI, "2026-06-21", oktas=3), 1000
    filed = Outlook(weather.place, "2026-04-10", weather), 500
    for outlook, count in (told, filed):
        drawn = [run(outlook, count, seed).ready for seed in (1, 2, 3)]
        pairs = [(a, b) for a in drawn for b in drawn if a is not b]
        held = [covered(known, seen, np.random.default_rng(0)) for known, seen in pairs]
        assert 0.75 <= np.mean(held) <= 0.85


def test_range_from_half_the_days_of_a_file_covers_the_other_half(weather):
    """Over the year; single months lie from .6 to .97, by the luck of their days."""
    held = []
    for month in range(1, 13):
        outlook = Outlook(weather.place, f"2026-{month:02d}-15", weather)
        window = np.arange(-15, 16)
        train = run(outlook, 300, month, rows=window[window % 2 == 0]).ready
        other = run(outlook, 60, 100 + month, rows=window[window % 2 == 1]).ready
        held.append(covered(train, other, np.random.default_rng(month)))
    assert 0.70 <= np.mean(held) <= 0.90


def test_same_seed_gives_the_same_draws():
    outlook = Outlook(NAIROBI, "2026-06-21", oktas=3)
    assert np.array_equal(run(outlook, 50, 7).ready, run(outlook, 50, 7).ready)
    assert not np.array_equal(run(outlook, 50, 7).ready, run(outlook, 50, 8).ready)


def width(outlook):
    """Middle 80 % of the light on level ground over the day, as a share of its mean."""
    drawn = skies(outlook, span(outlook, 9.0, 16.0, 600), 2000, np.random.default_rng(1))
    light = drawn.global_horizontal.mean(axis=-1)
    return np.ptp(np.quantile(light, [0.1, 0.9])) / light.mean()


def test_range_widens_with_every_thing_not_told(weather):
    told = Outlook(NAIROBI, "2026-06-21", oktas=2, air=(12, 24), wind=1.0)
    assert width(told) < width(replace(told, oktas=None, mean_oktas=2)) < width(replace(told, oktas=None))
    guessed = replace(told, air=None)
    times = span(told, 9.0, 16.0, 600)
    spreads = [skies(o, times, 500, np.random.default_rng(1)).air_temperature.std() for o in (told, guessed)]
    assert spreads[0] < spreads[1]


def test_oven_without_sources_is_drawn_twice_as_widely_not_refused():
    bare = replace(BOX, sources={})
    generator = np.random.default_rng(3)
    known, unknown = (draws(o, generator, 4000).wall_conductance for o in (BOX, bare))
    assert unknown.std() > 1.5 * known.std()
    outlook = Outlook(NAIROBI, "2026-06-21")
    assert np.isfinite(chances(outlook, bare, POT, RICE, HANDLING, end="15:00", n=20, step=600).spread.middle)


def test_forecast_takes_the_air_of_the_file(weather):
    times = span(Outlook(weather.place, "2026-01-15"), 9.0, 15.0, 600)
    outlook = Outlook(weather.place, "2026-01-15", weather, oktas=0)
    drawn = skies(outlook, times, 400, np.random.default_rng(1))
    days = weather.air_temperature[:31, 9:15]
    assert drawn.air_temperature.mean() == pytest.approx(days.mean(), abs=2.0)


def test_spread_counts_those_that_never_come_as_late():
    got = spread(np.array([1.0, 2.0, 3.0, 4.0, np.nan, np.nan, np.inf, 5.0, 6.0, 7.0]))
    assert (got.low, got.middle, got.high, got.never) == (1.0, 5.0, np.inf, pytest.approx(0.3))


def test_ranks_split_ties_so_that_a_right_forecast_covers_four_in_five():
    generator = np.random.default_rng(5)
    mixed = np.where(generator.random(20000) < 0.4, np.inf, generator.random(20000))
    assert covered(mixed[:10000], mixed[10000:], generator) == pytest.approx(0.8, abs=0.02)
    assert covered(mixed[:10000], mixed[10000:] - 2.0, generator) < 0.35


def test_skyline_takes_the_beam_and_nothing_else():
    open_field = Outlook(NAIROBI, "2026-06-21", oktas=0)
    trees = replace(open_field, line=skyline("30:5, 60:40, 110:5"))
    times = span(open_field, 7.0, 12.0, 600)
    free, behind = (skies(o, times, 3, np.random.default_rng(1)) for o in (open_field, trees))
    hidden = behind.beam_normal == 0.0
    low = behind.elevation < trees.line.height_at(behind.azimuth)
    assert np.array_equal(hidden[0], low)
    assert 0 < low.sum() < low.size
    assert np.allclose(behind.diffuse_horizontal / free.diffuse_horizontal, trees.line.open_sky)
    (first, last), = shade_spans(free.pick(0), trees.line)
    assert first == times.local[0]
    assert last == times.local[int(low.sum())]


def test_skyline_sentences():
    with pytest.raises(ValueError, match="bearing:height"):
        skyline("east 20")
    with pytest.raises(ValueError, match="between 0 and 90"):
        skyline("90:120")
    assert Skyline().height_at([0.0, 90.0]).tolist() == [0.0, 0.0]


def test_full_pot_spills_sooner_and_a_steep_oven_needs_more_weight():
    from solarlab import portion

    more = portion(RICE, mass=0.9)
    assert spill_tilt(POT, more) < spill_tilt(POT, RICE)
    assert filling(POT, RICE) == pytest.approx(1.0 / 1000 / (np.pi * 0.01 * 0.11))
    assert ballast(BOX, 60) > ballast(BOX, 20) > ballast(oven("bare box"), 20) > 0


def test_loading_outside_the_day_is_one_sentence():
    with pytest.raises(ValueError, match="must lie within the day"):
        chances(Outlook(NAIROBI, "2026-06-21"), BOX, POT, RICE, Handling("17:00"), end="16:00", n=5)
    with pytest.raises(ValueError, match="not both"):
        Outlook(NAIROBI, "2026-06-21", oktas=2, mean_oktas=4)

"""Tests of solar ovens against the two standards, their formulas and limits; and what real boxes reach."""

from __future__ import annotations

import numpy as np
import pandas as pd
import pytest

from solarlab import catalogue as c
from solarlab import trial
from solarlab.sun import Instants, solar_time
from solarlab.trial.light import facing_of
from solarlab.trial.logger import Log
from tests import _logs

BAMAKO = c.place("Bamako")


# --- IS 13429, after Mullick et al. 1987 [formulas and grades memory] ---------------------------------------


def test_first_figure_gives_the_stagnation_temperature():
    """F1 .12, air 30 °C, 800 W/m² → 126 °C [lib]."""
    assert trial.stagnation_from(0.12, 30.0, 800.0) == pytest.approx(126.0, abs=1e-9)
    assert trial.first_figure(126.0, 30.0, 800.0) == pytest.approx(0.12, abs=1e-12)


def test_second_figure_gives_the_heating_time():
    """F1 .12, F2 .40, 2 kg over .25 m², air 30 °C, 800 W/m²: 60 to 90 °C in 101.5 min [lib]."""
    test = {"water": 2.0, "area": 0.25, "air_temperature": 30.0, "irradiance": 800.0}
    seconds = trial.heating_time(0.12, 0.40, **test)
    assert seconds / 60.0 == pytest.approx(101.5, abs=0.1)
    assert trial.second_figure(0.12, seconds=seconds, **test) == pytest.approx(0.40, abs=1e-12)


def test_second_figure_is_that_of_a_box_with_one_time_constant():
    """It solves M c dT/dt = F2/F1 · A · (F1 H − (T − T_air)), integrated here in steps."""
    first, second, water, area, air, light = 0.11, 0.42, 2.0, 0.25, 28.0, 750.0
    now, seconds, step = 60.0, 0.0, 1.0
    while now < 90.0:
        now += second / first * area * (first * light - (now - air)) / (water * 4186.0) * step
        seconds += step
    found = trial.heating_time(first, second, water=water, area=area, air_temperature=air, irradiance=light)
    assert found == pytest.approx(seconds, rel=2e-3)


@pytest.mark.parametrize(("first", "second", "grade"), [
    (0.121, 0.41, "A"), (0.12, 0.41, "B"), (0.115, 0.41, "B"), (0.105, 0.50, "none"), (0.13, 0.39, "none"),
])  # fmt: skip
def test_grades(first, second, grade):
    """A above .12, B above .11, both with F2 above .40 [memory]."""
    assert trial.grade(first, second) == grade


def test_water_cannot_be_timed_beyond_stagnation():
    with pytest.raises(ValueError, match="in a box settling at 86 °C"):
        trial.heating_time(0.07, 0.4, water=2.0, area=0.25, air_temperature=30.0, irradiance=800.0)


@pytest.mark.parametrize("name", c.ovens())
def test_models_of_boxes_reach_what_real_boxes_do(name):
    """Boxes tested without mirrors: F1 .09–.16, F2 .19–.5 [part seen in abstracts, part memory].

    The bands are of double-glazed boxes.  With one pane the four-mirror box lets more light in than any of
    them (measured here: F2 .50), which is at the band's end; said, not tuned.  Single boxes as published: F1
    .11, F2 .31 (double-glazed, Niger State, Journal of Renewable Energy 2013, 184352 [seen]); .122, .55 and
    .115, .43 (University of Rajasthan [seen, abstract]).
    """
    found = trial.modelled_merit(c.oven(name))
    assert 0.09 <= found.first <= 0.16
    assert 0.19 <= found.second <= (0.50 if c.oven(name).glazing_sheets == 2 else 0.55)
    assert 100.0 <= found.stagnation <= 145.0


@pytest.mark.parametrize(
    ("name", "expected"),
    [("bare box", 9.1), ("four-mirror box", 10.8), ("school box", 8.4), ("cardboard box", 11.0)],
)
def test_heat_loss_over_optical_efficiency(name, expected):
    """6–10.5 W/(m² K) without mirrors [part seen in abstracts, part memory]; at stagnation it is 1/F1.

    The box with one pane and the one of cardboard lie up to 5 % above that; said, not tuned.
    """
    ratio = 1.0 / trial.modelled_merit(c.oven(name)).first
    assert ratio == pytest.approx(expected, abs=0.1)
    assert 6.0 <= ratio <= 1.05 * 10.5


def test_figures_from_logs_are_those_of_the_model():
    """A log of the model's own box, empty and then loaded, gives back the figures of the same box."""
    box = c.oven("bare box")
    flat = c.Handling(loaded="09:00", tilt=0.0, reaim_every=None, aim_error=0.0)
    still = {"noise": _logs.NONE, "low": 29.9, "high": 30.1, "start": "08:30", "end": "16:00"}
    generator = np.random.default_rng(0)
    pot = c.pot("dark enamelled steel")
    empty = _logs.day(generator, box, BAMAKO, "2026-04-10", None, 0.0, flat, **still).log()
    full = _logs.day(generator, box, BAMAKO, "2026-04-11", pot, 2.0, flat, cool=30.0, **still).log()
    found = trial.measured_merit(empty, full, BAMAKO, box, 2.0)
    model = trial.modelled_merit(box, pot, wind_speed=0.6)
    assert found.first == pytest.approx(model.first, rel=0.05)
    assert found.second == pytest.approx(model.second, rel=0.12)  # the sun moves and air lags in a real day
    with_mirror = trial.measured_merit(empty, None, BAMAKO, c.oven("one-mirror box"), 2.0)
    assert "cover them" in str(with_mirror) and "F2 needs" in str(with_mirror)


def test_a_box_that_never_settles_has_no_first_figure():
    generator = np.random.default_rng(0)
    flat = c.Handling(loaded="08:30", tilt=0.0)
    log = _logs.day(generator, c.oven("bare box"), BAMAKO, "2026-04-10", None, 0.0, flat, end="09:10").log()
    found = trial.measured_merit(log, None, BAMAKO, c.oven("bare box"), 2.0)
    assert np.isnan(found.first) and "never settled" in str(found) and "F1 not measured" in str(found)


# --- ASAE S580.1: standard cooking power [clauses seen, limits memory] --------------------------------------


def points(power, *, days=3, count=12, start=8.0, end=66.0) -> pd.DataFrame:
    """Intervals that were all kept, on a line ``power(difference)``."""
    difference = np.tile(np.linspace(start, end, count), days)
    day = np.repeat(np.arange(days), count)
    return pd.DataFrame(
        {"day": day, "difference": difference, "standard_power": power(difference), "reason": ""}
    )


def test_a_straight_line_gives_its_value_at_fifty_kelvin():
    """P_s = 80 − .9 ΔT → 35.0 W at 50 K [lib]."""
    found = trial.regress(points(lambda difference: 80.0 - 0.9 * difference))
    assert found.at_50.value == pytest.approx(35.0, abs=1e-9)
    assert (found.intercept, found.slope) == pytest.approx((80.0, -0.9))
    assert found.r_squared == pytest.approx(1.0) and found.fulfilled and not found.notes
    assert found.at_50.high - found.at_50.low == pytest.approx(0.0, abs=1e-6)


def log_of(
    *, power=30.0, light=800.0, air=26.0, wind=0.5, water=2.0, first=40.0, start="11:00", minutes=90
) -> Log:
    """Water warmed at a steady ``power``; anything may be an array, one value a minute."""
    begin = pd.Timestamp(f"2026-02-10 {start}").to_datetime64().astype("datetime64[ns]")  # Bamako keeps UTC
    times = Instants(begin + np.arange(minutes + 1) * np.timedelta64(60, "s"), BAMAKO.timezone)
    flat = np.ones(minutes + 1)
    heat = first + np.arange(minutes + 1) * 60.0 * np.asarray(power) / (water * 4186.0)
    channels = {"water": heat * flat, "air": air * flat}
    roles = {"water": ("water",), "air": ("air",)}
    return Log("made", times, channels, roles, light * flat, "sun", None if wind is None else wind * flat)


def test_cooking_power_is_the_warming_of_the_water():
    """P = M c ΔT / 600 with c 4186 J/(kg K), then × 700/I [seen]."""
    found = trial.standard_power(log_of(power=30.0, light=840.0), BAMAKO, c.oven("one-mirror box"), 2.0)
    kept = found.intervals[found.intervals["reason"] == ""]
    assert len(kept) == 9
    assert kept["power"].to_numpy() == pytest.approx(30.0)
    assert kept["standard_power"].to_numpy() == pytest.approx(25.0)
    assert kept["difference"].iloc[0] == pytest.approx(40.0 + 0.5 * 30 * 600 / (2 * 4186) - 26.0)


def test_halving_light_and_power_together_changes_nothing():
    oven = c.oven("one-mirror box")
    full = trial.standard_power(log_of(power=40.0, light=1000.0), BAMAKO, oven, 2.0).intervals
    half = trial.standard_power(log_of(power=20.0, light=500.0), BAMAKO, oven, 2.0).intervals
    assert full["standard_power"].to_numpy() == pytest.approx(half["standard_power"].to_numpy())
    assert (half["reason"] == "").all()


def ramp(low, high, minutes=90):
    return np.linspace(low, high, minutes + 1)


RULES = {
    "light too weak": ({"light": 440.0}, "light 440 W/m², below 450"),
    "light too strong": ({"light": 1110.0}, "light 1110 W/m², above 1100"),
    "light that varies": ({"light": ramp(500.0, 1500.0)}, r"light varies by 111 W/m², more than 100"),
    "wind": ({"wind": 1.2}, "wind 1.2 m/s, above 1.0"),
    "wind just too strong": ({"wind": 1.03}, "wind 1.03 m/s, above 1.0"),
    "cold air": ({"air": 18.0}, "air 18 °C, outside 20 to 35"),
    "hot air": ({"air": 36.0, "first": 45.0}, "air 36 °C, outside 20 to 35"),
    "early": ({"start": "08:00"}, "outside 10:00 to 14:00 solar time"),
    "late": ({"start": "15:00"}, "outside 10:00 to 14:00 solar time"),
    "cool water": ({"first": 27.0, "power": 5.0}, "water less than 5 K above the air"),
    "boiling water": ({"first": 94.5, "power": 5.0}, r"water within 5 K of the boil \(99 °C here\)"),
}


@pytest.mark.parametrize("rule", RULES)
def test_an_interval_that_breaks_a_rule_is_rejected_with_its_reason(rule):
    changes, reason = RULES[rule]
    found = trial.standard_power(log_of(**changes), BAMAKO, c.oven("one-mirror box"), 2.0)
    assert len(found.intervals) == 9, "an interval was lost"
    assert found.intervals["reason"].str.contains(reason).sum() >= 4
    assert (found.intervals["reason"] != "").all() or rule == "light that varies"


def test_limits_are_kept_at_their_very_edge():
    edge = log_of(light=450.0, wind=1.0, air=20.0)
    found = trial.standard_power(edge, BAMAKO, c.oven("one-mirror box"), 2.0)
    assert (found.intervals["reason"] == "").all()


def test_a_storm_discards_the_day():
    """Wind above 2.5 m/s for more than ten minutes: the test data are discarded [memory]."""
    gust, storm = np.full(91, 0.5), np.full(91, 0.5)
    gust[40:48], storm[40:53] = 3.0, 3.0
    oven = c.oven("one-mirror box")
    calm = trial.standard_power(log_of(wind=gust), BAMAKO, oven, 2.0).intervals
    wild = trial.standard_power(log_of(wind=storm), BAMAKO, oven, 2.0).intervals
    assert (calm["reason"] == "").sum() >= 6
    assert wild["reason"].str.contains("the day is discarded").all()


def test_a_gap_rejects_only_its_interval():
    heat = log_of()
    heat.channels["water"][33] = np.nan
    reasons = trial.standard_power(heat, BAMAKO, c.oven("one-mirror box"), 2.0).intervals["reason"]
    assert list(reasons).count("gap in the readings") == 1 and (reasons == "").sum() == 8


def test_solar_time_counts_not_the_clock():
    """Bamako (8° W, UTC+0), February: 14:00 on the sundial is a quarter to three on the clock."""
    log = log_of(start="13:30", minutes=80)
    reasons = trial.standard_power(log, BAMAKO, c.oven("one-mirror box"), 2.0).intervals["reason"]
    noon = np.interp(14.0, solar_time(BAMAKO, log.times), np.arange(81))
    assert (reasons == "").sum() == int(noon // 10) and 70 < noon < 80


def test_points_days_and_fit_are_asked_for():
    """≥ 30 points, ≥ 3 days, R² ≥ .75 [memory]."""
    line = points(lambda difference: 80.0 - 0.9 * difference, days=2)
    assert "30 points on 3 days" in " ".join(trial.regress(line).notes) and not trial.regress(line).fulfilled
    noisy = points(lambda difference: 40.0 + 8.0 * (-1.0) ** np.arange(difference.size))
    assert "below the standard's 0.75" in " ".join(trial.regress(noisy).notes)
    short = points(lambda difference: 80.0 - 0.9 * difference, start=10.0, end=35.0)
    assert "No interval near 50 K" in " ".join(trial.regress(short).notes)


def test_the_load_is_seven_kilograms_on_a_square_metre_of_intercept():
    """7 kg/m² [memory].  Aperture .5 × .5, one mirror .5 × .5 leaning out 30°: .25 + .25 sin 30° = .375."""
    oven = c.oven("one-mirror box")
    assert trial.intercept_area(oven) == pytest.approx(0.375)
    right = trial.standard_power(log_of(water=2.625), BAMAKO, oven, 2.625)
    light = trial.standard_power(log_of(water=1.0, power=10.0), BAMAKO, oven, 1.0)
    assert "kg/m²" not in " ".join(right.notes)
    assert "2.7 kg/m² of intercept area; the standard asks 7" in " ".join(light.notes)


def test_too_few_intervals_make_no_line_but_keep_their_reasons():
    found = trial.standard_power(log_of(wind=1.5), BAMAKO, c.oven("one-mirror box"), 2.0)
    assert np.isnan(found.at_50.value) and not found.fulfilled and len(found.intervals) == 9
    assert "0 of 9 intervals were kept and a line needs 3 apart. Most often: wind" in str(found)


def test_light_on_level_ground_is_turned_to_the_sun():
    log = log_of(light=700.0)
    level = Log(log.name, log.times, log.channels, log.roles, log.irradiance, "level", log.wind)
    facing, note = facing_of(level, BAMAKO)
    assert (facing > 700.0).all() and "computed" in note
    found = trial.standard_power(level, BAMAKO, c.oven("one-mirror box"), 2.0)
    assert found.intervals["irradiance"].iloc[0] == pytest.approx(facing[:11].mean())


@pytest.mark.parametrize("between", [0.0, 1.0, 2.0, 4.0])
def test_the_interval_at_fifty_kelvin_holds_what_it_says(between):
    """Scatter of 4 W within days and ``between`` among four days: 95 % intervals hold 90–99 % of truths."""
    generator = np.random.default_rng(7)
    line = points(lambda difference: 80.0 - 0.9 * difference, days=4, count=10)
    held = 0
    for _ in range(300):
        off = generator.normal(0.0, 4.0, 40) + generator.normal(0.0, between, 4)[line["day"]]
        found = trial.regress(line.assign(standard_power=line["standard_power"] + off)).at_50
        held += found.low <= 35.0 <= found.high
    assert 270 <= held <= 297

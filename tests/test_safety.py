"""Safety: a model never says safe, a clock once run out stays so, and refusals have their reasons."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from solarlab.safety import (
    RULES,
    STATES,
    Verdict,
    appendix_a,
    cautions,
    fahrenheit,
    judge,
    log_reduction,
    reading,
    refusal,
    rule,
)

TIMES = np.arange(0.0, 10 * 3600.0, 300.0)
TARGETS = [key for key, each in RULES.items() if each.kind in ("target", "boil")]


def rise(minutes_to_60, top=90.0, start=5.0):
    """A path that leaves 5 °C at loading and passes 60 °C after so many minutes, straight, up to ``top``."""
    return np.minimum(start + (60.0 - start) * TIMES / (60.0 * minutes_to_60), top)


@pytest.mark.parametrize(
    ("minutes", "state"),
    [(60, "expected"), (120, "expected"), (125, "too slow"), (240, "too slow"), (245, "refuse")],
)
def test_tiers_of_the_come_up(minutes, state):
    verdict = judge(["poultry"], TIMES, rise(minutes)).verdict()
    assert verdict.state == state
    assert verdict.rule.key == ("poultry" if state == "expected" else "come_up")


def test_the_clocks_are_separate_and_their_sum_counts():
    judged = judge(["poultry"], TIMES, rise(90.0), standing_minutes=np.array([0.0, 30.0, 60.0, 121.0, 200.0]))
    np.testing.assert_allclose(judged.clocks["come_up"], 90 * 60.0)
    np.testing.assert_allclose(judged.clocks["standing"] / 60.0, [0, 30, 60, 121, 200])
    states = [judged.verdict(i).state for i in range(5)]
    assert states == ["expected", "expected", "too slow", "too slow", "refuse"]
    assert [judged.verdict(i).rule.key for i in (2, 3, 4)] == ["total", "standing", "total"]


def test_an_hour_in_hot_shade_counts_as_two():
    judged = judge(
        ["fish"], TIMES, rise(30.0), standing_minutes=70.0, standing_temperature=np.array([30.0, 35.0])
    )
    assert [judged.verdict(i).state for i in (0, 1)] == ["expected", "too slow"]


def test_loss_of_sun_before_done_is_back_on_the_clock():
    """Past 60 °C in an hour, then a cloud holds it at 50 °C for two hours before it is done."""
    path = np.interp(TIMES / 3600.0, [0, 1, 1.2, 1.4, 3.4, 3.8, 10], [5, 60, 65, 50, 50, 80, 80])
    judged = judge(["poultry"], TIMES, path)
    assert judged.clocks["loss_of_sun"] > 2 * 3600.0
    assert judged.verdict().state == "too slow"
    sunny = np.interp(TIMES / 3600.0, [0, 1, 3.8, 10], [5, 60, 80, 80])
    assert judge(["poultry"], TIMES, sunny).verdict().state == "expected"


def test_cooling_counts_until_it_is_served():
    path = np.interp(TIMES / 3600.0, [0, 1, 2, 3, 4, 10], [5, 60, 85, 85, 40, 25])
    served = np.array([3.0, 7.0, 9.0]) * 3600.0
    judged = judge(["poultry"], TIMES, path, served=served)
    assert [judged.verdict(i).state for i in range(3)] == ["expected", "too slow", "refuse"]
    assert judged.verdict(1).rule.key == "cooling"
    falls = np.interp(60.0, [40.0, 85.0], [4.0, 3.0]) * 3600.0
    np.testing.assert_allclose(judged.eat_by, falls + 2 * 3600.0, atol=1.0)
    np.testing.assert_allclose(judged.discard_at, falls + 4 * 3600.0, atol=1.0)
    unserved = judge(["poultry"], TIMES, path)
    assert unserved.verdict().state == "expected"
    assert np.isnan(judge(["poultry"], TIMES, rise(60.0)).eat_by)


@given(
    st.floats(20.0, 600.0),
    st.floats(61.0, 100.0),
    st.floats(0.0, 300.0),
    st.sampled_from(TARGETS),
    st.booleans(),
)
def test_a_model_never_says_safe(minutes, top, standing, key, liquid):
    form = "liquid" if liquid else "solid"
    verdict = judge(
        [key], TIMES, rise(minutes, top), standing_minutes=standing, form=form, mixed=liquid
    ).verdict()
    assert verdict.state in STATES
    assert "safe" not in STATES
    words = verdict.sentence().lower().replace("not safe until measured", "").replace("safety", "")
    assert "safe" not in words
    if verdict.state == "expected":
        assert "not safe until measured" in verdict.sentence()


def test_no_verdict_can_be_made_to_say_safe():
    for state in ("safe", "Safe", "fine", ""):
        with pytest.raises(ValueError, match="a model's verdict is one of"):
            Verdict(state, 0.0, RULES["poultry"], "")


@given(st.floats(245.0, 500.0), st.floats(75.0, 100.0), st.floats(0.0, 25.0))
def test_no_later_heat_cancels_a_clock(minutes, top, more):
    late = rise(minutes, top)
    hotter = np.where(60.0 * minutes < TIMES, np.minimum(late + more, 120.0), late)
    for path in (late, hotter):
        assert judge(["poultry"], TIMES, path).verdict().state == "refuse"
    assert reading(95.0, ["poultry"], minutes).state == "refuse"


@given(st.floats(20.0, 300.0), st.floats(1.0, 300.0), st.floats(0.0, 200.0), st.floats(0.0, 100.0))
def test_slower_or_longer_standing_is_never_judged_milder(minutes, slower, standing, longer):
    quick = judge(["poultry"], TIMES, rise(minutes), standing_minutes=standing)
    for other in (
        judge(["poultry"], TIMES, rise(minutes + slower), standing_minutes=standing),
        judge(["poultry"], TIMES, rise(minutes), standing_minutes=standing + longer),
    ):
        assert other.state >= quick.state


def test_a_frozen_bird_is_refused_with_its_reason():
    path = np.maximum(-18.0 + TIMES / 200.0, -18.0)
    for judged in (
        judge(["poultry", "frozen"], TIMES, path),
        judge(["poultry"], TIMES, path),
        judge(["poultry"], TIMES, rise(60.0), frozen=True),
    ):
        assert judged.verdict().state == "refuse"
        assert judged.verdict().rule.key == "frozen"
    assert judge(["poultry", "frozen"], TIMES, rise(60.0)).verdict().state == "expected"


def test_the_surface_starts_the_clock_of_a_cold_middle():
    core = np.interp(TIMES / 3600.0, [0, 1.5, 3, 10], [3, 4.9, 60, 90])
    skin = np.interp(TIMES / 3600.0, [0, 0.25, 10], [3, 40, 95])
    assert judge(["poultry"], TIMES, core).verdict().state == "expected"
    assert judge(["poultry"], TIMES, core, surface=skin).verdict().state == "too slow"


def test_kidney_beans_need_half_an_hour_at_the_full_boil():
    simmer = rise(60.0, 95.0)
    boil = rise(60.0, 100.0)
    assert judge(["kidney_bean"], TIMES, simmer).verdict().state == "refuse"
    cooked = judge(["kidney_bean"], TIMES, boil)
    assert cooked.verdict().state == "expected"
    assert "full boil" in cooked.verdict().sentence()
    reached = np.interp(99.0, boil[:30], TIMES[:30])
    assert (
        reached + 1800.0 <= cooked.when <= reached + 1800.0 + TIMES[1]
    )  # seen sample by sample, never early
    high = judge(["kidney_bean"], TIMES, rise(60.0, 90.0), boiling_point=90.0)
    assert high.verdict().state == "no verdict"
    assert judge(["kidney_bean"], TIMES, rise(60.0, 98.5), boiling_point=98.5).verdict().state == "expected"


def test_a_boil_counts_in_one_piece_and_only_in_water():
    broken = np.where((TIMES // 1500.0) % 2 == 0, 99.9, 95.0)
    assert judge(["kidney_bean"], TIMES, broken).verdict().state == "refuse"
    boil = rise(60.0, 100.0)
    for dry_at in (-np.inf, 3600.0):
        assert judge(["kidney_bean"], TIMES, boil, dry_at=dry_at).verdict().state == "no verdict"


def test_food_that_comes_in_hot_gets_no_verdict():
    assert judge(["reheated"], TIMES, np.full(TIMES.shape, 80.0)).verdict().state == "no verdict"


def test_eating_before_it_is_ready_or_after_the_run_is_not_expected():
    cooked = rise(60.0)
    assert judge(["poultry"], TIMES, cooked, served=600.0).verdict().state == "too slow"
    assert judge(["poultry"], TIMES, cooked, served=TIMES[-1] + 18 * 3600.0).verdict().state == "no verdict"


def test_a_thermometer_needs_numbers_and_a_slow_dish_is_eaten_at_once():
    for slip in ({"minutes_held": float("nan")}, {"boiling_point": float("nan")}):
        with pytest.raises(ValueError, match=next(iter(slip))):
            reading(64.0, ["whole_cut"], 0.0, **slip)
    slow = judge(["poultry"], TIMES, rise(150.0)).verdict()
    assert slow.state == "too slow"
    assert "keep nothing" in reading(80.0, ["poultry"], 60.0, verdict=slow).sentence


@pytest.mark.parametrize("key", ["cassava", "canning", "half_cooked", "holding"])
def test_refusals_stand_whatever_the_heat(key):
    assert judge(["starch_held_warm", key], TIMES, rise(30.0, 120.0)).verdict().rule.key == key
    assert refusal(key).state == "refuse"
    assert RULES[key].text in refusal(key).sentence()
    assert reading(100.0, ["starch_held_warm", key], 10.0).state == "refuse"


def test_what_never_gets_there_is_too_slow_and_a_short_run_has_no_verdict():
    warm = np.minimum(rise(60.0), 68.0)
    verdict = judge(["poultry"], TIMES, warm).verdict()
    assert (verdict.state, verdict.rule.key) == ("too slow", "poultry")
    assert np.isnan(verdict.when)
    assert "finish on a stove now, eat at once, keep nothing" in verdict.sentence()
    short = TIMES <= 3600.0
    assert judge(["poultry"], TIMES[short], warm[short]).verdict().state == "no verdict"


def test_when_tells_the_moment():
    expected = judge(["poultry"], TIMES, rise(110.0)).verdict()
    assert expected.when == pytest.approx(np.interp(73.9, rise(110.0)[:40], TIMES[:40]))
    assert "74 °C (165 °F)" in expected.sentence()
    assert "at noon" in expected.sentence(lambda seconds: "noon")
    assert judge(["poultry"], TIMES, rise(300.0)).verdict().when == pytest.approx(4 * 3600.0)
    assert judge(["poultry"], TIMES, rise(150.0)).verdict().when == pytest.approx(2 * 3600.0)


def test_two_rules_are_both_kept():
    judged = judge(["poultry", "bread"], TIMES, rise(60.0, 72.0))
    assert judged.verdict().rule.key == "poultry"
    assert judge(["bread", "poultry"], TIMES, rise(60.0)).verdict().rule.key == "poultry"


def test_soft_egg_alone_is_only_a_caution():
    assert judge(["soft_egg"], TIMES, rise(30.0)).verdict().state == "no verdict"
    assert judge(["egg"], TIMES, rise(30.0)).verdict().state == "expected"


def test_kill_is_counted_in_covered_food_only():
    judged = judge(["poultry"], TIMES, rise(60.0, 70.0), covered=np.array([True, False]))
    assert judged.log_reduction[0] > 7.0
    assert np.isnan(judged.log_reduction[1])
    assert np.isnan(judge(["bread"], TIMES, rise(60.0)).log_reduction)


def test_kill_adds_up_and_counts_nothing_below_the_lowest_row():
    chicken = rule("poultry").lethality
    t = np.arange(0.0, 3601.0, 60.0)
    assert log_reduction(chicken, t, np.full(t.shape, 57.0))[-1] == 0.0
    hold = log_reduction(chicken, t, np.full(t.shape, 60.0))
    np.testing.assert_allclose(hold, t / 60.0 / 5.1)
    # A straight rise through the lowest row: fine and coarse sampling agree.
    fine, coarse = np.linspace(0.0, 3600.0, 3601), np.linspace(0.0, 3600.0, 5)
    path = 40.0 + 25.0 * fine / 3600.0
    exact = log_reduction(chicken, fine, path)[-1]
    assert log_reduction(chicken, coarse, path[::900])[-1] == pytest.approx(exact, rel=1e-6)
    assert not appendix_a(t, np.full(t.shape, 57.0))[-1]


def test_many_are_as_one():
    paths = np.stack([rise(m, top) for m in (50.0, 130.0, 300.0) for top in (70.0, 99.9)])
    options = {"standing_minutes": np.arange(6) * 20.0, "boiling_point": np.linspace(95, 100, 6)}
    for key in TARGETS:
        many = judge([key], TIMES, paths, form="liquid", mixed=np.arange(6) % 2 == 0, **options)
        for i in range(6):
            alone = judge([key], TIMES, paths[i], form="liquid", mixed=i % 2 == 0,
                          **{name: value[i] for name, value in options.items()})  # fmt: skip
            assert many.verdict(i).state == alone.verdict().state
            assert many.verdict(i).rule is alone.verdict().rule
            np.testing.assert_allclose(many.when[i], alone.when, rtol=1e-12)
            for name, clock in many.clocks.items():
                np.testing.assert_allclose(clock[i], alone.clocks[name], rtol=1e-12)


def test_time_before_loading_is_no_come_up():
    early = TIMES - 7200.0
    path = np.where(early < 0.0, 25.0, 25.0 + 35.0 * early / 3600.0).clip(max=90.0)
    assert judge(["poultry"], early, path).clocks["come_up"] == pytest.approx(3600.0)


def test_a_reading_says_safe_only_when_hot_enough_and_in_time():
    assert reading(74.0, ["poultry"], 100.0).state == "safe"
    assert reading(165.1, ["poultry"], 100.0, unit="°F").state == "safe"
    assert reading(70.0, ["poultry"], 100.0).state == "not yet"
    assert "eat at once, keep nothing" in reading(80.0, ["poultry"], 150.0).sentence
    assert reading(63.0, ["whole_cut"], 30.0).state == "not yet"
    assert reading(63.0, ["whole_cut"], 30.0, minutes_held=3.0).state == "safe"
    refused = judge(["poultry"], TIMES, rise(300.0)).verdict()
    assert reading(95.0, ["poultry"], 0.0, verdict=refused).state == "refuse"


def test_readings_of_water_and_kidney_beans():
    assert reading(66.0, ["water"], 0.0).state == "not yet"
    assert reading(66.0, ["water"], 0.0, mixed=True, minutes_held=6.0).state == "safe"
    assert reading(70.0, ["water"], 600.0).state == "safe"
    assert reading(99.5, ["kidney_bean"], 60.0, minutes_held=30.0).state == "safe"
    assert reading(99.5, ["kidney_bean"], 60.0).state == "not yet"
    assert reading(90.0, ["kidney_bean"], 60.0, minutes_held=60.0, boiling_point=90.0).state == "not yet"


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        ((165.0, ["poultry"], 10.0), "is it in °F"),
        (([70.0, 80.0], ["poultry"], 10.0), "one number from a thermometer"),
        ((float("nan"), ["poultry"], 10.0), "one number from a thermometer"),
        ((True, ["poultry"], 10.0), "one number from a thermometer"),
        (("75", ["poultry"], 10.0), "one number from a thermometer"),
        ((75.0, ["poultry"], -1.0), "minutes_in_zone"),
        ((75.0, ["poulty"], 10.0), "did you mean 'poultry'"),
        ((75.0, ["glare"], 10.0), "none of these rules states a temperature"),
    ],
)
def test_bad_readings_are_one_clear_sentence(arguments, words):
    with pytest.raises(ValueError, match=words):
        reading(*arguments)


def test_bad_judgements_are_one_clear_sentence():
    with pytest.raises(ValueError, match="at least one safety rule"):
        judge([], TIMES, rise(60.0))
    with pytest.raises(ValueError, match="standing_minutes"):
        judge(["poultry"], TIMES, rise(60.0), standing_minutes=-5.0)
    with pytest.raises(ValueError, match=r"gap \(NaN\)"):
        judge(["poultry"], TIMES, np.where(TIMES == 600.0, np.nan, rise(60.0)))
    with pytest.raises(ValueError, match="before loading"):
        judge(["poultry"], TIMES - 1e6, rise(60.0))
    with pytest.raises(ValueError, match="is no refusal"):
        refusal("poultry")
    with pytest.raises(ValueError, match="must pick one cook"):
        judge(["poultry"], TIMES, np.stack([rise(60.0)] * 2)).verdict()
    with pytest.raises(ValueError, match="unit"):
        reading(75.0, ["poultry"], 10.0, unit="K")


def test_every_rule_is_frozen_with_text_source_and_mark():
    for key, each in RULES.items():
        assert each.key == key
        assert each.text.endswith(".")
        assert each.source
        assert each.mark in ("seen", "lib", "memory", "practice")
        with pytest.raises(AttributeError):
            each.text = "other"


def test_cautions_for_a_session():
    plain = {each.key for each in cautions()}
    assert {
        "authorities",
        "steam",
        "glass_burns",
        "cracked_glass",
        "glare",
        "fire",
        "wind",
        "children",
    } <= plain
    assert "soft_egg" in {each.key for each in cautions(["egg"])}
    home = {each.key for each in cautions(home_made=True)} - plain
    assert home == {"paint_fumes", "galvanised", "foam", "lead_glaze", "burn_in"}


def test_fahrenheit():
    np.testing.assert_allclose(fahrenheit([0.0, 100.0, -40.0]), [32.0, 212.0, -40.0])

"""Lesson 08: its text says what the model gives, its exercises are worth what it says."""

from __future__ import annotations

import math

import numpy as np
import pytest

from solarlab import doneness, safety
from solarlab.catalogue import Handling
from solarlab.cook import cook
from solarlab.exercises import check, variant
from tests import _lesson_checks as checks

exercises = checks.EXERCISES["08-a-cooking-day"]
days, scene, dinner = exercises.module.days, exercises.module.scene, exercises.module.dinner
POINTS = {
    "crowd": 2.0, "feeds": 2.0, "slow": 2.0, "walks": 1.0, "both": 2.0, "promise": 1.0, "match": 2.0,
    "dinner": 4.0, "why": 4.0, "odds": 3.0, "latest": 3.0, "plates": 2.0,
}  # fmt: skip
STEW = days.MEAL[0]


def made(month, dish):
    name, put_in, out = dish
    return days.of_month(month, name, put_in).by(out)


# --- what the text says of sizes ---


def hot_and_done(dish, kilos):
    result = scene.pot_day("Nairobi", dish, kilos, "bare box", 570)
    return float(result.judgement.when) / 60.0, float(result.done) / 60.0


@pytest.mark.parametrize(
    ("dish", "kilos", "hot", "done"),
    [
        ("soup", 1.0, 1.8, 1.5),
        ("thick stew", 1.4, 2.2, 1.6),
        ("chicken pieces", 1.0, 1.5, 1.5),
        ("whole chicken, chilled", 1.0, 1.6, 1.6),
    ],
)
def test_twice_as_much_never_takes_twice_as_long_to_cook(dish, kilos, hot, done):
    small, large = (hot_and_done(dish, mass) for mass in (kilos, 2.0 * kilos))
    assert large[0] / small[0] == pytest.approx(hot, abs=0.06)
    assert large[1] / small[1] == pytest.approx(done, abs=0.06)


def test_soup_of_the_second_bet():
    assert round(scene.told("Nairobi", "soup", 1.0, "bare box", 570).ready) == 68
    assert scene.soup_twice() == 102


def test_by_noon_a_good_oven_feeds_four_and_a_weak_one_two():
    fed = {oven: sum(t <= 150 for t in scene.stews("Nairobi", oven, 570, 0.35, 8)[1::2]) * 2
           for oven in scene.OVENS}  # fmt: skip
    assert fed["four-mirror box"] == fed["school box"] == 4
    assert fed["bare box"] == fed["cardboard box"] == fed["one-mirror box"] == 2


def test_many_pots_at_once_cook_as_one_by_one():
    together = scene.stews("Bamako", "bare box", 600, 0.35, 7)
    for people in (1, 4, 7):
        alone = scene.told("Bamako", "thick stew", round(0.35 * people, 2), "bare box", 600).ready
        assert together[people - 1] == pytest.approx(alone, abs=0.5)


# --- slow cooking, order, walks ---


def test_a_minute_is_worth_half_ten_degrees_lower_and_a_stretch_what_cook_value_says():
    assert scene.worth(90.0) == pytest.approx(0.5, abs=0.01)
    an_hour = doneness.cook_value(np.arange(61) * 60.0, np.full(61, 82.0))[-1]
    assert 60.0 * scene.worth(82.0) == pytest.approx(an_hour, rel=1e-9)


def test_bread_under_seven_eighths_is_baked_after_two_and_a_half_hours_and_no_clock_runs():
    loaf = scene.pot_day("Nairobi", "loaf", 0.75, "four-mirror box", 630, cloud=0, oktas=7.0, preheat=60.0)
    assert 140 < float(loaf.done) / 60.0 < 160 and 78 < float(loaf.highest_cavity) < 86
    assert not any(safety.rule(key).clocks for key in loaf.food.safety)
    crumb = next(need for need in doneness.rule("bread").needs if isinstance(need, doneness.CookValue))
    assert 50 < crumb.minutes * 10 ** ((crumb.reference - 75.0) / crumb.z) < 70


def test_under_a_closed_sky_the_chicken_is_refused_under_six_eighths_expected():
    kinds = {"loaded": 630, "cloud": 0, "preheat": 60.0}
    states = [scene.pot_day("Nairobi", "chicken pieces", 1.0, oktas=oktas, **kinds).verdict().state
              for oktas in (6.0, 8.0)]  # fmt: skip
    assert states == ["expected", "refuse"]


def test_rice_first_waits_longer_than_two_hours_and_stew_first_does_not():
    waits = scene.order_table().frame
    assert list(waits["within 2 h?"]) == ["yes", "no"]


def test_the_first_walks_save_two_hours_and_every_further_one_less():
    def ready(kilos, every):
        return scene.told("Madrid", "thick stew", kilos, "four-mirror box", 570, every).ready

    alone, two, one, half = (ready(2.8, every) for every in (None, 120, 60, 30))
    assert alone - two > 120 and 5 < two - one < 15 and 2 < one - half < 6
    walks = [scene.walks(length, every) for length, every in ((two, 120), (one, 60), (half, 30))]
    assert walks == [2, 4, 7]
    assert ready(1.4, None) - ready(1.4, 30) < 10


def test_aimed_ahead_at_the_noon_sun_a_stew_is_cooked_by_the_afternoon_and_too_slow():
    for oven, kilos in (("four-mirror box", 1.4), ("four-mirror box", 2.8), ("bare box", 1.4)):
        left = scene.pot_day("Madrid", oven=oven, kilos=kilos, every=None, ahead=True)
        assert left.verdict().state == "too slow" and float(left.done) < 6.5 * 3600.0
        assert scene.pot_day("Madrid", oven=oven, kilos=kilos, every=None).verdict().state == "expected"


# --- the year ---


def test_april_has_lunch_on_16_of_30_days_though_the_mean_day_has_stew_at_11_38():
    assert days.both_days() == 16 and round(days.of_mean_day(4, *STEW[:2])) == 11 * 60 + 38
    ready = np.array(days.of_month(4, *STEW[:2]).ready)
    assert (made(4, STEW).sum(), made(4, days.MEAL[1]).sum(), ready.size) == (18, 20, 30)
    assert (np.abs(ready - (11 * 60 + 38)) <= 10).sum() == 3


def test_mean_days_have_stew_from_march_to_september_and_real_ones_on_three_in_five():
    in_time = [days.of_mean_day(month, *STEW[:2]) <= STEW[2] for month in range(1, 13)]
    assert in_time == [3 <= month <= 9 for month in range(1, 13)]
    share = np.concatenate([made(month, STEW) for month in range(3, 10)]).mean()
    assert 0.56 < share < 0.64


def test_both_dishes_lie_between_the_product_and_the_less_sure_one_in_every_month():
    for month in range(1, 13):
        stew, rice = (made(month, dish) for dish in days.MEAL)
        both = (stew & rice).mean()
        assert stew.mean() * rice.mean() < both <= min(stew.mean(), rice.mean())


def test_a_stew_left_to_the_sun_ends_in_the_bin_on_101_days():
    assert days.seasons()[1:] == (101, 365)


def test_a_month_cooked_at_once_is_its_days_cooked_one_by_one():
    found = days.of_month(4, *STEW[:2])
    for day in (0, 11, 24):
        alone = days.cooked(days.month_sky(4).pick(np.array([day])), *STEW[:2])
        assert alone.ready[0] == pytest.approx(found.ready[day], abs=1e-6) or math.isinf(found.ready[day])


# --- plan B ---


def test_plan_b_keeps_two_hours_by_the_safety_room_s_own_clock():
    """A pot lukewarm until the stove, lit at the last minute, has it past 60 °C: judged, not reckoned."""
    lit = scene.stove_by(0.0, 20.0, 10.0)
    for late, state in ((0.0, "expected"), (1.0, "too slow")):
        on, hot = 60.0 * (lit + 10.0 + late), 60.0 * (lit + 30.0 + late)
        seconds = np.array([0.0, 600.0, on, hot, hot + 600.0, hot + 3000.0])
        judged = safety.judge("poultry", seconds, np.array([4.0, 30.0, 40.0, 60.0, 80.0, 80.0]))
        assert judged.verdict().state == state


def test_after_the_point_of_no_return_it_is_refused():
    lit = scene.stove_by(0.0, 20.0, 10.0, scene.LATE)
    hot = 60.0 * (lit + 30.0 + 1.0)
    seconds = np.array([0.0, 600.0, hot - 1200.0, hot, hot + 600.0, hot + 3000.0])
    judged = safety.judge("poultry", seconds, np.array([4.0, 30.0, 40.0, 60.0, 80.0, 95.0]))
    assert judged.verdict().state == "refuse"


# --- exercises ---


def test_points_are_what_the_lesson_says():
    assert checks.points(exercises) == POINTS


def test_a_dinner_that_is_called_right_comes_out_when_cooked_anew():
    """The plan's two pots, cooked again in a day of finer steps, with nothing remembered."""
    exercise = exercises["dinner"]
    for who in ("ana", "bruno", "chen"):
        v = variant(exercise, who)
        plan = exercise.answer(v)
        assert check(exercise, who, plan).state == "right"
        here = scene.catalogue.place(v["place"])
        for name, put_in, out in (("stew", plan["in"], plan["swap"]), ("rice", plan["swap"], v["meal"])):
            dish, share = dinner.NAMES[name]
            above = scene.sky(here, scene.instants(here, scene.DAYS[v["place"]], "07:00", "18:00", 120.0))
            food = scene.pot_of(dish, share * v["people"])
            hands = Handling(scene.clock(put_in), float(plan["every"]), preheat=scene.PREHEAT)
            result = cook(above, scene.catalogue.oven(v["oven"]), scene.catalogue.pot(scene.POT), food, hands)
            assert result.verdict().state == "expected"
            assert put_in + max(float(result.done), float(result.judgement.when)) / 60.0 <= out + 1.0


def test_the_plates_can_be_read_between_the_minutes_that_the_question_gives():
    exercise = exercises["feeds"]
    for who in range(40):
        mine = variant(exercise, f"learner {who}")
        given = [mine[name] for name in ("two", "four", "six", "eight")]
        fed = sum(np.interp(plates, (2, 4, 6, 8), given) <= mine["span"] for plates in range(2, 9)) + 1
        assert check(exercise, f"learner {who}", int(fed)).state == "right", mine


def test_the_table_of_walks_answers_the_exercise_without_a_bench():
    full = scene.walking_table().frame.set_index("turned")["four mirrors, 2.8 kg"]
    hourly = {words: int(told.split()[0]) for words, told in full.iloc[1:].items()}
    saved = hourly["every two hours"] - hourly["every half hour"]
    for who in range(40):
        mine = variant(exercises["walks"], f"learner {who}")
        assert check(exercises["walks"], f"learner {who}", mine["twice"] - saved).state == "right", mine


def test_the_table_of_the_two_pots_makes_a_dinner_without_a_bench():
    exercise = exercises["dinner"]
    for who in range(12):
        mine = variant(exercise, f"learner {who}")
        frame = dinner.pots_table(mine).frame.set_index("in at")
        put_in = scene.clock(mine["arrive"])
        swap = mine["arrive"] + 10 + int(frame.loc[put_in, "stew ready after (min)"])
        plan = {"first": "stew", "in": put_in, "swap": scene.clock(swap), "every": 60,
                "match": scene.clock(mine["arrive"] + 120 - 20 - 10), "lost": "throw it away"}  # fmt: skip
        assert check(exercise, f"learner {who}", plan).state == "right", mine
        assert swap + frame["rice ready after (min)"].astype(float).max() <= mine["meal"]


def test_walks_are_asked_only_where_turning_matters():
    for who in ("ana", "bruno", "chen", "dora"):
        v = variant(exercises["walks"], who)
        assert v["alone"] - v["twice"] > 5 and v["few"] in ("1 walk", "2 walks") and v["many"] >= "5 walks"


def test_whole_plates_need_no_trick_against_the_machine_s_own_rounding():
    def honest(pot_kilos, share, at_boil, per_kilo, span):
        return max(math.floor(min(pot_kilos, (span - at_boil) / per_kilo) / share), 0)

    for number in range(40):
        assert check(exercises["plates"], f"learner {number}", honest).state == "right"

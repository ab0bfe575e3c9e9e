"""Plans: the search finds the latest start, says what can't be done and what could, and keeps the clocks."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest

from solarlab import food, oven, place, portion, pot
from solarlab.plan import Could, Dish, clock, minutes_of, plan
from solarlab.plan.chance import Outlook
from solarlab.plan.kitchen import Kitchen as _Kitchen
from solarlab.plan.meal import KEPT
from solarlab.plan.search import FINE, GRID, Finder

BOX, BARE, STEEL = oven("four-mirror box"), oven("bare box"), pot("dark enamelled steel")
CLEAR = Outlook(place("Addis Ababa"), "2026-03-10", oktas=1, air=(12, 24), wind=1.0)
RICE, LENTILS = Dish(food("rice"), STEEL), Dish(food("lentils"), STEEL)
FEW = {"searched": 24, "counted": 60}


@pytest.fixture(scope="module")
def two_dishes():
    return plan(CLEAR, [BOX], [LENTILS, RICE], eat="13:00", **FEW)


def test_meal_is_made_and_each_dish_leaves_before_the_next_comes(two_dishes):
    assert two_dishes.feasible
    assert two_dishes.chance >= 0.8
    jobs = two_dishes.jobs
    assert {job.dish.food.name for job in jobs} == {"rice", "lentils"}
    assert all(before.out <= after.loaded for before, after in pairwise(jobs))
    assert jobs[-1].out == two_dishes.eat
    assert all(two_dishes.eat - job.out <= KEPT for job in jobs)
    assert two_dishes.start == jobs[0].loaded - two_dishes.preheat


def finder(outlook=CLEAR, ovens=(BOX,), menu=(LENTILS, RICE), eat="13:00"):
    kitchen = _Kitchen(outlook, tuple(ovens), tuple(menu), 420, minutes_of(eat), 30, 24, 1, 600.0)
    return Finder(kitchen, 450, lambda: None)


def test_no_order_of_any_starts_makes_the_meal_from_a_later_start():
    """Every pair of starts on the grid, in both orders, against the search's own pick."""
    search = finder()
    eat = 780
    jobs = search.latest(eat, 0.8)
    best = min(job[2] for job in jobs)
    for first, second in ((0, 1), (1, 0)):
        for a in [start for start in search.starts if start > best]:
            for b in [start for start in search.starts if start > a]:
                tried = [(first, 0, a, b), (second, 0, b, eat)]
                assert search.joint(tried, eat) < 0.8, (first, clock(a), clock(b))


def test_finer_search_starts_no_earlier_and_ten_minutes_later_would_miss_the_goal():
    search = finder()
    coarse = search.latest(780, 0.8)
    closer = search.closer(coarse)
    jobs = closer.latest(780, 0.8)
    first = min(job[2] for job in jobs)
    assert first >= min(job[2] for job in coarse)
    assert closer.joint(jobs, 780) >= 0.8
    (one, two) = sorted(jobs, key=lambda job: job[2])
    for a in [start for start in closer.starts if first < start <= first + FINE]:
        for b in [start for start in closer.starts if start > a]:
            tried = [(one[0], 0, a, b), (two[0], 0, b, 780)]
            assert closer.joint(tried, 780) < 0.8, (clock(a), clock(b))


def test_fewer_aims_than_those_kept_would_miss_the_goal():
    search = finder(menu=(Dish(food("thick stew"), STEEL),), eat="13:30")
    jobs = search.fewest_aims(search.latest(810, 0.8), 810, 0.8)
    assert search.joint(jobs, 810) >= 0.8
    (dish, oven_, loaded, out, every), = jobs
    assert every is None or search.joint([(dish, oven_, loaded, out, None)], 810) < 0.8


def test_a_second_oven_never_makes_the_trainer_start_earlier(two_dishes):
    both = plan(CLEAR, [BOX, BARE], [LENTILS, RICE], eat="13:00", **FEW)
    assert both.feasible
    assert both.start >= two_dishes.start - GRID  # other draws count it


def test_menu_that_cannot_be_done_says_what_could_be():
    grey = Outlook(place("Mumbai"), "2026-07-10", oktas=8, wind=3.0)
    never = plan(grey, [BARE], [Dish(food("black beans, soaked"), STEEL)], eat="12:00", **FEW)
    assert not never.feasible
    assert never.could == (Could("nothing"),)
    soon = plan(CLEAR, [BOX], [Dish(food("thick stew"), STEEL), RICE], eat="10:30", **FEW)
    assert not soon.feasible
    kinds = {could.kind: could for could in soon.could}
    assert kinds["later"].minutes > soon.eat
    assert ("rice",) in [could.names for could in soon.could if could.kind == "only"]


def test_refused_food_is_never_planned():
    frozen, cassava = Dish(food("whole chicken, frozen")), Dish(food("bitter cassava"), STEEL)
    got = plan(CLEAR, [BOX], [frozen, cassava], eat="14:00", **FEW)
    assert got.jobs == ()
    assert not got.feasible
    assert [rule.key for _, rule in got.refused] == ["frozen", "cassava"]
    mixed = plan(CLEAR, [BOX], [cassava, RICE], eat="13:00", **FEW)
    assert [job.dish.food.name for job in mixed.jobs] == ["rice"]
    assert [rule.key for _, rule in mixed.refused] == ["cassava"]


def test_beans_are_left_off_where_water_boils_too_cool_to_judge_them():
    """Kidney beans at 2355 m, where water boils at 92 °C: no published time for that is known."""
    got = plan(CLEAR, [BOX], [Dish(food("kidney beans"), STEEL), RICE], eat="13:00", **FEW)
    assert [job.dish.food.name for job in got.jobs] == ["rice"]
    assert [rule.key for _, rule in got.refused] == ["kidney_bean"]
    low = replace(CLEAR, place=place("Dakar"))
    assert plan(low, [BOX], [Dish(food("kidney beans"), STEEL)], eat="16:00", **FEW).refused == ()
    unsoaked = plan(low, [BOX], [Dish(food("black beans, unsoaked"), STEEL)], eat="16:00", **FEW)
    assert [rule.key for _, rule in unsoaked.refused] == ["kidney_bean"]


def test_draws_share_their_day():
    kitchen = finder().kitchen
    assert kitchen.sky is kitchen.sky
    again = replace(kitchen, _cooked={})
    assert np.array_equal(again.sky.beam_normal, kitchen.sky.beam_normal)


@pytest.mark.parametrize(
    ("change", "sentence"),
    [
        ({"menu": []}, "at least one dish"),
        ({"ovens": []}, "one oven"),
        ({"menu": [RICE] * 5}, "Make two sheets"),
        ({"eat": "07:30"}, "no time to cook"),
        ({"menu": [Dish(portion(food("rice"), mass=2.0), STEEL)]}, "overfill the pot"),
        ({"outlook": Outlook(place("Tromsø"), "2026-12-21")}, "does not rise"),
    ],
)
def test_impossible_asks_are_one_sentence(change, sentence):
    asked = {"outlook": CLEAR, "ovens": [BOX], "menu": [RICE], "eat": "13:00"} | change
    with pytest.raises(ValueError, match=sentence):
        plan(asked["outlook"], asked["ovens"], asked["menu"], eat=asked["eat"])


def test_progress_ends_at_its_total():
    seen = []
    plan(CLEAR, [BOX], [RICE], eat="12:00", progress=lambda done, total: seen.append((done, total)), **FEW)
    assert len(seen) >= 2
    assert seen[-1][0] == seen[-1][1]
    assert [done for done, _ in seen] == sorted(done for done, _ in seen)

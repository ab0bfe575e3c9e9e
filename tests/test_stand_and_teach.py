"""Lesson 10: its text says what the model gives, its sheets hang together, its rubric adds up."""

from __future__ import annotations

import re

import numpy as np
import pytest
from bs4 import BeautifulSoup

from solarlab import catalogue, fuel, safety
from solarlab.exercises import check, variant
from solarlab.sky import sky
from solarlab.sun import instants
from tests import _lesson_checks as checks

exercises = checks.EXERCISES["10-stand-and-teach"]
notebook = checks.NOTEBOOKS["10-stand-and-teach"]
stage, demo, scene = exercises.module.stage, exercises.module.demo, exercises.module.scene
PROSE = "\n".join(cell.source for cell in notebook.cells if cell.cell_type == "markdown")
POINTS = {
    "strike": 2.0, "learned": 2.0, "fuel": 2.0, "alone": 2.0, "hour": 4.0, "reply": 4.0,
    "demonstration": 12.0, "latest": 3.0, "least": 3.0, "fed": 2.0,
}  # fmt: skip


@pytest.fixture(scope="module")
def drawn():
    """The demonstration of the printed lesson."""
    return variant(exercises["demonstration"], "example")


# --- the window of hours ---


def test_the_window_is_closed_by_the_danger_clock_in_the_morning_and_by_the_meal_at_noon():
    starts = (480, 660, 690, 720)
    good, clocked, late = scene.shares(scene.BET, scene.BET_KILOGRAMS, starts, scene.BET_MEAL, 200)
    assert good[0] < 0.5 and clocked[0] == pytest.approx(1 - good[0]) and late[0] == 0
    assert good[1] >= 0.9  # half an hour earlier: nine crowds in ten
    assert 0.45 < good[2] < 0.6 and scene.bet_chance() == pytest.approx(100 * good[2])  # one day in two
    assert good[3] < 0.05 and late[3] > 0.9  # at twelve the window has shut, and the sun's noon is later
    assert scene.BET.noon > 720


def test_every_day_ends_in_one_of_the_three_ways():
    for case in stage.CASES[:2]:
        assert np.allclose(sum(scene.shares(case, 0.6, scene.GRID, 795)), 1.0)


def test_a_strong_oven_may_be_loaded_an_hour_before_the_meal():
    strong = scene.Case("Nairobi", "2026-02-12", "four-mirror box", "chicken pieces")
    assert scene.chance(strong, 1.0, 720, 780) >= scene.GOAL


def test_a_pot_holds_not_quite_three_kilos_and_half_full_at_eleven_is_ready_on_two_days_in_three():
    assert {stage.most(case.dish) for case in stage.CASES} == {2.9}
    assert 0.6 < scene.shares(scene.BET, 1.45, (660,), scene.BET_MEAL, 200)[0][0] < 0.72


def test_twenty_five_grams_for_each_are_less_than_the_pot_and_plates_for_each_are_not():
    assert np.isclose(30 * stage.PLATE, 10.5) and not scene.fits("thick stew", 30 * stage.PLATE)
    assert scene.fits("thick stew", 30 * 0.025)


@pytest.mark.parametrize("case", stage.CASES, ids=lambda case: f"{case.place} {case.date[5:7]}")
def test_the_crowd_stands_where_the_noon_sun_is_not(case):
    here = catalogue.place(case.place)
    around = scene.clock(case.noon), scene.clock(case.noon + 10)
    north = sky(here, instants(here, case.date, *around, 600.0)).sun_vector[0, 1]
    assert (north > 0) == (case.side == "north")
    v = {"case": stage.CASES.index(case), "people": 20, "taste": 30, "meal": 795}
    assert stage.hour_plan(v)["crowd"] != case.side


def test_every_drawn_yard_has_a_start_that_will_do():
    assert all(stage.latest(case, 0.6, meal) for case in stage.CASES for meal in stage.MEALS)


# --- plan B ---


def middle(passes: float):
    """Minutes after loading, and a middle [°C] that warms to 60 °C at ``passes``, then on to 80 °C."""
    minutes = np.array([0.0, passes, passes + 15.0, passes + 60.0])
    return 60.0 * minutes, np.array([5.0, 60.0, 80.0, 80.0])


@pytest.mark.parametrize("case", stage.CASES[:3], ids=lambda case: case.place)
def test_the_hour_of_plan_b_keeps_the_two_hours_and_a_later_one_does_not(case):
    by = stage.plan_b(case, 600.0) - 600.0
    for late, state in ((-2.0, "expected"), (+5.0, "too slow")):
        judged = safety.judge(("poultry",), *middle(by + late + stage.STOVE), standing_minutes=case.stood)
        assert judged.verdict().state == state


def test_the_example_of_the_text_is_reckoned_right():
    left, loaded, stove = 560, 600, 15
    assert "plan B is at **11:05**" in PROSE and scene.clock(left + scene.TWO_HOURS - stove) == "11:05"
    assert "Not at 11:45" in PROSE and scene.clock(loaded + scene.TWO_HOURS - stove) == "11:45"
    assert "not at 11:20" in PROSE and scene.clock(left + scene.TWO_HOURS) == "11:20"


# --- fuel ---


def test_a_hundred_pots_of_lentils_save_the_range_that_the_text_says():
    saved = scene.bet_saved()
    assert str(saved).startswith("20 to 47 kg") and "20 to 47 kg" in PROSE
    assert f"{scene.heat('lentils').middle:.1f}" == "0.8" and "wants 0.8 **megajoules**" in PROSE
    low, high = (1 / share for share in fuel.fuel("wood, open fire").efficiency[::-1])
    assert round(low) == 7 and round(high) == 10  # seven to ten times the wood whose heat is in the food


def test_of_nine_hundred_fires_a_sixth_to_a_third_were_replaced():
    assert [300 * share / 900 for share in fuel.REPLACED] == pytest.approx([1 / 6, 1 / 3])


def test_the_food_s_heat_is_far_too_little_for_a_fire_and_nearly_right_for_gas():
    for stove, far in (("wood, open fire", True), ("LPG", False)):
        rows = scene.claims(stove=stove).table
        inside, each, all_day, least = (float(re.match(r"[\d.]+", cell)[0]) for cell in rows["fuel saved"])
        assert (inside < least / 2) == far and all_day == pytest.approx(3 * each, rel=0.05)


# --- the drawn demonstration ---


def test_the_sheet_of_the_printed_lesson_can_be_read_part_by_part(drawn):
    paper = demo.sheet(drawn, eat="14:00")
    for name in ("facts", "steps", "aims", "dishes", "portions", "plan_b", "talk", "safety"):
        assert len(demo.part(paper, name)) >= 1, name
    assert paper.plan.feasible and len(demo.forgotten(drawn, eat="14:00")) == 6
    assert f"{drawn['people']} people" in repr(demo.forgotten(drawn))
    assert drawn["stove"] in str(demo.saving(drawn))


def test_a_sheet_on_paper_lies_over_no_other_file(drawn, tmp_path):
    paper, path = demo.sheet(drawn, eat="14:00"), tmp_path / "sheet.html"
    assert "sheet.html" in demo.on_paper(paper, path) and "<table" in path.read_text("utf-8")
    with pytest.raises(FileExistsError):
        demo.on_paper(paper, path)


def test_demonstrations_differ_between_neighbours_and_name_things_of_the_shelf():
    seen = [variant(exercises["demonstration"], f"learner {n}") for n in range(60)]
    assert len({(v["place"], v["date"], v["village"], v["people"], v["eat"]) for v in seen}) > 50
    for v in seen:
        assert catalogue.place(v["place"]) and all(map(catalogue.oven, v["ovens"]))
        assert all(map(catalogue.food, v["menu"])) and len(set(v["menu"])) == 2 and v["stove"] in fuel.FUELS
        assert not {v["village"]} & set(catalogue.places())


def test_wrong_answers_expected_of_a_crowd_are_misconceptions_of_the_course(drawn):
    known = {alternative.note for exercise in checks.ALL for alternative in exercise.alternatives}
    assert {note for notes in demo.EXPECTED for note in notes} <= known
    assert len(demo.crowd(drawn)) == len(demo.EXPECTED) == 5


# --- exercises ---


def test_two_levels_of_one_point_for_each_of_the_six_criteria():
    rubric = exercises["demonstration"].rubric
    assert len(rubric) == 6 and {points for points, _ in rubric} == {2.0}
    assert all(re.search(r"2 .+; 1 .+; 0 .+\.", words) for _, words in rubric)
    assert len(stage.rubric_table()) == 6


def test_a_plan_outside_the_yard_s_hours_is_told_so_and_a_spoonful_too_little_is_noticed():
    v = variant(exercises["hour"], "ana")
    early = check(exercises["hour"], "ana", stage.hour_plan(v, loaded="05:00"))
    assert early.state == "cannot read" and "08:00" in early.hint
    little = check(exercises["hour"], "ana", stage.hour_plan(v, kilograms=0.2))
    assert little.note == "not-a-taste-for-all" and little.hint
    at_once = check(exercises["hour"], "ana", stage.hour_plan(v, plan_b=stage.hour_plan(v)["loaded"]))
    assert at_once.note == "alarm-before-the-cook"


def test_the_exercises_their_points_and_their_kinds():
    assert checks.points(exercises) == POINTS
    kinds = {"number", "choice", "plan", "explanation", "function", "bug"}
    assert {exercise.kind for exercise in exercises.values()} == kinds


# --- forms to print ---


def test_both_forms_are_plain_tables_with_a_caption_and_marked_heads():
    tables = BeautifulSoup(PROSE, "html.parser")("table")
    assert [table.caption.text.split(":")[0] for table in tables] == ["Peer form", "Follow-up form"]
    for table in tables:
        heads = table("th")
        assert all(head["scope"] == "col" for head in heads)
        assert all(len(row("td")) == len(heads) for row in table.tbody("tr")) and len(table.tbody("tr")) > 9

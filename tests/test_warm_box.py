"""Lesson 02: its text says what the model gives, its benches stand at every end, its cells mark as meant."""

from __future__ import annotations

from pathlib import Path

import nbformat
import pytest

from lessons import _copy
from solarlab.exercises import check, lesson, variant
from solarlab.figures import Picture

FOLDER = Path(__file__).resolve().parents[1] / "lessons" / "02-warm-box"
exercises = lesson(FOLDER)
scene, benches = exercises.module.scene, exercises.module.benches
NOTEBOOK = nbformat.read(FOLDER / "02-warm-box.ipynb", as_version=4)
FULL = {
    "hot": 1.0, "wool": 2.0, "lid": 2.0, "tau": 2.0, "mend": 1.0, "build": 3.0, "temperature": 3.0,
    "panes": 2.0,
}  # fmt: skip


# --- what the text says ---


def test_twenty_degrees_more_outside_are_some_fifteen_inside():
    assert round(scene.settles(air=15.0)) == 138
    assert 13 < scene.settles(air=35.0) - scene.settles(air=15.0) < 17


def test_a_second_pane_is_the_best_change_and_a_hot_day_the_least():
    ends = {name: scene.settles(**(scene.START | change)) for name, change in scene.CHANGES.items()}
    assert scene.biggest_change() == max(ends, key=ends.get) == "pane"
    assert min(ends, key=ends.get) == "hot"


def test_the_table_of_losses_says_where_the_box_settles():
    assert round(scene.kept_light()) == 194 and 140 < scene.settles() < 150
    assert sum(scene.losses_at(scene.settles(), "bare box")) == pytest.approx(scene.kept_light(), rel=0.005)
    half = scene.settles(sun=0.5)
    assert 90 < half < 95
    assert sum(scene.losses_at(half, "bare box")) == pytest.approx(scene.kept_light(sun=0.5), rel=0.005)
    walls, glass = scene.losses_at(140.0)
    assert 65 < walls < 75 and glass > 110


def test_twice_the_wool_gives_some_fifteen_per_cent_and_perfect_walls_a_third():
    rise = scene.settles() - scene.AIR
    assert 1.12 < (scene.settles(wool=2.0) - scene.AIR) / rise < 1.18
    assert 1.28 < (scene.settles(wool=1000.0) - scene.AIR) / rise < 1.38


def test_one_minute_under_the_lid_costs_over_thirty_degrees_and_the_air_alone_two():
    _, drop, _, air = scene.opened("bare box")
    assert 32 < drop < 38
    assert 1.5 < air / scene.box("bare box").cavity_heat_capacity < 2.5


def test_the_time_constant_is_capacity_over_losses_and_a_little_for_the_panes():
    assert 22 < scene.minutes_to_share(0.632, scene.AIR) < 26
    assert 1.5 < scene.kept_light() / (scene.settles() - scene.AIR) < 1.7
    assert abs(scene.box("bare box").cavity_heat_capacity - 2100) < 50
    _, temperatures, end = scene.curve()
    for count, share in ((2, 86), (3, 95)):
        at = round(count * scene.minutes_to_share(0.632, scene.AIR))
        assert abs(100 * (temperatures[at] - scene.AIR) / (end - scene.AIR) - share) < 2


def test_in_the_ledger_the_glass_loses_most_and_the_walls_less_than_a_third():
    ledger = scene.run(hours=4.0).ledger
    lost = {name: float(getattr(ledger, name)[-1]) for name in ("wind", "sky", "walls", "venting")}
    assert lost["walls"] < sum(lost.values()) / 3 and lost["wind"] + lost["sky"] > lost["walls"] * 2


@pytest.mark.parametrize("who", [f"learner {n}" for n in range(25)])
def test_what_the_lesson_teaches_by_hand_is_accepted(who):
    hot = variant(exercises["hot"], who)
    for share in (0.8, 1.0):
        rule = hot["settled"] + share * (hot["hot"] - hot["air"])
        assert check(exercises["hot"], who, rule).state == "right"
    lid = variant(exercises["lid"], who)
    assert check(exercises["lid"], who, lid["watts"] * lid["seconds"] / lid["joules"]).state == "right"


# --- benches ---


def label_of(cell):
    return cell.metadata.get("nbgrader", {}).get("grade_id", "")


@pytest.mark.parametrize("make", [benches.warming_up, benches.ledger], ids=["temperatures", "ledger"])
def test_every_control_goes_to_both_ends_and_the_picture_follows(make):
    bench = make(None)
    for control in bench.controls:
        start = bench.values[control.name]
        ends = (
            (control.low, control.high)
            if control.kind == "slider"
            else tuple(control.options.values())
            if control.kind == "choice"
            else (True, False)
        )
        seen = set()
        for value in ends:
            bench.set(**{control.name: value})
            assert bench.message == "" and isinstance(bench.picture, Picture)
            seen.add(bench.picture.alt)
        assert len(seen) > 1, control.name
        bench.set(**{control.name: start})


def test_benches_stay_locked_until_their_bet_is_made():
    assert benches.warming_up(False).picture is None and benches.ledger(False).picture is None


# --- cells ---


def run(notebook, who):
    """Run the answers and marks of a notebook's code in this process; {exercise: points}."""
    names, points = {}, {}
    for cell in notebook.cells:
        label = label_of(cell)
        if cell.cell_type != "code" or not (label == "setup" or label.endswith(("-answer", "-mark"))):
            continue
        body = cell.source.replace("lesson()", f"lesson({str(FOLDER)!r})")
        names["learner"] = who
        if label.endswith("-mark"):
            *first, last = body.split("\n")
            exec("\n".join(first), names)
            points[label.removesuffix("-mark")] = eval(last, names)
        else:
            exec(body, names)
    return points


@pytest.mark.parametrize("who", ["example", "ana", "bruno", "chen"])
def test_the_lesson_s_own_answers_earn_every_point_for_any_learner(who, capsys):
    assert run(NOTEBOOK, who) == FULL
    assert capsys.readouterr().out.count("Right.") == len(FULL)


def test_an_untouched_copy_earns_nothing_and_says_not_attempted_yet(capsys):
    assert run(_copy.learner_copy(NOTEBOOK), "ana") == dict.fromkeys(FULL, 0.0)
    assert capsys.readouterr().out.count("Not attempted yet.") == len(FULL)


def test_points_and_grade_ids_are_those_of_the_exercises():
    graded = {label_of(c): c.metadata.nbgrader for c in NOTEBOOK.cells
              if c.metadata.get("nbgrader", {}).get("grade")}  # fmt: skip
    for name in (*FULL, "why"):
        assert graded[f"{name}-answer" if name == "why" else f"{name}-mark"].points == exercises[name].points
    assert len(graded) == len(exercises) == len(FULL) + 1
    kinds = {"number", "choice", "plan", "explanation", "function", "bug"}
    assert {exercise.kind for exercise in exercises.values()} == kinds


def test_neighbours_get_different_numbers():
    for name in ("hot", "wool", "lid", "tau", "mend", "build"):
        assert len({str(variant(exercises[name], f"learner {n}")) for n in range(30)}) > 8

"""The exercise engine: variants, wrong answers as models, replies that never raise."""

from __future__ import annotations

import json
import math
import subprocess
import sys
from fractions import Fraction

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from solarlab import exercises as ex
from solarlab._reading import Unreadable, number, plain
from solarlab.exercises import Alternative, Exercise, check, hand_over, judge, mark

LEARNERS = [f"learner {n}" for n in range(300)]


def wrong(note, model, **kw):
    return Alternative(note, model, f"hint for {note}", "why", **kw)


core = Exercise(
    "test/core", "number", "Core", "Read {t} °C as °F.", "core", 2.0, unit="°C",
    variant=lambda draw: {"t": draw.step(60, 90, 1)},
    answer=lambda v: v["t"],
    alternatives=(wrong("as-fahrenheit", lambda v: v["t"] * 1.8 + 32, credit=0.5),
                  wrong("half", lambda v: v["t"] / 2)),
    tolerance=(0.0, 0.5), hints=("look", "look closer"),
)  # fmt: skip
area = Exercise(
    "test/area", "function", "Area", "", "area", 3.0, track="code",
    answer=lambda radius: math.pi * radius**2,
    inputs=lambda draw: {"radius": draw.uniform(0.1, 3)},
    alternatives=(wrong("diameter", lambda radius: math.pi * 4 * radius**2),
                  wrong("circumference", lambda radius: 2 * math.pi * radius)),
)  # fmt: skip
which = Exercise(
    "test/which", "choice", "Which", "", "which", 1.0,
    choices={"a": "the core", "b": "the shell", "c": "neither"},
    answer=lambda v: "a", alternatives=(wrong("surface", lambda v: "b"),),
)  # fmt: skip


def _fault(v, plan):
    if plan["eggs"] < v["guests"]:
        return "too-few"
    return "" if plan["start"] >= 9 * 60 and plan["water"] == "none" else "too-early"


party = Exercise(
    "test/party", "plan", "Party", "", "party", 2.0, variant=lambda draw: {"guests": draw.step(2, 9, 1)},
    answer=lambda v: {"eggs": v["guests"], "start": 600, "water": "none"}, fault=_fault,
    alternatives=(wrong("too-few", lambda v: {"eggs": 1, "start": 600, "water": "none"}),),
    fields={"eggs": "", "start": "clock", "water": ("none", "a cup")},
)  # fmt: skip


class SaysYes:
    def __eq__(self, other):
        return True

    def __hash__(self):
        return 1

    def __float__(self):
        raise RuntimeError("never ask me")

    __abs__ = __sub__ = __rsub__ = lambda self, *other: 0


class FloatThatLies(float):
    def __eq__(self, other):
        return True

    __hash__ = float.__hash__


@pytest.mark.parametrize("value", [None, ..., "", "...", "YOUR ANSWER HERE"])
def test_nothing_is_not_attempted_yet(value):
    assert check(core, "ana", value) == ex.Reply("not attempted yet")
    assert mark(core, "ana", value) == 0.0


@pytest.mark.parametrize(
    "value",
    [True, np.True_, float("nan"), np.inf, SaysYes(), FloatThatLies(70), np.arange(3), [1, 2], {"a": 1}, 3j,
     "hot", lambda: 70, np.timedelta64(3, "s"), 10**400, Fraction(3, 4), "1,234", "70 kg", "10-12", b"70"],
)  # fmt: skip
def test_what_is_not_a_number_cannot_be_read_and_earns_nothing(value):
    reply = check(core, "ana", value)
    assert (reply.state, reply.note, reply.points) == ("cannot read", "cannot-read", 0.0)
    assert reply.hint.endswith(".")


def test_right_wrong_and_unrecognised_answers_are_told_apart():
    t = ex.variant(core, "ana")["t"]
    assert check(core, "ana", t).state == "right"
    assert check(core, "ana", np.float64(t)).points == 2.0
    in_fahrenheit = ex.Reply("not yet", "as-fahrenheit", "hint for as-fahrenheit", 1.0)
    assert check(core, "ana", t * 1.8 + 32) == in_fahrenheit
    assert check(core, "ana", t + 7) == ex.Reply("not yet", "unrecognised", "look", 0.0)
    assert ex.hint(core, 2) == ex.hint(core, 99) == "look closer"
    assert type(mark(core, "ana", np.float64(t))) is float


@pytest.mark.parametrize(
    ("typed", "unit", "value"),
    [("75 °C", "°C", 75), ("167°F", "°C", 75), ("12,5", "", 12.5), ("−3", "", -3), ("1 h 20 min", "min", 80),
     ("1.5 hours", "min", 90), ("about 70", "°C", 70), ("1,234.5", "", 1234.5), ("1.234,5", "", 1234.5),
     ("1 200", "", 1200), ("80 %", "%", 80), ("80 %", "", 0.8), ("1e3", "", 1000), ("60g", "g", 60),
     ("13:40", "clock", 820), ("1:40 pm", "clock", 820), ("75 deg C", "°C", 75), (".5", "", 0.5),
     ("5 p.m.", "clock", 1020), ("12 am", "clock", 0), ("1h43", "min", 103), ("1h 30", "h", 1.5),
     ("35 cm", "m", 0.35), ("1.2 m", "cm", 120)],
)  # fmt: skip
def test_typed_numbers_are_read_as_meant(typed, unit, value):
    assert number(typed, unit) == pytest.approx(value)


@pytest.mark.parametrize(
    ("typed", "unit", "advice"),
    [("1:47", "min", "1 h 20 min"), (11.40, "clock", "quotes"), ((12, 5), "", "quotes"),
     ("13 pm", "clock", "13:40")],
)  # fmt: skip
def test_what_can_mean_two_things_is_asked_about(typed, unit, advice):
    with pytest.raises(Unreadable, match=advice):
        number(plain(typed), unit)


TYPED = st.one_of(st.text(), st.from_regex(r"[\d.,\s:°CFhmin−+e-]{0,12}"))


@given(TYPED, st.sampled_from(["", "°C", "min", "clock"]))
@settings(max_examples=300, deadline=None)
def test_reading_text_gives_a_number_or_one_sentence(text, unit):
    try:
        assert math.isfinite(number(text, unit))
    except Unreadable as error:
        assert str(error)


JSON = st.recursive(
    st.none() | st.booleans() | st.floats() | st.integers() | st.text(max_size=8),
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(st.text(max_size=8), inner, max_size=4),
    max_leaves=12,
)


@given(JSON)
@settings(max_examples=200, deadline=None)
def test_judging_never_raises_on_what_was_handed_over(value):
    for exercise in (core, area, which, party):
        assert judge(exercise, "ana", value, "secret").state
    json.dumps(plain(value), allow_nan=False)


def test_choices_are_read_by_letter_or_words():
    assert check(which, "ana", " A) ").state == check(which, "ana", "The core").state == "right"
    assert check(which, "ana", "b").note == "surface"
    assert check(which, "ana", 1).state == check(which, "ana", "z").state == "cannot read"


def test_plans_are_judged_by_what_they_do():
    good = {"eggs": 20, "start": "10:00", "water": "none"}
    assert check(party, "ana", good).state == "right"
    assert check(party, "ana", good | {"eggs": 1}).note == "too-few"
    assert check(party, "ana", good | {"start": "06:00"}).note == "too-early"
    assert check(party, "ana", good | {"water": "lots"}).state == "cannot read"
    assert check(party, "ana", {"eggs": 20}).state == "cannot read"
    assert check(party, "ana", {"eggs": ..., "start": ..., "water": ...}).state == "not attempted yet"


def test_functions_are_told_apart_by_what_they_return():
    assert check(area, "ana", lambda radius: math.pi * radius**2).points == 3.0
    assert check(area, "ana", lambda radius: np.float64(math.pi * radius**2)).state == "right"
    assert check(area, "ana", lambda radius: 2 * math.pi * radius).note == "circumference"
    assert check(area, "ana", lambda radius: 7.0).note == "unrecognised"
    assert check(area, "ana", lambda radius: None).state == "not attempted yet"
    assert check(area, "ana", lambda radius: "3").state == "cannot read"
    assert check(area, "ana", lambda radius: SaysYes()).state == "cannot read"
    assert check(area, "ana", 3).state == "cannot read"
    assert check(area, "ana", ...).state == "not attempted yet"
    assert check(area, "ana", lambda r: r).note == "stopped"


def test_a_function_may_stop_exit_or_warn_without_ending_the_check(capfd):
    def leaves(radius):
        sys.exit(0)

    def stub(radius):
        raise NotImplementedError

    def loud(radius):
        import warnings

        warnings.warn("old", DeprecationWarning, stacklevel=1)
        print("noise", file=sys.stderr)
        return math.pi * radius**2

    assert check(area, "ana", leaves).note == "stopped"
    assert check(area, "ana", stub).state == "not attempted yet"
    assert check(area, "ana", loud).state == "right"
    assert capfd.readouterr().err == ""


def test_a_function_that_spoils_its_inputs_spoils_only_its_own():
    total = Exercise(
        "test/total", "function", "", "", "total", 1.0, answer=lambda values: float(sum(values)),
        inputs=lambda draw: {"values": [draw.uniform(0, 9) for _ in range(4)]},
        alternatives=(wrong("first", lambda values: values[0]),),
    )  # fmt: skip
    before = ex.inputs(total, "ana")
    before[0]["values"].clear()
    assert check(total, "ana", lambda values: values.clear() or 0.0).note == "unrecognised"
    assert len(ex.inputs(total, "ana")[0]["values"]) == 4
    assert check(total, "ana", sum).note == "stopped"  # called by name
    assert check(total, "ana", lambda values: sum(values)).state == "right"


def test_an_edge_that_few_inputs_show_is_among_the_inputs():
    late = Exercise(
        "test/late", "function", "", "", "late", 1.0, tolerance=(0.0, 0.5),
        answer=lambda minutes, limit: 10.0 if minutes > limit else 0.0,
        inputs=lambda draw: {"minutes": draw.step(45, 75, 1), "limit": 60},
        alternatives=(wrong("never", lambda minutes, limit: 0.0),),
    )  # fmt: skip
    for who in LEARNERS[:40]:
        assert check(late, who, late.answer).state == "right"
        assert check(late, who, lambda minutes, limit: late.answer(minutes + 1, limit)).points == 0.0
        assert check(late, who, lambda minutes, limit: 10.0).points == 0.0
    never = Exercise("test/flat", "function", "", "", "flat", 1.0, answer=lambda x: 5.0, tolerance=(0.5, 0.0),
                     inputs=lambda draw: {"x": draw.step(1, 9, 1)})  # fmt: skip
    assert len(ex.inputs(never, "ana")) == 12  # nothing shows there, and the search ends


def test_hidden_inputs_depend_on_the_class_secret_and_are_judged_elsewhere():
    secret = ex.inputs(area, "ana", "s3cret")
    assert secret != ex.inputs(area, "ana") != ex.inputs(area, "ben")
    handed = json.loads(json.dumps(hand_over(area, "ana", area.answer, secret)))
    assert judge(area, "ana", handed, "s3cret").state == "right"
    assert judge(area, "ana", handed, "another").state == "not yet"
    assert judge(area, "ana", handed[:-1], "s3cret").state == "cannot read"


def test_a_reply_about_hidden_inputs_repeats_none_of_them():
    def tells(radius):
        raise ValueError(f"the radius was {radius}")

    for function in (tells, lambda radius: str(radius), lambda radius: [radius]):
        secret = ex.inputs(area, "ana", "s3cret")
        reply = judge(area, "ana", hand_over(area, "ana", function, secret), "s3cret")
        assert "hidden input" in reply.hint and str(secret[0]["radius"]) not in reply.hint
        assert str(ex.inputs(area, "ana")[0]["radius"]) in check(area, "ana", function).hint


def test_variants_are_the_same_in_another_process_and_differ_between_neighbours():
    code = "from solarlab.exercises import Draw; print(Draw('a', 'b').step(0, 1000, 1))"
    other = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True).stdout
    assert float(other) == ex.Draw("a", "b").step(0, 1000, 1)
    assert ex.variant(core, " Ana ") == ex.variant(core, "ana")
    assert len({ex.variant(core, who)["t"] for who in LEARNERS}) == 31


def test_a_variant_in_which_two_answers_coincide_is_redrawn():
    close = Exercise(
        "test/close", "number", "", "", "x", 1.0, variant=lambda draw: {"x": draw.step(1, 4, 1)},
        answer=lambda v: v["x"] * 2, alternatives=(wrong("square", lambda v: v["x"] ** 2),),
    )  # fmt: skip
    drawn = [ex.draw(close, who) for who in LEARNERS]
    assert {v["x"] for v, _ in drawn} == {1, 3, 4}
    assert 0.2 < sum(redraws for _, redraws in drawn) / len(drawn) < 0.5  # expected 1/3
    never = Exercise("test/never", "number", "", "", "x", 1.0, answer=lambda v: 1.0,
                     alternatives=(wrong("same", lambda v: 1.0),))  # fmt: skip
    with pytest.raises(ValueError, match="could be confused"):
        ex.variant(never, "ana")


def test_the_learner_id_comes_from_the_cell_then_the_environment(monkeypatch):
    monkeypatch.delenv("SOLARLAB_LEARNER", raising=False)
    assert ex.learner("  Ana   LUZ ") == "ana luz"
    assert ex.learner("") == ex.learner(...) == "guest"
    monkeypatch.setenv("SOLARLAB_LEARNER", "bench-3")
    assert ex.learner() == "bench-3"


def test_lessons_are_found_by_name_folder_or_file(tmp_path, monkeypatch):
    folder = tmp_path / "copy" / "99-invented"
    folder.mkdir(parents=True)
    (folder / "exercises.py").write_text(
        "from solarlab.exercises import Exercise\n"
        "LESSON = (Exercise('invented/one', 'number', 'One', '', 'one', 1.0, answer=lambda v: 1.0),)\n"
    )
    assert list(ex.lesson(folder)) == ["invented/one"]
    monkeypatch.chdir(folder)
    assert ex.lesson().name == ex.lesson("99-invented").name == "99-invented"
    assert ex.lesson()["one"] is not None
    with pytest.raises(KeyError, match="did you mean 'one'"):
        ex.lesson()["onne"]
    with pytest.raises(FileNotFoundError, match="no lesson"):
        ex.lesson("98-nowhere")

"""The prediction that unlocks a bench, in a form or typed."""

import pytest

from solarlab import controls, record
from tests.test_controls import CONTROLS, water


def ask(folder, **typed):
    return controls.predict(
        "How many minutes until the water boils?",
        lambda value, sure: record.predict("boil", "wren", value, sure, unit="min", folder=folder),
        sureness=record.SURENESS,
        unit="min",
        **typed,
    )


def test_a_bench_is_locked_until_the_prediction_is_made(tmp_path):
    calls = []
    guess = ask(tmp_path)
    bench = controls.bench(lambda **values: calls.append(values) or water(**values), CONTROLS, lock=guess)
    assert bench.locked and bench.picture is None and calls == []
    assert "Locked" in bench.outputs()[0]["text/plain"]
    bench.set(mass=2.0)
    assert calls == [] and "Locked" in bench._view.message.value
    guess.outputs()
    guess._view.value.value, guess._view.sure.value = "50 min", "fairly sure"
    guess._view.button.click()
    assert "Written down: 50 min, fairly sure" in guess._view.said.value
    assert not bench.locked and calls == [bench.values] and "<img" in bench._view.image.value
    assert record.record("wren", tmp_path).predictions[0].value == 50.0


def test_a_prediction_typed_in_the_cell_works_just_the_same(tmp_path):
    guess = ask(tmp_path, value="1 h 5 min", sure="quite sure")
    assert guess and record.record("wren", tmp_path).predictions[0].value == 65.0
    assert controls.bench(water, CONTROLS, lock=guess).picture is not None
    assert "Written down: 65 min, quite sure" in guess.outputs()[0]["text/html"]


def test_a_record_itself_can_be_the_lock(tmp_path):
    missing = record.predict("boil", "wren", None, None, folder=tmp_path)
    bench = controls.bench(water, CONTROLS, lock=missing)
    assert bench.locked and str(missing.why) in repr(bench)
    made = record.predict("boil", "wren", 50, "a guess", folder=tmp_path)
    assert controls.bench(water, CONTROLS, lock=made).picture is not None


@pytest.mark.parametrize(("value", "sure"), [("", "a guess"), ("50", None), ("  ", None)])
def test_half_a_prediction_is_asked_for_again(tmp_path, value, sure):
    guess = ask(tmp_path)
    guess.outputs()
    guess._view.value.value, guess._view.sure.value = value, sure
    guess._view.button.click()
    assert not guess and "say how sure you are" in guess._view.said.value


def test_a_prediction_that_cannot_be_read_is_said_and_not_kept(tmp_path):
    guess = ask(tmp_path)
    guess.outputs()
    guess._view.value.value, guess._view.sure.value = "soon", "a guess"
    guess._view.button.click()
    assert not guess and "Cannot read" in guess._view.said.value
    assert record.record("wren", tmp_path).predictions == ()


def test_a_prediction_may_be_one_of_several_words(tmp_path):
    guess = controls.predict(
        "Does it boil by noon?",
        lambda value, sure: record.predict(
            "noon", "wren", value, sure, choices=("yes", "no"), folder=tmp_path
        ),
        sureness=record.SURENESS,
        choices=("yes", "no"),
    )
    guess.outputs()
    guess._view.value.value, guess._view.sure.value = "no", "a guess"
    guess._view.button.click()
    assert guess and record.record("wren", tmp_path).predictions[0].value == "no"

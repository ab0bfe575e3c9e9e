"""Controls take what a person types, never hang where nobody looks, and say in a sentence what went wrong."""

import ast
import re
import subprocess
import sys
from html import escape
from pathlib import Path

import nbformat
import numpy as np
import pandas as pd
import pytest
from nbclient import NotebookClient
from nbformat.v4 import new_code_cell, new_notebook

from lessons._notebooks import canonical
from solarlab import controls, figures

PACKAGE = Path(figures.__file__).parent
TIMES = pd.date_range("2025-06-21 08:00", periods=25, freq="10min", tz="Africa/Nairobi")
CONTROLS = (
    controls.slider("mass", "Water", 0.1, 3.0, 1.0, step=0.1, unit="kg"),
    controls.slider(
        "start", "Water at the start", 0, 40, 20, step=1, unit="°C", help="The tap's own warmth."
    ),
    controls.slider("loaded", "Goes in at", 360, 900, 540, step=15, unit="clock"),
    controls.choice("sky", "Sky", {"clear": 1.0, "veiled": 0.6}),
    controls.toggle("lid", "Lid on", True),
)


def water(mass, start, loaded, sky, lid):
    """A stand-in with the shape of a model: warming at a steady power."""
    if mass > 2.5:
        raise ValueError("More than 2.5 kg does not fit the pot.")
    if mass == 0.7:
        raise ZeroDivisionError("division by zero")
    hours = np.arange(25) / 6
    warm = np.minimum(start + 60 * sky * (1.0 if lid else 0.6) * hours / mass, 100.0)
    return figures.temperatures(TIMES, {"water": warm}, title="Water in the oven")


@pytest.fixture
def bench():
    return controls.bench(water, CONTROLS, title="Warm water")


def inputs(bench):
    bench.outputs()
    return bench._view.inputs


# --- what can be typed -------------------------------------------------------------------


@pytest.mark.parametrize(
    ("name", "typed", "fahrenheit", "value"),
    [
        ("mass", "1.25", False, 1.25),
        ("mass", "0,5 kg", False, 0.5),
        ("mass", "500 g", False, 0.5),
        ("start", "20", False, 20.0),
        ("start", "50", True, 10.0),
        ("start", "32", True, 0.0),
        ("start", "104", True, 40.0),
        ("start", "50 F", False, 10.0),
        ("start", "10 °C", True, 10.0),
        ("loaded", "7:30", False, 450),
        ("loaded", "1:15 pm", False, 795),
    ],
)
def test_a_slider_reads_what_is_typed(name, typed, fahrenheit, value):
    control = next(control for control in CONTROLS if control.name == name)
    assert control.read(typed, fahrenheit) == pytest.approx(value, abs=1e-9)


@pytest.mark.parametrize(
    ("name", "typed", "sentence"),
    [
        ("mass", "lots", "Water: A number is wanted"),
        ("mass", "4", "Water goes from 0.1 kg to 3.0 kg; 4.0 kg is outside."),
        ("mass", "", "Water: A number is wanted"),
        ("start", "-5", "Water at the start goes from 0 °C to 40 °C; −5 °C is outside."),
        ("start", "5 kg", "Water at the start: It is wanted in °C"),
        ("loaded", "noon", "Goes in at: A clock time such as 13:40"),
        ("loaded", "23:00", "Goes in at goes from 06:00 to 15:00; 23:00 is outside."),
    ],
)
def test_what_cannot_be_taken_is_one_sentence(name, typed, sentence):
    control = next(control for control in CONTROLS if control.name == name)
    with pytest.raises(ValueError, match=f"^{re.escape(sentence)}") as error:
        control.read(typed)
    assert "\n" not in str(error.value)


@pytest.mark.parametrize("control", [c for c in CONTROLS if c.kind == "slider"], ids=lambda c: c.name)
@pytest.mark.parametrize("fahrenheit", [False, True])
def test_what_a_slider_shows_it_also_reads(control, fahrenheit):
    for value in np.arange(control.low, control.high + control.step / 2, control.step):
        shown = control.show(value, fahrenheit)
        assert control.read(shown, fahrenheit) == pytest.approx(value, abs=0.28 if fahrenheit else 1e-9)


def test_a_typed_value_between_steps_is_shown_as_typed():
    water_mass = CONTROLS[0]
    assert water_mass.show(1.25) == "1.25 kg" and water_mass.show(1.0) == "1.0 kg"


def test_fahrenheit_is_shown_for_temperatures_only():
    assert CONTROLS[1].show(20, True) == "68 °F" and CONTROLS[0].show(1.0, True) == "1.0 kg"


@pytest.mark.parametrize(
    ("make", "sentence"),
    [
        (lambda: controls.slider("a", "A", 1, 1, 1, step=1), "low below high"),
        (lambda: controls.slider("a", "A", 0, 1, 0.5, step=0), "step above zero"),
        (lambda: controls.slider("a", "A", 0, 1, 2, step=0.1), "is outside"),
        (lambda: controls.choice("a", "A", []), "at least one option"),
        (lambda: controls.choice("a", "A", ["x", "y"], "z"), "none of x, y"),
        (lambda: controls.bench(water, []), "at least one control"),
        (lambda: controls.bench(water, [CONTROLS[0], CONTROLS[0]]), "a name of its own"),
        (lambda: controls.predict("How long?", print, sureness=["sure"]), "two degrees"),
    ],
)
def test_a_control_made_wrongly_is_one_sentence(make, sentence):
    with pytest.raises(ValueError, match=sentence):
        make()


# --- a bench ----------------------------------------------------------------------------


def test_the_starting_picture_is_drawn_at_once(bench):
    assert bench.picture.title == "Water in the oven"
    assert bench.values == {"mass": 1.0, "start": 20, "loaded": 540, "sky": 1.0, "lid": True}


def test_a_model_that_fails_at_its_start_fails_the_cell():
    def broken(**values):
        raise RuntimeError("not ready")

    with pytest.raises(RuntimeError, match="not ready"):
        controls.bench(broken, CONTROLS)


def test_a_model_must_return_a_picture():
    with pytest.raises(TypeError, match="must return a Picture; it returned int"):
        controls.bench(lambda **values: 3, CONTROLS)


def test_whole_numbers_stay_whole(bench):
    bench.set(start=7.0)
    assert bench.values["start"] == 7 and isinstance(bench.values["start"], int)


def test_a_typed_fraction_is_kept_where_the_steps_are_whole(bench):
    bench.set(start=7.5)
    assert bench.values["start"] == 7.5 and bench._said(CONTROLS[1]) == "7.5 °C"


def test_what_is_counted_takes_whole_numbers_only():
    eggs = controls.slider("eggs", "Eggs", 1, 12, 2, step=1, whole=True)
    assert eggs.read("3") == 3
    with pytest.raises(ValueError, match=r"Eggs takes whole numbers only; 2.5 is none."):
        eggs.read("2.5")


def test_unknown_names_and_values_are_refused(bench):
    with pytest.raises(ValueError, match="no control 'salt'; there are mass, start"):
        bench.set(salt=1)
    with pytest.raises(ValueError, match="outside"):
        bench.set(mass=9)
    assert bench.values["mass"] == 1.0


def test_moving_a_slider_changes_the_number_the_picture_and_its_words(bench):
    water_input = inputs(bench)["mass"]
    before = bench._view.image.value
    water_input.handle.value = 2.0
    assert bench.values["mass"] == 2.0 and water_input.text.value == "2.0"
    assert bench._view.image.value != before
    assert escape(bench.picture.alt) in bench._view.image.value


def test_typing_moves_the_slider_and_keeps_the_exact_number(bench):
    water_input = inputs(bench)["mass"]
    water_input.text.value = "1,25"
    assert bench.values["mass"] == 1.25 and water_input.text.value == "1.25"
    assert water_input.handle.value == pytest.approx(1.2), "on a step, or the screen would send one back"


def test_a_dragged_slider_gives_clean_numbers(bench):
    inputs(bench)["mass"].handle.value = 0.1 + 0.2
    assert bench.values["mass"] == 0.3


def test_typing_nonsense_puts_the_number_back_and_says_why(bench):
    water_input = inputs(bench)["mass"]
    water_input.text.value = "a lot"
    assert water_input.text.value == "1.0" and bench.values["mass"] == 1.0
    assert "A number is wanted" in bench._view.message.value and 'role="alert"' in bench._view.message.value
    water_input.handle.value = 1.1
    assert bench._view.message.value == ""


def test_one_move_draws_once(bench):
    calls = []
    bench._model = lambda **values: calls.append(values) or water(**values)
    inputs(bench)
    bench._view.inputs["mass"].handle.value = 1.5
    assert len(calls) == 1
    bench._view.inputs["mass"].text.value = "1.6"
    assert len(calls) == 2
    bench._view.reset.click()
    assert len(calls) == 3 and bench.values["mass"] == 1.0 and bench._view.inputs["mass"].text.value == "1.0"


def test_choices_and_toggles_reach_the_model(bench):
    inputs(bench)["sky"].text.value = 0.6
    inputs(bench)["lid"].text.value = False
    assert bench.values["sky"] == 0.6 and bench.values["lid"] is False


def test_a_control_without_a_say_is_greyed_out_until_it_has_one():
    parts = (
        controls.toggle("cloudy", "Cloud comes"),
        controls.slider("at", "at", 0, 10, 5, step=1, when=lambda values: values["cloudy"]),
    )
    bench = controls.bench(lambda cloudy, at: water(1.0, 20, 540, 1.0, True), parts)
    at = inputs(bench)["at"]
    assert at.text.disabled and at.handle.disabled
    inputs(bench)["cloudy"].text.value = True
    assert not at.text.disabled and not at.handle.disabled


def test_fahrenheit_changes_what_is_shown_and_nothing_else(bench):
    start = inputs(bench)["start"]
    drawn = bench._view.image.value
    bench._view.units.value = "°F"
    assert start.text.value == "68" and start.unit.value == "°F" and bench.values["start"] == 20
    assert bench._view.image.value == drawn
    start.text.value = "50"
    assert bench.values["start"] == 10
    bench._view.units.value = "°C"
    assert start.text.value == "10" and start.unit.value == "°C"


def test_a_model_that_refuses_is_a_sentence_and_the_last_picture_fades(bench):
    inputs(bench)["mass"].handle.value = 2.6
    assert "More than 2.5 kg does not fit the pot." in bench._view.message.value
    assert "solarlab-faded" in bench._view.image.value
    inputs(bench)["mass"].handle.value = 2.0
    assert bench._view.message.value == "" and "solarlab-faded" not in bench._view.image.value


def test_a_model_that_breaks_is_a_sentence_too(bench, capsys):
    inputs(bench)["mass"].handle.value = 0.7
    assert "ZeroDivisionError: division by zero" in bench._view.message.value
    assert capsys.readouterr().err == ""


def test_words_and_numbers_come_on_demand_and_follow(bench):
    inputs(bench)
    view = bench._view
    assert view.words.value == ""
    view.numbers.value = True
    assert "<table>" in view.words.value and bench.picture.alt in view.words.value
    before = view.words.value
    view.inputs["mass"].handle.value = 3.0 - 0.6
    assert view.words.value != before


# --- where nobody looks ------------------------------------------------------------------


def test_without_widgets_a_bench_is_its_picture(bench, monkeypatch):
    monkeypatch.setitem(sys.modules, "solarlab._bench", None)
    (bundle,) = bench.outputs()
    assert set(bundle) == {"text/plain", "text/html"}
    assert "<img alt=" in bundle["text/html"] and "<table>" in bundle["text/html"]
    settings = "Water: 1.0 kg; Water at the start: 20 °C; Goes in at: 09:00; Sky: clear; Lid on: yes."
    assert settings in bundle["text/html"]


def test_with_widgets_the_plain_picture_stands_before_them(bench):
    still, live = bench.outputs()
    assert "<img alt=" in still["text/html"] and still["text/plain"] == repr(bench.picture)
    assert live["application/vnd.jupyter.widget-view+json"]["model_id"] == bench._view.root.model_id
    assert live["text/plain"].startswith("Run this cell to change: Water, Water at the start")
    assert bench.outputs()[1] == live, "shown twice, it is one and the same"


def test_every_box_has_its_label(bench):
    for each in inputs(bench).values():
        assert each.text.description == each.control.label


HEADLESS = f"""
import sys
sys.path.insert(0, {str(PACKAGE.parent)!r})
import numpy as np, pandas as pd
from solarlab import controls, figures
times = pd.date_range("2025-06-21 08:00", periods=25, freq="10min", tz="Africa/Nairobi")
def water(mass, start):
    return figures.temperatures(times, {{"water": np.linspace(start, 90 / mass, 25)}}, title="Water")
guess = controls.predict("How hot?", lambda value, sure: None, sureness=["a guess", "sure"])
bench = controls.bench(water, [controls.slider("mass", "Water", 1, 3, 1, step=1, unit="kg"),
                               controls.slider("start", "Start", 0, 40, 20, step=1, unit="°C")])
"""


def test_run_without_a_screen_nothing_hangs_and_two_runs_store_the_same(tmp_path):
    """nbconvert issue 1921: widgets could hang a run without a front end."""
    stored = []
    for _ in range(2):
        cells = [
            new_code_cell(HEADLESS),
            new_code_cell("guess"),
            new_code_cell("bench"),
            new_code_cell("bench.set(mass=2)"),
        ]
        notebook = new_notebook(cells=cells)
        notebook.metadata.kernelspec = {"name": "python3", "display_name": "Python 3", "language": "python"}
        NotebookClient(notebook, timeout=60, resources={"metadata": {"path": str(tmp_path)}}).execute()
        for cell in notebook.cells:
            assert not [output for output in cell.outputs if output.output_type in ("stream", "error")]
        stored.append(nbformat.writes(canonical(notebook)))
    assert stored[0] == stored[1]
    assert "<table>" in stored[0] and "widget-view" not in stored[0]
    assert len(stored[0]) < 10_000, "no picture is stored"


def test_the_canonical_store_and_figures_agree_on_what_a_picture_is(bench):
    html = bench.static_html()
    output = nbformat.v4.new_output("execute_result", {"text/html": html}, execution_count=1)
    notebook = new_notebook(cells=[new_code_cell("bench", outputs=[output], execution_count=1)])
    assert canonical(notebook).cells[0].outputs[0].data["text/html"] == figures.without_pictures(html)


def test_controls_and_figures_know_no_model():
    """Arrows point one way: these rooms are handed arrays and callables."""
    rooms = {"controls", "_bench", "figures", "_drawing", "_picture", "_words"}
    for name in rooms:
        tree = ast.parse((PACKAGE / f"{name}.py").read_text("utf-8"))
        for node in ast.walk(tree):
            if isinstance(node, ast.ImportFrom) and node.level:
                source = node.module or node.names[0].name
                assert source in rooms | {"_reading", "_limits"}, (name, source)


def test_controls_load_no_widgets_and_no_pyplot():
    code = "import sys, solarlab.controls; print({'ipywidgets', 'matplotlib.pyplot'} & set(sys.modules))"
    command = [sys.executable, "-c", code]
    done = subprocess.run(command, capture_output=True, text=True, check=True, cwd=PACKAGE.parent)
    assert done.stdout.strip() == "set()"

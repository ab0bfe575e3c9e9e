"""Controls in JupyterLab, as a hand, a keyboard and a screen reader meet them."""

from __future__ import annotations

import contextlib

import nbformat
import pytest
from nbformat.v4 import new_code_cell, new_notebook
from playwright.sync_api import expect

from lessons import _copy, _notebooks
from lessons._copy import Laid
from tests._repository import ROOT
from tests.browser import _harness, measure
from tests.browser._drive import after, answer_predictions, cut_off, handle, picture, sweep, type_into

pytestmark = pytest.mark.browser
expect.set_options(timeout=_harness.PATIENCE)

# A stand-in for a model: these tests are about hands and eyes, not about heat.
MODEL = """
import numpy as np, pandas as pd
from solarlab import controls, figures, record

times = pd.date_range("2025-06-21 08:00", periods=85, freq="5min", tz="Africa/Nairobi")
radius = np.linspace(0.001, 0.0225, 24)

def arrays(mass, start, loaded, season, dark, tilt):
    hours = np.arange(85) / 12
    if tilt > 70:
        raise ValueError("The stand tips over beyond 70°.")
    power = 300 * season * np.sin((hours + 1 + loaded / 1440) / 9 * np.pi) * np.cos(np.radians(tilt - 30))
    oven = 25 + 0.4 * power * (1.0 if dark else 0.7)
    core = start + (oven - start) * (1 - np.exp(-((hours / 0.7) ** 2) * 60 / mass))
    surface = start + (oven - start) * (1 - np.exp(-hours / 0.4))
    state = 1 / (1 + np.exp(-(core[12] + (surface[12] - core[12]) * (radius / radius[-1]) ** 2 - 68) / 3))
    hot = np.flatnonzero(core > 70)
    marks = [("yolk hard", times[hot[0]] if hot.size else None), ("180 °C inside", None)]
    curves = {"yolk centre": core, "egg surface": surface, "oven air": oven}
    return curves, {"into the cavity": power}, radius, state, radius < 0.015, times[12], marks

def model(**values):
    curves, powers, radius, state, yolk, at, marks = arrays(**values)
    return figures.egg_bench(times, curves, powers, radius, state, yolk, at, marks=marks)
"""
BENCH = """
bench = controls.bench(model, [
    controls.choice("season", "Season", {"June": 1.0, "December": 0.5}),
    controls.slider("mass", "Egg with its shell", 40, 80, 60, step=1, unit="g"),
    controls.slider("start", "Egg at the start", 0, 35, 20, step=1, unit="°C", help="4 °C from the fridge"),
    controls.slider("loaded", "Egg goes in at", 420, 900, 540, step=15, unit="clock"),
    controls.slider("tilt", "Tilt of the glass from the level ground", 0, 80, 30, step=5, unit="°"),
    controls.toggle("dark", "Dark tray under the egg", True),
], title="Play: the egg in the oven")
bench
"""
GUESS = """
guess = controls.predict(
    "How many minutes until the yolk is hard?",
    lambda value, sure: record.predict("egg", "wren", value, sure, unit="min"),
    sureness=record.SURENESS, unit="min",
)
guess
"""
LOCKED = """
locked = controls.bench(model, bench.controls, lock=guess, title="Locked at first")
locked
"""


@pytest.fixture(scope="module")
def browser():
    with _harness.start_browser() as browser:
        yield browser


@pytest.fixture(scope="module")
def open_notebook(tmp_path_factory, browser):
    """Return a function that opens the notebook in a window; every window sees the same file."""
    home, scratch = tmp_path_factory.mktemp("home"), tmp_path_factory.mktemp("scratch")
    notebook = new_notebook(cells=[new_code_cell(source.strip()) for source in (MODEL, BENCH, GUESS, LOCKED)])
    notebook.metadata.kernelspec = {"name": "python3", "display_name": "Python 3", "language": "python"}
    laid = Laid("bench", home / "bench", "new")
    laid.folder.mkdir()
    nbformat.write(notebook, laid.notebook)
    with contextlib.ExitStack() as stack:
        stack.enter_context(pytest.MonkeyPatch.context()).setenv("PYTHONPATH", str(ROOT))
        lab = stack.enter_context(_harness.start_lab(laid, home, scratch))
        yield lambda: _harness.open_notebook(browser, lab, laid.notebook)


@pytest.fixture(scope="module")
def lab(open_notebook):
    """The notebook open in a window, all cells run."""
    with open_notebook() as opened:
        opened.run_all()
        opened.page.wait_for_selector("[data-drawing] img")
        yield opened


@pytest.fixture
def page(lab):
    """The first bench, back at its start."""
    bench = lab.page.locator(".jp-OutputArea .solarlab").first
    bench.get_by_role("button", name="°C").click()
    after(bench, lambda: bench.get_by_role("button", name="Back to the start").click())
    yield bench
    assert lab.broken == []


def values(lab):
    return measure.ask_kernel(lab, "_answer = bench.values")


def test_a_key_moves_the_slider_the_number_the_picture_and_its_words(lab, page):
    before = picture(page)
    moved = after(page, lambda: handle(page, "Egg with its shell").press("End"))
    assert values(lab)["mass"] == 80
    expect(page.get_by_label("Egg with its shell")).to_have_value("80")
    assert before[0] != moved[0] and before[1] != moved[1]


def test_a_mouse_drags_the_slider(lab, page):
    before = picture(page)
    handle(page, "Egg at the start").scroll_into_view_if_needed()
    box = handle(page, "Egg at the start").bounding_box()
    left, middle = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
    mouse = page.page.mouse
    mouse.move(left, middle)
    mouse.down()
    for step in range(1, 41):
        mouse.move(left - 10 * step, middle)
    mouse.up()
    expect(page.get_by_label("Egg at the start")).to_have_value("0")
    assert values(lab)["start"] == 0 and picture(page) != before


def test_a_slider_is_typed_into_in_either_unit(lab, page):
    assert type_into(page, "Egg at the start", "39.2 F") == "4"
    page.get_by_role("button", name="°F").click()
    expect(page.get_by_label("Egg at the start")).to_have_value("39")
    assert type_into(page, "Egg at the start", "50") == "50"
    assert values(lab)["start"] == 10
    assert type_into(page, "Egg goes in at", "8:15") == "08:15"
    assert values(lab)["loaded"] == 495


def test_a_number_between_steps_stays_as_it_was_typed(lab, page):
    """The slider shows it at the nearest step but must not send that back."""
    assert type_into(page, "Egg with its shell", "61,5") == "61.5"
    page.page.wait_for_timeout(500)
    assert values(lab)["mass"] == 61.5


def test_typing_beyond_the_end_is_answered_with_a_sentence(lab, page):
    assert type_into(page, "Egg with its shell", "900") == "60"
    expect(page.get_by_role("alert")).to_have_text(
        "Egg with its shell goes from 40 g to 80 g; 900 g is outside."
    )
    type_into(page, "Egg with its shell", "70")
    expect(page.get_by_role("alert")).to_have_count(0)


def test_what_the_model_refuses_is_a_sentence_beside_the_faded_picture(page):
    type_into(page, "Tilt of the glass from the level ground", "75")
    expect(page.get_by_role("alert")).to_have_text("The stand tips over beyond 70°.")
    expect(page.locator(".solarlab-faded img")).to_have_count(1)
    after(page, lambda: page.get_by_role("button", name="Back to the start").click())
    expect(page.get_by_role("alert")).to_have_count(0)
    expect(page.locator(".solarlab-faded")).to_have_count(0)


@pytest.mark.parametrize(
    ("label", "ends"),
    [
        ("Egg with its shell", ("40", "80")),
        ("Egg at the start", ("0", "35")),
        ("Egg goes in at", ("07:00", "15:00")),
        ("Tilt of the glass from the level ground", ("0", "80")),
    ],
)
def test_every_slider_reaches_both_ends(page, label, ends):
    seen = {picture(page)}
    for key, end in zip(("Home", "End"), ends, strict=True):
        seen.add(after(page, lambda key=key: handle(page, label).press(key)))
        expect(page.get_by_label(label, exact=True)).to_have_value(end)
        expect(page.get_by_role("alert")).to_have_count(int(end == "80" and label.startswith("Tilt")))
    assert len(seen) == 2 if label.startswith("Tilt") else 3


def test_choices_and_toggles_change_the_picture(lab, page):
    start = picture(page)
    december = after(page, lambda: page.get_by_label("Season").select_option("December"))
    pale = after(page, page.get_by_label("Dark tray under the egg").uncheck)
    assert len({start, december, pale}) == 3
    assert values(lab)["season"] == 0.5 and values(lab)["dark"] is False


def test_words_and_numbers_are_there_on_demand(lab, page):
    assert page.locator("table").count() == 0
    page.get_by_role("button", name="Words and numbers").click()
    expect(page.locator("table caption")).to_have_text("The egg in the oven")
    expect(page.locator("table tbody tr")).to_have_count(13)
    page.get_by_role("button", name="Words and numbers").click()


def test_the_run_opens_when_the_prediction_is_written_down(lab, page):
    asked, locked = (lab.page.locator(".jp-OutputArea .solarlab").nth(i) for i in (1, 2))
    expect(locked.get_by_role("alert")).to_contain_text("make your prediction")
    assert locked.locator("img").count() == 0
    asked.get_by_role("button", name="Write it down").click()
    expect(asked.get_by_role("status")).to_contain_text("say how sure you are")
    asked.get_by_label("Your prediction").fill("1 h 10 min")
    asked.get_by_role("button", name="fairly sure").click()
    asked.get_by_role("button", name="Write it down").click()
    expect(asked.get_by_role("status")).to_contain_text("Written down: 70 min, fairly sure")
    expect(locked.get_by_role("img")).to_have_count(1)
    expect(locked.get_by_role("alert")).to_have_count(0)


def test_every_box_and_picture_has_a_name_for_a_screen_reader(lab, page):
    for role in ("textbox", "combobox", "checkbox", "button", "img"):
        found = page.get_by_role(role)
        assert found.count() > 0
        for i in range(found.count()):
            name = found.nth(i).evaluate("e => e.alt || e.labels?.[0]?.innerText || e.innerText || ''")
            assert name.strip(), (role, i)


@pytest.mark.parametrize("width", [1280, 800])
def test_nothing_is_cut_off_in_a_window(lab, page, width):
    lab.page.set_viewport_size({"width": width, "height": 900})
    lab.page.wait_for_timeout(500)
    for bench in lab.page.locator(".jp-OutputArea .solarlab").all():
        assert cut_off(bench) == []


def test_the_speed_of_a_slider_can_be_measured(lab, page):
    """The number itself belongs to tests/bench.py: a busy machine is not a broken one."""
    measure.ask_kernel(lab, "ready = arrays(**bench.values); _answer = 0")
    again = "figures.egg_bench(times, *ready[:-1], marks=ready[-1])"
    found = measure.ratio(lab, "Egg with its shell", again, moves=4)
    assert set(found) == {"slider", "redraw", "ratio"} and all(value > 0 for value in found.values())


def test_opened_again_without_its_kernel_the_picture_stands(open_notebook, lab, page):
    """Where widgets were, JupyterLab would say "Error displaying widget: model not found"."""
    still = lab.page.locator(".jp-OutputArea .solarlab-still").first
    expect(still).to_be_hidden()
    lab.page.evaluate("() => window.jupyterapp.commands.execute('docmanager:save')")
    lab.page.wait_for_function("() => !window.jupyterapp.shell.currentWidget.context.model.dirty")
    lab.page.evaluate("() => window.jupyterapp.serviceManager.sessions.shutdownAll()")
    with open_notebook() as again:
        expect(again.page.locator(".jp-OutputArea .solarlab-still img").first).to_be_visible()
        lost = again.page.get_by_text("model not found").first
        lost.wait_for(state="attached")
        told = lost.evaluate("e => [getComputedStyle(e).fontSize, getComputedStyle(e, '::after').content]")
        assert told == ["0px", '"Run this cell (Shift+Enter) to get its controls."']


@pytest.mark.parametrize("lesson", _notebooks.find_lessons(), ids=lambda folder: folder.name)
def test_every_bench_of_a_lesson_is_moved_to_its_ends(tmp_path, browser, lesson):
    home, scratch = tmp_path / "home", tmp_path / "scratch"
    scratch.mkdir()
    laid = _copy.lay(lesson, home)
    with contextlib.ExitStack() as stack:
        stack.enter_context(pytest.MonkeyPatch.context()).setenv("PYTHONPATH", str(ROOT))
        lab = stack.enter_context(_harness.start_lab(laid, home, scratch))
        opened = stack.enter_context(_harness.open_notebook(browser, lab, laid.notebook))
        opened.run_all()
        shown = opened.page.locator(".jp-OutputArea .solarlab")
        answer_predictions(opened)
        benches = shown.filter(has=opened.page.locator("[data-drawing]")).all()
        wrong = [f"bench {i}: {what}" for i, bench in enumerate(benches, 1) for what in sweep(bench)]
        opened.page.set_viewport_size({"width": 800, "height": 900})
        opened.page.wait_for_timeout(500)
        wrong += [f"at 800 px: {what}" for one in shown.all() for what in cut_off(one)]
        assert wrong == []
        assert opened.broken == []

"""The trainer's desk in a real browser, the network cut: a sheet, a year, a measured oven, files dropped."""

from __future__ import annotations

import contextlib
import shutil
from pathlib import Path

import pvlib
import pytest

from lessons import _copy
from solarlab._shelf import folder as data_folder
from tests import _outside
from tests import _repository as repository
from tests.browser import _drive, _harness

pytestmark = pytest.mark.browser
BENCH = "trainers-bench"
GREENSBORO = Path(pvlib.__file__).parent / "data" / "723170TYA.CSV"
LABELS = {
    "place": "Place (city on the shelf, or your own name)", "date": "Date (year-month-day)",
    "menu": "Menu, with ; between dishes", "eat": "Eat at", "earliest": "First oven out at the earliest",
    "cloud": "Cloud: unknown, clear, or oktas 0 to 8", "weather": "Weather file (path)",
    "timezone": "Time zone", "water": "Water in the pot, kg", "aimed": "Minutes between two aims, or once",
    "logs": "Logger files with water in the pot (paths, ; between)",
    "light": "Light sensor: level, or sun (facing it)",
    "save": "Keep the fitted oven under the name",
}  # fmt: skip


@pytest.fixture(scope="module")
def desk(tmp_path_factory):
    """The notebook of the desk, open and run in JupyterLab."""
    _outside.must_be_cut()
    home, scratch = tmp_path_factory.mktemp("home"), tmp_path_factory.mktemp("scratch")
    laid = _copy.Laid(BENCH, home / BENCH, "new")
    laid.folder.mkdir()
    shutil.copy(repository.ROOT / "lessons" / BENCH / f"{BENCH}.ipynb", laid.folder)
    with contextlib.ExitStack() as stack:
        lab = stack.enter_context(_harness.start_lab(laid, home, scratch))
        browser = stack.enter_context(_harness.start_browser())
        notebook = stack.enter_context(_harness.open_notebook(browser, lab, laid.notebook))
        notebook.run_all()
        notebook.page.locator(".jupyter-widget-tab, .widget-tab").first.wait_for()
        yield notebook


def tab(desk, title: str):
    """The panel of a tab, brought to the front."""
    desk.page.locator(".lm-TabBar-tab", has_text=title).last.click()
    panel = desk.page.locator(".widget-tab-contents > .lm-Widget:not(.lm-mod-hidden), "
                              ".widget-tab .lm-StackedPanel-child:not(.lm-mod-hidden)").last  # fmt: skip
    panel.wait_for()
    return panel


def fill(panel, **typed) -> None:
    """Type into boxes by their keys."""
    for key, text in typed.items():
        box = panel.get_by_label(LABELS[key], exact=True)
        box.fill(text)
        box.press("Enter")


def press(panel, label: str, *, alert: bool = False):
    """Press the button and wait for what it says; return the words."""
    panel.get_by_role("button", name=label).click()
    said = panel.get_by_role("alert") if alert else panel.locator('[role="status"] b')
    said.wait_for()
    return said.inner_text()


def test_sheet_is_made_printed_and_kept_through_a_mistake(desk):
    panel = tab(desk, "Day sheet")
    fill(panel, place="Nairobi", date="2026-03-10", menu="egg", eat="11:00", earliest="09:00", cloud="1")
    assert "11:00" in press(panel, "Make the sheet")
    page = panel.frame_locator("iframe")
    assert page.locator(".page").count() == 1
    assert page.locator("h2", has_text="Safety first").count() == 1
    over = "e => Math.max(e.scrollHeight - e.clientHeight, e.scrollWidth - e.clientWidth)"
    assert page.locator(".page").evaluate(over) <= 1  # nothing runs over the edge of the paper
    link = panel.get_by_role("link", name="Save as PDF").get_attribute("href")
    assert link.startswith("data:application/pdf")
    fill(panel, menu="rise")
    assert "did you mean 'rice'" in press(panel, "Make the sheet", alert=True)
    assert page.locator(".page").count() == 1
    assert _drive.cut_off(panel) == []


@pytest.mark.parametrize("title", ["Day sheet", "Year", "Your own oven"])
def test_labels_stand_above_their_boxes_where_it_is_narrow(desk, title):
    wide = desk.page.viewport_size
    desk.page.set_viewport_size({"width": 800, "height": 900})
    try:
        panel = tab(desk, title)
        assert _drive.cut_off(panel) == []
    finally:
        desk.page.set_viewport_size(wide)


def test_what_a_log_leaves_open_can_be_said(desk):
    """A wrong word is a sentence, and the kernel lives."""
    panel = tab(desk, "Your own oven")
    fill(panel, place="Bamako", water="2.6", light="sideways")
    logged = data_folder() / "logs" / "invented-day-3.csv"
    fill(panel, logs=str(logged))
    assert "takes level, sun" in press(panel, "Measure the oven", alert=True)
    fill(panel, light="", logs="", water="")


def test_weather_file_is_dropped_and_a_year_made_of_it(desk):
    panel = tab(desk, "Year")
    panel.get_by_label("or drop the file here:").set_input_files(GREENSBORO)
    box = panel.get_by_label(LABELS["weather"], exact=True)
    desk.page.wait_for_function("e => e.value.endsWith('723170TYA.CSV')", arg=box.element_handle())
    fill(panel, place="", timezone="America/New_York", menu="egg", eat="10:00")
    press(panel, "Make the year")
    page = panel.frame_locator("iframe")
    assert page.locator("img").count() == 1
    assert "Against the same dishes" in page.locator("body").inner_text()


def test_logger_file_is_dropped_measured_and_the_oven_offered(desk):
    panel = tab(desk, "Your own oven")
    logged = data_folder() / "logs" / "invented-day-3.csv"
    panel.get_by_label("or drop the files here:").first.set_input_files(logged)
    box = panel.get_by_label(LABELS["logs"], exact=True)
    desk.page.wait_for_function("e => e.value.endsWith('invented-day-3.csv')", arg=box.element_handle())
    fill(panel, place="Bamako", water="2.6", aimed="20", save="Yard box")
    panel.locator("select").first.select_option(label="one-mirror box")
    assert "Yard box".casefold().replace(" ", "-") in press(panel, "Measure the oven")
    page = panel.frame_locator("iframe")
    assert page.locator("h2", has_text="What to improve first").count() == 1
    assert page.locator(".numbers tbody tr").count() > 5
    assert panel.locator("option", has_text="Yard box (your own)").count() == 1


def test_nothing_was_fetched_and_nothing_broke(desk):
    assert desk.outside() == []
    assert desk.broken == []

"""How long from a slider's move to the new picture on the screen, in JupyterLab in headless Chromium.

Two clocks, read in one run on one machine, so that their ratio means something on any machine: the page's,
from the key that moves a slider until the new picture is decoded and a frame has been painted; and the
kernel's, for the same figure redrawn and turned into PNG from arrays that are ready.
"""

from __future__ import annotations

import ast
import contextlib
import os
import tempfile
from pathlib import Path
from statistics import median
from unittest.mock import patch

from lessons import _copy, _notebooks
from tests._repository import ROOT
from tests.browser._drive import answer_predictions
from tests.browser._harness import OpenNotebook, open_notebook, start_browser, start_lab

MOVE = """
async ({label, moves}) => {
  const cells = [...document.querySelectorAll('.jp-OutputArea .solarlab-cell')];
  const cell = cells.filter(c => c.querySelector('.widget-label')?.textContent === label).at(-1);
  const root = cell.closest('.solarlab'), handle = cell.querySelector('.noUi-handle');
  const drawing = () => root.querySelector('[data-drawing]');
  const milliseconds = [];
  for (let i = 0; i < moves; i++) {
    const before = drawing().dataset.drawing, start = performance.now();
    const drawn = new Promise(done => {
      const watch = new MutationObserver(() => {
        if (drawing()?.dataset.drawing !== before) { watch.disconnect(); done(); }
      });
      watch.observe(root, {subtree: true, childList: true, attributes: true});
    });
    const key = i % 8 < 4 ? 'ArrowRight' : 'ArrowLeft';
    handle.dispatchEvent(new KeyboardEvent('keydown', {key, bubbles: true, cancelable: true}));
    await drawn;
    await drawing().querySelector('img').decode();
    await new Promise(requestAnimationFrame);
    milliseconds.push(performance.now() - start);
    await new Promise(done => setTimeout(done, 30));
  }
  return milliseconds;
}
"""

ASK = """
async (code) => {
  const kernel = window.jupyterapp.shell.currentWidget.context.sessionContext.session.kernel;
  const future = kernel.requestExecute(
    {code, silent: true, store_history: false, user_expressions: {answer: '_answer'}});
  const reply = (await future.done).content;
  return reply.status === 'ok' ? reply.user_expressions.answer.data['text/plain'] : 'raise ' + reply.evalue;
}
"""


def slider_to_picture(opened: OpenNotebook, label: str, moves: int = 24) -> list[float]:
    """Milliseconds from each of ``moves`` key presses on a slider to its new picture; two more warm up."""
    return opened.page.evaluate(MOVE, {"label": label, "moves": moves + 2})[2:]


def ask_kernel(opened: OpenNotebook, code: str) -> object:
    """Run ``code`` in the notebook's kernel and return the plain value it leaves in ``_answer``."""
    said = opened.page.evaluate(ASK, code)
    if said.startswith("raise "):
        raise RuntimeError(f"The kernel could not do it: {said[6:]}")
    return ast.literal_eval(said)


def redraw(opened: OpenNotebook, picture: str, repeats: int = 24) -> list[float]:
    """Milliseconds the kernel takes for ``picture``, an expression drawing ready arrays, and for its PNG."""
    return ask_kernel(
        opened,
        f"""
import time
_answer = []
for _ in range({repeats} + 2):
    _start = time.perf_counter()
    ({picture}).png()
    _answer.append((time.perf_counter() - _start) * 1000)
_answer = _answer[2:]
""",
    )


def ratio(opened: OpenNotebook, label: str, picture: str, moves: int = 24) -> dict[str, float]:
    """Medians in milliseconds, ``slider`` and ``redraw``, and their ``ratio``.

    Moves and redraws take turns, so that whatever else the machine does falls on both alike.
    """
    slid, drawn = [], []
    for _ in range(moves // 4):
        slid += slider_to_picture(opened, label, 4)
        drawn += redraw(opened, picture, 4)
    return {"slider": median(slid), "redraw": median(drawn), "ratio": median(slid) / median(drawn)}


SPY = """
import scene
_kept, _draw = {}, scene.figures.egg_bench
def _spy(*arrays, **more):
    _kept.update(arrays=arrays, more=more)
    return _draw(*arrays, **more)
scene.figures.egg_bench = _spy
try:
    scene.picture(scene.egg_day())
finally:
    scene.figures.egg_bench = _draw
_answer = len(_kept["arrays"])
"""


def slider_ratio(label: str = "one egg", moves: int = 24) -> float:
    """How many times as long a slider of lesson 07's first bench takes, real models and all, as a redraw."""
    with contextlib.ExitStack() as stack:
        stack.enter_context(patch.dict(os.environ, PYTHONPATH=str(ROOT)))
        folder = Path(stack.enter_context(tempfile.TemporaryDirectory()))
        (folder / "scratch").mkdir()
        laid = _copy.lay(_notebooks.find_lesson("07"), folder / "home")
        lab = stack.enter_context(start_lab(laid, folder / "home", folder / "scratch"))
        browser = stack.enter_context(start_browser())
        opened = stack.enter_context(open_notebook(browser, lab, laid.notebook))
        opened.run_all()
        answer_predictions(opened)
        opened.page.locator("[data-drawing] img").first.wait_for()
        ask_kernel(opened, SPY)
        return ratio(opened, label, '_draw(*_kept["arrays"], **_kept["more"])', moves)["ratio"]

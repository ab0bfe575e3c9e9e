"""Take the README's picture anew: ``.venv/bin/python -m tests.browser._readme_picture``.

It shows the dry egg's first bench as the printed lesson's reader has it: the bet made, the run unlocked.
"""

from __future__ import annotations

import shutil
import tempfile
from pathlib import Path

from lessons import _copy, _notebooks
from tests import _repository as repository
from tests.browser import _harness

BENCH = "bench-sky"


def main() -> None:
    """Run the lesson's source in JupyterLab, bring the bench to the top, and write the picture."""
    lesson = _notebooks.find_lesson("07")
    with tempfile.TemporaryDirectory() as temporary:
        home, scratch = Path(temporary) / "mine", Path(temporary) / "scratch"
        scratch.mkdir()
        shutil.copytree(lesson, home / lesson.name)
        laid = _copy.Laid(lesson.name, home / lesson.name, "new")
        with (
            _harness.start_lab(laid, home, scratch) as lab,
            _harness.start_browser() as browser,
            _harness.open_notebook(
                browser, lab, laid.notebook, viewport={"width": 1200, "height": 1180}
            ) as notebook,
        ):
            notebook.run_all()
            notebook.page.evaluate("() => window.jupyterapp.commands.execute('application:toggle-left-area')")
            number = [cell["id"] for cell in notebook.cells()].index(BENCH)
            bench = notebook.page.locator(".jp-Notebook .jp-Cell").nth(number - 1)
            notebook.page.wait_for_timeout(3000)  # pictures and fonts come in
            bench.evaluate("cell => cell.scrollIntoView({block: 'start'})")
            notebook.page.wait_for_timeout(1000)
            notebook.picture(repository.ROOT / ".github" / "lesson.png")


if __name__ == "__main__":
    main()

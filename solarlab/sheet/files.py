"""Files for people: written whole or not at all, never over another, and turned into PDF by a browser."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
import tempfile
from pathlib import Path

BROWSERS = (
    "chromium",
    "chromium-browser",
    "google-chrome",
    "google-chrome-stable",
    "microsoft-edge",
    "msedge",
)
INSTALLED = (
    "/Applications/Google Chrome.app/Contents/MacOS/Google Chrome",
    "/Applications/Microsoft Edge.app/Contents/MacOS/Microsoft Edge",
    "/Applications/Chromium.app/Contents/MacOS/Chromium",
    r"C:\Program Files\Google\Chrome\Application\chrome.exe",
    r"C:\Program Files (x86)\Microsoft\Edge\Application\msedge.exe",
)
SECONDS = 90  # the longest a browser may take over one PDF


def write(path, text: str, *, replace: bool = False) -> Path:
    """Write ``text``; a file that is there stays, unless ``replace``."""
    return _place(path, lambda part: part.write_text(text, encoding="utf-8", newline="\n"), replace)


def write_pdf(path, html: str, *, replace: bool = False) -> Path:
    """Print an HTML document to PDF with a browser of the Chromium kind that is on this computer.

    Without one, a RuntimeError says what to do: open the HTML file and print it.  No library of our own draws
    PDF: a browser is nearly everywhere, lays out every script, and what is printed is what is seen.
    """
    found = browser()
    if found is None:
        raise RuntimeError(
            "no Chromium, Chrome or Edge was found to make a PDF; open the HTML file in any browser "
            "and print it."
        )

    def make(part: Path) -> None:
        with tempfile.TemporaryDirectory(prefix="solarlab-pdf-") as folder:
            page = Path(folder) / "sheet.html"
            page.write_text(html, encoding="utf-8")
            command = [
                found,
                "--headless",
                "--disable-gpu",
                "--disable-dev-shm-usage",
                "--no-first-run",
                "--disable-background-networking",
                f"--user-data-dir={folder}/profile",
                "--no-pdf-header-footer",
                f"--print-to-pdf={part}",
                page.as_uri(),
            ]
            if hasattr(os, "geteuid") and os.geteuid() == 0:
                command.insert(1, "--no-sandbox")  # Chromium refuses to start for root otherwise
            try:
                subprocess.run(command, check=True, capture_output=True, timeout=SECONDS)
            except (subprocess.SubprocessError, OSError):
                raise RuntimeError(
                    "the browser did not make the PDF; open the HTML file and print it."
                ) from None
            if not part.is_file() or part.stat().st_size < 1000:
                raise RuntimeError("the browser made no PDF; open the HTML file and print it.")

    return _place(path, make, replace)


def browser() -> str | None:
    """The path of a browser that can print without a screen, or ``None``."""
    known = [shutil.which(name) for name in BROWSERS]
    known += [path for path in INSTALLED if sys.platform in ("darwin", "win32") and Path(path).is_file()]
    return next((path for path in known if path), None)


def _place(path, make, replace: bool) -> Path:
    path = Path(path).expanduser()
    if path.exists() and not replace:
        raise FileExistsError(f"{path.name} is there already; choose another name, or say to replace it.")
    path.parent.mkdir(parents=True, exist_ok=True)
    part = path.with_name(f".{path.stem}-{os.getpid()}.part{path.suffix}")
    try:
        make(part)
        os.replace(part, path)
    finally:
        part.unlink(missing_ok=True)
    return path

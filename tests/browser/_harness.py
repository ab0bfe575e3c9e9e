"""JupyterLab as a learner meets it, driven in headless Chromium: start, open, run, move sliders, look.

The server listens on a free loopback port, with a token, and reads no settings but the course's own.  Every
address that a page asks for is kept, so a test can demand that none lies outside this computer.
"""

from __future__ import annotations

import contextlib
import os
import secrets
import shutil
import socket
import subprocess
import tempfile
import time
import urllib.error
import urllib.request
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from urllib.parse import urlsplit

from playwright.sync_api import Browser, Locator, Page, sync_playwright

from lessons import _copy, _open
from tests import _kernels

PATIENCE = 180_000  # ms; a busy two-core machine can be slow, and no test measures this
CHROMIUM = ("chromium", "chromium-browser", "google-chrome")
CALM = (
    "--disable-background-networking", "--disable-component-update", "--disable-sync", "--disable-quic",
    "--disable-gpu", "--disable-dev-shm-usage", "--no-first-run", "--force-color-profile=srgb",
)  # fmt: skip


@dataclass(frozen=True)
class Lab:
    """A running JupyterLab: its address, its token, and the learner's folder it shows."""

    address: str
    token: str
    home: Path

    def url(self, notebook: Path) -> str:
        return f"{self.address}/lab/tree/{notebook.relative_to(self.home).as_posix()}?token={self.token}"


@contextlib.contextmanager
def start_lab(laid: _copy.Laid, home: Path, scratch: Path) -> Iterator[Lab]:
    """Run JupyterLab as ``python lessons`` does; ``scratch`` takes the settings and the log of this run."""
    port, token = free_port(), secrets.token_hex(16)
    extra = [
        "--no-browser", f"--ServerApp.port={port}", "--ServerApp.port_retries=0", "--ServerApp.ip=127.0.0.1",
        f"--IdentityProvider.token={token}", "--LabApp.expose_app_in_browser=True",
        f"--KernelManager.transport={_kernels.TRANSPORT}",
    ]  # fmt: skip
    extra += as_root("--allow-root")
    environment = _open.quiet_environment()
    for name, folder in (
        ("JUPYTER_CONFIG_DIR", "config"), ("JUPYTER_DATA_DIR", "data"), ("IPYTHONDIR", "ipython"),
        ("SOLARLAB_HOME", "solarlab"),
    ):  # fmt: skip
        environment[name] = str(scratch / folder)
    # Short, for kernels are spoken to over files here, and a socket's path has about a hundred letters.
    environment["JUPYTER_RUNTIME_DIR"] = runtime = tempfile.mkdtemp(prefix="lab-")
    show_every_cell(scratch / "config")
    log = scratch / "jupyterlab.log"
    with log.open("wb") as output:
        server = subprocess.Popen(
            _open.command(laid, home, extra), env=environment, stdout=output, stderr=output, cwd=home
        )
    try:
        lab = Lab(f"http://127.0.0.1:{port}", token, home)
        wait_for(lab, server, log)
        yield lab
    finally:
        stop(server)
        shutil.rmtree(runtime, ignore_errors=True)


def stop(server: subprocess.Popen) -> None:
    """End a server, and its kernels with it."""
    server.terminate()
    try:
        server.wait(30)
    except subprocess.TimeoutExpired:
        server.kill()
        server.wait()


def as_root(flag: str) -> list[str]:
    """Return a flag that JupyterLab and Chromium want of root, and of nobody else."""
    return [flag] if hasattr(os, "getuid") and os.getuid() == 0 else []


def show_every_cell(config: Path) -> None:
    """Have JupyterLab draw cells that are off the screen, too, so that a test can look at them."""
    settings = config / "lab" / "user-settings" / "@jupyterlab" / "notebook-extension"
    settings.mkdir(parents=True)
    (settings / "tracker.jupyterlab-settings").write_text('{"windowingMode": "none"}', encoding="utf-8")


def free_port() -> int:
    with socket.socket() as listener:
        listener.bind(("127.0.0.1", 0))
        return listener.getsockname()[1]


def wait_for(lab: Lab, server: subprocess.Popen, log: Path) -> None:
    deadline = time.monotonic() + PATIENCE / 1000
    while time.monotonic() < deadline and server.poll() is None:
        try:
            with urllib.request.urlopen(f"{lab.address}/api/status?token={lab.token}", timeout=5):
                return
        except (urllib.error.URLError, OSError):
            time.sleep(0.2)
    raise RuntimeError("JupyterLab did not start:\n" + log.read_text("utf-8", errors="replace")[-4000:])


@contextlib.contextmanager
def start_browser() -> Iterator[Browser]:
    """Run headless Chromium, the one this computer has; nothing is downloaded."""
    chromium = next(filter(None, map(shutil.which, CHROMIUM)), None)
    if chromium is None:
        raise RuntimeError("The browser tests need Chromium: install the package 'chromium'.")
    flags = [*CALM, *as_root("--no-sandbox")]
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=chromium, args=flags)
        try:
            yield browser
        finally:
            browser.close()


@dataclass
class OpenNotebook:
    """A notebook open in JupyterLab."""

    page: Page
    asked: list[str] = field(default_factory=list)  # every address the page asked for
    broken: list[str] = field(default_factory=list)  # errors that JavaScript did not catch

    def run_all(self) -> None:
        """Run every cell and wait until the kernel is idle again."""
        self.page.evaluate("() => window.jupyterapp.commands.execute('notebook:run-all-cells')")
        self.wait_idle()

    def wait_idle(self) -> None:
        """Wait until the kernel has answered everything it was asked."""
        kernel = "window.jupyterapp?.shell.currentWidget?.context?.sessionContext.session?.kernel"
        self.page.wait_for_function(f"() => {kernel}?.connectionStatus === 'connected'")
        self.page.evaluate(f"async () => {{ await {kernel}.requestKernelInfo(); }}")

    def cells(self) -> list[dict]:
        """Return the notebook's cells as JupyterLab holds them now, outputs included."""
        return self.page.evaluate("() => window.jupyterapp.shell.currentWidget.content.model.toJSON().cells")

    def printed(self) -> str:
        """Return all that cells printed or showed as plain text, and the errors they raised."""
        texts = []
        for cell in self.cells():
            for output in cell.get("outputs", []):
                content = output.get("text") or output.get("data", {}).get("text/plain", "")
                texts.append("".join(content) + output.get("evalue", ""))
        return "\n".join(texts)

    def shows(self, text: str) -> None:
        """Wait until some output shows a text; fail if it never does."""
        self.page.locator(".jp-OutputArea-output", has_text=text).first.wait_for()

    def interruptions(self) -> list[str]:
        """Return the words of every dialog and notice that stands before the learner."""
        return self.page.locator(".jp-Dialog, .Toastify__toast").all_inner_texts()

    def slider(self, description: str) -> Locator:
        """Return the row of a slider, by the words beside it."""
        return (
            self.page.locator(".jp-OutputArea .widget-hbox, .jp-OutputArea .widget-inline-hbox")
            .filter(has=self.page.locator(f".widget-label:text-is({description!r})"))
            .last
        )

    def type_value(self, description: str, value: object) -> None:
        """Type a value into a slider's number, as a person without a mouse does."""
        number = self.slider(description).locator(".widget-readout")
        number.fill(str(value))
        number.press("Enter")

    def press_slider(self, description: str, key: str = "ArrowRight") -> None:
        """Move a slider one step with the keyboard."""
        self.slider(description).locator(".noUi-handle").press(key)

    def picture(self, path: Path) -> None:
        """Write a picture of the window."""
        self.page.screenshot(path=path)

    def outside(self) -> list[str]:
        """Return the addresses that the page asked for and that are not on this computer."""
        local = ("127.0.0.1", "localhost", None)
        return [url for url in self.asked if urlsplit(url).hostname not in local]


@contextlib.contextmanager
def open_notebook(browser: Browser, lab: Lab, notebook: Path, **window: object) -> Iterator[OpenNotebook]:
    """Open a notebook in a new window (``viewport={"width": 800, "height": 600}``); wait for its kernel."""
    context = browser.new_context(viewport=window.pop("viewport", {"width": 1280, "height": 900}), **window)
    try:
        page = context.new_page()
        page.set_default_timeout(PATIENCE)
        opened = OpenNotebook(page)
        page.on("request", lambda request: opened.asked.append(request.url))
        page.on("websocket", lambda websocket: opened.asked.append(websocket.url))
        page.on("pageerror", lambda error: opened.broken.append(str(error)))
        page.goto(lab.url(notebook))
        page.wait_for_selector(".jp-NotebookPanel:not(.lm-mod-hidden) .jp-Cell")
        opened.wait_idle()
        yield opened
    finally:
        context.close()

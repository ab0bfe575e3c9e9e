"""The repository's own files, for tests that look at all of them."""

from __future__ import annotations

import subprocess
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
MADE = {
    ".git", ".venv", ".venv-before", "__pycache__", ".pytest_cache", ".hypothesis", ".ruff_cache",
    ".ipynb_checkpoints", "build", "dist", "node_modules",
}  # fmt: skip


def files(*suffixes: str) -> list[Path]:
    """Return the repository's files, those not yet committed too; of these suffixes, if any is given."""
    if (ROOT / ".git").exists():
        listed = subprocess.run(
            ["git", "ls-files", "-z", "--cached", "--others", "--exclude-standard"],
            cwd=ROOT, capture_output=True, check=True, text=True,
        ).stdout  # fmt: skip
        found = [ROOT / name for name in listed.split("\0") if name]
    else:  # a copy without git's own folder
        found = [path for path in ROOT.rglob("*") if not MADE.intersection(path.relative_to(ROOT).parts)]
    return sorted(path for path in found if path.is_file() and (not suffixes or path.suffix in suffixes))


def name(path: Path) -> str:
    """Return a file's path inside the repository."""
    return path.relative_to(ROOT).as_posix()


def text(path: Path) -> str:
    """Return a file's text, or none for a picture."""
    try:
        return path.read_text(encoding="utf-8")
    except UnicodeDecodeError:
        return ""

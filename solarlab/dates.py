"""Days and clock times as people say them."""

from __future__ import annotations

__all__ = ["MONTHS", "clock", "on_the_day"]

MONTHS = (
    "January", "February", "March", "April", "May", "June", "July", "August", "September", "October",
    "November", "December",
)  # fmt: skip


def on_the_day(date: str) -> str:
    """``"2026-03-21"`` as people say it: ``"21 March"``."""
    return f"{int(date[8:])} {MONTHS[int(date[5:7]) - 1]}"


def clock(minutes: float) -> str:
    """Minutes after midnight as "HH:MM"."""
    return f"{int(minutes) // 60:02d}:{int(minutes) % 60:02d}"

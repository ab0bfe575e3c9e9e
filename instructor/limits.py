"""What one return may use."""

from __future__ import annotations

from dataclasses import dataclass

MEGABYTE = 2**20


@dataclass(frozen=True)
class Limits:
    """What one return may use, in seconds and bytes."""

    cell_seconds: float = 30.0  # of computing; after this the cell is interrupted
    quiet_seconds: float = 90.0  # by the clock; a cell that only waits for so long is stopped
    start_seconds: float = 180.0  # by the clock, until the first cell starts
    total_seconds: float = 600.0  # by the clock
    memory: int = 2048 * MEGABYTE  # of each process, and of all of them together
    processes: int = 64  # threads counted
    folder_bytes: int = 128 * MEGABYTE
    output_bytes: int = 16 * MEGABYTE  # of all cells
    cell_bytes: int = 1 * MEGABYTE  # of one cell
    value_bytes: int = 1 * MEGABYTE

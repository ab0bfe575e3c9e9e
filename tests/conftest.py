"""What every test shares: no screen, no chance, no clock, and no network where it is said to be cut."""

from __future__ import annotations

import os
import socket

import pytest
from hypothesis import HealthCheck, settings

os.environ["MPLBACKEND"] = "agg"

# The same examples in every run, and none failed for being slow on a busy machine.
settings.register_profile(
    "course", deadline=None, derandomize=True, database=None, suppress_health_check=[HealthCheck.too_slow]
)
settings.load_profile("course")


def interfaces() -> list[str]:
    """Return the names of this computer's network interfaces."""
    return [name for _, name in socket.if_nameindex()]


def pytest_sessionstart(session: pytest.Session) -> None:
    if os.environ.get("SOLARLAB_NETWORK") == "cut" and interfaces() != ["lo"]:
        pytest.exit(f"The network is not cut: there are {interfaces()}.", returncode=3)


@pytest.fixture(autouse=True)
def own_records(tmp_path_factory: pytest.TempPathFactory, monkeypatch: pytest.MonkeyPatch) -> None:
    """Keep predictions of tests out of the folder they run in."""
    monkeypatch.setenv("SOLARLAB_HOME", str(tmp_path_factory.mktemp("records")))
    monkeypatch.delenv("SOLARLAB_LEARNER", raising=False)

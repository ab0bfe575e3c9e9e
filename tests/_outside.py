"""Proof that a network is cut: nothing but loopback is there, and no address outside answers."""

from __future__ import annotations

import os
import socket

import pytest


def must_be_cut() -> None:
    """Fail unless this runs under ``python tests --network-cut``."""
    if os.environ.get("SOLARLAB_NETWORK") != "cut":
        pytest.fail("Run this with the network cut: python tests --network-cut -m 'long or browser' -n 0.")
    assert [name for _, name in socket.if_nameindex()] == ["lo"]
    with socket.socket() as probe:
        probe.settimeout(2)
        with pytest.raises(OSError):
            probe.connect(("192.0.2.1", 80))  # kept for documentation: nobody's address


def printed(notebook) -> str:
    """Return what a run notebook's cells printed, showed as plain text, or raised."""
    texts = []
    for cell in notebook["cells"]:
        for output in cell.get("outputs", []):
            text = output.get("text") or output.get("data", {}).get("text/plain", "")
            texts.append("".join(text) + output.get("evalue", ""))
    return "\n".join(texts)


REPLIES = r"[✓✗?] (Right|Not yet|Cannot read|Handed in)\."  # what a check says of an answer
NOT_ATTEMPTED = r"… Not attempted yet\."

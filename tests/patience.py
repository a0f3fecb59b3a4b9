"""How long to wait on a machine that has other work to do."""

from __future__ import annotations

import os

LONG = 240.0
"""Seconds after which something hangs for certain."""


def here(seconds: float) -> float:
    """The time that work of so many seconds of a quiet machine may take on this one, by its load now."""
    load = os.getloadavg()[0] / len(os.sched_getaffinity(0))
    return seconds * max(1.0, 2 * load)

"""Memory that was used once goes back to the computer."""

from __future__ import annotations

import ctypes
from contextlib import suppress


def give_memory_back() -> None:
    """Let the C library return what was freed, which glibc keeps for later; others are left alone."""
    with suppress(OSError, AttributeError, TypeError):
        ctypes.CDLL(None).malloc_trim(0)

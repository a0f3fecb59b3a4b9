"""What comes before a plan, and a fault that was found, as frozen values of plain fields."""

from __future__ import annotations

from dataclasses import dataclass

WAIT = "wait"
"""The key of a step that waits for a clock."""


@dataclass(frozen=True, slots=True)
class ToSettle:
    """What comes before the plan; of a gate with its `key`, its two words and its minutes."""

    text: str
    key: str = ""
    fine_word: str = ""
    fault_word: str = ""
    minutes: float = 0.0


@dataclass(frozen=True, slots=True)
class FoundCause:
    """A fault: `found` as the check or gate of that `key` says it, its `cause` in words, what repairs it."""

    key: str
    found: str
    cause: str
    repair: str

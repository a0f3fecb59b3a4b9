"""Measured values of a preparation list: what cannot be, and what lies outside a printed window."""

from __future__ import annotations

import re

from kb.errors import BadInput

# A 12 V system under a support unit; common practice, no source. Outside of it the typing is wrong.
POSSIBLE = {"V": (9.0, 18.0)}
_NUMBER = r"\d{1,3}(?:[.,]\d{1,2})?"
_WINDOW = re.compile(rf"({_NUMBER})\s*(?:V|volts?)?\s*(?:to|and|-|\u2013)\s*({_NUMBER})")


def read_value(typed: str, unit: str) -> float:
    """The number typed, "13,5" read as 13.5. Raises BadInput where it is none or cannot be in that unit."""
    text = typed.strip().replace(",", ".")
    if not text:
        raise BadInput(f"Enter the measured value in {unit}.", fields={"measured": "empty"})
    if not re.fullmatch(r"-?\d{1,6}(\.\d{1,4})?", text):
        raise BadInput(f"Enter a number in {unit}, such as 13.5.", fields={"measured": "a number"})
    value = float(text)
    low, high = POSSIBLE.get(unit, (float("-inf"), float("inf")))
    if not low <= value <= high:
        raise BadInput(_cannot_be(value, unit, low, high), fields={"measured": "cannot be"})
    return value


def printed_window(text: str, unit: str) -> tuple[float, float] | None:
    """The window that a line prints ("13.2 to 13.8"), or None; other ranges are passed over."""
    low, high = POSSIBLE.get(unit, (float("-inf"), float("inf")))
    for found in _WINDOW.finditer(text):
        ends = tuple(float(end.replace(",", ".")) for end in found.groups())
        if low <= ends[0] < ends[1] <= high:
            return ends[0], ends[1]
    return None


def _cannot_be(value: float, unit: str, low: float, high: float) -> str:
    said = f"{value:g} {unit} cannot be."
    for tenths in (10, 100):
        if low <= value / tenths <= high:
            return f"{said} Is it {value / tenths:g}?"
    return f"{said} Measure again: {low:g} to {high:g} {unit} are possible."

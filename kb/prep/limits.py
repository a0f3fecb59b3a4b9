"""Measured values: what can be at all, and what a value says beside its printed window.

Voltages are common practice, no source (12.4 to 15.5 V are the ends of the possible on a 12 V vehicle, 24.8
to 31 on a 24 V one); a printed window beyond them counts once the lead has confirmed it with its source.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from enum import StrEnum

from kb.errors import BadInput
from kb.nouns.starting_prep import BATTERY_RESTED, SUPPORT_VOLTAGE
from kb.nouns.typed_numbers import ungrouped
from kb.words.printed_windows import Window, both


class Thing(StrEnum):
    """What a line measures, where the shop knows limits of it. Its value is the line's key."""

    SUPPORT = SUPPORT_VOLTAGE
    RESTED = BATTERY_RESTED
    RIPPLE = "ripple"
    TEMPERATURE = "temperature"
    ODOMETER = "odometer_before"
    OTHER = "other"


IN_THOUSANDS = frozenset({"mi", "km", "mV"})
"""Units in which a comma before three figures parts thousands."""


@dataclass(frozen=True, slots=True)
class Limits:
    """What can be right (`low` to `high`), and what can be read off a meter at all (`least` to `most`)."""

    low: float
    high: float
    least: float
    most: float


def limits_of(thing: Thing, unit: str, system_volts: int = 12) -> Limits | None:
    """The limits of a thing in this unit; None where the shop knows none."""
    times = system_volts / 12
    if thing is Thing.SUPPORT and unit == "V":
        return Limits(12.4 * times, 15.5 * times, 12.4 * times, 15.5 * times)
    if thing is Thing.RESTED and unit == "V":
        return Limits(12.4 * times, 15.5 * times, 0.0, 15.5 * times)
    known = {
        (Thing.RIPPLE, "mV"): (0.0, 500.0, 0.0, 20_000.0),
        (Thing.TEMPERATURE, "°F"): (-60.0, 400.0, -60.0, 400.0),
        (Thing.TEMPERATURE, "°C"): (-50.0, 200.0, -50.0, 200.0),
        (Thing.ODOMETER, "mi"): (0.0, 2_000_000.0, 0.0, 2_000_000.0),
    }
    found = known.get((thing, unit))
    return Limits(*found) if found else None


def widened(limits: Limits, confirmed: Window) -> Limits:
    """The limits with a window that the lead confirmed with its source taken in."""
    low = limits.low if confirmed.low is None else min(limits.low, confirmed.low)
    high = limits.high if confirmed.high is None else max(limits.high, confirmed.high)
    return Limits(low, high, min(limits.least, low), max(limits.most, high))


def is_beyond(window: Window, limits: Limits) -> bool:
    """Whether a printed window reaches past what can be right."""
    low_past = window.low is not None and not limits.low <= window.low < limits.high
    high_past = window.high is not None and not limits.low < window.high <= limits.high
    return low_past or high_past


def closed(window: Window, limits: Limits | None) -> tuple[float | None, float | None]:
    """Both ends as numbers: an end that is not printed is the end of what can be right."""
    whole = both(window, Window(limits.low, limits.high)) if limits else None
    held = whole or window
    return held.low, held.high


def read_value(typed: str, unit: str, limits: Limits | None = None) -> float:
    """The number typed, "13,5" read as 13.5. Raises BadInput for none, or one that no meter can show.

    Of what comes in thousands "61,200" is read as 61200, not as 61.2.
    """
    text = typed.strip()
    text = text.removesuffix(unit).strip() if unit else text
    text = (ungrouped(text) if unit in IN_THOUSANDS else text).replace(",", ".")
    if not text:
        raise BadInput(f"Enter the measured value in {unit}.", fields={"measured": "empty"})
    if not re.fullmatch(r"-?\d{1,7}(\.\d{1,4})?", text):
        raise BadInput(f"Enter a number in {unit}, such as 13.5.", fields={"measured": "a number"})
    value = float(text)
    if limits and not limits.least <= value <= limits.most:
        raise BadInput(_cannot_be(value, unit, limits), fields={"measured": "cannot be"})
    return value


def _cannot_be(value: float, unit: str, limits: Limits) -> str:
    said = f"{value:g} {unit} cannot be right here."
    for tenths in (10, 100):
        if limits.low <= value / tenths <= limits.high:
            return f"{said} Is it {value / tenths:g}?"
    heavy = limits_of(Thing.SUPPORT, unit, 24)
    fits = heavy is not None and heavy.low <= value <= heavy.high
    other = " Say first if this is a 24 V vehicle." if fits else ""
    return f"{said} Measure again: {limits.low:g} to {limits.high:g} {unit} are possible.{other}"

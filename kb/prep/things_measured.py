"""What a printed sentence measures, and the windows that it binds to it."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass

from kb.prep.limits import Thing
from kb.words.printed_windows import Printed, Window, both, read_windows

_RESTED = re.compile(r"\brest(?:ed|ing|s)?\b|support off|open[- ]circuit|before support", re.I)
_RIPPLE = re.compile(r"\bripple\b|\bpeak[- ]to[- ]peak\b", re.I)
_OF_PROGRAMMING = re.compile(r"\b(?:support|suppl(?:y|ies)|maintain\w*|stabili[sz]\w*|program\w*)\b", re.I)
_24_VOLTS = re.compile(r"\b24[\s-]?V(?:olts?)?\b", re.I)
_CLAUSES = re.compile(r"[,;]\s|\.\s|\n")
_WARM = {
    "fluid": r"fluid|atf|transmission|gearbox",
    "oil": r"\boil\b",
    "coolant": r"coolant|engine",
    "battery": r"battery|\bcells?\b",
    "module": r"module|control unit",
    "ambient": r"ambient|outside|outdoor|\bair\b|room|\bbay\b|workshop|garage",
}


@dataclass(frozen=True, slots=True)
class Bound:
    """A window bound to what it measures; `of` tells temperatures apart (coolant, fluid, ambient...)."""

    thing: Thing
    of: str
    unit: str
    window: Window

    @property
    def key(self) -> str:
        return f"{self.thing.value}_{self.of}" if self.of else self.thing.value


def bound_windows(text: str, unit: str = "") -> tuple[Bound, ...]:
    """What a line of a bulletin or requirement prints, one for each thing, ends printed apart put together.

    A `unit` is the one that the lead says the line is measured in.
    """
    found: dict[tuple[str, bool], Bound] = {}
    for printed in (*read_windows(text), *(read_windows(text, unit) if unit else ())):
        one = _bind(text, printed)
        at = (one.key, one.unit == "V" and is_24_volts(one.window))
        known = found.setdefault(at, one)
        if known.unit == one.unit and (_one_ended(known.window) or _one_ended(one.window)):
            window = both(known.window, one.window) or known.window
            found[at] = Bound(one.thing, one.of, one.unit, window)
    return tuple(found.values())


def _one_ended(window: Window) -> bool:
    return window.low is None or window.high is None


def sentences_of_programming(text: str) -> list[str]:
    """Of a bulletin's running text, which tells of much else in volts, the sentences about programming."""
    return [one for one in re.split(r"(?<=[.!?])\s+|\n", text) if _OF_PROGRAMMING.search(one)]


def thing_measured(text: str, unit: str) -> Thing:
    """What a line measures whose unit the lead entered, whether or not it prints a window."""
    if unit in ("°F", "°C"):
        return Thing.TEMPERATURE
    if unit == "mV" or (unit == "V" and _RIPPLE.search(text)):
        return Thing.RIPPLE
    if unit != "V":
        return Thing.OTHER
    return Thing.RESTED if _RESTED.search(text) else Thing.SUPPORT


def is_system_voltage(window: Window) -> bool:
    """Whether a window can speak of the vehicle's 12 or 24 V at all."""
    ends = [end for end in (window.low, window.high) if end is not None]
    return all(9 <= end <= 18 for end in ends) or all(18 <= end <= 36 for end in ends)


def is_24_volts(window: Window) -> bool:
    return (window.low or window.high or 0) >= 18


def speaks_of_24_volts(texts: Iterable[str]) -> bool:
    return any(_24_VOLTS.search(text) for text in texts)


def clauses(text: str) -> int:
    """How many things a line asks for, told by its commas and full stops."""
    return len([one for one in _CLAUSES.split(text.strip()) if one.strip(" .")])


def _bind(text: str, printed: Printed) -> Bound:
    clause = _clause(text, printed)
    thing = thing_measured(clause, printed.unit)
    window, unit = printed.window, printed.unit
    if thing is Thing.RIPPLE and unit == "V":
        window, unit = _in_millivolts(window), "mV"
    elif thing in (Thing.SUPPORT, Thing.RESTED) and not is_system_voltage(window):
        thing = Thing.OTHER
    of = _warm(clause) or _warm(text) if thing is Thing.TEMPERATURE else ""
    return Bound(thing, of, unit, window)


def _in_millivolts(window: Window) -> Window:
    low, high = (None if end is None else end * 1000 for end in (window.low, window.high))
    return Window(low, high, window.above, window.below)


def _clause(text: str, printed: Printed) -> str:
    before = [one.end() for one in _CLAUSES.finditer(text, 0, printed.start)]
    after = _CLAUSES.search(text, printed.end)
    return text[before[-1] if before else 0 : after.start() if after else len(text)]


def _warm(text: str) -> str:
    return next((name for name, words in _WARM.items() if re.search(words, text, re.I)), "")

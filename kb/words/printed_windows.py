"""Windows as manufacturers print them: "13.0 to 14.8 V", "13.8 V ± 0.5", "below 158 °F", "at least 13.0 V".

What cannot be read without doubt is no window: "if below 13 V charge first" says neither which side is right
nor from when on. Units: V, mV, °F, °C, and whatever unit the caller names.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import lru_cache

_NUMBER = r"(?:(?<![\w.,])[-\u2212])?(?:\d{1,4}(?:[.,]\d{1,3})?|\.\d{1,3})"
_UNITS = {
    "mV": r"m\s?V|milli-?volts?",
    "V": r"V(?:\s?DC)?|volts?(?:\s?DC)?",
    "°F": r"(?:[°º]|deg(?:rees?)?\.?)\s?F(?:ahrenheit)?|F(?:ahrenheit)?",
    "°C": r"(?:[°º]|deg(?:rees?)?\.?)\s?C(?:elsius)?|C(?:elsius)?",
}
_TO = r"(?:to|and|through|thru|up\s+to|[-\u2010-\u2015~]|\.{2,3}|\u2026)"
_ABOUT = r"(?:±|\+\s?/?\s?[-\u2212]|plus\s+or\s+minus)"
_LEAST = r"at\s+least|minimum|min\b\.?|≥|>=|no\s+less\s+than"
_MOST = r"at\s+most|maximum|max\b\.?|≤|<=|up\s+to|no\s+more\s+than"
_OVER = r"above|over|(?:more|greater|higher|warmer|hotter)\s+than|exceed(?:s|ing)?|in\s+excess\s+of|>"
_UNDER = r"below|under|(?:less|lower|cooler|colder)\s+than|<"
_FILLER = (
    r"\s*[:=]?\s*(?:(?:of|is|be|a|the|support|supply|battery|system|voltage|temperature)\b\s*[:=]?\s*){0,4}"
)
_NOT = re.compile(r"\b(?:not|never|no|cannot|nor|avoid)\b|n['\u2019]t\b", re.I)
_IF = re.compile(r"\b(?:if|when|whenever|unless|once|case)\b", re.I)
_ONLY_IF = re.compile(r"\bonly\s+(?:if|when|once)\b", re.I)
_DROPS = re.compile(r"\b(?:drop|fall|dip|sink|sag)s?\s+(?:to\s+)?$", re.I)
_RISES = re.compile(r"\b(?:rise|climb|go|get)s?\s+(?:to\s+)?$", re.I)
_CLAUSE_ENDS = re.compile(r"[,;:()!?]|\.(?:\s|$)|\b(?:and|but|then)\b")


@dataclass(frozen=True, slots=True)
class Window:
    """From `low` to `high`, both inside; None is an end that is not printed.

    `above` and `below`: the end itself is outside ("below 158 °F").
    """

    low: float | None = None
    high: float | None = None
    above: bool = False
    below: bool = False

    def holds(self, value: float) -> bool:
        over = self.low is None or (value > self.low if self.above else value >= self.low)
        under = self.high is None or (value < self.high if self.below else value <= self.high)
        return over and under

    def words(self, unit: str) -> str:
        """Such as "13.2 to 13.8 V", "at least 13 V", "below 158 °F"."""
        if self.low is not None and self.high is not None:
            return f"{self.low:g} to {self.high:g} {unit}"
        if self.low is not None:
            return f"{'above' if self.above else 'at least'} {self.low:g} {unit}"
        return f"{'below' if self.below else 'at most'} {self.high or 0:g} {unit}"


@dataclass(frozen=True, slots=True)
class Printed:
    """A window with its unit and the characters of the text that print it."""

    window: Window
    unit: str
    start: int
    end: int


def both(one: Window, other: Window) -> Window | None:
    """What lies in both windows; None where nothing does."""
    low, above = max(((w.low, w.above) for w in (one, other)), key=_as_low)
    high, below = min(((w.high, w.below) for w in (one, other)), key=_as_high)
    if low is not None and high is not None and (low > high or (low == high and (above or below))):
        return None
    return Window(low, high, above, below)


def read_windows(text: str, unit: str = "") -> tuple[Printed, ...]:
    """Every window that a text prints, in its order.

    With a `unit` only those of that unit, and a range without any unit ("13.2 to 13.8") is of it.
    """
    found: list[Printed] = []
    for one in (unit,) if unit else tuple(_UNITS):
        for printed in _of_unit(text, one, bare=bool(unit)):
            if not any(printed.start < known.end and known.start < printed.end for known in found):
                found.append(printed)
    return tuple(sorted(found, key=lambda one: one.start))


def _of_unit(text: str, unit: str, *, bare: bool) -> Iterator[Printed]:
    patterns = _patterns(unit)
    for kind in ("about", "range", *(("bare",) if bare else ()), "suffix", "prefix"):
        for match in patterns[kind].finditer(text):
            window = _READ[kind](match)
            if window is not None:
                yield Printed(window, unit, match.start(), match.end())


@lru_cache(maxsize=64)  # of our units and of those that leads name
def _patterns(unit: str) -> dict[str, re.Pattern[str]]:
    said = rf"(?:{_UNITS.get(unit, re.escape(unit))})(?!\w)"
    low, high = rf"(?P<low>{_NUMBER})", rf"(?P<high>{_NUMBER})"
    forms = {
        "about": rf"(?<![\w.,]){low}\s?(?:{said})?\s*\(?{_ABOUT}\s*{high}\s?(?P<percent>%)?(?:{said})?",
        "range": rf"(?<![\w.,]){low}\s?-?(?:{said})?\s*{_TO}\s*{high}\s?-?{said}",
        "bare": (
            rf"(?<![\w.,]){low}\s*(?:to|and|[-\u2010-\u2015])\s*{high}"
            r"(?![\w.,]*\d|\s*(?:min|sec|hour|day|h\b|s\b|%))"
        ),
        "suffix": (
            rf"(?<![\w.,])(?P<end>{_NUMBER})\s?-?{said}\s*\(?(?:or|and)?\s*"
            r"(?:(?P<least>more|above|higher|over|greater|warmer|minimum|min\b\.?)"
            r"|(?P<most>less|below|lower|under|cooler|colder|maximum|max\b\.?))"
            r"(?!\w|\s*[:=]?\s*(?:of\s+|than\s+)?\d)"
        ),
        "prefix": (
            rf"(?:(?P<least>{_LEAST})|(?P<most>{_MOST})|(?P<over>{_OVER})|(?P<under>{_UNDER}))"
            rf"{_FILLER}(?P<end>{_NUMBER})\s?-?{said}"
        ),
    }
    return {kind: re.compile(form, re.I) for kind, form in forms.items()}


def _range(match: re.Match[str]) -> Window | None:
    low, high = sorted((_value(match["low"]), _value(match["high"])))
    return Window(low, high) if low < high else None


def _about(match: re.Match[str]) -> Window | None:
    """Such as "13.8 V ± 0.5"; a percentage is of the middle. None where no unit is printed."""
    if not re.search(r"[^\W\d_]|°", re.sub(_ABOUT, "", match[0], flags=re.I)):
        return None
    middle, off = _value(match["low"]), _value(match["high"])
    off = abs(middle) * off / 100 if match["percent"] else off
    return Window(round(middle - off, 4), round(middle + off, 4))


def _suffix(match: re.Match[str]) -> Window:
    end = _value(match["end"])
    return Window(low=end) if match["least"] else Window(high=end)


def _prefix(match: re.Match[str]) -> Window | None:
    """One end; "not above" turns it round, and a condition ("if below") is read only where it is plain."""
    end, before = _value(match["end"]), _clause_before(match)
    if match["least"]:
        return Window(low=end)
    if match["most"]:
        return Window(high=end)
    over = match["over"] is not None
    if (_DROPS if not over else _RISES).search(before) or _NOT.search(before):
        return Window(high=end) if over else Window(low=end)
    if _IF.search(before) and not _ONLY_IF.search(before):
        return None
    return Window(low=end, above=True) if over else Window(high=end, below=True)


_READ = {"about": _about, "range": _range, "bare": _range, "suffix": _suffix, "prefix": _prefix}


def _clause_before(match: re.Match[str]) -> str:
    """The last six words before a comparison, within its clause."""
    before = match.string[: match.start()]
    ends = [one.end() for one in _CLAUSE_ENDS.finditer(before)]
    return " ".join(before[ends[-1] if ends else 0 :].split()[-6:]) + " "


def _value(said: str) -> float:
    return float(said.replace(",", ".").replace("\u2212", "-"))


def _as_low(end: tuple[float | None, bool]) -> tuple[float, bool]:
    return (float("-inf") if end[0] is None else end[0], end[1])


def _as_high(end: tuple[float | None, bool]) -> tuple[float, bool]:
    return (float("inf") if end[0] is None else end[0], not end[1])


def meet(windows: Iterable[Window]) -> Window | None:
    """What lies in all of them: the first alone where they contradict one another; None of none."""
    held: Window | None = None
    for one in windows:
        held = one if held is None else both(held, one) or held
    return held

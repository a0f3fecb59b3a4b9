"""The lines of a preparation list: what is printed, with one line for each thing that is measured.

A window is bound to its line from wherever it is printed: precautions, running text, the make's requirements.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace

from kb.prep.limits import Limits, Thing, closed, is_beyond, limits_of, widened
from kb.prep.things_measured import (
    Bound,
    bound_windows,
    clauses,
    is_24_volts,
    speaks_of_24_volts,
    thing_measured,
)
from kb.words.printed_windows import Window, meet

PLACES = ("battery", "cabin", "computer")
"""Where a person stands while settling a line."""

VOLTAGES = (Thing.SUPPORT, Thing.RESTED)
_AT_THE_BATTERY = ("volt", "battery", "support", "supply", "charg", "load")
_AT_THE_COMPUTER = ("computer", "internet", "laptop", "software", "download", "type ", "enter ", "screen")


FEWEST_LETTERS = 3


@dataclass(frozen=True, slots=True)
class PrintedLine:
    """A line as a bulletin or a make's requirement prints it. With `unit` the lead says it is measured."""

    key: str
    place: str
    text: str
    source: str
    unit: str = ""


@dataclass(frozen=True, slots=True)
class BeyondLimits:
    """A printed window past what can be right: not in force until the lead confirms it with its source."""

    printed: str
    source: str
    window: Window


@dataclass(frozen=True, slots=True)
class PrepLine:
    """One thing to do, measure or settle. `source` says where it comes from.

    A line that `blocks` cannot be ticked, only passed over by name and reason; one that `asks` for words is
    settled by them alone, one with `signers` by one of those people. `window` is the printed one in force,
    `thing` what a line with a `unit` measures.
    """

    key: str
    place: str
    text: str
    source: str
    unit: str = ""
    blocks: bool = False
    asks: str = ""
    signers: tuple[str, ...] = ()
    thing: Thing = Thing.OTHER
    window: Window | None = None
    limits: Limits | None = None
    beyond: tuple[BeyondLimits, ...] = ()

    @property
    def ends(self) -> tuple[float | None, float | None] | None:
        """The window as two numbers; an end not printed is the end of what can be right."""
        return closed(self.window, self.limits) if self.window else None


@dataclass(frozen=True, slots=True)
class AsPrinted:
    """Everything printed about one programming; `confirmed`: lines whose windows a lead confirmed."""

    lines: tuple[PrintedLine, ...] = ()
    prose: tuple[PrintedLine, ...] = ()
    confirmed: Collection[str] = ()
    is_24_volts: bool = False

    @property
    def bound(self) -> tuple[tuple[PrintedLine, Bound], ...]:
        of_lines = ((line, one) for line in self.lines for one in bound_windows(line.text, line.unit))
        of_prose = ((line, one) for line in self.prose for one in bound_windows(line.text) if _is_plain(one))
        return (*of_lines, *of_prose)

    @property
    def system_volts(self) -> int:
        """24 where somebody says so, or where everything printed speaks of 24 V; else 12."""
        printed = [is_24_volts(one.window) for _, one in self.bound if one.thing is Thing.SUPPORT]
        said = all(printed) if printed else speaks_of_24_volts(line.text for line in self.lines)
        return 24 if self.is_24_volts or said else 12


def read_lines(printed: AsPrinted, starting: Sequence[PrepLine], *, ask_ripple: bool) -> tuple[PrepLine, ...]:
    """Measured lines first, then what is only read and ticked, as printed and by common practice."""
    bound, volts = printed.bound, printed.system_volts
    measured = [one for one in starting if one.unit and (one.thing is not Thing.RIPPLE or ask_ripple)]
    known = {one.key for one in measured}
    also = {line.key: line for line in (*_of_things(bound, starting), *_of_units(printed.lines))}
    measured += [line for key, line in also.items() if key not in known]
    ticked = [_ticked(line) for line in printed.lines if not _is_measured(line)]
    return (
        *(_bind(line, bound, volts, printed.confirmed) for line in measured),
        *ticked,
        *(one for one in starting if not one.unit),
    )


def place_of(text: str) -> str:
    """Where a person stands for a line whose place nobody said."""
    said = text.casefold()
    if any(word in said for word in _AT_THE_COMPUTER):
        return "computer"
    return "battery" if any(word in said for word in _AT_THE_BATTERY) else "cabin"


def folded(text: str) -> str:
    """A printed line for comparing: capitals and blanks aside."""
    return " ".join(text.casefold().split())


def _is_plain(one: Bound) -> bool:
    """A support voltage within what is possible: all that running text is read for."""
    limits = limits_of(one.thing, one.unit, 24 if is_24_volts(one.window) else 12)
    return one.thing is Thing.SUPPORT and limits is not None and not is_beyond(one.window, limits)


def _of_things(bound: Sequence[tuple[PrintedLine, Bound]], starting: Sequence[PrepLine]) -> list[PrepLine]:
    """Lines that a printed window itself calls for: temperatures, ripple."""
    found: dict[str, PrepLine] = {}
    ripple = [one for one in starting if one.thing is Thing.RIPPLE]
    for line, one in bound:
        if one.thing is Thing.RIPPLE:
            found.setdefault(one.key, ripple[0])
        if one.thing is Thing.TEMPERATURE:
            text = line.text if _is_measured(line) else f"{one.of or 'temperature'} as printed: “{line.text}”"
            found.setdefault(one.key, _temperature(one.key, one.of, text, line, one.unit))
    return list(found.values())


def _of_units(lines: Sequence[PrintedLine]) -> list[PrepLine]:
    """Lines that the lead calls measured, whatever they print."""
    found = []
    for line in lines:
        thing = thing_measured(line.text, line.unit)
        if line.unit and thing is Thing.TEMPERATURE and not bound_windows(line.text, line.unit):
            found.append(_temperature(line.key, "", line.text, line, line.unit))
        elif line.unit and not _bears_voltage(line):
            found.append(PrepLine(line.key, line.place, line.text, line.source, line.unit))
    return found


def _bears_voltage(line: PrintedLine) -> bool:
    """Whether a measured line is one of the things that have a line already."""
    bound = bound_windows(line.text, line.unit)
    things = {one.thing for one in bound} or {thing_measured(line.text, line.unit)}
    return bool(things - {Thing.OTHER})


def _temperature(key: str, of: str, text: str, line: PrintedLine, unit: str) -> PrepLine:
    place = "battery" if of == "battery" else "cabin"
    said = text[:1].upper() + text[1:]
    return PrepLine(key, place, said, line.source, unit, thing=Thing.TEMPERATURE)


def _is_measured(line: PrintedLine) -> bool:
    """Whether a printed line is one measured thing and nothing else, so that its line is the measured one."""
    bound = [one for one in bound_windows(line.text, line.unit) if one.thing is not Thing.OTHER]
    return bool(line.unit) or (len(bound) == 1 and clauses(line.text) == 1)


def _ticked(line: PrintedLine) -> PrepLine:
    return PrepLine(line.key, line.place, line.text, line.source)


def _bind(
    line: PrepLine, bound: Sequence[tuple[PrintedLine, Bound]], volts: int, confirmed: Collection[str]
) -> PrepLine:
    """The line with the windows printed for it, wherever, and where each is printed."""
    limits = limits_of(line.thing, line.unit, volts)
    mine = [(at, one.window) for at, one in bound if _is_for(line, at, one, volts)]
    sure = {folded(one) for one in confirmed}
    beyond = [
        BeyondLimits(at.text, at.source, window)
        for at, window in mine
        if limits and line.thing in VOLTAGES and is_beyond(window, limits) and folded(at.text) not in sure
    ]
    doubted = {one.printed for one in beyond}
    in_force = [(at, window) for at, window in mine if at.text not in doubted]
    for _at, window in in_force:
        limits = widened(limits, window) if limits and line.thing in VOLTAGES else limits
    return replace(
        line,
        limits=limits,
        window=meet(window for _, window in in_force),
        beyond=tuple(beyond),
        source="; ".join(dict.fromkeys((line.source, *(at.source for at, _ in in_force)))),
    )


def _is_for(line: PrepLine, at: PrintedLine, one: Bound, volts: int) -> bool:
    if one.thing is Thing.OTHER:
        return line.key == at.key and one.unit == line.unit
    if one.thing in VOLTAGES and is_24_volts(one.window) != (volts == 24):
        return False
    return one.key == line.key and one.unit == line.unit


def is_told(said: str) -> bool:
    """Whether what was written where words are asked for says anything: an "x" or a dash does not."""
    return sum(one.isalpha() for one in said) >= FEWEST_LETTERS

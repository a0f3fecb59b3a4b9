"""Model years that a paper is for: "2016-2019", "MY2016–19", "16-19", "2016 through 2019", "2015 and 2016".

A run of years counts where it is marked (MY, model year), stands beside the name of a vehicle, or under a
heading of vehicles or years; a day, a number or "since 2016" is none. Old files lost the sign between two
years: those that stand together ("2018  2019", "20182023") are a range.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from kb.intake.text.days import PrintedDay
from kb.intake.text.paper.headings import Part
from kb.intake.text.paper.layout import Paper
from kb.intake.text.vehicle.names import Named, near
from kb.nouns.model_years import year_of_two_figures

_LONG = r"(?:19[6-9]\d|20[0-3]\d)"
_SHORT = r"['\u2018\u2019]?\d\d"
_MY = r"(?:M\.?/?Y\.?s?|[Mm]odel\s+[Yy]ears?)"
_TO = r"\s*(?:-|\u2010|\u2011|\u2012|\u2013|\u2014|~|(?i:\bto\b|\bthru\b|\bthrough\b))\s*"
_RANGE = re.compile(
    rf"(?<![\w.$#/-])(?P<ahead>MY\s?|{_MY}\s*)?(?P<first>{_LONG}|{_SHORT})\s?(?P<marked>MY|M/Y)?"
    rf"(?:(?P<to>{_TO})(?P<my>MY\s?)?|(?P<lost>[^\S\n]{{2,24}}|[^\S\n]*\|[^\S\n]*|(?=20\d\d)))(?P<last>{_LONG}|{_SHORT})"
    rf"(?P<behind>\s?(?:MY|M/Y)s?\b|\s*{_MY}\b)?(?![\w/]|-\w|\.\d|,\d{{3}})"
)
_ONE = re.compile(
    rf"(?<![\w.$#/-])(?P<ahead>MY\s?|{_MY}\s*)?(?P<first>{_LONG}|{_SHORT})(?P<behind>\s?(?:MY|M/Y)s?\b|\s*{_MY}\b)?"
    r"(?![\w/%]|-\w|\.\d|,\d{3})"
)
_START = re.compile(rf"(?<![\w.$#/-])(?:MY\s?|{_MY}\s*)?['\u2018\u2019]?\d\d")
_BETWEEN = re.compile(r"\s*(?:,|;|&|/|\+|\band\b|\bor\b|,\s*and\b|,\s*or\b)\s*", re.IGNORECASE)
_DATED = re.compile(
    r"(?:\b(?:in|since|until|by|of|copyright|dated|fmvss|january|february|march|april|may|june|july|august|september|"
    r"october|november|december|not|except|excluding|page|step|item|figure|no\.?|phone|call|version|ver\.?|at)|\u00a9|\(c\))\s*$",
    re.IGNORECASE,
)
_MODEL_YEARS = re.compile(rf"{_MY}\s*[:(]?\s*$")
_OF_YEARS = frozenset((Part.YEARS, Part.VEHICLES, Part.MODEL))
_REACH = 32
"""A vehicle's name stands so many letters from its years at most."""
_TO_NAME = re.compile(r"\s{0,4}\)?[\s:,-]{0,4}(?:\w+\s){0,2}")
_FROM_NAME = re.compile(r"(?:\s{0,4}\([^)]*\))?[\s,:(-]{0,4}(?:(?!in\b|since\b)\w+[\s,:(]{1,3})?")
_IN_COLUMNS = re.compile(r"\b(?:from|first)\b[^\n]{0,40}\b(?:to|through|last)\b[^\n]*\n", re.IGNORECASE)
"""The head of two columns that tell the first and the last year."""
_LOST_SIGN, _MOST_ABOVE = 3, 1500
_MOST, _MOST_BETWEEN = 40, 16


@dataclass(frozen=True, slots=True)
class YearsRead:
    """Model years and the place that they were read from."""

    years: tuple[int, ...]
    begins: int
    ends: int


def years_in(paper: Paper, named: Sequence[Named], days: Sequence[PrintedDay]) -> Iterator[YearsRead]:
    """The model years that a paper names as a vehicle's, range by range, in its order."""
    for run in _runs(paper, list(_pieces(paper, days))):
        if any(one.is_marked for one in run) or _is_of_vehicle(paper, run, named):
            yield from (YearsRead(one.years, one.begins, one.ends) for one in run if one.years)


@dataclass(frozen=True, slots=True)
class _Piece:
    years: tuple[int, ...]
    begins: int
    ends: int
    is_marked: bool
    is_short: bool


def _pieces(paper: Paper, days: Sequence[PrintedDay]) -> Iterator[_Piece]:
    """Ranges and single years, whether or not they are a vehicle's."""
    flat, at = paper.flat, 0
    dated = {place for one in days for place in range(one.begins, one.ends)}
    for start in _START.finditer(flat):
        if start.start() < at:
            continue
        for form in (_RANGE, _ONE):
            found = form.match(flat, start.start())
            piece = _piece(flat, found) if found else None
            if found and piece:
                at = found.end()
                if piece.begins not in dated and piece.ends - 1 not in dated:
                    yield piece
                break


def _piece(flat: str, found: re.Match[str]) -> _Piece | None:
    parts = found.groupdict()
    marked = bool(parts["ahead"] or parts["behind"] or parts.get("marked") or parts.get("my"))
    short = len(found["first"]) < 4
    first = _year(found["first"])
    last = _year(parts["last"]) if parts.get("last") else first
    if not 0 <= last - first <= _MOST or (parts.get("last") and last == first and short):
        return None
    lost = parts.get("lost")
    columns = bool(lost) and _in_columns(flat, found)
    close = lost is None or (len(lost) <= _LOST_SIGN and "|" not in lost)
    if lost is not None and (len(found["last"]) < 4 or not (close or columns)):
        return None
    ahead = flat[max(0, found.start() - 24) : found.start()]
    marked = marked or columns or bool(_MODEL_YEARS.search(ahead))
    if not marked and (
        _DATED.search(ahead) or (short and not parts.get("last") and found["first"][0].isdigit())
    ):
        return None
    return _Piece(tuple(range(first, last + 1)), found.start(), found.end(), marked, short)


def _in_columns(flat: str, found: re.Match[str]) -> bool:
    """Whether two years stand in columns that are headed as the first and the last one."""
    return _IN_COLUMNS.search(flat, max(0, found.start() - _MOST_ABOVE), found.start()) is not None


def _year(said: str) -> int:
    said = said.strip("'\u2018\u2019")
    return int(said) if len(said) == 4 else year_of_two_figures(said)


def _runs(paper: Paper, pieces: Sequence[_Piece]) -> Iterator[list[_Piece]]:
    """Years that stand in one list: "2015, 2016 and 2018"."""
    run: list[_Piece] = []
    for piece in pieces:
        apart = run and piece.begins - run[-1].ends > _MOST_BETWEEN
        if run and (apart or not _BETWEEN.fullmatch(paper.flat, run[-1].ends, piece.begins)):
            yield run
            run = []
        run.append(piece)
    if run:
        yield run


def _is_of_vehicle(paper: Paper, run: Sequence[_Piece], named: Sequence[Named]) -> bool:
    """Whether a run that no MY marks stands beside the name of a vehicle or under a heading of years."""
    flat, begins, ends = paper.flat, run[0].begins, run[-1].ends
    if paper.part_at(begins).part in _OF_YEARS:
        return True
    for one in near(named, begins, ends, _REACH):
        if one.begins >= ends and _TO_NAME.fullmatch(flat, ends, one.begins):
            return True
        if one.ends <= begins and _FROM_NAME.fullmatch(flat, one.ends, begins):
            return True
    return not any(one.is_short for one in run) and bool(
        re.match(r"\s+(?:[A-Z][\w-]*\s+){1,3}(?:vehicles|models|trucks)\b", flat[ends : ends + 60])
    )

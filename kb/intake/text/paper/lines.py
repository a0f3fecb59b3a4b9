"""The lines of a pasted paper: which of them go on in the next one, and which are heads and feet of pages."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from kb.intake.text.paper.headings import part_headed

BULLET = re.compile(
    r"\s*(?:[\u2022\u25cf\u25cb\u25aa\u25a0\u00b7\u2023\u2043\uf0b7*\u2713\u2610.o-]|&#\d+;|\(?\d{1,2}[.)]|\(?[a-zA-Z][.)]"
    r"|(?i:step)\s+\d{1,2}\s*[:.])\s+"
)
"""What an entry of a list begins with."""
_COLUMNS = re.compile(r"\S(?:\t| {2,}|\s*\|\s*)\S")
_PAGE_FEET = re.compile(
    r"\s*(?:\[?page\s+\d+\]?|page\s+\d+(?:\s*(?:of|/)\s*\d+)?|\d+\s*(?:of|/)\s*\d+|-\s*\d+\s*-|\d{1,3}"
    r"|(?:\u00a9|\(c\)|copyright\b).*|.*\ball\s+rights\s+reserved\b.*)\s*",
    re.IGNORECASE,
)
_PAGE = re.compile(r"\bpage\s+\d", re.IGNORECASE)
_LEAST_WRAPPED, _SHORT_LINE, _WIDEST = 38, 8, 200
_FULL, _SURELY_FULL, _MOST_LINES = 0.62, 0.8, 0.9
"""Parts of the usual width, which so many lines have at most: a line so long goes on, and so long even
behind a period. Tried on bulletins of many layouts.
"""
_MOST_BLANKS = 60
_LONG_RUN = re.compile(rf"\s{{{_MOST_BLANKS + 1},}}")
_BLANKS = str.maketrans(dict.fromkeys("\r\t\f\v\u00a0", " "))


@dataclass(frozen=True, slots=True)
class Line:
    """One line of the text without its end."""

    begins: int
    ends: int


def squeezed(text: str) -> tuple[str, list[int]]:
    """The text without runs of blanks longer than any layout needs, and where each letter was."""
    places: list[int] = []
    done = 0
    for run in _LONG_RUN.finditer(text):
        places += range(done, run.start() + _MOST_BLANKS)
        done = run.end()
    places += range(done, len(text))
    return "".join(text[at] for at in places), places


def lines_of(text: str) -> Iterator[Line]:
    """The lines of a text, empty ones too."""
    at = 0
    for raw in text.split("\n"):
        yield Line(at, at + len(raw.rstrip("\r\f\v \t")))
        at += len(raw) + 1


def flattened(text: str, lines: Sequence[Line], heads: frozenset[int]) -> str:
    """The text, letter for letter as long, with lines that wrap joined by spaces and running lines blank.

    `heads` are the numbers of lines that hold headings.
    """
    letters = list(text.translate(_BLANKS))
    for n in _running(text, lines):
        for at in range(lines[n].begins, lines[n].ends):
            letters[at] = " "
        if lines[n].ends < len(letters) and n:
            letters[lines[n - 1].ends : lines[n].begins] = " " * (lines[n].begins - lines[n - 1].ends)
    width = _width(lines)
    for n in range(len(lines) - 1):
        if _goes_on(text, lines, n, heads, width):
            letters[lines[n].ends : lines[n + 1].begins] = " " * (lines[n + 1].begins - lines[n].ends)
    return "".join(letters)


def _width(lines: Sequence[Line]) -> int:
    """How long a full line of this text is."""
    lengths = sorted(one.ends - one.begins for one in lines if one.ends > one.begins)
    return lengths[min(int(len(lengths) * _MOST_LINES), len(lengths) - 1)] if lengths else 0


def _running(text: str, lines: Sequence[Line]) -> Iterator[int]:
    """Lines, by number, that are heads and feet of pages: page numbers, or the same words again and again."""
    same = Counter(_alike(text, one) for one in lines)
    several = "\f" in text or any(_PAGE.search(text, one.begins, one.ends) for one in lines)
    first: set[str] = set()
    for n, line in enumerate(lines):
        said = _alike(text, line)
        if not said:
            continue
        again = several and same[said] > 1 and said in first and len(said) > _SHORT_LINE
        first.add(said)
        if again or _PAGE_FEET.fullmatch(text[line.begins : line.ends]):
            yield n


def _alike(text: str, line: Line) -> str:
    return re.sub(r"\d+", "0", text[line.begins : line.ends].strip().casefold())


def _goes_on(text: str, lines: Sequence[Line], n: int, heads: frozenset[int], width: int) -> bool:
    """Whether a line goes on in the next one."""
    this, following = (text[one.begins : one.ends] for one in lines[n : n + 2])
    if not this.strip() or not following.strip() or n + 1 in heads:
        return False
    if n in heads and part_headed(this.strip(" :*_=-#?")):
        return False
    if BULLET.match(following) or _COLUMNS.search(following) or _COLUMNS.search(this):
        return False
    begins_small = following.lstrip()[:1].islower()
    least = width - _SHORT_LINE if width < _LEAST_WRAPPED else _LEAST_WRAPPED
    long = len(this) >= max(_FULL * width, least)
    ended = this.rstrip()[-1:] in ".!?:;"
    return (
        begins_small
        or (long and not ended)
        or (long and ended and len(this) > _SURELY_FULL * width and width < _WIDEST)
    )

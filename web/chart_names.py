"""Which marks of a chart carry their name, and where it stands without covering another."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

Box = tuple[float, float, float, float]
"""Left, right, top and bottom in pixels."""

PLOT = (290.0, 240.0)
"""Pixels of the narrow sheet: a name that has room there has it on the wide one."""
LETTER, LINE = 7.0, 14.0
"""Pixels that a letter and a line of 12 px text take at most, with the next one kept off."""
MARK = 5.0
"""Half of a diamond."""
LONGEST = 16
LOW = 0.5
"""Rates below this have their name below the mark first."""
PLACES = (
    ("center", 0, -13),
    ("left", 9, 0),
    ("right", -9, 0),
    ("left", 5, -11),
    ("right", -5, -11),
    ("left", 5, 12),
    ("right", -5, 12),
    ("center", 0, 15),
)
"""How a name may stand by its mark: where it begins from, and pixels to the right and below. None is so far
away that it could be taken for the name of another mark.
"""


@dataclass(frozen=True, slots=True)
class Name:
    """A name beside its mark: `right` and `below` of it in pixels, and which end of the text is there."""

    vehicles: float
    rate: float
    name: str
    flagged: bool
    align: str
    right: int
    below: int

    def box(self, end: float) -> Box:
        """Where it stands on the narrow sheet, whose axis goes from 0 to `end` vehicles."""
        at = PLOT[0] * self.vehicles / end + self.right
        wide = LETTER * len(self.name)
        left = at - {"left": 0.0, "center": wide / 2, "right": wide}[self.align]
        middle = PLOT[1] * (1.0 - self.rate) + self.below
        return left, left + wide, middle - LINE / 2, middle + LINE / 2


def most(rows: Sequence[Mapping[str, Any]]) -> float:
    """The last number of the axis: vehicles of the busiest update."""
    return float(max([1, *(row["vehicles"] for row in rows)]))


def placed(rows: Sequence[Mapping[str, Any]]) -> list[Name]:
    """Names of the marks outside the limits of luck, and of the lowest and the highest; of equal ones that
    with the most vehicles. A row: vehicles, rate, name, flagged. A name without room is left to the table.
    """
    end = most(rows)
    marks = [_mark(row, end) for row in rows]
    told: list[Box] = []
    names: list[Name] = []
    for row in _named(rows):
        tries = [(one, one.box(end)) for one in _tries(row, end)]
        free = [(one, box) for one, box in tries if not any(_meet(box, other) for other in told)]
        for one, box in sorted(free, key=lambda pair: sum(_meet(pair[1], mark) for mark in marks))[:1]:
            names.append(one)
            told.append(box)
    return names


def _mark(row: Mapping[str, Any], end: float) -> Box:
    at, height = PLOT[0] * row["vehicles"] / end, PLOT[1] * (1.0 - row["rate"])
    return at - MARK, at + MARK, height - MARK, height + MARK


def _named(rows: Sequence[Mapping[str, Any]]) -> list[Mapping[str, Any]]:
    """Those outside first, the busiest before the others."""
    by_rate = sorted(rows, key=lambda row: (row["rate"], -row["vehicles"]))
    highest = sorted(rows, key=lambda row: (-row["rate"], -row["vehicles"]))
    outside = sorted((row for row in rows if row["flagged"]), key=lambda row: -row["vehicles"])
    chosen = [*outside, *by_rate[:1], *highest[:1]]
    return [row for place, row in enumerate(chosen) if row not in chosen[:place]]


def _tries(row: Mapping[str, Any], end: float) -> list[Name]:
    """The places that a name may take inside the sheet, best first: a low mark has it below."""
    name = row["name"] if len(row["name"]) <= LONGEST else row["name"][: LONGEST - 1].rstrip() + "…"
    places = PLACES if row["rate"] >= LOW else PLACES[::-1]
    tries = [Name(row["vehicles"], row["rate"], name, bool(row["flagged"]), *place) for place in places]
    return [one for one in tries if _fits(one.box(end))]


def _fits(box: Box) -> bool:
    """Above the plot there is room for a line of text; beside and below it are the axes."""
    left, right, _top, bottom = box
    return left >= 0 and right <= PLOT[0] and bottom <= PLOT[1]


def _meet(one: Box, other: Box) -> bool:
    left, right, top, bottom = one
    other_left, other_right, other_top, other_bottom = other
    return left < other_right and other_left < right and top < other_bottom and other_top < bottom

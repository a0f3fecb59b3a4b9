"""Where the name of a mark stands without covering another, however wide the picture is."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from web.pictures.scales import NARROW

BROADEST = 1200.0
"""Pixels across the plot of a picture on the widest page."""
LETTER, LINE = 7.5, 14.0
"""Pixels that a letter and a line of 12 px text take at most, with the next one kept off."""
MARK = 5.0
"""Half of a mark."""
LONGEST = 16
PLACES = (
    ("middle", 0, -13),
    ("start", 10, 0),
    ("end", -10, 0),
    ("start", 6, -11),
    ("end", -6, -11),
    ("start", 6, 12),
    ("end", -6, 12),
    ("middle", 0, 15),
)
"""How a name may stand by its mark: which part of it is there, and pixels to the right and below. None is so
far away that it could be taken for the name of another mark.
"""


@dataclass(frozen=True, slots=True)
class Mark:
    """A mark at `x` percent across and `y` pixels down; without a name it is only not to be covered."""

    x: float
    y: float
    name: str = ""


@dataclass(frozen=True, slots=True)
class Name:
    """A name, shortened if need be, `right` and `below` of its mark in pixels, `anchor`ed there."""

    mark: Mark
    words: str
    anchor: str
    right: int
    below: int

    def ends(self, width: float) -> tuple[float, float]:
        """Its left and right end in pixels, on a plot of that width."""
        wide = LETTER * len(self.words)
        left = width * self.mark.x / 100 + self.right
        left -= {"start": 0.0, "middle": wide / 2, "end": wide}[self.anchor]
        return left, left + wide

    @property
    def middle(self) -> float:
        return self.mark.y + self.below


def placed(marks: Sequence[Mark], floor: float) -> list[Name]:
    """Names of the marks that have one, the first before the others. One without room is left to the table.

    `floor`: pixels down to the numbers below the plot; above it there is room for a line of text.
    """
    names: list[Name] = []
    for mark in marks:
        free = [one for one in _tries(mark) if not any(_meet(one, other) for other in names)]
        tries = [one for one in free if _fits(one, floor)]
        names += sorted(tries, key=lambda one: _covered(one, marks))[:1]
    return names


def _tries(mark: Mark) -> Iterable[Name]:
    words = mark.name if len(mark.name) <= LONGEST else mark.name[: LONGEST - 1].rstrip() + "…"
    return [Name(mark, words, *place) for place in PLACES] if words else []


def _fits(one: Name, floor: float) -> bool:
    left, right = one.ends(NARROW)
    return left >= 0 and right <= NARROW and one.middle + LINE / 2 <= floor


def _meet(one: Name, other: Name) -> bool:
    """Whether they would overlap on a plot of some width: only names that keep their order never do."""
    if abs(one.middle - other.middle) >= LINE:
        return False
    pairs = [(one.ends(width), other.ends(width)) for width in (NARROW, BROADEST)]
    before, after = (all(a[1] <= b[0] for a, b in pairs), all(b[1] <= a[0] for a, b in pairs))
    return not before and not after


def _covered(one: Name, marks: Iterable[Mark]) -> int:
    left, right = one.ends(NARROW)
    return sum(
        left - MARK < NARROW * mark.x / 100 < right + MARK and abs(one.middle - mark.y) < LINE / 2 + MARK
        for mark in marks
    )

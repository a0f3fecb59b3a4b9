"""Pieces of text that were found in a photo, put together to the lines that a person would read."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from kb.intake.scan.glued import glued_at
from kb.intake.scan.look_alikes import ANY

_CUT = 0.2
"""Pieces nearer than this share of a letter's height are parts of one word."""


@dataclass(frozen=True, slots=True)
class Piece:
    """Words at four corners (x, y; from the upper left, clockwise), and what else each letter may be."""

    corners: Any
    words: str
    rivals: tuple[str, ...]

    @property
    def wide(self) -> float:
        return float(np.linalg.norm(self.corners[1] - self.corners[0]))

    @property
    def high(self) -> float:
        return float(np.linalg.norm(self.corners[3] - self.corners[0]))

    @property
    def begins(self) -> float:
        return float(np.min(self.corners, axis=0)[0])

    @property
    def ends(self) -> float:
        return float(np.max(self.corners, axis=0)[0])

    @property
    def middle(self) -> tuple[float, float]:
        x, y = np.mean(self.corners, axis=0)
        return float(x), float(y)


@dataclass(frozen=True, slots=True)
class Line:
    """What stands beside each other, two blanks between the pieces."""

    words: str
    rivals: tuple[str, ...]


def in_lines(pieces: Sequence[Piece]) -> list[Line]:
    """From top to bottom, and from left to right within a line, however the camera was held."""
    slope, more = _slopes(pieces)
    level = {id(one): _level(one.middle, slope, more) for one in pieces}
    rows: list[list[Piece]] = []
    for one in sorted(pieces, key=lambda piece: level[id(piece)]):
        last = rows[-1][-1] if rows else None
        if last and level[id(one)] - level[id(last)] < max(one.high, last.high) / 2:
            rows[-1].append(one)
        else:
            rows.append([one])
    return [_parted(_joined(sorted(row, key=lambda piece: piece.middle[0]))) for row in rows]


def _level(middle: tuple[float, float], slope: float, more: float) -> float:
    """Where a line through the point meets the left edge."""
    x, y = middle
    return (y - slope * x) / (1 + more * x)


def _slopes(pieces: Sequence[Piece]) -> tuple[float, float]:
    """How far lines fall to the right at the top, and how much more for each pixel further down (a screen
    photographed from the side), from the upper and lower edges of the long pieces.
    """
    long = [one for one in pieces if one.wide > 3 * one.high]
    if not long:
        return 0.0, 0.0
    told = [
        (one.middle[1], (b[1] - a[1]) / max(1.0, float(b[0] - a[0])), one.wide)
        for one in long
        for a, b in ((one.corners[0], one.corners[1]), (one.corners[3], one.corners[2]))
    ]
    y, slope, weight = np.array(told, dtype=float).T
    fits = np.abs(slope - np.median(slope)) < 0.1
    y, slope, weight = y[fits], slope[fits], weight[fits]
    if len(y) < 6 or float(np.ptp(y)) < 100:
        return float(np.average(slope, weights=weight)), 0.0
    more, at_top = np.polyfit(y, slope, 1, w=np.sqrt(weight))
    return float(at_top), float(more)


def _parted(line: Line) -> Line:
    """With the blank that was lost behind a trouble code or in front of a VIN ("U1741Intermittent")."""
    words, rivals = line.words, line.rivals
    for at in sorted(glued_at(words), reverse=True):
        words, rivals = f"{words[:at]}  {words[at:]}", (*rivals[:at], "", "", *rivals[at:])
    return Line(words, rivals)


def _joined(row: Sequence[Piece]) -> Line:
    """Pieces that touch are one word that was cut: its signs at the cut may be anything."""
    words, rivals = "", ()  # type: str, tuple[str, ...]
    for before, one in zip((None, *row), row, strict=False):
        gap = "  " if words else ""
        own = one.rivals
        if before and before.ends - one.begins > -one.high * _CUT:
            rivals, own = (*rivals[:-1], rivals[-1] + ANY), (own[0] + ANY, *own[1:])
        words, rivals = words + gap + one.words, (*rivals, *("" for _ in gap), *own)
    return Line(words, rivals)

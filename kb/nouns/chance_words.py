"""Chances as people say them, "about 7 in 10", and where a chance stands among the edges of a plan."""

from __future__ import annotations

from decimal import ROUND_HALF_UP, Decimal
from typing import NamedTuple


class Zones(NamedTuple):
    """Below `low` keep diagnosing, from `high` on reflash, between them check first."""

    low: float
    high: float


def tenths(chance: float) -> int:
    """The nearest whole tenth, halves upward, as people round."""
    return int(Decimal(str(round(10 * chance, 9))).quantize(Decimal(1), rounding=ROUND_HALF_UP))


def in_ten(chance: float) -> str:
    """A chance 0..1 as "6 in 10"; never 0 or 10 of them."""
    whole = tenths(chance)
    if whole <= 0:
        return "less than 1 in 10"
    return f"{whole} in 10" if whole < 10 else "more than 9 in 10"


def about_in_ten(chance: float) -> str:
    """Such as "about 6 in 10", or "less than 1 in 10"."""
    said = in_ten(chance)
    return f"about {said}" if said[0].isdigit() else said


def edges_said(chance: float, zones: Zones) -> str:
    """The edges beside the chance, such as "reflash from 6 in 10, keep diagnosing below 2 in 10".

    Where chance and edge are the same in tenths it says on which side of it the chance lies, so that the
    words never speak against the zone.
    """
    if chance >= zones.high:
        return _beside(chance, zones.high, "just above where a reflash pays", "reflash from")
    keep = "keep diagnosing below"
    if chance < zones.low:
        return _beside(chance, zones.low, "just below where a check or reflash pays", keep)
    upper = _beside(chance, zones.high, "just below where a reflash pays", "reflash from")
    lower = _beside(chance, zones.low, "just above where diagnosis goes on", keep)
    inside = [upper] * (zones.high < 1.0) + [lower] * (zones.low > 0.0)
    return ", ".join(inside) or "a check comes first at any chance"


def _beside(chance: float, edge: float, same: str, apart: str) -> str:
    return same if tenths(chance) == tenths(edge) else f"{apart} {in_ten(edge)}"

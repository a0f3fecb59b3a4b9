"""The one place that says a chance, a share or a record in words: "about 7 in 10 (5 to 8 of 10)"."""

from __future__ import annotations

from collections.abc import Callable
from decimal import ROUND_HALF_UP, Decimal
from typing import NamedTuple

IN_PART = "waiting or not heard of, counted in part"


class Zones(NamedTuple):
    """Below `low` keep diagnosing, from `high` on reflash, between them check first."""

    low: float
    high: float


def half_up(value: float) -> int:
    """The nearest whole number, halves upward, as people round."""
    return int(Decimal(str(round(value, 9))).quantize(Decimal(1), rounding=ROUND_HALF_UP))


def in_ten(chance: float) -> str:
    """A chance 0..1 as "6 in 10"; never 0 or 10 of them."""
    whole = half_up(10 * chance)
    if whole <= 0:
        return "less than 1 in 10"
    return f"{whole} in 10" if whole < 10 else "more than 9 in 10"


def about_in_ten(chance: float, interval: tuple[float, float]) -> str:
    """Such as "about 6 in 10 (4 to 8 of 10)", or "less than 1 in 10 (0 to 2 of 10)"."""
    said, (low, high) = in_ten(chance), (half_up(10 * end) for end in interval)
    about = f"about {said}" if said[0].isdigit() else said
    return f"{about} ({low if low == high else f'{low} to {high}'} of 10)"


def of_hundred(share: float) -> str:
    """Such as "88 of 100"."""
    return f"{half_up(100 * share)} of 100"


def counted(number: float) -> str:
    """A count with thousands commas; a fractional one with a single decimal."""
    return f"{number:,.0f}" if abs(number - round(number)) < 0.05 else f"{number:,.1f}"


def record_said(
    cured: float, not_cured: float, waiting: int = 0, not_heard_of: int = 0, at_road_test: int = 0
) -> str:
    """Such as "11 cured, 4 not, 3 waiting": never "11 of 15", which hides who is still waiting."""
    said = [f"{counted(cured)} cured", f"{counted(not_cured)} not"]
    said[1] += f" ({at_road_test:,} at road test)" if at_road_test else ""
    said += [f"{waiting:,} waiting"] * bool(waiting) + [f"{not_heard_of:,} not heard of"] * bool(not_heard_of)
    return ", ".join(said)


def edges_said(chance: float, zones: Zones, say: Callable[[float], str] = in_ten) -> str:
    """The edges beside the chance, such as "reflash from 6 in 10, keep diagnosing below 2 in 10".

    Where chance and edge read the same it says on which side of it the chance lies, so that the words never
    speak against the zone. `say` gives a chance in words.
    """

    def beside(edge: float, same: str, apart: str) -> str:
        return same if say(chance) == say(edge) else f"{apart} {say(edge)}"

    if chance >= zones.high:
        return beside(zones.high, "just above where a reflash pays", "reflash from")
    keep = "keep diagnosing below"
    if chance < zones.low:
        return beside(zones.low, "just below where a check or reflash pays", keep)
    upper = beside(zones.high, "just below where a reflash pays", "reflash from")
    lower = beside(zones.low, "just above where diagnosis goes on", keep)
    inside = [upper] * (zones.high < 1.0) + [lower] * (zones.low > 0.0)
    # "Just below where a reflash pays, keep diagnosing below 4 in 10" reads as one thing.
    apart = "; " if upper.startswith("just") else ", "
    return apart.join(inside) or "a check comes first at any chance"

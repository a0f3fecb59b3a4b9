"""What a visit with a needless reflash came to, from what was agreed and paid: each amount once."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Literal, NamedTuple

RestsOn = Literal["paid", "agreed", ""]


class Agreed(NamedTuple):
    """What a customer agreed to at most, and what happens to it if it is not cured."""

    amount_minor: int
    if_not_cured: str


class Paid(NamedTuple):
    """Money of a repair order as written down: billed, cost or credited, and by whom it is paid."""

    kind: str
    amount_minor: int
    who_paid: str


@dataclass(frozen=True, slots=True)
class Settled:
    """In minor units, each amount in one place: `billed` and kept, `credited` again, `borne` by the shop.

    `rests_on`: what was paid, or what was agreed (then at most so much); empty: nothing is on file.
    """

    billed: int = 0
    credited: int = 0
    borne: int = 0
    rests_on: RestsOn = ""


def settled(agreed: Sequence[Agreed], paid: Iterable[Paid], told_with_comeback: Iterable[int]) -> Settled:
    """What was billed or credited goes before what was agreed, of which the last counts.

    `told_with_comeback`: amounts that the visit's comebacks cost. A cost of the shop that is one of them is
    the same money written down twice, and stands with the comebacks alone.
    """
    twice = Counter(told_with_comeback)
    billed = credited = borne = 0
    asked = False
    for one in paid:
        if one.kind == "cost" and one.who_paid == "shop" and twice[one.amount_minor]:
            twice[one.amount_minor] -= 1
        elif one.who_paid == "shop" and one.kind in ("billed", "cost"):
            borne += one.amount_minor
            asked = asked or one.kind == "billed"
        elif one.kind != "cost":
            asked = True
            billed += one.amount_minor if one.kind == "billed" else 0
            credited += one.amount_minor if one.kind == "credited" else 0
    if not asked and agreed:
        return _as_agreed(agreed[-1], borne)
    return Settled(max(billed - credited, 0), credited, borne, "paid" if asked or borne else "")


def _as_agreed(last: Agreed, borne: int) -> Settled:
    match last.if_not_cured:
        case "credited":
            return Settled(0, last.amount_minor, borne, "agreed")
        case "no_charge":
            return Settled(0, 0, borne + last.amount_minor, "agreed")
    return Settled(last.amount_minor, 0, borne, "agreed")


def added_up(every: Iterable[Settled]) -> Settled:
    """The three sums; what they rest on is left out."""
    some = list(every)
    return Settled(*(sum(getattr(one, name) for one in some) for name in ("billed", "credited", "borne")))

"""Which vehicles of each make needed programming within some days, wherever it was done, and for how long."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass

from kb.desk.review.month.entries import Days, modules, turned_away
from kb.desk.review.month.gathering import Gathered
from kb.nouns.concerns import ReflashResult
from kb.nouns.review.month import Entry, Missing
from kb.nouns.shop.ways import Way
from kb.outcomes.month.adding_up import figures
from kb.records.store.outcomes.month import Programmed
from kb.vehicle.families import fold

_NOT_OURS = (Missing.FREE_ELSEWHERE, Missing.CUSTOMER)


@dataclass(frozen=True, slots=True)
class Counted:
    """By make, folded. A vehicle is a repair order on which something was programmed, or that went elsewhere
    for want of what the shop lacked; what is free at the dealer is none.

    `minutes`: of each repair order on which every module was programmed here without a failure, all its
    sittings. `tried` and `failed`: modules here, of every make, as the month counts them.
    """

    vehicles: dict[str, int]
    minutes: dict[str, list[int]]
    tried: int
    failed: int
    away: tuple[Entry, ...]


def counted(found: Gathered, days: Days) -> Counted:
    orders: dict[str, set[int]] = defaultdict(set)
    for one in found.programmed:
        if one.way != Way.DEALER_FREE.value and one.result != ReflashResult.NOTHING_NEWER.value:
            orders[fold(one.make)].add(_order(one))
    away = tuple(turned_away(found, days))
    for entry in away:
        if Missing(entry.told) not in _NOT_OURS:
            orders[fold(entry.make)].add(entry.order_id)
    here = figures(one for one in modules(found, days) if one.way == Way.HERE.value)
    vehicles = {make: len(some) for make, some in orders.items() if make}
    return Counted(vehicles, _minutes(found), here.tried, here.failed, away)


def _order(one: Programmed) -> int:
    """The repair order; a sitting for none is one by itself, below all ids."""
    return one.order_id or -one.event_id


def _minutes(found: Gathered) -> dict[str, list[int]]:
    sittings: dict[tuple[str, int], dict[int, int | None]] = defaultdict(dict)
    for one in found.programmed:
        if one.way == Way.HERE.value:
            good = one.result == ReflashResult.COMPLETED.value
            known = sittings[fold(one.make), _order(one)]
            known[one.event_id] = one.minutes if good and known.get(one.event_id, 0) is not None else None
    lengths: dict[str, list[int]] = defaultdict(list)
    for (make, _), some in sittings.items():
        lengths[make].extend(_together(some))
    return lengths


def _together(sittings: dict[int, int | None]) -> Iterator[int]:
    """The minutes of one repair order, where every sitting of it went well and says how long it was."""
    known = [one for one in sittings.values() if one is not None]
    if known and len(known) == len(sittings):
        yield sum(known)

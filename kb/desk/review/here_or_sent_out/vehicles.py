"""Which vehicles of each make needed programming within some days, wherever it was done, and for how long."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from kb.desk.review.month.entries import Days, modules, turned_away
from kb.desk.review.month.gathering import Gathered
from kb.nouns.concerns import ReflashResult
from kb.nouns.review.month import Entry, Missing
from kb.nouns.shop.ways import Way
from kb.outcomes.month.adding_up import figures
from kb.records.store.outcomes.month import Programmed
from kb.vehicle.families import fold

ENOUGH = 5
"""So many known, and their mean goes before that of all makes, or of what was done here."""
_NOT_OURS = (Missing.FREE_ELSEWHERE, Missing.CUSTOMER)


@dataclass(frozen=True, slots=True)
class Counted:
    """By make, folded. A vehicle is a repair order on which something was programmed, or that went elsewhere
    for want of what the shop lacked; what is free at the dealer is none.

    `minutes`: of each repair order on which every module was programmed here without a failure, all its
    sittings; `modules` programmed on each, by whomever. `tried` and `failed`: modules here, of every make, as
    the month counts them.
    """

    vehicles: dict[str, int]
    minutes: dict[str, list[int]]
    modules: dict[str, list[int]]
    tried: int
    failed: int
    away: tuple[Entry, ...]

    def modules_each(self, make: str) -> float:
        """Modules a vehicle: of the make where ENOUGH vehicles are known, else of all makes, else one."""
        some = enough_of(self.modules, make)
        return sum(some) / len(some) if some else 1.0


def enough_of(by_make: Mapping[str, list[int]], make: str) -> list[int]:
    """What is known of a make, else of all makes; empty where that is less than ENOUGH too."""
    known = by_make.get(make, [])
    if len(known) < ENOUGH:
        known = [one for some in by_make.values() for one in some]
    return known if len(known) >= ENOUGH else []


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
    return Counted(vehicles, _minutes(found), _modules(found), here.tried, here.failed, away)


def _order(one: Programmed) -> int:
    """The repair order; a sitting for none is one by itself, below all ids."""
    return one.order_id or -one.event_id


def _modules(found: Gathered) -> dict[str, list[int]]:
    """How many different modules each repair order had programmed."""
    orders: dict[tuple[str, int], set[str]] = defaultdict(set)
    for one in found.programmed:
        if one.result != ReflashResult.NOTHING_NEWER.value:
            orders[fold(one.make), _order(one)].add(one.module.casefold())
    counted: dict[str, list[int]] = defaultdict(list)
    for (make, _), some in orders.items():
        counted[make].append(len(some))
    return counted


def _minutes(found: Gathered) -> dict[str, list[int]]:
    sittings: dict[tuple[str, int], dict[int, int | None]] = defaultdict(dict)
    for one in found.programmed:
        if one.way == Way.HERE.value and one.result != ReflashResult.NOTHING_NEWER.value:
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

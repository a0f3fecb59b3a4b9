"""Reflashes that did not cure, by repair order: what was billed and kept, credited, borne by the shop."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from kb.desk.bay.advice.update_names import NOT_NAMED, names_of
from kb.desk.bay.concern.concern_lines import concern_lines
from kb.desk.bay.outcomes.observed import gather_chosen
from kb.desk.context import Desk, lead_or_owner
from kb.desk.review import reports
from kb.desk.review.reports import ReportFilter
from kb.desk.shop_facts import ShopFacts
from kb.nouns.bay.concern_file import ConcernLine
from kb.nouns.outcomes import FAILURES
from kb.outcomes.money.needless_reflash import Agreed, Paid, Settled, added_up, settled
from kb.records.store.imports.bulk import runs
from kb.records.store.outcomes import needless as store
from kb.records.store.outcomes import outcome_counts as counts_store
from kb.records.store.outcomes.needless import DoneOn, Money
from kb.records.store.outcomes.stories import chosen

NOTHING = Money([], [], [])


@dataclass(frozen=True, slots=True)
class NeedlessVisit:
    """A repair order with reflashes that did not cure: its concerns, the updates' numbers, and the money.

    `with_other_work`: how many of the `reflashes` were done with other work in the same visit.
    """

    repair_order_id: int
    first_on: date
    concern_ids: tuple[int, ...]
    updates: tuple[str, ...]
    reflashes: int
    with_other_work: int
    money: Settled


@lead_or_owner
def needless_visits(desk: Desk, asked: ReportFilter) -> tuple[NeedlessVisit, ...]:
    """Of the reflashes asked for those that were not cured at road test, came back within their window, or
    had another cause, newest visit first. The money is of the whole repair order: nothing tells which line
    of it an amount was for.
    """
    done = store.done_on(desk.session, _failed(desk, asked))
    by_order: dict[int, list[DoneOn]] = defaultdict(list)
    for one in done:
        by_order[one.repair_order_id].append(one)
    money = store.money_of(desk.session, by_order)
    names = names_of(desk, {one.update_id for one in done})
    until = asked.as_of or desk.today
    visits = [
        NeedlessVisit(
            order,
            some[0].reflashed_on,
            tuple(dict.fromkeys(one.concern_id for one in some)),
            tuple(dict.fromkeys(_name(names.get(one.update_id, NOT_NAMED)) for one in some)),
            len(some),
            sum(one.other_work for one in some),
            _settled(money.get(order, NOTHING), until, desk.shop),
        )
        for order, some in by_order.items()
    ]
    return tuple(sorted(visits, key=lambda one: (one.first_on, one.repair_order_id), reverse=True))


@lead_or_owner
def lines_of(desk: Desk, visits: Iterable[NeedlessVisit]) -> dict[int, ConcernLine]:
    """The concerns of some visits, by id."""
    found: dict[int, ConcernLine] = {}
    for some in runs({one for visit in visits for one in visit.concern_ids}):
        found |= concern_lines(desk, some)
    return found


def money_of(visits: Iterable[NeedlessVisit]) -> Settled:
    """Their sums."""
    return added_up(one.money for one in visits)


def _failed(desk: Desk, asked: ReportFilter) -> set[int]:
    """Ids of outcomes."""
    as_of, rule, wanted = reports.wanted_by(desk, asked)
    together = counts_store.failed_together(desk.shop.id, wanted)
    found = {outcome_id for outcome_id, _ in chosen(desk.session, desk.shop.id, *together)}
    singles = gather_chosen(desk, as_of, *counts_store.one_by_one(desk.shop.id, wanted), rule=rule)
    alone = (one for some in singles.values() for one in some)
    return found | {one.reflash.outcome_id for one in alone if one.standing in FAILURES}


def _settled(money: Money, until: date, shop: ShopFacts) -> Settled:
    """As it was known at the end of that day."""
    return settled(
        [Agreed(amount, if_not) for at, amount, if_not in money.agreed if shop.day_of(at) <= until],
        [Paid(kind, amount, who) for at, kind, amount, who in money.paid if shop.day_of(at) <= until],
        [cost for day, cost in money.comebacks if day <= until],
    )


def _name(said: tuple[str, str]) -> str:
    return said[0] or said[1]

"""Reflashes that did not cure, by the repair order they were done on, and the money of those."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from datetime import date, datetime
from typing import Any, NamedTuple

from sqlalchemy import ColumnElement, Select, and_, exists, func, or_, select
from sqlmodel import Session, col

from kb.nouns.concerns import FAILED
from kb.records.store.imports.bulk import runs
from kb.records.tables import (
    Authorization,
    ConcernRow,
    FollowUpRow,
    Outcome,
    Payment,
    ProgrammingEvent,
    Reflash,
    RepairOrder,
    VehicleRow,
)

_AGREED, _PAID = ("at", "amount_minor", "if_not_cured"), ("at", "kind", "amount_minor", "who_paid")
_FAILED = tuple(one.value for one in FAILED)


class DoneOn(NamedTuple):
    """An outcome with its concern and the repair order of that; `update_id` 0 where nobody named it."""

    outcome_id: int
    concern_id: int
    repair_order_id: int
    update_id: int
    reflashed_on: date
    other_work: bool


class Money(NamedTuple):
    """What is on file of one repair order, each in the order written down and with its moment."""

    agreed: list[tuple[datetime, int, str]]
    paid: list[tuple[datetime, str, int, str]]
    comebacks: list[tuple[date, int]]


def done_on(session: Session, outcome_ids: Iterable[int]) -> list[DoneOn]:
    """In the order of the days, then as recorded."""
    found = []
    for some in runs(sorted(outcome_ids)):
        query = (
            select(
                col(Outcome.id),
                col(Outcome.concern_id),
                col(ConcernRow.repair_order_id),
                func.coalesce(col(Outcome.update_id), 0),
                col(Outcome.reflashed_on),
                col(Outcome.other_work),
            )
            .join(ConcernRow, col(ConcernRow.id) == col(Outcome.concern_id))
            .where(col(Outcome.id).in_(some))
        )
        found += [DoneOn(*row) for row in session.execute(query)]
    return sorted(found, key=lambda one: (one.reflashed_on, one.outcome_id))


def money_of(session: Session, repair_order_ids: Iterable[int]) -> dict[int, Money]:
    """Of the repair orders with any."""
    found: dict[int, Money] = defaultdict(lambda: Money([], [], []))
    order: Any = col(ConcernRow.repair_order_id)
    for some in runs(sorted(set(repair_order_ids))):
        for one, *said in session.execute(
            _of_orders(_AGREED, Authorization, some).where(~col(Authorization.declined))
        ):
            found[one].agreed.append(tuple(said))
        for one, *said in session.execute(_of_orders(_PAID, Payment, some)):
            found[one].paid.append(tuple(said))
        heard = select(order, col(FollowUpRow.seen_on), col(FollowUpRow.cost_minor)).join(
            FollowUpRow, col(FollowUpRow.concern_id) == col(ConcernRow.id)
        )
        heard = heard.where(order.in_(some), *_priced()).order_by(col(FollowUpRow.id))
        for one, day, cost in session.execute(heard):
            found[one].comebacks.append((day, cost))
    return dict(found)


def of_no_reflash(session: Session, shop_id: int, until: date) -> tuple[int, int]:
    """How many failures cost something up to that day of concerns without an installed reflash before them,
    and what they cost: as after a sitting was recorded elsewhere, or undone.
    """
    before = exists().where(
        col(Outcome.concern_id) == col(FollowUpRow.concern_id),
        col(Outcome.installed).is_(True),
        col(Reflash.id) == col(Outcome.reflash_id),
        col(ProgrammingEvent.id) == col(Reflash.event_id),
        or_(
            col(Outcome.reflashed_on) < col(FollowUpRow.seen_on),
            and_(
                col(Outcome.reflashed_on) == col(FollowUpRow.seen_on),
                col(ProgrammingEvent.recorded_at) <= col(FollowUpRow.recorded_at),
            ),
        ),
    )
    return _summed(session, _costs(shop_id).where(col(FollowUpRow.seen_on) <= until, ~before))


def heard_within(
    session: Session, shop_id: int, since: date, until: date, makes: Sequence[str] | None
) -> tuple[int, int]:
    """How many failures that were heard of within the days cost something, whenever the reflash was, and what
    they cost. `makes` as stored, None for all.
    """
    query = _costs(shop_id).where(col(FollowUpRow.seen_on).between(since, until))
    if makes is not None:
        of_make = select(col(VehicleRow.id)).where(col(VehicleRow.make).in_(makes))
        query = query.join(RepairOrder, col(RepairOrder.id) == col(ConcernRow.repair_order_id))
        query = query.where(col(RepairOrder.vehicle_id).in_(of_make))
    return _summed(session, query)


def _costs(shop_id: int) -> Any:
    """The count and the cost of failures that cost something."""
    return (
        select(func.count(), func.coalesce(func.sum(col(FollowUpRow.cost_minor)), 0))
        .join(ConcernRow, col(ConcernRow.id) == col(FollowUpRow.concern_id))
        .where(col(ConcernRow.shop_id) == shop_id, *_priced())
    )


def _summed(session: Session, query: Select[Any]) -> tuple[int, int]:
    count, cost = session.execute(query).one()
    return int(count), int(cost)


def _of_orders(columns: Sequence[str], table: Any, repair_order_ids: Sequence[int]) -> Select[Any]:
    order = col(table.repair_order_id)
    query = select(order, *(getattr(table, name) for name in columns))
    return query.where(order.in_(repair_order_ids)).order_by(col(table.id))


def _priced() -> Sequence[ColumnElement[bool]]:
    return (col(FollowUpRow.result).in_(_FAILED), col(FollowUpRow.cost_minor) > 0)

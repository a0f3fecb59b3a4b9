"""What subscriptions were used for: the modules and concerns of every programming event."""

from __future__ import annotations

from datetime import date
from typing import NamedTuple

from sqlalchemy import func, select
from sqlmodel import Session, col

from kb.nouns.shop.ways import Way
from kb.records.tables import (
    ConcernCandidate,
    ConcernRow,
    DecisionRow,
    Outcome,
    ProgrammingEvent,
    Reflash,
    RepairOrder,
    VehicleRow,
)


class ModuleDone(NamedTuple):
    """One module of an event, with the make of its vehicle and the concerns it was done for."""

    subscription_id: int | None
    performed_on: date
    make: str
    result: str
    concerns: frozenset[int]


def modules_done(session: Session, shop_id: int) -> list[ModuleDone]:
    """Every module that people (not a history) recorded as done here, oldest first."""
    rows = session.execute(
        select(
            col(Reflash.id),
            col(ProgrammingEvent.subscription_id),
            col(ProgrammingEvent.performed_on),
            col(VehicleRow.make),
            col(Reflash.result),
            col(Outcome.concern_id),
        )
        .join(ProgrammingEvent, col(ProgrammingEvent.id) == col(Reflash.event_id))
        .join(VehicleRow, col(VehicleRow.id) == col(ProgrammingEvent.vehicle_id))
        .join(Outcome, col(Outcome.reflash_id) == col(Reflash.id), isouter=True)
        .where(
            col(ProgrammingEvent.shop_id) == shop_id,
            col(ProgrammingEvent.import_id).is_(None),
            col(ProgrammingEvent.way) == Way.HERE.value,
        )
        .order_by(col(ProgrammingEvent.performed_on), col(Reflash.id))
    )
    made: dict[tuple[int | None, int | None, date, str, str], set[int]] = {}
    for reflash, subscription, day, make, result, concern in rows:
        concerns = made.setdefault((reflash, subscription, day, make, result), set())
        concerns.update([] if concern is None else [concern])
    return [
        ModuleDone(subscription, day, make, result, frozenset(concerns))
        for (_, subscription, day, make, result), concerns in made.items()
    ]


def waiting_by_make(session: Session, shop_id: int) -> list[str]:
    """The make of each open concern that has an update in question and was not reflashed yet."""
    reflashed = select(col(Outcome.concern_id)).where(col(Outcome.shop_id) == shop_id)
    in_question = select(col(ConcernCandidate.concern_id))
    rows = session.execute(
        select(col(VehicleRow.make))
        .join(RepairOrder, col(RepairOrder.vehicle_id) == col(VehicleRow.id))
        .join(ConcernRow, col(ConcernRow.repair_order_id) == col(RepairOrder.id))
        .where(
            col(ConcernRow.shop_id) == shop_id,
            col(ConcernRow.state) == "open",
            col(ConcernRow.id).in_(in_question),
            col(ConcernRow.id).not_in(reflashed),
        )
    )
    return list(rows.scalars())


def avoided(session: Session, shop_id: int, until: date) -> int:
    """Concerns with an update in question, closed until that day and not reflashed by then: diagnosing as
    advised found another cause.
    """
    reflashed = select(col(Outcome.concern_id)).where(
        col(Outcome.shop_id) == shop_id, col(Outcome.reflashed_on) <= until
    )
    found = session.execute(
        select(func.count(func.distinct(col(ConcernRow.id))))
        .join(DecisionRow, col(DecisionRow.concern_id) == col(ConcernRow.id))
        .where(
            col(ConcernRow.shop_id) == shop_id,
            col(ConcernRow.ending) == "other_cause",
            col(ConcernRow.closed_on) <= until,
            col(DecisionRow.verdict) == "keep_diagnosing",
            col(DecisionRow.followed).is_(True),
            col(ConcernRow.id).not_in(reflashed),
            col(ConcernRow.id).in_(select(col(ConcernCandidate.concern_id))),
        )
    )
    return int(found.scalar_one())

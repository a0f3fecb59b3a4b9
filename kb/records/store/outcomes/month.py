"""What was done, paid and turned away within some days, in a statement for each kind."""

from __future__ import annotations

from datetime import date, datetime, time, timedelta
from typing import Any, NamedTuple
from zoneinfo import ZoneInfo

from sqlalchemy import Select, and_, exists, func, literal, or_, select
from sqlmodel import Session, col

from kb.nouns.bay.sent_out import SentOutResult
from kb.nouns.concerns import FAILED, Ending
from kb.records.store.imports.bulk import table_of
from kb.records.store.rows import columns
from kb.records.tables import (
    ConcernRow,
    DecisionRow,
    FollowUpRow,
    Outcome,
    Payment,
    ProgrammingEvent,
    Reflash,
    RepairOrder,
    SentOutRow,
    VehicleRow,
)

_EVENT = (
    *("id", "vehicle_id", "performed_on", "minutes", "device_id", "computer_id", "support_unit_id"),
    *("device_version", "computer_version", "support_unit_version", "way"),
)


class Programmed(NamedTuple):
    """A module of a sitting; `order_id` and `number` are of a repair order that it was for."""

    reflash_id: int
    module: str
    result: str
    event_id: int
    vehicle_id: int
    performed_on: date
    minutes: int | None
    device_id: int | None
    computer_id: int | None
    support_unit_id: int | None
    device_version: str
    computer_version: str
    support_unit_version: str
    way: str
    make: str
    order_id: int | None
    number: str


class PaidOn(NamedTuple):
    """Money of a repair order; `way` where it is the invoice of what was sent out."""

    order_id: int
    number: str
    make: str
    at: datetime
    kind: str
    amount_minor: int
    who_paid: str
    way: str | None


class CameBack(NamedTuple):
    """What a failure cost the shop."""

    order_id: int
    number: str
    make: str
    seen_on: date
    cost_minor: int


class SentAway(NamedTuple):
    """A concern that went elsewhere: sent out (`way` says to whom), or closed with nothing installed.

    `why_not` as of its last decision.
    """

    concern_id: int
    order_id: int
    number: str
    make: str
    on: date
    way: str
    why_not: str


def programmed(session: Session, shop_id: int, since: date, until: date) -> list[Programmed]:
    """Each module once, in the order of the days, then as recorded."""
    event = columns(ProgrammingEvent, _EVENT)
    query = (
        select(
            *columns(Reflash, ("id", "module", "result")),
            *event,
            col(VehicleRow.make),
            col(ConcernRow.repair_order_id),
            func.coalesce(col(RepairOrder.number), ""),
        )
        .join(ProgrammingEvent, col(ProgrammingEvent.id) == col(Reflash.event_id))
        .join(VehicleRow, col(VehicleRow.id) == col(ProgrammingEvent.vehicle_id))
        .join(Outcome, col(Outcome.reflash_id) == col(Reflash.id), isouter=True)
        .join(ConcernRow, col(ConcernRow.id) == col(Outcome.concern_id), isouter=True)
        .join(RepairOrder, col(RepairOrder.id) == col(ConcernRow.repair_order_id), isouter=True)
        .where(
            col(ProgrammingEvent.shop_id) == shop_id,
            col(ProgrammingEvent.performed_on).between(since, until),
        )
        .order_by(col(ProgrammingEvent.performed_on), col(Reflash.id), col(ConcernRow.repair_order_id))
    )
    found: dict[int, Programmed] = {}
    for row in session.execute(query):
        found.setdefault(row[0], Programmed(*row))
    return list(found.values())


def paid(session: Session, shop_id: int, since: date, until: date, zone: ZoneInfo) -> list[PaidOn]:
    """Money written down within the days, or ever of a repair order that was programmed on then."""
    first, after = (datetime.combine(day, time.min, zone) for day in (since, until + timedelta(days=1)))
    within = and_(col(Payment.at) >= first, col(Payment.at) < after)
    query = (
        select(
            *columns(RepairOrder, ("id", "number")),
            col(VehicleRow.make),
            *columns(Payment, ("at", "kind", "amount_minor", "who_paid")),
            col(SentOutRow.way),
        )
        .join(RepairOrder, col(RepairOrder.id) == col(Payment.repair_order_id))
        .join(VehicleRow, col(VehicleRow.id) == col(RepairOrder.vehicle_id))
        .join(SentOutRow, col(SentOutRow.payment_id) == col(Payment.id), isouter=True)
        .where(col(RepairOrder.shop_id) == shop_id, or_(within, _programmed_on(shop_id, since, until)))
        .order_by(col(Payment.id))
    )
    return [PaidOn(*row) for row in session.execute(query)]


def came_back(session: Session, shop_id: int, since: date, until: date) -> list[CameBack]:
    """Failures with a cost heard of within the days, or ever of such a repair order."""
    within = col(FollowUpRow.seen_on).between(since, until)
    query = (
        select(
            *columns(RepairOrder, ("id", "number")),
            col(VehicleRow.make),
            *columns(FollowUpRow, ("seen_on", "cost_minor")),
        )
        .join(ConcernRow, col(ConcernRow.id) == col(FollowUpRow.concern_id))
        .join(RepairOrder, col(RepairOrder.id) == col(ConcernRow.repair_order_id))
        .join(VehicleRow, col(VehicleRow.id) == col(RepairOrder.vehicle_id))
        .where(
            col(ConcernRow.shop_id) == shop_id,
            col(FollowUpRow.result).in_(sorted(FAILED)),
            col(FollowUpRow.cost_minor) > 0,
            or_(within, _programmed_on(shop_id, since, until)),
        )
        .order_by(col(FollowUpRow.id))
    )
    return [CameBack(*row) for row in session.execute(query)]


def sent_away(session: Session, shop_id: int, since: date, until: date) -> list[SentAway]:
    """Concerns sent out within the days, and those closed then as sent to the dealer, each once."""
    sent = _of_concerns(SentOutRow.sent_on, SentOutRow.way).join(
        SentOutRow,
        and_(
            col(SentOutRow.concern_id) == col(ConcernRow.id),
            col(SentOutRow.result) != SentOutResult.TAKEN_BACK.value,
        ),
    )
    installed = exists().where(
        col(Outcome.concern_id) == col(ConcernRow.id), col(Outcome.installed).is_(True)
    )
    closed = _of_concerns(ConcernRow.closed_on, literal("")).where(
        col(ConcernRow.ending) == Ending.SENT_TO_DEALER.value, ~installed
    )
    found: dict[int, SentAway] = {}
    for query, day in ((sent, SentOutRow.sent_on), (closed, ConcernRow.closed_on)):
        asked = query.where(col(ConcernRow.shop_id) == shop_id, col(day).between(since, until))
        for row in session.execute(asked.order_by(col(day), col(ConcernRow.id))):
            found.setdefault(row[0], SentAway(*row))
    return list(found.values())


def first_day(session: Session, shop_id: int) -> date | None:
    """The day of the oldest repair order."""
    found: date | None = session.execute(
        select(func.min(col(RepairOrder.opened_on))).where(col(RepairOrder.shop_id) == shop_id)
    ).scalar_one()
    return found


def _of_concerns(*more: Any) -> Select[Any]:
    """Id, repair order, make, `more`, and why the last decision was not followed."""
    last, again = table_of(DecisionRow), table_of(DecisionRow).alias("again")
    newest = select(func.max(again.c.id)).where(again.c.concern_id == col(ConcernRow.id)).scalar_subquery()
    return (
        select(
            col(ConcernRow.id),
            col(RepairOrder.id),
            col(RepairOrder.number),
            col(VehicleRow.make),
            *more,
            func.coalesce(last.c.why_not, ""),
        )
        .select_from(ConcernRow)
        .join(RepairOrder, col(RepairOrder.id) == col(ConcernRow.repair_order_id))
        .join(VehicleRow, col(VehicleRow.id) == col(RepairOrder.vehicle_id))
        .join(last, last.c.id == newest, isouter=True)
    )


def _programmed_on(shop_id: int, since: date, until: date) -> Any:
    """Whether something was programmed within the days for a concern of the repair order."""
    line = table_of(ConcernRow).alias("line")
    done = (
        select(line.c.repair_order_id)
        .join(Outcome, col(Outcome.concern_id) == line.c.id)
        .where(col(Outcome.shop_id) == shop_id, col(Outcome.reflashed_on).between(since, until))
    )
    return col(RepairOrder.id).in_(done)

"""Concerns without what hangs on them: for lists, and to be held against one at hand."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import replace
from datetime import datetime

from sqlalchemy import Select, bindparam, select, tuple_
from sqlmodel import Session, col

from kb.nouns.bay.concern_file import ConcernLine, OtherConcern, ref_of
from kb.nouns.bay.list_asked import ListAsked
from kb.nouns.bay.next_up import NextUp
from kb.nouns.bay.waiting import Waiting, WaitingFor
from kb.nouns.concerns import CodeStatus, ReportedCode
from kb.nouns.copying import copied
from kb.nouns.vehicles import Vehicle
from kb.records.store.bay.narrowing import narrowed_to
from kb.records.tables import ConcernCode, ConcernRow, RepairOrder, VehicleRow


def joined() -> Select[ConcernRow, RepairOrder, VehicleRow]:
    return (
        select(ConcernRow, RepairOrder, VehicleRow)
        .join(RepairOrder, col(RepairOrder.id) == col(ConcernRow.repair_order_id))
        .join(VehicleRow, col(VehicleRow.id) == col(RepairOrder.vehicle_id))
    )


def vehicle_of(row: VehicleRow) -> Vehicle:
    return Vehicle(row.make, row.model, row.year, row.engine, row.built_on, row.vin)


def waiting_of(row: ConcernRow) -> Waiting | None:
    """What an open concern waits for; a closed one keeps it for the case that it is opened again."""
    if row.state != "open" or not row.waiting_for or row.waiting_since is None:
        return None
    return Waiting(WaitingFor(row.waiting_for), row.waiting_remark, row.waiting_by, row.waiting_since)


def next_up_of(row: ConcernRow) -> NextUp | None:
    """What somebody said is next on it, likewise."""
    if row.state != "open" or not row.next_what or row.next_since is None:
        return None
    return NextUp(row.next_what, row.next_who, row.next_by, row.next_since)


def other_concern(
    row: ConcernRow, order: RepairOrder, vehicle: VehicleRow, scanned: tuple[ReportedCode, ...] = ()
) -> OtherConcern:
    """One concern without what hangs on it; its codes as they were `scanned` where they are wanted."""
    return copied(
        OtherConcern,
        row,
        line=copied(
            ConcernLine,
            row,
            ref=ref_of(order.number, row.line),
            vehicle=vehicle_of(vehicle),
            counted="",
            waiting=waiting_of(row),
            next_up=next_up_of(row),
            clocks=(),
        ),
        conditions=tuple(row.conditions),
        imported=row.import_id is not None,
        codes=scanned,
    )


def concerns_with_ids(session: Session, shop_id: int, ids: Sequence[int]) -> list[OtherConcern]:
    found = joined().where(col(ConcernRow.shop_id) == shop_id, col(ConcernRow.id).in_(ids))
    return [other_concern(*row) for row in session.execute(found)]


def concerns_as_said(session: Session, shop_id: int, ids: Sequence[int]) -> list[OtherConcern]:
    """The same with their codes, so that their words can be held against notes."""
    codes = codes_of(session, ids)
    return [replace(one, codes=codes.get(one.id, ())) for one in concerns_with_ids(session, shop_id, ids)]


def concerns_listed(
    session: Session,
    shop_id: int,
    asked: ListAsked,
    limit: int,
    after: ConcernRow | None = None,
    written: Collection[str] = (),
) -> list[OtherConcern]:
    """Newest first, from the one that follows `after`; `written` are the writings of the module asked for."""
    query = joined().where(*narrowed_to(shop_id, asked, written))
    order = (col(ConcernRow.opened_on), col(ConcernRow.id))
    if after is not None:
        query = query.where(tuple_(*order) < (after.opened_on, after.id))
    query = query.order_by(*(one.desc() for one in order)).limit(limit)
    return [other_concern(*row) for row in session.execute(query)]


def waiting_longest(session: Session, shop_id: int, since: datetime, most: int) -> list[OtherConcern]:
    """Open concerns that wait for something since that moment or longer, the longest first."""
    waits = (col(ConcernRow.waiting_for) != "", col(ConcernRow.waiting_since) <= since)
    query = joined().where(col(ConcernRow.shop_id) == shop_id, col(ConcernRow.state) == "open", *waits)
    query = query.order_by(col(ConcernRow.waiting_since), col(ConcernRow.id)).limit(most)
    return [other_concern(*row) for row in session.execute(query)]


def codes_of(session: Session, concern_ids: Sequence[int]) -> dict[int, tuple[ReportedCode, ...]]:
    """The codes scanned, by concern, in the order in which they were typed."""
    found: dict[int, tuple[ReportedCode, ...]] = {}
    for concern_id, code, module, status in session.execute(_CODES, {"concerns": concern_ids}):
        found[concern_id] = (*found.get(concern_id, ()), ReportedCode(code, module, CodeStatus(status)))
    return found


_CODES = (
    select(
        col(ConcernCode.concern_id), col(ConcernCode.code), col(ConcernCode.module), col(ConcernCode.status)
    )
    .where(col(ConcernCode.concern_id).in_(bindparam("concerns", expanding=True)))
    .order_by(col(ConcernCode.id))
)

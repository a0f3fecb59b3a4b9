"""Taking a history back: what of it somebody used since, and deleting the rest from the leaves up."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from types import MappingProxyType
from typing import Any

from sqlalchemy import ColumnElement, Select, and_, exists, false, or_, select, true
from sqlmodel import Session, SQLModel, col

from kb.records.store.bay.here_again import TOLD_BY_A_VISIT
from kb.records.store.imports.bulk import delete_where, runs, table_of
from kb.records.store.imports.history_told import HISTORY_ROW, Place
from kb.records.tables import (
    Authorization,
    ConcernCandidate,
    ConcernCode,
    ConcernRow,
    FollowUpRow,
    ImportedRow,
    LookUpRow,
    OtherWork,
    Outcome,
    Payment,
    ProgrammingEvent,
    ReadoutRow,
    Reflash,
    RepairOrder,
    Trail,
    VehicleRow,
)

_STANDS_ON: Mapping[type[SQLModel], tuple[str, tuple[type[SQLModel], ...]]] = MappingProxyType(
    {
        Reflash: ("reflash_id", (Outcome,)),
        ProgrammingEvent: ("event_id", (Reflash, ReadoutRow)),
        RepairOrder: ("repair_order_id", (ConcernRow, Authorization, Payment)),
        VehicleRow: ("vehicle_id", (RepairOrder, ProgrammingEvent, LookUpRow)),
    }
)
"""By which column what stands on a row."""


def used_since(session: Session, concern_ids: Iterable[int], import_id: int) -> set[int]:
    """Concerns for which somebody programmed or was paid, or of which another import told more."""
    used: set[int] = set()
    for some in runs(sorted(set(concern_ids))):
        for query in (*_told_elsewhere(some, import_id), *_money(some, import_id)):
            used.update(one or 0 for one in session.execute(query.distinct()).scalars())
    return used


def touched_since(session: Session, concern_ids: Iterable[int], import_id: int) -> set[int]:
    """Concerns that the trail tells something of after the import began, such as a road test."""
    about_it = and_(col(Trail.noun) == "import", col(Trail.noun_id) == import_id)
    began = session.execute(select(col(Trail.id)).where(about_it).order_by(col(Trail.id)).limit(1)).scalar()
    touched: set[int] = set()
    for some in runs(sorted(set(concern_ids))):
        since = select(col(Trail.noun_id)).where(
            col(Trail.id) > (began or 0), col(Trail.noun) == "concern", col(Trail.noun_id).in_(some)
        )
        touched.update(one or 0 for one in session.execute(since.distinct()).scalars())
    return touched


def _told_elsewhere(some: list[int], import_id: int) -> list[Select[Any]]:
    """Concerns with an outcome, follow-up or history row that is not of this import."""
    said = ((Outcome, "concern_id", true()), (FollowUpRow, "concern_id", ~TOLD_BY_A_VISIT))
    of_rows = (ImportedRow, "noun_id", col(ImportedRow.noun) == HISTORY_ROW)
    queries: list[Select[Any]] = []
    for model, concern, which in (*said, of_rows):
        table = table_of(model)
        elsewhere = or_(table.c.import_id.is_(None), table.c.import_id != import_id)
        queries.append(select(table.c[concern]).where(table.c[concern].in_(some), elsewhere, which))
    return queries


def _money(some: list[int], import_id: int) -> list[Select[Any]]:
    """Concerns with money on the order that this import made for them."""
    concerns = select(col(ConcernRow.id)).join(
        RepairOrder, col(RepairOrder.id) == col(ConcernRow.repair_order_id)
    )
    concerns = concerns.where(col(ConcernRow.id).in_(some), col(RepairOrder.import_id) == import_id)
    return [
        concerns.join(table_of(model), table_of(model).c.repair_order_id == col(RepairOrder.id))
        for model in (Authorization, Payment)
    ]


def take_away(
    session: Session, history_rows: Iterable[int], concerns: Iterable[int], places: Mapping[int, Place]
) -> None:
    """What these rows told goes, these concerns of theirs, and whatever of the places nothing stands on then.

    With a reflash goes what visits alone told of its concern.
    """
    rows, gone = list(history_rows), list(concerns)
    outcomes = _found(session, Outcome, {"history_row_id": rows, "concern_id": gone})
    reflashes = {one.reflash_id for one in outcomes}
    told_of = {one.concern_id for one in outcomes}
    delete_where(session, Outcome, "id", [one.id or 0 for one in outcomes])
    heard = {"history_row_id": rows, "concern_id": gone}
    follow_ups = _found(session, FollowUpRow, heard)
    by_visits = {"concern_id": list(told_of), "at_visit": gone}
    follow_ups += _found(session, FollowUpRow, by_visits, TOLD_BY_A_VISIT)
    delete_where(session, FollowUpRow, "id", [one.id or 0 for one in follow_ups])
    delete_where(session, OtherWork, "history_row_id", rows)
    events = {one.event_id for one in _found(session, Reflash, {"id": list(reflashes)})}
    _sweep(session, Reflash, reflashes)
    _sweep(session, ProgrammingEvent, events, col(ProgrammingEvent.import_id).is_not(None))
    for model in (ConcernCode, ConcernCandidate):
        delete_where(session, model, "concern_id", gone)
    delete_where(session, ConcernRow, "id", gone)
    orders = {place.order_id for place in places.values()}
    _sweep(session, RepairOrder, orders, _imported_and_as_made(RepairOrder))
    vehicles = {place.vehicle_id for place in places.values()}
    _sweep(session, VehicleRow, vehicles, _imported_and_as_made(VehicleRow))


def left_of(session: Session, import_id: int) -> list[tuple[str, int, str]]:
    """(noun, id, name) of the vehicles and repair orders of an import that are still there."""
    vehicles = select(col(VehicleRow.id), col(VehicleRow.vin)).where(col(VehicleRow.import_id) == import_id)
    orders = select(col(RepairOrder.id), col(RepairOrder.number)).where(
        col(RepairOrder.import_id) == import_id
    )
    found = [("vehicle", row[0] or 0, row[1] or "without VIN") for row in session.execute(vehicles)]
    return found + [("repair order", row[0] or 0, f"RO {row[1]}") for row in session.execute(orders)]


def _found(
    session: Session,
    model: type[SQLModel],
    by: Mapping[str, list[int]],
    which: ColumnElement[bool] | None = None,
) -> list[Any]:
    """Rows of a table by any of these columns."""
    table, found = table_of(model), dict[int, Any]()
    for column, values in by.items():
        for some in runs(sorted(values)):
            query = select(table).where(table.c[column].in_(some), true() if which is None else which)
            found.update((row.id, row) for row in session.execute(query))
    return list(found.values())


def _sweep(
    session: Session, model: type[SQLModel], ids: Collection[int], *where: ColumnElement[bool]
) -> None:
    """Those of these rows go on which nothing stands any more."""
    table = table_of(model)
    column, others = _STANDS_ON[model]
    stands = [exists().where(table_of(one).c[column] == table.c.id) for one in others]
    for some in runs(sorted(ids)):
        idle = select(table.c.id).where(table.c.id.in_(some), ~or_(false(), *stands), *where)
        gone = list(session.execute(idle).scalars())
        if model is ProgrammingEvent:
            delete_where(session, OtherWork, "event_id", gone)
        delete_where(session, model, "id", gone)


def _imported_and_as_made(model: type[SQLModel]) -> ColumnElement[bool]:
    table = table_of(model)
    return and_(table.c.import_id.is_not(None), table.c.version == 1)

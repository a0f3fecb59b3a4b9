"""What history rows told, read back and brought up to what they say now."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Any, NamedTuple

from sqlalchemy import ColumnElement, and_, exists, or_, select
from sqlmodel import Session, SQLModel, col

from kb.records.store.imports.bulk import delete_where, runs, table_of
from kb.records.store.rows import columns
from kb.records.tables import (
    ConcernCandidate,
    ConcernCode,
    ConcernRow,
    FollowUpRow,
    ImportedRow,
    OtherWork,
    Outcome,
    Reflash,
    RepairOrder,
    VehicleRow,
)

HISTORY_ROW = "history row"
_edited = table_of(ConcernRow).alias("edited")
VEHICLE_UNTOUCHED = and_(col(VehicleRow.import_id).is_not(None), col(VehicleRow.version) == 1)
CONCERN_UNTOUCHED = and_(col(ConcernRow.import_id).is_not(None), col(ConcernRow.version) == 1)
ORDER_UNTOUCHED: ColumnElement[bool] = and_(
    col(RepairOrder.import_id).is_not(None),
    ~exists().where(
        _edited.c.repair_order_id == col(RepairOrder.id),
        or_(_edited.c.import_id.is_(None), _edited.c.version != 1),
    ),
)
"""What a history made and nobody edited; a repair order with all its lines."""


@dataclass(frozen=True, slots=True)
class RowOnFile:
    """A history row as it stands: what it says since the last import that told it, and what it made.

    `id` is of the row as it was first taken; what it made carries that.
    """

    id: int
    import_id: int
    identity_hash: str
    content: dict[str, Any]
    vehicle_id: int
    order_id: int
    concern_id: int
    opened_at: datetime
    closed_at: datetime | None
    outcome_id: int | None = None
    reflash_id: int | None = None
    event_id: int | None = None


def rows_of_vehicles(session: Session, vehicle_ids: Iterable[int]) -> list[RowOnFile]:
    """Every history row of these vehicles, in the order in which they were first taken."""
    found: dict[tuple[int, str], RowOnFile] = {}
    for some in runs(sorted(set(vehicle_ids))):
        lines = select(col(ConcernRow.id)).join(
            RepairOrder, col(RepairOrder.id) == col(ConcernRow.repair_order_id)
        )
        theirs = lines.where(col(RepairOrder.vehicle_id).in_(some))
        rows = session.execute(
            select(
                col(ImportedRow.id),
                col(ImportedRow.import_id),
                col(ImportedRow.identity_hash),
                col(ImportedRow.content),
                col(RepairOrder.vehicle_id),
                col(RepairOrder.id),
                col(ConcernRow.id),
                col(ConcernRow.opened_at),
                col(ConcernRow.closed_at),
                col(Outcome.id),
                col(Outcome.reflash_id),
                col(Reflash.event_id),
            )
            .join(ConcernRow, col(ConcernRow.id) == col(ImportedRow.noun_id))
            .join(RepairOrder, col(RepairOrder.id) == col(ConcernRow.repair_order_id))
            .outerjoin(Outcome, col(Outcome.history_row_id) == col(ImportedRow.id))
            .outerjoin(Reflash, col(Reflash.id) == col(Outcome.reflash_id))
            .where(col(ImportedRow.noun) == HISTORY_ROW, col(ImportedRow.noun_id).in_(theirs))
            .order_by(col(ImportedRow.id))
        )
        for row in rows:
            now = RowOnFile(*row)
            first = found.setdefault((now.concern_id, now.identity_hash), now)
            if first is not now:
                told = replace(first, import_id=now.import_id, content=now.content)
                found[now.concern_id, now.identity_hash] = told
    return list(found.values())


def vehicles_of_import(session: Session, import_id: int) -> set[int]:
    """The vehicles whose history rows an import took, new or changed."""
    rows = session.execute(
        select(col(RepairOrder.vehicle_id))
        .join(ConcernRow, col(ConcernRow.repair_order_id) == col(RepairOrder.id))
        .join(ImportedRow, col(ImportedRow.noun_id) == col(ConcernRow.id))
        .where(col(ImportedRow.import_id) == import_id, col(ImportedRow.noun) == HISTORY_ROW)
        .distinct()
    )
    return set(rows.scalars())


class Place(NamedTuple):
    """Where a concern belongs, and the import that made it."""

    order_id: int
    vehicle_id: int
    import_id: int | None


def places_of(session: Session, concern_ids: Iterable[int]) -> dict[int, Place]:
    """Where these concerns belong."""
    found: dict[int, Place] = {}
    for some in runs(sorted(set(concern_ids))):
        query = (
            select(
                col(ConcernRow.id),
                col(ConcernRow.repair_order_id),
                col(RepairOrder.vehicle_id),
                col(ConcernRow.import_id),
            )
            .join(RepairOrder, col(RepairOrder.id) == col(ConcernRow.repair_order_id))
            .where(col(ConcernRow.id).in_(some))
        )
        found.update((concern_id, Place(*place)) for concern_id, *place in session.execute(query))
    return found


def untouched_concerns(session: Session, concern_ids: Iterable[int]) -> set[int]:
    """Of these concerns the ones that a history made and nobody edited."""
    found: set[int] = set()
    for some in runs(sorted(set(concern_ids))):
        query = select(col(ConcernRow.id)).where(col(ConcernRow.id).in_(some), CONCERN_UNTOUCHED)
        found.update(one or 0 for one in session.execute(query).scalars())
    return found


_TOLD_OF_AN_OUTCOME = ("duplicated_before", "road_test", "odometer", "other_work")


def outcomes_as_they_stand(session: Session, outcome_ids: Iterable[int]) -> dict[int, dict[str, Any]]:
    """What these outcomes hold of what a history tells, by column."""
    found: dict[int, dict[str, Any]] = {}
    for some in runs(sorted(set(outcome_ids))):
        query = select(col(Outcome.id), *columns(Outcome, _TOLD_OF_AN_OUTCOME))
        for at, *held in session.execute(query.where(col(Outcome.id).in_(some))):
            found[at] = dict(zip(_TOLD_OF_AN_OUTCOME, held, strict=True))
    return found


def drop_what_was_heard(session: Session, history_rows: Iterable[int]) -> None:
    """Follow-ups of these rows, to be told anew."""
    delete_where(session, FollowUpRow, "history_row_id", history_rows)


def keep_codes(session: Session, codes: Mapping[int, Collection[str]]) -> None:
    """Of the codes of these concerns these stay."""
    _keep(session, ConcernCode, ("concern_id", "code"), codes)


def keep_other_work(session: Session, done: Mapping[int, Collection[str]]) -> None:
    """Of the other work that these history rows told this stays."""
    _keep(session, OtherWork, ("history_row_id", "what"), done)


def _keep(
    session: Session, model: type[SQLModel], names: tuple[str, str], keep: Mapping[int, Collection[str]]
) -> None:
    table = table_of(model)
    owner, text = (table.c[name] for name in names)
    gone: list[int] = []
    for some in runs(sorted(keep)):
        rows = session.execute(select(table.c.id, owner, text).where(owner.in_(some)))
        gone += [row_id for row_id, mine, said in rows if said not in keep[mine]]
    delete_where(session, model, "id", gone)


def keep_candidates(session: Session, concern_ids: Iterable[int], keep: set[tuple[int, int]]) -> None:
    """Of the candidates that only a history named, these (concern, note) stay."""
    for some in runs(sorted(set(concern_ids))):
        of_history = (
            select(ConcernCandidate)
            .join(ConcernRow, col(ConcernRow.id) == col(ConcernCandidate.concern_id))
            .where(
                col(ConcernRow.id).in_(some),
                or_(col(ConcernRow.import_id).is_not(None), col(ConcernCandidate.grade) == ""),
            )
        )
        for row in session.execute(of_history).scalars():
            if (row.concern_id, row.note_id) not in keep:
                session.delete(row)
    session.flush()

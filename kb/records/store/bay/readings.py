"""What was read of a vehicle: added, read back, struck."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import fields
from datetime import datetime
from typing import Any

from sqlalchemy import Select, bindparam, select, update
from sqlmodel import Session, col

from kb.nouns.bay.readings import Reading, Readout
from kb.nouns.read_values import ReadKind
from kb.nouns.vehicles import CalibrationSource, Moment
from kb.records.store.bay.writing import Columns, Stamp, columns
from kb.records.store.imports.bulk import add_rows, insert_rows
from kb.records.tables import ConcernRow, ReadingRow, ReadoutRow

_TOLD = tuple(one.name for one in fields(Reading))


def _asked() -> Select[Any]:
    of_value = [getattr(ReadingRow if hasattr(ReadingRow, name) else ReadoutRow, name) for name in _TOLD]
    return (
        select(*of_value)
        .join(ReadoutRow, col(ReadoutRow.id) == col(ReadingRow.readout_id))
        .where(col(ReadoutRow.concern_id) == bindparam("owner"))
        .order_by(col(ReadoutRow.taken_at), col(ReadoutRow.id), col(ReadingRow.id))
    )


OF_CONCERN = _asked()
"""Every value read on the concern `owner`, struck ones too, in the order in which it was taken."""


def reading(*row: Any) -> Reading:
    """A value from what `OF_CONCERN` asks for."""
    said = dict(zip(_TOLD, row, strict=True))
    kinds = {"kind": ReadKind, "source": CalibrationSource, "moment": Moment}
    return Reading(**said | {name: kind(said[name]) for name, kind in kinds.items()})


def add_readouts(session: Session, stamp: Stamp, taken: Sequence[tuple[int, Readout]]) -> None:
    """Readouts of (concern, what was read); one without values is none."""
    kept = [(concern_id, one) for concern_id, one in taken if one.values]
    more = [{"concern_id": at, "by": one.by or stamp.by, "recorded_at": stamp.at} for at, one in kept]
    rows = [columns(ReadoutRow, one) | own for (_, one), own in zip(kept, more, strict=True)]
    ids = insert_rows(session, ReadoutRow, rows)
    not_struck: Columns = {"struck_at": None, "struck_by": ""}
    add_rows(
        session,
        ReadingRow,
        [
            columns(ReadingRow, value) | not_struck | {"readout_id": at}
            for at, (_, one) in zip(ids, kept, strict=True)
            for value in one.values
        ],
    )


def strike_what_records_said(session: Session, repair_order_id: int, by: str, at: datetime) -> None:
    """What was taken from our records of a vehicle counts no more on this repair order: it is of another."""
    lines = select(col(ConcernRow.id)).where(col(ConcernRow.repair_order_id) == repair_order_id)
    theirs = select(col(ReadoutRow.id)).where(col(ReadoutRow.concern_id).in_(lines))
    wrong = update(ReadingRow).where(
        col(ReadingRow.readout_id).in_(theirs),
        col(ReadingRow.source) == CalibrationSource.RECORDS.value,
        col(ReadingRow.struck_at).is_(None),
    )
    session.execute(wrong.values(struck_at=at, struck_by=by))


def strike(session: Session, ids: Sequence[int], by: str, at: datetime) -> None:
    """These values count no more; they stay on file with the name."""
    struck = update(ReadingRow).where(col(ReadingRow.id).in_(ids))
    session.execute(struck.values(struck_at=at, struck_by=by))

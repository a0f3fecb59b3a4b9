"""Reflashes read from correction texts: kept, found again alike ones together, and let go with their rows."""

from __future__ import annotations

from collections.abc import Collection, Iterable
from typing import Any, NamedTuple

from sqlalchemy import ColumnElement, exists, select
from sqlmodel import Session, col

from kb.nouns.history.reflashes_read import ReadState
from kb.records.store.imports.bulk import delete_where, insert_rows, runs, table_of
from kb.records.store.imports.history_told import HISTORY_ROW
from kb.records.store.rows import columns, rows_where
from kb.records.tables import ImportedRow, ReflashRead

Rows = list[dict[str, Any]]


class Brief(NamedTuple):
    """What a read reflash says, without its text."""

    id: int
    alike: str
    wording: str
    update: str
    module: str
    road_test: str
    state: str
    has_day: bool


class WithRow(NamedTuple):
    """A read reflash and the history row of its text."""

    read: ReflashRead
    content: dict[str, Any]


def add(session: Session, rows: Rows) -> None:
    insert_rows(session, ReflashRead, rows)


def rows_taken(session: Session, import_id: int, hashes: Iterable[str]) -> dict[str, tuple[int, int]]:
    """By identity hash the id of the row as this import took it, and its concern."""
    found: dict[str, tuple[int, int]] = {}
    for some in runs(hashes):
        query = select(*columns(ImportedRow, ("identity_hash", "id", "noun_id"))).where(
            col(ImportedRow.import_id) == import_id,
            col(ImportedRow.noun) == HISTORY_ROW,
            col(ImportedRow.identity_hash).in_(some),
        )
        found.update((key, (row, concern)) for key, row, concern in session.execute(query))
    return found


def answered(session: Session, shop_id: int, hashes: Iterable[str]) -> list[ReflashRead]:
    """Those of these rows that somebody counted or left out, whichever import read them."""
    found: list[ReflashRead] = []
    for some in runs(hashes):
        found += rows_where(
            session,
            ReflashRead,
            col(ReflashRead.shop_id) == shop_id,
            col(ReflashRead.identity_hash).in_(some),
            col(ReflashRead.state).in_((ReadState.TAKEN, ReadState.NOT_TAKEN)),
            by=(col(ReflashRead.id),),
        )
    return found


def briefs(session: Session, import_id: int) -> list[Brief]:
    names = ("id", "alike", "wording", "update", "module", "road_test", "state")
    query = select(*columns(ReflashRead, names), col(ReflashRead.done_on).is_not(None))
    query = query.where(col(ReflashRead.import_id) == import_id, _not_read_anew())
    return [Brief(*row) for row in session.execute(query.order_by(col(ReflashRead.id)))]


def with_rows(session: Session, ids: Iterable[int]) -> dict[int, WithRow]:
    found: dict[int, WithRow] = {}
    for some in runs(ids):
        query = select(ReflashRead, col(ImportedRow.content)).join(
            ImportedRow, col(ImportedRow.id) == col(ReflashRead.history_row_id)
        )
        for read, content in session.execute(query.where(col(ReflashRead.id).in_(some))):
            found[read.id or 0] = WithRow(read, content or {})
    return found


def alike_ids(session: Session, import_id: int, alike: str, after: int, limit: int) -> list[int]:
    """A run of the ids of one group, from the one after that id."""
    its = (col(ReflashRead.import_id) == import_id, col(ReflashRead.alike) == alike, _not_read_anew())
    query = select(col(ReflashRead.id)).where(*its, col(ReflashRead.id) > after)
    return [one or 0 for one in session.execute(query.order_by(col(ReflashRead.id)).limit(limit)).scalars()]


def to_answer(
    session: Session, import_id: int, alike: str, states: Collection[ReadState], only: Collection[int]
) -> list[ReflashRead]:
    """Of one group those in these states, and of them `only` those named where some are."""
    its = [col(ReflashRead.import_id) == import_id, col(ReflashRead.alike) == alike, _not_read_anew()]
    its.append(col(ReflashRead.state).in_(states))
    rows = rows_where(session, ReflashRead, *its, by=(col(ReflashRead.id),))
    return [one for one in rows if not only or one.id in only]


def forget(session: Session, history_rows: Iterable[int], concerns: Iterable[int]) -> None:
    """What was read of rows that go, and of concerns that go."""
    rows = list(history_rows)
    delete_where(session, ReflashRead, "history_row_id", rows)
    delete_where(session, ReflashRead, "taken_row_id", rows)
    delete_where(session, ReflashRead, "concern_id", concerns)


def _not_read_anew() -> ColumnElement[bool]:
    """A later file may tell another text of the same row: what it says counts."""
    later = table_of(ReflashRead).alias("later")
    return ~exists().where(
        later.c.shop_id == col(ReflashRead.shop_id),
        later.c.identity_hash == col(ReflashRead.identity_hash),
        later.c.import_id > col(ReflashRead.import_id),
    )

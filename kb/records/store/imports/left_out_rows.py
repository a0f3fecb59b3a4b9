"""Rows of files that imports left out."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from sqlalchemy import bindparam, delete, select, update
from sqlmodel import Session, col

from kb.records.store.imports.bulk import add_rows, table_of
from kb.records.tables import LeftOutRow


def add(session: Session, import_id: int, reasons: Mapping[int, str]) -> None:
    """Lines with their reasons; a line that was left out before has one more reason."""
    rows = [
        {"import_id": import_id, "line": line, "reason": reason, "cells": []}
        for line, reason in sorted(reasons.items())
    ]
    add_rows(session, LeftOutRow, rows)


def lines_of(session: Session, import_id: int) -> set[int]:
    lines = select(col(LeftOutRow.line)).where(col(LeftOutRow.import_id) == import_id)
    return set(session.execute(lines).scalars())


def put_cells(session: Session, import_id: int, cells: Iterable[tuple[int, Sequence[str]]]) -> None:
    """What stood in the lines."""
    table = table_of(LeftOutRow)
    rows = [{"at": line, "said": list(said)} for line, said in cells]
    if rows:
        where = (table.c.import_id == import_id) & (table.c.line == bindparam("at"))
        change = update(table).where(where).values(cells=bindparam("said", type_=table.c.cells.type))
        session.connection().execute(change, rows)


def rows_of(session: Session, import_id: int) -> list[tuple[int, str, list[str]]]:
    """(line, reason, cells) in the order of the file."""
    rows = select(col(LeftOutRow.line), col(LeftOutRow.reason), col(LeftOutRow.cells)).where(
        col(LeftOutRow.import_id) == import_id
    )
    found = session.execute(rows.order_by(col(LeftOutRow.line), col(LeftOutRow.id)))
    return [(line, reason, cells) for line, reason, cells in found]


def forget(session: Session, import_id: int) -> None:
    session.execute(delete(LeftOutRow).where(col(LeftOutRow.import_id) == import_id))

"""Every table row by row, for taking the whole shop out."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from sqlalchemy import select
from sqlmodel import Session, SQLModel

import kb.records.tables  # noqa: F401  # registers every table with the metadata

_LEFT_BEHIND = frozenset({"sign_in", "api_token", "revision", "waiting_file"})
"""Secrets, counters, and files that wait on the import page, of which their senders have the original."""
_SECRET_COLUMNS = frozenset({"password_hash", "set_up_code_hash"})
_ROWS_AT_ONCE = 2000


def every_row(session: Session) -> Iterator[tuple[str, Mapping[str, Any]]]:
    """(table, row by column) in an order in which every reference points backward; no secrets."""
    for table in SQLModel.metadata.sorted_tables:
        if table.name in _LEFT_BEHIND:
            continue
        columns = [column for column in table.columns if column.name not in _SECRET_COLUMNS]
        rows = session.execute(
            select(*columns).order_by(*table.primary_key.columns).execution_options(yield_per=_ROWS_AT_ONCE)
        )
        for row in rows.mappings():
            yield table.name, {column.name: row[column] for column in columns}

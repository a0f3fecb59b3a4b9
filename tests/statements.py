"""Statements that a block asks of the database."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager

from sqlalchemy import Engine, event


@contextmanager
def statements_of(engine: Engine) -> Iterator[list[str]]:
    """What is asked within the block; the beginning of a transaction is no statement."""
    seen: list[str] = []

    def see(_connection: object, _cursor: object, statement: str, *_more: object) -> None:
        if not statement.startswith(("BEGIN", "PRAGMA")):
            seen.append(" ".join(statement.split()))

    event.listen(engine, "before_cursor_execute", see)
    try:
        yield seen
    finally:
        event.remove(engine, "before_cursor_execute", see)

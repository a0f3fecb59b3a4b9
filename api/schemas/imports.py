"""Bodies about imports."""

from __future__ import annotations

from datetime import datetime

from api.schemas.base import Out


class RowErrorOut(Out):
    """What was wrong with one line (0: the whole file). A `warning` let the row in, or says what is lost with
    a column that is left out; a `notice` names another filled column that was not read, and is no problem.
    """

    line: int
    field: str
    message: str
    severity: str


class KeptOut(Out):
    """Something that an undo left where it is, and why."""

    noun: str
    id: int
    title: str
    why: str


class ImportOut(Out):
    """One import: running, done, stopped, undoing or undone; at most the first thousand row errors.

    `standing_still`: it says that it works, and nothing has moved since `last_progress_at`, some minutes ago.
    """

    id: int
    format: str
    file_name: str
    dry_run: bool
    state: str
    sentence: str
    done: int
    total: int
    created: int
    changed: int
    unchanged: int
    rows: int
    doubles: int
    error_count: int
    warning_count: int
    errors: list[RowErrorOut]
    removed: int
    reverted: int
    kept: list[KeptOut]
    trouble: str
    author: str
    started_at: datetime
    ended_at: datetime | None
    last_progress_at: datetime
    standing_still: bool

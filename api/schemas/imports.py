"""Bodies about imports."""

from __future__ import annotations

from datetime import datetime

from api.schemas.base import Out
from kb.desk.imports.import_views import ImportRowError, Kept, NotWantedCount


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
    not_wanted: tuple[NotWantedCount, ...]
    error_count: int
    warning_count: int
    errors: tuple[ImportRowError, ...]
    removed: int
    reverted: int
    kept: tuple[Kept, ...]
    trouble: str
    author: str
    started_at: datetime
    ended_at: datetime | None
    last_progress_at: datetime
    standing_still: bool

"""Bodies about imports."""

from __future__ import annotations

from datetime import datetime
from typing import Literal

from api.schemas.base import Day, IdIn, In, Out, Word
from kb.desk.imports.import_told import ImportRowError, Kept
from kb.desk.imports.not_wanted import NotWantedCount
from kb.nouns.history.reflashes_read import Answer


class ImportOut(Out):
    """One import: running, done, stopped, undoing or undone; at most the first thousand row errors.

    `standing_still`: it says that it works, and has given no sign of life since `last_progress_at`, some
    seconds ago; it can be carried on or undone. `file_kept`: it can be carried on without its file.
    `left_out_kept`: the rows that it left out can be fetched as a file.
    `reflashes_read`: told by texts of rows that name none, counted only when somebody says so.
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
    file_kept: bool
    left_out_kept: bool
    reflashes_read: int
    texts_not_read: int


class ReflashAnswerIn(In):
    """An answer for a group of reflashes read from texts, or for those that `only` names.

    What is left out stays as it was read. A reflash `without_number` counts under no bulletin. `done_on` is
    for texts whose row has no day.
    """

    answer: Answer
    update: Word | None = None
    without_number: bool = False
    module: Word | None = None
    road_test: Literal["", "gone", "still_there", "cannot_say"] | None = None
    done_on: Day | None = None
    only: tuple[IdIn, ...] = ()

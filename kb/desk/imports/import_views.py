"""The jobs of imports, read from their rows into what people see of them."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime, timedelta

from kb.desk.context import Desk
from kb.desk.imports.import_told import TEXTS_TOLD, ImportRowError, ImportState, ImportView, Kept
from kb.desk.imports.not_wanted import counts_of
from kb.nouns.copying import copied
from kb.nouns.days import day_words
from kb.nouns.history.reflashes_read import ReadState
from kb.records.store.imports import waiting_files as file_store
from kb.records.tables import ImportJob

STILL_AFTER = timedelta(seconds=8)
"""A job that works says so every two seconds (heartbeat.py): a dead one is told from it within ten."""


def views_of(desk: Desk, rows: Sequence[ImportJob]) -> tuple[ImportView, ...]:
    """The views of jobs, now."""
    kept = file_store.kept_of(desk.session, [row.id or 0 for row in rows]) if rows else set[int]()
    return tuple(_view(desk, row, file_kept=row.id in kept and not row.dry_run) for row in rows)


def _view(desk: Desk, row: ImportJob, *, file_kept: bool) -> ImportView:
    said = row.summary
    told = said.get(TEXTS_TOLD, {})
    beat = said.get("last_progress_at")
    moved_at = datetime.fromisoformat(beat) if beat else row.started_at
    theirs = {ours: name for name, ours in said.get("columns", {}).items() if ours and ours != name}
    working = row.state in (ImportState.RUNNING.value, ImportState.UNDOING.value)
    return copied(
        ImportView,
        row,
        id=row.id or 0,
        state=ImportState(row.state),
        rows=said.get("rows", 0),
        doubles=said.get("doubles", 0),
        left_out=said.get("left_out", said.get("errors", 0)),
        not_wanted=counts_of(said.get("not_wanted", {})),
        error_count=said.get("errors", 0),
        warning_count=said.get("warnings", 0),
        errors=tuple(ImportRowError(**one, column=theirs.get(one["field"], "")) for one in row.row_errors),
        removed=said.get("removed", 0),
        reverted=said.get("reverted", 0),
        kept=tuple(Kept(**one) for one in said.get("kept", ())),
        trouble=said.get("trouble", ""),
        last_progress_at=moved_at,
        last_progress=_time_words(desk, moved_at),
        file_kept=file_kept,
        left_out_kept="header" in said and row.state == ImportState.DONE.value,
        reflashes_read=told.get(ReadState.PROPOSED.value, 0),
        texts_not_read=told.get(ReadState.NOT_READ.value, 0),
        standing_still=working and desk.now - moved_at >= STILL_AFTER,
    )


def _time_words(desk: Desk, moment: datetime) -> str:
    here = moment.astimezone(desk.shop.zone)
    clock = f"{here:%I:%M %p}".lstrip("0")
    return clock if here.date() == desk.today else f"{clock} on {day_words(here.date())}"

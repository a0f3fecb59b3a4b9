"""An import as people see it: its state, its counts, what it could not take, and one sentence."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from enum import StrEnum

from kb.desk.context import Desk
from kb.desk.imports.not_wanted import NotWantedCount, counts_of, not_wanted_words
from kb.nouns.copying import copied
from kb.nouns.days import day_words
from kb.nouns.history.reflashes_read import ReadState
from kb.records.store.imports import waiting_files as file_store
from kb.records.tables import ImportJob

TEXTS_TOLD = "texts_told"
"""Where a job counts what correction texts tell, by kind."""
STILL_AFTER = timedelta(seconds=8)
"""A job that works says so every two seconds (heartbeat.py): a dead one is told from it within ten."""


class ImportState(StrEnum):
    """`stopped` ended with an error; a job that says `running` and stands still died with its process."""

    RUNNING = "running"
    DONE = "done"
    STOPPED = "stopped"
    UNDOING = "undoing"
    UNDONE = "undone"


@dataclass(frozen=True, slots=True)
class ImportRowError:
    """What was wrong with one line (0: the whole file). A warning let the row in; a notice names a column
    that was not read. `column` is the field's name in the file, where it has one of its own.
    """

    line: int
    field: str
    message: str
    severity: str
    column: str = ""


@dataclass(frozen=True, slots=True)
class Kept:
    """Something that an undo left where it is, and why."""

    noun: str
    id: int
    title: str
    why: str


@dataclass(slots=True)
class Undone:
    """What one batch of an undo did, and what was kept."""

    removed: int = 0
    reverted: int = 0
    kept: list[Kept] = field(default_factory=list)


@dataclass(frozen=True, slots=True)
class ImportView:
    """One import. `done` and `total` count notes or history rows; `errors` lists at most the first thousand.

    `rows` counts the rows of the file, `doubles` repeats among them and `left_out` rows with errors,
    each once however many errors it has. After an undo `removed` and `reverted` say what went, `kept` what
    stayed. `not_wanted`: good notes that were left out, by reason.

    `standing_still`: it says that it works, and has given no sign of life for some seconds;
    `last_progress` is when it gave the last, in the shop's own time. `file_kept`: it can be carried on
    without choosing the file again; `left_out_kept`: the rows that it left out can be fetched.
    `reflashes_read` were told by texts of rows that name none and count when somebody says so;
    `texts_not_read` speak of programming, and what was done is not plain.
    """

    id: int
    format: str
    file_name: str
    dry_run: bool
    state: ImportState
    done: int
    total: int
    created: int
    changed: int
    unchanged: int
    rows: int
    doubles: int
    left_out: int
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
    last_progress: str
    standing_still: bool
    file_kept: bool
    left_out_kept: bool
    reflashes_read: int
    texts_not_read: int

    @property
    def can_be_answered(self) -> bool:
        """Whether what was read of its texts may be counted."""
        return self.state is ImportState.DONE and not self.dry_run

    @property
    def nothing_taken(self) -> bool:
        """Not one row of the file could be read."""
        return self.created + self.changed + self.unchanged == 0 and not self.not_wanted

    @property
    def reflashes_said(self) -> str:
        """How many reflashes texts tell, and where to look at them; empty where none is told."""
        if not self.reflashes_read and not self.texts_not_read:
            return ""
        reflashes = "1 reflash" if self.reflashes_read == 1 else f"{self.reflashes_read:,} reflashes"
        said = f"{reflashes} read from the correction text; none counts before you look at them"
        unread = (
            f", {self.texts_not_read:,} texts on programming that somebody must look at"
            if self.texts_not_read
            else ""
        )
        return f"{said}{unread}: /imports/{self.id}#reflashes."

    @property
    def sentence(self) -> str:
        """What it took and what it left, for the command line and the page."""
        return _SENTENCES[self.state](self)


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


def _ended(view: ImportView) -> str:
    if not view.rows and view.nothing_taken and not view.left_out:
        return "The file has no rows below its header: nothing taken."
    would = "would be " if view.dry_run else ""
    took = (
        f"{view.created:,} {would}new, {view.changed:,} {would}changed, {view.unchanged:,} unchanged "
        f"({view.rows:,} rows read)."
    )
    left = f" Left out: {view.left_out:,} {_rows(view.left_out)} with errors"
    repeats = "repeat" if view.doubles == 1 else "repeats"
    left += f", {view.doubles:,} {repeats} of a row before." if view.doubles else "."
    looked = f" {view.warning_count:,} to look at again." if view.warning_count else ""
    return took + left + not_wanted_words(view.not_wanted) + looked


def _undone(view: ImportView) -> str:
    said = f"Undone: {view.removed:,} removed, {view.reverted:,} put back as they were"
    return said + (f", {len(view.kept):,} kept because they were edited or used since." if view.kept else ".")


def _running(view: ImportView) -> str:
    if view.standing_still:
        return f"Stopped making progress at {view.last_progress}, with {_so_far(view)} taken. {_again(view)}"
    if not view.total:
        return "Reading the file; nothing is taken yet."
    return f"{_so_far(view)} taken so far, the last at {view.last_progress}."


def _stopped(view: ImportView) -> str:
    return f"Stopped after {_so_far(view)}: {view.trouble.rstrip('.')}. {_again(view)}"


def _undoing(view: ImportView) -> str:
    if view.standing_still:
        return (
            f"The undo stopped making progress at {view.last_progress}, with {view.removed:,} removed. "
            "Undo it again to carry on."
        )
    return f"Being undone: {view.removed:,} removed so far, the last at {view.last_progress}."


def _again(view: ImportView) -> str:
    if view.dry_run:
        return "It only looked and saved nothing; choose the file again to look once more."
    carry = "Carry it on" if view.file_kept else "Bring the same file in again to carry on"
    return f"{carry}; what was taken is not taken twice. Or undo it."


def _so_far(view: ImportView) -> str:
    return f"{view.done:,} of {view.total:,}" if view.total else "nothing"


def _time_words(desk: Desk, moment: datetime) -> str:
    here = moment.astimezone(desk.shop.zone)
    clock = f"{here:%I:%M %p}".lstrip("0")
    return clock if here.date() == desk.today else f"{clock} on {day_words(here.date())}"


def _rows(count: int) -> str:
    return "row" if count == 1 else "rows"


_SENTENCES = {
    ImportState.RUNNING: _running,
    ImportState.DONE: _ended,
    ImportState.STOPPED: _stopped,
    ImportState.UNDOING: _undoing,
    ImportState.UNDONE: _undone,
}

"""Looking at a file before it is brought in: its columns, what each is read as, and what would come of it."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import timedelta

from kb.desk.context import Desk, lead_or_owner
from kb.desk.imports import import_history, import_notes
from kb.desk.imports.import_batches import Batch, batches
from kb.desk.imports.imports import importer_of, read_options
from kb.desk.imports.not_wanted import left_out_words
from kb.desk.saving import row_of
from kb.errors import BadInput, Unreadable
from kb.intake import columns as columns_room
from kb.intake.columns import FileColumn, columns_of, suggest, values_of
from kb.intake.formats import Importer
from kb.intake.history.days import order_of
from kb.intake.history.history_row import HistoryRow
from kb.intake.history.words_read import WordRead, words_read
from kb.intake.notes import notes
from kb.intake.notes.note_lines import are_json_lines
from kb.intake.rows import RowError, Severity
from kb.intake.source import open_text
from kb.intake.tables import first_of
from kb.nouns.imports import DaysWritten, HowToRead
from kb.nouns.notes import NoteDraft
from kb.records.store.imports import imports as job_store
from kb.records.store.imports import waiting_files as store
from kb.records.store.rows import save
from kb.records.tables import WaitingFile

LOOK_AT = 1000
"""Notes or history rows that are read for a preview; the file itself may have many more."""
DAYS_LOOKED_AT = 20_000
"""Rows whose days are looked through for one that can be read in one order only."""
SHOWN = 5
ERRORS_SHOWN = 20
HEADER_LINE = 1
KEPT_FOR = timedelta(days=1)


@dataclass(frozen=True, slots=True)
class FileInHand:
    """A file that waits to be brought in."""

    id: int
    format: str
    file_name: str
    data: bytes


@dataclass(frozen=True, slots=True)
class Preview:
    """What a file holds and what would come of it, from its first thousand rows or notes.

    `how` says what each of `columns` is read as; both are empty for a format with fixed columns. `doubled`
    are the columns whose name stands there before, told apart by a number, `words` the answers as they are
    read. `notes` and `rows` are the first few, `trouble` why nothing can be read in this way. `to_the_end`:
    all of the file was looked at. `on_top` are warnings of the whole file, `notices` the other filled columns
    that are left out; `error_count` counts `on_top` too.
    `not_wanted`: good notes that were left out, in words, once all of the file was looked at.
    """

    columns: tuple[FileColumn, ...]
    known: tuple[str, ...]
    how: HowToRead
    doubled: tuple[str, ...] = ()
    trouble: str = ""
    words: tuple[WordRead, ...] = ()
    notes: tuple[NoteDraft, ...] = ()
    rows: tuple[HistoryRow, ...] = ()
    to_the_end: bool = True
    new: int = 0
    changed: int = 0
    unchanged: int = 0
    on_top: tuple[RowError, ...] = ()
    notices: tuple[RowError, ...] = ()
    errors: tuple[RowError, ...] = ()
    error_count: int = 0
    not_wanted: str = ""


@lead_or_owner
def keep_waiting(desk: Desk, format_name: str, file_name: str, data: bytes) -> int:
    """Keep a file for a day, to be looked at. Raises Unreadable or BadInput where no choice would help."""
    importer = importer_of(format_name)
    if not _columns(importer, data):
        importer.read(data, read_options(desk, HowToRead()))
    store.forget_older(desk.session, desk.shop.id, desk.now - KEPT_FOR)
    row = WaitingFile(
        shop_id=desk.shop.id,
        format=format_name,
        file_name=file_name,
        data=data,
        author=desk.actor.name,
        kept_at=desk.now,
    )
    return save(desk.session, row).id or 0


@lead_or_owner
def file_in_hand(desk: Desk, file_id: int) -> FileInHand:
    """The waiting file; NotFound where it was brought in, let go or is older than a day."""
    missing = "This file waits no more: it was brought in, or a day has passed. Choose it again."
    row = row_of(desk, WaitingFile, file_id, missing)
    return FileInHand(file_id, row.format, row.file_name, row.data)


@lead_or_owner
def still_waits(desk: Desk, file_id: int) -> bool:
    return store.waits(desk.session, desk.shop.id, file_id)


@lead_or_owner
def let_go(desk: Desk, file_id: int) -> None:
    store.forget(desk.session, desk.shop.id, file_id)


@lead_or_owner
def preview(desk: Desk, file: FileInHand, chosen: HowToRead | None = None) -> Preview:
    """The file as it would be read by what was `chosen`, or else by what its columns suggest."""
    importer = importer_of(file.format)
    columns = tuple(one for one in _columns(importer, file.data) if one.name)
    how = _suggested(desk, importer, file.data, columns) if chosen is None else chosen
    names = [one.name for one in columns]
    doubled = tuple(name for name in names if first_of(name, names))
    so_far = Preview(columns, importer.columns if columns else (), how, doubled)
    try:
        columns_room.refuse_double(how.columns)
        items = importer.read(file.data, read_options(desk, how))
    except (BadInput, Unreadable) as wrong:
        return replace(so_far, trouble=wrong.message)
    so_far = replace(so_far, words=words_read(file.data, how, LOOK_AT))
    return _seen(desk, importer, so_far, next(batches(items, LOOK_AT)))


def _columns(importer: Importer, data: bytes) -> tuple[FileColumn, ...]:
    """None of a format whose columns are fixed, nor of JSON lines, which name their fields themselves."""
    if not importer.columns or are_json_lines(open_text(data)):
        return ()
    return columns_of(data)


def refuse_double(how: HowToRead) -> None:
    """Raise BadInput where two columns are to be read as one."""
    columns_room.refuse_double(how.columns)


def _seen(desk: Desk, importer: Importer, so_far: Preview, batch: Batch) -> Preview:
    of_notes = import_notes.plan_notes(desk, batch.notes, importer.name == notes.NAME)
    of_history = import_history.plan_history(desk, batch.rows)
    told = [*batch.errors, *of_notes.errors, *of_history.errors]
    notices = tuple(one for one in told if one.severity is Severity.NOTICE)
    on_top = tuple(one for one in told if one.severity is Severity.WARNING and one.line <= HEADER_LINE)
    errors = [one for one in told if one not in notices and one not in on_top]
    return replace(
        so_far,
        notes=tuple(item.draft for item in batch.notes[:SHOWN]),
        rows=tuple(batch.rows[:SHOWN]),
        to_the_end=batch.summary is not None,
        not_wanted=left_out_words(batch.summary),
        new=len(of_notes.new) + len(of_history.new),
        changed=len(of_notes.changed) + len(of_history.changed),
        unchanged=of_notes.unchanged + of_history.unchanged,
        on_top=on_top,
        notices=notices,
        errors=tuple(errors[:ERRORS_SHOWN]),
        error_count=len(errors) + len(on_top),
    )


def _suggested(desk: Desk, importer: Importer, data: bytes, columns: tuple[FileColumn, ...]) -> HowToRead:
    """What was chosen for such files before, then what names suggest; days tell their own order."""
    if not columns:
        return HowToRead()
    before, days_before = job_store.last_chosen(desk.session, desk.shop.id, importer.name)
    read_as = suggest(columns, importer.columns, before)
    with_days = {name for name, ours in read_as.items() if ours in importer.days}
    days = list(values_of(data, with_days, DAYS_LOOKED_AT)) if with_days else []
    told = order_of(days)
    if told is DaysWritten.YEAR_FIRST and any("/" in day for day in days):
        told = DaysWritten(days_before) if days_before else DaysWritten.YEAR_FIRST
    return HowToRead(read_as, told)

"""Looking at a file before it is brought in: its columns, what each is read as, and what would come of it."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, replace
from datetime import timedelta

from kb.desk.context import Desk, lead_or_owner
from kb.desk.imports import import_history, import_notes
from kb.desk.imports.import_batches import Batch, batches
from kb.desk.imports.import_jobs import importer_of
from kb.desk.imports.imports import keep_file, options_to_try, read_options
from kb.desk.imports.not_wanted import left_out_words
from kb.desk.imports.reading_how import how_to_read, texts_asked
from kb.desk.saving import row_of
from kb.errors import BadInput, Unreadable
from kb.intake.columns import FileColumn, columns_of, refuse_double
from kb.intake.formats import FORMATS, Importer, table_of
from kb.intake.history import history
from kb.intake.history.history_row import HistoryRow
from kb.intake.history.words_read import WordRead, words_read
from kb.intake.notes import notes
from kb.intake.rows import RowError, Severity
from kb.intake.tables import first_of
from kb.nouns.imports import HowToRead
from kb.nouns.notes import NoteDraft
from kb.records.store.imports import kept_columns as kept_store
from kb.records.store.imports import waiting_files as store
from kb.records.store.imports.kept_columns import NOTHING_KEPT, Kept
from kb.records.tables import WaitingFile

LOOK_AT = 1000
"""Notes or history rows that are read for a preview; the file itself may have many more."""
SHOWN = 5
ERRORS_SHOWN = 20
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
    all of the file was looked at. `sheets` are those of a workbook, `kept` is what was chosen before, `texts`
    are those under the update that are no numbers, with their rows in the whole file. `on_top` are warnings
    of the whole file, `notices` the other filled columns that are left out; `error_count` counts `on_top`.
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
    sheets: tuple[str, ...] = ()
    kept: Kept = NOTHING_KEPT
    texts: tuple[tuple[str, int], ...] = ()
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
    if table_of(importer, data) is None:
        try:
            importer.read(data, options_to_try(desk, HowToRead()))
        except Unreadable as wrong:
            raise Unreadable(wrong.message + _reads_as(desk, data)) from wrong
    store.forget_older(desk.session, desk.shop.id, desk.now - KEPT_FOR)
    return keep_file(desk, format_name, file_name, data)


def _reads_as(desk: Desk, data: bytes) -> str:
    """A sentence on the format with fixed columns that the first lines tell; or empty."""
    options = options_to_try(desk, HowToRead())
    for fixed in (one for one in FORMATS.values() if not one.columns):
        try:
            fixed.read(data, options)
        except Unreadable:
            continue
        return f" This one reads as {fixed.name.replace('-', ' ')}: choose that."
    return ""


@lead_or_owner
def file_in_hand(desk: Desk, file_id: int) -> FileInHand:
    """The waiting file; NotFound where it was brought in, let go or is older than a day."""
    missing = "This file waits no more: it was brought in, or a day has passed. Choose it again."
    row = row_of(desk, WaitingFile, file_id, missing)
    return FileInHand(file_id, row.format, row.file_name, store.unpacked(row.data))


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
    how = how_to_read(desk, file.format, file.data) if chosen is None else chosen
    table = table_of(importer, file.data, how)
    so_far = Preview((), importer.columns if table else (), how)
    if table is not None:
        names = [name for name in table.header if name]
        so_far = replace(
            so_far,
            columns=tuple(one for one in columns_of(table) if one.name),
            doubled=tuple(name for name in names if first_of(name, names)),
            sheets=table.sheets,
            kept=kept_store.kept_for(desk.session, desk.shop.id, file.format, table.header),
        )
    try:
        refuse_double(how.columns)
        items = importer.read(file.data, read_options(desk, file.format, file.data, how))
    except (BadInput, Unreadable) as wrong:
        return replace(so_far, trouble=wrong.message)
    if table is not None:
        texts = texts_asked(desk, file.data, how) if importer.name == history.NAME else Counter[str]()
        so_far = replace(so_far, words=words_read(table, how, LOOK_AT), texts=tuple(texts.most_common()))
    return _seen(desk, importer, so_far, next(batches(items, LOOK_AT)))


def _seen(desk: Desk, importer: Importer, so_far: Preview, batch: Batch) -> Preview:
    of_notes = import_notes.plan_notes(desk, batch.notes, importer.name == notes.NAME)
    of_history = import_history.plan_history(desk, batch.rows)
    told = [*batch.errors, *of_notes.errors, *of_history.errors]
    header_line = so_far.how.layout.header_line
    notices = tuple(one for one in told if one.severity is Severity.NOTICE)
    of_file = [one for one in told if one.severity is Severity.WARNING and one.line <= header_line]
    on_top = tuple(
        one for one in of_file if one.field not in importer.columns
    )  # texts are told beside columns
    errors = [one for one in told if one not in notices and one not in of_file]
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

"""Imports: a file is taken in batches under a job, and found by the search when it is done."""

from __future__ import annotations

import hashlib
from dataclasses import replace

from kb.desk import settings
from kb.desk.context import Desk, RunningShop, anyone_in_the_shop, lead_or_owner
from kb.desk.imports import import_history, import_notes, import_visits
from kb.desk.imports.heartbeat import beating
from kb.desk.imports.import_batches import Batch, batches
from kb.desk.imports.import_jobs import (
    Run,
    TurnIsOver,
    count_batch,
    finish_job,
    how_of,
    importer_of,
    job_row,
    open_job,
    row_in_turn,
    stop_job,
)
from kb.desk.imports.import_told import HowFar, ImportState, ImportView, nobody_looks
from kb.desk.imports.import_views import views_of
from kb.desk.imports.reading_how import keep_choice, texts_on_file
from kb.desk.imports.rows_left_out import fill_in, note_left_out
from kb.errors import BadInput, NotFound
from kb.intake.columns import refuse_double
from kb.intake.formats import Importer, table_of
from kb.intake.history import history
from kb.intake.history.history_row import HistoryRow
from kb.intake.notes import notes
from kb.intake.rows import ParsedNote, ReadOptions
from kb.nouns.imports import AS_IT_STANDS, HowToRead
from kb.nouns.people import Actor
from kb.records.store.imports import imports as store
from kb.records.store.imports import waiting_files as file_store
from kb.records.store.rows import save
from kb.records.tables import ImportJob, WaitingFile

NOTES_A_BATCH = 400
ROWS_A_BATCH = 250
"""A batch holds the only pen; it is short, so that others write between batches."""
_UNFINISHED = (ImportState.RUNNING.value, ImportState.STOPPED.value)


def run_import(
    shop: RunningShop,
    actor: Actor,
    format_name: str,
    file_name: str,
    data: bytes,
    *,
    dry_run: bool = False,
    how: HowToRead = AS_IT_STANDS,
    how_far: HowFar = nobody_looks,
) -> int:
    """Take a whole file and give the job's id. `how`: columns of other names, days of another order.

    Raises Unreadable (and leaves no job) where nothing can be read, BadInput for an unknown format. A dry run
    writes nothing but the job with what would happen.
    """
    run = begin_import(shop, actor, format_name, file_name, data, dry_run=dry_run, how=how)
    carry_on_import(shop, actor, run, format_name, data, how_far)
    return run.job_id


def begin_import(
    shop: RunningShop,
    actor: Actor,
    format_name: str,
    file_name: str,
    data: bytes,
    *,
    dry_run: bool = False,
    how: HowToRead = AS_IT_STANDS,
) -> Run:
    """Look whether the file can be read at all, and open its job (or take over the one left unfinished)."""
    importer = importer_of(format_name)
    refuse_double(how.columns)
    table = table_of(importer, data, how)
    if table is not None:
        how = replace(how, layout=table.layout)
    with shop.reading(actor) as desk:
        options = options_to_try(desk, how)
    importer.read(data, options)
    file_hash = hashlib.sha256(data).hexdigest()
    with shop.writing(actor) as desk:
        run = open_job(desk, format_name, file_name, file_hash, dry_run, how)
        if importer.columns and not dry_run:
            keep_choice(desk, format_name, how)
            keep_until_taken(desk, run, format_name, file_name, data)
        return run


def carry_on_import(
    shop: RunningShop,
    actor: Actor,
    run: Run,
    format_name: str,
    data: bytes,
    how_far: HowFar = nobody_looks,
) -> None:
    """Take the file from where the job stands, batch by batch, each in a transaction of its own.

    `how_far` is told how many rows are done, of how many.
    """
    importer = importer_of(format_name)
    try:
        with beating(shop, actor, run.job_id, run.turn):
            _take_all(shop, actor, run, importer, data, how_far)
    except TurnIsOver:
        return
    except Exception as trouble:
        with shop.writing(actor) as desk:
            stop_job(desk, run, trouble)
        raise


def resume_import(shop: RunningShop, actor: Actor, import_id: int) -> tuple[Run, str, bytes]:
    """Take over an import that did not end, with its format and file, for `carry_on_import`.

    BadInput for one that ended, NotFound where its file is not kept.
    """
    with shop.writing(actor) as desk:
        row = job_row(desk, import_id)
        if row.dry_run or row.state not in _UNFINISHED:
            raise BadInput("Only an import that did not end can be carried on.")
        kept = file_store.of_import(desk.session, import_id)
        if kept is None:
            raise NotFound("Its file is not kept. Bring the same file in again to carry the import on.")
        run = open_job(desk, row.format, row.file_name, row.file_hash, False, how_of(row))
        return run, row.format, kept


@lead_or_owner
def keep_until_taken(desk: Desk, run: Run, format_name: str, file_name: str, data: bytes) -> None:
    """Keep the file of an import that is being taken, so that it can be carried on by a tap."""
    if not file_store.kept_of(desk.session, (run.job_id,)):
        keep_file(desk, format_name, file_name, data, run.job_id)


@lead_or_owner
def keep_file(desk: Desk, format_name: str, file_name: str, data: bytes, import_id: int | None = None) -> int:
    """Put a file by, to be looked at or for the import that is taking it; its id."""
    row = WaitingFile(
        shop_id=desk.shop.id,
        format=format_name,
        file_name=file_name,
        data=file_store.packed(data),
        author=desk.actor.name,
        kept_at=desk.now,
        import_id=import_id,
    )
    return save(desk.session, row).id or 0


@lead_or_owner
def read_import(desk: Desk, import_id: int) -> ImportView:
    """One import as it stands; NotFound if there is none."""
    (view,) = views_of(desk, (job_row(desk, import_id),))
    return view


@lead_or_owner
def list_imports(desk: Desk, limit: int = 50, after: int | None = None) -> tuple[ImportView, ...]:
    """The last imports, newest first, from the one after that id."""
    return views_of(desk, store.jobs(desk.session, desk.shop.id, limit, after))


@anyone_in_the_shop
def half_taken(desk: Desk) -> tuple[ImportView, ...]:
    """Imports of which a part counts in every report: running, stopped or being undone, with rows taken.

    Newest first. Dry runs take nothing, and so do imports that met only what was here already.
    """
    return views_of(desk, store.half_taken_jobs(desk.session, desk.shop.id))


@lead_or_owner
def read_options(desk: Desk, format_name: str, data: bytes, how: HowToRead) -> ReadOptions:
    """What an importer is told beside the file; of a history the whole file is gone through for it."""
    options = options_to_try(desk, how)
    if format_name != history.NAME:
        return options
    return replace(options, numbers=frozenset(texts_on_file(desk, data, how)))


@lead_or_owner
def options_to_try(desk: Desk, how: HowToRead) -> ReadOptions:
    """The same to see whether a file can be read at all, which no row of it decides."""
    return ReadOptions(
        desk.today,
        how.columns,
        how.days,
        settings.current(desk).window_days,
        how.wanted,
        how.layout,
        how.take_texts,
    )


def _take_all(
    shop: RunningShop, actor: Actor, run: Run, importer: Importer, data: bytes, how_far: HowFar
) -> None:
    with shop.reading(actor) as desk:
        options = read_options(desk, importer.name, data, run.how)
    total = sum(isinstance(item, ParsedNote | HistoryRow) for item in importer.read(data, options))
    with shop.writing(actor) as desk:
        row_in_turn(desk, run.job_id, run.turn).total = total
    size = ROWS_A_BATCH if importer.name == history.NAME else NOTES_A_BATCH
    for batch in batches(importer.read(data, options), size, run.done):
        with shop.writing(actor) as desk:
            row = row_in_turn(desk, run.job_id, run.turn)
            _take(desk, row, batch, importer.name == notes.NAME)
            done = row.done
        how_far(done, total)
    with shop.reading(actor) as desk:
        of_history = importer.name == history.NAME and not run.dry_run
        heard = import_visits.told_since(desk, run.job_id) if of_history else None
    with shop.writing(actor) as desk:
        if heard is not None:
            import_visits.take_visits(desk, heard)
        row = row_in_turn(desk, run.job_id, run.turn)
        if importer.columns:
            fill_in(desk, row, data, run.how)
            file_store.forget_of_import(desk.session, run.job_id)
        finish_job(desk, row)


def _take(desk: Desk, row: ImportJob, batch: Batch, checked: bool) -> None:
    """One batch: what is new or changed is written (unless this is a dry run) and counted."""
    of_notes = import_notes.plan_notes(desk, batch.notes, checked)
    of_history = import_history.plan_history(desk, batch.rows)
    if not row.dry_run:
        import_notes.take_notes(desk, row.id or 0, of_notes)
        import_history.take_history(desk, row.id or 0, of_history)
    row.created += len(of_notes.new) + len(of_history.new)
    row.changed += len(of_notes.changed) + len(of_history.changed)
    row.unchanged += of_notes.unchanged + of_history.unchanged
    row.done += batch.size
    met = [*batch.errors, *of_notes.errors, *of_history.errors]
    note_left_out(desk, row, met)
    count_batch(desk, row, met, batch.summary)
    desk.session.flush()

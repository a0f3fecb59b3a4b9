"""The job of an import: opened, kept in turn, counted and ended.

Whoever gives the same file again carries on with a job that did not end: the job's turn is counted up, and
a run whose turn is over stops by itself. So a dead process leaves nothing that cannot be finished or undone.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, fields, replace
from typing import Any

from pydantic import TypeAdapter

from kb.desk.context import Desk, anyone_in_the_shop, lead_or_owner
from kb.desk.imports.import_told import ImportState
from kb.errors import BadInput, KbError, NotFound
from kb.intake.formats import FORMATS, Importer
from kb.intake.rows import ReadSummary, RowError, Severity
from kb.intake.tables import fold
from kb.nouns.imports import AS_IT_STANDS, HowToRead
from kb.records.store.imports import imports as store
from kb.records.store.rows import save
from kb.records.tables import ImportJob

_HOW = TypeAdapter(HowToRead)
_HOW_NAMES = tuple(one.name for one in fields(HowToRead))
MOST_ERRORS = 1000
"""Row errors kept with a job; more are only counted."""


@dataclass(frozen=True, slots=True)
class Run:
    """One run of one job; another run of the same job has another turn."""

    job_id: int
    turn: int
    dry_run: bool
    done: int
    how: HowToRead = AS_IT_STANDS


class TurnIsOver(KbError):
    """Somebody else carries on with this import, or undoes it."""

    code = "turn_is_over"


def importer_of(format_name: str) -> Importer:
    """The importer of that name; BadInput that lists the names where there is none."""
    importer = FORMATS.get(format_name)
    if importer is None:
        known = ", ".join(FORMATS)
        raise BadInput(
            f"There is no format {format_name!r}. Choose one of {known}.", fields={"format": known}
        )
    return importer


@lead_or_owner
def open_job(
    desk: Desk, format_name: str, file_name: str, file_hash: str, dry_run: bool, how: HowToRead
) -> Run:
    """A new job, or the one that began to take this very file and did not end.

    BadInput where that one took part of it by other columns or days: half a file each way would be neither.
    """
    row = None
    if not dry_run:
        row = store.unfinished_job(desk.session, desk.shop.id, format_name, file_hash)
        _refuse_another_way(row, how)
    if row is None:
        row = ImportJob(
            shop_id=desk.shop.id,
            format=format_name,
            file_name=file_name,
            file_hash=file_hash,
            dry_run=dry_run,
            state=ImportState.RUNNING.value,
            author=desk.actor.name,
            started_at=desk.now,
        )
        save(desk.session, row)
    turn = row.summary.get("turn", 0) + 1
    put_summary(row, desk, turn=turn, trouble="", **_HOW.dump_python(how, mode="json"))
    row.state, row.ended_at = ImportState.RUNNING.value, None
    desk.session.flush()
    desk.note_down("began", "import", row.id, format=format_name, file=file_name, turn=turn)
    return Run(row.id or 0, turn, dry_run, row.done, how)


def _refuse_another_way(row: ImportJob | None, how: HowToRead) -> None:
    """A job of an earlier program did not note its days down; those are taken for the same."""
    if row is None or not row.done:
        return
    known = FORMATS[row.format].columns
    before = how_of(row, replace(how, columns={}))
    if _comparable(before, known) != _comparable(how, known):
        raise BadInput(
            f"Import {row.id} took part of this very file with other columns or days. Undo that import "
            "first, or bring the file in with the same choices to carry it on.",
            fields={"columns": "not as before"},
        )


def how_of(row: ImportJob, otherwise: HowToRead = AS_IT_STANDS) -> HowToRead:
    """How the job reads its file; what an earlier program did not note down is as `otherwise`."""
    known = {name: row.summary[name] for name in _HOW_NAMES if name in row.summary}
    return _HOW.validate_python(_HOW.dump_python(otherwise, mode="json") | known)


def _comparable(how: HowToRead, known: Sequence[str]) -> HowToRead:
    """Of the columns those that differ from what would be read anyway: our own names as themselves."""
    own = {fold(name): name for name in known}
    chosen = {name: ours for name, ours in how.columns.items() if ours != own.get(fold(name), "")}
    return replace(how, columns=chosen)


@anyone_in_the_shop
def job_row(desk: Desk, import_id: int) -> ImportJob:
    row = store.job(desk.session, desk.shop.id, import_id)
    if row is None:
        raise NotFound(f"There is no import {import_id}.")
    return row


@lead_or_owner
def row_in_turn(desk: Desk, import_id: int, turn: int) -> ImportJob:
    """The job's row, or TurnIsOver where another run has it."""
    row = job_row(desk, import_id)
    if row.summary.get("turn") != turn:
        raise TurnIsOver(f"Import {import_id} is carried on by somebody else.")
    return row


def put_summary(row: ImportJob, desk: Desk, **said: Any) -> None:
    """Change what the job says, and its last sign of life. JSON is written whole."""
    row.summary = {**row.summary, **said, "last_progress_at": desk.now.isoformat()}


def count_batch(desk: Desk, row: ImportJob, met: Sequence[RowError], summary: ReadSummary | None) -> None:
    """What is of the whole file stands before its lines, so that no thousand of bad rows hides it."""
    errors = sum(one.severity is Severity.ERROR for one in met)
    lines = {one.line for one in met if one.severity is Severity.ERROR}
    said = row.summary
    put_summary(
        row,
        desk,
        errors=said.get("errors", 0) + errors,
        left_out=said.get("left_out", 0) + len(lines),
        warnings=said.get("warnings", 0) + sum(one.severity is Severity.WARNING for one in met),
        **(_of_the_file(summary) if summary else {}),
    )
    of_file = [_as_kept(one) for one in met if not one.line]
    of_lines = [_as_kept(one) for one in met if one.line]
    if met:
        row.row_errors = [*of_file, *row.row_errors, *of_lines][:MOST_ERRORS]


def _of_the_file(summary: ReadSummary) -> dict[str, Any]:
    left = {why.value: count for why, count in summary.not_wanted.items()}
    return {"rows": summary.rows, "doubles": summary.doubles, "not_wanted": left}


def _as_kept(one: RowError) -> dict[str, Any]:
    return {"line": one.line, "field": one.field, "message": one.message, "severity": one.severity.value}


@lead_or_owner
def finish_job(desk: Desk, row: ImportJob) -> None:
    """Let the search see everything at once."""
    row.state, row.ended_at = ImportState.DONE.value, desk.now
    put_summary(row, desk)
    desk.session.flush()
    if not row.dry_run and row.created + row.changed:
        let_be_found(desk, row.id or 0)
    desk.note_down(
        "would import" if row.dry_run else "imported",
        "import",
        row.id,
        created=row.created,
        changed=row.changed,
        unchanged=row.unchanged,
    )


@lead_or_owner
def let_be_found(desk: Desk, import_id: int) -> None:
    """Let the search and every count see what the import brought."""
    store.release_notes(desk.session, import_id, desk.bump("notes"))
    store.release_concerns(desk.session, import_id, desk.bump("concerns"))
    desk.bump("outcomes")


@lead_or_owner
def stop_job(desk: Desk, run: Run, trouble: Exception) -> None:
    row = job_row(desk, run.job_id)
    if row.summary.get("turn") == run.turn:
        row.state, row.ended_at = ImportState.STOPPED.value, desk.now
        put_summary(row, desk, trouble=str(trouble) or type(trouble).__name__)
        desk.note_down("stopped", "import", row.id, trouble=str(trouble))

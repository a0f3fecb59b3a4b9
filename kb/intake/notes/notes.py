"""Our own format for bulletins and lessons in bulk: CSV, a first line with the names of the columns.

Columns, in any order, all but the title optional:

- kind: bulletin (also where empty) or lesson. state: published (also where empty), draft or retired.
- number: the bulletin's number. title, symptom, conditions, body, system: text.
- codes: trouble codes, split on space, comma, semicolon. code_kinds: what the note says of some of them,
  split on comma, semicolon or line: "P0741 not part, P0171 may be stored"; others are defining, save those
  that many faults set (lean, misfire, lost communication, low voltage), which may be stored.
- published_on: 2026-03-31.
- make, model, years ("2016-2017, 2019"), engine, built_from, built_to, vin_prefix: one line of coverage.
- module, calibration_before (several old IDs split on comma or semicolon), calibration_after: one step.
- speaks_against: conditions and findings under which the remedy is not the cure, one a line in the quoted
  cell, as "It happens over bumps"; " = " and the key of one of the shop's checks after it names the check
  that asks for it ("The intake leaks = smoke_test"), otherwise one is made.
- remedy: software (also where a step is given and this is empty), software and part, inspect then software,
  part, inspection or notice. remedy_module: the module that it is for, where no step says so.
- precautions, relearns, exact_entries: one a line in the quoted cell; exact entries stay as they are.
- replaces: the numbers of the notes whose place it takes, one a line.
- document_name, document_text: one document kept with the note, its text as it is. note_source: where the
  note came from, "shop" where empty. note_identity: what an import knows it by again, as an export names it.

Several rows with the same identity are one note; without one those with the same kind and number, or the
same title where there is no number. Each adds its coverage, its step, its document and its lines; for other
columns the first text counts, and another one warns. A file that begins with { is read as JSON lines.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace
from itertools import chain

from kb.intake.columns import own_table
from kb.intake.days import iso_days
from kb.intake.fields import column_places, doubled_columns, named_rows, require_columns
from kb.intake.history.left_out import left_out, speaks_of_nothing
from kb.intake.notes.note_lines import are_json_lines, read_lines
from kb.intake.notes.notes_row import NoteRow, draft_of, identity_of, read_row
from kb.intake.own_table.table import Table
from kb.intake.own_table.workbooks import is_workbook
from kb.intake.rows import NoteItem, ParsedNote, ReadOptions, ReadSummary, RowError
from kb.intake.source import open_text
from kb.nouns.imports import DaysWritten

NAME = "notes"
DAYS = ("published_on", "built_from", "built_to")
_EXACT = ("exact_entries", "document_text")
COLUMNS = (
    "kind",
    "state",
    "number",
    "title",
    "symptom",
    "conditions",
    "body",
    "system",
    "codes",
    "code_kinds",
    "published_on",
    "make",
    "model",
    "years",
    "engine",
    "built_from",
    "built_to",
    "vin_prefix",
    "module",
    "calibration_before",
    "calibration_after",
    "precautions",
    "relearns",
    "exact_entries",
    "speaks_against",
    "replaces",
    "remedy",
    "remedy_module",
    "document_name",
    "document_text",
    "note_source",
    "note_identity",
)


def read(data: bytes, options: ReadOptions) -> Iterator[NoteItem]:
    """Notes of a file in our own format. Raises Unreadable at once where nothing can be read."""
    if not is_workbook(data) and are_json_lines(source := open_text(data)):
        return read_lines(source)
    table = own_table(data, options.layout, (*COLUMNS, *options.columns))
    places = column_places(table.header, COLUMNS, options.columns)
    require_columns(table, places, ["title"], NAME)
    table = replace(table, warnings=(*table.warnings, *doubled_columns(table, places, options.columns)))
    said = {one.field for one in table.warnings}
    notices = left_out(table, places, speaks_of_nothing, said)
    return chain(notices, _items(table, places, options.days))


def _items(table: Table, places: Mapping[str, int], days: DaysWritten) -> Iterator[NoteItem]:
    last = {identity_of(n[1]): n[0] for n in named_rows(table, places, _EXACT) if not isinstance(n, RowError)}
    open_notes: dict[str, list[NoteRow]] = {}
    counted = taken = errors = 0
    warnings = len(table.warnings)
    yield from table.warnings
    for named in named_rows(table, places, _EXACT):
        counted += 1
        if isinstance(named, RowError):
            errors += 1
            yield named
            continue
        key = identity_of(named[1])
        row, troubles = read_row(named[0], iso_days(named[1], DAYS, days))
        errors += len(troubles)
        yield from troubles
        if row is not None:
            open_notes.setdefault(key, []).append(row)
        if last[key] == named[0] and key in open_notes:
            draft, differing = draft_of(open_notes[key])
            warnings += len(differing)
            taken += 1
            yield from differing
            yield ParsedNote(open_notes.pop(key)[0].line, draft)
    yield ReadSummary(counted, 0, taken, errors, warnings)

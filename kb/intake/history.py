"""The shop's history as CSV: one row for a concern and an update.

The columns are those of COLUMNS, in any order. Days are 2026-03-31, answers yes or no (or what shops write
for them: fixed, no good, CND), empty is not known; a column that is not there reads as empty. Of two columns
of one name the first is read; the other is called "Date (2)" and is read only where somebody says as what.

Required is `ro_number`, since without it a second import of the same file could not tell old rows from new
(two vehicles without VIN on one day would be taken for one); and one of `complaint` and `update`, since a row
with neither says nothing. Outcomes also need `update` and `reflashed_on`: without them a row is a concern
that was never reflashed.

`event` names the programming event (one sitting at the vehicle): rows with the same word, say "E-17", share
it. A word for what came of the reflash may stand there instead: fine, ok, cured; came back, comeback; other
cause; new complaint; updated by air; sold; no answer. "none" and empty say nothing.
`other_work` is yes, no, or what was done, parted by semicolons.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace

from kb.intake.days import iso_days
from kb.intake.fields import column_places, doubled_columns, named_rows, require_columns
from kb.intake.history_reading import row_of
from kb.intake.history_row import HistoryRow
from kb.intake.rows import ReadOptions, ReadSummary, RowError, Severity
from kb.intake.source import TextFile, open_text
from kb.intake.tables import header_of

__all__ = ["COLUMNS", "NAME", "HistoryItem", "HistoryRow", "read"]

NAME = "history"
DAYS = ("opened_on", "reflashed_on", "returned_on", "came_back", "last_seen_on")
COLUMNS = (
    "ro_number",
    "line",
    "opened_on",
    "vin",
    "make",
    "model",
    "year",
    "engine",
    "odometer",
    "complaint",
    "codes",
    "module",
    "calibration_before",
    "calibration_after",
    "update",
    "event",
    "reflashed_on",
    "duplicated_before",
    "gone_at_road_test",
    "other_work",
    "returned_on",
    "came_back",
    "last_seen_on",
    "other_cause",
    "cost",
)
HistoryItem = HistoryRow | RowError | ReadSummary


def read(data: bytes, options: ReadOptions) -> Iterator[HistoryItem]:
    """Rows of a history file. Raises Unreadable at once where nothing can be read."""
    source = open_text(data)
    header = header_of(source)
    places = column_places(header, COLUMNS, options.columns)
    told = [name for name in ("complaint", "update") if name in places] or ["complaint"]
    require_columns(places, ["ro_number", *told], NAME)
    doubled = doubled_columns(header, places, options.columns)
    source = replace(source, warnings=(*source.warnings, *doubled))
    return _items(source, places, options)


def _items(source: TextFile, places: Mapping[str, int], options: ReadOptions) -> Iterator[HistoryItem]:
    seen: set[str] = set()
    counted = doubles = errors = 0
    warnings = len(source.warnings)
    yield from source.warnings
    for named in named_rows(source, places):
        counted += 1
        row, troubles = (None, (named,)) if isinstance(named, RowError) else _row_of(*named, options)
        yield from troubles
        errors += sum(t.severity is Severity.ERROR for t in troubles)
        warnings += sum(t.severity is Severity.WARNING for t in troubles)
        if row is not None and row.identity in seen:
            doubles += 1
        elif row is not None:
            seen.add(row.identity)
            yield row
    yield ReadSummary(counted, doubles, len(seen), errors, warnings)


def _row_of(
    line: int, cells: Mapping[str, str], options: ReadOptions
) -> tuple[HistoryRow | None, tuple[RowError, ...]]:
    return row_of(line, iso_days(cells, DAYS, options.days), options)

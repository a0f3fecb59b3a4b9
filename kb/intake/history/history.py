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

`came_back` is yes or no (or such a word, or the day): yes without a day under `returned_on` is a comeback of
a day that nobody knows, and so are yes and unknown under `returned_on`.

`heard` says how the answer came to the shop: unasked or asked. Empty says nothing of it.

`way` says who did it: here, mobile programmer, dealer paid or dealer free. Empty is not told, and counts as
here; how many such reflashes there are is said at the end.

`vehicle` is a whole vehicle in one cell ("2017 Tarn Vell 2.0T"); what has a column of its own goes before it.

`other_work` is yes, no, or what was done, parted by semicolons. `work_done` is what a technician wrote of the
job ("reprogrammed the TCM, road tested OK"), kept as it stands. Where a row has it and names neither update
nor calibration, a reflash that it tells is proposed after the import, and `reflashed_on` is the day of work.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from kb.intake.columns import own_table
from kb.intake.days import iso_day, iso_days
from kb.intake.fields import column_places, doubled_columns, is_not_known, named_rows, require_columns
from kb.intake.history.history_checks import (
    Told,
    lost_failures,
    odometers_not_known,
    taken_as_here,
    told_of,
    told_twice,
)
from kb.intake.history.history_reading import Read, read_row
from kb.intake.history.history_row import HistoryRow
from kb.intake.history.history_words import read_came_of_it
from kb.intake.history.left_out import left_out, speaks_of_outcome
from kb.intake.history.update_texts import as_work, number_in, told_of_texts
from kb.intake.history.vehicle_cell import OF_A_VEHICLE, with_vehicle
from kb.intake.own_table.table import Table
from kb.intake.own_table.totals import is_no_row
from kb.intake.rows import ReadOptions, ReadSummary, RowError, Severity

__all__ = ["COLUMNS", "NAME", "HistoryItem", "HistoryRow", "read"]

NAME = "history"
DAYS = ("opened_on", "reflashed_on", "returned_on", "came_back", "last_seen_on")
_WITH_DAYS = (*DAYS, "duplicated_before", "gone_at_road_test")
"""Columns in which a day may stand, if only beside an answer."""
COLUMNS = (
    "ro_number",
    "line",
    "opened_on",
    "vin",
    "vehicle",
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
    "heard",
    "way",
    "cost",
    "work_done",
)
HistoryItem = HistoryRow | RowError | ReadSummary


def read(data: bytes, options: ReadOptions) -> Iterator[HistoryItem]:
    """Rows of a history file. Raises Unreadable at once where nothing can be read."""
    table = own_table(data, options.layout, (*COLUMNS, *options.columns), is_no_row)
    places = column_places(table.header, COLUMNS, options.columns)
    told = [name for name in ("complaint", "update") if name in places] or ["complaint"]
    require_columns(table, places, ["ro_number", *told], NAME)
    doubled = doubled_columns(table, places, options.columns)
    return _items(replace(table, warnings=(*table.warnings, *doubled)), places, options)


def _items(table: Table, places: Mapping[str, int], options: ReadOptions) -> Iterator[HistoryItem]:
    doubled = {one.field for one in table.warnings}
    of_file = (*table.warnings, *left_out(table, places, speaks_of_outcome, doubled))
    yield from of_file
    first: dict[str, Told] = {}
    texts, no_miles = Counter[str](), Counter[str]()
    met = _Met(warnings=sum(one.severity is Severity.WARNING for one in of_file))
    for named in named_rows(table, places):
        if isinstance(named, RowError) and named.severity is Severity.NOTICE:
            yield named
            continue
        if not isinstance(named, RowError) and is_not_known(mark := named[1].get("odometer", "").strip()):
            no_miles[mark] += 1
        read = Read(None, (named,)) if isinstance(named, RowError) else _read(*named, options, texts)
        row, again = read.row, None
        if row is not None:
            again = first.get(row.identity)
            first.setdefault(row.identity, told_of(row))
        troubles = (*read.troubles, *(told_twice(again, row) if again and row else ()))
        met.count(troubles, double=again is not None, lost=read.may_be_lost)
        yield from troubles
        if row is not None and again is None:
            met.way_not_told += row.reflashed_on is not None and row.way is None
            yield row
    at_the_end = [lost_failures(met.lost)] if met.lost else []
    at_the_end += [told_of_texts(texts)] if texts else []
    met.warnings += len(at_the_end)
    yield from at_the_end
    if no_miles:
        yield odometers_not_known(no_miles)
    if met.way_not_told and "way" in places:
        yield taken_as_here(met.way_not_told)
    yield ReadSummary(met.rows, met.doubles, len(first), met.errors, met.warnings)


@dataclass(slots=True)
class _Met:
    """What was counted so far; `lost` are rows left out that may tell of a failure, `way_not_told` reflashes
    of which nobody says who did them.
    """

    rows: int = 0
    doubles: int = 0
    errors: int = 0
    warnings: int = 0
    lost: int = 0
    way_not_told: int = 0

    def count(self, troubles: Sequence[RowError], *, double: bool, lost: bool) -> None:
        self.rows += 1
        self.doubles += double
        self.lost += lost
        self.errors += sum(t.severity is Severity.ERROR for t in troubles)
        self.warnings += sum(t.severity is Severity.WARNING for t in troubles)


def _read(line: int, cells: Mapping[str, str], options: ReadOptions, texts: Counter[str]) -> Read:
    """One row; where its update is a text that is no number, that is counted in `texts` and kept as work."""
    written = iso_days(cells, _WITH_DAYS, options.days)
    told = with_vehicle(written)
    with_day = iso_day(told.get("event", ""), options.days)
    told |= {"event": with_day} if read_came_of_it(with_day)[1] else {}
    update = told.get("update", "")
    number = update if options.take_texts else number_in(update, options.numbers)
    if number is None:
        texts[" ".join(update.split())] += 1
        told = as_work(told, update)
    elif update:
        told |= {"update": number}
    read = read_row(line, told, options)
    return replace(read, troubles=tuple(_in_its_cell(one, written) for one in read.troubles))


def _in_its_cell(trouble: RowError, written: Mapping[str, str]) -> RowError:
    """What was read from the vehicle cell is wrong there."""
    in_one = bool(written.get("vehicle")) and trouble.field in OF_A_VEHICLE and not written.get(trouble.field)
    return replace(trouble, field="vehicle") if in_one else trouble

"""Reading one row of the history file, field by field."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from datetime import date
from typing import TypeVar

from kb.errors import BadInput
from kb.intake.fields import is_not_known, read_count, read_money, read_odometer
from kb.intake.history.answer_words import ROAD_TESTS
from kb.intake.history.history_checks import look_twice
from kb.intake.history.history_returns import put_together
from kb.intake.history.history_row import HistoryRow
from kb.intake.history.history_words import (
    NOTHING_SAID,
    is_no,
    read_came_back,
    read_came_of_it,
    read_day_of,
    read_duplicated,
    read_heard,
    read_other_work,
    read_returned,
    read_road_test,
    read_way,
    speaks_of_failure,
)
from kb.intake.rows import ReadOptions, RowError, Severity
from kb.nouns.concerns import Duplicated, FollowUpResult, HowHeard, RoadTest
from kb.nouns.model_years import check_year
from kb.vehicle.codes import parse_codes
from kb.vehicle.vin import read_vin

T = TypeVar("T")


class _Cells:
    """The cells of one row, and the errors met while reading them."""

    def __init__(self, line: int, cells: Mapping[str, str]) -> None:
        self.line = line
        self.cells = cells
        self.troubles: list[RowError] = []

    def text(self, column: str) -> str:
        return self.cells.get(column, "")

    def take(self, column: str, read: Callable[[str], T], otherwise: T) -> T:
        try:
            return read(self.text(column))
        except BadInput as wrong:
            self.troubles.append(RowError(self.line, column, wrong.message))
            return otherwise


@dataclass(frozen=True, slots=True)
class Read:
    """A row and warnings beside it, or None with what must be corrected first.

    `may_be_lost`: it was left out, and tells or may tell of a failure.
    """

    row: HistoryRow | None
    troubles: tuple[RowError, ...]
    may_be_lost: bool = False


def read_row(line: int, cells: Mapping[str, str], options: ReadOptions) -> Read:
    """One row of the file, by our names of columns."""
    taken = _Cells(line, cells)
    row = _by_its_text(_with_return(taken, _read(taken, options.today)))
    troubles = (*taken.troubles, *look_twice(row, options))
    errors = tuple(one for one in troubles if one.severity is Severity.ERROR)
    if not errors:
        return Read(row, troubles)
    unread = {one.field for one in errors}
    of_return = not unread.isdisjoint(("returned_on", "came_back"))
    at_road_test = "gone_at_road_test" in unread and speaks_of_failure(taken.text("gone_at_road_test"))
    return Read(None, errors, row.failed or of_return or at_road_test)


def _by_its_text(row: HistoryRow) -> HistoryRow:
    if not row.is_told_by_text_alone:
        return row
    return replace(row, reflashed_on=None, worked_on=row.reflashed_on)


def _read(cells: _Cells, today: date) -> HistoryRow:
    text, take = cells.text, cells.take
    year = take("year", lambda t: _year(t, today.year), None)
    event, came_of_it, came_on = read_came_of_it(text("event"))
    is_fine = came_of_it is FollowUpResult.FINE
    return HistoryRow(
        file_line=cells.line,
        ro_number=text("ro_number"),
        line=text("line"),
        opened_on=take("opened_on", read_day_of, None),
        vin=_vin(cells, year, today.year),
        make=text("make"),
        model=text("model"),
        year=year,
        engine=text("engine"),
        odometer=_odometer(cells),
        complaint=text("complaint"),
        codes=take("codes", lambda t: tuple(map(str, parse_codes(t))), ()),
        module=text("module"),
        calibration_before=text("calibration_before"),
        calibration_after=text("calibration_after"),
        update=text("update"),
        event=event,
        came_of_it=came_of_it,
        reflashed_on=take("reflashed_on", read_day_of, None),
        duplicated_before=take("duplicated_before", read_duplicated, Duplicated.YES),
        gone_at_road_test=take("gone_at_road_test", read_road_test, None) or _gone_by_the_end(cells),
        other_work=read_other_work(text("other_work")),
        returned_on=None if is_fine else came_on,
        last_seen_on=take("last_seen_on", read_day_of, None)
        or (came_on if came_of_it is FollowUpResult.FINE else None),
        other_cause="" if is_no(text("other_cause")) else text("other_cause"),
        heard=_heard(cells),
        way=take("way", read_way, None),
        cost=take("cost", read_money, None),
        work_done=text("work_done"),
    )


def _gone_by_the_end(cells: _Cells) -> RoadTest | None:
    """A history with one column of results writes "fixed" there for what was gone at the road test."""
    fixed = ROAD_TESTS.get(cells.text("event").casefold().strip()) is RoadTest.GONE
    return RoadTest.GONE if fixed and not cells.text("gone_at_road_test") else None


def _with_return(cells: _Cells, row: HistoryRow) -> HistoryRow:
    returned = cells.take("returned_on", read_returned, NOTHING_SAID)
    back = cells.take("came_back", read_came_back, NOTHING_SAID)
    if returned is NOTHING_SAID and back is NOTHING_SAID and not cells.text("came_back"):
        return row
    whole, odd = put_together(row, returned, back, cells.text("came_back"))
    cells.troubles.extend(RowError(cells.line, name, said, Severity.WARNING) for name, said in odd)
    return whole


def _odometer(cells: _Cells) -> int | None:
    """A mark that it cannot be known ("TMU") is a word and no fault."""
    said = cells.text("odometer")
    return None if is_not_known(said) else cells.take("odometer", read_odometer, None)


def _heard(cells: _Cells) -> HowHeard:
    """An answer that is not understood costs no row: it only teaches nothing of how answers come."""
    heard = read_heard(cells.text("heard"))
    if heard is None:
        said = f'"{cells.text("heard")}" is not understood and was left out. Write unasked or asked.'
        cells.troubles.append(RowError(cells.line, "heard", said, Severity.WARNING))
    return heard or HowHeard.NOT_SAID


def _year(text: str, this_year: int) -> int | None:
    year = read_count(text)
    return None if year in (None, 9999) else check_year(year or 0, this_year)


def _vin(cells: _Cells, year: int | None, this_year: int) -> str:
    """Nobody can confirm a VIN in a file, so a wrong check digit only warns here."""
    reading = cells.take("vin", lambda t: read_vin(t, year, this_year), None)
    if reading is None:
        return ""
    for warning in reading.warnings:
        cells.troubles.append(RowError(cells.line, "vin", warning, Severity.WARNING))
    return reading.vin

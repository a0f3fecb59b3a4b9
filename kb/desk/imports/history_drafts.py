"""A history row as a person's drafts: concern, programming event, what was heard, how it ended."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import date
from typing import Any

from pydantic import TypeAdapter

from kb.intake.history.history_row import HistoryRow
from kb.nouns.concerns import (
    FAILED,
    CodesScanned,
    ConcernDraft,
    Ending,
    FollowUpDraft,
    FollowUpResult,
    ModuleResult,
    ProgrammingEventDraft,
    ReflashResult,
    ReportedCode,
    RoadTest,
)
from kb.nouns.currency import to_minor
from kb.nouns.shop.ways import Way
from kb.nouns.vehicles import Vehicle

_SAID_OTHERWISE = (*FAILED, FollowUpResult.FINE)
_AS_STORED = TypeAdapter(HistoryRow)
HOW = "history"
"""How it was heard: not by a call or a visit, but out of the old records."""


@dataclass(frozen=True, slots=True)
class End:
    """How a concern ended, on the last day that is known of it."""

    ending: Ending
    cured_by: int | None
    other_cause: str
    on: date


def concern_draft(row: HistoryRow, today: date) -> ConcernDraft:
    """The line of the repair order that the row is of, with its vehicle."""
    return ConcernDraft(
        ro_number=row.ro_number,
        complaint=row.complaint,
        line=row.line,
        vehicle=Vehicle(row.make, row.model, row.year, row.engine, vin=row.vin),
        odometer=row.odometer,
        codes=tuple(map(ReportedCode, row.codes)),
        codes_scanned=CodesScanned.STORED if row.codes else CodesScanned.NOT_SCANNED,
        opened_on=row.opened_on or row.done_on or row.returned_on or row.last_seen_on or today,
    )


def event_draft(row: HistoryRow, update: int | None) -> ProgrammingEventDraft:
    """The sitting of a row with a day of reflashing, its name as the remark; `update`: the bulletin's id."""
    done = ModuleResult(
        row.module.strip().upper(),
        ReflashResult.COMPLETED,
        update,
        row.calibration_before,
        row.calibration_after,
    )
    return ProgrammingEventDraft(
        modules=(done,),
        performed_on=row.reflashed_on or date.min,
        duplicated_before=row.duplicated_before,
        road_test=row.gone_at_road_test or RoadTest.CANNOT_SAY,
        other_work=row.other_work,
        remark=row.event,
        way=row.way or Way.HERE,
    )


def follow_ups_of(row: HistoryRow, currency: str) -> tuple[FollowUpDraft, ...]:
    """What was heard after the reflash; empty where nothing was reflashed.

    Another cause is known on the day of return, else the day last seen, else the day of the reflash; a
    comeback without its day was heard of by the day last seen and is of a day that nobody knows, whether
    another cause explains it or not. The cost goes with what explains it: the failure, else the last thing
    heard, else a line without a result.
    """
    if row.reflashed_on is None:
        return ()
    told = [*_told(row, row.reflashed_on)]
    seen = row.last_seen_on
    if seen is not None and seen >= row.reflashed_on and seen not in _days_told(told):
        told.append((FollowUpResult.FINE, seen))
    told.sort(key=lambda one: one[1])
    if row.cost and not told:
        told.append((FollowUpResult.NO_ANSWER, row.reflashed_on))
    bears = _bears_cost(told)
    cost = to_minor(row.cost, currency) if row.cost else None
    return tuple(
        FollowUpDraft(
            result,
            day,
            how=HOW,
            remark=_remark(row, result),
            cost_minor=cost if at == bears else None,
            heard=row.heard,
            day_known=row.returned_on is not None or not (row.returned and result in FAILED),
        )
        for at, (result, day) in enumerate(told)
    )


def end_of(rows: Iterable[tuple[HistoryRow, int | None]], today: date) -> End:
    """How a concern ended, by the one of its (row, update's id) that says most."""
    row, update = min(rows, key=lambda one: _says_most(one[0]))
    days = [row.returned_on, row.last_seen_on, row.done_on, row.opened_on]
    last = max((day for day in days if day is not None), default=today)
    return End(_ending_of(row), update, row.other_cause, last)


def to_content(row: HistoryRow) -> dict[str, Any]:
    """The row as a JSON tree without what is not known; the line of the file does not belong to it."""
    said: dict[str, Any] = _AS_STORED.dump_python(
        row, mode="json", exclude={"file_line"}, exclude_defaults=True
    )
    return said


def from_content(content: Mapping[str, Any]) -> HistoryRow:
    """The row that `to_content` wrote."""
    return _AS_STORED.validate_python({"file_line": 0, "ro_number": "", **content})


def says_the_same(content: Mapping[str, Any], row: HistoryRow) -> bool:
    return from_content(content) == replace(row, file_line=0)


def _ending_of(row: HistoryRow) -> Ending:
    if row.explained:
        return Ending.OTHER_CAUSE
    if row.reflashed_on and row.gone_at_road_test is RoadTest.GONE and not row.returned:
        return Ending.CURED_BY_REFLASH
    return Ending.NOT_RESOLVED


def _says_most(row: HistoryRow) -> tuple[int, date, str]:
    """Endings in their own order; ties by day and identity, whatever the file's order."""
    return list(Ending).index(_ending_of(row)), row.reflashed_on or date.max, row.identity


def _told(row: HistoryRow, reflashed_on: date) -> list[tuple[FollowUpResult, date]]:
    seen = row.last_seen_on if row.last_seen_on and row.last_seen_on >= reflashed_on else None
    day = row.returned_on or seen
    if row.explained:
        return [(FollowUpResult.OTHER_CAUSE, day or reflashed_on)]
    told = [(FollowUpResult.CAME_BACK, day or reflashed_on)] if row.returned else []
    if row.came_of_it and row.came_of_it not in _SAID_OTHERWISE and day:
        told.append((row.came_of_it, day))
    return told


def _days_told(told: list[tuple[FollowUpResult, date]]) -> set[date]:
    """Days that say already how the vehicle was; hearing that it was sold does not."""
    return {day for result, day in told if result is not FollowUpResult.SOLD}


def _bears_cost(told: list[tuple[FollowUpResult, date]]) -> int:
    return next((at for at, (result, _) in enumerate(told) if result in FAILED), len(told) - 1)


def _remark(row: HistoryRow, result: FollowUpResult) -> str:
    return row.other_cause if result is FollowUpResult.OTHER_CAUSE else ""

"""What one history row says, in the terms of the records: follow-ups with their days, and how it ended."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import fields
from datetime import date
from decimal import Decimal
from typing import Any

from kb.intake.history.history_row import HistoryRow
from kb.nouns.concerns import FAILED, Duplicated, Ending, FollowUpDraft, FollowUpResult, HowHeard, RoadTest
from kb.nouns.currency import to_minor

_SAID_OTHERWISE = (*FAILED, FollowUpResult.FINE)
HOW = "history"
"""How it was heard: not by a call or a visit, but out of the old records."""


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


def ending_of(row: HistoryRow) -> Ending:
    """How the concern ended, as far as this row goes."""
    if row.explained:
        return Ending.OTHER_CAUSE
    if row.reflashed_on and row.gone_at_road_test is RoadTest.GONE and not row.returned:
        return Ending.CURED_BY_REFLASH
    return Ending.NOT_RESOLVED


def ended_on(row: HistoryRow, today: date) -> date:
    """The last day that the row knows of."""
    days = [row.returned_on, row.last_seen_on, row.reflashed_on, row.opened_on]
    return max((day for day in days if day is not None), default=today)


def opened_on(row: HistoryRow, today: date) -> date:
    return row.opened_on or row.reflashed_on or row.returned_on or row.last_seen_on or today


def to_content(row: HistoryRow) -> dict[str, Any]:
    """The row as a JSON tree without what is not known; the line of the file does not belong to it."""
    said = {one.name: _json(getattr(row, one.name)) for one in fields(row) if one.name != "file_line"}
    return {name: value for name, value in said.items() if value not in (None, "", []) and value is not False}


def from_content(content: Mapping[str, Any]) -> HistoryRow:
    """The row that `to_content` wrote."""
    values = {name: _READ.get(name, _as_it_is)(value) for name, value in content.items()}
    return HistoryRow(**{"file_line": 0, "ro_number": "", **values})


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


def _json(value: Any) -> Any:
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, Decimal):
        return str(value)
    return list(value) if isinstance(value, tuple) else value


def _as_it_is(value: Any) -> Any:
    return value


_READ: Mapping[str, Callable[[Any], Any]] = {
    **dict.fromkeys(("opened_on", "reflashed_on", "returned_on", "last_seen_on"), date.fromisoformat),
    **dict.fromkeys(("codes", "other_work"), tuple),
    "came_of_it": FollowUpResult,
    "heard": HowHeard,
    "duplicated_before": Duplicated,
    "gone_at_road_test": RoadTest,
    "cost": Decimal,
}

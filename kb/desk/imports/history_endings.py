"""How the concerns of a history ended, by the row of each that says most."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Hashable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any, TypeVar

from kb.desk.context import Desk
from kb.desk.imports.history_facts import ended_on, ending_of
from kb.intake.history.history_row import HistoryRow
from kb.nouns.concerns import Ending

Key = TypeVar("Key", bound=Hashable)


@dataclass(frozen=True, slots=True)
class End:
    """How a concern ended, of all its rows in a batch the one that says most."""

    row: HistoryRow
    update: int | None
    ending: Ending


def endings(
    rows: Sequence[HistoryRow], keys: Sequence[Key], updates: Sequence[int | None]
) -> Mapping[Key, End]:
    """By concern, of all its rows the one that says most."""
    ends: dict[Key, list[End]] = defaultdict(list)
    for row, key, update in zip(rows, keys, updates, strict=True):
        ends[key].append(End(row, update, ending_of(row)))
    return {key: min(some, key=_says_most) for key, some in ends.items()}


def _says_most(end: End) -> tuple[int, date, str]:
    """Endings in their own order; ties by day and identity, whatever the file's order."""
    return list(Ending).index(end.ending), end.row.reflashed_on or date.max, end.row.identity


def ending_columns(desk: Desk, end: End) -> dict[str, Any]:
    cured = end.ending is Ending.CURED_BY_REFLASH
    return {
        "state": "closed",
        "ending": end.ending.value,
        "cured_by_note_id": end.update if cured else None,
        "other_cause": end.row.other_cause,
        "closed_on": ended_on(end.row, desk.today),
        "closed_at": desk.now,
    }

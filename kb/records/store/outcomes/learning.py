"""What the advice learns from, read as columns for the whole shop at once."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from datetime import datetime
from typing import NamedTuple, TypeVar

from sqlalchemy import select
from sqlmodel import Session, col

from kb.records.store.rows import columns
from kb.records.tables import CheckRow, ConcernCandidate, ConcernRow, FindingRow


class ConcernFacts(NamedTuple):
    id: int
    state: str
    ending: str
    codes_scanned: str
    just_before: str
    usual_gap_days: int | None
    closed_at: datetime | None


class FindingFacts(NamedTuple):
    concern_id: int
    check: str
    check_id: int
    system: str
    result: str
    at: datetime
    number: float | None
    unit: str


class CandidateFacts(NamedTuple):
    concern_id: int
    note_id: int
    grade: str


_MAY_BE_ABOUT = col(ConcernCandidate.about).is_not(False)
"""What was not about a complaint says nothing of what cures it, whether it was reflashed or not."""


def concerns(session: Session, shop_id: int) -> list[ConcernFacts]:
    """Concerns that had a candidate, or on which a check was done, by id."""
    had_one = select(col(ConcernCandidate.concern_id)).where(_MAY_BE_ABOUT)
    checked = select(col(FindingRow.concern_id)).where(col(FindingRow.result).in_(("yes", "no")))
    rows = session.execute(
        select(*columns(ConcernRow, ConcernFacts._fields))
        .where(
            col(ConcernRow.shop_id) == shop_id,
            col(ConcernRow.id).in_(had_one) | col(ConcernRow.id).in_(checked),
        )
        .order_by(col(ConcernRow.id))
    )
    return [ConcernFacts(*row) for row in rows]


def candidates(session: Session, shop_id: int) -> dict[int, list[CandidateFacts]]:
    rows = session.execute(
        select(*columns(ConcernCandidate, CandidateFacts._fields))
        .join(ConcernRow, col(ConcernRow.id) == col(ConcernCandidate.concern_id))
        .where(col(ConcernRow.shop_id) == shop_id, _MAY_BE_ABOUT)
        .order_by(col(ConcernCandidate.concern_id), col(ConcernCandidate.position))
    )
    return _by_concern([CandidateFacts(*row) for row in rows])


def findings(session: Session, shop_id: int) -> dict[int, list[FindingFacts]]:
    rows = session.execute(
        select(
            col(FindingRow.concern_id),
            *columns(CheckRow, ("key", "id", "system")),
            *columns(FindingRow, ("result", "at", "number", "unit")),
        )
        .join(CheckRow, col(CheckRow.id) == col(FindingRow.check_id))
        .where(col(CheckRow.shop_id) == shop_id)
        .order_by(col(FindingRow.concern_id), col(FindingRow.id))
    )
    return _by_concern([FindingFacts(*row) for row in rows])


Facts = TypeVar("Facts", CandidateFacts, FindingFacts)


def _by_concern(rows: Sequence[Facts]) -> dict[int, list[Facts]]:
    found: dict[int, list[Facts]] = defaultdict(list)
    for row in rows:
        found[row.concern_id].append(row)
    return found

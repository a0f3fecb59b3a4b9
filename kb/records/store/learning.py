"""What the advice learns from, read as columns for the whole shop at once."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from datetime import date, datetime
from typing import NamedTuple, TypeVar

from sqlalchemy import ColumnElement, bindparam, case, select
from sqlmodel import Session, col

from kb.nouns.concerns import FollowUpDraft, FollowUpResult
from kb.records.tables import (
    CheckRow,
    ConcernCandidate,
    ConcernRow,
    FindingRow,
    FollowUpRow,
    Outcome,
    ProgrammingEvent,
    Reflash,
    VehicleRow,
)


class ConcernFacts(NamedTuple):
    id: int
    state: str
    ending: str
    codes_scanned: str
    just_before: str
    usual_gap_days: int | None
    closed_at: datetime | None


class OutcomeFacts(NamedTuple):
    id: int
    concern_id: int
    update_id: int | None
    reflashed_on: date
    recorded_at: datetime
    road_test: str
    duplicated_before: str
    other_work: bool
    odometer: int | None
    count_ends_on: date | None
    make: str
    module: str
    usual_gap_days: int | None
    other_cause_on: date | None
    event_id: int


class FollowUpFacts(NamedTuple):
    concern_id: int
    result: str
    seen_on: date
    odometer: int | None
    recorded_at: datetime
    cost_minor: int | None
    day_known: bool

    def draft(self) -> FollowUpDraft:
        """What counts of it."""
        return FollowUpDraft(
            FollowUpResult(self.result),
            self.seen_on,
            self.odometer,
            cost_minor=self.cost_minor,
            day_known=self.day_known,
        )


class FindingFacts(NamedTuple):
    concern_id: int
    check: str
    check_id: int
    system: str
    result: str
    at: datetime


class CandidateFacts(NamedTuple):
    concern_id: int
    note_id: int
    grade: str


_MAY_BE_ABOUT = col(ConcernCandidate.about).is_not(False)
"""What was not about a complaint says nothing of what cures it, whether it was reflashed or not."""


# What is asked for after nearly every entry is put together once: that takes longer than the answer.
_INSTALLED = (
    select(
        col(Outcome.id),
        col(Outcome.concern_id),
        col(Outcome.update_id),
        col(Outcome.reflashed_on),
        col(ProgrammingEvent.recorded_at),
        col(Outcome.road_test),
        col(Outcome.duplicated_before),
        col(Outcome.other_work),
        col(Outcome.odometer),
        col(Outcome.count_ends_on),
        col(VehicleRow.make),
        col(Reflash.module),
        col(ConcernRow.usual_gap_days),
        case((col(ConcernRow.ending) == "other_cause", col(ConcernRow.closed_on)), else_=None),
        col(Reflash.event_id),
    )
    .join(Reflash, col(Reflash.id) == col(Outcome.reflash_id))
    .join(ProgrammingEvent, col(ProgrammingEvent.id) == col(Reflash.event_id))
    .join(VehicleRow, col(VehicleRow.id) == col(ProgrammingEvent.vehicle_id))
    .join(ConcernRow, col(ConcernRow.id) == col(Outcome.concern_id))
    .where(col(Outcome.shop_id) == bindparam("shop"), col(Outcome.installed).is_(True))
    .order_by(col(Outcome.reflashed_on), col(Outcome.id))
)
_INSTALLED_FOR = _INSTALLED.where(col(Outcome.concern_id).in_(bindparam("concerns", expanding=True)))
_HEARD = (
    select(
        col(FollowUpRow.concern_id),
        col(FollowUpRow.result),
        col(FollowUpRow.seen_on),
        col(FollowUpRow.odometer),
        col(FollowUpRow.recorded_at),
        col(FollowUpRow.cost_minor),
        col(FollowUpRow.day_known),
    )
    .join(ConcernRow, col(ConcernRow.id) == col(FollowUpRow.concern_id))
    .where(col(ConcernRow.shop_id) == bindparam("shop"), col(FollowUpRow.seen_on) <= bindparam("until"))
    .order_by(col(FollowUpRow.seen_on), col(FollowUpRow.id))
)
_HEARD_OF = _HEARD.where(col(FollowUpRow.concern_id).in_(bindparam("concerns", expanding=True)))


def concerns(session: Session, shop_id: int) -> list[ConcernFacts]:
    """Concerns that had a candidate, by id."""
    had_one = select(col(ConcernCandidate.concern_id)).where(_MAY_BE_ABOUT).distinct()
    rows = session.execute(
        select(
            col(ConcernRow.id),
            col(ConcernRow.state),
            col(ConcernRow.ending),
            col(ConcernRow.codes_scanned),
            col(ConcernRow.just_before),
            col(ConcernRow.usual_gap_days),
            col(ConcernRow.closed_at),
        )
        .where(col(ConcernRow.shop_id) == shop_id, col(ConcernRow.id).in_(had_one))
        .order_by(col(ConcernRow.id))
    )
    return [ConcernFacts(*row) for row in rows]


def candidates(session: Session, shop_id: int) -> dict[int, list[CandidateFacts]]:
    rows = session.execute(
        select(col(ConcernCandidate.concern_id), col(ConcernCandidate.note_id), col(ConcernCandidate.grade))
        .join(ConcernRow, col(ConcernRow.id) == col(ConcernCandidate.concern_id))
        .where(col(ConcernRow.shop_id) == shop_id, _MAY_BE_ABOUT)
        .order_by(col(ConcernCandidate.concern_id), col(ConcernCandidate.position))
    )
    return _by_concern([CandidateFacts(*row) for row in rows])


def outcomes(session: Session, shop_id: int, *chosen: ColumnElement[bool]) -> dict[int, list[OutcomeFacts]]:
    """Installed reflashes (those that are `chosen`), by concern, oldest first."""
    rows = session.execute(_INSTALLED.where(*chosen), {"shop": shop_id})
    return _by_concern([OutcomeFacts(*row) for row in rows])


def outcomes_of(session: Session, shop_id: int, concern_ids: Sequence[int]) -> dict[int, list[OutcomeFacts]]:
    """The same of some concerns."""
    rows = session.execute(_INSTALLED_FOR, {"shop": shop_id, "concerns": concern_ids})
    return _by_concern([OutcomeFacts(*row) for row in rows])


def follow_ups(
    session: Session, shop_id: int, until: date | None, of_concerns: Sequence[int] | None = None
) -> dict[int, list[FollowUpFacts]]:
    """What was heard until a day, or ever (of some concerns), by concern, in the order of the days."""
    query = _HEARD if of_concerns is None else _HEARD_OF
    asked = {"shop": shop_id, "until": until or date.max}
    asked |= {} if of_concerns is None else {"concerns": of_concerns}
    return _by_concern([FollowUpFacts(*row) for row in session.execute(query, asked)])


def findings(session: Session, shop_id: int) -> dict[int, list[FindingFacts]]:
    rows = session.execute(
        select(
            col(FindingRow.concern_id),
            col(CheckRow.key),
            col(CheckRow.id),
            col(CheckRow.system),
            col(FindingRow.result),
            col(FindingRow.at),
        )
        .join(CheckRow, col(CheckRow.id) == col(FindingRow.check_id))
        .where(col(CheckRow.shop_id) == shop_id)
        .order_by(col(FindingRow.concern_id), col(FindingRow.id))
    )
    return _by_concern([FindingFacts(*row) for row in rows])


Facts = TypeVar("Facts", CandidateFacts, OutcomeFacts, FollowUpFacts, FindingFacts)


def _by_concern(rows: Sequence[Facts]) -> dict[int, list[Facts]]:
    found: dict[int, list[Facts]] = defaultdict(list)
    for row in rows:
        found[row.concern_id].append(row)
    return found

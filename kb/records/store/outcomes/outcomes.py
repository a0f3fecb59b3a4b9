"""Programming events, their modules and outcomes, follow-ups, money."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date
from typing import NamedTuple

from sqlalchemy import Exists, and_, bindparam, exists, func, or_, select
from sqlmodel import Session, col

from kb.nouns.outcomes import OPEN_KINDS, CountedAs
from kb.records.store.imports.bulk import runs, table_of
from kb.records.store.outcomes.outcome_counts import counts
from kb.records.store.rows import row_of_shop, rows_where
from kb.records.tables import (
    ConcernRow,
    FollowUpRow,
    NoteRow,
    OtherWork,
    Outcome,
    ProgrammingEvent,
    Reflash,
    RepairOrder,
    VehicleRow,
    WatchAcknowledged,
)


def event(session: Session, shop_id: int, event_id: int) -> ProgrammingEvent | None:
    return row_of_shop(session, ProgrammingEvent, shop_id, event_id)


def reflashes(session: Session, event_id: int) -> list[Reflash]:
    return rows_where(session, Reflash, col(Reflash.event_id) == event_id, by=(col(Reflash.position),))


def other_work(session: Session, event_id: int) -> list[str]:
    done = rows_where(session, OtherWork, col(OtherWork.event_id) == event_id, by=(col(OtherWork.id),))
    return [one.what for one in done]


def outcomes_of_concern(session: Session, concern_id: int) -> list[tuple[Outcome, Reflash, ProgrammingEvent]]:
    """What was reflashed for a concern, oldest first."""
    rows = session.execute(_OUTCOMES_OF_CONCERN, {"concern": concern_id})
    return [(outcome, reflash, event) for outcome, reflash, event in rows]


_OUTCOMES_OF_CONCERN = (
    select(Outcome, Reflash, ProgrammingEvent)
    .join(Reflash, col(Reflash.id) == col(Outcome.reflash_id))
    .join(ProgrammingEvent, col(ProgrammingEvent.id) == col(Reflash.event_id))
    .where(col(Outcome.concern_id) == bindparam("concern"))
    .order_by(col(Outcome.reflashed_on), col(Outcome.id))
)


def follow_ups(session: Session, concern_id: int) -> list[FollowUpRow]:
    """By the day each was true, then as recorded."""
    by = (col(FollowUpRow.seen_on), col(FollowUpRow.id))
    return rows_where(session, FollowUpRow, col(FollowUpRow.concern_id) == concern_id, by=by)


def open_visits(session: Session, shop_id: int) -> dict[int, date]:
    """Of each vehicle with an open concern the last day on which one was opened."""
    query = (
        select(col(RepairOrder.vehicle_id), func.max(col(ConcernRow.opened_on)))
        .join(ConcernRow, col(ConcernRow.repair_order_id) == col(RepairOrder.id))
        .where(col(ConcernRow.shop_id) == shop_id, col(ConcernRow.state) == "open")
        .group_by(col(RepairOrder.vehicle_id))
    )
    return {row[0]: row[1] for row in session.execute(query)}


def only_never_reflashed(session: Session, shop_id: int, since: int, until: int) -> bool:
    """Whether every change of concerns after revision `since`, up to `until`, is of a vehicle that has no
    outcome. A revision that no concern carries any more may have been of any.
    """
    order, other = table_of(RepairOrder).alias("its_order"), table_of(ConcernRow).alias("other")
    reflashed = exists().where(
        order.c.vehicle_id == col(RepairOrder.vehicle_id),
        other.c.repair_order_id == order.c.id,
        col(Outcome.concern_id) == other.c.id,
    )
    rows = session.execute(
        select(col(ConcernRow.changed_revision), reflashed)
        .join(RepairOrder, col(RepairOrder.id) == col(ConcernRow.repair_order_id))
        .where(col(ConcernRow.shop_id) == shop_id, col(ConcernRow.changed_revision) > since)
    )
    left = set(range(since + 1, until + 1))
    for revision, any_of_it in rows:
        if any_of_it:
            return False
        left.discard(revision)
    return not left


class WaitingOutcome(NamedTuple):
    """What decides whether a reflash is to be asked about; many thousands may be read at a time."""

    id: int
    concern_id: int
    update_id: int | None
    reflashed_on: date
    ask_on: date | None
    event_kind: int
    counted_as: int
    usual_gap_days: int | None
    vehicle_id: int
    other_work: bool


def waiting_outcomes(session: Session, shop_id: int, window_days: int, on: date) -> list[WaitingOutcome]:
    """Installed reflashes, oldest first, that may have to be asked about on that day.

    | asked about                                     | but not                                           |
    |-------------------------------------------------|---------------------------------------------------|
    | promised a call by that day                     | (a promise is always kept)                        |
    | its window is over                              | failed, ended, sold, or known free to the window  |
    | its vehicle is here again with an open concern  | the same                                          |

    "Known free to the window" excuses no outcome that is read one by one: its window may be longer (an
    intermittent's).
    """
    long_ago = col(Outcome.reflashed_day) <= on.toordinal() - window_days
    window_longer = col(Outcome.counted_as) == CountedAs.ONE_BY_ONE
    promised = col(Outcome.ask_on) <= on
    unanswered = and_(
        or_(long_ago, _here_again()),
        or_(col(Outcome.event_day) < window_days, window_longer),
        col(Outcome.event_kind).in_(OPEN_KINDS),
        ~_sold(),
        counts(),
    )
    rows = session.execute(
        select(
            col(Outcome.id),
            col(Outcome.concern_id),
            col(Outcome.update_id),
            col(Outcome.reflashed_on),
            col(Outcome.ask_on),
            col(Outcome.event_kind),
            col(Outcome.counted_as),
            col(ConcernRow.usual_gap_days),
            col(RepairOrder.vehicle_id),
            col(Outcome.other_work),
        )
        .join(ConcernRow, col(ConcernRow.id) == col(Outcome.concern_id))
        .join(RepairOrder, col(RepairOrder.id) == col(ConcernRow.repair_order_id))
        .where(
            col(Outcome.shop_id) == shop_id,
            col(Outcome.installed).is_(True),
            or_(promised, unanswered),
        )
        .order_by(col(Outcome.reflashed_on), col(Outcome.id))
    )
    return list(map(WaitingOutcome._make, rows))


def whose_concerns(
    session: Session, concern_ids: Iterable[int]
) -> dict[int, tuple[ConcernRow, RepairOrder, VehicleRow]]:
    """Concerns by id, with their repair order and vehicle."""
    found: dict[int, tuple[ConcernRow, RepairOrder, VehicleRow]] = {}
    for some in runs(sorted(set(concern_ids))):
        rows = session.execute(
            select(ConcernRow, RepairOrder, VehicleRow)
            .join(RepairOrder, col(RepairOrder.id) == col(ConcernRow.repair_order_id))
            .join(VehicleRow, col(VehicleRow.id) == col(RepairOrder.vehicle_id))
            .where(col(ConcernRow.id).in_(some))
        )
        found |= {concern.id or 0: (concern, order, vehicle) for concern, order, vehicle in rows}
    return found


def _here_again() -> Exists:
    """The vehicle of this outcome has an open concern of a later day."""
    later, visit = table_of(ConcernRow).alias("later"), table_of(RepairOrder).alias("visit")
    return exists().where(
        later.c.repair_order_id == visit.c.id,
        visit.c.vehicle_id == col(RepairOrder.vehicle_id),
        later.c.state == "open",
        later.c.opened_on > col(Outcome.reflashed_on),
    )


def _sold() -> Exists:
    return exists().where(
        col(FollowUpRow.concern_id) == col(Outcome.concern_id), col(FollowUpRow.result) == "sold"
    )


def answers(session: Session, shop_id: int, by_day: date) -> list[WatchAcknowledged]:
    """What was answered to alarms up to that day, newest first."""
    table = WatchAcknowledged
    mine = (col(table.shop_id) == shop_id, col(table.on) <= by_day)
    return rows_where(session, table, *mine, by=(col(table.on).desc(), col(table.id).desc()))


def updates_reflashed(session: Session, shop_id: int) -> list[int]:
    """Every update that an outcome names."""
    named = (col(Outcome.shop_id) == shop_id, col(Outcome.update_id).is_not(None))
    found = session.execute(select(col(Outcome.update_id)).where(*named).distinct())
    return [one for one in found.scalars() if one is not None]


def numbers_and_titles(session: Session, note_ids: Iterable[int]) -> dict[int, tuple[str, str]]:
    """Of notes in whatever state."""
    found: dict[int, tuple[str, str]] = {}
    for some in runs(sorted(note_ids)):
        query = select(col(NoteRow.id), col(NoteRow.number), col(NoteRow.title))
        for note_id, number, title in session.execute(query.where(col(NoteRow.id).in_(some))):
            found[note_id or 0] = (number, title)
    return found

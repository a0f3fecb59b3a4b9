"""The dates of an outcome the slow way: one concern, one reflash, one question to the records at a time."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date

from sqlmodel import col, select

from kb.desk.concerns import on_file
from kb.desk.context import Desk
from kb.desk.observed import renew_events
from kb.desk.outcome_dates import dates_of, other_cause_at_the_end
from kb.nouns.concerns import Ending, FollowUpDraft, FollowUpResult
from kb.records.store import outcomes as store
from kb.records.tables import FollowUpRow, Outcome, ProgrammingEvent, Reflash


def renew_slowly(desk: Desk, concern_id: int) -> None:
    held = on_file(desk, concern_id)
    heard = store.follow_ups(desk.session, concern_id)
    closed_on = held.concern.closed_on if held.concern.ending == Ending.OTHER_CAUSE.value else None
    for outcome, reflash, event in store.outcomes_of_concern(desk.session, concern_id):
        since = _after(heard, event)
        since += other_cause_at_the_end(closed_on, outcome.reflashed_on, since)
        superseded = _superseded_on(desk, held.repair_order.vehicle_id, reflash.module, outcome)
        dates = dates_of(outcome.reflashed_on, since, superseded)
        outcome.came_back_on = dates.came_back_on
        outcome.other_cause_on = dates.other_cause_on
        outcome.last_seen_on = dates.last_seen_on
        outcome.count_ends_on = dates.count_ends_on
        outcome.cost_minor = dates.cost_minor
    renew_events(desk, [concern_id])


def _after(heard: Iterable[FollowUpRow], event: ProgrammingEvent) -> list[FollowUpDraft]:
    return [
        FollowUpDraft(
            FollowUpResult(row.result),
            row.seen_on,
            row.odometer,
            cost_minor=row.cost_minor,
            day_known=row.day_known,
        )
        for row in heard
        if row.seen_on > event.performed_on or row.recorded_at >= event.recorded_at
    ]


def _superseded_on(desk: Desk, vehicle_id: int, module: str, after: Outcome) -> date | None:
    """Every reflash of the vehicle is looked at; an unnamed module is nobody's next."""
    done = desk.session.exec(
        select(Reflash, ProgrammingEvent)
        .join(ProgrammingEvent, col(ProgrammingEvent.id) == col(Reflash.event_id))
        .where(col(ProgrammingEvent.vehicle_id) == vehicle_id)
    )
    later = [
        event.performed_on
        for reflash, event in done
        if module
        and reflash.module == module
        and reflash.result in ("completed", "recovered")
        and (event.performed_on, reflash.id) > (after.reflashed_on, after.reflash_id)
    ]
    return min(later, default=None)

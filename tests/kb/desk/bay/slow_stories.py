"""Stories the slow way: one concern, one reflash, one question to the records at a time."""

from __future__ import annotations

from datetime import date

from sqlmodel import col, select

from kb.desk.bay.concern.concerns import on_file
from kb.desk.context import Desk
from kb.nouns.concerns import Duplicated, Ending, FollowUpDraft, FollowUpResult, HowHeard, RoadTest
from kb.nouns.outcomes import Heard, Reflashed
from kb.outcomes.story import Story, concern_story
from kb.records.store.outcomes import outcomes as store
from kb.records.tables import Outcome, ProgrammingEvent, Reflash


def stories_slowly(desk: Desk, concern_id: int) -> list[Story]:
    held = on_file(desk, concern_id)
    heard = [
        Heard(
            FollowUpDraft(
                FollowUpResult(row.result),
                row.seen_on,
                row.odometer,
                row.how,
                row.remark,
                row.cost_minor,
                row.day_known,
                HowHeard(row.heard),
            ),
            row.recorded_at,
        )
        for row in store.follow_ups(desk.session, concern_id)
    ]
    closed_on = held.concern.closed_on if held.concern.ending == Ending.OTHER_CAUSE.value else None
    done = [
        Reflashed(
            outcome.update_id or 0,
            outcome.reflashed_on,
            RoadTest(outcome.road_test),
            Duplicated(outcome.duplicated_before),
            outcome.other_work,
            outcome.odometer,
            held.concern.usual_gap_days,
            _superseded_on(desk, held.repair_order.vehicle_id, reflash.module, outcome),
            closed_on,
            event.recorded_at,
            event.id or 0,
            concern_id,
            outcome.id or 0,
            held.vehicle.make,
            reflash.module,
        )
        for outcome, reflash, event in store.outcomes_of_concern(desk.session, concern_id)
        if outcome.installed
    ]
    return list(concern_story(done, heard))


def renew_slowly(desk: Desk, concern_id: int) -> None:
    """Each column that reports group by, put from there."""
    for story in stories_slowly(desk, concern_id):
        outcome = desk.session.get_one(Outcome, story.reflash.outcome_id)
        for name, value in story.columns().items():
            setattr(outcome, name, value)


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

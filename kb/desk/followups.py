"""Closing the loop: what was heard of a vehicle, who is due to be asked, and how a concern ended."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Literal

from kb.desk import concerns as concerns_desk
from kb.desk import programming
from kb.desk import settings as settings_desk
from kb.desk import updates as updates_desk
from kb.desk.concern_lines import ref_of
from kb.desk.context import Desk, anyone_in_the_shop
from kb.errors import BadInput, NotFound
from kb.nouns.concerns import Ending, FollowUpDraft, FollowUpResult
from kb.nouns.days import day_words
from kb.nouns.vehicles import Vehicle
from kb.outcomes.observe import own_window
from kb.records.store import case as case_store
from kb.records.store import notes as note_store
from kb.records.store import outcomes as store
from kb.records.tables import FollowUpRow, Outcome

_MOST_COST_MINOR = 100_000_000
DueBecause = Literal["window", "promise", "visit"]


@dataclass(frozen=True, slots=True)
class DueFollowUp:
    """A vehicle to ask about, since nobody knows how it is after `last_seen_on`.

    `why`: its window has closed, a call was promised, or it is here again for something else; `due_on` is the
    day of that.
    """

    concern_id: int
    ref: str
    complaint: str
    vehicle: Vehicle
    phone: str
    update_number: str
    reflashed_on: date
    last_seen_on: date | None
    due_on: date
    days_over: int
    why: DueBecause = "window"


@anyone_in_the_shop
def record_follow_up(desk: Desk, concern_id: int, draft: FollowUpDraft) -> int:
    """Record what was heard, on the day it was true. Order does not matter; the dates are renewed."""
    held = concerns_desk.on_file(desk, concern_id)
    done = store.outcomes_of_concern(desk.session, concern_id)
    _check(desk, draft, done[0][0].reflashed_on if done else held.concern.opened_on)
    row = FollowUpRow(
        concern_id=concern_id,
        result=draft.result.value,
        seen_on=draft.seen_on,
        odometer=draft.odometer,
        how=draft.how.strip(),
        remark=draft.remark.strip(),
        cost_minor=draft.cost_minor,
        by=desk.actor.name,
        recorded_at=desk.now,
    )
    case_store.add(desk.session, [row])
    if draft.result is not FollowUpResult.NO_ANSWER:
        for outcome, *_ in done:
            outcome.ask_on = None
    programming.renew_outcomes(desk, held)
    if draft.result is FollowUpResult.CAME_BACK and held.concern.ending == Ending.CURED_BY_REFLASH.value:
        _reopen(desk, concern_id)
    desk.bump("outcomes")
    desk.note_down("followed up", "concern", concern_id, result=row.result, seen_on=str(row.seen_on))
    return row.id or 0


@anyone_in_the_shop
def due(desk: Desk, on: date | None = None) -> tuple[DueFollowUp, ...]:
    """Every vehicle to ask by `on` (today): its window has closed, a call was promised, or it is here again.

    Whoever was promised a call on a day is not asked before it, unless the vehicle is here.
    """
    day = on or desk.today
    rule = settings_desk.current(desk).window_rule()
    updates = updates_desk.on_file(desk).by_id
    found: list[DueFollowUp] = []
    waiting = store.waiting_outcomes(desk.session, desk.shop.id, day - timedelta(days=rule.days), day)
    here = store.open_visits(desk.session, [vehicle.id or 0 for _, _, _, vehicle in waiting])
    for outcome, concern, order, vehicle in waiting:
        ends_on = outcome.reflashed_on + timedelta(days=own_window(rule, concern.usual_gap_days).days)
        why, due_on = _because(outcome, ends_on, here.get(vehicle.id or 0))
        seen_on = outcome.last_seen_on or outcome.reflashed_on
        if due_on > day or seen_on >= min(due_on, ends_on):
            continue
        update = updates.get(outcome.update_id or 0)
        found.append(
            DueFollowUp(
                concern_id=outcome.concern_id,
                ref=ref_of(order.number, concern.line),
                complaint=concern.complaint,
                vehicle=Vehicle(
                    vehicle.make, vehicle.model, vehicle.year, vehicle.engine, vehicle.built_on, vehicle.vin
                ),
                phone=order.phone,
                update_number=update.number if update else "",
                reflashed_on=outcome.reflashed_on,
                last_seen_on=outcome.last_seen_on,
                due_on=due_on,
                days_over=(day - due_on).days,
                why=why,
            )
        )
    return tuple(sorted(found, key=lambda one: one.why == "window"))


@anyone_in_the_shop
def promise_call(desk: Desk, concern_id: int, on: date) -> None:
    """The customer was promised a call on a day; the next answer settles it."""
    concerns_desk.on_file(desk, concern_id)
    done = store.outcomes_of_concern(desk.session, concern_id)
    if not done:
        raise NotFound("No reflash is recorded for this concern, so there is nothing to ask about.")
    if on < desk.today:
        raise BadInput(f"{on} is over. Enter a day from today on.", fields={"on": "is over"})
    for outcome, *_ in done:
        outcome.ask_on = on
    desk.session.flush()
    desk.note_down("promised a call", "concern", concern_id, on=str(on))


def _because(outcome: Outcome, ends_on: date, here: date | None) -> tuple[DueBecause, date]:
    if here is not None and here > outcome.reflashed_on:
        return "visit", here
    if outcome.ask_on is not None:
        return "promise", outcome.ask_on
    return "window", ends_on


@anyone_in_the_shop
def close_concern(
    desk: Desk,
    concern_id: int,
    ending: Ending,
    *,
    cured_by: int | None = None,
    other_cause: str = "",
    explained_by: int | None = None,
) -> None:
    """Close a concern with its answer. "Sent to the dealer" is a valid ending, not a failure."""
    held = concerns_desk.on_file(desk, concern_id)
    done = store.outcomes_of_concern(desk.session, concern_id)
    if ending is Ending.CURED_BY_REFLASH:
        cured_by = cured_by or _last_update(done)
        if cured_by is None:
            raise BadInput(
                "Which update cured it? Record the programming event, or name the update.",
                fields={"cured_by": "empty"},
            )
    if ending is Ending.OTHER_CAUSE and not other_cause.strip():
        raise BadInput("Say what the cause was.", fields={"other_cause": "empty"})
    _refuse_unknown_notes(desk, {"cured_by": cured_by, "explained_by": explained_by})
    row = held.concern
    row.state, row.ending = "closed", ending.value
    row.cured_by_note_id = cured_by if ending is Ending.CURED_BY_REFLASH else None
    row.explained_by_note_id = explained_by
    row.other_cause = other_cause.strip()
    row.closed_on, row.closed_at = desk.today, desk.now
    row.version += 1
    row.changed_revision = desk.bump("concerns")
    desk.bump("outcomes")
    desk.note_down("closed", "concern", concern_id, ending=ending.value, other_cause=row.other_cause)


def _refuse_unknown_notes(desk: Desk, named: Mapping[str, int | None]) -> None:
    ids = [one for one in named.values() if one is not None]
    on_file = note_store.notes_with_ids(desk.session, desk.shop.id, ids)
    wrong = {
        field: f"There is no note {one}."
        for field, one in named.items()
        if one is not None and one not in on_file
    }
    if wrong:
        raise BadInput(" ".join(wrong.values()), fields=wrong)


@anyone_in_the_shop
def reopen_concern(desk: Desk, concern_id: int) -> None:
    """Take the answer back and work on."""
    concerns_desk.on_file(desk, concern_id)
    _reopen(desk, concern_id)
    desk.bump("outcomes")


def _reopen(desk: Desk, concern_id: int) -> None:
    row = concerns_desk.on_file(desk, concern_id).concern
    row.state, row.ending, row.cured_by_note_id, row.other_cause = "open", "", None, ""
    row.closed_on = row.closed_at = None
    row.version += 1
    row.changed_revision = desk.bump("concerns")
    desk.note_down("reopened", "concern", concern_id)


def _last_update(done: Sequence[tuple[Outcome, object, object]]) -> int | None:
    return next((outcome.update_id for outcome, *_ in reversed(done) if outcome.update_id), None)


def _check(desk: Desk, draft: FollowUpDraft, earliest: date) -> None:
    wrong: dict[str, str] = {}
    if draft.seen_on > desk.today:
        wrong["seen_on"] = (
            f"{day_words(draft.seen_on)} lies in the future. Enter the day the vehicle was seen or heard of."
        )
    elif draft.seen_on < earliest:
        wrong["seen_on"] = (
            f"{day_words(draft.seen_on)} is before {day_words(earliest)}, when the work was done. "
            "A vehicle that came back before its reflash came for something else; check the day."
        )
    if draft.odometer is not None and not 0 <= draft.odometer <= 2_000_000:
        wrong["odometer"] = "The odometer reads between 0 and 2,000,000 miles."
    if draft.cost_minor is not None and not 0 <= draft.cost_minor <= _MOST_COST_MINOR:
        wrong["cost"] = "The cost is 0 or more."
    if wrong:
        raise BadInput(" ".join(wrong.values()), fields=wrong)

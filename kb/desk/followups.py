"""Closing the loop: what was heard of a vehicle, who is due to be asked, and how a concern ended."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any, Literal

from sqlmodel import col

from kb.desk import closing
from kb.desk import concerns as concerns_desk
from kb.desk import settings as settings_desk
from kb.desk.concern_lines import ref_of
from kb.desk.context import Desk, anyone_in_the_shop
from kb.desk.csv_text import written
from kb.desk.observed import gather_chosen
from kb.desk.outcome_dates import FAILED
from kb.desk.renewing import renew_outcomes
from kb.desk.update_names import names_of
from kb.errors import BadInput, NotFound
from kb.nouns.concerns import Ending, FollowUpDraft, FollowUpResult
from kb.nouns.days import day_words
from kb.nouns.outcomes import Standing
from kb.nouns.vehicles import Vehicle
from kb.outcomes.observe import own_window
from kb.outcomes.tally import FAILURES
from kb.records.store import case as case_store
from kb.records.store import outcomes as store
from kb.records.store.outcome_counts import ONE_BY_ONE
from kb.records.store.searching import in_chunks
from kb.records.tables import FollowUpRow, Outcome

_MOST_COST_MINOR = 100_000_000
_MOST_MILES_A_DAY = 2_000
FURTHEST_CALL = timedelta(days=366)
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
    """Record what was heard, on the day it was true. Order does not matter; the dates are renewed.

    A failure opens a concern again that was closed as cured by its reflash.
    """
    held = concerns_desk.on_file(desk, concern_id)
    done = store.outcomes_of_concern(desk.session, concern_id)
    _check(desk, draft, done[0][0].reflashed_on if done else held.concern.opened_on)
    if done:
        _check_odometer(draft, done)
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
    renew_outcomes(desk, [concern_id])
    if draft.result in FAILED and held.concern.ending == Ending.CURED_BY_REFLASH.value:
        closing.reopen(desk, concern_id)
    if draft.result is not FollowUpResult.NO_ANSWER:
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
    found: list[DueFollowUp] = []
    waiting = store.waiting_outcomes(desk.session, desk.shop.id, rule.days, day)
    over = _followed_by_miles(desk, waiting, day)
    names = names_of(desk, [outcome.update_id for outcome, *_ in waiting])
    here = store.open_visits(desk.session, [vehicle.id or 0 for _, _, _, vehicle in waiting])
    for outcome, concern, order, vehicle in waiting:
        ends_on = outcome.reflashed_on + timedelta(days=own_window(rule, concern.usual_gap_days).days)
        why, due_on = _because(outcome, ends_on, here.get(vehicle.id or 0))
        seen_on = outcome.last_seen_on or outcome.reflashed_on
        if due_on > day or seen_on >= min(due_on, ends_on) or outcome.id in over:
            continue
        found.append(
            DueFollowUp(
                concern_id=outcome.concern_id,
                ref=ref_of(order.number, concern.line),
                complaint=concern.complaint,
                vehicle=Vehicle(
                    vehicle.make, vehicle.model, vehicle.year, vehicle.engine, vehicle.built_on, vehicle.vin
                ),
                phone=order.phone,
                update_number=names.get(outcome.update_id or 0, ("", ""))[0],
                reflashed_on=outcome.reflashed_on,
                last_seen_on=outcome.last_seen_on,
                due_on=due_on,
                days_over=(day - due_on).days,
                why=why,
            )
        )
    return tuple(sorted(found, key=lambda one: one.why == "window"))


@anyone_in_the_shop
def counts_as_failed(desk: Desk, concern_id: int) -> bool:
    """Whether a reflash of the concern counts as a failure, by the window of days and miles."""
    found = gather_chosen(desk, desk.today, col(Outcome.concern_id) == concern_id).get(concern_id, ())
    return not found or any(one.observation.standing in FAILURES for one in found)


@anyone_in_the_shop
def call_list_csv(desk: Desk) -> str:
    """Everybody to ask today, as a CSV file for whoever makes the calls."""
    head = (
        *("concern", "complaint", "make", "model", "year", "vin", "phone", "update"),
        *("reflashed_on", "last_seen_on", "why", "due_on"),
    )
    rows = [
        (
            *(one.ref, one.complaint, one.vehicle.make, one.vehicle.model, one.vehicle.year, one.vehicle.vin),
            *(one.phone, one.update_number, one.reflashed_on, one.last_seen_on, one.why, one.due_on),
        )
        for one in due(desk)
    ]
    return written((head, rows))


@anyone_in_the_shop
def how_many_due(desk: Desk) -> int:
    """Vehicles to ask today; remembered until something is heard or somebody comes in."""
    revisions = desk.revisions()
    key = (desk.today, *(revisions[topic] for topic in ("outcomes", "concerns", "settings")))
    return desk.memory.recall("how many due", key, lambda: len(due(desk)))


def _followed_by_miles(desk: Desk, waiting: Sequence[tuple[Outcome, Any, Any, Any]], day: date) -> set[int]:
    """Of those read one by one, the outcomes whose window the miles have ended without the concern."""
    alone = [outcome.id or 0 for outcome, *_ in waiting if outcome.counted_as == ONE_BY_ONE]
    over: set[int] = set()
    for some in in_chunks(alone):
        found = gather_chosen(desk, day, col(Outcome.id).in_(some))
        for one in (one for told in found.values() for one in told):
            if one.observation.standing is Standing.FOLLOWED_TO_WINDOW:
                over.add(one.outcome_id)
    return over


@anyone_in_the_shop
def promise_call(desk: Desk, concern_id: int, on: date) -> None:
    """The customer was promised a call on a day; the next answer settles it."""
    concerns_desk.on_file(desk, concern_id)
    done = store.outcomes_of_concern(desk.session, concern_id)
    if not done:
        raise NotFound("No reflash is recorded for this concern, so there is nothing to ask about.")
    if on < desk.today:
        raise BadInput(f"{on} is over. Enter a day from today on.", fields={"on": "is over"})
    if on > desk.today + FURTHEST_CALL:
        raise BadInput(
            f"{day_words(on)} is more than a year away. Promise a call within a year.",
            fields={"on": "within a year"},
        )
    for outcome, *_ in done:
        outcome.ask_on = on
    desk.session.flush()
    desk.bump("outcomes")
    desk.note_down("promised a call", "concern", concern_id, on=str(on))


def _because(outcome: Outcome, ends_on: date, here: date | None) -> tuple[DueBecause, date]:
    if here is not None and here > outcome.reflashed_on:
        return "visit", here
    if outcome.ask_on is not None:
        return "promise", outcome.ask_on
    return "window", ends_on


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


def _check_odometer(draft: FollowUpDraft, done: Sequence[tuple[Outcome, Any, Any]]) -> None:
    """Hold a reading against that of the last reflash before it: a slip of the pen would end a window."""
    before = [one for one, *_ in done if one.reflashed_on <= draft.seen_on and one.odometer is not None]
    if draft.odometer is None or not before:
        return
    start, days = before[-1].odometer or 0, (draft.seen_on - before[-1].reflashed_on).days
    if not start <= draft.odometer <= start + _MOST_MILES_A_DAY * (days + 1):
        sentence = (
            f"{draft.odometer:,} miles does not fit the {start:,} at the reflash, {days} days before. "
            "Check both readings; the one at the reflash can be corrected on the concern."
        )
        raise BadInput(sentence, fields={"odometer": sentence})

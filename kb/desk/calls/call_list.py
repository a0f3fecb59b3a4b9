"""Closing the loop: who is due to be asked, and the calls that were promised."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any, Literal

from sqlmodel import col

from kb.desk import settings as settings_desk
from kb.desk.bay.advice.update_names import names_of
from kb.desk.bay.concern import concerns as concerns_desk
from kb.desk.bay.outcomes.observed import gather_chosen
from kb.desk.context import Desk, anyone_in_the_shop
from kb.desk.csv_text import written
from kb.errors import BadInput, NotFound
from kb.nouns.bay.concern_file import ref_of
from kb.nouns.copying import copied
from kb.nouns.days import day_words
from kb.nouns.outcomes import NO_UPDATE, OPEN_KINDS, CountedAs, Standing
from kb.nouns.vehicles import Vehicle
from kb.outcomes.window import own_window
from kb.records.store.bay import hearing as hearing_store
from kb.records.store.bay.hearing import LastHeard
from kb.records.store.bay.other_concerns import vehicle_of
from kb.records.store.imports.bulk import runs
from kb.records.store.outcomes import outcomes as store
from kb.records.tables import ConcernRow, Outcome, RepairOrder, VehicleRow

FURTHEST_CALL = timedelta(days=366)
DueBecause = Literal["window", "promise", "visit"]


@dataclass(frozen=True, slots=True)
class DueFollowUp:
    """A vehicle to ask about, since nobody knows how it is after `last_seen_on`.

    | field               | meaning                                                       |
    |---------------------|---------------------------------------------------------------|
    | `why`, `due_on`     | window over, call promised or here again; and the day of that |
    | `tried`, `tried_on` | asked in vain, or only something else was heard               |
    | `heard`, `heard_on` | the last answer                                               |
    | `in_shop_on`        | the last day it was here for something else and nobody asked  |
    | `proposed`          | an imported visit whose complaint is about the same thing     |
    """

    concern_id: int
    ref: str
    complaint: str
    vehicle: Vehicle
    phone: str
    update_id: int
    update_number: str
    reflashed_on: date
    last_seen_on: date | None
    due_on: date
    days_over: int
    why: DueBecause = "window"
    tried_on: date | None = None
    tried: str = ""
    heard_on: date | None = None
    heard: str = ""
    in_shop_on: date | None = None
    proposed: int | None = None


@dataclass(frozen=True, slots=True)
class _Question:
    """Why and when a vehicle is to be asked about, and what was heard of it so far (as in `DueFollowUp`).

    A new complaint answers for the visit that it came up in, and so does that nobody asked; the vehicle is
    asked about again later.
    """

    why: DueBecause
    due_on: date
    ends_on: date
    last_seen_on: date | None
    tried_on: date | None
    tried: str
    heard_on: date | None
    heard: str
    in_shop_on: date | None
    proposed: int | None


@anyone_in_the_shop
def due(
    desk: Desk, on: date | None = None, updates: Collection[int] | None = None
) -> tuple[DueFollowUp, ...]:
    """Every vehicle to ask by `on` (today): its window has closed, a call was promised, or it is here again.

    `updates`: only those reflashed with one of these notes.

    One entry a concern, whatever was programmed for it. A promised call stands until it is answered, however
    the vehicle does; before its day nobody asks, unless the vehicle is here. Who was tried comes last.
    """
    day = on or desk.today
    rule = settings_desk.current(desk).window_rule()
    waiting = store.waiting_outcomes(desk.session, desk.shop.id, rule.days, day, updates)
    over = _followed_by_miles(desk, waiting, day)
    names = names_of(desk, [outcome.update_id for outcome, *_ in waiting])
    here = store.open_visits(desk.session, [vehicle.id or 0 for _, _, _, vehicle in waiting])
    said = hearing_store.last_heard(desk.session, [outcome.concern_id for outcome, *_ in waiting])
    found: dict[int, DueFollowUp] = {}
    for outcome, concern, order, vehicle in waiting:
        ends_on = outcome.reflashed_on + timedelta(days=own_window(rule, concern.usual_gap_days).days)
        heard = said.get(outcome.concern_id, LastHeard())
        question = _question(outcome, ends_on, here.get(vehicle.id or 0), heard, day)
        if question.due_on <= day and _still_stands(question, outcome, outcome.id in over):
            update_number = names.get(outcome.update_id or 0, ("", ""))[0]
            found[outcome.concern_id] = _due(question, day, outcome, concern, order, vehicle, update_number)
    return tuple(sorted(found.values(), key=_order))


@anyone_in_the_shop
def call_list_csv(desk: Desk) -> str:
    """Everybody to ask today, as a CSV file for whoever makes the calls."""
    head = (
        *("concern", "complaint", "make", "model", "year", "vin", "phone", "update"),
        *("reflashed_on", "last_seen_on", "why", "due_on", "tried_on", "tried"),
    )
    rows = [
        (
            *(one.ref, one.complaint, one.vehicle.make, one.vehicle.model, one.vehicle.year, one.vehicle.vin),
            *(one.phone, one.update_number, one.reflashed_on, one.last_seen_on, one.why, one.due_on),
            *(one.tried_on, one.tried),
        )
        for one in due(desk)
    ]
    return written((head, rows))


def _followed_by_miles(desk: Desk, waiting: Sequence[tuple[Outcome, Any, Any, Any]], day: date) -> set[int]:
    """Of those read one by one, the outcomes whose window the miles have ended without the concern."""
    alone = [outcome.id or 0 for outcome, *_ in waiting if outcome.counted_as == CountedAs.ONE_BY_ONE]
    over: set[int] = set()
    for some in runs(alone):
        found = gather_chosen(desk, day, col(Outcome.id).in_(some))
        for one in (one for told in found.values() for one in told):
            if one.standing is Standing.FOLLOWED_TO_WINDOW:
                over.add(one.reflash.outcome_id)
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


def _order(one: DueFollowUp) -> tuple[date, bool, int]:
    """Who was not tried comes first; visits and promises, the oldest first, before windows, the newest first:
    whoever was here lately answers best.
    """
    window = one.why == "window"
    return one.tried_on or date.min, window, -one.due_on.toordinal() if window else one.due_on.toordinal()


def _question(outcome: Outcome, ends_on: date, here: date | None, heard: LastHeard, day: date) -> _Question:
    tried_on, tried = heard.tried or (None, "")
    seen_on = heard.fine if heard.fine and heard.fine >= outcome.reflashed_on else None
    if tried_on is not None and tried_on < (seen_on or outcome.reflashed_on):
        tried_on, tried = None, ""
    new = tried_on if tried == "new_complaint" else None
    if here is not None and any(day is not None and day >= here for day in (new, heard.in_shop)):
        here = None
    answered_on, answer = heard.answer or (None, "")
    said = (ends_on, seen_on, tried_on, tried, answered_on, answer, heard.in_shop, heard.proposed)
    promised = outcome.ask_on
    if here is not None and here > outcome.reflashed_on and (promised is None or promised > day):
        return _Question("visit", here, *said)
    if promised is not None:
        return _Question("promise", promised, *said)
    return _Question("window", ends_on, *said)


def _still_stands(question: _Question, outcome: Outcome, followed_by_miles: bool) -> bool:
    """Whether nobody has answered it yet."""
    if question.why == "promise":
        return True
    if outcome.event_kind not in OPEN_KINDS or followed_by_miles:
        return False
    return (question.last_seen_on or outcome.reflashed_on) < min(question.due_on, question.ends_on)


def _due(
    question: _Question,
    day: date,
    outcome: Outcome,
    concern: ConcernRow,
    order: RepairOrder,
    vehicle: VehicleRow,
    update_number: str,
) -> DueFollowUp:
    return copied(
        DueFollowUp,
        question,
        concern_id=outcome.concern_id,
        ref=ref_of(order.number, concern.line),
        complaint=concern.complaint,
        vehicle=vehicle_of(vehicle),
        phone=order.phone,
        update_id=outcome.update_id or NO_UPDATE,
        update_number=update_number,
        reflashed_on=outcome.reflashed_on,
        days_over=(day - question.due_on).days,
    )

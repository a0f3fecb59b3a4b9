"""Closing the loop: who is due to be asked, and the calls that were promised."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from kb.desk.bay.advice.update_names import names_of
from kb.desk.bay.concern import concerns as concerns_desk
from kb.desk.calls.to_ask import Asked, DueBecause, Question, to_ask
from kb.desk.context import Desk, anyone_in_the_shop
from kb.desk.csv_text import written
from kb.errors import BadInput, NotFound
from kb.nouns.bay.concern_file import ref_of
from kb.nouns.copying import copied
from kb.nouns.days import day_words
from kb.nouns.outcomes import NO_UPDATE
from kb.nouns.vehicles import Vehicle
from kb.records.store.bay.other_concerns import vehicle_of
from kb.records.store.outcomes import outcomes as store
from kb.records.store.outcomes.outcomes import WaitingOutcome
from kb.records.tables import ConcernRow, RepairOrder, VehicleRow

FURTHEST_CALL = timedelta(days=366)


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


@anyone_in_the_shop
def due(desk: Desk, on: date | None = None) -> tuple[DueFollowUp, ...]:
    """Every vehicle to ask by `on` (today): its window has closed, a call was promised, or it is here again.

    One entry a concern, whatever was programmed for it. A promised call stands until it is answered, however
    the vehicle does; before its day nobody asks, unless the vehicle is here. Who was tried comes last.
    """
    return shown(desk, to_ask(desk, on), on)


@anyone_in_the_shop
def shown(desk: Desk, asked: Sequence[Asked], on: date | None = None) -> tuple[DueFollowUp, ...]:
    """Some of `to_ask` as a list shows them."""
    day = on or desk.today
    names = names_of(desk, [one.outcome.update_id for one in asked])
    whose = store.whose_concerns(desk.session, [one.outcome.concern_id for one in asked])
    return tuple(
        _due(
            one.question,
            day,
            one.outcome,
            *whose[one.outcome.concern_id],
            names.get(one.outcome.update_id or 0, ("", ""))[0],
        )
        for one in asked
    )


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


def _due(
    question: Question,
    day: date,
    outcome: WaitingOutcome,
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

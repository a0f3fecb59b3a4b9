"""Sent out to be programmed: the concern stays ours, and its result is asked for until somebody tells it."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

from kb.desk.bay.advice import advice
from kb.desk.bay.advice.concern_in_hand import concern_in_hand
from kb.desk.bay.concern import concerns as concerns_desk
from kb.desk.bay.concern.concern_file import read_concern
from kb.desk.bay.handover import waiting
from kb.desk.bay.programming.money import record_payment
from kb.desk.bay.programming.programming import record_event
from kb.desk.context import Desk, anyone_in_the_shop
from kb.desk.shop import way_prices
from kb.errors import Conflict, NotFound
from kb.nouns.bay.concern_file import ConcernFile
from kb.nouns.bay.sent_out import SentBackDraft, SentOut, SentOutDraft, SentOutResult, StillOut
from kb.nouns.bay.waiting import WaitingFor
from kb.nouns.concerns import ProgrammingEventDraft
from kb.nouns.days import day_words
from kb.nouns.recorded_words import in_words
from kb.nouns.shop.ways import Way, WayOffer
from kb.prep.sent_out import refuse_to_send, refuse_what_cannot_be_back, refuse_while_stopped, seen_before
from kb.records.store.bay import sent_out as store
from kb.records.store.rows import save
from kb.records.tables import SentOutRow


@anyone_in_the_shop
def send_out(desk: Desk, concern_id: int, draft: SentOutDraft) -> SentOut:
    """Write down that it goes out; it waits for the result from now on, and the advice is frozen with it.

    | refused                                                           | as       |
    |-------------------------------------------------------------------|----------|
    | closed, or out already                                            | Conflict |
    | free at the dealer without open recall or coverage on record      | BadInput |
    | the way *here*; a day due before today; a price that cannot be    | BadInput |
    | a reflash is not what was advised, and nobody says why            | BadInput |
    | a stop is open, save an open recall that the dealer does free     | BadInput |
    """
    concerns_desk.still_open(desk, concern_id, "it is sent out")
    file = read_concern(desk, concern_id)
    if store.running_row(desk.session, concern_id):
        raise Conflict(f"{file.ref} is out already. Say what came back, or take that back, before.")
    refuse_to_send(draft, desk.today, concern_in_hand(desk, file).free_because)
    refuse_while_stopped(draft.way, advice.give_advice(desk, concern_id).stops)
    if not file.decisions:
        free = "free at the dealer" if draft.way is Way.DEALER_FREE else ""
        advice.decide(desk, concern_id, "reflash", draft.why_not.strip() or free)
    row = SentOutRow(
        shop_id=desk.shop.id,
        concern_id=concern_id,
        way=draft.way.value,
        module=draft.module.strip().upper(),
        update_id=draft.update_id,
        sent_to=draft.sent_to.strip(),
        told_price_minor=draft.told_price_minor,
        sent_on=desk.today,
        due_on=draft.due_on or desk.today + timedelta(days=_days(desk, file, draft)),
        by=desk.actor.name,
        at=desk.now,
    )
    save(desk.session, row)
    waiting.wait_until_back(desk, concern_id, _remark(row))
    desk.note_down("sent out", "concern", concern_id, way=row.way, to=row.sent_to)
    return of_concern(desk, concern_id)[-1]


@anyone_in_the_shop
def take_back(desk: Desk, concern_id: int) -> None:
    """It was not sent out after all, and nothing of it counts. Raises NotFound where nothing is out."""
    _end(desk, _out(desk, concern_id), SentOutResult.TAKEN_BACK)


@anyone_in_the_shop
def tell_result(desk: Desk, concern_id: int, draft: SentBackDraft) -> SentOut:
    """What came back: a module that was programmed counts from here on like our own, under its way.

    The invoice is written down as a cost. Raises NotFound where nothing is out, BadInput for what cannot be.
    """
    row = _out(desk, concern_id)
    refuse_what_cannot_be_back(draft, row.sent_on, desk.today)
    sent = store.of_concern(desk.session, concern_id)[-1]
    if draft.result is SentOutResult.PROGRAMMED:
        row.event_id = record_event(
            desk,
            ProgrammingEventDraft(
                tuple(replace(one, concern_ids=one.concern_ids or (concern_id,)) for one in draft.modules),
                draft.done_on,
                duplicated_before=seen_before(draft),
                remark=draft.what_was_done.strip(),
                way=sent.way,
            ),
        )
    row.back_on, row.what_was_done = draft.done_on, draft.what_was_done.strip()
    row.invoice_number = draft.invoice_number.strip()
    if draft.invoice_minor is not None:
        named = f"invoice {row.invoice_number}" if row.invoice_number else "invoice"
        said = f"{named}, {in_words(sent.way, 'way')}{f' to {row.sent_to}' if row.sent_to else ''}"
        row.payment_id = record_payment(desk, concern_id, "cost", draft.invoice_minor, draft.who_paid, said)
    _end(desk, row, draft.result)
    return of_concern(desk, concern_id)[-1]


@anyone_in_the_shop
def of_concern(desk: Desk, concern_id: int) -> tuple[SentOut, ...]:
    """Every time that it was sent out, oldest first. Raises NotFound for no such concern."""
    concerns_desk.on_file(desk, concern_id)
    return tuple(store.of_concern(desk.session, concern_id))


@anyone_in_the_shop
def running(desk: Desk, file: ConcernFile) -> SentOut | None:
    """The one that is out; asked of the database only where the concern waits for it."""
    if file.waiting is None or file.waiting.waiting_for is not WaitingFor.SENT_OUT:
        return None
    return store.of_concern(desk.session, file.id)[-1]


@anyone_in_the_shop
def what_is_out(desk: Desk) -> tuple[StillOut, ...]:
    """Everything that is out, what is due first."""
    found = store.still_out(desk.session, desk.shop.id)
    return tuple(StillOut(one, ref, complaint, one.is_due(desk.today)) for one, ref, complaint in found)


@anyone_in_the_shop
def offers_on(desk: Desk, concern_id: int) -> tuple[WayOffer, ...]:
    """What others ask for the module in question: of the first candidate, else for any of the make."""
    file = read_concern(desk, concern_id)
    module = next((one.module for one in concern_in_hand(desk, file).candidates), "")
    return way_prices.offers_of(desk, file.vehicle.make, module)


def _days(desk: Desk, file: ConcernFile, draft: SentOutDraft) -> int:
    offers = way_prices.offers_of(desk, file.vehicle.make, draft.module)
    return next((one.days for one in offers if one.way is draft.way), 0)


def _remark(row: SentOutRow) -> str:
    to = row.sent_to or in_words(row.way, "way_to")
    return f"{to}, due {day_words(row.due_on)}"


def _out(desk: Desk, concern_id: int) -> SentOutRow:
    concerns_desk.on_file(desk, concern_id)
    row = store.running_row(desk.session, concern_id)
    if row is None:
        raise NotFound("Nothing of this concern is out.")
    return row


def _end(desk: Desk, row: SentOutRow, result: SentOutResult) -> None:
    row.result, row.told_by, row.told_at = result.value, desk.actor.name, desk.now
    row.version += 1
    save(desk.session, row)
    waiting.go_on(desk, row.concern_id, arrived=WaitingFor.SENT_OUT)
    desk.note_down("told of what was sent out", "concern", row.concern_id, result=result.value)

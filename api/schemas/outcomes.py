"""Bodies about what was done to a vehicle and what came of it. Money is in whole units."""

from __future__ import annotations

from datetime import date, datetime
from typing import Annotated

from pydantic import Field

from api.schemas.base import Day, DayAhead, IdIn, In, Money, Out, Text, Whole, Word
from kb.nouns.bay.sent_out import SentOutResult
from kb.nouns.concerns import (
    Duplicated,
    FollowUpResult,
    HowHeard,
    ProgrammingEventDraft,
    ReflashResult,
    RoadTest,
)
from kb.nouns.shop.ways import Way
from kb.nouns.vehicles import CalibrationSource


class ModuleBody(In):
    """One module of the sitting: how it ended, and for which concerns it was done.

    `calibration_source` says where the ID after is from; a typed one is no "latest" until it is confirmed.
    An ID after that the update does not install is answered with 422 and `details.unlike_bulletin` until
    `calibration_confirmed` says that it was read again and is right.
    """

    module: Word
    result: ReflashResult
    update_id: IdIn | None = None
    calibration_before: Word = ""
    calibration_after: Word = ""
    cvn_before: Word = ""
    cvn_after: Word = ""
    error_text: Text = ""
    concern_ids: list[IdIn] = Field(default_factory=list, max_length=50)
    calibration_source: CalibrationSource = CalibrationSource.TYPED
    calibration_confirmed: bool = False


class EventBody(In):
    """One sitting at one vehicle, its modules in order.

    `other_work`: what else was done in the same visit; then nobody can know what cured it.
    `done_twice`: the same module, update and day is on record for this vehicle, and it was really done again;
    without it that is answered with 409, and `details` names the first. `same_sitting_as`: the event on
    record that this was; it is counted for the concerns named here too, and no second event is made. `way`:
    who did it; of what was sent out, tell the result of that instead. `duplicated_before` null: not told; it
    is kept as not tried, so that nothing counts as cured before the road test tells it.
    """

    modules: list[ModuleBody] = Field(min_length=1, max_length=50)
    performed_on: Day
    minutes: Annotated[int, Field(ge=0, le=100_000)] | None = None
    device_id: IdIn | None = None
    computer_id: IdIn | None = None
    support_unit_id: IdIn | None = None
    subscription_id: IdIn | None = None
    duplicated_before: Duplicated | None = Duplicated.YES
    road_test: RoadTest = RoadTest.NOT_DONE
    other_work: list[Word] = Field(default_factory=list, max_length=50)
    who_was_called: Word = ""
    remark: Text = ""
    way: Way = Way.HERE
    done_twice: bool = False
    same_sitting_as: IdIn | None = None

    def draft(self) -> ProgrammingEventDraft:
        before = self.duplicated_before or Duplicated.NOT_TRIED
        return self.model_copy(update={"duplicated_before": before}).as_value(ProgrammingEventDraft)


class FollowUpBody(In):
    """What was heard, and the day it was true.

    Of a comeback or another cause since a day that nobody knows, `day_known` is false and `seen_on` the day
    of hearing; it then counts from the last day that the vehicle was known to be OK, never as a cure.
    `heard`: "unasked" or "asked"; empty where nobody said.
    """

    result: FollowUpResult
    seen_on: Day
    day_known: bool = True
    odometer: Whole | None = None
    how: Word = ""
    heard: HowHeard = HowHeard.NOT_SAID
    remark: Text = ""
    cost: Money | None = None


class FollowUpChange(FollowUpBody):
    """The same put right; `version` is that of the follow-up as it was read."""

    version: int


class PromiseBody(In):
    """The day on which the customer was promised a call."""

    on: Day


class AuthorizationBody(In):
    """What the customer agreed to, or `declined`; the plan stops at the amount agreed to last.

    `number_called` is optional, and is deleted with the phone number.
    """

    amount: Money
    who: Word
    how: Word = ""
    if_not_cured: Word = "charge_stands"
    told_may_not_cure: bool = False
    told_module_can_fail: bool = False
    declined: bool = False
    proposed: Word = ""
    number_called: Word = ""


class PaymentBody(In):
    """`kind`: billed, cost or credited; `who_paid`: customer, shop or manufacturer."""

    kind: Word
    amount: Money
    who_paid: Word
    remark: Text = ""


class SentOutBody(In):
    """To whom it goes. Without `due_on` the days of the price on file say when its result is asked for.

    `why_not`: why, where a reflash is not what was advised.
    """

    way: Way
    module: Word = ""
    update_id: IdIn | None = None
    sent_to: Word = ""
    told_price: Money | None = None
    due_on: DayAhead | None = None
    why_not: Text = ""


class SentBackBody(In):
    """What came back. Modules that were programmed count for this concern, like our own, under their way; of
    them `duplicated_before` must be said: whether you saw the concern before it went out.
    """

    result: SentOutResult
    done_on: Day
    modules: list[ModuleBody] = Field(default_factory=list, max_length=50)
    what_was_done: Text = ""
    invoice: Money | None = None
    invoice_number: Word = ""
    who_paid: Word = "shop"
    duplicated_before: Duplicated | None = None


class SentOutOut(Out):
    """One time that it was sent out; `result` is empty while nobody told."""

    id: int
    concern_id: int
    way: Way
    module: str
    update_id: int | None
    sent_to: str
    told_price: float | None
    sent_on: date
    due_on: date
    by: str
    at: datetime
    result: SentOutResult
    back_on: date | None
    what_was_done: str
    invoice: float | None
    invoice_number: str
    event_id: int | None
    told_by: str


class SentBackOut(SentOutOut):
    """The same with what is `still_asked_for`: IDs before and after, the invoice."""

    still_asked_for: tuple[str, ...]


class StillOutOut(Out):
    """One that is out; `is_due`: its result is to be asked for."""

    ref: str
    complaint: str
    is_due: bool
    sent: SentOutOut

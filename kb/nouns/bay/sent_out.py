"""A concern that is with somebody else to be programmed: what was sent, and what came back."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime
from enum import StrEnum

from kb.nouns.concerns import Duplicated, ModuleResult
from kb.nouns.shop.ways import Way


class SentOutResult(StrEnum):
    """What came back; empty while nobody told. Taken back: it never left, or the result is not waited for."""

    WAITING = ""
    PROGRAMMED = "programmed"
    OTHER_REPAIR = "other_repair"
    NOTHING_DONE = "nothing_done"
    NO_WORD = "no_word"
    TAKEN_BACK = "taken_back"


@dataclass(frozen=True, slots=True)
class SentOutDraft:
    """To whom it goes, at which price told, and when its result is asked for.

    Without `due_on` it is due by the days of the price on file, without one today. `why_not`: why, where a
    reflash was not what was advised.
    """

    way: Way
    module: str = ""
    update_id: int | None = None
    sent_to: str = ""
    told_price_minor: int | None = None
    due_on: date | None = None
    why_not: str = ""


@dataclass(frozen=True, slots=True)
class SentBackDraft:
    """What came back: what was done, on which day, each module programmed, and the invoice.

    `who_paid` it: the shop, which bills it on, the customer or the manufacturer. `duplicated_before`: whether
    we saw the concern before it left, which must be said of what was programmed.
    """

    result: SentOutResult
    done_on: date
    modules: tuple[ModuleResult, ...] = ()
    what_was_done: str = ""
    invoice_minor: int | None = None
    invoice_number: str = ""
    who_paid: str = "shop"
    duplicated_before: Duplicated | None = None

    @property
    def still_asked_for(self) -> tuple[str, ...]:
        """What is missing of modules that came back programmed: IDs before and after, the invoice."""
        missing = [
            f"{one.module.upper()} ID {when}"
            for one in self.modules
            for when, said in (("before", one.calibration_before), ("after", one.calibration_after))
            if not said.strip()
        ]
        whole = self.invoice_minor is not None and self.invoice_number.strip()
        return (*missing, *(() if whole else ("the invoice",)))


@dataclass(frozen=True, slots=True)
class SentOut:
    """One time that it was sent out. `invoice_minor` and what came back are empty until told."""

    id: int
    concern_id: int
    way: Way
    module: str
    update_id: int | None
    sent_to: str
    told_price_minor: int | None
    sent_on: date
    due_on: date
    by: str
    at: datetime
    result: SentOutResult
    back_on: date | None
    what_was_done: str
    invoice_minor: int | None
    invoice_number: str
    event_id: int | None
    told_by: str

    @property
    def usual_payer(self) -> str:
        """Who pays its invoice, where nobody says otherwise."""
        return "manufacturer" if self.way is Way.DEALER_FREE else "shop"

    def is_due(self, today: date) -> bool:
        """Whether its result is to be asked for."""
        return self.result is SentOutResult.WAITING and self.due_on <= today


@dataclass(frozen=True, slots=True)
class StillOut:
    """One that is out, with what its concern is called; `is_due`: its result is to be asked for."""

    sent: SentOut
    ref: str
    complaint: str
    is_due: bool

"""What cannot be sent out, and what cannot have come back."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date

from kb.errors import BadInput
from kb.nouns.advice import StopKind, StopSaid
from kb.nouns.bay.sent_out import SentBackDraft, SentOutDraft, SentOutResult
from kb.nouns.concerns import Duplicated
from kb.nouns.currency import TOO_DEAR_MINOR
from kb.nouns.days import day_words
from kb.nouns.shop.ways import AWAY, Way

_TOLD = tuple(one for one in SentOutResult if one not in (SentOutResult.WAITING, SentOutResult.TAKEN_BACK))


def refuse_to_send(draft: SentOutDraft, today: date, free_because: str) -> None:
    """Raise BadInput; `free_because` is why the dealer may do it free, empty where nothing says so."""
    wrong: dict[str, str] = {}
    if draft.way not in AWAY:
        wrong["way"] = "Say who does it: a mobile programmer or the dealer."
    if draft.way is Way.DEALER_FREE and not free_because:
        wrong["way"] = (
            "Nothing on record says that it is free there. Look up recalls and coverage first, or send it as "
            "paid."
        )
    if draft.due_on is not None and draft.due_on < today:
        wrong["due_on"] = f"{day_words(draft.due_on)} has passed. Enter the day to ask for the result."
    if draft.told_price_minor is not None and not 0 <= draft.told_price_minor < TOO_DEAR_MINOR:
        wrong["told_price"] = "That is no price for programming."
    if len(draft.sent_to.strip()) > 80:
        wrong["sent_to"] = "Up to 80 characters say to whom."
    if wrong:
        raise BadInput(" ".join(wrong.values()), fields=wrong)


def refuse_while_stopped(way: Way, stops: Iterable[StopSaid]) -> None:
    """Raise BadInput where a stop is open: it is settled, or passed by name and reason, before. An open
    recall is no reason to keep it from the dealer who does it free.
    """
    free = way is Way.DEALER_FREE
    left = [one for one in stops if not (free and one.kind == StopKind.RECALL_OPEN.value)]
    if left:
        raise BadInput(
            f"Stop: {left[0].sentence} Settle it on the concern, or override it there by name and reason, "
            "before it is sent out.",
            fields={"stop": left[0].kind},
        )


def refuse_what_cannot_be_back(draft: SentBackDraft, sent_on: date, today: date) -> None:
    """Raise BadInput. What was programmed needs its modules, another repair its words."""
    wrong: dict[str, str] = {}
    if draft.result not in _TOLD:
        wrong["result"] = "Say what came back: programmed, another repair, nothing done, or no word."
    if not sent_on <= draft.done_on <= today:
        wrong["done_on"] = f"The day is from {day_words(sent_on)}, when it was sent out, to today."
    if draft.result is SentOutResult.PROGRAMMED and not draft.modules:
        wrong["module_1"] = "Name the module that was programmed."
    if draft.result is SentOutResult.OTHER_REPAIR and not draft.what_was_done.strip():
        wrong["what_was_done"] = "Say what was done there."
    if draft.invoice_minor is not None and not 0 <= draft.invoice_minor < TOO_DEAR_MINOR:
        wrong["invoice"] = "That is no amount of an invoice."
    if wrong:
        raise BadInput(" ".join(wrong.values()), fields=wrong)


def seen_before(draft: SentBackDraft) -> Duplicated:
    """Whether we saw the concern before it went out; only what was seen before counts as cured. Raises
    BadInput where nobody says.
    """
    if draft.duplicated_before is None:
        asked = "Say whether you saw the concern before it went out."
        raise BadInput(asked, fields={"duplicated_before": asked})
    return draft.duplicated_before

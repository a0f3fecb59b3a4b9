"""What an open concern waits for, so that nobody looks for something to do on it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum

from kb.nouns.bay.clocks import ClockKind, ClockView

LONGEST_REMARK = 200
"""Characters of what is said of a wait or a clock."""


class WaitingFor(StrEnum):
    """A cold soak, a part, the customer's OK, a word of the lead, or what somebody else programs."""

    SOAK = "soak"
    PART = "part"
    CUSTOMER_OK = "customer_ok"
    LEAD = "lead"
    SENT_OUT = "sent_out"


BY_HAND = tuple(one for one in WaitingFor if one is not WaitingFor.SENT_OUT)
"""What somebody says that it waits for; for its result it waits by being sent out."""

WAITING_WORDS = {
    WaitingFor.SOAK: "a cold soak",
    WaitingFor.PART: "a part",
    WaitingFor.CUSTOMER_OK: "the customer's OK",
    WaitingFor.LEAD: "the lead",
    WaitingFor.SENT_OUT: "its result",
}


@dataclass(frozen=True, slots=True)
class Waiting:
    """What a concern waits for, in whose words, since when; `remark` such as "intake hose, Tuesday"."""

    waiting_for: WaitingFor
    remark: str
    by: str
    since: datetime


def beside_clocks(waiting: Waiting | None, clocks: Iterable[ClockView]) -> Waiting | None:
    """The wait as it is said beside the clocks that run: none for a cold soak whose clock says it already."""
    told = (
        waiting
        and waiting.waiting_for == WaitingFor.SOAK
        and any(one.kind == ClockKind.SOAK for one in clocks)
    )
    return None if told else waiting

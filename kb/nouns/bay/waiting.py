"""What an open concern waits for, so that nobody looks for something to do on it."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum


class WaitingFor(StrEnum):
    """A cold soak, a part, the customer's OK, or a word of the lead."""

    SOAK = "soak"
    PART = "part"
    CUSTOMER_OK = "customer_ok"
    LEAD = "lead"


WAITING_WORDS = {
    WaitingFor.SOAK: "a cold soak",
    WaitingFor.PART: "a part",
    WaitingFor.CUSTOMER_OK: "the customer's OK",
    WaitingFor.LEAD: "the lead",
}


@dataclass(frozen=True, slots=True)
class Waiting:
    """What a concern waits for, in whose words, since when; `remark` such as "intake hose, Tuesday"."""

    waiting_for: WaitingFor
    remark: str
    by: str
    since: datetime

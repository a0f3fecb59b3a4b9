"""The week on one page: what is new, due and about to end, each line with what it is about."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, datetime
from enum import StrEnum

from kb.nouns.bay.concern_file import ConcernLine
from kb.nouns.lead.first_steps import FirstSteps
from kb.nouns.review.alarms import Alarm
from kb.nouns.shop.who_needs_signing import WhoNeedsSigning

NEW_DAYS = 7
"""What began so lately is new. A guess."""
SHORT_ACCESS_DAYS = 7
"""Access bought for no longer was bought for a vehicle: that it ends is no news. A guess."""
LISTING_GOOD_DAYS = 365
"""After so long a manufacturer's list of devices is looked up again. A guess."""
SHOWN_EACH = 5
"""Lines of a part; the page that they lead to has all of them."""


NOTHING_NEW = "Nothing new this week: no alarm, no call due, nothing waits or ends soon."


class About(StrEnum):
    """What a line leads to; with an id where there are many."""

    ALARM = "alarm"
    CALLS = "calls"
    CONCERN = "concern"
    SUBSCRIPTIONS = "subscriptions"
    EQUIPMENT = "equipment"
    PEOPLE = "people"
    PERSON = "person"
    BACKUPS = "backups"
    QUEUE = "queue"
    FIRST_STEPS = "first_steps"


@dataclass(frozen=True, slots=True)
class WeekLine:
    """`label` names it, `text` says what is with it; `at`: an id, or the name of a queue. `make`: of the work
    that a person is not signed off for.
    """

    label: str
    text: str
    about: About
    at: str = ""
    make: str = ""


@dataclass(frozen=True, slots=True)
class WeekPart:
    heading: str
    lines: tuple[WeekLine, ...]


@dataclass(frozen=True, slots=True)
class Week:
    """Parts that have anything to say, as of a day. `backup` is said every week.

    `quiet`: nothing is new, due, waiting or about to end.
    """

    on: date
    parts: tuple[WeekPart, ...]
    backup: WeekLine | None

    @property
    def quiet(self) -> bool:
        return not self.parts

    @property
    def opening(self) -> str:
        """One line where nothing is to be told; else empty."""
        return NOTHING_NEW if self.quiet else ""


@dataclass(frozen=True, slots=True)
class CallDue:
    """A vehicle to ask about; `promised`: the customer was promised the call."""

    concern_id: int
    ref: str
    due_on: date
    promised: bool


@dataclass(frozen=True, slots=True)
class Bought:
    """Access to a manufacturer: information or programming."""

    make: str
    kind: str
    bought_on: date
    ends_on: date


@dataclass(frozen=True, slots=True)
class Listing:
    """A device that a make lists, with the day on which somebody looked."""

    device: str
    make: str
    looked_up_on: date


@dataclass(frozen=True, slots=True)
class Backup:
    """The newest copy: when, and whether it was checked; or what is wrong. `where`: on another computer."""

    made_at: datetime | None
    checked: bool
    wrong: str = ""
    where: str = ""


@dataclass(frozen=True, slots=True)
class WeekOnFile:
    """Everything that a week is told from. `backup` is None where the shop makes none (a demo)."""

    alarms: tuple[tuple[str, Alarm], ...] = ()
    calls: tuple[CallDue, ...] = ()
    bought: tuple[Bought, ...] = ()
    listings: tuple[Listing, ...] = ()
    signing: WhoNeedsSigning | None = None
    backup: Backup | None = None
    queues: Mapping[str, int] = field(default_factory=dict)
    waiting: tuple[ConcernLine, ...] = ()
    steps: FirstSteps | None = None

"""The story of the shop as values: who did what on which day, and (hidden) what was true.

A loader replays `Story.events` in order through the desk. Notes are named by number, concerns by
"RO-line" and equipment by name, because ids exist only once something is recorded.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date

from demo_data.shop import Shop, Subscription
from kb.nouns.bay.clocks import ClockAsked
from kb.nouns.bay.sent_out import SentOutDraft
from kb.nouns.concerns import ConcernDraft, Ending, Finding, FollowUpDraft, ProgrammingEventDraft
from kb.nouns.notes import NoteDraft
from kb.nouns.vehicles import LookUp


@dataclass(frozen=True, slots=True)
class Opened:
    concern: str
    draft: ConcernDraft


@dataclass(frozen=True, slots=True)
class GateSettled:
    """A gate of kb.nouns.starting_checks: fine or at fault. A gate without this event is not checked.

    The remark of an open recall is "touches" where it touches the module or the concern, else "other".
    """

    concern: str
    gate: str
    fine: bool
    remark: str = ""


@dataclass(frozen=True, slots=True)
class LookedUp:
    concern: str
    look_up: LookUp


@dataclass(frozen=True, slots=True)
class Found:
    concern: str
    finding: Finding


@dataclass(frozen=True, slots=True)
class Authorized:
    """What the customer agreed to, in minor units, and what happens to the charge if it does not cure."""

    concern: str
    amount_minor: int
    who: str
    how: str
    if_not_cured: str
    proposed: str = ""
    number_called: str = ""
    declined: bool = False


@dataclass(frozen=True, slots=True)
class ClockStarted:
    """Counted back from the moment of loading, so that it runs whenever the demo is looked at."""

    concern: str
    asked: ClockAsked
    hours_ago: float = 0


@dataclass(frozen=True, slots=True)
class NextSaid:
    """What is next and who, for the next shift."""

    concern: str
    next_what: str
    who: str


@dataclass(frozen=True, slots=True)
class Waits:
    """What an open concern waits for, with which one."""

    concern: str
    waiting_for: str
    remark: str


@dataclass(frozen=True, slots=True)
class GoesOut:
    """An open concern that somebody else programs."""

    concern: str
    draft: SentOutDraft


@dataclass(frozen=True, slots=True)
class Decided:
    """`did` is one of the verdict words: reflash, keep_diagnosing, check_first."""

    concern: str
    did: str
    update: str = ""
    reason: str = ""


@dataclass(frozen=True, slots=True)
class Bought:
    subscription: Subscription


@dataclass(frozen=True, slots=True)
class Programmed:
    """A programming event. `updates` and `concerns` run beside `draft.modules`, which carry no ids yet.

    What was sent out has no equipment of ours.
    """

    key: str
    draft: ProgrammingEventDraft
    updates: tuple[str, ...]
    concerns: tuple[tuple[str, ...], ...]
    device: str = ""
    computer: str = ""
    support_unit: str = ""
    subscription: str = ""


@dataclass(frozen=True, slots=True)
class FollowedUp:
    concern: str
    draft: FollowUpDraft


@dataclass(frozen=True, slots=True)
class Closed:
    """The ending as the shop saw it that day. A concern that came back is closed a second time.

    `cost_minor` is money the shop bore, without what stands on a follow-up.
    """

    concern: str
    ending: Ending
    update: str = ""
    other_cause: str = ""
    cost_minor: int = 0


What = (
    Opened
    | GateSettled
    | LookedUp
    | Found
    | Authorized
    | ClockStarted
    | NextSaid
    | Waits
    | GoesOut
    | Decided
    | Bought
    | Programmed
    | FollowedUp
    | Closed
)


@dataclass(frozen=True, slots=True)
class StoryEvent:
    """Something one person recorded on one day. `by` is a user name."""

    day: date
    by: str
    what: What

    @property
    def kind(self) -> str:
        return type(self.what).__name__


@dataclass(frozen=True, slots=True)
class Truth:
    """What nobody in the shop knows: whether the considered update cures this concern.

    `considered` is empty where no update was a candidate; `installed_on` is the day the update went in;
    `delay_days` when the concern comes back after it (None: never), `silent_after` the day of the last
    possible news of the vehicle (None: it stays in touch).
    """

    concern: str
    family: str
    considered: str
    cures: bool
    cause: str
    opened_days_ago: int
    reflashed: bool = False
    installed_on: date | None = None
    delay_days: int | None = None
    silent_after: date | None = None
    other_work: bool = False
    duplicated: bool = True


@dataclass(frozen=True, slots=True)
class Story:
    """Two years of the invented shop up to `today`; `open_states` says what each open concern shows."""

    today: date
    seed: int
    shop: Shop
    notes: tuple[NoteDraft, ...]
    events: tuple[StoryEvent, ...]
    truths: tuple[Truth, ...]
    open_states: Mapping[str, str]

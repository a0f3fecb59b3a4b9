"""What lies in the file of a concern: each thing that somebody recorded, as a frozen value."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, datetime

from kb.nouns.concerns import INSTALLED, FindingResult, ReflashResult
from kb.nouns.shop.ways import Way
from kb.nouns.vehicles import fold_id


@dataclass(frozen=True, slots=True)
class GateSaid:
    """A gate as somebody settled it: fine, fault, or empty where it was taken back."""

    gate: str
    result: str
    value: str
    by: str
    on: date


@dataclass(frozen=True, slots=True)
class Found:
    """What a check said, who wrote it down and when; the `number` that decided it, where one was measured."""

    check_id: int
    result: FindingResult
    value: str
    by: str
    at: datetime
    number: float | None = None
    unit: str = ""


@dataclass(frozen=True, slots=True)
class Lift:
    """A stop passed by name, with a reason."""

    stop: str
    reason: str
    by: str
    at: datetime


PROGRAMMING_STARTED = "programming_started"
"""The tick of a start whose end is not written down yet; `measured` holds the note it was for."""


@dataclass(frozen=True, slots=True)
class Tick:
    """A line of the preparation or release list settled by name; `passed_over` is the reason, `said` more."""

    item: str
    by: str
    at: datetime
    measured: str
    passed_over: str
    said: Mapping[str, str]


@dataclass(frozen=True, slots=True)
class OfferedThen:
    """A note that the search offered when the concern was opened; without a `grade` nobody knows how well
    it matched; `about` None: nobody looked yet.
    """

    note_id: int
    grade: str
    all_codes_named: bool
    about: bool | None


PAYERS = ("customer", "shop", "manufacturer")
"""Whose money of a repair order may be."""


@dataclass(frozen=True, slots=True)
class Paid:
    """Money of the repair order: billed, cost or credited."""

    kind: str
    amount_minor: int
    who_paid: str
    remark: str
    by: str
    at: datetime


@dataclass(frozen=True, slots=True)
class Decided:
    """What was advised at one moment, what was done, and why not as advised."""

    id: int
    at: datetime
    by: str
    verdict: str
    sentence: str
    did: str
    followed: bool
    why_not: str


@dataclass(frozen=True, slots=True)
class Programmed:
    """One module of a sitting at the vehicle, with one of the concerns it was done for (0: for none).

    `installed` and `reports_count` are of its outcome: whether it went in, and whether no other module of
    the same sitting stands for it. `event_kind` and `event_day` are what reports group by
    (kb.outcomes.story).
    """

    module: str
    result: ReflashResult
    performed_on: date
    recorded_at: datetime
    reflash_id: int = 0
    event_id: int = 0
    technician: str = ""
    way: Way = Way.HERE
    update_id: int | None = None
    update_number: str = ""
    calibration_before: str = ""
    calibration_after: str = ""
    cvn_before: str = ""
    cvn_after: str = ""
    error_text: str = ""
    other_work: tuple[str, ...] = ()
    concern_id: int = 0
    outcome_id: int = 0
    installed: bool = False
    duplicated_before: str = ""
    road_test: str = ""
    reports_count: bool = False
    event_kind: int = 0
    event_day: int = 0


def not_recovered(attempts: Iterable[Programmed]) -> tuple[Programmed, ...]:
    """Of attempts, oldest first: the modules whose last one stopped with an error or lost the module."""
    tried = (one for one in attempts if one.result is not ReflashResult.NOTHING_NEWER)
    last = {fold_id(one.module): one for one in tried}
    return tuple(one for one in last.values() if one.result not in INSTALLED)

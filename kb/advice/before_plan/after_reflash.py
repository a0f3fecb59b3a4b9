"""Where a concern stands after what was installed for it, and what is done next."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from typing import Generic, Literal, Protocol, TypeVar

from kb.nouns.concerns import FAILED, FollowUpResult, RoadTest

NextStep = Literal["advice", "road_test", "release", "closed"]
"""Go on with the advice, drive it, settle what is open before it leaves; or nothing, as it is closed."""


class Installed(Protocol):
    """One module as it was programmed; `failed_on` is the day on which a failure after it is counted."""

    @property
    def event_id(self) -> int: ...
    @property
    def performed_on(self) -> date: ...
    @property
    def road_test(self) -> str: ...
    @property
    def failed_on(self) -> date | None: ...


class Heard(Protocol):
    """What a follow-up heard, and the day it was true."""

    @property
    def result(self) -> FollowUpResult: ...
    @property
    def seen_on(self) -> date: ...


R = TypeVar("R", bound=Installed)
H = TypeVar("H", bound=Heard)


@dataclass(frozen=True, slots=True)
class AfterReflash(Generic[R, H]):
    """The last sitting that installed something, and the failure heard of since, if any."""

    done: tuple[R, ...]
    failed: H | None
    recovery_open: bool
    fine_until: date = date.min

    @property
    def last(self) -> R:
        return self.done[-1]

    @property
    def next(self) -> NextStep:
        """What comes first: the road test, then what is settled before release; else the advice goes on."""
        if self.recovery_open or self.has_failed:
            return "advice"
        return "road_test" if self.last.road_test == RoadTest.NOT_DONE else "release"

    @property
    def has_failed(self) -> bool:
        still_there = any(one.road_test == RoadTest.STILL_THERE for one in self.done)
        return still_there or any(one.failed_on for one in self.done)


def after_reflash(
    installed: Sequence[R], heard: Sequence[H], *, recovery_open: bool
) -> AfterReflash[R, H] | None:
    """None while nothing is installed for the concern. Both in the order of what happened."""
    if not installed:
        return None
    last = installed[-1]
    done = tuple(one for one in installed if one.event_id == last.event_id)
    told = [one for one in heard if one.result in FAILED and one.seen_on >= last.performed_on]
    failed = told[-1] if told and any(one.failed_on for one in done) else None
    fine = [one.seen_on for one in heard if one.result is FollowUpResult.FINE]
    return AfterReflash(done, failed, recovery_open, max(fine, default=date.min))

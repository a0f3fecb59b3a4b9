"""The dates of an outcome, renewed from what was heard: pure arithmetic on follow-ups."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Protocol

from kb.nouns.concerns import FollowUpDraft, FollowUpResult
from kb.outcomes.observe import FAILURES, SIGHTINGS

FAILED = frozenset(FAILURES)
"""What tells of a failure when it is heard."""


class Failing(Protocol):
    """Anything heard, with its result."""

    @property
    def result(self) -> str: ...


@dataclass(frozen=True, slots=True)
class OutcomeDates:
    came_back_on: date | None
    other_cause_on: date | None
    last_seen_on: date | None
    count_ends_on: date | None
    cost_minor: int


def dates_of(
    reflashed_on: date, follow_ups: Iterable[FollowUpDraft], superseded_on: date | None
) -> OutcomeDates:
    """First comeback and other cause, last sighting, and the day after which it tells no more.

    What was seen before the reflash says nothing of it. Follow-ups may come in any order. A sale is no end:
    it ends the waiting, but the vehicle was known to be OK only when last seen. A failure since a day that
    nobody knows is dated when the vehicle was last known to be OK before it was heard of, or on the reflash.
    """
    heard = [one for one in follow_ups if one.seen_on >= reflashed_on]
    ends = [one.seen_on for one in heard if one.result is FollowUpResult.UPDATED_BY_AIR]
    if superseded_on is not None:
        ends.append(superseded_on)
    return OutcomeDates(
        came_back_on=_first(heard, FollowUpResult.CAME_BACK, reflashed_on),
        other_cause_on=_first(heard, FollowUpResult.OTHER_CAUSE, reflashed_on),
        last_seen_on=_last_seen(heard),
        count_ends_on=min(ends, default=None),
        cost_minor=sum(one.cost_minor or 0 for one in heard),
    )


def other_cause_at_the_end(
    closed_on: date | None, reflashed_on: date, heard: Iterable[Failing], as_of: date | None = None
) -> tuple[FollowUpDraft, ...]:
    """The follow-up that closing a concern with another cause amounts to: none where it was closed before the
    reflash or after `as_of`, or a failure was heard of anyway. Taken back when the concern is opened again.
    The day of closing is the day it was found, not the day from which the concern was back.
    """
    if closed_on is None or closed_on < reflashed_on or (as_of is not None and closed_on > as_of):
        return ()
    if any(one.result in FAILED for one in heard):
        return ()
    return (FollowUpDraft(FollowUpResult.OTHER_CAUSE, closed_on, day_known=False),)


def _first(heard: Sequence[FollowUpDraft], result: FollowUpResult, reflashed_on: date) -> date | None:
    days = (
        one.seen_on if one.day_known else _last_seen(heard, before=one.seen_on) or reflashed_on
        for one in heard
        if one.result is result
    )
    return min(days, default=None)


def _last_seen(heard: Iterable[FollowUpDraft], before: date = date.max) -> date | None:
    seen = (one.seen_on for one in heard if one.result in SIGHTINGS)
    return max((day for day in seen if day < before), default=None)

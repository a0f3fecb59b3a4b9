"""The dates of an outcome, renewed from what was heard: pure arithmetic on follow-ups."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from kb.nouns.concerns import FollowUpDraft, FollowUpResult

SIGHTINGS = frozenset({FollowUpResult.FINE, FollowUpResult.NEW_COMPLAINT})


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
    it ends the waiting, but the vehicle was known to be OK only when last seen.
    """
    heard = [one for one in follow_ups if one.seen_on >= reflashed_on]
    ends = [one.seen_on for one in heard if one.result is FollowUpResult.UPDATED_BY_AIR]
    if superseded_on is not None:
        ends.append(superseded_on)
    return OutcomeDates(
        came_back_on=_first(heard, FollowUpResult.CAME_BACK),
        other_cause_on=_first(heard, FollowUpResult.OTHER_CAUSE),
        last_seen_on=max((one.seen_on for one in heard if one.result in SIGHTINGS), default=None),
        count_ends_on=min(ends, default=None),
        cost_minor=sum(one.cost_minor or 0 for one in heard),
    )


def _first(heard: Iterable[FollowUpDraft], result: FollowUpResult) -> date | None:
    return min((one.seen_on for one in heard if one.result is result), default=None)

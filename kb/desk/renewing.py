"""The dates of outcomes brought up to what was heard and done since, for one concern or a whole batch."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterable, Mapping, Sequence
from datetime import date

from kb.desk.context import Desk, anyone_in_the_shop
from kb.desk.observed import renew_events_by
from kb.desk.outcome_dates import dates_of, other_cause_at_the_end
from kb.records.store import learning as learning_store
from kb.records.store import outcome_dates as store
from kb.records.store.learning import FollowUpFacts
from kb.records.store.outcome_dates import Reflashed
from kb.records.store.searching import in_chunks

Days = Mapping[tuple[int, str], Sequence[tuple[date, int]]]
"""(day, reflash id) of installed reflashes in order of time, by vehicle and module."""


@anyone_in_the_shop
def renew_outcomes(desk: Desk, concern_ids: Iterable[int]) -> None:
    """Bring the dates of these concerns' outcomes up to what all has been heard, read a batch at a time."""
    for some in in_chunks(sorted(set(concern_ids))):
        heard = learning_store.follow_ups(desk.session, desk.shop.id, None, some)
        done = store.reflashed(desk.session, some)
        days = store.installed_days(desk.session, {one.vehicle_id for one in done})
        for one in done:
            _renew(one, heard.get(one.outcome.concern_id, ()), days)
        if done:
            renew_events_by(desk, some, heard)


def _renew(one: Reflashed, heard: Iterable[FollowUpFacts], days: Days) -> None:
    """Of what was heard on the day of the reflash only what was recorded after it counts."""
    since = [
        said.draft()
        for said in heard
        if said.seen_on > one.performed_on or said.recorded_at >= one.recorded_at
    ]
    since += other_cause_at_the_end(one.closed_on, one.outcome.reflashed_on, since)
    dates = dates_of(one.outcome.reflashed_on, since, _superseded_on(one, days))
    one.outcome.came_back_on = dates.came_back_on
    one.outcome.other_cause_on = dates.other_cause_on
    one.outcome.last_seen_on = dates.last_seen_on
    one.outcome.count_ends_on = dates.count_ends_on
    one.outcome.cost_minor = dates.cost_minor


def _superseded_on(one: Reflashed, days: Days) -> date | None:
    """The day of the next installed reflash of the same module in the same vehicle."""
    same = days.get((one.vehicle_id, one.module), ())
    following = bisect_right(same, (one.outcome.reflashed_on, one.outcome.reflash_id))
    return same[following][0] if following < len(same) else None

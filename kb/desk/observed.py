"""What came of installed reflashes, read one by one from the records as the statistics take it."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from sqlmodel import col

from kb.desk import settings as settings_desk
from kb.desk import updates as updates_desk
from kb.desk.comeback_costs import costs_by_outcome
from kb.desk.context import Desk
from kb.desk.counted_once import counting
from kb.desk.outcome_dates import other_cause_at_the_end
from kb.nouns.concerns import Duplicated, RoadTest
from kb.nouns.outcomes import Observation, ReflashOutcome, WindowRule
from kb.outcomes.events import event_of
from kb.outcomes.observe import observe
from kb.records.store import learning as store
from kb.records.store import outcome_counts as count_store
from kb.records.store.learning import FollowUpFacts, OutcomeFacts
from kb.records.store.searching import in_chunks
from kb.records.tables import Outcome

NO_UPDATE = 0
"""Stands for a reflash whose update nobody named."""


@dataclass(frozen=True, slots=True)
class Observed:
    """One reflash of one concern with what it says on the day of the gathering.

    `cost_minor` is its share of what the shop bore for failures, within the window or after it.
    """

    outcome_id: int
    concern_id: int
    recorded_at: datetime
    facts: ReflashOutcome
    observation: Observation
    cost_minor: int
    make: str
    module: str


def gather(desk: Desk, as_of: date, rule: WindowRule | None = None) -> dict[int, tuple[Observed, ...]]:
    """Every installed reflash until `as_of` by concern, oldest first, read by the shop's window or `rule`.

    Modules of one sitting and update are one reflash of their concern.
    """
    counts = count_store.counts()
    found = store.outcomes(desk.session, desk.shop.id, col(Outcome.reflashed_on) <= as_of, counts)
    heard = store.follow_ups(desk.session, desk.shop.id, as_of)
    return _observe_all(desk, found, heard, as_of, rule)


def gather_chosen(
    desk: Desk, as_of: date, *chosen: Any, rule: WindowRule | None = None
) -> dict[int, tuple[Observed, ...]]:
    """The same for the outcomes that fulfill conditions of the store, without reading the whole shop."""
    until = col(Outcome.reflashed_on) <= as_of
    found = store.outcomes(desk.session, desk.shop.id, until, count_store.counts(), *chosen)
    return _observe_all(desk, found, _heard(desk, list(found), as_of), as_of, rule)


def renew_events(desk: Desk, concern_ids: Iterable[int]) -> None:
    """Bring the columns that reports count by up to what was heard of these concerns."""
    for some in in_chunks(list(concern_ids)):
        renew_events_by(desk, some, store.follow_ups(desk.session, desk.shop.id, None, some))


def renew_events_by(
    desk: Desk, concern_ids: Sequence[int], heard: Mapping[int, Sequence[FollowUpFacts]]
) -> None:
    """The same for at most a statement's worth of concerns of which everything `heard` is at hand."""
    desk.session.flush()
    found = store.outcomes_of(desk.session, desk.shop.id, concern_ids)
    events = [
        {
            "outcome": one.id,
            **event_columns(_facts(one, one.update_id or NO_UPDATE, heard), costs[one.id]),
            **({} if one in told else {"counted_as": count_store.WITH_ANOTHER}),
        }
        for concern_id, outcomes in found.items()
        for told in [counting(outcomes)]
        for costs in [costs_by_outcome(told, heard.get(concern_id, ()))]
        for one in outcomes
    ]
    count_store.renew(desk.session, events)


def event_columns(facts: ReflashOutcome, cost_minor: int) -> dict[str, int]:
    """What reports count by, as columns of an installed outcome, with its share of what failures cost."""
    event = event_of(facts)
    day = facts.reflashed_on
    return {
        "counted_as": count_store.ONE_BY_ONE if event.alone else count_store.TOGETHER,
        "reflashed_day": day.toordinal(),
        "reflashed_month": day.year * 12 + day.month - 1,
        "event_kind": int(event.kind),
        "event_day": event.day,
        "heard_day": event.heard_on.toordinal(),
        "comeback_cost_minor": cost_minor,
    }


def _heard(desk: Desk, concern_ids: list[int], until: date | None) -> dict[int, list[FollowUpFacts]]:
    heard: dict[int, list[FollowUpFacts]] = {}
    for some in in_chunks(concern_ids):
        heard |= store.follow_ups(desk.session, desk.shop.id, until, some)
    return heard


def _observe_all(
    desk: Desk,
    found: Mapping[int, Sequence[OutcomeFacts]],
    heard: Mapping[int, Sequence[FollowUpFacts]],
    as_of: date,
    rule: WindowRule | None,
) -> dict[int, tuple[Observed, ...]]:
    window = rule or settings_desk.current(desk).window_rule()
    kept = updates_desk.on_file(desk).kept
    costs = _costs(desk, heard, as_of)
    return {
        concern_id: tuple(
            _observed(one, _facts(one, kept(one.update_id or NO_UPDATE), heard, as_of), window, as_of, costs)
            for one in outcomes
        )
        for concern_id, outcomes in found.items()
    }


def _costs(desk: Desk, heard: Mapping[int, Sequence[FollowUpFacts]], as_of: date) -> Counter[int]:
    """By outcome, of the few concerns of which money was heard; they are read with all their reflashes."""
    some = [concern for concern, told in heard.items() if any(one.cost_minor for one in told)]
    costs: Counter[int] = Counter()
    for concerns in in_chunks(some):
        until = col(Outcome.reflashed_on) <= as_of
        chosen = (col(Outcome.concern_id).in_(concerns), until, count_store.counts())
        for concern, done in store.outcomes(desk.session, desk.shop.id, *chosen).items():
            costs += costs_by_outcome(done, heard[concern])
    return costs


def _observed(
    one: OutcomeFacts, facts: ReflashOutcome, rule: WindowRule, as_of: date, costs: Mapping[int, int]
) -> Observed:
    observation = observe(facts, rule, as_of)
    cost = costs.get(one.id, 0)
    return Observed(one.id, one.concern_id, one.recorded_at, facts, observation, cost, one.make, one.module)


def _facts(
    one: OutcomeFacts,
    update_id: int,
    heard: Mapping[int, Sequence[FollowUpFacts]],
    as_of: date | None = None,
) -> ReflashOutcome:
    """What was heard after the reflash counts; on its own day only what was not recorded before it.

    A concern closed with another cause after its reflash says the same as a follow-up that tells of one.
    """
    since = [
        f
        for f in heard.get(one.concern_id, ())
        if (f.seen_on, f.recorded_at) >= (one.reflashed_on, one.recorded_at)
    ]
    return ReflashOutcome(
        update_id=update_id,
        reflashed_on=one.reflashed_on,
        road_test=RoadTest(one.road_test),
        duplicated_before=Duplicated(one.duplicated_before),
        other_work=one.other_work,
        follow_ups=(
            *(f.draft() for f in since),
            *other_cause_at_the_end(one.other_cause_on, one.reflashed_on, since, as_of),
        ),
        odometer=one.odometer,
        usual_gap_days=one.usual_gap_days,
        superseded_on=one.count_ends_on,
    )

"""What came of every installed reflash, gathered from the records as the statistics take it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime

from kb.desk import settings as settings_desk
from kb.desk import updates as updates_desk
from kb.desk.context import Desk
from kb.nouns.concerns import Duplicated, FollowUpDraft, FollowUpResult, RoadTest
from kb.nouns.outcomes import Observation, ReflashOutcome, WindowRule
from kb.outcomes.facts import comeback_cost
from kb.outcomes.observe import observe
from kb.records.store import learning as store
from kb.records.store.learning import FollowUpFacts, OutcomeFacts
from kb.records.store.searching import in_chunks

NO_UPDATE = 0
"""Stands for a reflash whose update nobody named."""


@dataclass(frozen=True, slots=True)
class Observed:
    """One reflash of one concern with what it says on the day of the gathering."""

    concern_id: int
    recorded_at: datetime
    facts: ReflashOutcome
    observation: Observation
    cost_minor: int
    make: str
    module: str


def gather(desk: Desk, as_of: date, rule: WindowRule | None = None) -> dict[int, tuple[Observed, ...]]:
    """Every installed reflash until `as_of` by concern, oldest first, read by the shop's window or `rule`."""
    found = store.outcomes(desk.session, desk.shop.id, as_of)
    heard = store.follow_ups(desk.session, desk.shop.id, as_of)
    return _observe_all(desk, found, heard, as_of, rule)


def gather_of(desk: Desk, update_ids: Sequence[int], as_of: date) -> dict[int, tuple[Observed, ...]]:
    """The same for a few updates, without reading the whole shop."""
    found = store.outcomes(desk.session, desk.shop.id, as_of, update_ids)
    heard: dict[int, list[FollowUpFacts]] = {}
    for some in in_chunks(list(found)):
        heard |= store.follow_ups(desk.session, desk.shop.id, as_of, some)
    return _observe_all(desk, found, heard, as_of, None)


def _observe_all(
    desk: Desk,
    found: Mapping[int, Sequence[OutcomeFacts]],
    heard: Mapping[int, Sequence[FollowUpFacts]],
    as_of: date,
    rule: WindowRule | None,
) -> dict[int, tuple[Observed, ...]]:
    window = rule or settings_desk.current(desk).window_rule()
    kept = updates_desk.on_file(desk).kept
    return {
        concern_id: tuple(
            _observed(one, kept(one.update_id or NO_UPDATE), heard.get(concern_id, ()), window, as_of)
            for one in outcomes
        )
        for concern_id, outcomes in found.items()
    }


def _observed(
    one: OutcomeFacts,
    update_id: int,
    heard: Sequence[FollowUpFacts],
    rule: WindowRule,
    as_of: date,
) -> Observed:
    since = _since(one, heard)
    facts = ReflashOutcome(
        update_id=update_id,
        reflashed_on=one.reflashed_on,
        road_test=RoadTest(one.road_test),
        duplicated_before=Duplicated(one.duplicated_before),
        other_work=one.other_work,
        follow_ups=tuple(
            FollowUpDraft(FollowUpResult(f.result), f.seen_on, f.odometer, cost_minor=f.cost_minor)
            for f in since
        ),
        odometer=one.odometer,
        usual_gap_days=one.usual_gap_days,
        superseded_on=one.count_ends_on,
    )
    observation = observe(facts, rule, as_of)
    cost = comeback_cost(facts)
    return Observed(one.concern_id, one.recorded_at, facts, observation, cost, one.make, one.module)


def _since(one: OutcomeFacts, heard: Sequence[FollowUpFacts]) -> list[FollowUpFacts]:
    """What was heard after the reflash; on its own day only what was recorded after it."""
    return [f for f in heard if f.seen_on > one.reflashed_on or f.recorded_at >= one.recorded_at]

"""Counts that the database groups against reading every reflash one by one: the slow obvious twin."""

from __future__ import annotations

from collections import Counter
from datetime import date, timedelta

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from kb.desk.bay.concern import concerns
from kb.desk.bay.outcomes import counted, observed
from kb.desk.bay.outcomes.counted import EVERYTHING, Selection
from kb.desk.bay.programming import programming
from kb.desk.calls import what_was_heard
from kb.desk.context import Desk, RunningShop
from kb.errors import BadInput
from kb.nouns.concerns import (
    Duplicated,
    FollowUpDraft,
    FollowUpResult,
    HowHeard,
    ModuleResult,
    ProgrammingEventDraft,
    ReflashResult,
    RoadTest,
)
from kb.nouns.outcomes import Observation, Standing, WindowRule
from kb.outcomes.money.failure_costs import Failures, HowFailed
from kb.outcomes.tally import Tally, tally
from tests.factories import a_concern, a_vehicle
from tests.kb.desk.imports.importing import LEAD, TECH, history, take
from tests.kb.outcomes.test_story import groups

BEGIN = date(2026, 1, 5)
days = st.integers(0, 290).map(lambda day: BEGIN + timedelta(day))
maybe_day = st.none() | days.map(str)
rows = st.fixed_dictionaries(
    {
        "ro_number": st.integers(1, 6).map(str),
        "vin": st.sampled_from(["", "1G4AH59H45G118341"]),
        "make": st.sampled_from(["Norvane", "NOR VANE", "Quellen"]),
        "update": st.sampled_from(["A-1", "B-2", ""]),
        "reflashed_on": days.map(str),
        "gone_at_road_test": st.sampled_from(["yes", "no", ""]),
        "duplicated_before": st.sampled_from(["yes", "no", ""]),
        "other_work": st.sampled_from(["", "plugs"]),
        "returned_on": maybe_day.map(lambda day: day or ""),
        "last_seen_on": maybe_day.map(lambda day: day or ""),
        "other_cause": st.sampled_from(["", "", "hose"]),
        "event": st.sampled_from(["", "", "came back", "new complaint", "sold"]),
        "cost": st.sampled_from(["", "25"]),
    }
)
visits = st.tuples(
    days,
    st.sampled_from(RoadTest),
    st.sampled_from(Duplicated),
    st.sampled_from([None, 20]),
    st.sampled_from([None, 50_000]),
    st.lists(
        st.tuples(
            st.sampled_from(FollowUpResult),
            st.integers(0, 200),
            st.sampled_from([None, 54_000]),
            st.booleans(),
        ),
        max_size=3,
    ),
)


def _chosen_one_by_one(desk: Desk, as_of: date, rule: WindowRule, chosen: Selection) -> list[Observation]:
    found = [one for some in observed.gather(desk, as_of, rule).values() for one in some]
    return [
        one
        for one in found
        if (chosen.since is None or one.reflashed_on >= chosen.since)
        and (not chosen.make or one.reflash.make.replace(" ", "").lower() == chosen.make)
    ]


def slow(desk: Desk, as_of: date, rule: WindowRule, chosen: Selection) -> tuple[Tally, dict[int, int]]:
    kept = _chosen_one_by_one(desk, as_of, rule, chosen)
    spent: Counter[int] = Counter()
    for one in kept:
        spent[one.update_id] += one.cost_minor
    costs = {update: cost for update, cost in spent.items() if cost}
    return tally(kept, rule.days), costs


def how_failed_slowly(
    desk: Desk, as_of: date, rule: WindowRule, chosen: Selection
) -> dict[HowFailed, Failures]:
    """Every reflash looked at for itself; one not cured at road test, or back later, counts if it cost."""
    found = dict.fromkeys(HowFailed, Failures())
    for one in _chosen_one_by_one(desk, as_of, rule, chosen):
        told = one.standing in (Standing.COMEBACK, Standing.OTHER_CAUSE)
        if one.other_work:
            how = HowFailed.OTHER_WORK
        elif told or one.standing is Standing.FAILED_AT_ROAD_TEST:
            how = HowFailed.IN_WINDOW
        else:
            how = HowFailed.LATER
        if told or one.cost_minor:
            before = found[how]
            priced = before.priced + (one.cost_minor > 0)
            found[how] = Failures(before.count + 1, priced, before.minor + one.cost_minor)
    return found


def how_heard_slowly(desk: Desk, as_of: date, rule: WindowRule) -> tuple[int, int]:
    """Comebacks told unasked and found on asking, of vehicles past the window: every reflash for itself."""
    marks = [
        one.heard
        for one in _chosen_one_by_one(desk, as_of, rule, EVERYTHING)
        if one.standing is Standing.COMEBACK and not one.other_work
        if (as_of - one.reflashed_on).days >= rule.days
    ]
    return marks.count(HowHeard.UNASKED), marks.count(HowHeard.ASKED)


Heard = list[tuple[FollowUpResult, int, int | None, bool]]
Visit = tuple[date, RoadTest, Duplicated, int | None, int | None, Heard]


def visit(desk: Desk, said: Visit) -> None:
    day, road_test, before, gap, odometer, heard = said
    intake = a_concern(
        ro_number=f"7{day:%j}",
        vehicle=a_vehicle(make="Norvane"),
        usual_gap_days=gap,
        odometer=odometer,
        opened_on=day,
    )
    concern = concerns.open_concern(desk, intake).id
    module = ModuleResult("PCM", ReflashResult.COMPLETED, concern_ids=(concern,))
    programming.record_event(
        desk, ProgrammingEventDraft((module,), day, None, None, None, None, None, before)
    )
    programming.record_road_test(desk, concern, road_test)
    for result, after, miles, dated in heard:
        known = dated or result not in (FollowUpResult.CAME_BACK, FollowUpResult.OTHER_CAUSE)
        try:
            seen_on = day + timedelta(after)
            draft = FollowUpDraft(result, seen_on, miles, cost_minor=900, day_known=known)
            what_was_heard.record_follow_up(desk, concern, draft)
        except BadInput:
            assert seen_on > desk.today or miles


@settings(max_examples=40, suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow])
@given(
    told=st.lists(rows, max_size=8),
    worked=st.lists(visits, max_size=3),
    as_of=days,
    window=st.integers(1, 120),
    since=st.none() | days,
    make=st.sampled_from(["", "norvane"]),
    big=st.booleans(),
)
def test_what_the_database_counts_is_what_is_observed_one_by_one(
    sqlite_shop: RunningShop,
    monkeypatch: pytest.MonkeyPatch,
    told: list[dict[str, str]],
    worked: list[Visit],
    as_of: date,
    window: int,
    since: date | None,
    make: str,
    big: bool,
) -> None:
    """Every example adds to the shop, so that later ones have more of everything."""
    monkeypatch.setattr(counted, "EXACT_DAYS_TO", 0 if big else 20_000)
    take(sqlite_shop, "history", history(*told))
    with sqlite_shop.writing(TECH) as desk:
        for one in worked:
            visit(desk, one)
    chosen, rule = Selection(since=since, make=make), WindowRule(window)
    with sqlite_shop.reading(LEAD) as desk:
        fast = counted.count_chosen(desk, as_of, rule, chosen)
        expected, costs = slow(desk, as_of, rule, chosen)
        failed = how_failed_slowly(desk, as_of, rule, chosen)
    assert groups(fast.counts) == groups(expected)
    assert fast.costs.by_update == costs
    assert fast.costs.by_kind == failed

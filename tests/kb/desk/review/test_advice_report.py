from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from typing import Any

import pytest
from pydantic import TypeAdapter

from kb.advice.saved_against_habits import Costs
from kb.desk.bay.advice import advice
from kb.desk.bay.concern import closing, concerns
from kb.desk.bay.programming import programming
from kb.desk.context import RunningShop
from kb.desk.notes import notes
from kb.desk.review import advice_report
from kb.desk.shop_facts import ShopFacts
from kb.errors import NotAllowed
from kb.nouns.advice_inputs import CandidateInHand, CheckDefinition, CheckInHand, ConcernInHand
from kb.nouns.advice_settings import CostSettings, Guess
from kb.nouns.concerns import (
    Ending,
    FindingResult,
    ModuleResult,
    ProgrammingEventDraft,
    ReflashResult,
    RoadTest,
)
from kb.nouns.notes import Grade
from kb.nouns.people import Actor
from kb.outcomes.money.paired_saving import Saving
from kb.records.store.bay.decisions import FrozenDecision
from tests.factories import a_concern, an_update

TECH, OWNER = Actor(0, "tom", "tech"), Actor(0, "maria", "owner")
NOW = datetime(2026, 10, 31, 16, tzinfo=UTC)

# At 60 an hour a minute costs 1: reflash 100, diagnosis 300, rework 20, a check 10. What was checked before
# the first advice is sunk; one was done after it.
ROUND = CostSettings(
    labor_rate=60,
    reflash_minutes=100,
    diagnosis_minutes=300,
    road_test_failure_cost=20,
    comeback_cost=20,
    recovery_chance=0,
    module_lost_chance=0,
)


def frozen(verdict: str) -> FrozenDecision:
    guess = Guess(5, 4)
    before, done, left = (
        CheckDefinition(key, key, guess, guess, minutes=10) for key in ("before", "done", "left")
    )
    in_hand = ConcernInHand(
        concern_id=1,
        as_of=date(2026, 10, 31),
        candidates=(
            CandidateInHand(7, "NV-1", "first", "PCM", Grade.STRONG),
            CandidateInHand(8, "NV-2", "second", "PCM", Grade.WEAK),
        ),
        checks=(
            CheckInHand(before, (7,), FindingResult.YES, recorded_at=NOW - timedelta(hours=1)),
            CheckInHand(done, (7,), FindingResult.NO, recorded_at=NOW + timedelta(hours=1)),
            CheckInHand(left, (7,)),
        ),
        costs=ROUND,
    )
    inputs: dict[str, Any] = {"concern": TypeAdapter(ConcernInHand).dump_python(in_hand, mode="json")}
    return FrozenDecision(1, 1, NOW, verdict, {"candidates": [{"note": 7, "chance": 0.5}]}, inputs)


@pytest.mark.parametrize(
    ("verdict", "cured_by", "expected"),
    [
        ("reflash", 7, Costs(10 + 100, 100, 300 + 100)),
        ("keep_diagnosing", 7, Costs(10 + 400, 100, 400)),
        ("reflash", None, Costs(10 + 420, 100 + 20 + 300, 300)),
        ("keep_diagnosing", None, Costs(10 + 300, 420, 300)),
        ("reflash", 8, Costs(10 + 520, 100 + 20 + 300 + 100, 300 + 100)),
        ("check_first", 7, None),
    ],
)
def test_what_a_concern_costs_when_its_answer_is_known(
    verdict: str, cured_by: int | None, expected: Costs | None
) -> None:
    assert advice_report._costs([frozen(verdict)], cured_by, {7: 7, 8: 8}) == expected


def test_a_shop_without_decisions_has_a_report_without_sentences(shop: RunningShop) -> None:
    with shop.reading(OWNER) as desk:
        report = advice_report.advice_report(desk)
    assert (report.chances.n, report.chances.brier, report.sentences) == (0, None, ())
    assert report.against_reflash_first.concerns == 0


def test_technicians_are_not_shown_the_owners_report(sqlite_shop: RunningShop) -> None:
    with sqlite_shop.reading(TECH) as desk, pytest.raises(NotAllowed):
        advice_report.advice_report(desk)


def test_only_advice_from_before_the_answer_counts(shop: RunningShop, clock: Any) -> None:
    """One forecast p of a concern that was not cured: the Brier score is p squared."""
    with shop.writing(OWNER) as desk:
        update = notes.write_note(desk, an_update())
    with shop.writing(TECH) as desk:
        advised_on = desk.today
        concern = concerns.open_concern(desk, a_concern()).id
        chance = advice.give_advice(desk, concern).candidates[0].chance
        advice.decide(desk, concern, "reflash", "customer insists")
    clock.move(hours=1)
    module = ModuleResult("PCM", ReflashResult.COMPLETED, update.id, "NV10A", "NV10B", concern_ids=(concern,))
    event = ProgrammingEventDraft((module,), clock.now.date(), road_test=RoadTest.STILL_THERE)
    with shop.writing(TECH) as desk:
        programming.record_event(desk, event)
    clock.move(hours=1)
    with shop.writing(TECH) as desk:
        advice.decide(desk, concern, "keep_diagnosing", "it did not cure it")
        closing.close_concern(desk, concern, Ending.OTHER_CAUSE, other_cause="cracked hose")
    with shop.reading(OWNER) as desk:
        too_early = advice_report.advice_report(desk)
    assert too_early.chances.n == 0
    assert too_early.first_on is None
    clock.move(days=91)
    with shop.reading(OWNER) as desk:
        report = advice_report.advice_report(desk)
    assert report.chances.n == 1
    assert (report.first_on, report.last_on) == (advised_on, advised_on)
    assert report.as_of == advised_on + timedelta(days=91)
    assert report.chances.brier == pytest.approx(chance**2)
    assert report.chances.cannot_tell_yet


def test_what_was_saved_is_the_plain_sum_of_the_concerns_that_it_names(
    shop: RunningShop, clock: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Three reflashed alike at costs of 10, against 30 and 15: two not cured at road test, one silent since,
    of which the sum says nothing.
    """
    with shop.writing(OWNER) as desk:
        update = notes.write_note(desk, an_update())
        for number in ("1", "2", "3"):
            concern = concerns.open_concern(desk, a_concern(ro_number=number)).id
            advice.decide(desk, concern, "reflash", "customer insists")
    clock.move(hours=1)
    with shop.writing(TECH) as desk:
        for concern, test in ((1, RoadTest.STILL_THERE), (2, RoadTest.STILL_THERE), (3, RoadTest.GONE)):
            module = ModuleResult("PCM", ReflashResult.COMPLETED, update.id, concern_ids=(concern,))
            programming.record_event(desk, ProgrammingEventDraft((module,), desk.today, road_test=test))
    clock.move(days=95)
    monkeypatch.setattr(advice_report, "_costs", lambda *_: Costs(10, 30, 15))
    with shop.reading(OWNER) as desk:
        report = advice_report.advice_report(desk)
    told = report.against_reflash_first, report.against_diagnose_first
    assert [(one.concerns, one.saved) for one in told] == [(2, 2 * 20), (2, 2 * 5)]


@pytest.mark.parametrize(
    ("saving", "said"),
    [
        (
            Saving(43, 2295.3, (-149.2, 4750.9)),
            (
                "may have saved $2,295 against a habit on 43 concerns; this cannot be told from nothing "
                "(90% interval −$149 to $4,751)."
            ),
        ),
        (
            Saving(43, 2295.3, (12.0, 4750.9)),
            "saved $2,295 against a habit on 43 concerns (90% interval $12 to $4,751).",
        ),
        (
            Saving(43, -8044.6, (-9430.2, -6580.0)),
            "cost $8,045 against a habit on 43 concerns (90% interval $6,580 to $9,430).",
        ),
        (
            Saving(43, -500.0, (-1100.0, 100.0)),
            (
                "may have cost $500 against a habit on 43 concerns; this cannot be told from nothing "
                "(90% interval −$100 to $1,100)."
            ),
        ),
    ],
)
def test_money_is_told_as_saved_or_cost_and_as_open_where_the_interval_holds_zero(
    saving: Saving, said: str
) -> None:
    assert advice_report._saved_or_cost(saving, "a habit", "$") == f"The advice {said}"


def test_the_days_are_those_of_the_shops_own_calendar() -> None:
    """03:30 UTC is still the evening before in New York (UTC-4 in October)."""
    shop = ShopFacts(1, "", "America/New_York", "USD", is_demo=False)
    moments = [NOW, datetime(2026, 10, 3, 3, 30, tzinfo=UTC)]
    days = advice_report._first_and_last(moments, shop)
    assert days == (date(2026, 10, 2), date(2026, 10, 31))
    assert advice_report._first_and_last([], shop) == (None, None)

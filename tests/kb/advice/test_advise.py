"""What the tool says: its order of precedence, its honesty about guesses, and that it can be replayed."""

from __future__ import annotations

import json
import math
from dataclasses import asdict, replace
from datetime import date, timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kb.advice.advise import advise
from kb.advice.chances.chances import chances
from kb.advice.chances.learn import Learned, learn
from kb.advice.planning.problem_of_concern import decide
from kb.advice.planning.states import joint_chances
from kb.nouns.advice import (
    Advice,
    AdviceSettings,
    CalibrationStatus,
    CandidateInHand,
    CheckInHand,
    ConcernInHand,
    CostSettings,
    InWindow,
    NearNote,
    StopInHand,
    StopKind,
    Verdict,
)
from kb.nouns.concerns import FindingResult
from kb.nouns.notes import Grade
from tests.kb.advice.makers import TODAY, candidate, check, finding, in_hand, past

SETTINGS = AdviceSettings(plan_checks=6, zone_checks=4, draws=200)
CHECKS = (check("leak"), check("drive", 8.0, 4.0, minutes=20.0), check("fluid", 1.0, 4.0, cost=5.0))
NOTHING = learn((), CHECKS, SETTINGS)
HISTORY = learn(
    [
        past(
            i,
            (1 if i % 3 else None),
            (finding("leak", FindingResult.NO if i % 3 else FindingResult.YES),),
            updates=(1, 2),
        )
        for i in range(30)
    ]
    + [past(40, None, updates=(2,), answer_known=False, in_window=(InWindow(2, 20, 20),))],
    CHECKS,
    SETTINGS,
    revision=4,
)
FRESH, STALE = TODAY - timedelta(days=90), TODAY - timedelta(days=91)

candidates = st.builds(
    candidate,
    st.just(1),
    grade=st.sampled_from(list(Grade)),
    status=st.sampled_from(list(CalibrationStatus)),
    looked_up_on=st.sampled_from([None, FRESH, STALE, TODAY]),
    reflash_minutes=st.sampled_from([None, 0.0, 30.0, 200.0]),
)
results = st.sampled_from(list(FindingResult))
stops = st.lists(st.builds(StopInHand, st.sampled_from(list(StopKind))), max_size=2).map(tuple)
money = st.builds(
    CostSettings,
    labor_rate=st.sampled_from([0.0, 90.0, 180.0]),
    diagnosis_minutes=st.sampled_from([0.0, 60.0, 400.0]),
    comeback_cost=st.sampled_from([0.0, 500.0]),
    subscription_fee=st.sampled_from([0.0, 60.0]),
)
learnings = st.sampled_from([NOTHING, HISTORY])


@st.composite
def concerns(draw: st.DrawFn) -> ConcernInHand:
    found = [
        replace(draw(candidates), note_id=note_id, number=f"PB-{note_id}")
        for note_id in range(1, draw(st.integers(1, 3)) + 1)
    ]
    attached = st.sets(st.integers(1, 3)).map(lambda s: tuple(sorted(s)))
    checks = tuple(CheckInHand(d, draw(attached), draw(results), draw(st.booleans())) for d in CHECKS)
    return in_hand(tuple(found), checks, stops=draw(stops), costs=draw(money))


QUICK = settings(max_examples=80)


@QUICK
@given(concerns(), learnings)
def test_pushes_add_up_chances_share_one_and_all_of_it_is_plain_json(
    concern: ConcernInHand, learned: Learned
) -> None:
    said = advise(concern, learned, SETTINGS)
    for told in said.candidates:
        total = sum(e.log_odds for e in told.evidence)
        assert math.log(told.alone / (1 - told.alone)) == pytest.approx(total, abs=1e-9)
        assert 0 <= told.interval[0] <= told.interval[1] <= 1
        assert told.zones.low <= told.zones.high
    assert sum(c.chance for c in said.candidates) + said.something_else == pytest.approx(1.0)
    again = json.loads(json.dumps(asdict(said), allow_nan=False))
    assert again["verdict"] in ("reflash", "keep_diagnosing", "check_first")


@QUICK
@given(concerns(), learnings)
def test_the_same_inputs_give_the_same_advice(concern: ConcernInHand, learned: Learned) -> None:
    assert advise(concern, learned, SETTINGS) == advise(concern, learned, SETTINGS)


@QUICK
@given(concerns(), learnings)
def test_an_open_stop_is_never_outvoted(concern: ConcernInHand, learned: Learned) -> None:
    said = advise(concern, learned, SETTINGS)
    if concern.stops:
        assert said.verdict is Verdict.CHECK_FIRST
        assert said.stops
        assert said.steps[0].text == said.stops[0].action


@QUICK
@given(concerns(), learnings)
def test_the_newest_calibration_is_never_advised_to_be_reflashed(
    concern: ConcernInHand, learned: Learned
) -> None:
    newest = tuple(replace(c, status=CalibrationStatus.NEWEST) for c in concern.candidates)
    said = advise(replace(concern, candidates=newest, stops=()), learned, SETTINGS)
    assert said.verdict is not Verdict.REFLASH
    if all(c.looked_up_on in (FRESH, TODAY) for c in newest):
        assert said.verdict is Verdict.KEEP_DIAGNOSING
        assert said.candidates == ()


@QUICK
@given(concerns(), learnings)
def test_no_reflash_is_advised_before_the_calibration_is_read_and_looked_up(
    concern: ConcernInHand, learned: Learned
) -> None:
    said = advise(replace(concern, stops=()), learned, SETTINGS)
    left = [c for c in concern.candidates if not (c.status is CalibrationStatus.NEWEST and is_fresh(c))]
    if any(c.status is CalibrationStatus.NOT_READ for c in left):
        assert said.verdict is Verdict.CHECK_FIRST
        assert said.steps[0].text.startswith("Read the calibration ID")
    elif any(not is_fresh(c) for c in left):
        assert said.verdict is Verdict.CHECK_FIRST
        assert "Look up the newest calibration" in said.steps[0].text
        assert "subscription" in said.steps[0].text


def is_fresh(told: CandidateInHand) -> bool:
    return told.looked_up_on in (FRESH, TODAY)


def plain(learned: Learned = NOTHING, **more: object) -> Advice:
    checks = tuple(CheckInHand(d, (1,)) for d in CHECKS)
    return advise(in_hand((candidate(),), checks, **more), learned, SETTINGS)


def test_a_lifted_stop_needs_a_name_and_a_reason_and_stays_visible() -> None:
    half = StopInHand(StopKind.BATTERY, lifted_by="Ana")
    assert plain(stops=(half,)).stops
    whole = replace(half, lifted_because="battery replaced, tested 12.6 V")
    said = plain(stops=(whole,))
    assert said.stops == ()
    assert any("Ana" in n and "battery replaced" in n for n in said.notices)


def test_without_outcomes_it_says_guesses_and_with_outcomes_it_does_not() -> None:
    assert "these are guesses" in plain().sentence
    assert plain().is_guess
    assert all(e.is_guess for e in plain().candidates[0].evidence)
    assert "guesses" not in plain(HISTORY).sentence
    assert not plain(HISTORY).is_guess


def test_the_sentence_reads_as_people_of_the_shop_say_it() -> None:
    told = plain(HISTORY).candidates[0]
    tenths, low, high = (int(10 * x + 0.5) for x in (told.chance, *told.interval))
    edge = int(10 * told.zones.high + 0.5)
    assert told.chance > told.zones.high
    assert told.sentence == (
        f"About {tenths} in 10 ({low} to {high} of 10) that this update cures it; reflash from {edge} in 10."
    )


def test_no_candidate_at_all_means_going_on_with_the_diagnosis() -> None:
    said = advise(in_hand(()), NOTHING, SETTINGS)
    assert said.verdict is Verdict.KEEP_DIAGNOSING
    assert said.sentence == "Keep diagnosing: nothing on file is about this."


def test_another_note_about_it_is_named_where_no_update_is() -> None:
    near = (NearNote(7, "", "Torn mount", about=True), NearNote(8, "ZQ-8", "Clunk"))
    said = advise(replace(in_hand(()), near=near), NOTHING, SETTINGS)
    assert said.sentence == "Keep diagnosing: no update on file is about this; read Torn mount."
    assert said.near == near


def test_a_calibration_not_on_file_is_said_and_does_not_stop_the_plan() -> None:
    strange, other = (
        candidate(n, status=CalibrationStatus.NOT_ON_FILE, calibration_id="ZQ-77") for n in (1, 2)
    )
    said = advise(in_hand((strange, other)), NOTHING, SETTINGS)
    assert len([n for n in said.notices if "ZQ-77" in n and "not on file" in n]) == 1
    assert said.steps[0].do != "settle"


def test_a_finding_moves_the_chance_its_own_way() -> None:
    def with_leak(result: FindingResult) -> float:
        checks = (CheckInHand(CHECKS[0], (1,), result),)
        return advise(in_hand((candidate(),), checks), NOTHING, SETTINGS).candidates[0].chance

    unset = with_leak(FindingResult.NOT_DONE)
    assert with_leak(FindingResult.YES) < unset < with_leak(FindingResult.NO)
    assert with_leak(FindingResult.INCONCLUSIVE) == unset


def test_the_same_complaint_told_twice_counts_once() -> None:
    """Two checks of one group, both yes: only the stronger pushes, the other says why not."""
    pair = (check("leak", 1.0, 6.0, group="air"), check("trim", 2.0, 5.0, group="air"))
    learned = learn((), pair, SETTINGS)
    checks = tuple(CheckInHand(d, (1,), FindingResult.YES) for d in pair)
    told = {
        e.key: e for e in advise(in_hand((candidate(),), checks), learned, SETTINGS).candidates[0].evidence
    }
    assert told["leak"].log_odds < 0
    assert told["trim"].log_odds == 0
    assert "Leak" in told["trim"].remark


def test_a_check_answered_already_or_told_by_its_group_is_not_offered() -> None:
    pair = (check("leak", 1.0, 6.0, group="air"), check("trim", 1.0, 6.0, group="air"))
    learned = learn((), pair, SETTINGS)
    done = (CheckInHand(pair[0], (1,), FindingResult.NO), CheckInHand(pair[1], (1,)))
    told = (CheckInHand(pair[0], (1,), answered_already=True),)
    for checks in (done, told):
        said = advise(in_hand((candidate(),), checks), learned, SETTINGS)
        assert all(step.do != "check" for step in said.steps)


def test_a_surprising_outcome_does_not_overturn_a_long_record() -> None:
    """20 cured of 24, then one more that was not: the chance falls, by less than one part in 20."""
    before = [past(i, 1 if i < 20 else None) for i in range(24)]
    chance = [
        advise(in_hand((candidate(),)), learn(c, (), SETTINGS), SETTINGS).candidates[0].starting
        for c in (before, [*before, past(99, None)])
    ]
    assert chance[1] < chance[0] < chance[1] + 0.05


def test_who_pays_adds_up_to_the_whole_cost() -> None:
    costs = plain(HISTORY).costs
    assert costs is not None
    for line in (costs.plan, costs.reflash_now, costs.diagnose_first, *costs.parts):
        assert line.customer + line.shop == pytest.approx(line.total)
    assert costs.plan.total <= 1.01 * min(costs.reflash_now.total, costs.diagnose_first.total)


def test_all_costs_to_the_customer_when_the_shop_bears_nothing() -> None:
    shares = dict.fromkeys(("customer_rework", "customer_failed_programming"), 1.0)
    costs = plain(costs=CostSettings(**shares)).costs
    assert costs is not None
    assert costs.plan.shop == pytest.approx(0.0, abs=1e-9)


def test_a_step_beyond_what_was_authorized_needs_an_ok() -> None:
    asked = [step.needs_ok for step in plain(authorized=1.0).steps if step.do != "settle"]
    assert all(asked)
    assert not any(step.needs_ok for step in plain(authorized=10_000.0).steps)
    assert not any(step.needs_ok for step in plain().steps)


def test_an_active_subscription_costs_nothing_more() -> None:
    fee, active = (
        CostSettings(subscription_fee=60.0),
        CostSettings(subscription_fee=60.0, subscription_active=True),
    )
    dear, cheap = (advise(in_hand((candidate(),), costs=c), NOTHING, SETTINGS) for c in (fee, active))
    assert dear.candidates[0].threshold > cheap.candidates[0].threshold
    assert dear.costs is not None
    assert cheap.costs is not None
    assert dear.costs.reflash_now.total == pytest.approx(cheap.costs.reflash_now.total + 60.0)


def test_only_the_named_date_decides_what_is_stale() -> None:
    old = candidate(looked_up_on=date(2026, 8, 1))
    concern = in_hand((old,))
    assert advise(concern, NOTHING, SETTINGS).steps[0].do == "settle"
    earlier = replace(concern, as_of=date(2026, 8, 20))
    assert advise(earlier, NOTHING, SETTINGS).steps[0].do != "settle"


@settings(max_examples=40)
@given(st.sets(st.integers(1, 3), min_size=1), st.sampled_from([FindingResult.YES, FindingResult.NO]))
def test_the_plan_expects_the_chances_that_the_next_advice_will_give(
    attached: set[int], result: FindingResult
) -> None:
    """Undone checks are tempered like done ones; a check pushes only the updates it is attached to."""
    candidates = tuple(candidate(n, grade=g) for n, g in zip((1, 2, 3), Grade, strict=True))
    undone = CheckInHand(CHECKS[0], tuple(sorted(attached)))
    before = in_hand(candidates, (undone,))
    found = chances(before, candidates, HISTORY, SETTINGS)
    problem = decide(before, candidates, found, HISTORY, SETTINGS).problem
    branch = joint_chances(problem)[:, 1 if result is FindingResult.YES else 2]
    after = advise(in_hand(candidates, (replace(undone, result=result),)), HISTORY, SETTINGS)
    told = [c.chance for c in after.candidates]
    assert told == pytest.approx(list(branch[:-1] / branch.sum()))


def test_the_update_that_the_plan_begins_with_is_the_one_spoken_of() -> None:
    """Of two as likely the cheap one goes first: the dear one's chance must not stand beside it."""
    two = (candidate(1, other_cost=100.0), candidate(2))
    said = advise(in_hand(two, costs=CostSettings(diagnosis_minutes=200.0)), NOTHING, SETTINGS)
    dear, cheap = said.candidates
    assert dear.chance == pytest.approx(cheap.chance)
    assert said.plan is not None
    assert (said.plan.do, said.plan.key) == ("reflash", "2")
    assert said.lead == cheap

"""Which checks decide, and what counts as a guess do to a verdict; money and chances by hand."""

from __future__ import annotations

import pytest

from kb.advice.advise import advise
from kb.advice.chances.learn import learn
from kb.advice.checks.counts_used import CountsAsGuess, belief_with, counts_as_guess, few_said
from kb.advice.checks.deciding import Case, OnCase, first_step, most_to_save, on_case, tally
from kb.advice.planning.problem import PlanUpdate, Problem
from kb.nouns.advice import AdviceSettings, CheckInHand, EvidenceCounts, Verdict
from kb.nouns.concerns import FindingResult
from tests.kb.advice.makers import candidate, check, in_hand

SETTINGS = AdviceSettings(plan_checks=6, zone_checks=4, draws=200)
STRONG, USELESS, DEAR = check("strong", 0.5, 9.5), check("useless", 5, 5), check("dear", 1, 9, cost=5_000.0)


def case(*checks: CheckInHand) -> Case:
    definitions = [one.definition for one in checks]
    return Case(in_hand((candidate(1),), checks), learn((), definitions, SETTINGS), SETTINGS)


def test_most_to_save_is_the_best_plan_without_checks_less_what_a_seer_would_pay() -> None:
    # by hand: p .5, reflash 100, diagnosis 300, rework 20: reflash first 100 + .5 (300 + 20) = 260, diagnose
    # first 300 + .5 * 100 = 350; who knows the cause pays .5 * 100 + .5 * 300 = 200
    assert most_to_save(Problem((PlanUpdate("u", 0.5, 100),), (), 300, 20)) == pytest.approx(60)
    # with a fee of 40 at the first reflash: 140 + .5 * 320 = 300 against 350 + .5 * 40; a seer pays 220
    assert most_to_save(Problem((PlanUpdate("u", 0.5, 100),), (), 300, 20, 40, 40)) == pytest.approx(80)


def test_a_strong_check_is_asked_a_useless_one_is_not_and_a_dear_one_cannot_be() -> None:
    found = on_case(case(*(CheckInHand(one, (1,)) for one in (STRONG, USELESS, DEAR))))
    assert found.offered == {"strong", "useless", "dear"}
    assert found.asked == {"strong"}
    assert found.too_dear == {"dear"}
    assert found.done == frozenset()


def test_a_check_that_was_done_decides_where_its_result_the_other_way_round_leads_elsewhere() -> None:
    done = (
        CheckInHand(STRONG, (1,), FindingResult.YES),
        CheckInHand(USELESS, (1,), FindingResult.NO),
        CheckInHand(check("elsewhere", 1, 9), (), FindingResult.YES),
    )
    found = on_case(case(*done))
    assert found.done == {"strong", "useless"}
    assert found.turning == {"strong"}
    # the twin: whole advice with each result turned round
    for key, result in (("strong", FindingResult.NO), ("useless", FindingResult.YES)):
        turned = case(*done).finding(key, result)
        plans = [advise(one.concern, one.learned, one.settings).plan for one in (case(*done), turned)]
        assert None not in plans
        begins = [(plan.do, plan.key) for plan in plans if plan is not None]
        assert (begins[0] != begins[1]) == (key in found.turning)


def test_without_an_update_no_check_decides() -> None:
    none = Case(in_hand((), (CheckInHand(STRONG, ()),)), learn((), [STRONG], SETTINGS), SETTINGS)
    assert on_case(none) == OnCase()
    assert first_step(none) == (Verdict.KEEP_DIAGNOSING, "")


@pytest.mark.parametrize(
    ("cases", "said"),
    [
        ([OnCase(offered=frozenset("a"))] * 9, "cannot tell yet (9 concerns)"),
        ([OnCase(offered=frozenset("a"))] * 12, "never decided anything on the last 12 concerns"),
        (
            [OnCase(offered=frozenset("a"), too_dear=frozenset("a"))] * 12,
            "never decided anything on the last 12 concerns: it costs more than knowing the cause would save",
        ),
        (
            [OnCase(offered=frozenset("a"), asked=frozenset("a"))] * 3
            + [OnCase(done=frozenset("a"), turning=frozenset("a"))]
            + [OnCase(offered=frozenset("a"))] * 8,
            "the plan asked for it on 3 and its result turned the plan on 1 of the last 12 concerns",
        ),
        ([OnCase(offered=frozenset("b"))] * 12, "cannot tell yet (0 concerns)"),
    ],
)
def test_it_is_said_on_how_many_concerns_it_rests(cases: list[OnCase], said: str) -> None:
    (found,) = tally(cases, ["a"])
    assert found.said == said


def test_counts_become_a_guess_of_one_vehicle_once_there_are_enough_of_both_sides_and_results() -> None:
    counts = EvidenceCounts(yes_if_cured=2, cured=19, yes_if_not=24, not_cured=31)
    guess = counts_as_guess(counts)
    # 10 * 2.5 / 20 = 1.25, which is said as 1.2; 10 * 24.5 / 32 = 7.66
    assert guess == CountsAsGuess(1.2, 7.7, 1.0)
    belief = belief_with(STRONG, guess, counts)
    # the mean of Beta(w (k + .5) / 11 + yes, w (10.5 - k) / 11 + no) with w = 1
    assert belief.yes_if_cured.mean == pytest.approx((1.7 / 11 + 2) / 20)
    assert belief.yes_if_not.mean == pytest.approx((8.2 / 11 + 24) / 32)
    assert counts_as_guess(EvidenceCounts(2, 9, 24, 31)) is None
    assert "9 cured and 31 not cured" in few_said(EvidenceCounts(2, 9, 24, 31))
    assert few_said(EvidenceCounts(0, 74, 2, 163)).startswith(
        "Cannot tell yet: of 237 that counted 2 said yes"
    )

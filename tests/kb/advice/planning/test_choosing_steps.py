"""Which checks are weighed and which step is taken, and what steps cost."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.stats import entropy

from kb.advice.advise import advise
from kb.advice.chances.learn import learn
from kb.advice.planning import costs
from kb.advice.planning.choosing_steps import best_first, information, next_step, step_now
from kb.advice.planning.plan import solve
from kb.advice.planning.problem import PlanCheck, PlanUpdate, Problem
from kb.nouns.advice import AdviceSettings, CheckInHand, CostSettings, Verdict
from tests.kb.advice.makers import candidate, check, in_hand

UPDATE = PlanUpdate("u", 0.4, 150.0)


def twins(dearer: float, counts: tuple[float, float] = (30.0, 2.0)) -> Problem:
    """Two checks that tell the same; the second costs a little more and was counted less often."""
    known = PlanCheck("known", (0.9, 0.2), 20.0, counts=counts[0])
    fresh = PlanCheck("fresh", (0.9, 0.2), 20.0 + dearer, counts=counts[1])
    return Problem((UPDATE,), (known, fresh), 375.0, 150.0)


def test_among_plans_within_one_percent_the_least_counted_check_is_taken() -> None:
    assert next_step(solve(twins(1.0))) == 2
    assert next_step(solve(twins(1.0, (2.0, 30.0)))) == 1
    assert next_step(solve(twins(15.0))) == 1


def test_among_plans_within_one_percent_the_quicker_check_comes_before_the_less_counted() -> None:
    """A soak of a night tells the same for a dollar less: the one that takes 20 minutes is asked."""
    known, fresh = twins(1.0).checks
    soak, quick = replace(known, minutes=604.0), replace(fresh, minutes=20.0, counts=99.0)
    both = replace(twins(1.0), checks=(soak, quick))
    assert next_step(solve(both)) == 2
    assert next_step(solve(both), quickest=False) == 1
    assert solve(both).first_step == 1


def test_a_check_whose_results_lead_to_the_same_step_is_not_asked() -> None:
    """It tells next to nothing and only saves 30 of a later diagnosis for 20: the diagnosis comes first."""
    idle = PlanCheck("idle", (0.5, 0.52), 20.0, saved=30.0)
    unlikely = Problem((replace(UPDATE, chance=0.05),), (idle,), 375.0, 150.0)
    assert solve(unlikely).first_step == 1
    assert next_step(solve(unlikely)) == -1
    telling = replace(unlikely, updates=(replace(UPDATE, chance=0.4),), checks=(idle, *twins(0.0).checks[:1]))
    assert next_step(solve(telling)) == 2


def test_the_preference_never_turns_a_reflash_into_a_check() -> None:
    likely = replace(twins(0.0), updates=(replace(UPDATE, chance=0.97),))
    assert next_step(solve(likely)) == 0


def test_a_check_that_a_clock_holds_back_gives_way_to_one_that_is_worth_doing_now() -> None:
    """Worked by hand: an idle check saves nothing, so with both telling ones held back it is waited for."""
    idle = PlanCheck("idle", (0.5, 0.5), 20.0, key="idle")
    known, fresh = (replace(one, key=one.name) for one in twins(15.0).checks)
    three = solve(replace(twins(15.0), checks=(known, fresh, idle)))
    assert [step_now(three, one) for one in ((), ("known",), ("fresh",))] == [1, 2, 1]
    assert step_now(three, ("known", "fresh")) == 1
    likely = solve(replace(twins(0.0), updates=(replace(UPDATE, chance=0.97),)))
    assert step_now(likely, ("known", "fresh")) == 0


def test_what_no_other_check_can_stand_for_is_waited_for_and_says_until_when() -> None:
    road, oil = check("road", 0.5, 9.0, minutes=5.0), check("oil", 2.0, 6.0, minutes=5.0)
    shop = AdviceSettings(draws=20, quickest_first=True)
    held = CheckInHand(road, (1,), not_before="7:40 AM: cold soak")

    def first(*checks: CheckInHand) -> tuple[str, str]:
        said = advise(in_hand((candidate(),), checks), learn((), (road, oil), shop), shop)
        assert said.verdict is Verdict.CHECK_FIRST
        return said.steps[0].text, said.steps[0].key

    assert first(replace(held, not_before=""), CheckInHand(oil, (1,)))[1] == "road"
    assert first(held, CheckInHand(oil, (1,)))[1] == "oil"
    text, key = first(held)
    assert key == "wait"
    assert "Wait until 7:40 AM: cold soak, then" in text


@settings(max_examples=100)
@given(st.floats(0.01, 0.99), st.floats(0.01, 0.99), st.floats(0.01, 0.99))
def test_information_is_the_mutual_information_of_result_and_cause(p: float, up: float, down: float) -> None:
    """scipy.stats.entropy: H(cause) + H(result) - H(both), in nats."""
    both = [p * up, p * (1 - up), (1 - p) * down, (1 - p) * (1 - down)]
    apart = entropy([p, 1 - p]) + entropy([both[0] + both[2], both[1] + both[3]])
    problem = Problem((replace(UPDATE, chance=p),), (), 300.0, 20.0)
    found = information(problem, PlanCheck("c", (up, down), 10.0))
    assert found == pytest.approx(float(apart - entropy(both)), abs=1e-9)


@settings(max_examples=60)
@given(st.integers(0, 10_000))
def test_the_check_ranked_first_is_the_best_single_one(seed: int) -> None:
    """Its plan alone costs no more than that of any other check alone."""
    random = np.random.default_rng(seed)
    checks = [
        PlanCheck(str(i), (float(a), float(b)), float(c))
        for i, (a, b, c) in enumerate(random.uniform([0.05, 0.05, 5], [0.95, 0.95, 60], (5, 3)))
    ]
    problem = Problem((UPDATE,), (), 375.0, 100.0)
    alone = {c.name: solve(replace(problem, checks=(c,))).expected_cost for c in checks}
    assert alone[best_first(problem, checks)[0].name] == pytest.approx(min(alone.values()))


@pytest.mark.parametrize(("updates", "kept"), [(1, 12), (2, 11), (3, 10)])
def test_beyond_what_a_plan_can_weigh_checks_are_left_out_and_it_says_so(updates: int, kept: int) -> None:
    checks = tuple(check(f"c{i}", 2.0 + i / 10, 6.0) for i in range(14))
    notes = tuple(range(1, updates + 1))
    quick = AdviceSettings(zone_checks=3, draws=20)
    concern = in_hand(tuple(candidate(n) for n in notes), tuple(CheckInHand(c, notes) for c in checks))
    said = advise(concern, learn((), checks, quick), quick)
    assert said.plan_checks_left_out == 14 - kept
    assert any(f"{kept} most telling" in notice for notice in said.notices)


def test_a_reflash_costs_its_minutes_what_follows_it_and_the_risk_of_failed_programming() -> None:
    """Worked by hand: 90 min at 120 = 180, relearns 70; .005 x 800 + .03 x 60 min at 120 = 7.60."""
    shop = CostSettings(labor_rate=120.0, module_lost_chance=0.005, recovery_chance=0.03)
    line = costs.reflash(candidate(reflash_minutes=90.0, other_cost=70.0, module_price=800.0), shop)
    assert line.total == pytest.approx(257.60)
    assert (line.customer, line.shop) == pytest.approx((250.0, 7.60))


def test_rework_weighs_road_test_failures_against_comebacks() -> None:
    shop = CostSettings(road_test_failure_cost=40.0, comeback_cost=240.0, road_test_failure_share=0.25)
    assert costs.rework(shop).total == pytest.approx(0.25 * 40 + 0.75 * 240)


def test_waiting_is_not_work_and_has_a_price_that_the_shop_bears() -> None:
    """By hand: 4 min at 150 = 10, material 3; ten hours at 5 = 50."""
    soak = check("soak", minutes=4.0, wait_minutes=600.0, cost=3.0)
    assert costs.check(soak, CostSettings(labor_rate=150.0)).total == pytest.approx(13.0)
    line = costs.check(soak, CostSettings(labor_rate=150.0, waiting_rate=5.0))
    assert (line.total, line.customer, line.shop) == pytest.approx((63.0, 13.0, 50.0))


@pytest.mark.parametrize(("minutes", "stays"), [(240.0, True), (241.0, False)])
def test_a_vehicle_that_leaves_today_is_asked_nothing_that_waits_longer_than_four_hours(
    minutes: float, stays: bool
) -> None:
    soak = check("soak", 0.5, 9.0, wait_minutes=minutes)
    shop = AdviceSettings(draws=20, quickest_first=True)
    waits = in_hand((candidate(),), (CheckInHand(soak, (1,)),))
    said = [advise(one, learn((), (soak,), shop), shop) for one in (waits, replace(waits, leaves_today=True))]
    assert said[0].steps[0].key == "soak"
    assert (said[1].steps[0].key == "soak") is stays

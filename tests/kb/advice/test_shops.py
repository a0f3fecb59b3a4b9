"""The simulated shops and the yardstick that the advice is judged by."""

from __future__ import annotations

import numpy as np
import pytest

from demo_data.shops import CHECKS, open_case, open_shop, result_table, true_shares
from kb.advice.plan import DIAGNOSE, solve, solve_joint
from kb.advice.states import joint_chances
from tests.bench.policy import _joint, reflash_first, true_cost, truth

EVERY = tuple(range(CHECKS))


@pytest.mark.parametrize("copied", [0.0, 0.7])
def test_the_table_of_results_keeps_each_checks_own_chance(copied: float) -> None:
    shop = open_shop(np.random.default_rng(4), copied)
    table = result_table(shop)
    assert table.sum(axis=0) == pytest.approx([1.0, 1.0])
    for i in EVERY:
        yes = (np.arange(2**CHECKS) >> i) & 1
        assert (table * yes[:, None]).sum(axis=0) == pytest.approx(shop.yes[i])


def test_cases_come_as_often_as_the_true_chances_say() -> None:
    """4 standard errors of a binomial share."""
    shop, random = open_shop(np.random.default_rng(6)), np.random.default_rng(7)
    cases = [c for c in (open_case(shop, random) for _ in range(6000)) if len(c.updates) == 1]
    expected = np.mean([true_shares(shop, c.updates)[0] for c in cases])
    seen = np.mean([c.cause is not None for c in cases])
    assert seen == pytest.approx(expected, abs=4 * 0.5 / np.sqrt(len(cases)))


@pytest.mark.parametrize("copied", [0.0, 0.7])
def test_the_optimum_costs_what_the_yardstick_says_and_no_policy_costs_less(copied: float) -> None:
    random = np.random.default_rng(9)
    shop = open_shop(random, copied)
    for _ in range(5):
        real = truth(shop, open_case(shop, random))
        assert true_cost(real, real.step, EVERY) == pytest.approx(real.expected_cost)
        for habit in (reflash_first(real), lambda _code, _tried: DIAGNOSE):
            assert true_cost(real, habit, EVERY) >= real.expected_cost - 1e-9


def test_joint_chances_of_a_table_are_those_of_independent_findings_where_they_are() -> None:
    random = np.random.default_rng(11)
    shop = open_shop(random)
    problem = truth(shop, open_case(shop, random)).problem
    from_table = _joint(result_table(shop), np.array(problem.chances))
    assert from_table == pytest.approx(joint_chances(problem))
    assert solve_joint(problem, from_table).expected_cost == pytest.approx(solve(problem).expected_cost)

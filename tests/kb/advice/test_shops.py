"""The simulated shops and the yardstick that the advice is judged by."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest

from kb.advice.planning.plan import DIAGNOSE, solve, solve_joint
from kb.advice.planning.states import joint_chances
from tests.simulated.shops import (
    CHECKS,
    Shop,
    open_case,
    open_honest_shop,
    open_shop,
    result_table,
    true_shares,
)
from tests.simulated.yardstick import joint_of_table, reflash_first, true_cost, truth

World = Callable[[np.random.Generator], Shop]
WORLDS: tuple[World, ...] = (open_shop, lambda random: open_shop(random, 0.7), open_honest_shop)
EVERY = tuple(range(CHECKS))


@pytest.mark.parametrize("world", WORLDS)
def test_the_table_of_results_keeps_each_checks_own_chance(world: World) -> None:
    shop = world(np.random.default_rng(4))
    table = result_table(shop)
    assert table.sum(axis=1) == pytest.approx(np.ones((shop.kinds.size, 2)))
    for i in EVERY:
        yes = (np.arange(2**CHECKS) >> i) & 1
        assert (table * yes[:, None]).sum(axis=1) == pytest.approx(shop.yes[:, i])


@pytest.mark.parametrize("world", WORLDS)
def test_cases_come_as_often_as_the_true_chances_say(world: World) -> None:
    """4 standard errors of a binomial share."""
    shop, random = world(np.random.default_rng(6)), np.random.default_rng(7)
    cases = [c for c in (open_case(shop, random) for _ in range(6000)) if len(c.updates) == 1]
    expected = np.mean([true_shares(shop, c.updates)[:, 0].sum() for c in cases])
    seen = np.mean([c.cause is not None for c in cases])
    assert seen == pytest.approx(expected, abs=4 * 0.5 / np.sqrt(len(cases)))


@pytest.mark.parametrize("world", WORLDS)
def test_the_optimum_costs_what_the_yardstick_says_and_no_policy_costs_less(world: World) -> None:
    random = np.random.default_rng(9)
    shop = world(random)
    for _ in range(5):
        real = truth(shop, open_case(shop, random))
        assert true_cost(real, real.step, EVERY) == pytest.approx(real.expected_cost)
        for habit in (reflash_first(real), lambda _code, _tried: DIAGNOSE):
            assert true_cost(real, habit, EVERY) >= real.expected_cost - 1e-9


def test_joint_chances_of_a_table_are_those_of_independent_findings_where_they_are() -> None:
    random = np.random.default_rng(11)
    shop = open_shop(random)
    problem = truth(shop, open_case(shop, random)).problem
    from_table = joint_of_table(result_table(shop), np.array(problem.chances)[None])
    assert from_table == pytest.approx(joint_chances(problem))
    assert solve_joint(problem, from_table).expected_cost == pytest.approx(solve(problem).expected_cost)

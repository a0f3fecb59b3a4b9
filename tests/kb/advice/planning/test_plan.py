"""The plan against a slow obvious twin, against published rules, and against what must always hold."""

from __future__ import annotations

from itertools import permutations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kb.advice.planning.plan import DIAGNOSE, solve
from kb.advice.planning.plan_tree import cost_by_cause, tree
from kb.advice.planning.problem import PlanCheck, PlanUpdate, Problem
from kb.nouns.advice import PlanNode

QUICK = settings(max_examples=200)
chances = st.sampled_from([0.0, 0.02, 0.1, 0.35, 0.5, 0.8, 0.97, 1.0])
money = st.sampled_from([0.0, 1.0, 7.5, 40.0, 120.0, 300.0, 900.0])


@st.composite
def problems(draw: st.DrawFn, most_updates: int = 3, most_checks: int = 3) -> Problem:
    """Small problems with impossible causes, sure checks, free steps, a shared fee and savings."""
    count = draw(st.integers(1, most_updates))
    weights = draw(st.lists(chances, min_size=count + 1, max_size=count + 1).filter(lambda w: sum(w) > 0))
    updates = tuple(PlanUpdate(f"u{k}", weights[k] / sum(weights), draw(money)) for k in range(count))
    checks = tuple(
        PlanCheck(
            f"c{i}",
            tuple(draw(st.lists(chances, min_size=count + 1, max_size=count + 1))),
            draw(money),
            saved=draw(st.sampled_from([0.0, 0.0, 30.0])),
        )
        for i in range(draw(st.integers(0, most_checks)))
    )
    fee = draw(st.sampled_from([0.0, 35.0]))
    return Problem(updates, checks, draw(money), draw(money), fee, draw(st.sampled_from([0.0, fee])))


def slow_cost(problem: Problem, belief: list[float], done: frozenset[int], tried: frozenset[int]) -> float:
    """The twin: one posterior at a time, every step tried, no arrays."""
    left = max(0.0, problem.diagnosis - sum(problem.checks[i].saved for i in done))
    fee = 0.0 if tried else problem.shared_if_found
    open_updates = [k for k in range(len(problem.updates)) if k not in tried]
    best = left + sum(belief[k] * (problem.updates[k].cost + fee) for k in open_updates)
    for k in open_updates:
        cost = problem.updates[k].cost + (0.0 if tried else problem.shared)
        miss = 1.0 - belief[k]
        if miss > 1e-12:
            after = [0.0 if j == k else b / miss for j, b in enumerate(belief)]
            cost += miss * (problem.rework + slow_cost(problem, after, done, tried | {k}))
        best = min(best, cost)
    for i, check in enumerate(problem.checks):
        if i not in done:
            cost = check.cost
            for share in (check.yes, [1.0 - y for y in check.yes]):
                both = [b * s for b, s in zip(belief, share, strict=True)]
                if sum(both) > 1e-12:
                    after = [b / sum(both) for b in both]
                    cost += sum(both) * slow_cost(problem, after, done | {i}, tried)
            best = min(best, cost)
    return best


@QUICK
@given(problems())
def test_the_plan_costs_what_a_slow_recursion_over_every_step_costs(problem: Problem) -> None:
    slow = slow_cost(problem, list(problem.chances), frozenset(), frozenset())
    assert solve(problem).expected_cost == pytest.approx(slow, rel=1e-9, abs=1e-9)


@QUICK
@given(problems())
def test_following_the_tree_costs_what_the_plan_promises(problem: Problem) -> None:
    solution = solve(problem)
    promised = solution.expected_cost
    by_cause = cost_by_cause(solution)
    assert float(np.array(problem.chances) @ by_cause) == pytest.approx(promised, rel=1e-9, abs=1e-6)
    root = tree(solution)
    assert root is not None
    assert root.expected_cost == pytest.approx(promised, rel=1e-9, abs=1e-9)


def test_a_cheap_check_that_only_pays_with_a_second_one_is_still_asked() -> None:
    """The design's case against pruning once at the root: exact 295.24, pruned at the root 303.90."""
    checks = (PlanCheck("a", (0.9, 0.1), 1.0), PlanCheck("b", (0.98, 0.02), 16.0))
    problem = Problem((PlanUpdate("u", 0.05, 100.0),), checks, 300.0, 20.0)
    assert solve(problem).expected_cost == pytest.approx(295.24, abs=0.005)
    assert tree(solve(problem)).name == "a"  # type: ignore[union-attr]


def test_a_free_perfect_check_leaves_only_the_cost_of_the_right_remedy() -> None:
    """With one update: sum p_k c_k + p_0 c_d."""
    problem = Problem((PlanUpdate("u", 0.3, 90.0),), (PlanCheck("sure", (1.0, 0.0), 0.0),), 310.0, 45.0)
    assert solve(problem).expected_cost == pytest.approx(0.3 * 90.0 + 0.7 * 310.0)


def test_try_and_see_follows_chance_over_cost() -> None:
    """check_values 8.10: Heckerman, Breese & Rommelse 1995, order p/c; expected cost of repair 135."""
    chances_and_costs = ((0.5, 120.0), (0.1, 30.0), (0.4, 60.0))
    updates = tuple(PlanUpdate(n, p, c) for n, (p, c) in zip("ABC", chances_and_costs, strict=True))
    solution = solve(Problem(updates, (), 1e6, 0.0))
    assert solution.expected_cost == pytest.approx(135.0)
    assert reflash_order(tree(solution)) == ["C", "A", "B"]


def test_looking_one_by_one_costs_the_published_rules_best_order() -> None:
    """check_values 8.9 (Heckerman, Breese & Rommelse 1995): best order 150.5, of which repairs 84.5.

    The last part is found by diagnosis at the cost of looking at it.
    """
    parts = (("battery", 0.20, 5.0), ("reflash", 0.45, 40.0), ("sensor", 0.25, 60.0))
    solution = solve(Problem(tuple(PlanUpdate(*part) for part in parts), (), 80.0, 0.0))
    assert solution.expected_cost == pytest.approx(150.5 - 84.5)
    assert reflash_order(tree(solution)) == ["battery", "reflash", "sensor"]


def reflash_order(node: PlanNode | None) -> list[str]:
    names = []
    while node is not None and node.do == "reflash":
        names.append(node.name)
        node = node.then
    return names


@QUICK
@given(
    st.lists(st.tuples(st.floats(0.05, 0.3), st.floats(20.0, 300.0)), min_size=2, max_size=3),
    st.floats(0.0, 200.0),
)
def test_without_checks_updates_are_tried_by_chance_over_cost_and_rework(
    pairs: list[tuple[float, float]], rework: float
) -> None:
    """Order p/(c + r): every other order of trying all updates costs at least as much."""

    def cost_of(order: tuple[int, ...]) -> float:
        left, total = 1.0, 0.0
        for k in order:
            total += left * pairs[k][1] + (left - pairs[k][0]) * rework
            left -= pairs[k][0]
        return total + left * 5000.0

    updates = tuple(PlanUpdate(str(k), p, c) for k, (p, c) in enumerate(pairs))
    solution = solve(Problem(updates, (), 5000.0, rework))
    ranked = sorted(range(len(pairs)), key=lambda k: -pairs[k][0] / (pairs[k][1] + rework))
    orders = list(permutations(range(len(pairs))))
    assert min(cost_of(o) for o in orders) == pytest.approx(cost_of(tuple(ranked)))
    assert solution.expected_cost <= cost_of(tuple(ranked)) + 1e-6


def test_one_check_is_worth_what_preposterior_enumeration_says() -> None:
    """check_values 8.7 (Raiffa & Schlaifer 1961): over perfect foresight 105, 78 and 38.55 with the check."""
    update, test = PlanUpdate("u", 0.35, 120.0), PlanCheck("test", (0.85, 0.10), 15.0)
    foresight = 0.35 * 120.0 + 0.65 * 300.0
    plain = solve(Problem((update,), (), 300.0, 0.0)).values(0, 0)
    assert plain[0] - foresight == pytest.approx(105.0)
    assert plain[1] - foresight == pytest.approx(78.0)
    assert solve(Problem((update,), (test,), 300.0, 0.0)).expected_cost - foresight == pytest.approx(38.55)


def use_of(node: PlanNode | None, name: str) -> float:
    """Chance that the check of that name is done on the way through the plan."""
    if node is None or node.do == "diagnose":
        return 0.0
    if node.do == "reflash":
        return (1.0 - node.chance) * use_of(node.then, name)
    if node.name == name:
        return 1.0
    return node.chance * use_of(node.yes, name) + (1.0 - node.chance) * use_of(node.no, name)


@settings(max_examples=60)
@given(problems(most_checks=3), st.floats(0.0, 50.0), st.floats(0.5, 100.0))
def test_a_check_that_costs_more_is_never_used_more_often(problem: Problem, low: float, extra: float) -> None:
    """The optimal cost is concave in a check's cost; its slope is the chance that the check is used."""
    if not problem.checks:
        return
    used = []
    for cost in (low, low + extra):
        first = problem.checks[0]
        changed = PlanCheck(first.name, first.yes, cost, first.saved)
        with_cost = Problem(
            problem.updates,
            (changed, *problem.checks[1:]),
            problem.diagnosis,
            problem.rework,
            problem.shared,
            problem.shared_if_found,
        )
        used.append(use_of(tree(solve(with_cost)), first.name))
    assert used[1] <= used[0] + 1e-7


def test_ties_go_to_diagnosis_then_reflash_then_check() -> None:
    """Everything free: nothing is better than anything else."""
    update, idle = PlanUpdate("u", 0.5, 0.0), PlanCheck("idle", (0.5, 0.5), 0.0)
    assert solve(Problem((update,), (idle,), 0.0, 0.0)).first_step == DIAGNOSE
    sure = PlanUpdate("u", 1.0, 10.0)
    assert solve(Problem((sure,), (idle,), 300.0, 0.0)).first_step == 0


def test_an_impossible_branch_is_none() -> None:
    sure = Problem((PlanUpdate("u", 1.0, 10.0),), (), 300.0, 20.0)
    node = tree(solve(sure))
    assert node is not None
    assert node.do == "reflash"
    assert node.then is None

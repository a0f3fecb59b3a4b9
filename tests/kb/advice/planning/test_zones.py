"""Zones against published thresholds and against solving the plan at every chance."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kb.advice.planning.costs import reflash_threshold
from kb.advice.planning.plan import DIAGNOSE, solve
from kb.advice.planning.problem import PlanCheck, PlanUpdate, Problem
from kb.advice.planning.zones import chance_zones, diagnosis_range, with_chance


def one_update(chance: float, checks: tuple[PlanCheck, ...], rework: float = 0.0) -> Problem:
    return Problem((PlanUpdate("u", chance, 120.0),), checks, 300.0, rework)


def test_reflash_pays_above_the_treatment_threshold() -> None:
    """check_values 8.4 and 8.5 (Pauker & Kassirer 1975): C / (C + B)."""
    assert reflash_threshold(120.0, 0.0, 300.0) == pytest.approx(0.285714, abs=5e-7)
    assert reflash_threshold(0.1, 0.0, 0.3) == pytest.approx(0.25)
    zones = chance_zones(one_update(0.5, (), 30.0), 0)
    assert zones == pytest.approx((150 / 450, 150 / 450))


def test_one_check_gives_the_testing_and_test_treatment_thresholds() -> None:
    """check_values 8.6 (Pauker & Kassirer 1980): B 300, R 120, test 15, sensitivity .85, specificity .90."""
    test = PlanCheck("test", (0.85, 0.10), 15.0)
    assert chance_zones(one_update(0.5, (test,)), 0) == pytest.approx((0.101124, 0.607843), abs=5e-7)


checks = st.builds(
    lambda up, down, cost: PlanCheck("c", (up, down), cost),
    st.floats(0.05, 0.95),
    st.floats(0.05, 0.95),
    st.floats(0.5, 60.0),
)


@settings(max_examples=40)
@given(st.lists(checks, max_size=3).map(tuple), st.floats(0.0, 200.0))
def test_zones_are_where_the_first_step_changes(checks: tuple[PlanCheck, ...], rework: float) -> None:
    problem = one_update(0.4, checks, rework)
    low, high = chance_zones(problem, 0)
    assert low <= high
    for chance in np.linspace(0.01, 0.99, 50):
        if min(abs(chance - low), abs(chance - high)) < 1e-3:
            continue
        step = solve(with_chance(problem, 0, float(chance))).first_step
        kind = DIAGNOSE if chance < low else 0 if chance > high else 1
        assert min(step, 1) == kind


@settings(max_examples=40)
@given(st.lists(checks, max_size=3).map(tuple), st.floats(0.05, 0.95))
def test_the_verdict_holds_over_the_range_of_diagnosis_costs_and_not_beyond(
    checks: tuple[PlanCheck, ...], chance: float
) -> None:
    problem = one_update(chance, checks, 40.0)
    low, high = diagnosis_range(problem)

    def kind(cost: float) -> int:
        return min(solve(replace(problem, diagnosis=cost)).first_step, 1)

    here = kind(300.0)
    assert low - 1e-6 <= 300.0 <= (high if high is not None else np.inf) + 1e-6
    top = high if high is not None else 5000.0
    for share in (0.01, 0.5, 0.99):
        assert kind(low + share * (top - low)) == here
    if low > 1.0:
        assert kind(low * 0.99) != here
    if high is not None:
        assert kind(high * 1.01) != here


def test_other_updates_keep_their_proportions() -> None:
    updates = (PlanUpdate("a", 0.4, 100.0), PlanUpdate("b", 0.3, 100.0))
    moved = with_chance(Problem(updates, (), 300.0, 0.0), 0, 0.7)
    assert moved.chances == pytest.approx((0.7, 0.15, 0.15))


@settings(max_examples=30)
@given(
    st.lists(checks, max_size=2).map(tuple),
    st.floats(0.05, 0.6),
    st.floats(0.05, 0.35),
    st.floats(60.0, 250.0),
)
def test_with_two_updates_the_leading_one_is_reflashed_first_just_above_its_zone(
    checks: tuple[PlanCheck, ...], lead: float, other: float, cost: float
) -> None:
    both = tuple(PlanCheck("c", (c.yes[0], c.yes[1], c.yes[1]), c.cost) for c in checks)
    updates = (PlanUpdate("a", lead, 120.0), PlanUpdate("b", other, cost))
    problem = Problem(updates, both, 300.0, 60.0)
    low, high = chance_zones(problem, 0)
    for chance in (high + 0.002, (high + 1.0) / 2, 0.995):
        if high < chance < 1.0:
            assert solve(with_chance(problem, 0, chance)).first_step == 0
    if high - low > 0.004:
        assert solve(with_chance(problem, 0, high - 0.002)).first_step != 0
    if low > 0.004:
        assert solve(with_chance(problem, 0, low - 0.002)).first_step == DIAGNOSE

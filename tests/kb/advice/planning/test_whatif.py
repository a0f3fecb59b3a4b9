"""The arithmetic of made-up numbers: its shape, its limits, its errors."""

from __future__ import annotations

import json
from typing import Any

import pytest

from kb.advice.planning.whatif import what_if
from kb.errors import BadInput


def asked(**more: Any) -> dict[str, Any]:
    given = {
        "updates": [{"name": "u", "chance": 0.35, "cost": 120}],
        "diagnosis_cost": 300,
        "rework_cost": 0,
        "checks": [{"name": "test", "yes_if_cured": 0.85, "yes_if_not": 0.1, "cost": 15}],
    }
    return given | more


def test_the_answer_to_a_worked_example() -> None:
    """check_values 8.6 and 8.7: thresholds .101, .608; costs over perfect foresight 105, 78, 38.55."""
    told = what_if(asked())
    assert told["reflash_cost"] == pytest.approx(237 + 78)
    assert told["diagnose_cost"] == pytest.approx(237 + 105)
    assert told["expected_cost"] == pytest.approx(237 + 38.55)
    assert told["threshold"] == pytest.approx(0.285714, abs=5e-7)
    assert told["zones"] == pytest.approx([0.101124, 0.607843], abs=5e-7)
    plan = told["plan"]
    assert set(plan) == {"do", "name", "expected_cost", "yes", "no"}
    assert (plan["do"], plan["name"]) == ("check", "test")
    assert set(plan["yes"]) == {"do", "name", "expected_cost", "then"}
    assert plan["yes"]["do"] == "reflash"
    assert set(plan["no"]) == {"do", "expected_cost"}
    assert plan["no"]["do"] == "diagnose"
    json.dumps(told, allow_nan=False)


def test_certain_and_impossible_updates() -> None:
    sure = what_if(asked(updates=[{"name": "u", "chance": 1, "cost": 120}]))
    assert sure["plan"] == {"do": "reflash", "name": "u", "expected_cost": 120, "then": None}
    never = what_if(asked(updates=[{"name": "u", "chance": 0, "cost": 120}]))
    assert never["plan"] == {"do": "diagnose", "expected_cost": 300}


def test_chances_that_sum_to_one_leave_nothing_else() -> None:
    updates = [{"name": n, "chance": c, "cost": 50} for n, c in (("a", 0.7), ("b", 0.2), ("c", 0.1))]
    plan = what_if(asked(updates=updates, checks=[], diagnosis_cost=5000))["plan"]
    assert plan["then"]["then"]["then"] is None


def test_a_check_may_speak_for_one_update_only() -> None:
    """Under the other update its yes_if_not applies, so a result moves odds between the two."""
    updates = [{"name": n, "chance": 0.3, "cost": 100} for n in ("a", "b")]
    only_a = [{"name": "t", "yes_if_cured": {"a": 0.95}, "yes_if_not": 0.05, "cost": 1}]
    plan = what_if(asked(updates=updates, checks=only_a, rework_cost=100))["plan"]
    assert plan["yes"]["name"] == "a"
    assert plan["no"].get("name") != "a"


def test_a_check_that_saves_diagnosis_lowers_it_once_done_and_never_below_zero() -> None:
    idle = {"name": "t", "yes_if_cured": 0.5, "yes_if_not": 0.5, "cost": 10}
    nothing = [{"name": "u", "chance": 0, "cost": 1}]
    saved = what_if(asked(updates=nothing, checks=[idle | {"saved_from_diagnosis": 60}]))
    assert saved["expected_cost"] == pytest.approx(10 + 240)
    all_of_it = what_if(asked(updates=nothing, checks=[idle | {"saved_from_diagnosis": 900}]))
    assert all_of_it["expected_cost"] == pytest.approx(10)
    assert what_if(asked(updates=nothing, checks=[idle]))["expected_cost"] == pytest.approx(300)


def test_a_shared_cost_is_paid_once_with_the_first_reflash() -> None:
    updates = [{"name": n, "chance": 0.45, "cost": 10} for n in ("a", "b")]
    plain = what_if(asked(updates=updates, checks=[], rework_cost=0))
    fee = what_if(asked(updates=updates, checks=[], rework_cost=0, shared_cost=25))
    assert fee["expected_cost"] == pytest.approx(plain["expected_cost"] + 25)
    assert fee["diagnose_cost"] == pytest.approx(plain["diagnose_cost"])


TWELVE = [{"name": str(i), "yes_if_cured": 0.6, "yes_if_not": 0.4, "cost": 5} for i in range(12)]


@pytest.mark.parametrize(
    ("wrong", "field"),
    [
        ({"updates": []}, "updates"),
        ({"updates": [{"name": n, "chance": 0.1, "cost": 1} for n in "abcd"]}, "updates"),
        ({"updates": [{"name": n, "chance": 0.6, "cost": 1} for n in "ab"]}, "updates"),
        ({"updates": [{"name": "u", "chance": 1.2, "cost": 1}]}, "updates.0.chance"),
        ({"updates": [{"name": "u", "chance": -0.1, "cost": 1}]}, "updates.0.chance"),
        ({"updates": [{"name": "u", "chance": float("nan"), "cost": 1}]}, "updates.0.chance"),
        ({"updates": [{"name": "u", "chance": 0.5, "cost": -1}]}, "updates.0.cost"),
        ({"diagnosis_cost": -300}, "diagnosis_cost"),
        ({"rework_cost": -1}, "rework_cost"),
        ({"shared_cost": -1}, "shared_cost"),
        ({"diagnosis_cost": float("inf")}, "diagnosis_cost"),
        ({"checks": [*TWELVE, TWELVE[0]]}, "checks"),
        ({"checks": [TWELVE[0] | {"yes_if_not": 1.01}]}, "checks.0.yes_if_not"),
        ({"checks": [TWELVE[0] | {"yes_if_cured": {"u": 2}}]}, "checks.0.yes_if_cured.u"),
        ({"checks": [TWELVE[0] | {"yes_if_cured": {"other": 0.5}}]}, "checks.0.yes_if_cured"),
        ({"checks": [TWELVE[0] | {"saved_from_diagnosis": -5}]}, "checks.0.saved_from_diagnosis"),
    ],
)
def test_what_cannot_be_taken_is_named(wrong: dict[str, Any], field: str) -> None:
    with pytest.raises(BadInput) as refused:
        what_if(asked(**wrong))
    assert field in refused.value.fields


def test_twelve_checks_are_taken() -> None:
    assert what_if(asked(checks=TWELVE))["expected_cost"] <= what_if(asked(checks=[]))["expected_cost"]

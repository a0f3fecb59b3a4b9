"""`POST /api/what-if`: the plan of made-up numbers. Pure arithmetic, nothing rounded, nothing learned.

`saved_from_diagnosis`: once its check is done, with either result, a later diagnosis costs that much less,
never below 0. `shared_cost` is added to the first reflash of the plan; `diagnose_cost` does not hold it.
`zones` are of the first update, on the 8 best checks (one less for each update after the first).
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Any

from kb.advice.planning.choosing_steps import smaller
from kb.advice.planning.costs import reflash_threshold
from kb.advice.planning.plan import DIAGNOSE, solve
from kb.advice.planning.plan_tree import tree
from kb.advice.planning.problem import MAX_CHECKS, MAX_UPDATES, PlanCheck, PlanUpdate, Problem
from kb.advice.planning.zones import chance_zones
from kb.errors import BadInput
from kb.nouns.advice import PlanNode

ZONE_CHECKS = 8


def what_if(asked: Mapping[str, Any]) -> dict[str, Any]:
    """Answer one question of the shape in the module's interface; raises BadInput naming the fields."""
    problem = _problem(asked)
    best = solve(problem)
    plain = solve(replace(problem, checks=()))
    first = problem.updates[0]
    zones = chance_zones(smaller(problem, ZONE_CHECKS), 0)
    return {
        "reflash_cost": plain.values(0, 0)[1],
        "diagnose_cost": plain.values(0, 0)[DIAGNOSE + 1],
        "threshold": reflash_threshold(first.cost, problem.rework, problem.diagnosis),
        "expected_cost": best.expected_cost,
        "zones": list(zones),
        "plan": as_dict(tree(best)),
    }


def as_dict(node: PlanNode | None) -> dict[str, Any] | None:
    """A plan node in the interface's shape; an impossible branch is None."""
    if node is None:
        return None
    if node.do == "diagnose":
        return {"do": "diagnose", "expected_cost": node.expected_cost}
    told: dict[str, Any] = {"do": node.do, "name": node.name, "expected_cost": node.expected_cost}
    if node.do == "check":
        return told | {"yes": as_dict(node.yes), "no": as_dict(node.no)}
    return told | {"then": as_dict(node.then)}


def _problem(asked: Mapping[str, Any]) -> Problem:
    updates, checks = asked.get("updates") or (), asked.get("checks") or ()
    if not updates:
        raise BadInput("Name at least one update.", fields={"updates": "none given"})
    if len(updates) > MAX_UPDATES:
        raise BadInput(f"At most {MAX_UPDATES} updates.", fields={"updates": "too many"})
    if len(checks) > MAX_CHECKS:
        raise BadInput(f"At most {MAX_CHECKS} checks.", fields={"checks": "too many"})
    planned = tuple(_update(u, f"updates.{i}") for i, u in enumerate(updates))
    if len({u.name for u in planned}) < len(planned):
        raise BadInput("Give each update its own name.", fields={"updates": "name twice"})
    if sum(u.chance for u in planned) > 1.0 + 1e-9:
        raise BadInput("The chances add up to more than 1.", fields={"updates": "chances over 1"})
    names = tuple(u.name for u in planned)
    return Problem(
        planned,
        tuple(_check(c, names, f"checks.{i}") for i, c in enumerate(checks)),
        _amount(asked, "diagnosis_cost", ""),
        _amount(asked, "rework_cost", ""),
        _amount(asked, "shared_cost", "", 0.0),
    )


def _update(given: Mapping[str, Any], at: str) -> PlanUpdate:
    chance = _probability(given.get("chance"), f"{at}.chance")
    return PlanUpdate(str(given.get("name", "")), chance, _amount(given, "cost", at))


def _check(given: Mapping[str, Any], updates: Sequence[str], at: str) -> PlanCheck:
    cured, field = given.get("yes_if_cured"), f"{at}.yes_if_cured"
    not_cured = _probability(given.get("yes_if_not"), f"{at}.yes_if_not")
    if isinstance(cured, Mapping):
        unknown = sorted(str(name) for name in cured if name not in updates)
        if unknown:
            raise BadInput(f"No update is named {unknown[0]}.", fields={field: "unknown update"})
        yes = tuple(_probability(cured.get(name, not_cured), f"{field}.{name}") for name in updates)
    else:
        yes = (_probability(cured, field),) * len(updates)
    return PlanCheck(
        str(given.get("name", "")),
        (*yes, not_cured),
        _amount(given, "cost", at),
        _amount(given, "saved_from_diagnosis", at, 0.0),
    )


def _number(value: object, field: str) -> float:
    if isinstance(value, bool) or not isinstance(value, int | float) or not math.isfinite(value):
        raise BadInput("A number is needed.", fields={field: "not a number"})
    return float(value)


def _probability(value: object, field: str) -> float:
    number = _number(value, field)
    if not 0.0 <= number <= 1.0:
        raise BadInput("A chance lies between 0 and 1.", fields={field: "outside 0..1"})
    return number


def _amount(given: Mapping[str, Any], key: str, at: str, missing: float | None = None) -> float:
    field = f"{at}.{key}" if at else key
    value = given.get(key, missing)
    number = _number(missing if value is None else value, field)
    if number < 0.0:
        raise BadInput("A cost cannot be negative.", fields={field: "negative"})
    return number

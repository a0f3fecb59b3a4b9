"""The chances, and the costs of diagnosis, at which the plan's first step changes.

The cost of any fixed plan is a straight line in the chance p of one update (the others keep their
proportions): p times its cost if that update is the cure, 1 - p times its cost if not. The optimum is the
lowest of these lines, so it is concave, and the place where a first step stops being best is found by
tangent steps: solve the plan, intersect its line with the line of that first step, repeat.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np

from kb.advice.planning.plan import DIAGNOSE, Solution, solve
from kb.advice.planning.plan_tree import cost_by_cause
from kb.advice.planning.problem import Problem
from kb.nouns.advice import Zones

SMALLEST = 1e-6
STEPS = 8


@dataclass(frozen=True, slots=True)
class Line:
    """A cost: `at_zero` + `slope` x."""

    at_zero: float
    slope: float

    def meets(self, other: Line) -> float | None:
        gap = self.slope - other.slope
        return None if abs(gap) < 1e-12 else (other.at_zero - self.at_zero) / gap


def with_chance(problem: Problem, lead: int, chance: float) -> Problem:
    """The same problem with another chance of one update; all other causes keep their proportions."""
    given = problem.chances
    rest = 1.0 - given[lead]
    scale = (1.0 - chance) / rest if rest > 0 else 0.0
    updates = tuple(
        replace(u, chance=chance if k == lead else u.chance * scale) for k, u in enumerate(problem.updates)
    )
    return replace(problem, updates=updates)


def chance_zones(problem: Problem, lead: int) -> Zones:
    """Where the plan's first step changes as the chance of update `lead` grows.

    Above `high` it is to reflash that update; below `low` it is diagnosis; between them a check, or another
    update. Equal where nothing comes between. Exact for the checks in the problem.
    """
    inside = (SMALLEST, 1.0 - SMALLEST)

    def at(chance: float) -> Solution:
        return solve(with_chance(problem, lead, min(max(chance, inside[0]), inside[1])))

    def line(solution: Solution, first: int | None = None) -> Line:
        by_cause = cost_by_cause(solution, first)
        chances = np.array(solution.problem.chances)
        chances[lead] = 0.0
        total = chances.sum()
        other = float(chances @ by_cause / total) if total > 0 else float(by_cause[-1])
        return Line(other, float(by_cause[lead]) - other)

    middle = at(problem.chances[lead])
    reflash, diagnose = line(middle, lead), line(middle, DIAGNOSE)
    crossing = reflash.meets(diagnose)
    start = min(max(crossing if crossing is not None else 0.0, 0.0), 1.0)
    high = _tangent(start, reflash, lead, at, line, down=False)
    low = _tangent(start, diagnose, DIAGNOSE, at, line, down=True)
    return Zones(min(low, high), high)


def agreeing(zones: Zones, chance: float, first: int, lead: int) -> Zones:
    """Zones moved by no more than it takes for the chance of `lead` to lie where the plan's first step is.

    They are of the best few checks and of the exact optimum. The plan weighs more checks and, among nearly
    equal ones, prefers the quick; close to an edge both can differ.
    """
    above = float(np.nextafter(chance, 2.0))
    if first == DIAGNOSE:
        low = max(zones.low, above)
        return Zones(low, max(zones.high, low))
    if first == lead:
        high = min(zones.high, chance)
        return Zones(min(zones.low, high), high)
    return Zones(min(zones.low, chance), max(zones.high, above))


def _tangent(
    start: float,
    edge: Line,
    first: int,
    at: Callable[[float], Solution],
    line: Callable[[Solution], Line],
    *,
    down: bool,
) -> float:
    """Walk from `start` to where plans that begin otherwise stop beating the line of `first`.

    Down to 0, or up to 1, if that place is not between.
    """
    x = start
    for _ in range(STEPS):
        solution = at(x)
        if solution.first_step == first or solution.expected_cost >= edge.at_zero + edge.slope * x - 1e-7:
            return x
        met = line(solution).meets(edge)
        if met is None or not (0.0 < met < x if down else x < met < 1.0):
            return 0.0 if down else 1.0
        if abs(met - x) < 1e-7:
            return met
        x = met
    return x


def diagnosis_range(problem: Problem) -> tuple[float, float | None]:
    """The costs of diagnosis over which the kind of the first step stays what it is; None: no upper end.

    No plan diagnoses more often than one that diagnoses first, and with one update none more seldom than
    one that reflashes first: diagnosis is best up to one cost, reflashing from another on, checks between.
    """
    kind = _kind(solve(problem))
    far = 64.0 * (problem.diagnosis + problem.rework + sum(u.cost for u in problem.updates) + 1.0)
    low = high = None
    if kind != "diagnose":
        low = _cost_edge(
            problem, *((0.0, "reflash") if kind == "reflash" else (problem.diagnosis, "diagnose"))
        )
    if kind != "reflash":
        high = _cost_edge(
            problem, *((far, "diagnose") if kind == "diagnose" else (problem.diagnosis, "reflash"))
        )
    return low or 0.0, high if high is not None and high < far else None


def _kind(solution: Solution) -> str:
    step = solution.first_step
    if step == DIAGNOSE:
        return "diagnose"
    return "reflash" if step < len(solution.problem.updates) else "check"


def _cost_edge(problem: Problem, start: float, target: str) -> float | None:
    """Tangent steps in the cost of diagnosis, from where `target` is not best to where it becomes so."""
    x = start
    for _ in range(STEPS):
        solution = solve(replace(problem, diagnosis=x))
        if _kind(solution) == target:
            break
        updates = len(problem.updates)
        first = DIAGNOSE if target == "diagnose" else int(np.argmin(solution.values(0, 0)[1 : updates + 1]))
        met = _cost_line(solution, None).meets(_cost_line(solution, first))
        if met is None or met < 0.0:
            return None
        if abs(met - x) <= 1e-6 * max(x, 1.0):
            break
        x = met
    return x


def _cost_line(solution: Solution, first: int | None) -> Line:
    """Expected cost of a plan as a line in the cost of diagnosis; its slope is the chance of diagnosing."""
    problem = solution.problem
    only = Problem(
        tuple(replace(u, cost=0.0) for u in problem.updates),
        tuple(replace(c, cost=0.0, saved=0.0) for c in problem.checks),
        diagnosis=1.0,
        rework=0.0,
    )
    chances = np.array(problem.chances)
    slope = float(chances @ cost_by_cause(solution, first, only))
    return Line(float(chances @ cost_by_cause(solution, first)) - slope * problem.diagnosis, slope)

"""Which checks decide anything: by the plan's own rule that what cannot change the plan is not asked.

Each case is one concern with all that its advice was made from, worked out again.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace

from kb.advice.before_plan.settle_first import settle
from kb.advice.chances.chances import chances
from kb.advice.chances.evidence import COUNTED, CheckBelief
from kb.advice.chances.learn import Learned
from kb.advice.planning.choosing_steps import next_step
from kb.advice.planning.plan import DIAGNOSE, Solution, solve
from kb.advice.planning.plan_tree import tree
from kb.advice.planning.problem import MAX_UPDATES, Problem
from kb.advice.planning.problem_of_concern import decide, offered_checks
from kb.nouns.advice import AdviceSettings, CheckInHand, ConcernInHand, PlanNode, Verdict
from kb.nouns.concerns import FindingResult

FEW = 10
"""Concerns on which a check could be asked or was done, below which nothing is told of it."""
_OTHER = {FindingResult.YES: FindingResult.NO, FindingResult.NO: FindingResult.YES}


FirstStep = tuple[Verdict, str]
"""What a plan begins with: as a verdict, and which update or check."""


@dataclass(frozen=True, slots=True)
class Case:
    """One concern as the advice takes it."""

    concern: ConcernInHand
    learned: Learned
    settings: AdviceSettings

    def believing(self, key: str, belief: CheckBelief) -> Case:
        """The same with another belief of one check."""
        return replace(self, learned=replace(self.learned, checks={**self.learned.checks, key: belief}))

    def finding(self, key: str, result: FindingResult) -> Case:
        """The same with another result of one check."""
        checks = tuple(
            replace(one, result=result) if one.definition.key == key else one for one in self.concern.checks
        )
        return replace(self, concern=replace(self.concern, checks=checks))


@dataclass(frozen=True, slots=True)
class OnCase:
    """Keys of checks on one concern: that could be asked, that the plan asks for somewhere, that cost more
    than knowing the cause would save; that were done, and that would have led elsewhere the other way round.
    """

    offered: frozenset[str] = frozenset()
    asked: frozenset[str] = frozenset()
    too_dear: frozenset[str] = frozenset()
    done: frozenset[str] = frozenset()
    turning: frozenset[str] = frozenset()


@dataclass(frozen=True, slots=True)
class Decides:
    """How often a check could decide: concerns it rests on, asked by the plan, done, done and turning the
    plan, and offered at a cost above all it could save.
    """

    key: str
    concerns: int
    asked: int
    done: int
    turned: int
    too_dear: int

    @property
    def is_idle(self) -> bool | None:
        """Whether it never decided anything; None where it cannot be told yet."""
        return None if self.concerns < FEW else not (self.asked or self.turned)

    @property
    def said(self) -> str:
        """In words, with the number of concerns that it rests on."""
        on = f"{self.concerns} {'concern' if self.concerns == 1 else 'concerns'}"
        if self.is_idle is None:
            return f"cannot tell yet ({on})"
        if not self.is_idle:
            parts = (f"the plan asked for it on {self.asked}", f"its result turned the plan on {self.turned}")
            said = " and ".join(
                part for part, count in zip(parts, (self.asked, self.turned), strict=True) if count
            )
            return f"{said} of the last {on}"
        offered = self.concerns - self.done
        dear = offered > 0 and self.too_dear == offered
        why = ": it costs more than knowing the cause would save" if dear else ""
        return f"never decided anything on the last {on}{why}"


def planned(case: Case) -> tuple[Solution, int] | None:
    """The plan and its first step, whatever must be settled before; None where no update is left to weigh."""
    concern, learned, settings = case.concern, case.learned, case.settings
    candidates = settle(concern, settings.look_up_limit_days).candidates[:MAX_UPDATES]
    if not candidates:
        return None
    found = chances(concern, candidates, learned, settings)
    solution = solve(decide(concern, candidates, found, learned, settings).problem)
    return solution, next_step(solution, quickest=settings.quickest_first)


def first_step(case: Case) -> FirstStep:
    """What the plan of one concern begins with; to go on diagnosing where there is no update to weigh."""
    plan = planned(case)
    return _begins(*plan) if plan else (Verdict.KEEP_DIAGNOSING, "")


def on_case(case: Case) -> OnCase:
    """What each check could do on one concern; nothing where no update is left to weigh."""
    plan = planned(case)
    if plan is None:
        return OnCase()
    solution, first = plan
    problem, begins = solution.problem, _begins(solution, first)
    most = most_to_save(problem)
    offered = frozenset(one.definition.key for one in offered_checks(case.concern, case.learned))
    done = [one for one in case.concern.checks if _counts(one)]
    return OnCase(
        offered,
        frozenset(_asked(tree(solution, first))) & offered,
        frozenset(one.key for one in problem.checks if one.cost - one.saved >= most),
        frozenset(one.definition.key for one in done),
        frozenset(one.definition.key for one in done if _turned_round(case, one) != begins),
    )


def most_to_save(problem: Problem) -> float:
    """What knowing the cause for nothing would save over the best plan without checks: U - L of the plan."""
    without = solve(replace(problem, checks=())).expected_cost
    *updates, other = problem.chances
    known = sum(p * (u.cost + problem.shared) for p, u in zip(updates, problem.updates, strict=True))
    return without - known - other * problem.diagnosis


def tally(cases: Iterable[OnCase], keys: Sequence[str]) -> tuple[Decides, ...]:
    """Each check over all cases, in the order of `keys`."""
    every = list(cases)
    return tuple(
        Decides(
            key,
            sum(key in one.offered or key in one.done for one in every),
            sum(key in one.asked for one in every),
            sum(key in one.done for one in every),
            sum(key in one.turning for one in every),
            sum(key in one.too_dear for one in every),
        )
        for key in keys
    )


def _begins(solution: Solution, first: int) -> FirstStep:
    problem = solution.problem
    if first == DIAGNOSE:
        return Verdict.KEEP_DIAGNOSING, ""
    updates = len(problem.updates)
    if first < updates:
        return Verdict.REFLASH, problem.updates[first].key
    return Verdict.CHECK_FIRST, problem.checks[first - updates].key


def _counts(check: CheckInHand) -> bool:
    return check.result in COUNTED and bool(check.attached_to) and not check.answered_already


def _turned_round(case: Case, check: CheckInHand) -> FirstStep:
    return first_step(case.finding(check.definition.key, _OTHER[check.result]))


def _asked(node: PlanNode | None) -> Iterator[str]:
    if node is not None:
        if node.do == "check":
            yield node.key
        for after in (node.yes, node.no, node.then):
            yield from _asked(after)

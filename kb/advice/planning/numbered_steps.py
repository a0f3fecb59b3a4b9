"""The plan as numbered steps along its likeliest way."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace

from kb.advice.before_plan.cause_found import repair_step
from kb.advice.ways_said import NO_WAYS, by_way
from kb.nouns.advice import CheckInHand, ConcernInHand, CostLine, PlanNode, PlanStep
from kb.nouns.bay.first_steps import FoundCause, ToSettle
from kb.nouns.shop.ways import Way


def numbered(
    concern: ConcernInHand,
    actions: Sequence[ToSettle],
    plan: PlanNode | None,
    lines: Mapping[str, CostLine],
    found: FoundCause | None = None,
    ways: Mapping[str, Way] = NO_WAYS,
) -> tuple[PlanStep, ...]:
    """What to do in order: what must be settled first, the repair of what was `found`, then the plan.

    `lines` are costs by key of a step, `ways` who programs it.

    A look-up of an update without IDs has the update's note as its key, a gate its own and two words.

    A step needs the customer's OK where what was used and the steps so far would pass what was authorized.
    """
    checks = {c.definition.key: c for c in concern.checks}
    steps = [
        PlanStep(i + 1, "settle", one.text, one.key, one.fine_word, one.fault_word, one.minutes)
        for i, one in enumerate(actions)
    ]
    if found:
        steps.append(repair_step(len(steps) + 1, found))
    spent, chance = concern.used, 1.0
    for node in _likeliest(plan):
        cost = lines[node.key or node.do]
        spent += cost.customer
        over = concern.authorized is not None and spent > concern.authorized
        step = _step(len(steps) + 1, node, checks.get(node.key), cost.total, chance, needs_ok=over)
        way = ways.get(node.key, Way.HERE)
        steps.append(replace(step, text=by_way(step.text, way), way=way))
        chance *= _goes_on(node)
    return tuple(steps)


def _likeliest(node: PlanNode | None) -> Iterator[PlanNode]:
    while node is not None:
        yield node
        if node.do == "check":
            node = node.yes if node.yes is not None and node.chance >= 0.5 else node.no or node.yes
        else:
            node = node.then


def _goes_on(node: PlanNode) -> float:
    return max(node.chance, 1.0 - node.chance) if node.do == "check" else 1.0 - node.chance


def _step(
    number: int, node: PlanNode, check: CheckInHand | None, cost: float, chance: float, *, needs_ok: bool
) -> PlanStep:
    if node.do == "diagnose":
        text = "Go on with the diagnosis to its conclusion"
        return PlanStep(number, node.do, text, cost=cost, chance=chance, needs_ok=needs_ok)
    if check is None:
        text = f"Reflash {node.name}"
        return PlanStep(number, node.do, text, node.key, cost=cost, chance=chance, needs_ok=needs_ok)
    told = check.definition
    return PlanStep(
        number,
        node.do,
        told.question or told.name,
        node.key,
        told.yes_word,
        told.no_word,
        told.minutes,
        told.wait_minutes,
        cost,
        chance,
        needs_ok,
        not_before=check.not_before,
    )

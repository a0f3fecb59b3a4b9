"""Which programming subscriptions would have been cheapest for the days of use: the exact cheapest mix."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date

from kb.errors import BadInput


@dataclass(frozen=True, slots=True)
class SubscriptionPlan:
    """A plan as sold: its name, how many days in a row it covers, and its price in minor units."""

    name: str
    days: int
    price_minor: int

    def __post_init__(self) -> None:
        if self.days < 1 or self.price_minor < 0:
            raise BadInput("A plan lasts at least a day and costs at least nothing.", fields={"days": "< 1"})


@dataclass(frozen=True, slots=True)
class SubscriptionCost:
    """What covering every day of use would have cost: `bought` counts plans by name."""

    cost_minor: int
    bought: tuple[tuple[str, int], ...]


@dataclass(frozen=True, slots=True)
class SubscriptionAnswer:
    """Cost with each plan alone, in the order given, and with the cheapest mix."""

    use_days: int
    alone: tuple[tuple[str, SubscriptionCost], ...]
    cheapest: SubscriptionCost


def subscription_answer(used_on: Iterable[date], plans: Sequence[SubscriptionPlan]) -> SubscriptionAnswer:
    """Looks back at days of use; it says nothing of days to come. Raises BadInput without a plan."""
    if not plans:
        raise BadInput("Name at least one plan with its length and price.", fields={"plans": "empty"})
    days = sorted({day.toordinal() for day in used_on})
    alone = tuple((plan.name, _cheapest(days, [plan])) for plan in plans)
    return SubscriptionAnswer(len(days), alone, _cheapest(days, plans))


def spread(concerns: int, over_days: int = 30) -> tuple[date, ...]:
    """A day for each of so many concerns, evenly over a month; those beyond a month's days share one."""
    steps = min(concerns, over_days)
    return tuple(date.fromordinal(1 + place * over_days // steps) for place in range(steps))


def _cheapest(days: Sequence[int], plans: Sequence[SubscriptionPlan]) -> SubscriptionCost:
    """Exact: a plan is best begun on a day of use, so best(i) = least of price + best(next day left).

    Ties go to the plan that covers more days.
    """
    best: list[tuple[int, int, SubscriptionPlan | None]] = [(0, len(days), None)]
    for i in range(len(days) - 1, -1, -1):
        best.append(min(_choices(days, plans, best, i), key=lambda choice: (choice[0], -choice[1])))
    best.reverse()
    counts: dict[str, int] = {}
    i = 0
    while (plan := best[i][2]) is not None:
        counts[plan.name] = counts.get(plan.name, 0) + 1
        i = best[i][1]
    return SubscriptionCost(best[0][0], tuple(sorted(counts.items())))


def _choices(
    days: Sequence[int],
    plans: Sequence[SubscriptionPlan],
    best: Sequence[tuple[int, int, SubscriptionPlan | None]],
    i: int,
) -> list[tuple[int, int, SubscriptionPlan | None]]:
    """(cost from day i on, next day not covered, plan); `best` holds the days after i, last one first."""
    nexts = [bisect_right(days, days[i] + plan.days - 1) for plan in plans]
    return [
        (plan.price_minor + best[len(days) - after][0], after, plan)
        for plan, after in zip(plans, nexts, strict=True)
    ]

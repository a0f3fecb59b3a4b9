"""What programming subscriptions cost, and which would have been cheapest for the days of use."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

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


@dataclass(frozen=True, slots=True)
class Purchase:
    """A subscription as bought: its first and its last day, and its price in minor units."""

    first: date
    last: date
    price_minor: int


@dataclass(frozen=True, slots=True)
class Spent:
    """What was bought within some days: how many, for how much, and how much of that still runs.

    `earlier`: how many were bought before and still ran then, whose price is not in it.
    """

    count: int
    price_minor: int
    running_minor: int
    earlier: int


def spent(bought: Iterable[Purchase], since: date, today: date) -> Spent:
    """What was bought after `since` and up to `today`, both prices in minor units."""
    known = [one for one in bought if one.first <= today]
    lately = [one for one in known if one.first > since]
    return Spent(
        len(lately),
        sum(one.price_minor for one in lately),
        sum(one.price_minor for one in lately if one.last >= today),
        sum(one.first <= since < one.last for one in known),
    )


def paid_through(bought: Iterable[Purchase], today: date) -> date | None:
    """The last of the days from today on that are covered without a gap; None where today is not."""
    reached = today - timedelta(days=1)
    for one in sorted(bought, key=lambda one: one.first):
        if one.first <= reached + timedelta(days=1):
            reached = max(reached, one.last)
    return reached if reached >= today else None


def begun_while_one_ran(bought: Sequence[Purchase]) -> tuple[int, ...]:
    """Places in `bought` of what was paid for while one begun before it still ran, by first day.

    The last day is one that runs: what begins on it pays for that day twice, what begins on the day after
    does not. Of two with one first day it is the later in the order given. What was free is not counted,
    though it may be what still ran.
    """
    found: list[int] = []
    reached = date.min
    for place in sorted(range(len(bought)), key=lambda place: bought[place].first):
        one = bought[place]
        if one.price_minor and one.first <= reached:
            found.append(place)
        reached = max(reached, one.last)
    return tuple(found)


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

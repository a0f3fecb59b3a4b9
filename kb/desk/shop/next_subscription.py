"""For each make: until when it is paid, what the last year cost, and which plan would be cheapest next."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date

from kb.desk.context import Desk
from kb.desk.shop.plan_offers import list_plan_offers
from kb.desk.shop.subscriptions import SubscriptionView
from kb.nouns.days import days_said
from kb.outcomes.money.cheapest_subscription import (
    SubscriptionAnswer,
    SubscriptionPlan,
    spread,
    subscription_answer,
)
from kb.outcomes.money.plan_to_buy_next import Occasion, Suggestion, suggestions
from kb.outcomes.money.subscriptions_bought import Purchase, Spent, paid_through, spent
from kb.records.store.shop.subscription_use import ModuleDone
from kb.vehicle.families import fold

Plans = Mapping[int, SubscriptionPlan]
"""Plans of one make by the number of days that they cover."""


@dataclass(frozen=True, slots=True)
class NextTime:
    """For a make, what the last year cost, what its days would have cost at best, and what to buy next.

    | field        | meaning                                                     | None                    |
    |--------------|-------------------------------------------------------------|-------------------------|
    | `spent`      | what was bought in the last year                            | never                   |
    | `answer`     | the last year's days at today's plans and prices            | no price is known       |
    | `waiting`    | open concerns with an update in question, not reflashed yet | never                   |
    | `together`   | if all of them came to a reflash: one day for all           | none waits, or no price |
    | `apart`      | the same, a day for each, spread over a month               | the same                |
    | `paid_until` | last day covered from today on without a gap                | not covered             |

    Free access and days still to come are no price of a plan.
    """

    make: str
    spent: Spent
    waiting: int
    paid_until: date | None
    answer: SubscriptionAnswer | None = None
    together: SubscriptionAnswer | None = None
    apart: SubscriptionAnswer | None = None
    to_buy: tuple[Suggestion, ...] = ()

    @property
    def cheapest_minor(self) -> int:
        """What the cheapest plans for the last year's days cost."""
        return self.answer.cheapest.cost_minor if self.answer else 0

    @property
    def more_minor(self) -> int:
        """How much more was spent than the cheapest plans cost; below 0 where it was less."""
        return self.spent.price_minor - self.cheapest_minor


def next_time(
    desk: Desk,
    bought: Sequence[SubscriptionView],
    done: Iterable[ModuleDone],
    waiting: Iterable[str],
    since: date,
) -> tuple[NextTime, ...]:
    """By make. `bought` newest first; `done` and what was spent are of the days after `since`."""
    days: dict[str, set[date]] = defaultdict(set)
    for module in done:
        days[fold(module.make)].add(module.performed_on)
    purchases: dict[str, list[Purchase]] = defaultdict(list)
    for it in (one.content for one in bought):
        purchases[fold(it.make)].append(it.purchase())
    counts = Counter(fold(make) for make in waiting)
    names, plans = _plans(desk, bought)
    return tuple(
        _answered(
            NextTime(
                name,
                spent(purchases[make], since, desk.today),
                counts[make],
                paid_through(purchases[make], desk.today),
            ),
            days[make],
            plans.get(make, {}),
        )
        for make, name in sorted(names.items())
    )


def plans_known(desk: Desk, bought: Sequence[SubscriptionView]) -> dict[str, tuple[SubscriptionPlan, ...]]:
    """The same plans for other comparisons, by make, folded, the shortest first; `bought` newest first."""
    _, plans = _plans(desk, bought)
    return {make: tuple(some[length] for length in sorted(some)) for make, some in plans.items()}


def _plans(desk: Desk, bought: Sequence[SubscriptionView]) -> tuple[dict[str, str], dict[str, Plans]]:
    """Makes as written, and plans as last bought and as on offer.

    Equal length is one plan, and what is on offer counts. A free trial, bought or on offer, is not to be had
    again and again, and one of a day still to come may be a slip, so none of these is a plan.
    """
    plans: dict[str, dict[int, SubscriptionPlan]] = defaultdict(dict)
    names: dict[str, str] = {}
    for one in reversed(bought):
        it = one.content
        names[fold(it.make)] = it.make
        if not one.is_paid_by(desk.today):
            continue
        name = _plan_name(it.make, it.plan, it.length)
        plans[fold(it.make)][it.length] = SubscriptionPlan(name, it.length, it.price_minor)
    for offer in (one.content for one in list_plan_offers(desk)):
        names.setdefault(fold(offer.make), offer.make)
        if offer.price_minor:
            name = _plan_name(offer.make, offer.plan, offer.days)
            plans[fold(offer.make)][offer.days] = SubscriptionPlan(name, offer.days, offer.price_minor)
    return names, {make: _told_apart(some) for make, some in plans.items()}


def _plan_name(make: str, said: str, length: int) -> str:
    """The shop's words without the make, which stands above, and with the length where they leave it out."""
    if said.casefold().startswith(f"{make.casefold()} "):
        said = said[len(make) :].strip()
    if not said:
        return days_said(length)
    return said if any(sign.isdigit() for sign in said) else f"{said}, {days_said(length)}"


def _told_apart(plans: Plans) -> Plans:
    """Plans that go by one name ("2 seats") get their length as well."""
    known = Counter(plan.name for plan in plans.values())
    return {
        length: plan if known[plan.name] == 1 else replace(plan, name=f"{plan.name}, {days_said(length)}")
        for length, plan in plans.items()
    }


def _answered(one: NextTime, used_on: Iterable[date], plans: Plans) -> NextTime:
    """The same with what its plans would cost, and what to buy: till it is paid, only what comes after."""
    if not plans:
        return one
    offered = [plans[length] for length in sorted(plans)]
    answer = subscription_answer(used_on, offered)
    together = subscription_answer(spread(1), offered) if one.waiting else None
    apart = subscription_answer(spread(one.waiting), offered) if one.waiting else None
    asked = {Occasion.TOGETHER: together, Occasion.APART: apart if one.waiting > 1 else None}
    soon = {} if one.paid_until else asked
    occasions = {occasion: of.cheapest for occasion, of in {Occasion.YEAR: answer, **soon}.items() if of}
    to_buy = suggestions(occasions, offered)
    return replace(one, answer=answer, together=together, apart=apart, to_buy=to_buy)

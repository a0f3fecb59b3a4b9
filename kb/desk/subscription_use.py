"""What programming subscriptions cost and what they were used for, and which plan would be cheapest."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from kb.desk import subscriptions
from kb.desk.context import Desk, lead_or_owner
from kb.desk.subscriptions import SubscriptionKind, SubscriptionView
from kb.nouns.concerns import ReflashResult
from kb.outcomes.subscriptions import SubscriptionAnswer, SubscriptionPlan, subscription_answer
from kb.records.store import subscription_use as store
from kb.records.store.subscription_use import ModuleDone
from kb.vehicle.coverage import fold

LOOK_BACK_DAYS = 365
_INSTALLED = {ReflashResult.COMPLETED.value, ReflashResult.RECOVERED.value}


@dataclass(frozen=True, slots=True)
class SubscriptionUse:
    """One subscription: modules reflashed and concerns served under it, and visits where nothing was newer.

    `for_nothing`: it has ended or was used, and no module was ever reflashed under it.
    """

    subscription: SubscriptionView
    reflashes: int
    concerns: int
    nothing_newer: int
    for_nothing: bool


@dataclass(frozen=True, slots=True)
class NextTime:
    """For a make: the days of the last year on which it was needed, and what covering them costs by plan."""

    make: str
    answer: SubscriptionAnswer


@dataclass(frozen=True, slots=True)
class SubscriptionReport:
    used: tuple[SubscriptionUse, ...]
    next_time: tuple[NextTime, ...]

    @property
    def for_nothing_minor(self) -> int:
        """Price of those that no reflash came of, in minor units."""
        return sum(one.subscription.content.price_minor for one in self.used if one.for_nothing)


@lead_or_owner
def subscription_report(desk: Desk) -> SubscriptionReport:
    """Every programming subscription, newest first; a module counts for the one its event names."""
    bought = [
        one
        for one in subscriptions.list_subscriptions(desk)
        if one.content.kind is SubscriptionKind.PROGRAMMING
    ]
    done = store.modules_done(desk.session, desk.shop.id)
    under: dict[int, list[ModuleDone]] = defaultdict(list)
    for module in done:
        under[module.subscription_id or 0].append(module)
    used = tuple(_use(one, under.get(one.id, ()), desk.today) for one in bought)
    since = desk.today - timedelta(days=LOOK_BACK_DAYS)
    return SubscriptionReport(used, _next_time(bought, [one for one in done if one.performed_on > since]))


def _use(one: SubscriptionView, done: Sequence[ModuleDone], today: date) -> SubscriptionUse:
    installed = [module for module in done if module.result in _INSTALLED]
    nothing = [module for module in done if module.result == ReflashResult.NOTHING_NEWER.value]
    over = bool(done) or one.content.ends_on < today
    return SubscriptionUse(
        one,
        len(installed),
        sum(module.concerns for module in installed),
        len(nothing),
        over and not installed,
    )


def _next_time(bought: Sequence[SubscriptionView], done: Iterable[ModuleDone]) -> tuple[NextTime, ...]:
    """Plans as last bought: equal length is one plan."""
    days: dict[str, set[date]] = defaultdict(set)
    for module in done:
        days[fold(module.make)].add(module.performed_on)
    plans: dict[str, dict[int, SubscriptionPlan]] = defaultdict(dict)
    names: dict[str, str] = {}
    for one in reversed(bought):
        length = (one.content.ends_on - one.content.bought_on).days + 1
        name = one.content.plan or f"{length} days"
        plans[fold(one.content.make)][length] = SubscriptionPlan(name, length, one.content.price_minor)
        names[fold(one.content.make)] = one.content.make
    return tuple(_answer(names[make], days.get(make, set()), plans[make]) for make in sorted(names))


def _answer(make: str, used_on: Iterable[date], plans: Mapping[int, SubscriptionPlan]) -> NextTime:
    return NextTime(make, subscription_answer(used_on, [plans[length] for length in sorted(plans)]))

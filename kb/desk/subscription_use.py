"""What programming subscriptions cost and what they were used for, and which plan would be cheapest."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta

from kb.desk import subscriptions
from kb.desk.context import Desk, lead_or_owner
from kb.desk.plan_offers import list_plan_offers
from kb.desk.subscriptions import SubscriptionKind, SubscriptionView
from kb.nouns.concerns import ReflashResult
from kb.outcomes.subscriptions import SubscriptionAnswer, SubscriptionPlan, spread, subscription_answer
from kb.records.store import subscription_use as store
from kb.records.store.subscription_use import ModuleDone
from kb.vehicle.coverage import fold

LOOK_BACK_DAYS = 365
_INSTALLED = {ReflashResult.COMPLETED.value, ReflashResult.RECOVERED.value}


@dataclass(frozen=True, slots=True)
class SubscriptionUse:
    """One subscription: modules reflashed and concerns served under it, and visits where nothing was newer.

    `for_nothing`: it has ended, and no module was reflashed under it.
    """

    subscription: SubscriptionView
    reflashes: int
    concerns: int
    nothing_newer: int
    for_nothing: bool


@dataclass(frozen=True, slots=True)
class NextTime:
    """For a make, what covering the days of programming costs by plan.

    `answer`: days of the last year. `waiting`: open concerns with an update in question, not reflashed yet;
    if all of them came to a reflash, `together` is what one day for all would cost and `apart` a day for
    each, spread over a month. None where none waits. `paid_until`: the last day of one that runs today, until
    which nothing need be bought.
    """

    make: str
    answer: SubscriptionAnswer
    waiting: int = 0
    together: SubscriptionAnswer | None = None
    apart: SubscriptionAnswer | None = None
    paid_until: date | None = None


@dataclass(frozen=True, slots=True)
class MakeUse:
    """All subscriptions of one make together."""

    make: str
    bought: int
    price_minor: int
    reflashes: int
    concerns: int
    for_nothing: int


@dataclass(frozen=True, slots=True)
class SubscriptionReport:
    """Every subscription, newest first; the same by make; and what would be cheapest next time."""

    used: tuple[SubscriptionUse, ...]
    by_make: tuple[MakeUse, ...]
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
    lately = [one for one in done if one.performed_on > since]
    waiting = store.waiting_by_make(desk.session, desk.shop.id)
    return SubscriptionReport(used, _by_make(used), _next_time(desk, bought, lately, waiting))


def _use(one: SubscriptionView, done: Sequence[ModuleDone], today: date) -> SubscriptionUse:
    installed = [module for module in done if module.result in _INSTALLED]
    nothing = [module for module in done if module.result == ReflashResult.NOTHING_NEWER.value]
    return SubscriptionUse(
        one,
        len(installed),
        len({concern for module in installed for concern in module.concerns}),
        len(nothing),
        one.content.ends_on < today and not installed,
    )


def _by_make(used: Iterable[SubscriptionUse]) -> tuple[MakeUse, ...]:
    makes: dict[str, list[SubscriptionUse]] = defaultdict(list)
    for one in used:
        makes[fold(one.subscription.content.make)].append(one)
    return tuple(
        MakeUse(
            some[0].subscription.content.make,
            len(some),
            sum(one.subscription.content.price_minor for one in some),
            sum(one.reflashes for one in some),
            sum(one.concerns for one in some),
            sum(one.for_nothing for one in some),
        )
        for _, some in sorted(makes.items())
    )


def _next_time(
    desk: Desk, bought: Sequence[SubscriptionView], done: Iterable[ModuleDone], waiting: Iterable[str]
) -> tuple[NextTime, ...]:
    """Plans as last bought and as on offer; equal length is one plan, and what is on offer counts."""
    days: dict[str, set[date]] = defaultdict(set)
    for module in done:
        days[fold(module.make)].add(module.performed_on)
    plans: dict[str, dict[int, SubscriptionPlan]] = defaultdict(dict)
    names: dict[str, str] = {}
    for one in reversed(bought):
        length = (one.content.ends_on - one.content.bought_on).days + 1
        name = _plan_name(one.content.plan, length)
        plans[fold(one.content.make)][length] = SubscriptionPlan(name, length, one.content.price_minor)
        names[fold(one.content.make)] = one.content.make
    for offer in (one.content for one in list_plan_offers(desk)):
        plan = SubscriptionPlan(_plan_name(offer.plan, offer.days), offer.days, offer.price_minor)
        plans[fold(offer.make)][offer.days] = plan
        names.setdefault(fold(offer.make), offer.make)
    counts = Counter(fold(make) for make in waiting)
    running = [one.content for one in bought if one.runs_on(desk.today)]
    paid = {fold(one.make): one.ends_on for one in sorted(running, key=lambda one: one.ends_on)}
    answers = [
        _answer(names[make], days.get(make, set()), plans[make], counts[make]) for make in sorted(names)
    ]
    return tuple(replace(one, paid_until=paid.get(fold(one.make))) for one in answers)


def _plan_name(said: str, length: int) -> str:
    """With the length where the shop's words leave it out: plans of one name may differ in it."""
    days = f"{length} day" if length == 1 else f"{length} days"
    if not said:
        return days
    return said if any(sign.isdigit() for sign in said) else f"{said}, {days}"


def _answer(
    make: str, used_on: Iterable[date], plans: Mapping[int, SubscriptionPlan], waiting: int
) -> NextTime:
    offered = [plans[length] for length in sorted(plans)]
    answer = subscription_answer(used_on, offered)
    if not waiting:
        return NextTime(make, answer)
    return NextTime(
        make,
        answer,
        waiting,
        together=subscription_answer(spread(1), offered),
        apart=subscription_answer(spread(waiting), offered),
    )

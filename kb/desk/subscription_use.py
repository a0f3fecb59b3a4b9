"""What programming subscriptions cost and what they were used for, and which plan would be cheapest."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from kb.desk import subscriptions
from kb.desk.context import Desk, lead_or_owner
from kb.desk.next_subscription import NextTime, next_time
from kb.desk.subscriptions import SubscriptionKind, SubscriptionView
from kb.nouns.concerns import ReflashResult
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
    return SubscriptionReport(used, _by_make(used), next_time(desk, bought, lately, waiting, since))


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

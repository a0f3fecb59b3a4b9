"""What programming subscriptions cost and what they were used for, and which plan would be cheapest."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from kb.desk.context import Desk, lead_or_owner
from kb.desk.shop import subscriptions
from kb.desk.shop.next_subscription import NextTime, next_time
from kb.desk.shop.subscriptions import SubscriptionKind, SubscriptionView
from kb.nouns.concerns import INSTALLED, ReflashResult
from kb.outcomes.money.subscriptions_bought import begun_while_one_ran
from kb.records.store.shop import subscription_use as store
from kb.records.store.shop.subscription_use import ModuleDone
from kb.vehicle.families import fold

LOOK_BACK_DAYS = 365


@dataclass(frozen=True, slots=True)
class SubscriptionUse:
    """One subscription: modules programmed and concerns served under it, and where nothing was newer.

    `modules` is no count of reflashes as the review has them, which counts a concern once for a sitting and
    update. `for_nothing`: it has ended, and no module was programmed under it. `while_one_ran`: paid for
    while an earlier one of its make still ran. `begun`: it was not entered for a day still to come.
    """

    subscription: SubscriptionView
    modules: int
    concerns: int
    nothing_newer: int
    for_nothing: bool
    while_one_ran: bool
    begun: bool


@dataclass(frozen=True, slots=True)
class MakeUse:
    """All subscriptions of one make that have begun; `while_one_ran` newest first."""

    make: str
    bought: int
    price_minor: int
    modules: int
    concerns: int
    for_nothing: int
    while_one_ran: tuple[SubscriptionView, ...]

    @property
    def while_one_ran_minor(self) -> int:
        """Their price, in minor units."""
        return sum(one.content.price_minor for one in self.while_one_ran)


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

    @property
    def while_one_ran(self) -> int:
        """How many were paid for while an earlier one of the same make still ran."""
        return sum(one.while_one_ran for one in self.used)

    @property
    def while_one_ran_minor(self) -> int:
        """Their price, in minor units."""
        return sum(one.while_one_ran_minor for one in self.by_make)

    @property
    def paid_minor(self) -> int:
        """What was bought in the last year, in minor units."""
        return sum(one.spent.price_minor for one in self.next_time)

    @property
    def cheapest_minor(self) -> int:
        """What the cheapest plans for the last year's days of programming would have cost."""
        return sum(one.cheapest_minor for one in self.next_time)


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
    doubled = _while_one_ran([one for one in bought if one.content.bought_on <= desk.today])
    used = tuple(_use(one, under.get(one.id, ()), one.id in doubled, desk.today) for one in bought)
    since = desk.today - timedelta(days=LOOK_BACK_DAYS)
    lately = [one for one in done if one.performed_on > since]
    waiting = store.waiting_by_make(desk.session, desk.shop.id)
    return SubscriptionReport(used, _by_make(used), next_time(desk, bought, lately, waiting, since))


def _while_one_ran(begun: Iterable[SubscriptionView]) -> frozenset[int]:
    """Ids of what was paid for while an earlier one of its make still ran; of one day, the later entered."""
    makes: dict[str, list[SubscriptionView]] = defaultdict(list)
    for one in sorted(begun, key=lambda one: one.id):
        makes[fold(one.content.make)].append(one)
    return frozenset(
        some[place].id
        for some in makes.values()
        for place in begun_while_one_ran([one.content.purchase() for one in some])
    )


def _use(
    one: SubscriptionView, done: Sequence[ModuleDone], while_one_ran: bool, today: date
) -> SubscriptionUse:
    installed = [module for module in done if module.result in INSTALLED]
    nothing = [module for module in done if module.result == ReflashResult.NOTHING_NEWER.value]
    return SubscriptionUse(
        one,
        len(installed),
        len({concern for module in installed for concern in module.concerns}),
        len(nothing),
        one.content.ends_on < today and not installed,
        while_one_ran,
        one.content.bought_on <= today,
    )


def _by_make(used: Iterable[SubscriptionUse]) -> tuple[MakeUse, ...]:
    makes: dict[str, list[SubscriptionUse]] = defaultdict(list)
    for one in (one for one in used if one.begun):
        makes[fold(one.subscription.content.make)].append(one)
    return tuple(
        MakeUse(
            some[0].subscription.content.make,
            len(some),
            sum(one.subscription.content.price_minor for one in some),
            sum(one.modules for one in some),
            sum(one.concerns for one in some),
            sum(one.for_nothing for one in some),
            tuple(one.subscription for one in some if one.while_one_ran),
        )
        for _, some in sorted(makes.items())
    )

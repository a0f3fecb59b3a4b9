"""Access bought from manufacturers: what it cost, for which make, and until when it runs."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from enum import StrEnum
from typing import Any

from kb.desk.context import Desk, anyone_in_the_shop
from kb.desk.named_faults import named
from kb.desk.saving import row_of, saved
from kb.errors import BadInput
from kb.nouns import copying
from kb.nouns.currency import TOO_DEAR_MINOR, to_major
from kb.outcomes.money.subscriptions_bought import Purchase
from kb.records.store.rows import row_of_shop
from kb.records.store.shop import equipment as store
from kb.records.tables import Subscription
from kb.vehicle.families import fold

LONGEST_DAYS = 3_660
_EARLIEST = date(1990, 1, 1)
_AHEAD = timedelta(days=366)


class SubscriptionKind(StrEnum):
    INFORMATION = "information"
    PROGRAMMING = "programming"


@dataclass(frozen=True, slots=True)
class SubscriptionDraft:
    """`ends_on` is the last day that it works; `price_minor` is in the currency's smallest unit."""

    make: str
    kind: SubscriptionKind
    price_minor: int
    bought_on: date
    ends_on: date
    plan: str = ""
    remark: str = ""

    @property
    def length(self) -> int:
        """How many days it covers, the first and the last counted."""
        return (self.ends_on - self.bought_on).days + 1

    def purchase(self) -> Purchase:
        """Its days and its price."""
        return Purchase(self.bought_on, self.ends_on, self.price_minor)


@dataclass(frozen=True, slots=True)
class SubscriptionView:
    id: int
    version: int
    content: SubscriptionDraft

    def runs_on(self, day: date) -> bool:
        return self.content.bought_on <= day <= self.content.ends_on

    def is_paid_by(self, day: date) -> bool:
        """Whether money was given for it, and not only on a later day."""
        return self.content.price_minor > 0 and self.content.bought_on <= day


@anyone_in_the_shop
def list_subscriptions(desk: Desk) -> tuple[SubscriptionView, ...]:
    """Newest first."""
    return tuple(view_of(row) for row in store.subscriptions(desk.session, desk.shop.id))


@anyone_in_the_shop
def read_subscription(desk: Desk, subscription_id: int) -> SubscriptionView:
    return view_of(on_file(desk, subscription_id))


@anyone_in_the_shop
def is_entered(desk: Desk, subscription_id: int) -> bool:
    """Whether it is on file: another person may have removed it while somebody's form still names it."""
    return row_of_shop(desk.session, Subscription, desk.shop.id, subscription_id) is not None


@anyone_in_the_shop
def programmed_under(desk: Desk, subscription_id: int) -> tuple[date, ...]:
    """The day of each programming event that names it, oldest first."""
    return tuple(store.days_programmed_under(desk.session, desk.shop.id, subscription_id))


@anyone_in_the_shop
def add_subscription(desk: Desk, draft: SubscriptionDraft) -> SubscriptionView:
    """Entered by whoever buys it. Raises BadInput for a missing make, or a price or days that cannot be.

    A price of 0 is a plan given free.
    """
    row = Subscription(shop_id=desk.shop.id, **columns_of(desk, draft))
    return view_of(saved(desk, row, "bought", "subscription", make=row.make, price_minor=row.price_minor))


@anyone_in_the_shop
def active_subscription(desk: Desk, make: str, kind: SubscriptionKind, on: date) -> SubscriptionView | None:
    """The longest one that runs on the day, or None: then a fee is still to be paid."""
    return running_on(bought_for(desk, make, kind), on)


def running_on(bought: Iterable[SubscriptionView], on: date) -> SubscriptionView | None:
    """The longest of these that runs on the day."""
    running = [one for one in bought if one.runs_on(on)]
    return max(running, key=lambda one: (one.content.ends_on, one.id), default=None)


def newest_paid(bought: Iterable[SubscriptionView], by: date) -> SubscriptionView | None:
    """The first of these, newest first, that was paid for by the day: what the next will likely cost."""
    return next((one for one in bought if one.is_paid_by(by)), None)


@anyone_in_the_shop
def bought_for(desk: Desk, make: str, kind: SubscriptionKind) -> tuple[SubscriptionView, ...]:
    """Those of one make in any writing, newest first."""
    bought = desk.once(("subscriptions", fold(make)), lambda: _of_make(desk, make))
    return tuple(one for one in bought if one.content.kind is kind)


def _of_make(desk: Desk, make: str) -> list[SubscriptionView]:
    written = [one for one in store.makes_subscribed(desk.session, desk.shop.id) if fold(one) == fold(make)]
    return [view_of(row) for row in store.subscriptions(desk.session, desk.shop.id, written)]


def wrong_price(price_minor: int, currency: str) -> str:
    """What is wrong with a price, or empty. 0 is a price: a plan given free."""
    if price_minor < 0:
        return "not below 0"
    if price_minor >= TOO_DEAR_MINOR:
        return f"below {to_major(TOO_DEAR_MINOR, currency):,.0f}"
    return ""


def columns_of(desk: Desk, draft: SubscriptionDraft) -> dict[str, Any]:
    """The columns of a row. Raises BadInput for a missing make, or a price or days that cannot be."""
    if wrong := _faults(draft, desk):
        raise BadInput(named("The subscription cannot be saved like this", wrong), fields=wrong)
    return copying.columns_of(draft)


def _faults(draft: SubscriptionDraft, desk: Desk) -> Mapping[str, str]:
    """A date field that is left half typed gives the year 2 or 202, hence the look at the year."""
    wrong: dict[str, str] = {}
    if not draft.make.strip():
        wrong["make"] = "needed"
    if price := wrong_price(draft.price_minor, desk.shop.currency):
        wrong["price"] = price
    if not _EARLIEST <= draft.bought_on <= desk.today + _AHEAD:
        wrong["bought_on"] = "check the year"
    elif draft.ends_on < draft.bought_on:
        wrong["ends_on"] = "not before the day it was bought"
    elif (draft.ends_on - draft.bought_on).days >= LONGEST_DAYS:
        wrong["ends_on"] = "check the year; at most 10 years after it was bought"
    return wrong


def on_file(desk: Desk, subscription_id: int) -> Subscription:
    """Its row. Raises NotFound."""
    missing = "There is no such subscription. It may have been removed."
    return row_of(desk, Subscription, subscription_id, missing)


def view_of(row: Subscription) -> SubscriptionView:
    content = copying.copied(SubscriptionDraft, row, kind=SubscriptionKind(row.kind))
    return SubscriptionView(row.id or 0, row.version, content)

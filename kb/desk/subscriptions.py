"""Access bought from manufacturers: what it cost, for which make, and until when it runs."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from enum import StrEnum

from kb.desk.context import Desk, anyone_in_the_shop
from kb.desk.named_faults import named
from kb.errors import BadInput
from kb.records.store import equipment as store
from kb.records.tables import Subscription


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


@dataclass(frozen=True, slots=True)
class SubscriptionView:
    id: int
    content: SubscriptionDraft

    def runs_on(self, day: date) -> bool:
        return self.content.bought_on <= day <= self.content.ends_on


@anyone_in_the_shop
def list_subscriptions(desk: Desk) -> tuple[SubscriptionView, ...]:
    """Newest first."""
    return tuple(_view(row) for row in store.subscriptions(desk.session, desk.shop.id))


@anyone_in_the_shop
def add_subscription(desk: Desk, draft: SubscriptionDraft) -> SubscriptionView:
    """Entered by whoever buys it. Raises BadInput for a missing make, or a price or days that cannot be."""
    wrong: dict[str, str] = {}
    if not draft.make.strip():
        wrong["make"] = "needed"
    if not 0 <= draft.price_minor < 10**9:
        wrong["price"] = "not below 0"
    if draft.ends_on < draft.bought_on:
        wrong["ends_on"] = "not before the day it was bought"
    if wrong:
        raise BadInput(named("The subscription cannot be saved like this", wrong), fields=wrong)
    row = Subscription(
        shop_id=desk.shop.id,
        make=draft.make.strip(),
        kind=draft.kind.value,
        plan=draft.plan.strip(),
        price_minor=draft.price_minor,
        bought_on=draft.bought_on,
        ends_on=draft.ends_on,
        remark=draft.remark.strip(),
    )
    store.save(desk.session, row)
    desk.note_down("bought", "subscription", row.id, make=row.make, price_minor=row.price_minor)
    desk.bump("settings")
    return _view(row)


@anyone_in_the_shop
def active_subscription(desk: Desk, make: str, kind: SubscriptionKind, on: date) -> SubscriptionView | None:
    """The longest one that runs on the day, or None: then a fee is still to be paid."""
    row = store.active_subscription(desk.session, desk.shop.id, make, kind.value, on)
    return None if row is None else _view(row)


@anyone_in_the_shop
def last_subscription(desk: Desk, make: str, kind: SubscriptionKind) -> SubscriptionView | None:
    """The newest bought for the make, running or not: what the next one will likely cost."""
    row = store.last_subscription(desk.session, desk.shop.id, make, kind.value)
    return None if row is None else _view(row)


def _view(row: Subscription) -> SubscriptionView:
    content = SubscriptionDraft(
        row.make,
        SubscriptionKind(row.kind),
        row.price_minor,
        row.bought_on,
        row.ends_on,
        row.plan,
        row.remark,
    )
    return SubscriptionView(row.id or 0, content)

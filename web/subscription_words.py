"""A subscription and a plan on offer in words, and as a form holds them."""

from __future__ import annotations

from datetime import date

from kb.desk.shop.plan_offers import PlanOfferSaved
from kb.desk.shop.subscriptions import SubscriptionDraft
from kb.nouns.currency import typed_amount
from web import words


def as_typed(content: SubscriptionDraft, currency: str) -> dict[str, str]:
    """A subscription as the form would have it."""
    return {
        "make": content.make,
        "kind": content.kind.value,
        "plan": content.plan,
        "price": typed_amount(content.price_minor, currency),
        "bought_on": content.bought_on.isoformat(),
        "ends_on": content.ends_on.isoformat(),
        "remark": content.remark,
    }


def called(content: SubscriptionDraft, currency: str, today: date) -> str:
    """What was understood, so that a slip is seen: "Norvane programming, $45, Oct 31 to Nov 6"."""
    price = words.minor_money(content.price_minor, currency)
    days = dict.fromkeys((words.day(content.bought_on, today), words.day(content.ends_on, today)))
    return f"{content.make} {content.kind.value}, {price}, {' to '.join(days)}"


def offer_saved(saved: PlanOfferSaved, currency: str, today: date) -> str:
    """That a plan is saved, and which one it replaces."""
    it = saved.content
    said = (
        f"{it.make}, {words.plural(it.days, 'day')} for {words.minor_money(it.price_minor, currency)}: saved"
    )
    if saved.replaced is None:
        return f"{said}; the review weighs it from now on."
    before = words.minor_money(saved.replaced.content.price_minor, currency)
    return (
        f"{said}; it replaces the plan of {before} looked up {words.day(saved.replaced.looked_up_on, today)}."
    )

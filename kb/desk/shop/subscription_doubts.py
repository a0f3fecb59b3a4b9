"""What may be a slip about a subscription that is saved all the same: said in sentences, never refused."""

from __future__ import annotations

from datetime import date

from kb.desk.context import Desk, anyone_in_the_shop
from kb.desk.shop.plan_offers import list_plan_offers
from kb.desk.shop.subscriptions import (
    SubscriptionDraft,
    SubscriptionKind,
    SubscriptionView,
    bought_for,
    programmed_under,
)
from kb.nouns.currency import amount_said
from kb.nouns.days import day_words, days_said
from kb.vehicle.families import fold

FAR = 2
"""So many times what its days cost with the known plans, or a shorter one costs it: a guess, no source."""


@anyone_in_the_shop
def doubts(desk: Desk, one: SubscriptionView) -> tuple[str, ...]:
    """Entered twice, a day to come, a price unlike others of the make, or days that leave out its use."""
    others = [other for other in bought_for(desk, one.content.make, one.content.kind) if other.id != one.id]
    told = []
    if any(_days_of(other.content) == _days_of(one.content) for other in others):
        told.append("Another one for the same make and days is entered too: is it the same?")
    if one.content.bought_on > desk.today:
        begins = day_words(one.content.bought_on)
        told.append(f"{begins} is still to come: the review does not count it before. Is the year right?")
    told.extend(_about_the_price(desk, one.content, others))
    under = programmed_under(desk, one.id)
    outside = sum(not one.runs_on(day) for day in under)
    if outside:
        told.append(f"Programming events that name it, not within its days: {outside} of {len(under)}.")
    return tuple(told)


def _about_the_price(desk: Desk, it: SubscriptionDraft, others: list[SubscriptionView]) -> list[str]:
    """Against the least that its days cost with one known plan, and the most that no more days cost."""
    known = _known_prices(desk, it, others)
    if not known or not it.price_minor:
        return []
    length = it.length
    dearest = min(-(-length // days) * price for days, price in known.items())
    least = max((price for days, price in known.items() if days <= length), default=0)
    currency = desk.shop.currency
    said = f"{amount_said(it.price_minor, currency)} for {days_said(length)}"
    if it.price_minor > FAR * dearest:
        cost = amount_said(dearest, currency)
        return [f"{said}: with plans of {it.make} known here the same days cost {cost}. Is the price right?"]
    if it.price_minor * FAR < least:
        cost = amount_said(least, currency)
        return [f"{said}: a plan of {it.make} for no more days is known here at {cost}. Is the price right?"]
    return []


def _known_prices(desk: Desk, it: SubscriptionDraft, others: list[SubscriptionView]) -> dict[int, int]:
    """Price by length, as last paid and, for programming, as on offer. What was free tells nothing."""
    paid = {
        one.content.length: one.content.price_minor for one in reversed(others) if one.is_paid_by(desk.today)
    }
    if it.kind is not SubscriptionKind.PROGRAMMING:
        return paid
    offers = (one.content for one in list_plan_offers(desk) if fold(one.content.make) == fold(it.make))
    return paid | {one.days: one.price_minor for one in offers if one.price_minor}


def _days_of(content: SubscriptionDraft) -> tuple[date, date]:
    return content.bought_on, content.ends_on

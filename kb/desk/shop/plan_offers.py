"""What manufacturers ask for access by the day, month or year, as somebody looked it up."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from kb.desk.context import Desk, anyone_in_the_shop, lead_or_owner
from kb.desk.named_faults import named
from kb.desk.saving import row_of, saved
from kb.desk.shop.subscriptions import (
    LONGEST_DAYS,
    SubscriptionKind,
    SubscriptionView,
    bought_for,
    newest_paid,
    wrong_price,
)
from kb.errors import BadInput
from kb.nouns.copying import columns_of, copied
from kb.records.store.shop import equipment as store
from kb.records.tables import PlanOffer
from kb.vehicle.families import fold


@dataclass(frozen=True, slots=True)
class PlanOfferDraft:
    """A programming plan: `days` in a row that it covers, `price_minor` in the currency's smallest unit."""

    make: str
    days: int
    price_minor: int
    plan: str = ""


@dataclass(frozen=True, slots=True)
class PlanOfferView:
    id: int
    content: PlanOfferDraft
    looked_up_on: date
    by: str


@dataclass(frozen=True, slots=True)
class PlanOfferSaved(PlanOfferView):
    """A plan just written down; `replaced` is the one of the same make and length that stood before."""

    replaced: PlanOfferView | None = None


@anyone_in_the_shop
def list_plan_offers(desk: Desk) -> tuple[PlanOfferView, ...]:
    """Every plan that still stands, by make and length."""
    return tuple(_view(row) for row in store.plan_offers(desk.session, desk.shop.id))


@lead_or_owner
def add_plan_offer(desk: Desk, draft: PlanOfferDraft) -> PlanOfferSaved:
    """Write a plan down as looked up today; one of the same make and length is replaced.

    Raises BadInput for a missing make, or a price or number of days that cannot be.
    """
    wrong: dict[str, str] = {}
    if not draft.make.strip():
        wrong["make"] = "needed"
    if not 1 <= draft.days <= LONGEST_DAYS:
        wrong["days"] = f"1 to {LONGEST_DAYS:,}"
    if price := wrong_price(draft.price_minor, desk.shop.currency):
        wrong["price"] = price
    if wrong:
        raise BadInput(named("The plan cannot be saved like this", wrong), fields=wrong)
    before = [
        row
        for row in store.plan_offers(desk.session, desk.shop.id)
        if (fold(row.make), row.days) == (fold(draft.make), draft.days)
    ]
    for row in before:
        row.retired_on = desk.today
    made = PlanOffer(shop_id=desk.shop.id, looked_up_on=desk.today, by=desk.actor.name, **columns_of(draft))
    seen = _view(saved(desk, made, "added", "plan on offer", make=made.make, days=made.days))
    return copied(PlanOfferSaved, seen, replaced=_view(before[-1]) if before else None)


@lead_or_owner
def retire_plan_offer(desk: Desk, offer_id: int) -> PlanOfferView:
    """It is not sold any more."""
    row = row_of(desk, PlanOffer, offer_id, "There is no such plan.")
    row.retired_on = row.retired_on or desk.today
    return _view(saved(desk, row, "retired", "plan on offer"))


@anyone_in_the_shop
def price_of_access(desk: Desk, make: str, bought: Sequence[SubscriptionView] | None = None) -> int | None:
    """What one more reflash for the make will likely cost in fees, in minor units; None where nobody knows.

    The cheapest plan on offer, whatever its length, or what was last paid where that is less: after a year
    plan nobody need buy a year for one vehicle. A plan on offer may cost nothing; what was bought at 0 says
    nothing of the next time. Whoever has read what was `bought` for the make hands it over.
    """
    if bought is None:
        bought = bought_for(desk, make, SubscriptionKind.PROGRAMMING)
    last = newest_paid(bought, desk.today)
    offers = store.plan_offers(desk.session, desk.shop.id)
    prices = [row.price_minor for row in offers if fold(row.make) == fold(make)]
    return min([*prices, *([last.content.price_minor] if last else [])], default=None)


def _view(row: PlanOffer) -> PlanOfferView:
    return PlanOfferView(row.id or 0, copied(PlanOfferDraft, row), row.looked_up_on, row.by)

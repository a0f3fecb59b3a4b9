"""Subscriptions bought from manufacturers, and the programming plans that they sell."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager

from api.deps import Id, SignedInCall
from api.description.refusals import CONFLICT
from api.routing import Router
from api.schemas.money import in_whole_units
from api.schemas.subscriptions import (
    PlanOfferBody,
    PlanOfferOut,
    PlanOfferSavedOut,
    SubscriptionBody,
    SubscriptionChange,
    SubscriptionOut,
)
from kb.desk.shop import plan_offers, subscription_changes, subscriptions
from kb.desk.shop.plan_offers import PlanOfferDraft
from kb.desk.shop.subscriptions import SubscriptionDraft
from kb.errors import Conflict

router = Router(tags=["subscriptions"])


@router.get("/subscriptions")
def list_subscriptions(call: SignedInCall) -> list[SubscriptionOut]:
    """Newest first."""
    with call.reading() as desk:
        found = subscriptions.list_subscriptions(desk)
        return [SubscriptionOut.of_money(one, desk.shop.currency) for one in found]


@router.post("/subscriptions", status_code=201)
def add_subscription(body: SubscriptionBody, call: SignedInCall) -> SubscriptionOut:
    """One that was bought."""
    with call.writing() as desk:
        currency = desk.shop.currency
        made = subscriptions.add_subscription(desk, body.as_value(SubscriptionDraft, currency))
        return SubscriptionOut.of_money(made, currency)


@router.put("/subscriptions/{subscription_id}", responses=CONFLICT)
def change_subscription(subscription_id: Id, body: SubscriptionChange, call: SignedInCall) -> SubscriptionOut:
    """Correct one, whole; for the lead and the owner. A stale version is refused (409) with both texts."""
    with call.writing() as desk:
        currency = desk.shop.currency
        draft = body.as_value(SubscriptionDraft, currency)
        with _told_in_whole_units(currency):
            saved = subscription_changes.change_subscription(desk, subscription_id, body.version, draft)
        return SubscriptionOut.of_money(saved, currency)


@router.delete("/subscriptions/{subscription_id}", status_code=204, responses=CONFLICT)
def remove_subscription(subscription_id: Id, version: int, call: SignedInCall) -> None:
    """Remove one that was entered by mistake; for the lead and the owner.

    Refused (409) where a programming event names it, or the version is stale.
    """
    with call.writing() as desk, _told_in_whole_units(desk.shop.currency):
        subscription_changes.remove_subscription(desk, subscription_id, version)


@router.get("/subscription-plans")
def list_plan_offers(call: SignedInCall) -> list[PlanOfferOut]:
    """Programming plans that manufacturers sell, as looked up."""
    with call.reading() as desk:
        found = plan_offers.list_plan_offers(desk)
        return [PlanOfferOut.of_money(one, desk.shop.currency) for one in found]


@router.post("/subscription-plans", status_code=201)
def add_plan_offer(body: PlanOfferBody, call: SignedInCall) -> PlanOfferSavedOut:
    """A plan of the same make and length is replaced; the answer says which."""
    with call.writing() as desk:
        made = plan_offers.add_plan_offer(desk, body.as_value(PlanOfferDraft, desk.shop.currency))
        return PlanOfferSavedOut.of_money(made, desk.shop.currency)


@router.post("/subscription-plans/{offer_id}/retire")
def retire_plan_offer(offer_id: Id, call: SignedInCall) -> PlanOfferOut:
    """Let it no longer stand among those on offer."""
    with call.writing() as desk:
        gone = plan_offers.retire_plan_offer(desk, offer_id)
        return PlanOfferOut.of_money(gone, desk.shop.currency)


@contextmanager
def _told_in_whole_units(currency: str) -> Iterator[None]:
    """The details of a conflict as this interface tells money."""
    try:
        yield
    except Conflict as conflict:
        raise Conflict(conflict.message, details=in_whole_units(conflict.details, currency)) from None

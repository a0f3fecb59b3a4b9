"""Subscriptions that were bought, and the programming plans that manufacturers sell."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from functools import partial
from typing import Any

from fastapi import APIRouter
from starlette.responses import Response

from kb.desk.bay.concern import odd_entries
from kb.desk.bay.concern.concern_file import read_concern
from kb.desk.shop import plan_offers, subscription_changes, subscription_doubts, subscriptions
from kb.desk.shop.plan_offers import PlanOfferDraft
from kb.desk.shop.subscriptions import SubscriptionDraft, SubscriptionKind, SubscriptionView
from kb.errors import BadInput, Conflict, KbError
from web import words
from web.query_values import number_asked
from web.shown_again import shown_again
from web.subscription_words import as_typed, called, offer_saved
from web.visits import Somebody, Visit

router = APIRouter(prefix="/shop")
AT_ONCE = 25
"""Subscriptions on the page, those that run first, before somebody asks for all of them."""


def _one(visit: Visit, subscription_id: int, refused: KbError | None = None, **more: Any) -> Response:
    visit.only("lead", "owner")
    with visit.reading() as desk:
        one = subscriptions.read_subscription(desk, subscription_id)
        under = subscriptions.programmed_under(desk, subscription_id)
    return visit.page(
        "shop/subscription.html",
        place="/shop",
        one=one,
        under=under,
        begin=as_typed(one.content, visit.shop.facts.currency),
        address=f"/shop/subscriptions/{subscription_id}",
        refused=refused,
        **more,
    )


def _list(visit: Visit, refused: KbError | None = None, form: str = "subscription") -> Response:
    asked = visit.request.query_params
    like = number_asked(asked.get("like", ""), "like")
    concern = visit.typed.text("for_concern") if refused else asked.get("for_concern", "")
    for_concern = number_asked(concern, "concern")
    with visit.reading() as desk:
        found = subscriptions.list_subscriptions(desk)
        offers = plan_offers.list_plan_offers(desk)
        begin = _begin(visit, subscriptions.read_subscription(desk, like) if like else None)
        make = read_concern(desk, for_concern).vehicle.make if for_concern else ""
    ordered = sorted(found, key=lambda one: not one.runs_on(visit.today()))
    return visit.page(
        "shop/subscriptions.html",
        place="/shop",
        shown=ordered if asked.get("all", "") == "yes" else ordered[:AT_ONCE],
        count=len(found),
        offers=offers,
        begin={**begin, "make": begin["make"] or make},
        for_concern=for_concern,
        open_form=like is not None or for_concern is not None or not found,
        refused=refused,
        sent=form if refused else "",
        address="/shop/subscriptions",
    )


@router.get("/subscriptions")
def show_list(visit: Somebody) -> Response:
    return _list(visit)


@router.post("/subscriptions")
@shown_again(_list)
def add(visit: Somebody) -> Response:
    """`for_concern`: the concern from whose prep list it is entered, and goes back to."""
    draft = _draft(visit)
    with visit.writing() as desk:
        saved = subscriptions.add_subscription(desk, draft)
        said = (*subscription_doubts.doubts(desk, saved), *odd_entries.unknown_makes(desk, (draft.make,)))
    concern_id = visit.typed.whole("for_concern")
    there = "/shop/subscriptions" if concern_id is None else f"/concerns/{concern_id}/prep"
    return visit.go(there, said=" ".join((f"{_called(visit, saved)}: saved.", *said)))


@router.get("/subscriptions/{subscription_id}")
def show_one(visit: Somebody, subscription_id: int) -> Response:
    return _one(visit, subscription_id)


@router.post("/subscriptions/{subscription_id}")
@shown_again(_one)
def correct(visit: Somebody, subscription_id: int) -> Response:
    """A stale version shows both; saving again from there puts one's own in place."""
    draft = _draft(visit)
    with visit.writing() as desk:
        version = visit.typed.must_whole("version", "version")
        saved = subscription_changes.change_subscription(desk, subscription_id, version, draft)
        said = (*subscription_doubts.doubts(desk, saved), *odd_entries.unknown_makes(desk, (draft.make,)))
    return visit.go("/shop/subscriptions", said=" ".join((f"{_called(visit, saved)}: corrected.", *said)))


@router.post("/subscriptions/{subscription_id}/remove")
@shown_again(partial(_one, typed=None), Conflict)
def remove(visit: Somebody, subscription_id: int) -> Response:
    with visit.writing() as desk:
        version = visit.typed.must_whole("version", "version")
        gone = subscription_changes.remove_subscription(desk, subscription_id, version)
    return visit.go("/shop/subscriptions", said=f"{_called(visit, gone)}: removed.")


@router.post("/plan-offers")
@shown_again(partial(_list, form="offer"))
def add_plan_offer(visit: Somebody) -> Response:
    typed = visit.typed
    draft = PlanOfferDraft(
        typed.text("offer_make"),
        typed.must_whole("offer_days", "number of days that the plan covers"),
        typed.must_minor("offer_price", visit.shop.facts.currency, "price of the plan"),
        typed.text("offer_plan"),
    )
    said = _saved_offer(visit, draft)
    return visit.go("/shop/subscriptions", said=said)


@router.post("/plan-offers/{offer_id}/retire")
def retire_plan_offer(visit: Somebody, offer_id: int) -> Response:
    with visit.writing() as desk:
        gone = plan_offers.retire_plan_offer(desk, offer_id)
    said = f"{gone.content.make}, {words.plural(gone.content.days, 'day')}: no longer on offer."
    return visit.go("/shop/subscriptions", said=said)


def _called(visit: Visit, one: SubscriptionView) -> str:
    return called(one.content, visit.shop.facts.currency, visit.today())


def _draft(visit: Visit) -> SubscriptionDraft:
    typed = visit.typed
    return SubscriptionDraft(
        make=typed.text("make"),
        kind=typed.one_of("kind", SubscriptionKind, SubscriptionKind.PROGRAMMING),
        price_minor=typed.must_minor("price", visit.shop.facts.currency, "price"),
        bought_on=typed.must_day("bought_on", "day it was bought"),
        ends_on=typed.must_day("ends_on", "last day", ahead=True),
        plan=typed.text("plan"),
        remark=typed.text("remark"),
    )


def _saved_offer(visit: Visit, draft: PlanOfferDraft) -> str:
    """Save it; the sentence to be said. Raises BadInput that names the fields of this page."""
    try:
        with visit.writing() as desk:
            saved = plan_offers.add_plan_offer(desk, draft)
            slipped = odd_entries.unknown_makes(desk, (draft.make,))
    except BadInput as refused:
        fields = {f"offer_{name}": why for name, why in refused.fields.items()}
        raise BadInput(refused.message, fields=fields) from None
    return " ".join((offer_saved(saved, visit.shop.facts.currency, visit.today()), *slipped))


def _begin(visit: Visit, like: SubscriptionView | None) -> Mapping[str, str]:
    """An empty form of today, or one for the same again: the same length from today on."""
    today = visit.today()
    if like is None:
        empty = dict.fromkeys(("make", "plan", "price", "ends_on", "remark"), "")
        return empty | {"kind": SubscriptionKind.PROGRAMMING.value, "bought_on": today.isoformat()}
    it = like.content
    again = replace(it, bought_on=today, ends_on=today + (it.ends_on - it.bought_on), remark="")
    return as_typed(again, visit.shop.facts.currency)

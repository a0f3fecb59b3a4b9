"""One piece of equipment: what it cost, how long it serves, and what ran on it since when."""

from __future__ import annotations

from fastapi import APIRouter
from starlette.responses import Response

from api.who_may import decided_by
from kb.desk.shop import upkeep
from kb.desk.shop.upkeep import EquipmentCost, VersionDraft
from kb.errors import KbError, NotFound
from kb.nouns.currency import typed_amount
from web.shown_again import shown_again
from web.visits import Somebody, Visit

router = APIRouter(prefix="/shop/equipment/{equipment_id}")


def _page(visit: Visit, equipment_id: int, refused: KbError | None = None) -> Response:
    visit.only("lead", "owner")
    with visit.reading() as desk:
        every = upkeep.list_upkeep(desk, retired_too=True)
    one = next((one for one in every if one.piece.id == equipment_id), None)
    if one is None:
        raise NotFound("There is no such equipment.")
    price = one.cost.price_minor
    typed = "" if price is None else typed_amount(price, visit.shop.facts.currency)
    return visit.page("shop/upkeep.html", place="/shop", one=one, price=typed, refused=refused)


@router.get("")
def show(visit: Somebody, equipment_id: int) -> Response:
    return _page(visit, equipment_id)


@router.post("/cost")
@shown_again(_page)
def save_cost(visit: Somebody, equipment_id: int) -> Response:
    typed = visit.typed
    price = typed.minor("price", visit.shop.facts.currency, "price")
    with visit.writing() as desk:
        upkeep.put_cost(desk, equipment_id, EquipmentCost(price, typed.whole("years", "years")))
    return visit.go(
        f"/shop/equipment/{equipment_id}", said="Saved. The comparison of ways counts it from now on."
    )


@router.post("/versions")
@decided_by(upkeep.list_upkeep)
@shown_again(_page)
def save_version(visit: Somebody, equipment_id: int) -> Response:
    typed = visit.typed
    draft = VersionDraft(**typed.texts("firmware", "driver"), since=typed.must_day("since", "day"))
    with visit.writing() as desk:
        upkeep.add_version(desk, equipment_id, draft)
    return visit.go(
        f"/shop/equipment/{equipment_id}", said="Saved. Programming since that day is recorded with it."
    )

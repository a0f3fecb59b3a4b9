"""What others charge for programming, entered by the lead and the owner."""

from __future__ import annotations

from fastapi import APIRouter
from starlette.responses import Response

from kb.desk import settings as settings_desk
from kb.desk.bay.concern import odd_entries
from kb.desk.shop import way_prices
from kb.errors import KbError
from kb.nouns.currency import typed_amount
from kb.nouns.shop.ways import Way, WayPrice, WayPriceDraft
from web.query_values import OptionalId
from web.shown_again import shown_again
from web.visits import Somebody, Visit

router = APIRouter(prefix="/shop/ways")
_TEXTS = ("make", "module", "asked_of", "remark")


def _page(visit: Visit, refused: KbError | None = None, change: int | None = None) -> Response:
    with visit.reading() as desk:
        prices = way_prices.list_way_prices(desk)
        settings = settings_desk.current(desk)
    chosen = next((one for one in prices if one.id == change), None)
    version = refused.details.get("version") if refused else None
    return visit.page(
        "shop/ways.html",
        place="/shop",
        refused=refused,
        prices=prices,
        settings=settings,
        begin=_begin(chosen, visit.shop.facts.currency),
        version=version or visit.typed.whole("version") or (chosen.version if chosen else 0),
    )


@router.get("")
def show(visit: Somebody, change: OptionalId = None) -> Response:
    """Every price; the one to `change` in the form."""
    return _page(visit, change=change)


@router.post("")
@shown_again(_page)
def save(visit: Somebody) -> Response:
    typed = visit.typed
    draft = WayPriceDraft(
        **typed.texts(*_TEXTS),
        way=typed.must_be_one_of("way", Way, "Say who charges it."),
        price_minor=typed.must_minor("price", visit.shop.facts.currency, "price"),
        days=typed.must_whole("days", "days"),
        asked_on=typed.must_day("asked_on", "day"),
    )
    with visit.writing() as desk:
        slipped = odd_entries.unknown_makes(desk, (draft.make,))
        way_prices.put_way_price(desk, draft, typed.whole("version") or 0)
    return visit.go(
        "/shop/ways", said=" ".join((f"{draft.make}: saved. The advice counts with it.", *slipped))
    )


@router.post("/{price_id}/retire")
def retire(visit: Somebody, price_id: int) -> Response:
    with visit.writing() as desk:
        way_prices.retire_way_price(desk, price_id)
    return visit.go("/shop/ways", said="Taken out: nobody counts with it any more.")


def _begin(one: WayPrice | None, currency: str) -> dict[str, str]:
    """The price as somebody would type it."""
    if one is None:
        return dict.fromkeys((*_TEXTS, "price", "days", "asked_on"), "") | {"way": Way.MOBILE.value}
    it = one.content
    return {name: getattr(it, name) for name in _TEXTS} | {
        "way": it.way.value,
        "price": typed_amount(it.price_minor, currency),
        "days": str(it.days),
        "asked_on": it.asked_on.isoformat(),
    }

"""What others charge for programming, by make and module."""

from __future__ import annotations

from api.deps import Id, SignedInCall
from api.description.refusals import CONFLICT
from api.routing import Router
from api.schemas.subscriptions import WayPriceBody, WayPriceOut
from kb.desk.shop import way_prices
from kb.nouns.shop.ways import WayPriceDraft

router = Router(prefix="/way-prices", tags=["equipment"])


@router.get("")
def list_way_prices(call: SignedInCall) -> list[WayPriceOut]:
    """Every price that stands, by make, module and way; what it costs here is worked out."""
    with call.reading() as desk:
        return [WayPriceOut.told(one, desk.shop.currency) for one in way_prices.list_way_prices(desk)]


@router.put("", responses=CONFLICT)
def put_way_price(body: WayPriceBody, call: SignedInCall) -> WayPriceOut:
    """For the lead and the owner: a price, in place of the one for the same make, module and way."""
    with call.writing() as desk:
        currency = desk.shop.currency
        draft = body.as_value(WayPriceDraft, currency)
        return WayPriceOut.told(way_prices.put_way_price(desk, draft, body.version), currency)


@router.post("/{price_id}/retire")
def retire_way_price(price_id: Id, call: SignedInCall) -> WayPriceOut:
    """For the lead and the owner: nobody counts with it any more."""
    with call.writing() as desk:
        return WayPriceOut.told(way_prices.retire_way_price(desk, price_id), desk.shop.currency)

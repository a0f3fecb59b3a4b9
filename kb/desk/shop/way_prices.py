"""What others charge for programming, by make and module, as somebody asked it."""

from __future__ import annotations

from datetime import date

from kb.advice.ways import offers_for
from kb.desk import settings as settings_desk
from kb.desk.context import Desk, anyone_in_the_shop, lead_or_owner
from kb.desk.named_faults import named
from kb.desk.saving import changed, refuse_stale, row_of, saved
from kb.desk.shop.subscriptions import wrong_price
from kb.errors import BadInput
from kb.nouns.copying import columns_of, copied
from kb.nouns.currency import to_major
from kb.nouns.shop.ways import AWAY, Way, WayOffer, WayPrice, WayPriceDraft
from kb.records.store.shop import ways as store
from kb.records.tables import WayPriceRow
from kb.vehicle.families import fold

MOST_DAYS = 365
LONGEST = {"make": 80, "module": 40, "asked_of": 80, "remark": 200}
_EARLIEST = date(1990, 1, 1)


@anyone_in_the_shop
def list_way_prices(desk: Desk) -> tuple[WayPrice, ...]:
    """Every price that stands, by make, module and way."""
    prices = desk.memory.recall("way prices", (desk.today, *desk.up_to("settings")), lambda: _all(desk))
    return tuple(prices)


@anyone_in_the_shop
def offers_of(desk: Desk, make: str, module: str) -> tuple[WayOffer, ...]:
    """What others ask for this module of this make: its own price, else that for any module of the make."""
    theirs = [one for one in list_way_prices(desk) if fold(one.content.make) == fold(make)]
    return offers_for([(fold(one.content.module), _offer(desk, one)) for one in theirs], fold(module))


@lead_or_owner
def put_way_price(desk: Desk, draft: WayPriceDraft, version: int = 0) -> WayPrice:
    """Write a price down, in place of the one for the same make, module and way; version 0 for a new one.

    Raises BadInput for the way *here*, which is worked out, and for what cannot be; Conflict where somebody
    saved that price since `version`.
    """
    _refuse_what_cannot_be(desk, draft)
    folded = {"make_folded": fold(draft.make), "module_folded": fold(draft.module)}
    told = columns_of(draft) | folded | {"by": desk.actor.name}
    standing = store.way_prices(desk.session, desk.shop.id)
    row = next((one for one in standing if _key(one) == _key(draft)), None)
    if row is None:
        row = WayPriceRow(shop_id=desk.shop.id, **told)
    else:
        both = {"yours": draft.price_minor, "theirs": row.price_minor}
        said = f"Somebody saved this price of {row.make} meanwhile. Load it again."
        refuse_stale(row, version, said, **both)
        row = changed(row, told)
    return _saved(desk, row, "asked the price")


@lead_or_owner
def retire_way_price(desk: Desk, price_id: int) -> WayPrice:
    """Nobody counts with it any more."""
    row = row_of(desk, WayPriceRow, price_id, "There is no such price.")
    row.retired_on = row.retired_on or desk.today
    return _saved(desk, row, "retired")


def _saved(desk: Desk, row: WayPriceRow, did: str) -> WayPrice:
    return _view(desk, saved(desk, row, did, "way price", "settings", make=row.make, way=row.way))


def _key(one: WayPriceRow | WayPriceDraft) -> tuple[str, str, str]:
    return fold(one.make), fold(one.module), str(one.way)


def _all(desk: Desk) -> list[WayPrice]:
    return [_view(desk, row) for row in store.way_prices(desk.session, desk.shop.id)]


def _offer(desk: Desk, one: WayPrice) -> WayOffer:
    price = to_major(one.content.price_minor, desk.shop.currency)
    return copied(WayOffer, one.content, price=price, is_old=one.is_old)


def _view(desk: Desk, row: WayPriceRow) -> WayPrice:
    content = copied(WayPriceDraft, row, way=Way(row.way))
    limit = settings_desk.current(desk).way_price_limit_days
    return WayPrice(row.id or 0, row.version, row.by, content.is_old(desk.today, limit), content)


def _refuse_what_cannot_be(desk: Desk, draft: WayPriceDraft) -> None:
    wrong = {
        name: f"up to {most} characters" for name, most in LONGEST.items() if len(getattr(draft, name)) > most
    }
    if not draft.make.strip():
        wrong["make"] = "name the make"
    if draft.way not in AWAY:
        wrong["way"] = "what it costs here is worked out: enter what somebody else charges"
    if not 0 <= draft.days <= MOST_DAYS:
        wrong["days"] = f"0 to {MOST_DAYS} days"
    if price := wrong_price(draft.price_minor, desk.shop.currency):
        wrong["price"] = price
    if not _EARLIEST <= draft.asked_on <= desk.today:
        wrong["asked_on"] = "the day you asked, today or before"
    if wrong:
        raise BadInput(named("The price cannot be saved like this", wrong), fields=wrong)

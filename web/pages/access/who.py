"""Who is at the tablet now: by name and PIN, on a device that several people share and where one was turned
to a customer.
"""

from __future__ import annotations

from fastapi import APIRouter
from starlette.responses import Response

from kb.desk.access import handing_over, shared_devices, showing_who
from kb.desk.access.sessions import SignedIn
from kb.desk.access.shared_devices import Place, Tile
from kb.desk.access.showing_who import Shown
from kb.errors import KbError, NotAllowed, NotSignedIn, TooMany
from web.going import ours
from web.visits import Anybody, Visit

router = APIRouter(prefix="/who")


def tiles_here(visit: Visit) -> tuple[Tile, ...]:
    """Who may show themselves by PIN on this device: everybody who has one on a shared device, and whoever
    turned theirs to a customer.
    """
    with visit.reading() as desk:
        found = shared_devices.tiles(desk, visit.shared_key)
    turned = visit.visitor
    if turned is None or turned.handed_over is None or turned.actor.user_id in {one.user_id for one in found}:
        return found
    return (Tile(turned.actor.user_id, turned.display_name), *found)


@router.get("")
def show_tiles(visit: Anybody, next: str = "/") -> Response:  # noqa: A002  # the name in the address
    there, tiles = ours(next), tiles_here(visit)
    if len(tiles) == 1:
        return visit.go(f"/who/{tiles[0].user_id}", next=there)
    if not tiles:
        return visit.go("/sign-in", next=there, **{"with": "password"})
    return visit.page("who/tiles.html", tiles=tiles, next=there)


@router.get("/{user_id}")
def show_one(visit: Anybody, user_id: int, next: str = "/") -> Response:  # noqa: A002  # as above
    return _pin_page(visit, user_id, ours(next))


@router.post("/{user_id}")
def come_in(visit: Anybody, user_id: int) -> Response:
    typed = visit.typed
    try:
        signed_in = _shown(visit, Shown(user_id, typed.raw("pin"), visit.device()))
    except (NotSignedIn, NotAllowed, TooMany) as refused:
        return _pin_page(visit, user_id, ours(typed.raw("next")), refused)
    return visit.let_in(signed_in, ours(typed.raw("go") or typed.raw("next")))


def _shown(visit: Visit, shown: Shown) -> SignedIn:
    """Whoever turned the tablet to a customer goes on as they were; anybody else takes it over."""
    turned = visit.visitor
    if turned is not None and turned.handed_over is not None and turned.actor.user_id == shown.user_id:
        return handing_over.take_back(visit.shop, visit.actor, shown)
    return showing_who.change_person(visit.shop, visit.shared_key, shown)


def _pin_page(visit: Visit, user_id: int, there: str, refused: KbError | None = None) -> Response:
    tiles = tiles_here(visit)
    tile = next((one for one in tiles if one.user_id == user_id), None)
    if tile is None:
        return visit.go("/sign-in", next=there, **{"with": "password"})
    return visit.page(
        "who/pin.html",
        tile=tile,
        others=len(tiles) > 1,
        next=there,
        there_before=_place(visit, user_id, there),
        asks_password=_asks_password(visit, user_id),
        refused=refused,
    )


def _place(visit: Visit, user_id: int, there: str) -> Place | None:
    """Where that person left this device, if that is elsewhere."""
    with visit.reading() as desk:
        place = shared_devices.place_on(desk, visit.shared_key, user_id)
    return None if place is None or place.path == there else place


def _asks_password(visit: Visit, user_id: int) -> bool:
    """Whoever turned a tablet of their own and has no PIN shows themselves by password."""
    with visit.reading() as desk:
        return not shared_devices.has_pin(desk, user_id)

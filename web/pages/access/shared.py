"""Tablets that several people share, marked by a lead or owner at the tablet itself."""

from __future__ import annotations

from fastapi import APIRouter
from starlette.responses import Response

from api.connection import cookies
from api.security import SHARED_COOKIE
from kb.desk.access import accounts, shared_devices
from kb.desk.access.devices import DEVICE_IS_KNOWN
from kb.errors import KbError
from web.shown_again import shown_again
from web.visits import Somebody, Visit

router = APIRouter(prefix="/shop/shared-tablets")


def _page(visit: Visit, refused: KbError | None = None) -> Response:
    visit.only("lead", "owner")
    with visit.reading() as desk:
        listed = shared_devices.list_shared_devices(desk)
        here = shared_devices.shared_device(desk, visit.shared_key)
        with_pin = [one.display_name for one in accounts.list_users(desk) if one.has_pin and not one.disabled]
    return visit.page(
        "shop/shared_tablets.html",
        place="/shop",
        devices=listed,
        here_is=here,
        with_pin=with_pin,
        refused=refused,
    )


@router.get("")
def show(visit: Somebody) -> Response:
    return _page(visit)


@router.post("")
@shown_again(_page)
def share(visit: Somebody) -> Response:
    """The device that asks, by a cookie that it keeps."""
    with visit.writing() as desk:
        key = shared_devices.share_device(desk, visit.typed.text("device"))
    response = visit.go("/shop/shared-tablets", said="This tablet is shared now.")
    cookies.give(visit.request, response, SHARED_COOKIE, key, DEVICE_IS_KNOWN)
    return response


@router.post("/{device_id}/end")
def share_no_more(visit: Somebody, device_id: int) -> Response:
    with visit.writing() as desk:
        shared_devices.share_no_more(desk, device_id)
    return visit.go("/shop/shared-tablets", said="Nobody comes in by PIN there any more.")

"""How a tablet gets to the shop's pages: the address, its code for a camera, and what is encrypted."""

from __future__ import annotations

from fastapi import APIRouter
from markupsafe import Markup
from starlette.responses import Response

from api.connection import qr
from api.connection.reach import reach
from api.settings import from_environment
from web.visits import Somebody

router = APIRouter(prefix="/shop/reach")


@router.get("")
def show(visit: Somebody) -> Response:
    found = reach(from_environment(), visit.shop.clock())
    code = Markup(qr.as_svg(found.begins_at)) if found.pages else ""  # noqa: S704  # drawn from figures alone
    return visit.page("shop/reach.html", place="/shop", reach=found, code=code)

"""What a new shop's start page asks for first; each step is ticked by what is on file."""

from __future__ import annotations

from fastapi import APIRouter
from starlette.responses import Response

from api.who_may import decided_by
from kb.desk.review import first_steps
from kb.desk.shop import identity
from kb.errors import BadInput
from web.visits import Somebody

router = APIRouter(prefix="/first-steps")


@router.post("/money")
@decided_by(first_steps.answer_money)
def answer_money(visit: Somebody) -> Response:
    """Labor rate, of ten reflashes sold on a bulletin alone how many cured, and the owner's time zone."""
    typed = visit.typed
    try:
        with visit.writing() as desk:
            if typed.text("timezone") not in ("", desk.shop.timezone):
                first_steps.choose_zone(desk, typed.text("timezone"))
            first_steps.answer_money(desk, typed.text("labor_rate"), typed.text("cured_in_10"))
    except BadInput as refused:
        zones = identity.zones_offered()
        return visit.page("first_steps_money.html", place="/concerns", refused=refused, zones=zones)
    return visit.go("/concerns", said="Kept. Every price and piece of advice rests on it from now on.")


@router.post("/put-away")
def put_away(visit: Somebody) -> Response:
    with visit.writing() as desk:
        first_steps.put_away(desk, away=True)
    return visit.go("/concerns", said="Put away. Shop → First steps brings the list back.")


@router.post("/bring-back")
def bring_back(visit: Somebody) -> Response:
    with visit.writing() as desk:
        first_steps.put_away(desk, away=False)
    return visit.go("/concerns")

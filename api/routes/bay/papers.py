"""What leaves the shop about a concern, as text."""

from __future__ import annotations

from typing import Annotated, Any

from fastapi import Query
from starlette.responses import PlainTextResponse, Response

from api.deps import Id, SignedInCall
from api.routing import Router
from api.schemas.base import Word
from kb.desk.bay.papers import customer_word, ro_lines
from kb.nouns.bay.customer_word import IF_NOT_CURED, CustomerWord, Proposal
from kb.nouns.currency import to_minor

router = Router(prefix="/concerns/{concern_id}", tags=["concerns"])

_AS_TEXT: dict[int | str, dict[str, Any]] = {200: {"content": {"text/plain": {"schema": {"type": "string"}}}}}
OnlyAscii = Annotated[bool, Query(alias="ascii")]


@router.get("/ro-text", response_class=Response, responses=_AS_TEXT)
def ro_text(concern_id: Id, call: SignedInCall, only_ascii: OnlyAscii = False) -> Response:
    """Concern, cause, correction, IDs before and after, voltage, calibrations and relearns, as they are on
    file: lines of at most 72 characters. With `ascii` no other letters.
    """
    with call.reading() as desk:
        text = ro_lines.ro_text(desk, concern_id, only_ascii=only_ascii)
    return PlainTextResponse(text, headers={"Cache-Control": "no-store"})


@router.get("/customer-word")
def read_customer_word(
    concern_id: Id,
    call: SignedInCall,
    amount: Annotated[float, Query(ge=0, lt=1e7)],
    proposed: Word = "",
    if_not_cured: Word = IF_NOT_CURED[0],
    programs: bool = True,
) -> CustomerWord:
    """What the customer is told before they agree: large plain sentences, a phone script of three, a text to
    send. Nothing is saved; the answer goes to `authorizations`.
    """
    with call.reading() as desk:
        said = proposed or customer_word.suggest(desk, concern_id).proposed
        proposal = Proposal(said, to_minor(amount, desk.shop.currency), if_not_cured, programs)
        return customer_word.customer_word(desk, concern_id, proposal)

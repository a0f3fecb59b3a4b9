"""What leaves the shop about a concern, as text."""

from __future__ import annotations

from typing import Annotated, Any

from fastapi import APIRouter, Query
from starlette.responses import PlainTextResponse, Response

from api.deps import Id, SignedInCall
from kb.desk.bay.papers import ro_lines

router = APIRouter(prefix="/concerns/{concern_id}", tags=["concerns"])

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

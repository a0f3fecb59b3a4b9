"""Preparing a module for programming, line by line."""

from __future__ import annotations

from typing import Annotated

from fastapi import Query

from api.deps import Id, SignedInCall
from api.routing import Router
from api.schemas.base import BIGGEST_ID, Word
from api.schemas.prep import PrepBody, PrepOut, WindowBody, prep_out
from kb.desk.bay.programming import prep

router = Router(prefix="/concerns/{concern_id}/prep", tags=["prep"])

NoteId = Annotated[int | None, Query(ge=1, le=BIGGEST_ID)]


@router.get("")
def prep_list(concern_id: Id, call: SignedInCall, note: NoteId = None) -> PrepOut:
    """One list from the bulletin, the manufacturer's requirements and the shop's equipment.

    `note` names the update; the best candidate if left out. The manufacturer's instructions decide.
    """
    with call.reading() as desk:
        return prep_out(prep.prep_list(desk, concern_id, note))


@router.put("/{item}")
def settle_prep(concern_id: Id, item: Word, body: PrepBody, call: SignedInCall) -> PrepOut:
    """Tick a line, or pass it over with a reason; either is under the caller's name."""
    with call.writing() as desk:
        if body.passed_over:
            prep.pass_over(desk, concern_id, item, body.passed_over, body.note, body.measured)
        else:
            prep.tick(desk, concern_id, item, body.measured, body.note)
        return prep_out(prep.prep_list(desk, concern_id, body.note))


@router.put("/{item}/window")
def confirm_window(concern_id: Id, item: Word, body: WindowBody, call: SignedInCall) -> PrepOut:
    """Let a printed window past the usual limits count (lead or owner), with its source."""
    with call.writing() as desk:
        prep.confirm_window(desk, concern_id, item, body.source, body.note)
        return prep_out(prep.prep_list(desk, concern_id, body.note))


@router.delete("/{item}")
def open_prep_again(concern_id: Id, item: Word, call: SignedInCall, note: NoteId = None) -> PrepOut:
    """Take back what was said of a line."""
    with call.writing() as desk:
        prep.untick(desk, concern_id, item)
        return prep_out(prep.prep_list(desk, concern_id, note))


@router.post("/replaced-module-done")
def go_on_with_replaced(concern_id: Id, call: SignedInCall, note: NoteId = None) -> PrepOut:
    """Pass the stop of a replaced module, under the caller's name, once its own list is settled."""
    with call.writing() as desk:
        prep.go_on_with_replaced(desk, concern_id, note)
        return prep_out(prep.prep_list(desk, concern_id, note))

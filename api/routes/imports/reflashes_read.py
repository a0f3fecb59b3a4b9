"""Reflashes that were read from the correction texts of an import: looked at, counted, left out."""

from __future__ import annotations

from typing import Annotated

from fastapi import Path, Request, Response

from api.deps import Id, SignedInCall
from api.paging import NEXT, After, Most, name_next
from api.routing import Router
from api.schemas.imports import ReflashAnswerIn
from kb.desk.imports import reflashes_answered, reflashes_read
from kb.nouns.history.reflashes_read import Answered, ReflashesRead, Said, TextRead

router = Router(prefix="/imports/{import_id}/reflashes-read", tags=["imports"])

Group = Annotated[str, Path(max_length=40)]


@router.get("")
def list_reflashes_read(import_id: Id, call: SignedInCall) -> ReflashesRead:
    """What the texts of rows tell that name no update themselves, alike texts in one group."""
    with call.reading() as desk:
        return reflashes_read.reflashes_read(desk, import_id)


@router.post("")
def count_every_named_reflash(import_id: Id, call: SignedInCall) -> Answered:
    """Count every open group whose texts name their update."""
    with call.writing() as desk:
        return reflashes_answered.take_every_named(desk, import_id)


@router.get("/{group}", responses=NEXT)
def list_texts_read(
    import_id: Id,
    group: Group,
    call: SignedInCall,
    request: Request,
    response: Response,
    limit: Most = 100,
    after: After = None,
) -> list[TextRead]:
    """The texts of one group by the file's order. Where more follow, the header Link names the next call."""
    with call.reading() as desk:
        found = reflashes_read.texts_read(desk, import_id, group, limit, after)
    name_next(request, response, found, limit)
    return list(found)


@router.post("/{group}")
def answer_reflashes_read(import_id: Id, group: Group, body: ReflashAnswerIn, call: SignedInCall) -> Answered:
    """Count the reflashes of a group, leave them out, or take an answer back; `only` names single texts.

    Nothing counts before. What is counted becomes a row of the history, as if it had named its update.
    """
    with call.writing() as desk:
        return reflashes_answered.answer_reflashes(desk, import_id, group, body.as_value(Said))

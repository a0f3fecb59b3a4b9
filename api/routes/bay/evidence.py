"""The concerns behind a number of the advice."""

from __future__ import annotations

from typing import Annotated

from fastapi import Query

from api.deps import SignedInCall
from api.paging import After
from api.routing import Router
from api.schemas.base import BIGGEST_ID, Word
from kb.desk.bay.advice import evidence_concerns
from kb.desk.bay.advice.evidence_concerns import EvidenceBehind
from kb.nouns.notes import Grade

router = Router(prefix="/evidence", tags=["advice"])


@router.get("/{key}")
def evidence_behind(
    key: Word,
    call: SignedInCall,
    update: Annotated[int | None, Query(ge=1, le=BIGGEST_ID)] = None,
    grade: Grade | None = None,
    after: After = None,
) -> EvidenceBehind:
    """`key` as in an advice: "start" with `update`, "grade" with `grade`, "past", or a check's key.

    A group lists its newest 200 concerns; those before them follow `after` its last one.
    """
    with call.reading() as desk:
        return evidence_concerns.evidence_behind(desk, key, update, grade, after)

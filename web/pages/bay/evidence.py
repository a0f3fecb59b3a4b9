"""The concerns behind a number of the advice."""

from __future__ import annotations

from fastapi import APIRouter
from starlette.responses import Response

from kb.desk.bay.advice import evidence_concerns
from kb.errors import NotFound
from kb.nouns.notes import Grade
from web.query_values import OptionalId
from web.visits import Somebody

router = APIRouter(prefix="/evidence")


@router.get("/{key}")
def show(visit: Somebody, key: str, update: OptionalId = None, grade: str = "") -> Response:
    if grade and grade not in set(Grade):
        raise NotFound("A match was strong, partial or weak.")
    with visit.reading() as desk:
        found = evidence_concerns.evidence_behind(desk, key, update, Grade(grade) if grade else None)
    return visit.page("concern/evidence.html", place="/concerns", behind=found)

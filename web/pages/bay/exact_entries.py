"""The exact entries: what is typed at the programming computer, found by RO number."""

from __future__ import annotations

import re

from fastapi import APIRouter
from starlette.responses import Response

from kb.desk.bay.concern.concern_file import read_concern
from kb.desk.bay.handover import concern_list
from kb.desk.bay.programming import prep
from web.query_values import OptionalId
from web.visits import Somebody

router = APIRouter()


@router.get("/exact")
def find_exact(visit: Somebody, ro: str = "") -> Response:
    """The exact entries by RO number, for the computer that has no list of concerns open."""
    wanted = _folded(ro)
    number = re.sub(r"^RO[\s#]*", "", ro.strip(), flags=re.IGNORECASE).partition("-")[0].strip()
    digits = re.match(r"\d+", number)
    with visit.reading() as desk:
        found = concern_list.list_concerns(desk, "", digits[0] if digits else number) if wanted else ()
    mine = [one for one in found if wanted in (_folded(one.ref), _folded(one.ref.rpartition("-")[0]))]
    if len(mine) == 1:
        return visit.go(f"/concerns/{mine[0].id}/exact")
    return visit.page("programming/find.html", place="/concerns", ro=ro, lines=mine)


def _folded(ref: str) -> str:
    """RO 2087-A, ro2087a and 2087 a are one number."""
    return re.sub(r"^RO", "", re.sub(r"[\s#-]", "", ref).upper())


@router.get("/concerns/{concern_id}/exact")
def exact(visit: Somebody, concern_id: int, update: OptionalId = None) -> Response:
    """What is typed at the programming computer, exactly as printed."""
    with visit.reading() as desk:
        concern, listed = read_concern(desk, concern_id), prep.prep_list(desk, concern_id, update)
    return visit.page(
        "programming/exact.html", place="/concerns", concern=concern, prep=listed, update=update
    )

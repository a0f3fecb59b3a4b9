"""Searching notes and past concerns."""

from __future__ import annotations

import re
from typing import Annotated, Any

from fastapi import Query
from pydantic import AfterValidator, BeforeValidator, WithJsonSchema

from api.deps import SignedInCall
from api.routing import Router
from api.schemas.base import Word
from api.schemas.search import ReadVehicleOut, ResultOut, SearchOut
from kb.desk.bay.search import search as desk_search
from kb.desk.bay.search.results import SearchResult

router = Router(tags=["search"])


def _split(typed: str) -> tuple[str, ...]:
    return tuple(part for part in re.split(r"[\s,;]+", typed) if part)


def _none_if_empty(typed: Any) -> Any:
    return None if typed == "" else typed


Several = Annotated[list[str], Query(max_length=10)]
_YEAR = {"anyOf": [{"type": "integer"}, {"const": "", "type": "string"}, {"type": "null"}]}
Year = Annotated[int | None, BeforeValidator(_none_if_empty), WithJsonSchema(_YEAR)]
LongQuery = Annotated[str, Query(max_length=10_000), AfterValidator(lambda text: text.replace("\x00", " "))]


@router.get("/search", response_model=SearchOut, response_model_exclude_unset=True)
def search(
    call: SignedInCall,
    q: LongQuery = "",
    codes: Word = "",
    make: Word = "",
    model: Word = "",
    year: Year = None,
    kind: Several = [],  # noqa: B006  # FastAPI copies it for every request
    limit: Annotated[int, Query(ge=1, le=100)] = 10,
    as_typed: Word = "",
    read_vehicle: bool = True,
) -> dict[str, Any]:
    """Notes and past concerns for a complaint in any words, best first, each with the reason.

    `codes` are split on space, comma or semicolon; `kind` is bulletin, lesson or concern, and may be given
    several times. A field of the vehicle that is left out asks nothing. No spelling is put right in the
    words of `as_typed`. The vehicle that the words tell of counts as if it were filled in, unless
    `read_vehicle` is no. Nothing is written down: only searches that people send off on a page are.
    """
    asked = desk_search.SearchRequest(
        text=q,
        codes=_split(codes),
        make=make,
        model=model,
        year=year,
        kinds=tuple(part for one in kind for part in _split(one)),
        limit=limit,
        as_typed=_split(as_typed),
        reads_vehicle=read_vehicle,
    )
    with call.reading() as desk:
        found = desk_search.search(desk, asked)
    told: dict[str, Any] = {
        "results": [_result(result) for result in found.results],
        "corrections": list(found.corrections),
    }
    message = " ".join(one for one in (found.not_on_file, found.message) if one)
    told |= {"read_vehicle": ReadVehicleOut.model_validate(found.read.vehicle)} if found.read else {}
    told |= {"denied": list(found.denied)} if found.denied else {}
    return told | ({"message": message} if message else {})


def _result(result: SearchResult) -> ResultOut:
    lists = {name: [other.number for other in getattr(result, name)] for name in ("also", "replaced_by")}
    shown = {name: getattr(result, name) for name in ResultOut.model_fields if name not in lists}
    return ResultOut.model_validate(shown | {name: some for name, some in lists.items() if some})

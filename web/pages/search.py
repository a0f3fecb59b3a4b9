"""Searching in one's own words."""

from __future__ import annotations

import re
from typing import Any

from fastapi import APIRouter
from starlette.responses import Response

from kb.desk import search
from kb.errors import BadInput
from web.visits import Somebody

router = APIRouter()


@router.get("/search")
def show(
    visit: Somebody, q: str = "", make: str = "", model: str = "", year: str = "", hidden: str = ""
) -> Response:
    """Results as a page, or (`part=results`) as the piece that search-as-you-type puts in place.

    `hidden=yes` shows also what does not apply to the vehicle typed.
    """
    refused = None
    found = search.SearchView(())
    try:
        with visit.reading() as desk:
            found = search.search(desk, _asked(q, make, model, year, everything=hidden == "yes"))
    except BadInput as wrong:
        refused = wrong
    context: dict[str, Any] = {
        "results": found.results,
        "corrections": found.corrections,
        "vehicle_known": bool(make.strip() or model.strip() or year.strip()),
        "message": refused.message if refused else found.message if q.strip() else "",
    }
    if visit.wants_part == "results":
        return visit.page("parts/results.html", **context)
    asked = {"q": q, "make": make, "model": model, "year": year, "hidden": hidden}
    status = 422 if refused else 200
    return visit.page("search.html", place="/concerns", status=status, asked=asked, **context)


def _asked(q: str, make: str, model: str, year: str, *, everything: bool) -> search.SearchRequest:
    if year.strip() and not re.fullmatch(r"\d{4}", year.strip()):
        raise BadInput("The model year has four digits.", fields={"year": "four digits"})
    return search.SearchRequest(
        text=q[:10_000],
        make=make,
        model=model,
        year=int(year) if year.strip() else None,
        limit=20,
        include_not_applying=everything,
    )

"""Searching in one's own words."""

from __future__ import annotations

import re
from dataclasses import replace
from typing import Any

from fastapi import APIRouter
from starlette.responses import Response

from kb.desk.bay.search import search, search_use
from kb.errors import BadInput
from web.search_results import LONGEST_ASKED, Found, shown
from web.visits import Somebody, Visit

router = APIRouter()

_NOTES = 20
_PAST = 8


@router.get("/search")
def show(
    visit: Somebody,
    q: str = "",
    make: str = "",
    model: str = "",
    year: str = "",
    hidden: str = "",
    as_typed: str = "",
    vehicle: str = "",
) -> Response:
    """Results as a page, or (`part=results`) as the piece that search-as-you-type puts in place.

    `hidden=yes` shows also what does not apply to the vehicle typed; no spelling is put right in the words
    of `as_typed`; with `vehicle=no` no vehicle is read out of the words. A search that was sent off is kept
    for the lead to learn from, once the page is out.
    """
    asked = {"q": q, "make": make, "model": model, "year": year, "hidden": hidden, "vehicle": vehicle}
    refused = None
    found = Found()
    try:
        request = _request(asked, as_typed)
        with visit.reading() as desk:
            view = search.search_apart(desk, request, _PAST)
        found = _found(view, asked, as_typed)
    except BadInput as wrong:
        refused = wrong
    context: dict[str, Any] = {"found": replace(found, message=refused.message) if refused else found}
    if visit.wants_part == "results":
        return visit.page("parts/results.html", **context)
    page = visit.page("search.html", place="/concerns", asked=asked, refused=refused, **context)
    return page if refused or not q.strip() else _kept(visit, page, q, view)


def _kept(visit: Visit, page: Response, q: str, view: search.NotesAndVehicles) -> Response:
    many, best = search_use.notes_among(view.notes)
    return visit.afterwards(page, lambda desk: search_use.record_search(desk, q, many, best))


def _found(view: search.NotesAndVehicles, asked: dict[str, str], as_typed: str) -> Found:
    q = asked["q"]
    found = shown(
        view,
        vehicle_known=any(asked[name].strip() for name in ("make", "model")),
        opened_from={"asked": q[:LONGEST_ASKED]} if q.strip() else {},
        again={name: text for name, text in asked.items() if text},
        as_typed=as_typed,
    )
    return found if q.strip() else replace(found, message="")


def _request(asked: dict[str, str], as_typed: str) -> search.SearchRequest:
    year = asked["year"].strip()
    if year and not re.fullmatch(r"\d{4}", year):
        raise BadInput("The model year has four digits.", fields={"year": "four digits"})
    return search.SearchRequest(
        text=asked["q"][:10_000],
        make=asked["make"],
        model=asked["model"],
        year=int(year) if year else None,
        limit=_NOTES,
        include_not_applying=asked["hidden"] == "yes",
        as_typed=tuple(as_typed.split()),
        reads_vehicle=asked["vehicle"] != "no",
    )

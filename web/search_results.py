"""What a search found as the pages show it: notes first, past vehicles in a list of their own."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from typing import Annotated, Any

from fastapi import Query
from starlette.responses import Response

from api.schemas.base import BIGGEST_ID
from kb.desk.bay.search import search, search_use
from kb.desk.bay.search.results import SearchResult
from kb.desk.context import Desk
from kb.nouns.vehicles import Vehicle
from web.visits import Visit

LONGEST_ASKED = 1_000
"""Letters of a search that travel in the address of what is opened from it."""

Asked = Annotated[str, Query(max_length=10_000)]
ConcernId = Annotated[int, Query(ge=0, le=BIGGEST_ID)]


@dataclass(frozen=True, slots=True)
class Found:
    """Results with where their links lead.

    `opened_from` goes into the address of every result, so that opening it tells from what; `again` is this
    search as a query of the page `place`, for the same search with a word taken as typed. `of_concern`: a
    concern's own words were searched, so that a note is about it or merely near. `read`: the vehicle that was
    read out of the words, `read_from` those words as typed. `vehicle_known`: make or model are, so that
    a note applies or not; by a year alone it would be said of every make.
    """

    notes: tuple[SearchResult, ...] = ()
    past: tuple[SearchResult, ...] = ()
    corrections: tuple[Any, ...] = ()
    denied: tuple[str, ...] = ()
    message: str = ""
    vehicle_known: bool = False
    of_concern: bool = False
    opened_from: Mapping[str, str] = field(default_factory=dict)
    place: str = "/search"
    again: Mapping[str, str] = field(default_factory=dict)
    as_typed: str = ""
    read: Vehicle | None = None
    read_from: str = ""
    asks_vehicle: bool = False

    @property
    def begins_a_concern(self) -> dict[str, str]:
        """What of this search a new concern begins with: the words, and the vehicle filled in or read."""
        car = self.read or Vehicle()
        told = {"make": car.make, "model": car.model, "year": str(car.year or ""), "engine": car.engine}
        filled = {name: self.again.get(name, "") or said for name, said in told.items()}
        return {"q": self.again.get("q", "")} | {name: said for name, said in filled.items() if said}

    @property
    def not_this_vehicle(self) -> dict[str, str]:
        """The query that takes nothing of the vehicle out of the words."""
        return {**self.again, "vehicle": "no"}

    @property
    def with_vehicle(self) -> dict[str, str]:
        """The query that reads the vehicle out of the words again."""
        return {name: text for name, text in self.again.items() if name != "vehicle"}

    def literally(self, word: str) -> dict[str, str]:
        """The query that takes this word as it was typed."""
        return {**self.again, "as_typed": f"{self.as_typed} {word}".strip()}


def shown(view: search.NotesAndVehicles, **more: Any) -> Found:
    """Both lists of an answer; says so where only past vehicles match."""
    message = view.notes.message
    if message and view.past.results and not view.notes.results:
        message = "No bulletin or lesson matches that; past vehicles do."
    message = " ".join(one for one in (view.notes.not_on_file, message) if one)
    notes = view.notes
    read = notes.read.vehicle if notes.read else None
    known = {"vehicle_known": True} if read and (read.make or read.model) else {}
    found = Found(
        notes.results,
        view.past.results,
        notes.corrections,
        notes.denied,
        message,
        read=read,
        read_from=" ".join(notes.read.words) if notes.read else "",
        asks_vehicle=notes.asks_vehicle,
    )
    return replace(found, **more | known)


def with_opening(
    visit: Visit, answer: Response, kind: str, result_id: int, asked: str, for_concern: int
) -> Response:
    """The page of a result; from which words or concern it was opened is kept once the page is sent."""

    def keep(desk: Desk) -> None:
        if for_concern:
            search_use.record_opened_from_concern(desk, kind, result_id, for_concern)
        else:
            search_use.record_opened(desk, kind, result_id, asked)

    return visit.afterwards(answer, keep) if asked.strip() or for_concern else answer

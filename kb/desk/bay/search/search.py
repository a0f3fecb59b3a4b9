"""Search: a complaint in the shop's own words, against every note and past concern."""

from __future__ import annotations

from dataclasses import dataclass, field, replace

from kb.desk.bay.search import search_memory
from kb.desk.bay.search.entries import CONCERN, UPDATE
from kb.desk.bay.search.results import SearchResult, Wanted, results_of
from kb.desk.bay.search.search_numbers import numbered_first, numbers_asked
from kb.desk.context import Desk, anyone_in_the_shop
from kb.errors import BadInput
from kb.nouns.model_years import check_year, newest_model_year
from kb.nouns.vehicles import Vehicle
from kb.records.store.bay import concerns
from kb.records.store.bay.other_concerns import vehicle_of
from kb.search.query import Correction, Hit, Query
from kb.vehicle.read_vehicle import ReadVehicle
from kb.vehicle.vin_in_text import vehicle_of_vin, vins_in

MOST = 100
SPARE = 10
"""Results asked for beyond the limit: the exact coverage may still leave some out."""
_NUMBER_ALONE = 2
"""Words of a text that is nothing but a number: "RO 2087-A"."""
_MOST_VINS = 3
NOTE_KINDS = ("bulletin", "lesson")
KINDS = (*NOTE_KINDS, CONCERN)
_INDEXED_AS = {"bulletin": ("bulletin", UPDATE)}


@dataclass(frozen=True, slots=True)
class SearchRequest:
    """What is asked. `vehicle` is one on record; `make`, `model`, `year` are of a vehicle merely typed.

    No spelling is put right in the words of `as_typed`. `reads_vehicle`: what the text tells of the vehicle
    counts as if it were filled in.
    """

    text: str = ""
    codes: tuple[str, ...] = ()
    make: str = ""
    model: str = ""
    year: int | None = None
    kinds: tuple[str, ...] = ()
    limit: int = 10
    include_not_applying: bool = False
    vehicle: Vehicle | None = None
    not_concern: int | None = None
    as_typed: tuple[str, ...] = ()
    reads_vehicle: bool = True


@dataclass(frozen=True, slots=True)
class SearchView:
    """`read` is the vehicle that was read out of the text and searched for, with the words that tell it;
    `asks_vehicle`: make and model would leave only what is for it, and let a match be strong; `numbered`:
    something was asked for by its number and is first.
    """

    results: tuple[SearchResult, ...]
    corrections: tuple[Correction, ...] = field(default=())
    message: str = ""
    not_on_file: str = ""
    denied: tuple[str, ...] = ()
    read: ReadVehicle | None = None
    asks_vehicle: bool = False
    numbered: bool = False


@dataclass(frozen=True, slots=True)
class NotesAndVehicles:
    """Bulletins and lessons, and apart from them the past vehicles, so that neither crowds the other out."""

    notes: SearchView
    past: SearchView


@anyone_in_the_shop
def search_apart(desk: Desk, asked: SearchRequest, most_past: int) -> NotesAndVehicles:
    """As `search`, with notes and at most so many past vehicles in lists of their own. Where a repair order
    or part of a calibration ID was asked for, notes that merely share its figures are left out.
    """
    past = search(desk, replace(asked, kinds=(CONCERN,), limit=most_past))
    notes = search(desk, replace(asked, kinds=NOTE_KINDS))
    if past.numbered and not notes.numbered and len(asked.text.split()) <= _NUMBER_ALONE:
        notes = replace(notes, results=(), message="", corrections=())
    return NotesAndVehicles(notes, past)


@anyone_in_the_shop
def search(desk: Desk, asked: SearchRequest) -> SearchView:
    """The best notes and past concerns, each with the reason. Nothing to search for is an answer too."""
    _check(desk, asked)
    limit = max(1, min(asked.limit, MOST))
    kinds = tuple(inner for kind in asked.kinds for inner in _INDEXED_AS.get(kind, (kind,)))
    index = search_memory.index(desk, kinds)
    query, of_vin = _query(desk, asked, kinds, limit + SPARE)
    of_concern = asked.not_concern is not None  # its page is opened again and again
    answer = search_memory.answered(desk, kinds, query) if of_concern else index.search(query)
    read = of_vin.with_more(answer.read) if of_vin else answer.read
    vehicle = read.vehicle if read else query.vehicle
    hits = [hit for hit in answer.results if (hit.kind, hit.id) != (CONCERN, asked.not_concern)]
    numbers = numbers_asked(desk, asked.text, asked.kinds or KINDS)
    wanted = Wanted(vehicle, asked.vehicle is not None, asked.include_not_applying, numbers.notes)
    results = results_of(desk, numbered_first(index, hits, numbers), wanted)
    corrections, message = ((), "") if numbers.any else (answer.corrections, answer.message)
    return SearchView(
        results[:limit],
        corrections,
        message,
        numbers.sentence,
        answer.denied,
        read,
        asks_vehicle=bool(results) and not numbers.any and not (vehicle.make and vehicle.model),
        numbered=numbers.any,
    )


def _check(desk: Desk, asked: SearchRequest) -> None:
    unknown = [kind for kind in asked.kinds if kind not in KINDS]
    if unknown:
        raise BadInput(f"{unknown[0]!r} is none of: {', '.join(KINDS)}.", fields={"kind": "unknown"})
    if asked.year is not None:
        check_year(asked.year, desk.today.year)


def _query(
    desk: Desk, asked: SearchRequest, kinds: tuple[str, ...], limit: int
) -> tuple[Query, ReadVehicle | None]:
    """What the index is asked, and the vehicle of a whole VIN in the words, which is then no word of it."""
    query = Query(
        text=asked.text,
        codes=asked.codes,
        vehicle=asked.vehicle or Vehicle(asked.make.strip(), asked.model.strip(), asked.year),
        recorded=asked.vehicle is not None,
        kinds=kinds,
        limit=limit,
        include_not_applying=asked.include_not_applying,
        as_typed=asked.as_typed,
        reads_vehicle=asked.reads_vehicle,
        newest_year=newest_model_year(desk.today.year),
        joins_defects=True,
    )
    if query.recorded or not asked.reads_vehicle:
        return query, None
    read = vehicle_of_vin(asked.text, query.vehicle, desk.today.year, _on_file(desk, asked.text))
    return (replace(query, text=read.rest_of(asked.text), vehicle=read.vehicle) if read else query), read


def _on_file(desk: Desk, text: str) -> dict[str, Vehicle]:
    """The vehicles that were here, by the whole VINs that stand in a text."""
    first = vins_in(text)[:_MOST_VINS]
    rows = {vin: concerns.vehicle_by_vin(desk.session, desk.shop.id, vin) for vin in first}
    return {vin: vehicle_of(row) for vin, row in rows.items() if row is not None}


def matching_updates(
    desk: Desk,
    text: str,
    codes: tuple[str, ...],
    vehicle: Vehicle,
    limit: int,
    among: tuple[int, ...] = (),
    *,
    for_others_too: bool = False,
) -> tuple[Hit, ...]:
    """Updates alone (or `among` these), best first, for a vehicle on record; of it make, model and year."""
    kinds = (UPDATE,)
    asked = Query(
        text=text,
        codes=codes,
        vehicle=vehicle,
        recorded=True,
        kinds=kinds,
        limit=limit,
        include_not_applying=for_others_too,
        among=among,
        newest_year=newest_model_year(desk.today.year),
    )
    return search_memory.index(desk, kinds).search(asked).results


def matching_notes(
    desk: Desk, text: str, codes: tuple[str, ...], vehicle: Vehicle, limit: int
) -> tuple[Hit, ...]:
    """Bulletins, updates and lessons, best first, for a vehicle on record; nothing else is looked up."""
    kinds = ("lesson", *_INDEXED_AS["bulletin"])
    newest = newest_model_year(desk.today.year)
    asked = Query(text, codes, vehicle, recorded=True, kinds=kinds, limit=limit, newest_year=newest)
    return search_memory.index(desk, kinds).search(asked).results

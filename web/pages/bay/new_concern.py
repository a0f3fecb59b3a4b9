"""Taking in a concern, and correcting it."""

from __future__ import annotations

from dataclasses import asdict

from fastapi import APIRouter
from starlette.responses import JSONResponse, Response

from kb.desk.bay.concern import concerns, facts, known, odd_entries, suggestions, vehicles
from kb.desk.bay.concern.concern_file import read_concern
from kb.desk.bay.seen import photos
from kb.errors import BadInput, Conflict, KbError, NotReady, Unreadable
from kb.nouns.bay.known import KnownOfVin
from kb.nouns.bay.photos import Photo
from web.pages.bay import concern_form
from web.pages.bay.seen import on_new_concern
from web.pages.bay.seen import rows as seen_rows
from web.pages.bay.seen.photos_sent import ids_of, read_and_kept
from web.shown_again import shown_again
from web.visits import Somebody, Visit
from web.words import plural

router = APIRouter()


def _page(
    visit: Visit,
    *,
    view: object = None,
    version: int = 0,
    begin: dict[str, str | tuple[str, ...]] | None = None,
    refused: KbError | None = None,
) -> Response:
    return visit.page(
        "concern_form.html",
        place="/concerns",
        concern=view,
        version=version,
        begin=begin or {},
        refused=refused,
        chips=concern_form.CHIPS,
        accepted=seen_rows.rows(visit.typed, "accepted"),
        kept=_waiting(visit),
        known_vin=None if view else _known_of_vin(visit),
        **seen_rows.shown(visit.typed, on_new_concern.TAKEN),
    )


def _waiting(visit: Visit) -> tuple[Photo, ...]:
    """The photos that were read for the concern."""
    sent = ids_of(visit.typed)
    if not sent:
        return ()
    with visit.reading() as desk:
        return photos.waiting_photos(desk, sent)


def _known_of_vin(visit: Visit) -> KnownOfVin | None:
    """What is known of the VIN that is typed, unless somebody said that it is another car."""
    typed = visit.typed
    filled = all(typed.text(name) for name in ("make", "model", "engine"))
    if not typed.text("vin") or typed.text("read_as") == "no" or (filled and not typed.text("read_as")):
        return None
    with visit.reading() as desk:
        return known.known_of_vin(desk, typed.text("vin"))


def _edit_page(visit: Visit, concern_id: int, refused: KbError | None = None) -> Response:
    with visit.reading() as desk:
        view = read_concern(desk, concern_id)
    if refused is None:
        return _page(visit, view=view, begin=concern_form.as_typed(view), version=view.version)
    typed = visit.typed.whole("version") or 0
    version = refused.details.get("version", 0) if isinstance(refused, Conflict) else typed
    return _page(visit, view=view, version=version, refused=refused)


@router.get("/concerns/new")
def show_new(
    visit: Somebody,
    ro: str = "",
    q: str = "",
    make: str = "",
    model: str = "",
    year: str = "",
    engine: str = "",
) -> Response:
    """An empty form; an RO number, or the words and the vehicle of a search, carry over."""
    car = {"make": make, "model": model, "year": year, "engine": engine}
    return _page(visit, begin={"ro_number": ro, "complaint": q, **car})


@router.post("/concerns/new/read")
@shown_again(_page, BadInput, Unreadable, NotReady)
def read_it(visit: Somebody) -> Response:
    """What photos, files and a text say, beside the form as it was typed; nothing is saved."""
    return _page(visit.with_form(read_and_kept(visit, None)))


@router.post("/concerns/new/known")
def take_known(visit: Somebody) -> Response:
    """The form with what is known of its VIN beside it, taken into the fields that are empty, or out of them
    again.
    """
    if visit.typed.text("take_known") == "no":
        return _page(visit.with_form(on_new_concern.without_car(visit.typed)))
    return _page(_with_car(visit) if visit.typed.ticked("take_known") else visit)


def _with_car(visit: Visit) -> Visit:
    """The form with what its VIN says of the car."""
    said = _known_of_vin(visit)
    return visit.with_form(on_new_concern.with_car(visit.typed, said)) if said else visit


@router.post("/concerns/new/fill")
def fill(visit: Somebody) -> Response:
    """The form with what was ticked, and with a VIN what it says of the car; what was typed stays."""
    before = visit.typed
    if not seen_rows.ticked(before, on_new_concern.TAKEN):
        return _page(visit.with_form(seen_rows.with_nothing_ticked(before)))
    visit = visit.with_form(on_new_concern.filled(before))
    return _page(visit if before.text("vin") or not visit.typed.text("vin") else _with_car(visit))


@router.post("/concerns/new")
@shown_again(_page, BadInput, Conflict, Unreadable, NotReady)
def open_new(visit: Somebody) -> Response:
    """Open it. What was ticked is taken; a photo that nobody has read yet is read first."""
    if seen_rows.waits_to_be_read(visit.typed):
        return _page(visit.with_form(read_and_kept(visit, None)))
    visit = visit.with_form(on_new_concern.filled(visit.typed))
    with visit.writing() as desk:
        draft = concern_form.draft(desk, visit.typed)
        doubts = odd_entries.unknown_makes(desk, (draft.vehicle.make,))
        opened = concerns.open_concern(desk, draft)
        for look_up in seen_rows.look_ups(seen_rows.rows(visit.typed, "accepted"), desk.today):
            facts.put_look_up(desk, opened.id, look_up)
        photos.give_photos(desk, opened.id, ids_of(visit.typed))
    said = " ".join((f"{opened.ref} opened.", *opened.warnings, *doubts))
    return visit.go(f"/concerns/{opened.id}", said=said)


@router.get("/concerns/{concern_id}/edit")
def show_edit(visit: Somebody, concern_id: int) -> Response:
    return _edit_page(visit, concern_id)


@router.post("/concerns/{concern_id}/edit")
@shown_again(_edit_page)
def save_edit(visit: Somebody, concern_id: int) -> Response:
    typed = visit.typed
    with visit.writing() as desk:
        draft = concern_form.draft(desk, typed)
        own = read_concern(desk, concern_id).vehicle_id
        doubts = odd_entries.unknown_makes(desk, (draft.vehicle.make,), but_vehicle=own)
        concerns.keeps_its_number(desk, concern_id, draft)
        changed = concerns.change_concern(desk, concern_id, typed.must_whole("version", "version"), draft)
    said = " ".join((f"{changed.ref} saved.", *changed.warnings, *doubts))
    return visit.go(f"/concerns/{concern_id}", said=said)


@router.get("/suggest/vehicles")
def suggest_vehicles(visit: Somebody, q: str = "") -> Response:
    """Vehicles whose VIN ends so, for the list under the VIN field."""
    with visit.reading() as desk:
        found = vehicles.find_vehicles(desk, q)[:8]
    known = [one for one in found if one.vin]
    return JSONResponse([{"value": one.vin, "label": concern_form.spoken(one)} for one in known])


@router.get("/suggest/vin")
def suggest_by_vin(visit: Somebody, vin: str = "") -> Response:
    """What vehicles whose VIN begins alike have in common, for the place under the VIN field."""
    with visit.reading() as desk:
        said = known.known_of_vin(desk, vin)
    return JSONResponse(said and {**asdict(said), "name": said.name, "sentence": said.sentence})


@router.get("/suggest/codes")
def suggest_codes(visit: Somebody, q: str = "") -> Response:
    """Trouble codes that begin so, for the list under a field of codes."""
    with visit.reading() as desk:
        found = suggestions.suggest_codes(desk, q)
    return JSONResponse([{"value": one.code, "label": f"named {plural(one.named, 'time')}"} for one in found])

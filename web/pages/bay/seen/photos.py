"""Photos kept with a concern: seen, described, added, deleted; and their bytes."""

from __future__ import annotations

from typing import Any

from fastapi import APIRouter
from starlette.responses import Response

from api.photo_answer import had_before, photo_answer
from kb.desk.bay.concern.concern_file import read_concern
from kb.desk.bay.seen import photos
from kb.errors import BadInput, KbError, NotReady, Unreadable
from kb.nouns.bay.photos import Shows
from web.forms import TypedForm
from web.pages.bay.seen.photos_sent import keep
from web.shown_again import shown_again
from web.visits import Somebody, Visit
from web.words import plural

router = APIRouter()


def _page(visit: Visit, concern_id: int, refused: KbError | None = None) -> Response:
    with visit.reading() as desk:
        context: dict[str, Any] = {
            "concern": read_concern(desk, concern_id),
            "photos": photos.list_photos(desk, concern_id),
        }
    return visit.page("photos/list.html", place="/concerns", refused=refused, **context)


@router.get("/concerns/{concern_id}/photos")
def show(visit: Somebody, concern_id: int) -> Response:
    return _page(visit, concern_id)


@router.post("/concerns/{concern_id}/photos")
@shown_again(_page, BadInput, Unreadable, NotReady)
def add(visit: Somebody, concern_id: int) -> Response:
    """Keep the photos that were sent."""
    kept = keep(visit, concern_id, _shows(visit.typed), visit.typed.text("caption"))
    if not kept:
        raise BadInput("Choose a photo: a JPEG, PNG or WebP.", fields={"file": "no photo"})
    return visit.go(f"/concerns/{concern_id}/photos", said=f"{plural(len(kept), 'photo')} kept.")


@router.post("/concerns/{concern_id}/photos/{photo_id}")
@shown_again(_page)
def change(visit: Somebody, concern_id: int, photo_id: int) -> Response:
    """Say what it shows, or delete it."""
    typed = visit.typed
    with visit.signed().writing() as desk:
        if typed.ticked("delete"):
            photos.delete_photo(desk, photo_id)
            said = f"Deleted by {visit.name_of(visit.actor.name)}: the photo."
        else:
            on_print = typed.ticked("on_print")
            photos.change_photo(desk, photo_id, _shows(typed), typed.text("caption"), on_print=on_print)
            said = "Photo saved."
    return visit.go(f"/concerns/{concern_id}/photos", said=said)


@router.get("/photos/{photo_id}")
def whole(visit: Somebody, photo_id: int) -> Response:
    return _bytes(visit, photo_id)


@router.get("/photos/{photo_id}/small")
def small(visit: Somebody, photo_id: int) -> Response:
    return _bytes(visit, photo_id, small=True)


def _bytes(visit: Visit, photo_id: int, *, small: bool = False) -> Response:
    had = had_before(visit.request)
    with visit.reading() as desk:
        return photo_answer(visit.request, photos.photo_file(desk, photo_id, small=small, had=had))


def _shows(typed: TypedForm) -> Shows:
    return typed.one_of("shows", Shows, Shows.OTHER)

"""Photos kept with a concern: labels, screens, errors."""

from __future__ import annotations

from typing import Annotated, Any

from fastapi import Form, Request, Response, UploadFile

from api.deps import Id, SignedInCall
from api.photo_answer import had_before, photo_answer
from api.routing import Router
from api.schemas.base import LongText
from api.seen_file import seen_file
from kb.desk.bay.seen import photos
from kb.nouns.bay.photos import Photo, Shows

_PHOTO: dict[int | str, dict[str, Any]] = {
    200: {
        "description": "The photo",
        "content": {"image/jpeg": {"schema": {"type": "string", "format": "binary"}}},
    },
    304: {"description": "It is the one that was had before"},
}

router = Router(tags=["concerns"])


@router.get("/concerns/{concern_id}/photos")
def list_photos(concern_id: Id, call: SignedInCall) -> tuple[Photo, ...]:
    """The photos of a concern, without their bytes."""
    with call.reading() as desk:
        return photos.list_photos(desk, concern_id)


@router.post("/concerns/{concern_id}/photos", status_code=201)
def keep_photo(
    concern_id: Id,
    call: SignedInCall,
    file: UploadFile,
    shows: Annotated[Shows, Form()] = Shows.OTHER,
    caption: Annotated[LongText, Form()] = "",
) -> Photo:
    """Keep a photo (JPEG, PNG or WebP, up to 20 MB and 50 million pixels; 60 of a concern).

    It is kept upright, no side longer than 2,000 pixels, without place, device or anything else that the
    camera wrote into it. The same photo sent again is the one that is kept.
    """
    ready = photos.made_ready(seen_file(file))
    with call.writing() as desk:
        return photos.keep_photo(desk, concern_id, ready, shows, caption)


@router.get("/photos/{photo_id}", responses=_PHOTO, response_class=Response)
def photo_bytes(photo_id: Id, call: SignedInCall, request: Request, small: bool = False) -> Response:
    """The photo, a JPEG; `small` is a copy for lists. Its ETag is good for `If-None-Match`."""
    with call.reading() as desk:
        return photo_answer(request, photos.photo_file(desk, photo_id, small=small, had=had_before(request)))


@router.delete("/photos/{photo_id}", status_code=204)
def delete_photo(photo_id: Id, call: SignedInCall) -> None:
    """Delete it for good; who did it stays in the trail."""
    with call.writing() as desk:
        photos.delete_photo(desk, photo_id)

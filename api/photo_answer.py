"""The bytes of a photo as an answer."""

from __future__ import annotations

from starlette.requests import Request
from starlette.responses import Response

from kb.nouns.bay.photos import PhotoFile


def had_before(request: Request) -> str:
    """The mark of the photo that the browser has."""
    return request.headers.get("if-none-match", "")


def photo_answer(request: Request, photo: PhotoFile) -> Response:
    """A JPEG that a browser keeps and asks about again, so that a deletion and a sign-out hold at once."""
    headers = {"ETag": photo.tag, "Cache-Control": "private, no-cache", "Content-Disposition": "inline"}
    if had_before(request) == photo.tag:
        return Response(status_code=304, headers=headers)
    return Response(photo.data, media_type="image/jpeg", headers=headers)

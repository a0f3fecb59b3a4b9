"""A hash of what a request sent, by which the same request is known again."""

from __future__ import annotations

import hashlib

from starlette.datastructures import FormData, UploadFile
from starlette.requests import Request

KEY_HEADER = "Idempotency-Key"

_FORM_KINDS = ("application/x-www-form-urlencoded", "multipart/form-data")
_PIECE = 1 << 20
FORM_KEY = "once"
"""The field of a form's key."""
_OF_THE_PAGE = ("form_token", FORM_KEY)
"""What a form carries of its page, which is another one after a new sign-in, and its key."""


async def hash_of_form(form: FormData) -> str:
    """Of the fields as sent, files with their content; not of how they were put into a body."""
    told = hashlib.sha256()
    for name, value in form.multi_items():
        if name not in _OF_THE_PAGE:
            is_file = isinstance(value, UploadFile)
            shown = (value.filename, await _hash_of_file(value)) if isinstance(value, UploadFile) else value
            told.update(repr((name, is_file, shown)).encode())
    return told.hexdigest()


async def hash_of_request(request: Request) -> str:
    """Of its method, address and body."""
    kind = request.headers.get("content-type", "").split(";")[0].strip().lower()
    if kind in _FORM_KINDS:
        body = await hash_of_form(await request.form())
    else:
        body = hashlib.sha256(await request.body()).hexdigest()
    return f"{request.method} {request.url.path}?{request.url.query} {body}"


async def _hash_of_file(file: UploadFile) -> str:
    told = hashlib.sha256()
    await file.seek(0)
    while piece := await file.read(_PIECE):
        told.update(piece)
    await file.seek(0)
    return told.hexdigest()

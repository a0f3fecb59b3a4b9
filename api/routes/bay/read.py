"""Reading it from what is there: photos, PDFs and texts, into proposals."""

from __future__ import annotations

from typing import Annotated

from fastapi import Form, UploadFile
from pydantic.json_schema import SkipJsonSchema

from api.deps import SignedInCall
from api.routing import Router
from api.schemas.base import LongText
from api.seen_file import seen_file
from kb.desk.bay.seen import ids_on_file
from kb.desk.bay.seen.reading_scans import MOST_FILES, SeenValues, read_scans

router = Router(tags=["concerns"])


@router.post("/read")
def read_it(
    call: SignedInCall,
    text: Annotated[LongText, Form()] = "",
    file: list[UploadFile] | SkipJsonSchema[None] = None,
) -> SeenValues:
    """What a label, a screen or a scan report says, as proposals; nothing is saved.

    Send `text`, or `file` once or more (JPEG, PNG or WebP photos, PDFs with text, text files; up to 10, each
    up to 20 MB and 50 million pixels). Each proposal has its `field` (vin, code, calibration_id, cvn,
    hardware_number, software_number, odometer in miles, voltage, newest_id as a look-up offers it), the
    words it was `read_from`, `module` and, of a trouble code, `status` (current, pending, history, permanent)
    where they are said. `doubtful` are places of the value, from 1, to be compared with the original: letters
    that look alike, or every place of a VIN that its check digit does not bear out. `source` is how an ID so
    read came to us: photo or read; `file` in which of the files it was read, from 0, and `box` where in that
    photo: left, top, right and bottom as shares of it.
    `message` says what could not be read, and is empty otherwise.
    """
    seen = read_scans(text, [seen_file(one) for one in (file or [])[: MOST_FILES + 1]])
    with call.reading() as desk:
        return ids_on_file.settled_by_file(desk, seen)

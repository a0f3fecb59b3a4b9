"""Bringing files in, looking how far they are, and taking them back."""

from __future__ import annotations

import json
from typing import Annotated

from fastapi import APIRouter, Form, Request, Response, UploadFile

from api.after_the_answer import run_apart
from api.deps import Id, SignedInCall
from api.paging import NEXT, After, Most, name_next
from api.schemas.base import Text, Word
from api.schemas.imports import ImportOut
from api.schemas.notes_wanted import wanted_told
from api.security import Call
from kb.desk.imports import import_undo, imports
from kb.errors import BadInput
from kb.nouns.imports import DaysWritten, HowToRead

router = APIRouter(prefix="/imports", tags=["imports"])

SECONDS_TO_WAIT = 10
"""A file that is taken within this time is answered when it is done; a bigger one while it runs."""


@router.post("", status_code=201)
def import_file(
    call: SignedInCall,
    file: UploadFile,
    format: Annotated[Word, Form()],  # noqa: A002  # the field's name
    dry_run: Annotated[bool, Form()] = False,
    mapping: Annotated[Text, Form()] = "",
    days: Annotated[DaysWritten, Form()] = DaysWritten.YEAR_FIRST,
    options: Annotated[Text, Form()] = "",
) -> ImportOut:
    """Take a file. A big one goes on after the answer; ask for the import again to see how far it is.

    `mapping` is a JSON object: a column's name in the file to its name in the format, or to "" to leave it
    out. `options` is a JSON object for files of the government: `makes` to keep (none: all), `software_only`,
    and what is kept `also` beside vehicles (child_seats, tires, trailers, equipment).
    `days` is the order in which the file writes its days. Giving the same file again carries on with an
    import that did not end.
    """
    data = file.file.read()
    how = HowToRead(_columns(mapping), days, wanted=wanted_told(options))
    run = imports.begin_import(
        call.shop, call.actor, format, file.filename or "", data, dry_run=dry_run, how=how
    )
    run_apart(
        lambda: imports.carry_on_import(call.shop, call.actor, run, format, data, how=how),
        SECONDS_TO_WAIT,
    )
    return _out(call, run.job_id)


@router.get("", responses=NEXT)
def list_imports(
    call: SignedInCall, request: Request, response: Response, limit: Most = 50, after: After = None
) -> list[ImportOut]:
    """Newest first. Where more follow, the header Link names the next call."""
    with call.reading() as desk:
        found = imports.list_imports(desk, limit, after)
    name_next(request, response, found, limit)
    return [ImportOut.of(one) for one in found]


@router.get("/{import_id}")
def read_import(import_id: Id, call: SignedInCall) -> ImportOut:
    """How far it is, and what was wrong with which line."""
    return _out(call, import_id)


@router.post("/{import_id}/undo")
def undo_import(import_id: Id, call: SignedInCall) -> ImportOut:
    """Take back what the import made; what was edited or used since is kept and listed."""
    import_undo.undo_import(call.shop, call.actor, import_id)
    return _out(call, import_id)


def _out(call: Call, import_id: int) -> ImportOut:
    with call.reading() as desk:
        return ImportOut.of(imports.read_import(desk, import_id))


def _columns(mapping: str) -> dict[str, str]:
    try:
        said = json.loads(mapping or "{}")
    except ValueError:
        said = None
    if not isinstance(said, dict) or not all(isinstance(name, str) for name in said.values()):
        raise BadInput("The mapping is a JSON object of column names.", fields={"mapping": "not an object"})
    return said

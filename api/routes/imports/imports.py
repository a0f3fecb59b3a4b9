"""Bringing files in, looking how far they are, and taking them back."""

from __future__ import annotations

import json
from typing import Annotated, Any

from fastapi import Depends, Form, Request, Response, UploadFile
from pydantic.json_schema import SkipJsonSchema

from api.after_the_answer import CALL_WAITS, run_apart
from api.deps import Id, SignedInCall
from api.paging import NEXT, After, Most, name_next
from api.routing import Router
from api.schemas.base import Text, Word
from api.schemas.imports import ImportOut
from api.schemas.notes_wanted import wanted_told
from api.security import Call
from kb.desk.imports import import_undo, imports, reading_how, rows_left_out
from kb.desk.imports.reading_how import HowAsked
from kb.errors import BadInput
from kb.nouns.imports import DaysWritten, Encoding, HowToRead, Layout, Separator

router = Router(prefix="/imports", tags=["imports"])

_CSV: dict[int | str, dict[str, Any]] = {200: {"content": {"text/csv": {"schema": {"type": "string"}}}}}


def _how_said(
    mapping: Annotated[Text, Form()] = "",
    days: Annotated[DaysWritten, Form()] = DaysWritten.YEAR_FIRST,
    options: Annotated[Text, Form()] = "",
    header_line: Annotated[int, Form(ge=0)] = 0,
    separator: Annotated[Separator | SkipJsonSchema[None], Form()] = None,
    encoding: Annotated[Encoding | SkipJsonSchema[None], Form()] = None,
    sheet: Annotated[Text, Form()] = "",
    take_texts: Annotated[bool, Form()] = False,
) -> HowToRead:
    layout = Layout(header_line, separator, encoding, sheet)
    return HowToRead(
        _columns(mapping), days, layout=layout, take_texts=take_texts, wanted=wanted_told(options)
    )


@router.post("", status_code=201)
def import_file(
    call: SignedInCall,
    file: UploadFile,
    format: Annotated[Word, Form(min_length=1)],  # noqa: A002  # the field's name
    how: Annotated[HowToRead, Depends(_how_said)],
    dry_run: Annotated[bool, Form()] = False,
    suggest: Annotated[bool, Form()] = False,
) -> ImportOut:
    """Take a file. A big one goes on after the answer; ask for the import again to see how far it is.

    `mapping` is a JSON object: a column's name in the file to its name in the format, or to "" to leave it
    out. `options` is a JSON object for files of the government: `makes` to keep (none: all), `software_only`,
    and what is kept `also` beside vehicles (child_seats, tires, trailers, equipment). `days` is the order in
    which the file writes its days. `header_line` names the line with the names of the columns, `sheet` one of
    a workbook; these, `separator` and `encoding` are found by looking where they are left out. `suggest`:
    what is not said is read as the import page would suggest, and so are days that are not said to be written
    in another order than year-month-day. `take_texts`: a text under the update that is no number makes
    a draft all the same. Giving the same file again carries on with an import that did not end.
    """
    data = file.file.read()
    if suggest:
        order = None if how.days is DaysWritten.YEAR_FIRST else how.days
        asked = HowAsked(how.columns, order, how.layout, how.take_texts, how.wanted)
        with call.reading() as desk:
            how = reading_how.how_to_read(desk, format, data, asked)
    run = imports.begin_import(
        call.shop, call.actor, format, file.filename or "", data, dry_run=dry_run, how=how
    )
    run_apart(
        lambda: imports.carry_on_import(call.shop, call.actor, run, format, data),
        CALL_WAITS,
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


@router.get("/{import_id}/left-out", response_class=Response, responses=_CSV)
def left_out_rows(import_id: Id, call: SignedInCall) -> Response:
    """The rows that were left out as CSV, each with its reason; it comes in once its cells are put right."""
    with call.reading() as desk:
        data = rows_left_out.left_out_file(desk, import_id)
    return Response(data, media_type="text/csv; charset=utf-8")


@router.post("/{import_id}/resume")
def resume_import(import_id: Id, call: SignedInCall) -> ImportOut:
    """Carry on with an import that died or stopped; what was taken is not taken twice."""
    run, format_name, data = imports.resume_import(call.shop, call.actor, import_id)
    run_apart(lambda: imports.carry_on_import(call.shop, call.actor, run, format_name, data), CALL_WAITS)
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

"""Bringing in bulletins, notes and history from files, and taking an import back."""

from __future__ import annotations

from fastapi import APIRouter
from starlette.responses import JSONResponse, Response

from api.apart import run_apart
from kb.desk import import_undo, imports
from kb.errors import BadInput, KbError, Unreadable
from web.forms import TypedForm
from web.visits import Somebody, Visit

SECONDS_TO_WAIT = 5
"""Short work is done before the answer, so that its page shows the end of it."""

router = APIRouter(prefix="/imports")

FORMATS = (
    ("history", "the shop's history (CSV)"),
    ("notes", "bulletins and lessons in bulk (CSV)"),
    ("recall-communications", "recall communications (6-field CSV or its zip)"),
    ("manufacturer-communications", "manufacturer communications (14 fields, TAB)"),
    ("service-bulletins", "older service bulletins (10 fields, TAB)"),
)


@router.get("")
def show_list(visit: Somebody) -> Response:
    visit.only("lead", "owner")
    return _list_page(visit)


@router.post("")
def bring_in(visit: Somebody) -> Response:
    """Start an import. A big file goes on after the answer; its page shows how far it is."""
    typed = visit.typed
    file = typed.files.get("file")
    try:
        if file is None:
            raise BadInput("Choose a file.", fields={"file": "choose a file"})
        data, name, dry_run = file.file.read(), file.filename or "", typed.ticked("dry_run")
        kind, columns = typed.text("format"), _columns(typed)
        run = imports.begin_import(
            visit.shop, visit.actor, kind, name, data, dry_run=dry_run, mapping=columns
        )
    except (BadInput, Unreadable) as refused:
        return _list_page(visit, refused)
    run_apart(
        lambda: imports.carry_on_import(visit.shop, visit.actor, run, kind, data, mapping=columns),
        SECONDS_TO_WAIT,
    )
    return visit.go(f"/imports/{run.job_id}")


@router.get("/{import_id}")
def show(visit: Somebody, import_id: int) -> Response:
    visit.only("lead", "owner")
    with visit.reading() as desk:
        job = imports.read_import(desk, import_id)
    if visit.wants_part == "state":
        return JSONResponse({"state": job.state.value, "sentence": job.sentence})
    return visit.page("imports/job.html", place="/notes", job=job)


@router.post("/{import_id}/undo")
def undo(visit: Somebody, import_id: int) -> Response:
    import_undo.undo_import(visit.shop, visit.actor, import_id)
    return visit.go(f"/imports/{import_id}")


def _columns(typed: TypedForm) -> dict[str, str]:
    """One column a line, "their name = our name"."""
    columns: dict[str, str] = {}
    for line in typed.lines("columns"):
        theirs, equals, ours = (part.strip() for part in line.partition("="))
        if not (theirs and equals and ours):
            raise BadInput(
                f"“{line}” should read like “Their column = our column”.",
                fields={"columns": "Their column = our column"},
            )
        columns[theirs] = ours
    return columns


def _list_page(visit: Visit, refused: KbError | None = None) -> Response:
    with visit.reading() as desk:
        jobs = imports.list_imports(desk)
    return visit.page(
        "imports/list.html",
        place="/notes",
        status=422 if refused else 200,
        jobs=jobs,
        formats=FORMATS,
        columns_of=imports.columns_by_format(),
        typed=visit.typed or None,
        refused=refused,
    )

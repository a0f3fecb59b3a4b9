"""One import: how far it is, what it left out, carrying it on, and taking it back."""

from __future__ import annotations

from fastapi import APIRouter
from starlette.responses import JSONResponse, Response

from api.after_the_answer import PAGE_WAITS, run_apart
from kb.desk.imports import import_undo, imports, reflashes_read, rows_left_out
from web.downloads import csv_file
from web.visits import Somebody

GROUPS_SHOWN = 25
"""Groups of alike correction texts on the page of an import; the others by a link."""

router = APIRouter(prefix="/imports")


@router.get("/{import_id}")
def show(visit: Somebody, import_id: int) -> Response:
    with visit.reading() as desk:
        job = imports.read_import(desk, import_id)
        read = reflashes_read.reflashes_read(desk, import_id) if job.can_be_answered else None
    if visit.wants_part == "state":
        state = "not_moving" if job.standing_still else job.state.value
        return JSONResponse({"state": state, "sentence": job.sentence})
    return visit.page(
        "imports/job.html",
        place="/notes",
        job=job,
        read=read,
        shown=GROUPS_SHOWN,
        all_groups=visit.request.query_params.get("groups") == "all",
    )


@router.get("/{import_id}/left-out.csv")
def left_out(visit: Somebody, import_id: int) -> Response:
    """The rows that were left out, to be put right and brought in."""
    with visit.reading() as desk:
        return csv_file(rows_left_out.left_out_file(desk, import_id), f"left-out-of-import-{import_id}")


@router.post("/{import_id}/resume")
def resume(visit: Somebody, import_id: int) -> Response:
    """Carry on with one that died or stopped."""
    run, format_name, data = imports.resume_import(visit.shop, visit.actor, import_id)
    there = visit.go(f"/imports/{import_id}")
    run_apart(lambda: imports.carry_on_import(visit.shop, visit.actor, run, format_name, data), PAGE_WAITS)
    return there


@router.post("/{import_id}/undo")
def undo(visit: Somebody, import_id: int) -> Response:
    import_undo.undo_import(visit.shop, visit.actor, import_id)
    return visit.go(f"/imports/{import_id}")

"""The owner's page of backups: what is there, how old it is, one more now, and taking one elsewhere."""

from __future__ import annotations

from fastapi import APIRouter
from starlette.responses import FileResponse, Response

from kb.desk.shop import backups
from kb.errors import BadInput, Conflict, KbError, NotDone, Unreadable
from web.visits import Somebody, Visit

router = APIRouter(prefix="/shop/backups")


@router.get("")
def show(visit: Somebody) -> Response:
    return _page(visit)


@router.post("")
def back_up_now(visit: Somebody) -> Response:
    """The copy is made outside of any writing transaction: nobody waits for it with a finding."""
    try:
        with visit.reading() as desk:
            name = backups.back_up_now(desk)
    except (BadInput, Conflict, NotDone, Unreadable) as refused:
        return _page(visit, refused)
    with visit.writing() as desk:
        backups.note_made(desk, name)
    return visit.go("/shop/backups", said=f"{name}: copied and read back.")


@router.post("/reported")
def report_done(visit: Somebody) -> Response:
    try:
        with visit.writing() as desk:
            backups.report_done(desk)
    except BadInput as refused:
        return _page(visit, refused)
    return visit.go("/shop/backups", said="Noted: a backup was made today.")


@router.get("/{name}")
def fetch(visit: Somebody, name: str) -> Response:
    """A copy or its check sheet, as a file to save."""
    with visit.reading() as desk:
        file = backups.find_backup(desk, name)
    answer = FileResponse(file, filename=name, media_type="application/octet-stream")
    answer.headers["Cache-Control"] = "no-store"
    return visit.afterwards(answer, lambda desk: backups.note_fetched(desk, name))


def _page(visit: Visit, refused: KbError | None = None) -> Response:
    with visit.reading() as desk:
        view = backups.read_backups(desk)
    status = 200 if refused is None else 409 if isinstance(refused, Conflict) else 422
    return visit.page("shop/backups.html", place="/shop", status=status, view=view, refused=refused)

"""The owner's page of backups: what is there, how old it is, one more now, and taking one elsewhere."""

from __future__ import annotations

from fastapi import APIRouter
from starlette.responses import FileResponse, Response

from kb.desk.shop import backups
from kb.errors import BadInput, Conflict, KbError, NotDone, Unreadable
from web.shown_again import shown_again
from web.visits import Somebody, Visit

router = APIRouter(prefix="/shop/backups")


def _page(visit: Visit, refused: KbError | None = None) -> Response:
    with visit.reading() as desk:
        view = backups.read_backups(desk)
    return visit.page("shop/backups.html", place="/shop", view=view, refused=refused)


@router.get("")
def show(visit: Somebody) -> Response:
    return _page(visit)


@router.post("")
@shown_again(_page, BadInput, Conflict, NotDone, Unreadable)
def back_up_now(visit: Somebody) -> Response:
    """The copy is made outside of any writing transaction: nobody waits for it with a finding."""
    with visit.reading() as desk:
        name = backups.back_up_now(desk)
    with visit.writing() as desk:
        backups.note_made(desk, name)
    return visit.go("/shop/backups", said=f"{name}: copied and read back.")


@router.get("/{name}")
def fetch(visit: Somebody, name: str) -> Response:
    """A copy or its check sheet, as a file to save."""
    with visit.reading() as desk:
        file = backups.find_backup(desk, name)
    answer = FileResponse(file, filename=name, media_type="application/octet-stream")
    answer.headers["Cache-Control"] = "no-store"
    return visit.afterwards(answer, lambda desk: backups.note_fetched(desk, name))

"""Model families: which names of a make may mean one model, and what a lead adds to them."""

from __future__ import annotations

from fastapi import APIRouter
from starlette.responses import Response

from kb.desk.bay.search import families
from kb.errors import KbError
from web.shown_again import shown_again
from web.visits import Somebody, Visit

router = APIRouter(prefix="/families")


def _page(visit: Visit, refused: KbError | None = None) -> Response:
    with visit.reading() as desk:
        entries, on_file = families.list_entries(desk), families.list_on_file(desk)
    return visit.page("families.html", place="/notes", entries=entries, on_file=on_file, refused=refused)


@router.get("")
def show(visit: Somebody) -> Response:
    return _page(visit)


@router.post("")
@shown_again(_page)
def add(visit: Somebody) -> Response:
    """Join names, or take them apart."""
    typed = visit.typed
    with visit.writing() as desk:
        names = typed.text("names").split(",")
        families.add_entry(desk, typed.text("make"), names, apart=typed.text("how") == "apart")
    return visit.go("/families", said="Saved; the next search reads names by it.")


@router.post("/{entry_id}/undo")
def undo(visit: Somebody, entry_id: int) -> Response:
    with visit.writing() as desk:
        families.undo_entry(desk, entry_id)
    return visit.go("/families", said="Taken back.")

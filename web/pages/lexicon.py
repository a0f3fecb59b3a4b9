"""Shop talk: what the search understands, and what a lead adds to it."""

from __future__ import annotations

from fastapi import APIRouter
from starlette.responses import Response

from kb.desk import lexicon, search
from kb.errors import BadInput, KbError
from web.visits import Somebody, Visit

router = APIRouter(prefix="/lexicon")


@router.get("")
def show(visit: Somebody, q: str = "") -> Response:
    return _page(visit, q)


@router.post("")
def put(visit: Somebody) -> Response:
    """Add a phrase to a concept, or (`removes`) take one out of it. It takes effect at once."""
    typed = visit.typed
    concept, phrase = typed.text("concept"), typed.text("phrase")
    try:
        with visit.writing() as desk:
            if typed.ticked("removes"):
                lexicon.remove_entry(desk, concept, phrase)
            else:
                lexicon.add_entry(desk, concept, phrase)
    except BadInput as refused:
        return _page(visit, "", refused)
    return visit.go("/lexicon", said=f"“{phrase}” saved; the next search uses it.", q=phrase)


@router.post("/{entry_id}/undo")
def undo(visit: Somebody, entry_id: int) -> Response:
    with visit.writing() as desk:
        entry = lexicon.undo_entry(desk, entry_id)
    return visit.go("/lexicon", said=f"“{entry.phrase}” taken back.")


def _page(visit: Visit, q: str, refused: KbError | None = None) -> Response:
    with visit.reading() as desk:
        tried = lexicon.try_query(desk, q) if q.strip() else search.SearchView(())
        context = {"entries": lexicon.list_entries(desk), "concepts": lexicon.list_concepts(desk)}
    return visit.page(
        "lexicon.html",
        place="/notes",
        status=422 if refused else 200,
        q=q,
        results=tried.results,
        vehicle_known=False,
        corrections=tried.corrections,
        message=tried.message if q.strip() else "",
        entries=context["entries"],
        concepts=context["concepts"],
        writer=visit.may("lead", "owner"),
        typed=visit.typed or None,
        refused=refused,
    )

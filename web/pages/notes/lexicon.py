"""Shop talk: what the search understands, what a lead adds to it, and which words found nothing."""

from __future__ import annotations

from fastapi import APIRouter
from starlette.responses import Response

from kb.desk.bay.search import search
from kb.desk.context import Desk
from kb.desk.notes import lexicon, search_words
from kb.errors import BadInput, KbError
from web.search_results import LONGEST_ASKED, Found
from web.shown_again import shown_again
from web.visits import Somebody, Visit

router = APIRouter(prefix="/lexicon")


def _page(visit: Visit, refused: KbError | None = None, **begun: str) -> Response:
    """`begun` stands in the form; its `q` is tried, after a refusal the complaint that was typed to try."""
    q, as_typed = begun.pop("q", "") or visit.typed.text("try"), begun.pop("as_typed", "")
    with visit.reading() as desk:
        found = _tried(desk, q, as_typed)
        entries, concepts = lexicon.list_entries(desk), lexicon.list_concepts(desk)
        unanswered = search_words.found_nothing(desk) if visit.may("lead", "owner") else ()
    return visit.page(
        "lexicon.html",
        place="/notes",
        q=q,
        begin=begun,
        found=found,
        entries=entries,
        concepts=concepts,
        unanswered=unanswered,
        shown_days=search_words.SHOWN_DAYS,
        refused=refused,
    )


@router.get("")
def show(visit: Somebody, q: str = "", phrase: str = "", concept: str = "", as_typed: str = "") -> Response:
    """`q` is a complaint to try; `phrase` and `concept` stand in the form, to be added with one tap."""
    return _page(visit, q=q, phrase=phrase, concept=concept, as_typed=as_typed)


@router.post("")
@shown_again(_page)
def put(visit: Somebody) -> Response:
    """Add a phrase to a concept, or (`removes`) take one out of it, and see what a complaint then finds."""
    typed = visit.typed
    concept, phrase, q = typed.text("concept"), typed.text("phrase"), typed.text("try")
    with visit.writing() as desk:
        if typed.ticked("removes"):
            lexicon.remove_entry(desk, concept, phrase)
        else:
            _ask_about_meaning(visit, desk, concept)
            lexicon.add_entry(desk, concept, phrase)
    done = "taken out" if typed.ticked("removes") else "saved"
    return visit.go("/lexicon", said=f"“{phrase}” {done}; the next search uses it.", q=q or phrase)


@router.post("/{entry_id}/undo")
def undo(visit: Somebody, entry_id: int) -> Response:
    with visit.writing() as desk:
        entry = lexicon.undo_entry(desk, entry_id)
    return visit.go("/lexicon", said=f"“{entry.phrase}” taken back.", q=entry.phrase)


def _ask_about_meaning(visit: Visit, desk: Desk, concept: str) -> None:
    """A slip of the pen must not found a meaning that no note has: raise BadInput unless it is ticked."""
    if not visit.typed.ticked("new_meaning") and lexicon.is_new_meaning(desk, concept):
        raise BadInput(
            f"There is no meaning “{concept}” yet. Tick “make it a new meaning”, or choose one of the list.",
            fields={"new_meaning": "no such meaning; make a new one?"},
        )


def _tried(desk: Desk, q: str, as_typed: str) -> Found:
    """What a complaint finds with the lexicon as it stands, notes and past vehicles apart."""
    if not q.strip():
        return Found()
    view = lexicon.try_query(desk, q, tuple(as_typed.split()))
    return Found(
        tuple(result for result in view.results if result.kind in search.NOTE_KINDS),
        tuple(result for result in view.results if result.kind not in search.NOTE_KINDS),
        view.corrections,
        view.denied,
        view.message,
        place="/lexicon",
        again={"q": q[:LONGEST_ASKED]},
        as_typed=as_typed,
    )

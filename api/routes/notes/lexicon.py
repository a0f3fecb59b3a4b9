"""Shop talk: which phrases the search takes for which concept."""

from __future__ import annotations

from api.deps import Id, SignedInCall
from api.routing import Router
from api.schemas.families import EntryBody
from kb.desk.notes import lexicon
from kb.desk.notes.lexicon import ConceptLine, Entry

router = Router(prefix="/lexicon", tags=["lexicon"])


@router.get("/concepts")
def list_concepts(call: SignedInCall) -> tuple[ConceptLine, ...]:
    """The concepts that come with the program, with their phrases."""
    with call.reading() as desk:
        return lexicon.list_concepts(desk)


@router.get("")
def list_shop_talk(call: SignedInCall) -> tuple[Entry, ...]:
    """What the shop entered, the newest first."""
    with call.reading() as desk:
        return lexicon.list_entries(desk)


@router.post("", status_code=201)
def add_shop_talk(body: EntryBody, call: SignedInCall) -> Entry:
    """Takes effect with the next search."""
    with call.writing() as desk:
        put = lexicon.remove_entry if body.removes else lexicon.add_entry
        return put(desk, body.concept, body.phrase)


@router.post("/{entry_id}/undo")
def undo_shop_talk(entry_id: Id, call: SignedInCall) -> Entry:
    """Take an entry back; it stays in the list."""
    with call.writing() as desk:
        return lexicon.undo_entry(desk, entry_id)

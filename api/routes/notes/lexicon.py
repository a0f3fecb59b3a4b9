"""Shop talk: which phrases the search takes for which concept."""

from __future__ import annotations

from fastapi import APIRouter

from api.deps import Id, SignedInCall
from api.schemas.lexicon import ConceptOut, EntryBody, EntryOut
from kb.desk.notes import lexicon

router = APIRouter(prefix="/lexicon", tags=["lexicon"])


@router.get("/concepts")
def list_concepts(call: SignedInCall) -> list[ConceptOut]:
    with call.reading() as desk:
        return [ConceptOut.model_validate(one) for one in lexicon.list_concepts(desk)]


@router.get("")
def list_entries(call: SignedInCall) -> list[EntryOut]:
    with call.reading() as desk:
        return [EntryOut.model_validate(one) for one in lexicon.list_entries(desk)]


@router.post("", status_code=201)
def add_entry(body: EntryBody, call: SignedInCall) -> EntryOut:
    """Takes effect with the next search."""
    with call.writing() as desk:
        put = lexicon.remove_entry if body.removes else lexicon.add_entry
        return EntryOut.model_validate(put(desk, body.concept, body.phrase))


@router.post("/{entry_id}/undo")
def undo_entry(entry_id: Id, call: SignedInCall) -> EntryOut:
    with call.writing() as desk:
        return EntryOut.model_validate(lexicon.undo_entry(desk, entry_id))

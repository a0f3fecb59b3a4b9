"""Model families: which names of a make may mean one model."""

from __future__ import annotations

from api.deps import Id, SignedInCall
from api.routing import Router
from api.schemas.families import FamilyBody, FamilyOut
from kb.desk.bay.search import families

router = Router(prefix="/families", tags=["lexicon"])


@router.get("")
def list_families(call: SignedInCall) -> list[FamilyOut]:
    """What the shop entered, the newest first."""
    with call.reading() as desk:
        return [FamilyOut.of_line(one) for one in families.list_entries(desk)]


@router.post("", status_code=201)
def add_family(body: FamilyBody, call: SignedInCall) -> FamilyOut:
    """Takes effect with the next search."""
    with call.writing() as desk:
        return FamilyOut.of_line(families.add_entry(desk, body.make, body.names, apart=body.apart))


@router.post("/{entry_id}/undo")
def undo_family(entry_id: Id, call: SignedInCall) -> FamilyOut:
    """Take an entry back; it stays in the list."""
    with call.writing() as desk:
        return FamilyOut.of_line(families.undo_entry(desk, entry_id))

"""Credentials and gateway registrations: a person's own, with their last day and never the secret itself."""

from __future__ import annotations

from kb.desk.context import Desk, anyone_in_the_shop, lead_or_owner
from kb.desk.saving import row_of, saved
from kb.desk.shop.sign_offs import on_file, person_of, refuse_texts
from kb.errors import BadInput
from kb.nouns.copying import columns_of, copied
from kb.nouns.shop.sign_offs import Access, AccessDraft, AccessKind
from kb.records.store.shop import sign_offs as store
from kb.records.tables import AccessRow
from kb.vehicle.families import fold


@anyone_in_the_shop
def accesses_of(desk: Desk, user_id: int) -> tuple[Access, ...]:
    """A person's credentials and registrations; a technician may see their own."""
    person = person_of(desk, user_id)
    return tuple(one for one in accesses_on_file(desk) if one.person == person.name)


def accesses_on_file(desk: Desk) -> tuple[Access, ...]:
    """Everybody's that was not taken out."""
    return tuple(_access(row, user.name) for user, row in store.accesses(desk.session, desk.shop.id))


@lead_or_owner
def list_accesses(desk: Desk) -> tuple[Access, ...]:
    """Everybody's who may still sign in."""
    people = on_file(desk).people
    return tuple(one for one in accesses_on_file(desk) if one.person in people)


@lead_or_owner
def add_access(desk: Desk, user_id: int, draft: AccessDraft) -> Access:
    """Write down what somebody's own access is for and when it ends; never the access itself. It stands in
    place of the same kind of access to that make.
    """
    person = person_of(desk, user_id)
    if not draft.make.strip():
        raise BadInput("Say whose it is: the make.", fields={"make": "name the make"})
    refuse_texts({"make": draft.make, "note": draft.note})
    for user, held in store.accesses(desk.session, desk.shop.id):
        if user.id == user_id and (held.kind, fold(held.make)) == (draft.kind.value, fold(draft.make)):
            held.gone_on = desk.today
    told = columns_of(draft) | {"by": desk.actor.name}
    row = saved(desk, AccessRow(shop_id=desk.shop.id, user_id=user_id, **told), "added", "own access")
    return _access(row, person.name)


@lead_or_owner
def end_access(desk: Desk, access_id: int) -> Access:
    """Take a credential or registration out: it was renewed, or is not used any more."""
    row = row_of(desk, AccessRow, access_id, "There is no such credential.")
    row.gone_on = row.gone_on or desk.today
    saved(desk, row, "took out", "own access")
    return _access(row, person_of(desk, row.user_id).name)


def _access(row: AccessRow, person: str) -> Access:
    return copied(Access, row, id=row.id or 0, person=person, kind=AccessKind(row.kind))

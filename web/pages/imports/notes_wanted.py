"""Which notes of a file of the government are wanted, as a form or an address says it."""

from __future__ import annotations

from typing import Any

from kb.nouns.lead.notes_wanted import Beside, NotesWanted, makes_in
from web.forms import TypedForm
from web.visits import Visit

FIELDS = ("makes", "software_only", "also")
BESIDE = (
    (Beside.CHILD_SEATS, "child seats"),
    (Beside.TIRES, "tires"),
    (Beside.TRAILERS, "trailers"),
    (Beside.EQUIPMENT, "equipment"),
)


def wanted_in(typed: TypedForm) -> NotesWanted:
    """What a form says; what it does not know is left out."""
    also = frozenset(Beside(one) for one in typed.all("also") if one in set(Beside))
    return NotesWanted(makes_in(typed.text("makes")), typed.ticked("software_only"), also)


def wanted_by_address(visit: Visit) -> NotesWanted | None:
    """What the address says; None where it says nothing."""
    query = visit.request.query_params
    if not any(name in query for name in FIELDS):
        return None
    return wanted_in(TypedForm({name: tuple(query.getlist(name)) for name in FIELDS}))


def as_query(wanted: NotesWanted) -> dict[str, Any]:
    """The same for an address."""
    said: dict[str, Any] = {"makes": ", ".join(wanted.makes)} if wanted.makes else {}
    if wanted.software_only:
        said["software_only"] = "yes"
    return said | ({"also": sorted(wanted.also)} if wanted.also else {})

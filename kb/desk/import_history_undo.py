"""Taking back the rows of a history: concerns nobody worked on go, changed rows go back to what they said."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from kb.desk import concerns as concerns_desk
from kb.desk import programming
from kb.desk.concern_lines import concern_lines
from kb.desk.context import Desk, lead_or_owner
from kb.desk.history_facts import from_content
from kb.desk.import_history import NOUN
from kb.desk.import_history_changes import change_records, renew_concerns
from kb.desk.import_views import Kept, Undone
from kb.records.store import history_undo as store
from kb.records.store import imports as import_store
from kb.records.tables import ImportedRow

MOST_LISTED = 1000


@lead_or_owner
def undo_rows(desk: Desk, taken: Sequence[ImportedRow]) -> Undone:
    """One batch of what one import took of a history."""
    import_id = taken[0].import_id
    undone = Undone()
    _go_back(desk, import_id, [row for row in taken if row.action == "changed"], undone)
    made = [row for row in taken if row.action == "created"]
    places = store.places_of(desk.session, [row.noun_id for row in made])
    used = store.used_since(desk.session, places, import_id)
    own = {one for one in places if places[one][2] == import_id}
    keep = own & used
    gone, guests = own - keep, set(places) - own
    store.delete_told(desk.session, gone | guests, import_id)
    store.delete_concerns(desk.session, gone)
    store.delete_empty_orders(desk.session, {places[one][0] for one in gone}, import_id)
    vehicles = {places[one][1] for one in gone | guests}
    store.delete_empty_vehicles(desk.session, vehicles, import_id)
    _renew(desk, vehicles)
    undone.kept += _kept(desk, keep)
    settled = [row for row in made if row.noun_id not in keep]
    undone.settled += [row.id or 0 for row in settled]
    undone.removed = len(settled)
    renew_concerns(desk, {row.noun_id for row in taken} - gone, undone.settled)
    return undone


@lead_or_owner
def left_over(desk: Desk, import_id: int) -> list[Kept]:
    """Vehicles and repair orders of the import that stay because something else stands on them."""
    left = store.left_of(desk.session, import_id)[:MOST_LISTED]
    return [Kept(noun, noun_id, name, "used since") for noun, noun_id, name in left]


def _go_back(desk: Desk, import_id: int, changed: Sequence[ImportedRow], undone: Undone) -> None:
    """Rows that the import changed say again what the import before it had taken."""
    hashes = [row.identity_hash for row in changed]
    before = import_store.last_taken(desk.session, desk.shop.id, NOUN, hashes, before=import_id)
    newest = import_store.last_taken(desk.session, desk.shop.id, NOUN, hashes)
    for row in changed:
        earlier = before.get(row.identity_hash)
        if newest[row.identity_hash].import_id != import_id:
            why = "changed again by a later import"
            undone.kept.append(Kept(NOUN, row.noun_id, _title(row), why))
        elif earlier is not None:
            now, then = from_content(row.content or {}), from_content(earlier.content or {})
            change_records(desk, earlier.import_id, (row.noun_id, now, then))
            undone.settled.append(row.id or 0)
            undone.reverted += 1


def _renew(desk: Desk, vehicles: Iterable[int]) -> None:
    """A reflash that the removed one had superseded counts on."""
    for concern_id in store.concerns_reflashed(desk.session, vehicles):
        programming.renew_outcomes(desk, concerns_desk.on_file(desk, concern_id))


def _kept(desk: Desk, concerns: Iterable[int]) -> list[Kept]:
    lines = concern_lines(desk, sorted(concerns))
    return [Kept("concern", line.id, line.ref, "edited or used since") for line in lines.values()]


def _title(row: ImportedRow) -> str:
    said = row.content or {}
    return f"RO {said.get('ro_number', '')} {said.get('line', '')}".strip()

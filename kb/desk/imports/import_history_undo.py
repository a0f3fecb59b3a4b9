"""Taking back the rows of a history: concerns nobody worked on go, changed rows go back to what they said."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence

from kb.desk.bay.concern.concern_lines import concern_lines
from kb.desk.bay.outcomes.observed import renew_outcomes
from kb.desk.context import Desk, lead_or_owner
from kb.desk.imports import import_history_changes
from kb.desk.imports.history_facts import from_content
from kb.desk.imports.import_history import NOUN, Change
from kb.desk.imports.import_views import Kept, Undone
from kb.records.store.imports import history_undo as store
from kb.records.store.imports import imports as import_store
from kb.records.tables import ImportedRow

MOST_LISTED = 1000


@lead_or_owner
def undo_rows(desk: Desk, taken: Sequence[ImportedRow]) -> Undone:
    """One batch of what one import took of a history; it counts no more from this batch on.

    A row that told more of a concern made by somebody else stays too where somebody worked on that since.
    """
    import_id = taken[0].import_id
    undone = Undone()
    _go_back(desk, import_id, [row for row in taken if row.action == "changed"], undone)
    made = [row for row in taken if row.action == "created"]
    places = store.places_of(desk.session, [row.noun_id for row in made])
    own = {one for one in places if places[one][2] == import_id}
    keep = store.used_since(desk.session, own, import_id)
    keep |= store.touched_since(desk.session, places, import_id)
    gone, guests = own - keep, set(places) - own - keep
    beside = import_history_changes.of_same_vehicles(desk, [row.noun_id for row in taken]) - gone
    store.delete_told(desk.session, gone | guests, import_id)
    store.delete_concerns(desk.session, gone)
    store.delete_empty_orders(desk.session, {places[one][0] for one in gone}, import_id)
    store.delete_empty_vehicles(desk.session, {places[one][1] for one in gone | guests}, import_id)
    undone.kept += _kept(desk, keep)
    settled = [row for row in made if row.noun_id not in keep]
    undone.settled += [row.id or 0 for row in settled]
    undone.removed = len(settled)
    import_history_changes.renew_concerns(desk, {row.noun_id for row in taken} - gone, undone.settled)
    renew_outcomes(desk, beside)
    desk.bump("outcomes")
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
    changes: dict[int, list[Change]] = defaultdict(list)
    for row in changed:
        earlier = before.get(row.identity_hash)
        if newest[row.identity_hash].import_id != import_id:
            why = "changed again by a later import"
            undone.kept.append(Kept(NOUN, row.noun_id, _title(row), why))
        elif earlier is not None:
            now, then = from_content(row.content or {}), from_content(earlier.content or {})
            changes[earlier.import_id].append(Change(row.noun_id, import_id, now, then))
            undone.settled.append(row.id or 0)
            undone.reverted += 1
    for told_by, some in changes.items():
        import_history_changes.change_records(desk, told_by, some)


def _kept(desk: Desk, concerns: Iterable[int]) -> list[Kept]:
    lines = concern_lines(desk, sorted(concerns))
    return [Kept("concern", line.id, line.ref, "edited or used since") for line in lines.values()]


def _title(row: ImportedRow) -> str:
    said = row.content or {}
    return f"RO {said.get('ro_number', '')} {said.get('line', '')}".strip()

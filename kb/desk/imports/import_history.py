"""Taking a shop's history and taking it back: which rows stand, and then what they tell."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any

from kb.desk.bay.concern.concern_lines import concern_lines
from kb.desk.bay.concern.concerns import what_cannot_be
from kb.desk.bay.outcomes.observed import renew_vehicles
from kb.desk.context import Desk, lead_or_owner
from kb.desk.imports.history_drafts import concern_draft, says_the_same
from kb.desk.imports.history_made import make_places, remember
from kb.desk.imports.history_told import tell
from kb.desk.imports.import_told import Kept, Undone
from kb.desk.imports.import_visits import renew_with_visits
from kb.desk.imports.reflashes_read import as_taken, read_texts
from kb.intake.history.history_row import HistoryRow
from kb.intake.rows import RowError
from kb.records.store.imports import history_undo as store
from kb.records.store.imports import imports as import_store
from kb.records.store.imports import reflashes_read as reads
from kb.records.store.imports.history_told import HISTORY_ROW, places_of
from kb.records.tables import ImportedRow

MOST_LISTED = 1000


@dataclass(frozen=True, slots=True)
class HistoryPlan:
    """What would happen to the rows of one batch; a changed one has the id of its concern.

    `before` is their content until now by identity hash; a new one has none.
    """

    new: tuple[HistoryRow, ...]
    changed: tuple[tuple[int, HistoryRow], ...]
    before: dict[str, dict[str, Any]]
    unchanged: int
    errors: tuple[RowError, ...] = ()


@lead_or_owner
def plan_history(desk: Desk, rows: Sequence[HistoryRow]) -> HistoryPlan:
    """Compare a batch with what was taken before, by the identity of each row.

    What no person could enter is an error, and is left out.
    """
    by_hash = {import_store.identity_hash(row.identity): row for row in rows}
    taken = import_store.last_taken(desk.session, desk.shop.id, HISTORY_ROW, by_hash)
    as_before = {key for key, one in taken.items() if says_the_same(one.content or {}, by_hash[key])}
    told = {key: row for key, row in by_hash.items() if key not in as_before}
    wrong = {key: what_cannot_be(concern_draft(row, desk.today)) for key, row in told.items()}
    good = {key: row for key, row in told.items() if not wrong[key]}
    return HistoryPlan(
        tuple(row for key, row in good.items() if key not in taken),
        tuple((taken[key].noun_id, row) for key, row in good.items() if key in taken),
        {key: (taken[key].content or {}) if key in taken else {} for key in good},
        len(rows) - len(told),
        tuple(
            RowError(told[key].file_line, field, sentence)
            for key, some in wrong.items()
            for field, sentence in some.items()
        ),
    )


@lead_or_owner
def take_history(desk: Desk, import_id: int, plan: HistoryPlan) -> None:
    """Take a batch: what its new rows make, and what earlier imports made brought up to what it says now.

    What it wrote counts at once, so that a file which stops half-way looks the same to every process. A
    reflash that was taken from the text of a row follows what its row says now.
    """
    if not plan.new and not plan.changed:
        return
    follow = plan_history(desk, as_taken(desk, plan.changed))
    changed = [*plan.changed, *follow.changed]
    concerns = make_places(desk, import_id, plan.new) | {concern for concern, _ in changed}
    remember(desk, import_id, changed, "changed")
    renew_vehicles(desk, tell(desk, concerns, plan.before | follow.before))
    read_texts(desk, import_id, [*plan.new, *(row for _, row in plan.changed)])
    desk.bump("outcomes")


@lead_or_owner
def undo_rows(desk: Desk, taken: Sequence[ImportedRow]) -> Undone:
    """One batch of what one import took of a history; it counts no more from this batch on.

    A concern that somebody worked on since stays with all its rows; where somebody else made it, so do the
    rows that told more of it. A changed row says again what it said before.
    """
    import_id = taken[0].import_id
    hashes = [row.identity_hash for row in taken]
    newest = import_store.last_taken(desk.session, desk.shop.id, HISTORY_ROW, hashes)
    later = {key for key, one in newest.items() if one.import_id != import_id}
    made = [row for row in taken if row.action == "created"]
    changed = [row for row in taken if row.action == "changed"]
    back = [row for row in changed if row.identity_hash not in later]
    every = places_of(desk.session, [row.noun_id for row in taken])
    places = {row.noun_id: every[row.noun_id] for row in made if row.noun_id in every}
    own = {one for one, place in places.items() if place.import_id == import_id}
    keep = {row.noun_id for row in made if row.identity_hash in later}
    keep |= store.used_since(desk.session, own, import_id)
    keep |= store.touched_since(desk.session, places, import_id)
    settled = [row for row in made if row.noun_id not in keep]
    reads.forget(desk.session, [row.id or 0 for row in (*settled, *back)], own - keep)
    store.take_away(desk.session, [row.id or 0 for row in settled], own - keep, places)
    import_store.forget(desk.session, [row.id or 0 for row in (*settled, *back)])
    left = {row.noun_id for row in taken} - (own - keep)
    tell(desk, left, {row.identity_hash: row.content or {} for row in back})
    renew_with_visits(desk, {place.vehicle_id for place in every.values()})
    desk.bump("outcomes")
    kept = [*_changed_again(row for row in changed if row.identity_hash in later), *_kept(desk, keep)]
    return Undone(removed=len(settled), reverted=len(back), kept=kept)


@lead_or_owner
def left_over(desk: Desk, import_id: int) -> list[Kept]:
    """Vehicles and repair orders of the import that stay because something else stands on them."""
    left = store.left_of(desk.session, import_id)[:MOST_LISTED]
    return [Kept(noun, noun_id, name, "used since") for noun, noun_id, name in left]


def _changed_again(rows: Iterable[ImportedRow]) -> list[Kept]:
    why = "changed again by a later import"
    return [Kept(HISTORY_ROW, row.noun_id, _title(row), why) for row in rows]


def _kept(desk: Desk, concerns: Iterable[int]) -> list[Kept]:
    lines = concern_lines(desk, sorted(concerns))
    return [Kept("concern", line.id, line.ref, "edited or used since") for line in lines.values()]


def _title(row: ImportedRow) -> str:
    said = row.content or {}
    return f"RO {said.get('ro_number', '')} {said.get('line', '')}".strip()

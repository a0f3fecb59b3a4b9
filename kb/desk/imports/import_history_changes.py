"""History rows that a later file tells differently, and the end of an import or undo of a history."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from kb.desk.bay.outcomes.observed import renew_outcomes
from kb.desk.context import Desk, lead_or_owner
from kb.desk.imports import history_rows as made
from kb.desk.imports import history_updates, import_history
from kb.desk.imports.history_endings import ending_columns, endings
from kb.desk.imports.history_facts import follow_ups_of, from_content
from kb.desk.imports.import_history import Change, HistoryPlan
from kb.intake.history.history_row import HistoryRow
from kb.records.store.imports import history as store
from kb.records.store.imports import history_changes as change_store
from kb.records.store.imports import history_undo as undo_store
from kb.records.store.imports.history_changes import ToldAnew
from kb.records.store.outcomes import outcome_counts as count_store
from kb.records.store.outcomes import stories as story_store


@lead_or_owner
def take_history(desk: Desk, import_id: int, plan: HistoryPlan) -> None:
    """Take a batch: what its new rows make, and what earlier imports made brought up to what it says now.

    What it wrote counts at once, so that a file which stops half-way looks the same to every process.
    """
    if not plan.new and not plan.changed:
        return
    touched = import_history.take_new(desk, import_id, plan.new)
    change_records(desk, import_id, plan.changed)
    pairs = [(one.concern_id, one.now) for one in plan.changed]
    import_history.remember(desk, import_id, pairs, "changed")
    touched |= {one.concern_id for one in plan.changed}
    renew_concerns(desk, touched)
    renew_outcomes(desk, touched | of_same_vehicles(desk, [one.concern_id for one in plan.changed]))
    desk.bump("outcomes")


@lead_or_owner
def change_records(desk: Desk, import_id: int, changes: Sequence[Change]) -> None:
    """Outcomes, reflashes and follow-ups of these rows; what people added beside them stays.

    The dates of the outcomes are to be renewed afterwards.
    """
    updates = history_updates.updates_of(desk, import_id, [one.now for one in changes])
    currency = desk.shop.currency
    heard = [
        (one.concern_id, one.told_by, said) for one in changes for said in follow_ups_of(one.before, currency)
    ]
    change_store.drop_follow_ups(desk.session, heard)
    import_history.add_follow_ups(desk, import_id, [(one.concern_id, one.now) for one in changes])
    told = [
        ToldAnew(
            one.concern_id, update, one.now.reflashed_on, made.outcome_facts(one.now), _reflash_facts(one.now)
        )
        for one, update in zip(changes, updates, strict=True)
        if one.now.reflashed_on is not None
    ]
    change_store.put_outcomes(desk.session, told)


def _reflash_facts(row: HistoryRow) -> dict[str, str]:
    return {
        "module": made.module(row),
        "calibration_before": row.calibration_before,
        "calibration_after": row.calibration_after,
    }


@lead_or_owner
def renew_concerns(desk: Desk, concern_ids: Iterable[int], without: Iterable[int] = ()) -> None:
    """Let concerns end as all their history rows together say, where a history made them and nobody edited
    them; a candidate that no row names any more goes.

    `without`: ids of ImportedRow that are being undone.
    """
    ids = list(concern_ids)
    told = change_store.contents_of(desk.session, import_history.NOUN, ids, without)
    pairs = [(concern, from_content(content)) for concern, some in told.items() for content in some]
    keys, rows = [concern for concern, _ in pairs], [row for _, row in pairs]
    numbers = store.notes_by_number(desk.session, desk.shop.id, {row.update for row in rows})
    updates = [numbers.get(store.fold(row.update)) for row in rows]
    named = {(concern, note) for concern, note in zip(keys, updates, strict=True) if note is not None}
    change_store.keep_candidates(desk.session, ids, named)
    ends = endings(rows, keys, updates)
    for concern in change_store.untouched_concerns(desk.session, told):
        columns = ending_columns(desk, ends[concern.id or 0]) | {"closed_at": concern.closed_at}
        for name, value in columns.items():
            setattr(concern, name, value)
    desk.session.flush()


@lead_or_owner
def of_same_vehicles(desk: Desk, concern_ids: Iterable[int]) -> set[int]:
    """Reflashed concerns of these concerns' vehicles: a reflash ends the count of one before it."""
    places = undo_store.places_of(desk.session, concern_ids)
    vehicles = {vehicle for _, vehicle, _ in places.values()}
    return set(undo_store.concerns_reflashed(desk.session, vehicles))


@lead_or_owner
def end_superseded(desk: Desk, import_id: int) -> None:
    """A reflash tells no more from the day the same module of the same vehicle was reflashed again."""
    told = count_store.told_together(desk.session, import_id)
    renew_outcomes(desk, [*told, *story_store.superseded(desk.session, import_id)])

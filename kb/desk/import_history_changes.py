"""History rows that a later file tells differently, and the end of an import or undo of a history."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from itertools import pairwise

from kb.desk import concerns as concerns_desk
from kb.desk import history_rows as made
from kb.desk import history_updates, import_history, programming
from kb.desk.context import Desk, lead_or_owner
from kb.desk.history_facts import follow_ups_of, from_content
from kb.desk.observed import renew_events
from kb.intake.history_row import HistoryRow
from kb.records.store import history as store
from kb.records.store import history_changes as change_store
from kb.records.store import outcome_counts as count_store

Change = tuple[int, HistoryRow, HistoryRow]
"""A concern's id, its row as it was taken before, and as the file tells it now."""


@lead_or_owner
def take_changed(desk: Desk, import_id: int, changes: Sequence[Change]) -> None:
    """Bring what earlier imports made up to what the rows say now."""
    for change in changes:
        change_records(desk, import_id, change)
    import_history.remember(desk, import_id, [(concern, now) for concern, _, now in changes], "changed")
    renew_concerns(desk, {concern for concern, _, _ in changes})


@lead_or_owner
def change_records(desk: Desk, import_id: int, change: Change) -> None:
    """The outcome, reflash and follow-ups of one row; what people added beside them stays."""
    concern_id, before, now = change
    [update] = history_updates.updates_of(desk, import_id, [now])
    change_store.drop_follow_ups(desk.session, concern_id, follow_ups_of(before, desk.shop.currency))
    import_history.add_follow_ups(desk, import_id, [(concern_id, now)])
    if now.reflashed_on is not None:
        change_store.put_outcome(
            desk.session,
            concern_id,
            update,
            now.reflashed_on,
            made.outcome_facts(now),
            {
                "module": made.module(now),
                "calibration_before": now.calibration_before,
                "calibration_after": now.calibration_after,
            },
        )
    programming.renew_outcomes(desk, concerns_desk.on_file(desk, concern_id))


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
    ends = made.endings(rows, keys, updates)
    for concern in change_store.untouched_concerns(desk.session, told):
        columns = made.ending_columns(desk, ends[concern.id or 0]) | {"closed_at": concern.closed_at}
        for name, value in columns.items():
            setattr(concern, name, value)
    desk.session.flush()


@lead_or_owner
def renew_dates(desk: Desk, concern_ids: Iterable[int]) -> None:
    """Outcomes of a concern with several rows rest on what all of them heard, as anybody's do."""
    for concern_id in sorted(set(concern_ids)):
        programming.renew_outcomes(desk, concerns_desk.on_file(desk, concern_id))


@lead_or_owner
def end_superseded(desk: Desk, import_id: int) -> None:
    """A reflash tells no more from the day the same module of the same vehicle was reflashed again."""
    days = store.reflash_days(desk.session, import_id)
    ends = [
        (reflash, later)
        for (vehicle, module, _, reflash), (next_vehicle, next_module, later, _) in pairwise(days)
        if (vehicle, module) == (next_vehicle, next_module)
    ]
    store.end_counts(desk.session, ends)
    concerns = set(count_store.told_together(desk.session, import_id))
    concerns.update(count_store.concerns_of_reflashes(desk.session, [reflash for reflash, _ in ends]))
    renew_events(desk, sorted(concerns))

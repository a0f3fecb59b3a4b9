"""History rows that a later file tells differently, and the end of an import or undo of a history."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

from kb.desk import concerns as concerns_desk
from kb.desk import history_rows as made
from kb.desk import import_history, programming
from kb.desk.context import Desk, lead_or_owner
from kb.desk.history_facts import ending_of, follow_ups_of
from kb.desk.history_rows import End
from kb.intake.history_row import HistoryRow
from kb.records.store import history as store
from kb.records.store import history_changes as change_store
from kb.records.tables import ConcernRow

Change = tuple[int, HistoryRow, HistoryRow]
"""A concern's id, its row as it was taken before, and as the file tells it now."""


@lead_or_owner
def take_changed(desk: Desk, import_id: int, changes: Sequence[Change]) -> None:
    """Bring what earlier imports made up to what the rows say now."""
    for change in changes:
        change_records(desk, import_id, change)
    import_history.remember(desk, import_id, [(concern, now) for concern, _, now in changes], "changed")


@lead_or_owner
def change_records(desk: Desk, import_id: int, change: Change) -> None:
    """The outcome, reflash, follow-ups and ending of one row; what people added beside them stays."""
    concern_id, before, now = change
    [update] = import_history.updates_of(desk, import_id, [now])
    heard = [(one.result.value, one.seen_on) for one in follow_ups_of(before, desk.shop.currency)]
    change_store.drop_follow_ups(desk.session, concern_id, heard)
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
    held = concerns_desk.on_file(desk, concern_id)
    if _ended_as(held.concern, before):
        for name, value in made.ending_columns(desk, End(now, update, ending_of(now))).items():
            setattr(held.concern, name, value)
        desk.session.flush()
    programming.renew_outcomes(desk, held)


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


def _ended_as(row: ConcernRow, before: HistoryRow) -> bool:
    """Nobody has ended the concern otherwise since the history was taken."""
    return row.import_id is not None and row.ending == ending_of(before).value

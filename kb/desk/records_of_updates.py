"""Vehicles reflashed with an update: cured of tried. A report's rate, never mixed with a starting belief."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from kb.desk import counted as counted_desk
from kb.desk import updates as updates_desk
from kb.desk.context import Desk
from kb.nouns.advice import CureRecord
from kb.outcomes.rates import standing_counts


def records_of(desk: Desk, update_ids: Sequence[int]) -> dict[int, CureRecord]:
    """By update id: followed to the window without the concern, of those whose answer is known."""
    if not update_ids:
        return {}
    counts = counted_desk.count_for(desk, desk.today, update_ids).counts
    kept = updates_desk.on_file(desk).kept
    ids = np.unique([kept(one) for one in update_ids])
    stand = standing_counts(counts, ids)
    known = stand.followed_to_window + stand.failed_at_road_test + stand.comebacks
    records = {
        update: CureRecord(cured, tried)
        for update, cured, tried in zip(
            ids.tolist(), stand.followed_to_window.tolist(), known.tolist(), strict=True
        )
        if tried
    }
    return {one: records[kept(one)] for one in update_ids if kept(one) in records}

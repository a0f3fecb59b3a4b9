"""Vehicles reflashed with an update: cured of tried. A report's rate, never mixed with a starting belief."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from kb.desk.bay.advice import updates as updates_desk
from kb.desk.bay.outcomes import counted as counted_desk
from kb.desk.context import Desk
from kb.nouns.advice import CureRecord
from kb.outcomes.cure_rates import standing_counts


def records_of(desk: Desk, update_ids: Sequence[int]) -> dict[int, CureRecord]:
    """By update id, of those that were reflashed: followed to the window without the concern, with a known
    answer, waiting, and not heard of.
    """
    if not update_ids:
        return {}
    counts = counted_desk.count_for(desk, desk.today, update_ids).counts
    kept = updates_desk.on_file(desk).kept
    ids = np.unique([kept(one) for one in update_ids])
    stand = standing_counts(counts, ids)
    known = stand.followed_to_window + stand.failed_at_road_test + stand.comebacks
    columns = (stand.followed_to_window, known, stand.in_window, stand.overdue)
    records = {
        update: CureRecord(*numbers)
        for update, *numbers in zip(ids.tolist(), *(one.tolist() for one in columns), strict=True)
        if any(numbers)
    }
    return {one: records[kept(one)] for one in update_ids if kept(one) in records}

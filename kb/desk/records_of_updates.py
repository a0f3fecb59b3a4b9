"""Vehicles reflashed with an update: cured of tried. A report's rate, never mixed with a starting belief."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from kb.desk import counted as counted_desk
from kb.desk import updates as updates_desk
from kb.desk.context import Desk
from kb.nouns.advice import CureRecord
from kb.nouns.outcomes import Standing
from kb.outcomes.tally import FAILURES


def records_of(desk: Desk, update_ids: Sequence[int]) -> dict[int, CureRecord]:
    """By update id: followed to the window without the concern, of those whose answer is known."""
    if not update_ids:
        return {}
    counts = counted_desk.count(desk, desk.today).counts
    kept = updates_desk.on_file(desk).kept
    clean = counts.other_work == 0
    cured = clean & (counts.standing == Standing.FOLLOWED_TO_WINDOW)
    known = cured | (clean & np.isin(counts.standing, FAILURES))
    found = {}
    for update in update_ids:
        mine = counts.update == kept(update)
        if tried := int(counts.count[mine & known].sum()):
            found[update] = CureRecord(int(counts.count[mine & cured].sum()), tried)
    return found

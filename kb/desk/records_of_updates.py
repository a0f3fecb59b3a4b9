"""Vehicles reflashed with an update: cured of tried. A report's rate, never mixed with a starting belief."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

from kb.desk import observed as observed_desk
from kb.desk.context import Desk
from kb.nouns.advice import CureRecord
from kb.nouns.outcomes import Standing
from kb.outcomes.tally import FAILURES


def records_of(desk: Desk, update_ids: Sequence[int]) -> dict[int, CureRecord]:
    """By update id: followed to the window without the concern, of those whose answer is known."""
    if not update_ids:
        return {}
    cured: Counter[int] = Counter()
    tried: Counter[int] = Counter()
    for some in observed_desk.gather_of(desk, update_ids, desk.today).values():
        for one in some:
            if one.observation.other_work:
                continue
            known = one.observation.standing is Standing.FOLLOWED_TO_WINDOW
            if known or one.observation.standing in FAILURES:
                tried[one.facts.update_id] += 1
                cured[one.facts.update_id] += known
    return {update: CureRecord(cured[update], count) for update, count in tried.items()}

"""Vehicles reflashed with each update: cured of tried. Reports' rate, never mixed with a starting belief."""

from __future__ import annotations

from collections import defaultdict

from kb.desk import observed as observed_desk
from kb.desk.context import Desk
from kb.nouns.advice import CureRecord
from kb.nouns.outcomes import Standing
from kb.outcomes.tally import FAILURES


def records_of_updates(desk: Desk) -> dict[int, CureRecord]:
    """By update id: followed to the window without the concern, of those whose answer is known."""
    revisions = desk.revisions()
    key = (revisions["outcomes"], revisions["settings"], revisions["notes"], desk.today)
    return desk.memory.recall("records of updates", key, lambda: _count(desk))


def _count(desk: Desk) -> dict[int, CureRecord]:
    cured: dict[int, int] = defaultdict(int)
    tried: dict[int, int] = defaultdict(int)
    for some in observed_desk.gather(desk, desk.today).values():
        for one in some:
            if one.observation.other_work:
                continue
            known = one.observation.standing is Standing.FOLLOWED_TO_WINDOW
            if known or one.observation.standing in FAILURES:
                tried[one.facts.update_id] += 1
                cured[one.facts.update_id] += known
    return {update: CureRecord(cured[update], count) for update, count in tried.items()}

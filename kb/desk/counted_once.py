"""Which outcomes count: an update that needs two modules programmed for a concern was one try, not two."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from datetime import date

from kb.records.store.learning import OutcomeFacts


def counting(done: Sequence[OutcomeFacts]) -> list[OutcomeFacts]:
    """Of the installed reflashes of one concern, in their order, one for each sitting and update.

    Where a newer calibration went into one of the modules, that one counts: what comes later tells nothing of
    the update any more.
    """
    tries: dict[tuple[int, int], list[OutcomeFacts]] = defaultdict(list)
    for one in done:
        tries[one.event_id, one.update_id or 0].append(one)
    chosen = {min(same, key=_ends_first).id for same in tries.values()}
    return [one for one in done if one.id in chosen]


def _ends_first(one: OutcomeFacts) -> tuple[date, int]:
    return one.count_ends_on or date.max, one.id

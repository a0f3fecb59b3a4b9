"""Counts of events against reading every reflash one by one: the slow obvious twin."""

from __future__ import annotations

from collections import Counter
from datetime import date

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from kb.nouns.outcomes import ReflashOutcome, WindowRule
from kb.outcomes.events import event_of, tally_of_events
from kb.outcomes.observe import observe_all
from kb.outcomes.tally import Tally, tally
from tests.kb.outcomes.made import outcomes


def groups(counts: Tally) -> Counter[tuple[int, ...]]:
    found: Counter[tuple[int, ...]] = Counter()
    columns = (counts.update, counts.month, counts.day, counts.silent_day, counts.standing, counts.other_work)
    for *key, count in zip(*(column.tolist() for column in columns), counts.count.tolist(), strict=True):
        found[tuple(key)] += count
    return found


@given(st.lists(outcomes, max_size=12), st.dates(date(2026, 6, 1), date(2027, 12, 31)), st.integers(1, 200))
def test_events_read_by_a_window_are_what_is_observed_one_by_one(
    shop: list[ReflashOutcome], as_of: date, window: int
) -> None:
    events = [(one, event_of(one)) for one in shop]
    stands = [(one, e) for one, e in events if not e.alone and e.heard_on <= as_of]
    table = [
        (
            one.update_id,
            one.reflashed_on.year * 12 + one.reflashed_on.month - 1,
            e.kind,
            e.day,
            one.reflashed_on.toordinal(),
            one.other_work,
            1,
        )
        for one, e in stands
    ]
    counted = tally_of_events(np.array(table, dtype=np.int64), window, as_of)
    slow = tally(observe_all([one for one, _ in stands], WindowRule(window), as_of), window)
    assert groups(counted) == groups(slow)

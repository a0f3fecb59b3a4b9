"""Which reflash bears the money that a comeback cost: each amount once, however many modules were done."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence

from kb.desk.outcome_dates import FAILED
from kb.records.store.learning import FollowUpFacts, OutcomeFacts


def costs_by_outcome(done: Sequence[OutcomeFacts], heard: Iterable[FollowUpFacts]) -> Counter[int]:
    """Minor units by outcome id, for all installed reflashes of one concern and what was heard of it.

    What a failure cost is borne by the last visit before it; modules programmed in one visit share it
    evenly, what cannot be shared going to the first.
    """
    costs: Counter[int] = Counter()
    for one in heard:
        if one.result not in FAILED or not one.cost_minor:
            continue
        before = [o for o in done if (o.reflashed_on, o.recorded_at) <= (one.seen_on, one.recorded_at)]
        if not before:
            continue
        last = max((o.reflashed_on, o.recorded_at) for o in before)
        shared = [o.id for o in before if (o.reflashed_on, o.recorded_at) == last]
        part, rest = divmod(one.cost_minor, len(shared))
        costs.update(dict.fromkeys(shared, part))
        costs[shared[0]] += rest
    return costs

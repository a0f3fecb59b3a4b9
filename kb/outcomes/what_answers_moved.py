"""What some answers moved: the adjusted cure chance of an update with them and without."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from kb.nouns.outcomes import Observation
from kb.outcomes.shrinkage import heard_of
from kb.outcomes.silence import Silence, silent_counts
from kb.outcomes.tally import Tally, joined, tally, updates_of
from kb.outcomes.updates_in_general import HyperPrior

_WITH, _WITHOUT = 0, 1


def chances_without_and_with(
    counts: Tally,
    update: int,
    readings: tuple[Sequence[Observation], Sequence[Observation]],
    known: tuple[Silence, HyperPrior],
) -> tuple[float, float]:
    """The adjusted chance of one update were these answers not given, and with them.

    `counts` are all of the shop; `readings` the same reflashes of the update without the answers and with
    them. What other updates and the calls say stays as it is now, so that the difference is the answers'.
    """
    without, given = (tally(some, counts.window_days) for some in readings)
    own = counts.part(counts.update == update)
    then = joined(own, replace(given, count=-given.count), without)
    both = joined(_as(own, _WITH), _as(then, _WITHOUT))
    updates = updates_of(counts)
    places = np.repeat(np.searchsorted(updates, update), 2)
    shop = silent_counts(counts, updates)
    mine = silent_counts(both, np.array([_WITH, _WITHOUT]))
    # The answer is saved by now: a count that does not fit must not read as a refusal of it.
    mine = replace(mine, failed=np.maximum(mine.failed, 0.0), free=np.maximum(mine.free, 0.0))
    chances = heard_of(mine, shop, places, *known).mean
    return float(chances[_WITHOUT]), float(chances[_WITH])


def _as(counts: Tally, update: int) -> Tally:
    return replace(counts, update=np.full_like(counts.update, update))

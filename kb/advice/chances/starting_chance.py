"""What updates start from, whatever the share of failures told unasked may be.

That share, h, is one for the shop and known from its calls alone (kb/outcomes/told_unasked.py). Each value
of it makes a start of its own: what silence tells, the correction for being reflashed at all, the records
and what updates have in common. The starts are equally likely and mixed here, outside the product over
updates: inside, much silence would pull h down, and with it every chance.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from kb.advice.chances import belief
from kb.advice.chances.belief import Floats, Hierarchy, UpdateRecord
from kb.nouns.advice import AdviceSettings


@dataclass(frozen=True, slots=True)
class Start:
    """Under one value of h: the updates' own `records`, those `carried` on from calibrations that they
    replaced, and what all have in `common`.
    """

    common: Hierarchy
    records: Mapping[int, UpdateRecord]
    carried: Mapping[int, UpdateRecord]

    def record(self, update_id: int) -> UpdateRecord:
        return self.carried.get(update_id) or self.records.get(update_id) or UpdateRecord()


def start(
    records: Mapping[int, UpdateRecord], carried: Mapping[int, UpdateRecord], settings: AdviceSettings
) -> Start:
    return Start(belief.common_belief(records.values(), settings), records, carried)


def mean(starts: Sequence[Start], update_id: int) -> float:
    """Mean chance of an update, every start as likely as the others."""
    return _mean_of(starts, [one.record(update_id) for one in starts])


@dataclass(frozen=True, slots=True)
class StartTerms:
    """How an update's start comes about; each chance is the one before with one thing more.

    First what updates are like `in_general`, worth so many vehicles, then with its own answers
    (`by_answers`), then with its `silent` vehicles, which count in part (`start`). The steps in log odds add
    up to the start.
    """

    in_general: float
    worth: float
    cured: float
    not_cured: float
    by_answers: float
    silent: int
    start: float

    @property
    def pushes(self) -> tuple[float, float, float]:
        """Log odds in general, and what the answers and the silence add to them."""
        general, answers, every = (
            math.log(p / (1 - p)) for p in (self.in_general, self.by_answers, self.start)
        )
        return general, answers - general, every - answers


def terms(starts: Sequence[Start], update_id: int) -> StartTerms:
    """The mean over the starts of each. What updates are like in general holds every answer of the shop."""
    records = [one.record(update_id) for one in starts]
    own = records[0]
    answers = replace(own, in_window=(), vehicles=())
    return StartTerms(
        _mean_of(starts, [UpdateRecord()] * len(starts)),
        sum(math.exp(float(one.common.weight @ np.log(one.common.a + one.common.b))) for one in starts)
        / len(starts),
        own.cured,
        own.not_cured,
        _mean_of(starts, [answers] * len(starts)),
        sum(vehicles for _v, vehicles in own.windows),
        _mean_of(starts, records),
    )


def _mean_of(starts: Sequence[Start], records: Sequence[UpdateRecord]) -> float:
    means = [belief.starting_mean(one.common, record) for one, record in zip(starts, records, strict=True)]
    return sum(means) / len(means)


def draws(starts: Sequence[Start], update_id: int, count: int, random: np.random.Generator) -> Floats:
    """Draws of an update's chance, an equal part from each start and in their order: the draws of two updates
    at one place share their start.
    """
    parts = np.array_split(np.arange(count), len(starts))
    return np.concatenate(
        [
            belief.starting_draws(one.common, one.record(update_id), part.size, random)
            for one, part in zip(starts, parts, strict=True)
        ]
    )

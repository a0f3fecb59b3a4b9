"""The limit that would fit the shop's own measured values best: a suggestion, never a specification.

Every cut between two neighbouring values splits the concerns with a known cause in two; each side is given
its own chance of having been cured by an update. The cut with the highest likelihood is the split that a
decision tree of one level makes by entropy (Breiman and others 1984, Classification and Regression Trees).
A best cut exists in pure noise too, so the outcomes are shuffled: it is told only where fewer than 5 in 100
shuffles part as well.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.special import xlogy

from kb.advice.chances.evidence import answer_counts, cured_for
from kb.nouns.bay.measures import plain_number
from kb.nouns.learning import PastConcern

FEW = 20
"""Values with a known cause, below which nothing is told."""
_SHUFFLES, _BY_CHANCE = 400, 0.05
Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class FittingLimit:
    """A cut of `n` values: how many lie over it and up to it, and how many of each an update cured."""

    limit: float
    n: int
    over: int
    cured_over: int
    up_to: int
    cured_up_to: int


def values_of(concerns: Iterable[PastConcern], key: str, unit: str) -> list[tuple[float, bool]]:
    """Numbers of a check on concerns with a known cause, each with whether an update cured it.

    The last one recorded before the answer was known counts, whatever it was taken to say.
    """
    found = []
    for concern in concerns:
        if not answer_counts(concern):
            continue
        measured = [
            (one.recorded_at, one.number, cured_for(concern, one))
            for one in concern.findings
            if one.check == key
            and one.number is not None
            and one.unit == unit
            and (concern.answered_at is None or one.recorded_at < concern.answered_at)
        ]
        if measured:
            _at, number, cured = max(measured)
            found.append((number, cured))
    return found


def fitting_limit(values: Sequence[tuple[float, bool]]) -> FittingLimit | None:
    """The cut that fits best, midway between two values; None of few values or where chance parts as well.

    Of cuts that fit alike the one with the more equal sides, then the lower.
    """
    if len(values) < FEW:
        return None
    ordered = sorted(values)
    numbers = np.array([number for number, _cured in ordered])
    cured = np.array([cured for _number, cured in ordered], dtype=np.float64)
    cuts = np.flatnonzero(numbers[1:] > numbers[:-1]) + 1
    if not cuts.size:
        return None
    fits = _log_likelihoods(cured[None, :], cuts)[0]
    rounded = np.round(fits, 9)
    best = min(
        np.flatnonzero(rounded == rounded.max()).tolist(), key=lambda i: _uneven(int(cuts[i]), len(values))
    )
    if _share_as_good(cured, cuts, float(fits[best])) >= _BY_CHANCE:
        return None
    at = int(cuts[best])
    below = int(cured[:at].sum())
    limit = float((numbers[at - 1] + numbers[at]) / 2)
    return FittingLimit(limit, len(values), len(values) - at, int(cured.sum()) - below, at, below)


def _uneven(cut: int, n: int) -> tuple[int, int]:
    return abs(2 * cut - n), cut


def _log_likelihoods(cured: Floats, cuts: NDArray[np.int64]) -> Floats:
    """Of each row of outcomes, of each cut: both sides at their own rate. (rows, cuts)."""
    n, upto = cured.shape[1], np.cumsum(cured, axis=1)
    below, total = upto[:, cuts - 1], upto[:, -1:]
    return np.asarray(_side(below, cuts) + _side(total - below, n - cuts))


def _side(cured: Floats, size: NDArray[np.int64]) -> Floats:
    return np.asarray(xlogy(cured, cured) + xlogy(size - cured, size - cured) - xlogy(size, size))


def _share_as_good(cured: Floats, cuts: NDArray[np.int64], best: float) -> float:
    """The share of shuffles of the outcomes whose best cut fits as well; the same in every call."""
    random = np.random.default_rng(0)
    shuffled = random.permuted(np.tile(cured, (_SHUFFLES, 1)), axis=1)
    as_good = _log_likelihoods(shuffled, cuts).max(axis=1) >= best - 1e-9
    return float((1 + as_good.sum()) / (1 + _SHUFFLES))


def limit_sentence(found: FittingLimit | None, known: int, unit: str) -> str:
    """What the shop's own values say of a limit, in words."""
    values = f"{known} {'value' if known == 1 else 'values'} with a known cause"
    if known < FEW:
        return f"Cannot tell yet: {values}, {FEW} are needed."
    if found is None:
        return f"No limit parts the cured from the others better than chance would: {values}."
    limit = f"{plain_number(round(found.limit, 4))} {unit}"
    return (
        f"The shop's own {values} part best at {limit}: over it an update cured {found.cured_over} of "
        f"{found.over}, up to it {found.cured_up_to} of {found.up_to}. A suggestion from what was here, no "
        "specification: the manufacturer's limit rules."
    )

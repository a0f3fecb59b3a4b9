"""Beliefs about chances: a person's guess, counted vehicles, and what all updates of a shop have in common.

The starting belief of an update is hierarchical beta-binomial: cured_u ~ Binomial(n_u, p_u),
p_u ~ Beta(a, b), m = a / (a + b) ~ Beta from the shop's guess, log(a + b) ~ N(log center, sd). It is
integrated over a grid of (m, a + b), never plugged in: plug-in intervals are too narrow with few updates.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.special import betaln, gammaln, logsumexp

from kb.errors import BadInput
from kb.nouns.advice import AdviceSettings, Guess
from kb.outcomes.hyper import HyperPrior, hyper_grid

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Beta:
    """A belief over a chance, as good as `alpha` yes and `beta` no."""

    alpha: float
    beta: float

    @property
    def mean(self) -> float:
        return self.alpha / (self.alpha + self.beta)

    def counted(self, yes: float, no: float) -> Beta:
        return Beta(self.alpha + yes, self.beta + no)


def from_guess(guess: Guess) -> Beta:
    """Beta(w (k + 1/2) / 11, w (10 1/2 - k) / 11) for k of 10 at weight w; never quite 0 or 1.

    Raises BadInput for k outside 0..10 or a weight that is not above 0.
    """
    if not (0 <= guess.k <= 10 and guess.weight > 0):
        raise BadInput("A guess is 0 to 10 of 10, with a weight above 0.", fields={"guess": "0..10"})
    return Beta(guess.weight * (guess.k + 0.5) / 11.0, guess.weight * (10.5 - guess.k) / 11.0)


@dataclass(frozen=True, slots=True)
class UpdateRecord:
    """Closed concerns that say whether an update or something else was the cure: cured by it, and not.

    `in_window` holds, for each vehicle reflashed and event-free with its window open, the share v of
    failures that would have shown by now. Its likelihood is 1 - (1 - p) v. Counts may be fractional.
    """

    cured: float = 0.0
    not_cured: float = 0.0
    in_window: tuple[float, ...] = ()

    @property
    def known(self) -> float:
        return self.cured + self.not_cured

    def plus(self, other: UpdateRecord, weight: float) -> UpdateRecord:
        """The record with another's closed concerns at a weight."""
        return UpdateRecord(
            self.cured + weight * other.cured, self.not_cured + weight * other.not_cured, self.in_window
        )


@dataclass(frozen=True, slots=True)
class Hierarchy:
    """What the shop's updates have in common: grid points (a, b) and the weight of each, summing to 1."""

    a: Floats
    b: Floats
    weight: Floats


def starting_grid(settings: AdviceSettings) -> Hierarchy:
    """The grid before anything was counted, the same that cure rates are shrunk on."""
    start = settings.starting
    grid = hyper_grid(HyperPrior(start.k, start.weight, settings.spread_center, settings.spread_sd))
    return Hierarchy(grid.a, grid.b, grid.weight)


def common_belief(records: Iterable[UpdateRecord], settings: AdviceSettings) -> Hierarchy:
    """The grid after the records of all updates."""
    grid = starting_grid(settings)
    rows = list(records)
    log_weight = np.log(grid.weight) + _plain(grid, [r for r in rows if not r.in_window])
    for record in rows:
        if record.in_window:
            log_weight = log_weight + log_marginal(grid, record)
    return Hierarchy(grid.a, grid.b, np.exp(log_weight - logsumexp(log_weight)))


def _plain(grid: Hierarchy, records: list[UpdateRecord]) -> Floats:
    """Summed log marginals of records without open windows, equal counts taken together."""
    total = np.zeros(grid.a.shape)
    for counts, base in (
        (Counter(r.cured for r in records), grid.a),
        (Counter(r.not_cured for r in records), grid.b),
    ):
        for count, times in counts.items():
            total += times * (gammaln(base + count) - gammaln(base))
    for known, times in Counter(r.known for r in records).items():
        total -= times * (gammaln(grid.a + grid.b + known) - gammaln(grid.a + grid.b))
    return total


def _open_windows(in_window: tuple[float, ...]) -> Floats:
    """Coefficients e_j of prod((1 - v) q + p) = sum_j e_j p^(k-j) q^j, with q = 1 - p. All are >= 0."""
    terms = np.ones(1)
    for v in in_window:
        terms = np.convolve(terms, [1.0, 1.0 - v])
    return terms


def _parts(grid: Hierarchy, record: UpdateRecord) -> tuple[Floats, Floats, Floats]:
    """The posterior of each grid point as a mixture of Betas: log weights, alphas, betas. (points, k + 1)."""
    terms = _open_windows(record.in_window)
    j = np.arange(terms.size)
    alpha = grid.a[:, None] + record.cured + (terms.size - 1 - j)
    beta = grid.b[:, None] + record.not_cured + j
    with np.errstate(divide="ignore"):
        return np.log(terms) + betaln(alpha, beta), alpha, beta


def log_marginal(grid: Hierarchy, record: UpdateRecord) -> Floats:
    """Log of P(record | a, b) at every grid point, up to binomial coefficients."""
    return np.asarray(logsumexp(_parts(grid, record)[0], axis=1) - betaln(grid.a, grid.b))


def starting_mean(common: Hierarchy, record: UpdateRecord) -> float:
    """Mean chance of an update whose record is part of `common` (or empty)."""
    log_weight, alpha, beta = _parts(common, record)
    share = np.exp(log_weight - logsumexp(log_weight, axis=1, keepdims=True))
    return float(common.weight @ (share * alpha / (alpha + beta)).sum(axis=1))


def without(common: Hierarchy, record: UpdateRecord, left: UpdateRecord) -> Hierarchy:
    """`common` had this record been `left` (one concern taken out of it)."""
    shift = log_marginal(common, left) - log_marginal(common, record)
    log_weight = np.log(np.maximum(common.weight, 1e-300)) + shift
    return Hierarchy(common.a, common.b, np.exp(log_weight - logsumexp(log_weight)))


def starting_draws(
    common: Hierarchy, record: UpdateRecord, count: int, random: np.random.Generator
) -> Floats:
    """Draws of an update's chance from its starting belief."""
    points = random.choice(common.weight.size, size=count, p=common.weight / common.weight.sum())
    at = Hierarchy(common.a[points], common.b[points], common.weight[points])
    log_weight, alpha, beta = _parts(at, record)
    edges = np.exp(log_weight - logsumexp(log_weight, axis=1, keepdims=True)).cumsum(axis=1)
    part = np.minimum((random.random((count, 1)) > edges).sum(axis=1), edges.shape[1] - 1)
    rows = np.arange(count)
    return np.asarray(random.beta(alpha[rows, part], beta[rows, part]))

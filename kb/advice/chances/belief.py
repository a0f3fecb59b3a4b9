"""Beliefs about chances: a person's guess, counted vehicles, and what all updates of a shop have in common.

The starting belief of an update is hierarchical beta-binomial: cured_u ~ Binomial(n_u, p_u),
p_u ~ Beta(a, b), m = a / (a + b) ~ Beta from the shop's guess, log(a + b) ~ N(log center, sd). It is
integrated over a grid of (m, a + b), never plugged in: plug-in intervals are too narrow with few updates.
Open windows make the likelihood of an update a product of any length; it is taken at the points of
kb/advice/chances/chance_points.py.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray
from scipy.special import betaln, expit, gammaln, logsumexp

from kb.advice.chances import chance_points
from kb.nouns.advice import AdviceSettings, Guess
from kb.outcomes.updates_in_general import HyperPrior, guess_beta, hyper_grid

Floats = NDArray[np.float64]
LEAST = 1e-300
FEW = 50
"""Vehicles in open windows up to which draws are taken from the mixture of betas, term by term."""


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
    """The belief that somebody's k of 10 stands for. Raises BadInput for one that is none."""
    return Beta(*guess_beta(guess.k, guess.weight))


@dataclass(frozen=True, slots=True)
class UpdateRecord:
    """Closed concerns that say whether an update or something else was the cure: cured by it, and not.

    `in_window` holds, for vehicles reflashed and event-free with their window open, the share v of failures
    that would have shown by now, and `vehicles` how many there are of each (empty: one of each). The
    likelihood of one is 1 - (1 - p) v. Counts may be fractional.
    """

    cured: float = 0.0
    not_cured: float = 0.0
    in_window: tuple[float, ...] = ()
    vehicles: tuple[int, ...] = ()

    @property
    def known(self) -> float:
        return self.cured + self.not_cured

    @property
    def windows(self) -> list[tuple[float, int]]:
        """Shares v with their vehicles."""
        return list(zip(self.in_window, self.vehicles or (1,) * len(self.in_window), strict=True))

    def plus(self, other: UpdateRecord, weight: float) -> UpdateRecord:
        """The record with another's closed concerns at a weight."""
        cured, not_cured = self.cured + weight * other.cured, self.not_cured + weight * other.not_cured
        return UpdateRecord(cured, not_cured, self.in_window, self.vehicles)


def counted_windows(cured: float, not_cured: float, shown: Iterable[float]) -> UpdateRecord:
    """A record with the vehicles in open windows counted by the share that would have shown."""
    counts = sorted(Counter(shown).items())
    return UpdateRecord(cured, not_cured, tuple(v for v, _n in counts), tuple(n for _v, n in counts))


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
    log_weight = np.log(np.maximum(grid.weight, LEAST)) + _plain(grid, [r for r in rows if not r.in_window])
    alike = Counter(r for r in rows if r.in_window)
    if alike:
        each = chance_points.log_marginals(grid.a, grid.b, log_likelihoods(list(alike)))
        log_weight = log_weight + np.array(list(alike.values())) @ each
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


def log_likelihoods(records: Sequence[UpdateRecord]) -> Floats:
    """Of each record at the points of the chance. (records, points)."""
    return chance_points.log_likelihoods(
        [r.cured for r in records], [r.not_cured for r in records], [r.windows for r in records]
    )


def log_densities(common: Hierarchy, records: Sequence[UpdateRecord]) -> Floats:
    """What is believed of each update's chance, its record being part of `common` (or empty).

    Up to a factor, at the points of the chance: (records, points).
    """
    seen = log_likelihoods(records)
    apart = np.log(np.maximum(common.weight, LEAST)) - chance_points.log_marginals(common.a, common.b, seen)
    others = np.exp(apart - apart.max(axis=1, keepdims=True)) @ chance_points.mass(common.a, common.b)
    return np.asarray(np.log(np.maximum(others, LEAST)) + seen)


def log_density(common: Hierarchy, record: UpdateRecord) -> Floats:
    """The same of one update, kept while what is common and its record stay: every concern asks for it."""
    return _log_density(common.a.tobytes(), common.b.tobytes(), common.weight.tobytes(), record)


@lru_cache(maxsize=256)
def _log_density(a_bytes: bytes, b_bytes: bytes, weight_bytes: bytes, record: UpdateRecord) -> Floats:
    common = Hierarchy(*(np.frombuffer(some) for some in (a_bytes, b_bytes, weight_bytes)))
    found: Floats = log_densities(common, [record])[0]
    found.setflags(write=False)
    return found


def log_odds_without(log_density: Floats, left_out: UpdateRecord) -> float:
    """Log odds of an update's mean chance had some of its vehicles not been counted, from its `log_density`.

    The same as the belief from everything else (Gelfand, Dey & Chang 1992, Bayesian Statistics 4:147-167):
    dividing the posterior by the likelihood of what is left out takes it out of all it went into.
    """
    return float(chance_points.log_odds(log_density - log_likelihoods([left_out])[0]))


def starting_mean(common: Hierarchy, record: UpdateRecord) -> float:
    """Mean chance of an update whose record is part of `common` (or empty)."""
    if record.in_window:
        return float(expit(chance_points.log_odds(log_density(common, record))))
    alpha, beta = common.a + record.cured, common.b + record.not_cured
    return float(common.weight @ (alpha / (alpha + beta)))


def starting_draws(
    common: Hierarchy, record: UpdateRecord, count: int, random: np.random.Generator
) -> Floats:
    """Draws of an update's chance from its starting belief."""
    if sum(vehicles for _v, vehicles in record.windows) > FEW:
        return chance_points.draws(log_density(common, record), count, random)
    points = random.choice(common.weight.size, size=count, p=common.weight / common.weight.sum())
    log_weight, alpha, beta = _parts(common.a[points], common.b[points], record)
    edges = np.exp(log_weight - logsumexp(log_weight, axis=1, keepdims=True)).cumsum(axis=1)
    part = np.minimum((random.random((count, 1)) > edges).sum(axis=1), edges.shape[1] - 1)
    rows = np.arange(count)
    return np.asarray(random.beta(alpha[rows, part], beta[rows, part]))


def _parts(a: Floats, b: Floats, record: UpdateRecord) -> tuple[Floats, Floats, Floats]:
    """The posterior of each (a, b) as a mixture of Betas: log weights, alphas, betas. (points, k + 1).

    By the coefficients e_j of prod((1 - v) q + p) = sum_j e_j p^(k-j) q^j, with q = 1 - p. All are >= 0.
    """
    terms = np.ones(1)
    for v, vehicles in record.windows:
        for _ in range(vehicles):
            terms = np.convolve(terms, [1.0, 1.0 - v])
    j = np.arange(terms.size)
    alpha = a[:, None] + record.cured + (terms.size - 1 - j)
    beta = b[:, None] + record.not_cured + j
    with np.errstate(divide="ignore"):
        return np.log(terms) + betaln(alpha, beta), alpha, beta

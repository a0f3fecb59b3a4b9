"""Cure chances of all updates together: few vehicles lean on what updates are like in general."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from kb.errors import BadInput
from kb.outcomes.silence import Silence, SilentCounts
from kb.outcomes.tally import DayCounts, Floats
from kb.outcomes.updates_in_general import CELLS, POINTS_PER_CELL, HyperGrid, HyperPrior, hyper_grid

ENOUGH_FOLLOWED = 10
"""Vehicles of the shop followed to the window, below which no sentence is made."""
FLOOR = 1e-300
Places = NDArray[np.intp]


@dataclass(frozen=True, slots=True)
class CureChances:
    """What is believed of each update's cure chance: `mass` (updates, points) over cells between `edges`."""

    edges: Floats
    mass: Floats

    @property
    def mean(self) -> Floats:
        """Expected cure chance per update: the shrunken rate."""
        middle = (self.edges[:-1] + self.edges[1:]) / 2.0
        value: Floats = self.mass @ middle
        return value

    def quantiles(self, q: Sequence[float]) -> Floats:
        """The chances below which shares `q` of the belief lie, shape (updates, len(q))."""
        rows = [np.interp(q, row, self.edges) for row in self._cumulative()]
        return np.array(rows, dtype=np.float64).reshape(-1, len(q))

    def interval(self, level: float) -> tuple[Floats, Floats]:
        """Central interval of the given level, per update."""
        tail = (1.0 - level) / 2.0
        low, high = self.quantiles([tail, 1.0 - tail]).T
        return low, high

    def below(self, chance: Floats) -> Floats:
        """Probability that each update's cure chance lies below `chance`, one per update."""
        total = self._cumulative()
        return np.array([np.interp(x, self.edges, row) for x, row in zip(chance, total, strict=True)])

    def _cumulative(self) -> Floats:
        total = np.cumsum(self.mass, axis=1)
        return np.concatenate([np.zeros((total.shape[0], 1)), total / total[:, -1:]], axis=1)


@dataclass(frozen=True, slots=True)
class Vehicles:
    """What was seen of every update: (updates,) failures, and (updates, kinds) vehicles free of the concern.

    `shown` (kinds,) is the chance that a failure of such a vehicle would be known by now (v of
    kb.outcomes.silence); 1 = followed to the window. Counts may be fractional. Raises BadInput for counts
    that do not fit.
    """

    failed: Floats
    free: Floats
    shown: Floats

    def __post_init__(self) -> None:
        if self.failed.ndim != 1 or self.free.shape != (self.failed.size, self.shown.size):
            raise BadInput("Counts of updates do not fit together.", fields={"free": "shape"})
        if not min(self.failed.min(initial=0.0), self.free.min(initial=0.0)) >= 0.0:
            raise BadInput("A count cannot be below 0.", fields={"failed": "below 0"})


def what_others_say(vehicles: Vehicles, prior: HyperPrior | None = None) -> Floats:
    """For each update, the mass per cell that the setting and all other updates give its cure chance.

    Shape (updates, cells). Hierarchical beta-binomial, chance ~ Beta(a, b), summed over the grid of (a, b)
    and not plugged in: Gelman et al., Bayesian Data Analysis, 3rd ed., 5.3.
    """
    grid = hyper_grid(prior or HyperPrior())
    return _what_others_say(_likelihood(vehicles, grid), grid)


def believe(others: Floats, vehicles: Vehicles, prior: HyperPrior | None = None) -> CureChances:
    """Each update's own vehicles on top of what the others say of it.

    Likelihood, with t = 1 - chance: t^failed * prod (1 - t * shown)^free (design, section 6).
    """
    grid = hyper_grid(prior or HyperPrior())
    return _believe(others, _likelihood(vehicles, grid), grid)


def cure_chances(vehicles: Vehicles, prior: HyperPrior | None = None) -> CureChances:
    """Belief in every update's cure chance, from all updates of the shop at once.

    An update without vehicles gets what updates are like in general.
    """
    grid = hyper_grid(prior or HyperPrior())
    likelihood = _likelihood(vehicles, grid)
    return _believe(_what_others_say(likelihood, grid), likelihood, grid)


def vehicles_of(counts: SilentCounts, silence: Silence, told: float) -> Vehicles:
    """Counts by update as vehicles, were `told` the share of failures that are told unasked."""
    return Vehicles(counts.failed, counts.free, silence.known_by(counts.seen, counts.age, told))


def heard_of(
    own: SilentCounts, shop: SilentCounts, places: Places, silence: Silence, prior: HyperPrior
) -> CureChances:
    """Belief in the cure chance of each update, h being as uncertain as it is.

    `shop` holds all updates, `own` those at its `places`, with the vehicles that are asked for. The values of
    h are mixed outside the product over updates: h is one for the shop, known from its calls alone. Inside,
    much silence would pull h down, and with it every cure chance.
    """
    each = [_were(told, own, shop, places, silence, prior) for told in silence.told.tolist()]
    return CureChances(each[0].edges, np.mean([one.mass for one in each], axis=0))


def _were(
    told: float,
    own: SilentCounts,
    shop: SilentCounts,
    places: Places,
    silence: Silence,
    prior: HyperPrior,
) -> CureChances:
    everyone = vehicles_of(shop, silence, told)
    if own is shop:
        return cure_chances(everyone, prior)
    return believe(what_others_say(everyone, prior)[places], vehicles_of(own, silence, told), prior)


def cannot_tell_yet(counts: DayCounts) -> bool:
    """Whether fewer than ten vehicles in the shop are free of the concern and followed to the window."""
    return float(counts.free[..., -1].sum()) < ENOUGH_FOLLOWED


def _likelihood(vehicles: Vehicles, grid: HyperGrid) -> Floats:
    """Likelihood at the fine points, largest value 1 per update."""
    not_cured = 1.0 - grid.points
    free_so_far = np.log(np.maximum(1.0 - np.outer(vehicles.shown, not_cured), FLOOR))
    log_value = np.outer(vehicles.failed, np.log(not_cured)) + vehicles.free @ free_so_far
    value: Floats = np.exp(log_value - log_value.max(axis=1, keepdims=True))
    return value


def _what_others_say(likelihood: Floats, grid: HyperGrid) -> Floats:
    by_cell = likelihood.reshape(likelihood.shape[0], CELLS, POINTS_PER_CELL).mean(axis=2)
    marginal = np.maximum(by_cell @ grid.cell_mass.T, FLOOR)
    log_weight = np.log(np.maximum(grid.weight, FLOOR)) + np.log(marginal).sum(axis=0)
    weight = np.exp(log_weight - log_weight.max())
    others: Floats = (weight / weight.sum() / marginal) @ grid.cell_mass
    return np.maximum(others, FLOOR)


def _believe(others: Floats, likelihood: Floats, grid: HyperGrid) -> CureChances:
    mass = np.repeat(others / POINTS_PER_CELL, POINTS_PER_CELL, axis=1) * likelihood
    return CureChances(grid.edges, mass / mass.sum(axis=1, keepdims=True))

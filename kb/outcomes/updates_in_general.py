"""What updates are like in general: the beta over the updates' cure chances, itself known only roughly."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from scipy import special

from kb.errors import BadInput
from kb.outcomes.tally import Floats

CELLS = 200
"""Cells of the chance 0..1 in which the prior's mass is exact."""
POINTS_PER_CELL = 8
"""Points of a cell at which the likelihood is taken."""
MEAN_CELLS = 60
SIZE_POINTS = 21
SIZE_REACH = 3.0


def guess_beta(of_ten: float, weight: float) -> tuple[float, float]:
    """Beta(w (k + 1/2) / 11, w (10 1/2 - k) / 11) for a guess of k of 10 at weight w; never quite 0 or 1.

    Raises BadInput for k outside 0..10 or a weight that is not above 0.
    """
    if not (0 <= of_ten <= 10 and weight > 0):
        raise BadInput("A guess is 0 to 10 of 10, with a weight above 0.", fields={"guess": "0..10"})
    return weight * (of_ten + 0.5) / 11.0, weight * (10.5 - of_ten) / 11.0


@dataclass(frozen=True, slots=True)
class HyperPrior:
    """The shop's setting before any vehicle was followed.

    m = a/(a+b), the cure chance of an update in general, is a guess of `of_ten` in 10 at `weight` vehicles.
    ln(a+b), how alike updates are, is normal about ln(`size`).
    """

    of_ten: float = 5.0
    weight: float = 4.0
    size: float = 8.0
    log_size_sd: float = 1.0

    def __post_init__(self) -> None:
        guess_beta(self.of_ten, self.weight)
        if min(self.size, self.log_size_sd) <= 0.0:
            raise BadInput("How alike updates are is above 0.", fields={"size": "> 0"})


@dataclass(frozen=True, slots=True)
class HyperGrid:
    """Grid points (a, b) with their prior weights (sum 1), and the cells of the chance.

    `cell_mass` (grid points, cells) is each beta's exact mass per cell. `points`, between `edges`, are the
    fine points of the chance, evenly spaced by angle so that they crowd towards 0 and 1.
    """

    a: Floats
    b: Floats
    weight: Floats
    edges: Floats
    points: Floats
    cell_mass: Floats


@lru_cache(maxsize=16)
def hyper_grid(prior: HyperPrior) -> HyperGrid:
    """The grid of one setting; kept, since it depends on nothing else."""
    ends = np.linspace(0.0, 1.0, MEAN_CELLS + 1)
    mean_mass = _mass_between(*guess_beta(prior.of_ten, prior.weight), ends)
    z = np.linspace(-SIZE_REACH, SIZE_REACH, SIZE_POINTS)
    size = prior.size * np.exp(prior.log_size_sd * z)
    mean = (ends[:-1] + ends[1:]) / 2.0
    a = np.outer(mean, size).ravel()
    b = np.outer(1.0 - mean, size).ravel()
    weight = np.outer(mean_mass, np.exp(-z * z / 2.0)).ravel()
    fine = np.sin(np.linspace(0.0, np.pi / 2.0, CELLS * POINTS_PER_CELL + 1)) ** 2
    mass = np.diff(special.betainc(a[:, None], b[:, None], fine[None, ::POINTS_PER_CELL]), axis=1)
    points = (fine[:-1] + fine[1:]) / 2.0
    return HyperGrid(a, b, weight / weight.sum(), fine, points, mass.clip(min=0.0))


def _mass_between(a: float, b: float, ends: Floats) -> Floats:
    """Mass of Beta(a, b) between neighbouring `ends`, each taken from its own tail.

    Near 1 the difference of what lies below is rounding, or nothing at all, where a start is sure of few
    cures.
    """
    below, above = special.betainc(a, b, ends), special.betaincc(a, b, ends)
    mass: Floats = np.where(below[1:] < 0.5, np.diff(below), -np.diff(above))
    return mass

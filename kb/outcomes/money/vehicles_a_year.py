"""How many vehicles a year a shop will have, from what it counted: gamma and Poisson, negative binomial."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import scipy

from kb.errors import BadInput
from kb.nouns.outcomes import INTERVAL_LEVEL, Interval
from kb.outcomes.tally import Floats


@dataclass(frozen=True, slots=True)
class VehiclesAYear:
    """The belief about a rate of vehicles a year: Gamma(shape, 1 / years), of mean shape / years.

    `years`: those counted, and those that the guess is worth.
    """

    shape: float
    years: float

    @property
    def mean(self) -> float:
        return self.shape / self.years

    def interval(self, level: float = INTERVAL_LEVEL) -> Interval:
        """Where the number of the next year lies with this chance: quantiles of the negative binomial, of n
        the shape and p years / (years + 1). Gelman et al., Bayesian Data Analysis, 3rd ed., ch. 2.6 (from
        memory).
        """
        tail, p = (1.0 - level) / 2.0, self.years / (self.years + 1.0)
        low, high = (float(scipy.stats.nbinom.ppf(end, self.shape, p)) for end in (tail, 1.0 - tail))
        return low, high

    def draws(self, rng: np.random.Generator, size: int) -> Floats:
        """Rates a year."""
        return rng.gamma(self.shape, 1.0 / self.years, size)


def vehicles_a_year(counted: int, years: float, guess_a_year: float, guess_years: float) -> VehiclesAYear:
    """The belief after so many were `counted` in so many `years`.

    It starts from a guess of so many a year that is worth so many years of counting. Raises BadInput for a
    guess that is not above 0, or a negative count.
    """
    if guess_a_year <= 0 or guess_years <= 0 or counted < 0 or years < 0:
        raise BadInput("A guess is above 0, a count is 0 or more.", fields={"guess": "above 0"})
    return VehiclesAYear(guess_a_year * guess_years + counted, guess_years + years)

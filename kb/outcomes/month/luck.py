"""Whether two counts differ by more than luck: exact conditional tests, said in words and never as p-values.

A page compares some ten counts a month, so that "more than luck" is said as seldom as the funnel of the
review flags an update: where luck alone would do it less than 2 times in 1,000.
"""

from __future__ import annotations

from enum import StrEnum

import numpy as np
import scipy

from kb.errors import BadInput

SELDOM, NOW_AND_THEN = 0.002, 0.05


class Luck(StrEnum):
    """What a difference of two counts bears."""

    TOO_FEW = "too few to tell"
    LUCK = "no more than luck would do"
    MAYBE = "may be luck; see whether it stays"
    MORE = "more than luck would do"


def luck_of_counts(now: int, then: int, days_now: float, days_then: float) -> Luck:
    """Two counts of things that happen one by one, within so many days each.

    Given their sum n the first is binomial(n, days_now / (days_now + days_then)): Przyborowski & Wilenski
    (1940), Biometrika 31:313-323. Two-sided: outcomes no likelier than the one seen, added up. Raises
    BadInput for days that are not above 0.
    """
    if min(days_now, days_then) <= 0:
        raise BadInput("Both spans must have days in them.", fields={"days": "above 0"})
    together, share = now + then, days_now / (days_now + days_then)
    if not together:
        return Luck.TOO_FEW
    best = min(_poisson(0, together, share), _poisson(together, together, share))
    return _said(_poisson(now, together, share), best)


def luck_of_shares(now: int, of_now: int, then: int, of_then: int) -> Luck:
    """Two shares: `now` of `of_now` against `then` of `of_then`. Fisher's exact test, two-sided: Fisher
    (1935), The Design of Experiments, ch. 2.
    """
    failed, least, most = now + then, max(0, now + then - of_then), min(now + then, of_now)
    if not of_now or not of_then or least == most:
        return Luck.TOO_FEW
    p_values = [_fisher(one, of_now, failed - one, of_then) for one in (now, least, most)]
    return _said(p_values[0], min(p_values[1:]))


def _said(p_value: float, smallest: float) -> Luck:
    """`smallest`: the p-value of the most extreme split of the same sum; where not even that would be seldom,
    nothing can be told.
    """
    if smallest >= NOW_AND_THEN:
        return Luck.TOO_FEW
    if p_value < SELDOM:
        return Luck.MORE
    return Luck.MAYBE if p_value < NOW_AND_THEN else Luck.LUCK


def _poisson(now: int, together: int, share: float) -> float:
    return float(scipy.stats.binomtest(now, together, share).pvalue)


def _fisher(now: int, of_now: int, then: int, of_then: int) -> float:
    table = np.asarray([[now, of_now - now], [then, of_then - then]])
    return float(scipy.stats.fisher_exact(table).pvalue)

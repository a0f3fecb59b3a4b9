"""The interval of a cure rate: honest with few vehicles, and with vehicles still out of sight."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from scipy import special

from kb.errors import BadInput
from kb.outcomes.survival import kaplan_meier
from kb.outcomes.tally import DayCounts, Floats


def beta_product(counts: DayCounts, level: float) -> tuple[Floats, Floats]:
    """Lower and upper end of the share free of the concern at the window, one pair per group.

    Beta product confidence procedure: Fay, Brittain & Proschan (2013), Biostatistics 14:723-736, with the
    product of betas replaced by the beta of the same mean and variance. Upper: the product over days
    of Beta(n - d + 1, d); lower: the same times Beta(n_W, 1), n_W the vehicles free of the concern at the
    window. Nobody followed to the window: lower 0. No failure: upper 1. With no early leavers it is
    Clopper-Pearson.
    """
    low, high = _ends(counts, level, slice(-1, None))
    return low[..., 0], high[..., 0]


def band(counts: DayCounts, level: float) -> tuple[Floats, Floats]:
    """The same for every day 0..W in the last axis: a band about the curve, each day for itself.

    Raises BadInput for a level outside 0..1.
    """
    return _ends(counts, level, slice(None))


def _ends(counts: DayCounts, level: float, days: slice) -> tuple[Floats, Floats]:
    """Both ends on these days alone: quantiles of all of them are most of what a review would wait for."""
    if not 0.0 < level < 1.0:
        raise BadInput("A level lies between 0 and 1, such as 0.9.", fields={"level": "not in 0..1"})
    tail = (1.0 - level) / 2.0
    n, d = kaplan_meier(counts).at_risk, counts.failed
    moments = [np.cumsum(each, axis=-1)[..., days] for each in _log_moments(n - d + 1.0, d)]
    upper = np.where(np.cumsum(d, axis=-1)[..., days] == 0, 1.0, _quantile(moments, 1.0 - tail))
    followed = (n - d)[..., days]
    extra = _log_moments(np.maximum(followed, 1.0), np.ones_like(followed))
    lower = _quantile([sofar + more for sofar, more in zip(moments, extra, strict=True)], tail)
    return np.where(followed > 0, lower, 0.0), upper


def _log_moments(a: Floats, b: Floats) -> tuple[Floats, Floats, Floats]:
    """Of each Beta(a, b): ln E, ln E2/E, ln E2/E^2 (all 0 where b is 0); sums are those of the product."""
    return np.log1p(-b / (a + b)), np.log1p(-b / (a + b + 1.0)), np.log1p(b / (a * (a + b + 1.0)))


def _quantile(moments: Sequence[Floats], q: float) -> Floats:
    """Quantile of the beta with these moments: a = E (E - E2)/(E2 - E^2), b = (1 - E)(E - E2)/(E2 - E^2)."""
    log_mean, log_ratio, log_excess = moments
    flat = log_excess <= 0.0
    size = -np.expm1(log_ratio) / np.where(flat, 1.0, np.expm1(log_excess))
    a = np.where(flat, 1.0, size)
    b = np.where(flat, 1.0, -np.expm1(log_mean) * size / np.exp(log_mean))
    return np.asarray(special.betaincinv(a, b, q), dtype=np.float64)

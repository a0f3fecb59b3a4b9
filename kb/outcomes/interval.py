"""The interval of a cure rate: honest with few vehicles, and with vehicles still out of sight."""

from __future__ import annotations

import numpy as np
from scipy import stats

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
    if not 0.0 < level < 1.0:
        raise BadInput("A level lies between 0 and 1, such as 0.9.", fields={"level": "not in 0..1"})
    tail = (1.0 - level) / 2.0
    n, d = kaplan_meier(counts).at_risk, counts.failed
    log_mean, log_ratio, log_excess = _log_moments(n - d + 1.0, d)
    no_failure = d.sum(axis=-1) == 0
    upper = np.where(no_failure, 1.0, _quantile(log_mean, log_ratio, log_excess, 1.0 - tail))
    followed = counts.free[..., -1]
    one = np.where(followed > 0, 1.0, 0.0)
    extra = _log_moments(np.maximum(followed, 1.0)[..., None], one[..., None])
    low = _quantile(log_mean + extra[0], log_ratio + extra[1], log_excess + extra[2], tail)
    return np.where(followed > 0, low, 0.0), upper


def _log_moments(a: Floats, b: Floats) -> tuple[Floats, Floats, Floats]:
    """Of a product of Beta(a, b) over the last axis: ln E, ln E2/E, ln E2/E^2 (0 where b is 0)."""
    log_mean = np.log1p(-b / (a + b)).sum(axis=-1)
    log_ratio = np.log1p(-b / (a + b + 1.0)).sum(axis=-1)
    log_excess = np.log1p(b / (a * (a + b + 1.0))).sum(axis=-1)
    return log_mean, log_ratio, log_excess


def _quantile(log_mean: Floats, log_ratio: Floats, log_excess: Floats, q: float) -> Floats:
    """Quantile of the beta with these moments: a = E (E - E2)/(E2 - E^2), b = (1 - E)(E - E2)/(E2 - E^2)."""
    flat = log_excess <= 0.0
    size = -np.expm1(log_ratio) / np.where(flat, 1.0, np.expm1(log_excess))
    mean = np.exp(log_mean)
    a = np.where(flat, 1.0, size)
    b = np.where(flat, 1.0, -np.expm1(log_mean) * size / mean)
    return np.asarray(stats.beta.ppf(q, a, b), dtype=np.float64)

"""Several updates share one chance by odds: o_k = p_k / (1 - p_k), P_k = o_k / (1 + sum o)."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]


def shares(log_odds: Floats) -> Floats:
    """P_k of each update, and last of something else, from the log odds of each alone.

    Shape (..., K) gives (..., K + 1); the last axis sums to 1.
    """
    top = np.concatenate([log_odds, np.zeros((*log_odds.shape[:-1], 1))], axis=-1)
    odds = np.exp(top - top.max(axis=-1, keepdims=True))
    return np.asarray(odds / odds.sum(axis=-1, keepdims=True))

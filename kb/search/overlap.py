"""What the readings of one typed word add together: less than each by itself.

"Brake" is a word, a system and the beginning of "brake pedal"; a note that holds it holds one thing typed. The
terms of a word add up as a p-norm: their sum at power 1, the greatest of them as the power grows.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from kb.search.ranking import Scores


def add_by_word(impacts: Scores, factors: Sequence[float], units: Sequence[int], power: float) -> Scores:
    """By note (column) the sum over typed words of (Σ (factor · impact)^power)^(1/power), over the terms
    (rows) of the word: those of one of `units`.
    """
    if not len(units):
        return np.zeros(impacts.shape[1], dtype=np.float32)
    order = np.argsort(units, kind="stable")
    firsts = np.flatnonzero(np.diff(np.asarray(units)[order], prepend=-1))
    adds = (impacts * np.asarray(factors, dtype=np.float32)[:, np.newaxis])[order] ** np.float32(power)
    sums = np.add.reduceat(adds, firsts, axis=0) ** np.float32(1 / power)
    return np.asarray(sums.sum(axis=0))

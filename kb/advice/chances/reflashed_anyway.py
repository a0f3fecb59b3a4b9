"""How much being reflashed says by itself: shops reflash what they believe curable, not a random vehicle.

Of the concerns in which an update was considered:

| the update              | what happens           | known                               |
|-------------------------|------------------------|-------------------------------------|
| would cure it           | it is reflashed        | late: silence until the window ends |
| would not, chance b     | it is reflashed anyway | when it fails                       |
| would not, chance 1 - b | another cause is found | at once                             |

So a vehicle reflashed and not heard of has the likelihood p + (1 - p) b (1 - v), not p + (1 - p)(1 - v).
Without b the known failures count in full and the silent cures hardly: every update looks worse than it is.
With b = 1, everything is reflashed, the two are the same.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

_ROUNDS = 100
_CLOSE = 1e-9


@dataclass(frozen=True, slots=True)
class Considered:
    """Concerns of the whole shop in which an update was considered, pooled over updates.

    `failed`: reflashed and known not cured. `other`: known not cured and never reflashed with it. `shown`: of
    each vehicle reflashed and still free, the share v of failures that would have shown.
    """

    cured: float
    failed: float
    other: float
    shown: Sequence[float]


def reflashed_anyway(seen: Considered) -> float:
    """b, the chance that a concern which the update does not cure is reflashed with it, 0..1.

    Maximum likelihood with one pseudo-count on either side, by expectation-maximisation (Dempster, Laird &
    Rubin 1977, J. R. Stat. Soc. B 39:1-38) over which of the silent vehicles will fail.
    """
    silent = 1.0 - np.asarray(seen.shown, dtype=np.float64)
    anyway = (seen.failed + 1.0) / (seen.failed + seen.other + 2.0)
    cures = (seen.cured + 1.0) / (seen.cured + seen.failed + seen.other + 2.0)
    for _ in range(_ROUNDS):
        failing = (1.0 - cures) * anyway * silent
        failing = failing / (cures + failing)
        hidden, total = float(failing.sum()), seen.cured + seen.failed + seen.other + silent.size
        before = anyway
        anyway = (seen.failed + hidden + 1.0) / (seen.failed + seen.other + hidden + 2.0)
        cures = (seen.cured + silent.size - hidden + 1.0) / (total + 2.0)
        if abs(anyway - before) < _CLOSE:
            break
    return float(anyway)


def told_by(shown: float, anyway: float) -> float:
    """V' = 1 - b (1 - v): put in the place of v it gives 1 - (1 - p) v' = p + (1 - p) b (1 - v)."""
    return 1.0 - anyway * (1.0 - shown)

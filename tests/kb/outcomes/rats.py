"""Tumors among groups of rats: Tarone (1982), Biometrics 38:215-220; Gelman et al., BDA3, Table 5.1.

Typed from memory of the published table; the checks in the tests (totals, published fits) guard the typing.
"""

from __future__ import annotations

HISTORICAL = [
    *[(0, 20)] * 7, *[(0, 19)] * 4, (0, 18), (0, 18), (0, 17),
    *[(1, 20)] * 4, (1, 19), (1, 19), (1, 18), (1, 18), (2, 25), (2, 24), (2, 23),
    *[(2, 20)] * 6, (1, 10), (5, 49), (2, 19), (5, 46), (3, 27), (2, 17), (7, 49), (7, 47),
    (3, 20), (3, 20), (2, 13), (9, 48), (10, 50), *[(4, 20)] * 7, (10, 48), *[(4, 19)] * 3,
    (5, 22), (11, 46), (12, 49), (5, 20), (5, 20), (6, 23), (5, 19), (6, 22), *[(6, 20)] * 3,
    (16, 52), (15, 47), (15, 46), (9, 24),
]  # fmt: skip
CURRENT = (4, 14)

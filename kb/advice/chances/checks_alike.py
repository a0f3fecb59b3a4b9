"""Checks that tell much the same: by the shop's own counts, or because the lead put them in one group."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations

import numpy as np
from numpy.typing import NDArray
from scipy import sparse

from kb.advice.chances.evidence import Counted, cured_for
from kb.nouns.advice import AdviceSettings, CheckDefinition
from kb.nouns.concerns import FindingResult

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class AlikePair:
    """Two checks whose findings agree: phi coefficient over `together` concerns of one kind of answer."""

    first: str
    second: str
    phi: float
    together: int


def grouped(checks: Sequence[CheckDefinition]) -> frozenset[tuple[str, str]]:
    """Pairs of checks that the lead put in one group, each pair in sorted order."""
    return frozenset(
        (min(x.key, y.key), max(x.key, y.key))
        for x, y in combinations(checks, 2)
        if x.group and x.group == y.group
    )


def agreeing(concerns: Sequence[Counted], settings: AdviceSettings) -> tuple[AlikePair, ...]:
    """Pairs with phi over the limit within cured or within not cured, in enough concerns."""
    found: dict[tuple[str, str], AlikePair] = {}
    for cured in (True, False):
        keys, yes, no = _tables(concerns, cured)
        if len(keys) > 1:
            for pair in _over_limit(keys, yes, no, settings):
                held = found.get((pair.first, pair.second))
                if held is None or pair.phi > held.phi:
                    found[pair.first, pair.second] = pair
    return tuple(found[key] for key in sorted(found))


def _tables(concerns: Sequence[Counted], cured: bool) -> tuple[list[str], sparse.csr_array, sparse.csr_array]:
    """Concerns by checks, one table of yes and one of no, of findings counted on one side."""
    columns: dict[str, int] = {}
    entries: tuple[list[tuple[int, int]], list[tuple[int, int]]] = ([], [])
    for row, (concern, findings) in enumerate(concerns):
        for finding in findings:
            if cured_for(concern, finding) is cured:
                column = columns.setdefault(finding.check, len(columns))
                entries[finding.result is not FindingResult.YES].append((row, column))
    shape = (len(concerns), len(columns))
    yes, no = (_table(cells, shape) for cells in entries)
    return list(columns), yes, no


def _table(cells: list[tuple[int, int]], shape: tuple[int, int]) -> sparse.csr_array:
    at = np.array(cells, dtype=np.int64).reshape(-1, 2)
    return sparse.csr_array((np.ones(len(at)), (at[:, 0], at[:, 1])), shape=shape)


def _over_limit(
    keys: list[str], yes: sparse.csr_array, no: sparse.csr_array, settings: AdviceSettings
) -> list[AlikePair]:
    both, neither = (yes.T @ yes).toarray(), (no.T @ no).toarray()
    one, other = (yes.T @ no).toarray(), (no.T @ yes).toarray()
    phi = _phi(both, one, other, neither)
    together = both + one + other + neither
    hits = np.argwhere(np.triu((phi > settings.alike_phi) & (together >= settings.alike_count), k=1))
    pairs = []
    for i, j in hits:
        first, second = sorted((keys[i], keys[j]))
        pairs.append(AlikePair(first, second, float(phi[i, j]), int(together[i, j])))
    return pairs


def _phi(both: Floats, one: Floats, other: Floats, neither: Floats) -> Floats:
    """Phi coefficient of 2 by 2 tables (Pearson correlation of two yes/no variables); 0 where undefined."""
    margins = (both + one) * (other + neither) * (both + other) * (one + neither)
    return np.asarray((both * neither - one * other) / np.sqrt(np.where(margins > 0, margins, np.inf)))

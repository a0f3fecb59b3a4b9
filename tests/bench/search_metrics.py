"""How good a ranked list is: nDCG, recall at k, reciprocal rank, for one relevant note per query."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass


def dcg(gains: Sequence[float]) -> float:
    """Discounted cumulative gain, Σ gain / log2(rank + 1) (Burges et al. 2005; as scikit-learn counts it)."""
    return sum(gain / math.log2(rank + 1) for rank, gain in enumerate(gains, 1))


def ndcg(gains: Sequence[float], ideal: Sequence[float], top: int = 10) -> float:
    """DCG of the first `top` over the DCG of the ideal order of everything relevant; 0 if nothing is."""
    best = dcg(sorted(ideal, reverse=True)[:top])
    return dcg(gains[:top]) / best if best else 0.0


def reciprocal_rank(rank: int | None) -> float:
    """1/rank of the first relevant result, 0 if there is none (Voorhees 1999)."""
    return 1 / rank if rank else 0.0


@dataclass(frozen=True)
class Quality:
    """Means over queries, each between 0 and 1."""

    ndcg10: float
    recall1: float
    recall3: float
    recall10: float
    mrr: float


def quality(ranks: Iterable[int | None]) -> Quality:
    """Quality of queries with one relevant note each, from the rank it was given (None: not among ten)."""
    held = list(ranks)
    count = max(len(held), 1)

    def within(top: int) -> float:
        return sum(rank is not None and rank <= top for rank in held) / count

    gains = [ndcg([0.0] * (rank - 1) + [1.0] if rank else [], [1.0]) for rank in held]
    return Quality(
        sum(gains) / count, within(1), within(3), within(10), sum(map(reciprocal_rank, held)) / count
    )

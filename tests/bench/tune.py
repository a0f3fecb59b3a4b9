"""Find the ranking's weights on written queries, and say what they are worth on queries left out.

    python -m tests.bench.tune --queries FILE.json --recalls FOLDER_OR_ZIP [--folds 4] [--rounds 2]

Coordinate ascent over `kb.search.ranking.Weights` from its present values, once for each fold on the other
folds' queries and once on all. Prints the figures of the held-out queries (the honest ones) and the mean of
the folds' weights, to be typed into ranking.py by hand. No query gets weights of its own.
"""

from __future__ import annotations

import argparse
import random
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path

from kb.nouns.vehicles import Vehicle
from kb.search.index import SearchIndex
from kb.search.query import IndexEntry, Query
from kb.search.weights import Weights
from kb.words.concepts import trade_concepts
from kb.words.lexicon import Lexicon, make_lexicon
from tests.bench.quality import rank_of
from tests.bench.search_corpus import Asked, entry_of, read_queries, read_recalls, recall_paths
from tests.bench.search_metrics import quality

NUMBERS = (
    "k1", "pool", "word", "plain", "other", "concept", "said", "near", "shared", "inside", "again",
    "sharpness", "brevity",
    "sharpness_with_vehicle", "brevity_with_vehicle",
    "remedy", "remedy_with_vehicle", "cause_with_vehicle", "vehicle_with_vehicle",
)  # fmt: skip
STEPS = (0.6, 0.8, 1.25, 1.6)
LEAST_GAIN = 1e-3
Ranks = tuple[int | None, int | None, int | None, int | None]
"""Customer without and with vehicle, technician without and with."""


@dataclass
class Trial:
    """Ranks of every query pair under some weights; remembers what it has measured."""

    entries: Sequence[IndexEntry]
    numbers: Mapping[str, int]
    pairs: Sequence[Asked]
    lexicon: Lexicon
    known: dict[str, list[Ranks]] = field(default_factory=dict)

    def ranks(self, weights: Weights) -> list[Ranks]:
        key = repr(weights)
        if key not in self.known:
            index = SearchIndex.build(self.entries, self.lexicon, weights=weights)
            self.known[key] = [self._of(index, pair) for pair in self.pairs]
        return self.known[key]

    def _of(self, index: SearchIndex, pair: Asked) -> Ranks:
        def ranked(text: str, vehicle: Vehicle) -> list[int]:
            return [hit.id for hit in index.search(Query(text, vehicle=vehicle)).results]

        number = frozenset({self.numbers[pair.recall]})
        asked = [(words, known) for words in ("customer", "tech") for known in (0, 2)]
        found = [rank_of(ranked, pair, words, known, number) for words, known in asked]
        return (found[0], found[1], found[2], found[3])


def worth(ranks: Sequence[Ranks]) -> float:
    """nDCG@10 of all four ways of asking, and recall at 1 once more where the vehicle is known."""
    ways = [quality(way) for way in zip(*ranks, strict=True)]
    return sum(q.ndcg10 for q in ways) + 0.5 * (ways[1].recall1 + ways[3].recall1)


def ascend(measure: Callable[[Weights], float], start: Weights, rounds: int) -> Weights:
    best, reached = start, measure(start)
    for _ in range(rounds):
        before = reached
        for change in _changes():
            for step in STEPS:
                tried = change(best, step)
                value = measure(tried)
                if value > reached + LEAST_GAIN:
                    best, reached = tried, value
        if reached <= before:
            break
    return best


def _changes() -> list[Callable[[Weights, float], Weights]]:
    def number(name: str) -> Callable[[Weights, float], Weights]:
        return lambda weights, step: replace(weights, **{name: getattr(weights, name) * step})

    def kind(name: str) -> Callable[[Weights, float], Weights]:
        return lambda weights, step: replace(
            weights, kinds={**weights.kinds, name: weights.kinds[name] * step}
        )

    return [*map(number, NUMBERS), *map(kind, Weights().kinds)]


def main() -> None:
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("--queries", type=Path, required=True)
    parser.add_argument("--recalls", type=Path, required=True)
    parser.add_argument("--folds", type=int, default=4)
    parser.add_argument("--rounds", type=int, default=2)
    asked = parser.parse_args()
    recalls = read_recalls(recall_paths(asked.recalls))
    numbers = {recall.number: at for at, recall in enumerate(recalls)}
    pairs = [pair for pair in read_queries(asked.queries) if pair.recall in numbers]
    entries = [entry_of(recall, at) for at, recall in enumerate(recalls)]
    trial = Trial(entries, numbers, pairs, make_lexicon(trade_concepts()))
    show("as they are", trial.ranks(Weights()))
    order = random.Random(1).sample(range(len(pairs)), len(pairs))
    held: dict[int, Ranks] = {}
    found: list[Weights] = []
    for fold in range(asked.folds):
        left_out = set(order[fold :: asked.folds])
        kept = [at for at in range(len(pairs)) if at not in left_out]
        weights = ascend(
            lambda w, kept=kept: worth([trial.ranks(w)[at] for at in kept]), Weights(), asked.rounds
        )
        held.update({at: trial.ranks(weights)[at] for at in left_out})
        found.append(weights)
        print(f"fold {fold + 1}: {len(trial.known)} settings measured", flush=True)
    show("left-out queries", [held[at] for at in range(len(pairs))])
    mean = mean_weights(found)
    show("mean of the folds", trial.ranks(mean))
    print(mean)


def mean_weights(found: Sequence[Weights]) -> Weights:
    numbers = {name: sum(getattr(w, name) for w in found) / len(found) for name in NUMBERS}
    kinds = {name: sum(w.kinds[name] for w in found) / len(found) for name in Weights().kinds}
    return replace(Weights(), **numbers, kinds=kinds)


def show(name: str, ranks: Sequence[Ranks]) -> None:
    ways = [quality(way) for way in zip(*ranks, strict=True)]
    print(f"{name:20}", *(f"nDCG@10 {q.ndcg10:.3f} R@1 {q.recall1:.3f}" for q in ways), sep="  ", flush=True)


if __name__ == "__main__":
    main()

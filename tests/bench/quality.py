"""Quality of the search on recalls, customer and technician wording, against other ways, in one run.

    python -m tests.bench.quality --queries FILE.json --recalls FOLDER_OR_ZIP

The queries file is a list of {"recall", "make", "model", "year", "customer", "tech"}. A note is all documents
of one NHTSA ID. "With vehicle" leaves only the notes that cover the make and model (for everybody).
"""

from __future__ import annotations

import argparse
from collections.abc import Callable, Sequence
from pathlib import Path

from kb.nouns.vehicles import Vehicle
from kb.search.index import SearchIndex
from kb.search.query import IndexEntry, Query
from kb.words.concepts import trade_concepts
from kb.words.lexicon import make_lexicon
from tests.bench.search_corpus import Asked, entry_of, read_queries, read_recalls, recall_paths
from tests.bench.search_metrics import quality
from tests.bench.search_peers import PEERS, Search

TOP = 10
Ranked = Callable[[str, Vehicle], Sequence[int]]


def main() -> None:
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("--queries", type=Path, required=True)
    parser.add_argument("--recalls", type=Path, required=True)
    parser.add_argument("--only-ours", action="store_true", help="leave the other ways out")
    asked = parser.parse_args()
    recalls = read_recalls(recall_paths(asked.recalls))
    entries = [entry_of(recall, number) for number, recall in enumerate(recalls)]
    numbers = {recall.number: number for number, recall in enumerate(recalls)}
    pairs = [pair for pair in read_queries(asked.queries) if pair.recall in numbers]
    print(f"{len(pairs)} query pairs, {len(recalls)} notes, {sum(len(r.texts) for r in recalls)} documents")
    print(f"{'':28}{'':10} nDCG@10   R@1   R@3  R@10   MRR")
    index = SearchIndex.build(entries, make_lexicon(trade_concepts()))
    report("Beforeflash", _ours(index), pairs, numbers)
    for name, make in ({} if asked.only_ours else PEERS).items():
        texts = [" ".join(recall.texts) for recall in recalls]
        report(name, _peer(make(texts), entries), pairs, numbers)


def report(name: str, ranked: Ranked, pairs: Sequence[Asked], numbers: dict[str, int]) -> None:
    """Print one line for each wording, without and with the vehicle."""
    for wording in ("customer", "tech"):
        for known in (False, True):
            ranks = [rank_of(ranked, pair, wording, known, numbers[pair.recall]) for pair in pairs]
            q = quality(ranks)
            vehicle = " + vehicle" if known else ""
            values = (q.ndcg10, q.recall1, q.recall3, q.recall10, q.mrr)
            print(f"{name:22}{wording + vehicle:20}", *(f"{value:.3f}" for value in values), flush=True)


def rank_of(ranked: Ranked, pair: Asked, wording: str, known: bool, number: int) -> int | None:
    """Rank of the recall meant among the first ten, or None."""
    vehicle = Vehicle(make=pair.make, model=pair.model) if known else Vehicle()
    found = list(ranked(pair.words[wording], vehicle))[:TOP]
    return found.index(number) + 1 if number in found else None


def _ours(index: SearchIndex) -> Ranked:
    return lambda text, vehicle: [
        hit.id for hit in index.search(Query(text, vehicle=vehicle, limit=TOP)).results
    ]


def _peer(search: Search, entries: Sequence[IndexEntry]) -> Ranked:
    def ranked(text: str, vehicle: Vehicle) -> Sequence[int]:
        if not vehicle.make:
            return search(text, TOP)
        return [at for at in search(text, len(entries)) if _covers(entries[at], vehicle)][:TOP]

    return ranked


def _covers(entry: IndexEntry, vehicle: Vehicle) -> bool:
    return any((line.make, line.model) == (vehicle.make, vehicle.model) for line in entry.coverage)


if __name__ == "__main__":
    main()

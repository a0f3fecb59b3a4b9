"""Quality of the search on recalls, short and long, against other ways, in one run.

    python -m tests.bench.quality --queries FILE.json --recalls FOLDER_OR_ZIP

The queries file is a list of {"recall", "make", "model", "year", "customer", "tech"}, perhaps with a long
"complaint" that names its vehicle and a list of recalls that are the "same" defect. A note is all documents
of one NHTSA ID. "+ vehicle" leaves only the notes that cover the make and model, "+ year" those that cover
the year too (for everybody). The second and third tables count the recalls of one defect alike
(tests/bench/one_defect.py). Long complaints are made by rule (tests/bench/long_texts.py): "bare" tells
nothing of the vehicle, "named" has it somewhere in the text. The last tables are of ours alone: what was read
of the vehicle, and what a grade means (tests/bench/removed.py).
"""

from __future__ import annotations

import argparse
from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from pathlib import Path

from kb.nouns.vehicles import Vehicle
from kb.search.index import SearchIndex
from kb.search.query import IndexEntry, Query
from kb.vehicle.families import bare_model, families_on_file, fold
from kb.words.concepts import trade_concepts
from kb.words.lexicon import make_lexicon
from tests.bench.long_texts import from_customers, from_defects, from_what_is_seen
from tests.bench.one_defect import one_defect
from tests.bench.removed import report_grades
from tests.bench.search_corpus import (
    Asked,
    covers,
    entry_of,
    read_queries,
    read_recalls,
    recall_paths,
)
from tests.bench.search_metrics import quality
from tests.bench.search_peers import PEERS, Search

TOP = 10
DRAWN = 240
Ranked = Callable[[str, Vehicle], Sequence[int]]
Alike = Mapping[str, frozenset[int]]
"""By recall the numbers of the notes that are right."""


def main() -> None:
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("--queries", type=Path, required=True)
    parser.add_argument("--recalls", type=Path, required=True)
    parser.add_argument("--only-ours", action="store_true", help="leave the other ways out")
    parser.add_argument("--seed", type=int, default=14, help="of the long complaints")
    asked = parser.parse_args()
    recalls = read_recalls(recall_paths(asked.recalls))
    entries = [entry_of(recall, number) for number, recall in enumerate(recalls)]
    numbers = {recall.number: number for number, recall in enumerate(recalls)}
    pairs = [pair for pair in read_queries(asked.queries) if pair.recall in numbers]
    alone = {number: frozenset({at}) for number, at in numbers.items()}
    alike = _alike(pairs, one_defect(recalls), numbers)
    named = [replace(pair, words={"named": pair.words["named"]}) for pair in pairs if "named" in pair.words]
    pairs = [replace(pair, words={kind: pair.words[kind] for kind in ("customer", "tech")}) for pair in pairs]
    long = {
        "written": from_customers(pairs, asked.seed),
        "told": from_defects(recalls, DRAWN, asked.seed),
        "seen": from_what_is_seen(recalls, DRAWN, asked.seed),
    }
    print(f"{len(pairs)} query pairs, {len(recalls)} notes, {sum(len(r.texts) for r in recalls)} documents")
    index = SearchIndex.build(entries, make_lexicon(trade_concepts()))
    ways = {"Beforeflash": _ours(index)}
    texts = [" ".join(recall.texts) for recall in recalls]
    ways |= {name: _peer(make(texts), entries) for name, make in PEERS.items() if not asked.only_ours}
    _head("one recall is right")
    for name, ranked in ways.items():
        report(name, ranked, pairs, ("customer", "tech"), (0, 2), alone)
    _head("one defect, written")
    for name, ranked in ways.items():
        report(name, ranked, pairs, ("customer", "tech"), (0, 2, 3), alike)
    for kind, some in long.items():
        _head(f"one defect, {len(some)} long {kind}")
        for name, ranked in ways.items():
            report(name, ranked, some, ("bare", "named"), (0, 2, 3), alike)
    if named:
        long["complaints"] = named
        _head(f"one defect, {len(named)} complaints of the file")
        for name, ranked in ways.items():
            report(name, ranked, named, ("named",), (0, 2, 3), alike)
    _report_vehicles(index, {"written": pairs, **long})
    report_grades(index, entries, {"customer": pairs, "tech": pairs, **long}, alike)


def _alike(
    pairs: Sequence[Asked], groups: Mapping[str, frozenset[str]], numbers: Mapping[str, int]
) -> dict[str, frozenset[int]]:
    """By recall the notes of its defect: by the recalls' own texts, and by the writer of the queries."""
    told = {pair.recall: frozenset(pair.same) for pair in pairs}
    return {
        number: frozenset(numbers[one] for one in group | told.get(number, frozenset()) if one in numbers)
        for number, group in groups.items()
    }


def _head(name: str) -> None:
    print(f"{name:38}{'':10} nDCG@10   R@1   R@3  R@10   MRR")


def report(
    name: str,
    ranked: Ranked,
    some: Sequence[Asked],
    wordings: Sequence[str],
    known: Sequence[int],
    right: Alike,
) -> None:
    """Print one line for each wording and each number of things known of the vehicle (make, model, year)."""
    for wording in wordings:
        for much in known:
            ranks = [rank_of(ranked, one, wording, much, right[one.recall]) for one in some]
            q = quality(ranks)
            vehicle = {0: "", 2: " + vehicle", 3: " + vehicle + year"}[much]
            values = (q.ndcg10, q.recall1, q.recall3, q.recall10, q.mrr)
            print(f"{name:22}{wording + vehicle:28}", *(f"{value:.3f}" for value in values), flush=True)


def _report_vehicles(index: SearchIndex, kinds: Mapping[str, Sequence[Asked]]) -> None:
    """Of 100 texts that name their vehicle: what of it was read right, and where something was read wrong; of
    100 that name none, where one was read.
    """
    print(f"{'vehicle read out of the words':38}   make  model   year  wrong   where none is told")
    for kind, some in kinds.items():
        told = [(one, index.search(Query(one.words["named"])).read) for one in some if "named" in one.words]
        read = [_as_told(one, found.vehicle if found else Vehicle()) for one, found in told]
        bare = [text for one in some for wording, text in one.words.items() if wording != "named"]
        none_told = sum(index.search(Query(text)).read is not None for text in bare)
        shares = [100 * sum(column) / len(read) for column in zip(*read, strict=True)] if read else []
        figures = "".join(f"{share:7.1f}" for share in shares) or " " * 28
        print(f"{'Beforeflash':22}{kind:16}{figures}{100 * none_told / max(len(bare), 1):10.1f}")


def _as_told(asked: Asked, read: Vehicle) -> tuple[bool, bool, bool, bool]:
    """Whether make, model and year are those told, and whether anything else was read instead."""
    make = fold(read.make) == fold(asked.make)
    model = bare_model(asked.make, read.model) == bare_model(asked.make, asked.model)
    year = read.year == asked.year
    related = model or families_on_file().related(asked.make, read.model, asked.model)
    wrong = (read.make and not make) or (read.model and not related) or (read.year and not year)
    return make, model, year, bool(wrong)


def rank_of(ranked: Ranked, asked: Asked, wording: str, known: int, right: frozenset[int]) -> int | None:
    """Rank of the first right note among the first ten, or None."""
    found = list(ranked(asked.words[wording], asked.vehicle(known)))[:TOP]
    return next((rank for rank, number in enumerate(found, 1) if number in right), None)


def _ours(index: SearchIndex) -> Ranked:
    return lambda text, vehicle: [
        hit.id for hit in index.search(Query(text, vehicle=vehicle, limit=TOP)).results
    ]


def _peer(search: Search, entries: Sequence[IndexEntry]) -> Ranked:
    def ranked(text: str, vehicle: Vehicle) -> Sequence[int]:
        if not vehicle.make:
            return search(text, TOP)
        return [at for at in search(text, len(entries)) if covers(entries[at], vehicle)][:TOP]

    return ranked


if __name__ == "__main__":
    main()

"""Speed of the search at shop-lifetime size, against other ways, in one run.

    python -m tests.bench.speed --queries FILE.json --recalls FOLDER_OR_ZIP [--notes 300000]

The notes are made by recombining the recalls' own sentences, about 45 words each, with one to three vehicles.
Beside the written queries stand complaints of 60 and 200 words, and a word of thousands of letters.
"""

from __future__ import annotations

import argparse
import gc
import time
from collections.abc import Callable, Sequence
from dataclasses import replace
from pathlib import Path

import psutil

from kb.nouns.vehicles import Vehicle
from kb.records.files.freed_memory import give_memory_back
from kb.search.index import SearchIndex
from kb.search.query import IndexEntry, Query
from kb.words.concepts import trade_concepts
from kb.words.lexicon import make_lexicon
from tests.bench.long_texts import from_customers
from tests.bench.search_corpus import Asked, made_entries, read_queries, read_recalls, recall_paths
from tests.bench.search_peers import PEERS, percentiles

SLOW = "rapidfuzz over all"
LONG = (60, 200)
ENDLESS = 9_000
Taken = tuple[float, float]
"""Milliseconds on the clock, and milliseconds this thread worked (a busy machine stretches the first)."""


def main() -> None:
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("--queries", type=Path, required=True)
    parser.add_argument("--recalls", type=Path, required=True)
    parser.add_argument("--notes", type=int, default=300_000)
    parser.add_argument("--only-ours", action="store_true", help="leave the other ways out")
    asked = parser.parse_args()
    entries = list(made_entries(read_recalls(recall_paths(asked.recalls)), asked.notes))
    words = sum(entry.body.count(" ") + 1 for entry in entries) / len(entries)
    pairs = read_queries(asked.queries)
    load = f"load {psutil.getloadavg()[0]:.1f} on {psutil.cpu_count()} cores"
    print(f"{len(entries)} notes of {words:.1f} words; {load}")
    ours(entries, pairs)
    if not asked.only_ours:
        peers(entries, pairs)


def ours(entries: Sequence[IndexEntry], pairs: Sequence[Asked]) -> None:
    lexicon = make_lexicon(trade_concepts())
    gc.collect()
    before, start, work = _memory(), time.perf_counter(), time.process_time()
    index = SearchIndex.build(entries, lexicon)
    wall, work = time.perf_counter() - start, time.process_time() - work
    give_memory_back()  # as the desk does behind it
    print(f"Beforeflash: built in {wall:.1f} s ({work:.1f} s of work), {_memory() - before:.0f} MB")
    taken = _times(lambda pair, text: index.search(Query(text)), pairs)
    print("  without vehicle ", percentiles(taken))
    taken = _times(lambda pair, text: index.search(_known(pair, text)), pairs)
    print("  with vehicle    ", percentiles(taken))
    for words in LONG:
        long = _at_length(pairs, words)
        taken = _times(lambda pair, text: index.search(Query(text)), long)
        print(f"  {words} words       ", percentiles(taken))
    taken = [_taken(lambda letter=letter: index.search(Query(letter * ENDLESS))) for letter in "szxq"]
    print(f"  {ENDLESS:,} letters  ", percentiles(taken))
    print("  note saved, found", percentiles(_saved(index)))


def _at_length(pairs: Sequence[Asked], words: int) -> list[Asked]:
    """Complaints inside paperwork (tests/bench/long_texts.py), said again until they are so long."""
    return [
        replace(long, words={"bare": " ".join((long.words["bare"].split() * words)[:words])})
        for long in from_customers(pairs)
    ]


def peers(entries: Sequence[IndexEntry], pairs: Sequence[Asked]) -> None:
    texts = [entry.body for entry in entries]
    for name, make in PEERS.items():
        start = time.perf_counter()
        search = make(texts)
        print(f"{name}: built in {time.perf_counter() - start:.1f} s", flush=True)
        few = pairs[:5] if name == SLOW else pairs
        taken = _times(lambda pair, text, search=search: search(text, 10), few)
        print("                  ", percentiles(taken))
        taken = _times(lambda pair, text, search=search: search(text, 10), _at_length(few, LONG[-1]))
        print(f"  {LONG[-1]} words       ", percentiles(taken))


def _times(ask: Callable[[Asked, str], object], pairs: Sequence[Asked]) -> list[Taken]:
    """What every wording of every pair takes, after one round to warm up."""
    taken = []
    for timed in (False, True):
        for pair in pairs:
            for text in pair.words.values():
                once = _taken(lambda pair=pair, text=text: ask(pair, text))
                if timed:
                    taken.append(once)
    return taken


def _taken(do: Callable[[], object]) -> Taken:
    start, work = time.perf_counter(), time.thread_time()
    do()
    return (time.perf_counter() - start) * 1e3, (time.thread_time() - work) * 1e3


def _known(pair: Asked, text: str) -> Query:
    return Query(text, vehicle=Vehicle(pair.make, pair.model))


def _saved(index: SearchIndex, rounds: int = 300) -> list[Taken]:
    """What it takes from saving a note with a word of its own until a search finds it."""

    def save_and_find(number: int) -> None:
        word = "zq" + "".join(chr(97 + int(digit)) for digit in str(number))
        index.put(
            IndexEntry(10**9 + number, "lesson", title=f"Horn {word} at idle", body="Seen twice this year.")
        )
        if not index.search(Query(word)).results:
            raise AssertionError(f"{word} was saved and not found")

    return [_taken(lambda number=number: save_and_find(number)) for number in range(rounds)]


def _memory() -> float:
    return float(psutil.Process().memory_info().rss) / 2**20


if __name__ == "__main__":
    main()

"""Other ways to search the same texts, each with its usual settings, to measure against.

Each peer is built from texts and returns the numbers of the best texts for a query, best first.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Callable, Sequence

import bm25s
import numpy as np
import tantivy
from rapidfuzz import fuzz, process

from kb.words.normalise import stem, words

Search = Callable[[str, int], list[int]]


def full_text_table(texts: Sequence[str]) -> Search:
    """SQLite FTS5 with the porter tokenizer, any word may match, its own bm25 order."""
    base = sqlite3.connect(":memory:")
    base.execute("CREATE VIRTUAL TABLE note USING fts5(body, tokenize='porter unicode61')")
    base.executemany("INSERT INTO note(rowid, body) VALUES (?, ?)", enumerate(texts))

    def search(text: str, limit: int) -> list[int]:
        asked = " OR ".join(f'"{word}"' for word in dict.fromkeys(words(text)))
        found = base.execute(
            "SELECT rowid FROM note WHERE note MATCH ? ORDER BY rank, rowid LIMIT ?", (asked, limit)
        )
        return [int(row[0]) for row in found] if asked else []

    return search


def bm25_stemmed(texts: Sequence[str]) -> Search:
    """bm25s (lucene variant, k1 1.5, b .75) over Porter stems."""
    tokens = [[stem(word) for word in words(text)] for text in texts]
    retriever = bm25s.BM25()
    retriever.index(tokens, show_progress=False)
    known = set(retriever.vocab_dict)

    def search(text: str, limit: int) -> list[int]:
        asked = [stem(word) for word in words(text) if stem(word) in known]
        if not asked:
            return []
        numbers, _ = retriever.retrieve([asked], k=min(limit, len(texts)), show_progress=False)
        return [int(number) for number in numbers[0]]

    return search


def tantivy_index(texts: Sequence[str], *, fuzzy: bool) -> Search:
    """tantivy with English stemming; `fuzzy` also takes words one edit away."""
    schema = tantivy.SchemaBuilder()
    schema.add_text_field("body", tokenizer_name="en_stem")
    schema.add_text_field("plain")
    schema.add_unsigned_field("number", stored=True)
    built = schema.build()
    index = tantivy.Index(built)
    writer = index.writer(200_000_000, 1)
    for number, text in enumerate(texts):
        writer.add_document(tantivy.Document(body=text, plain=text, number=number))
    writer.commit()
    writer.wait_merging_threads()
    index.reload()
    searcher = index.searcher()

    def search(text: str, limit: int) -> list[int]:
        asked = list(dict.fromkeys(words(text)))
        if not asked:
            return []
        parts = [(tantivy.Occur.Should, index.parse_query(" ".join(asked), ["body"]))]
        if fuzzy:
            parts += [
                (tantivy.Occur.Should, tantivy.Query.fuzzy_term_query(built, "plain", word, 1))
                for word in asked
                if len(word) > 3
            ]
        hits = searcher.search(tantivy.Query.boolean_query(parts), limit).hits
        return [int(searcher.doc(address)["number"][0]) for _, address in hits]

    return search


def likeness_over_all(texts: Sequence[str]) -> Search:
    """rapidfuzz token_set_ratio against every text."""
    folded = [" ".join(words(text)) for text in texts]

    def search(text: str, limit: int) -> list[int]:
        asked = " ".join(words(text))
        return [
            int(at) for _, _, at in process.extract(asked, folded, scorer=fuzz.token_set_ratio, limit=limit)
        ]

    return search


PEERS: dict[str, Callable[[Sequence[str]], Search]] = {
    "rapidfuzz over all": likeness_over_all,
    "SQLite FTS5, porter": full_text_table,
    "bm25s, stems": bm25_stemmed,
    "tantivy, stems": lambda texts: tantivy_index(texts, fuzzy=False),
    "tantivy, fuzzy terms": lambda texts: tantivy_index(texts, fuzzy=True),
}


def percentiles(taken: Sequence[tuple[float, float]]) -> str:
    """Percentiles of (clock, work) pairs in milliseconds, as text."""
    clock, work = (np.percentile([pair[at] for pair in taken], [50, 95, 99]) for at in (0, 1))
    return "p50 {:.2f}  p95 {:.2f}  p99 {:.2f} ms".format(*clock) + " (work {:.2f} / {:.2f} / {:.2f})".format(
        *work
    )

from __future__ import annotations

import bm25s
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from kb.search.query import IndexEntry
from kb.search.ranking import Holdings, add_up, best, rarity
from kb.search.segment import Segment
from kb.search.text import read_text
from kb.search.vocabulary import Vocabulary
from kb.search.weights import FieldWeight, Weights
from kb.words.concepts import Concept, phrase_stems
from kb.words.normalise import stem
from tests.bench.search_metrics import dcg, ndcg, quality, reciprocal_rank

# Short texts of our own; no word repeats a stem of another and none is a small word.
TEXTS = [
    "harsh shift cold morning", "shift delay engine", "reflash module engine stall stall",
    "brake pedal noise", "harsh brake judder highway brake", "engine engine engine noise",
]  # fmt: skip
PLAIN = Weights(k1=1.5, pool=0.0, fields={**Weights().fields, "body": FieldWeight(1.0, 0.75)})


def plain_segment(texts: list[str], weights: Weights = PLAIN) -> tuple[Segment, Vocabulary]:
    vocabulary = Vocabulary()
    entries = [IndexEntry(number, "bulletin", body=text) for number, text in enumerate(texts)]
    return Segment.of(read_text(entries, vocabulary), vocabulary, weights), vocabulary


def our_scores(texts: list[str], query: list[str]) -> np.ndarray:
    segment, vocabulary = plain_segment(texts)
    terms = [segment.word_postings(vocabulary.stem_number(stem(word))) for word in query]
    held = [term for term in terms if len(term)]
    return add_up(held, [rarity(len(term), segment.size) for term in held], segment.size)


@pytest.mark.parametrize("query", [["harsh", "shift"], ["engine"], ["brake", "noise", "stall"], ["reflash"]])
def test_with_one_field_the_score_is_that_of_bm25s(query: list[str]) -> None:
    """Reference: bm25s, method "lucene", k1 1.5, b .75 (check_values §9.5)."""
    reference = bm25s.BM25(k1=1.5, b=0.75, method="lucene")
    reference.index([[stem(word) for word in text.split()] for text in TEXTS], show_progress=False)
    expected = reference.get_scores([stem(word) for word in query])
    np.testing.assert_allclose(our_scores(TEXTS, query), expected, rtol=1e-5)


def test_rarity_is_the_published_value() -> None:
    """check_values §9.5 and §9.7: N = 4, n = 2 gives .693147; N = 1000, n = 10 gives 4.55738."""
    assert rarity(2, 4) == pytest.approx(0.693147, abs=1e-6)
    assert rarity(10, 1000) == pytest.approx(4.55738, abs=1e-5)


def test_a_word_in_a_weighty_field_counts_like_that_many_words() -> None:
    """BM25F adds weighted frequencies before saturating (Robertson, Zaragoza & Taylor 2004): 2 in a title of
    weight 2 is tf 4, 4/(k1 + 4) with b = 0."""
    weights = Weights(
        k1=1.0, fields={**Weights().fields, "title": FieldWeight(2.0, 0.0), "body": FieldWeight(1.0, 0.0)}
    )
    vocabulary = Vocabulary()
    segment = Segment.of(
        read_text([IndexEntry(1, "lesson", title="stall stall", body="stall")], vocabulary),
        vocabulary,
        weights,
    )
    assert segment.word_postings(vocabulary.stem_number("stall")).impacts[0] == pytest.approx(5 / 6)


def test_a_title_drawn_from_documents_counts_less_than_one_that_somebody_wrote() -> None:
    """1.0 of the text beside 2.0 of a written title and 0.6 of a drawn one: 3/(k1 + 3) and 1.6/(k1 + 1.6)."""
    even = {name: FieldWeight(one.weight, 0.0) for name, one in Weights().fields.items()}
    vocabulary = Vocabulary()
    notes = [
        IndexEntry(1, "lesson", title="stall", body="stall"),
        IndexEntry(2, "bulletin", title="stall", documents=("stall",)),
    ]
    segment = Segment.of(read_text(notes, vocabulary), vocabulary, Weights(k1=1.0, fields=even))
    impacts = segment.word_postings(vocabulary.stem_number("stall")).impacts
    assert impacts == pytest.approx([3 / 4, 1.6 / 2.6])


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("loss of the motive power", True),
        ("loss of all motive power", True),
        ("power motive loss", False),
        ("loss of one and two and motive power", False),
    ],
)
def test_a_phrase_needs_its_words_in_order_and_close(text: str, found: bool) -> None:
    segment, vocabulary = plain_segment([text])
    stems = [vocabulary.stem_number(part) for part in phrase_stems("loss motive power")]
    assert bool(len(segment.phrase(stems)[0])) is found


def test_phrases_do_not_reach_across_documents_or_fields() -> None:
    vocabulary = Vocabulary()
    entries = [IndexEntry(1, "bulletin", title="fuel", body="leak fuel", documents=("leak", "fuel leak"))]
    segment = Segment.of(read_text(entries, vocabulary), vocabulary, Weights())
    stems = [vocabulary.stem_number("fuel"), vocabulary.stem_number("leak")]
    assert len(segment.phrase(stems)[0]) == 1


@given(
    st.lists(
        st.lists(st.sampled_from(["fuel", "leak", "pump", "of", "line"]), max_size=9), min_size=1, max_size=6
    )
)
def test_concepts_are_counted_as_a_plain_reading_counts_them(notes: list[list[str]]) -> None:
    """The slow obvious twin reads every note word by word."""
    segment, vocabulary = plain_segment([" ".join(words) for words in notes])
    concept = Concept("x", "part", frozenset({("fuel", "leak"), ("pump",)}))
    expected = [number for number, words in enumerate(notes) if "pump" in words or reads_fuel_leak(words)]
    assert segment.concept_postings(concept, vocabulary).notes.tolist() == expected


def reads_fuel_leak(words: list[str]) -> bool:
    return any(
        first == "fuel"
        and (later := [at for at in range(start + 1, len(words)) if words[at] == "leak"])
        and later[0] - start <= 3
        for start, first in enumerate(words)
    )


@given(st.lists(st.floats(0, 4, width=16), max_size=3000), st.integers(1, 12))
def test_the_best_scores_are_those_a_full_sort_gives(values: list[float], count: int) -> None:
    scores = np.array(values, dtype=np.float32)
    picked = sorted(scores[best(scores, count)].tolist(), reverse=True)
    expected = sorted([value for value in scores.tolist() if value > 0], reverse=True)
    assert picked[:count] == expected[:count]


WORDS = ["engine", "harsh", "brake", "noise", "zinc"]


@given(
    st.lists(st.lists(st.sampled_from(WORDS), max_size=9), min_size=1, max_size=6),
    st.lists(st.floats(0.125, 3, width=16), min_size=len(WORDS), max_size=len(WORDS)),
    st.data(),
)
def test_all_notes_and_some_looked_at_hold_what_a_plain_reading_adds_up(
    texts: list[list[str]], factors: list[float], data: st.DataObject
) -> None:
    """The slow obvious twin goes through the postings one by one."""
    segment, vocabulary = plain_segment([" ".join(words) for words in texts])
    terms = [segment.word_postings(vocabulary.stem_number(stem(word))) for word in WORDS]
    plain = [dict(zip(term.notes.tolist(), term.impacts.tolist(), strict=True)) for term in terms]
    totals = [
        sum(factor * told.get(note, 0) for factor, told in zip(factors, plain, strict=True))
        for note in range(len(texts))
    ]
    np.testing.assert_allclose(add_up(terms, factors, segment.size), totals, rtol=1e-5)
    notes = sorted(data.draw(st.sets(st.integers(0, len(texts) - 1))))
    held = Holdings.of(terms, np.array(notes, dtype=np.int64))
    assert held.any.tolist() == [[note in told for note in notes] for told in plain]
    assert held.impacts.tolist() == [[told.get(note, 0) for note in notes] for told in plain]


# Published: Järvelin & Kekäläinen 2002 as counted by scikit-learn, Voorhees 1999 (check_values §9.11, §9.12).
def test_the_benchmarks_own_measures_are_the_published_ones() -> None:
    gains = [3, 2, 3, 0, 0, 1, 2, 2, 3, 0]
    assert dcg(gains) == pytest.approx(8.31875, abs=1e-5)
    assert ndcg(gains, gains) == pytest.approx(0.916809, abs=1e-6)
    assert sum(map(reciprocal_rank, (1, 3, None))) / 3 == pytest.approx(0.444444, abs=1e-6)
    assert quality([1, 3, None]).recall3 == pytest.approx(2 / 3)

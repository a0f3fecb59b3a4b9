from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kb.nouns.vehicles import CoverageLine, Vehicle
from kb.search.index import SearchIndex
from kb.search.query import IndexEntry, Query
from kb.words.concepts import trade_concepts
from kb.words.lexicon import make_lexicon
from tests.kb.search.conftest import ENTRIES

INDEX = SearchIndex.build(ENTRIES, make_lexicon(trade_concepts()))
ODD = [
    "", "   ", "\n\t", "the of and", "🙂🚗", "P0301", "x" * 10_000, "engine stalls " * 900,
    "المحرك يتوقف", "המנוע כבה", "'; DROP TABLE note; --", '"dies" OR NEAR(', ".*(?=stall)[a-z]+$",
    "%_\\", "\x00\x01\ufeff", "不着车", "ｅｎｇｉｎｅ", "1e309", "-",
]  # fmt: skip


@pytest.mark.parametrize("text", ODD)
def test_odd_texts_get_an_answer_or_a_clear_sentence(text: str) -> None:
    answer = INDEX.search(Query(text))
    assert answer.results or answer.message.endswith(".")


@settings(max_examples=150)
@given(
    text=st.text(max_size=300), codes=st.lists(st.text(max_size=8), max_size=4), year=st.integers(-5, 99999)
)
def test_anything_typed_gets_the_same_answer_twice(text: str, codes: list[str], year: int) -> None:
    query = Query(text, tuple(codes), Vehicle(text[:5], text[5:9], year), recorded=bool(year % 2))
    answer = INDEX.search(query)
    assert answer == INDEX.search(query)
    assert answer.results or answer.message


@settings(max_examples=60)
@given(
    body=st.text(max_size=200),
    make=st.text(max_size=6),
    low=st.integers(1886, 2030),
    high=st.integers(1886, 2030),
)
def test_any_note_can_be_saved_and_taken_out(body: str, make: str, low: int, high: int) -> None:
    index = SearchIndex.build((), make_lexicon(trade_concepts()[:3]))
    index.put(
        IndexEntry(
            1,
            "lesson",
            title=body,
            documents=(body, ""),
            codes=(body[:5],),
            coverage=(CoverageLine(make, years=((low, high),)),),
        )
    )
    assert len(index) == 1
    index.remove(1, "lesson")
    assert index.search(Query(body)).results == ()


def test_only_stop_words_and_nothing_at_all_get_different_sentences() -> None:
    assert INDEX.search(Query("")).message != INDEX.search(Query("and then it was")).message


def test_nothing_for_this_vehicle_says_how_to_see_others() -> None:
    assert (
        "vehicle"
        in INDEX.search(
            Query("immobilizer stalls zz", vehicle=Vehicle("Nowhere"), kinds=("bulletin",))
        ).message
    )

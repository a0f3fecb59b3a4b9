from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from kb.nouns.vehicles import CoverageLine, Vehicle
from kb.search.index import SearchIndex
from kb.search.query import IndexEntry, Query
from kb.search.reading import read
from kb.search.scoring import add_by_word
from kb.search.weights import Weights
from kb.words.concepts import Concept, phrase_stems
from kb.words.lexicon import Lexicon, make_lexicon

ROWS = st.lists(st.tuples(st.integers(0, 3), st.floats(0, 2), st.floats(0, 1)), max_size=8)


def test_two_readings_of_a_word_add_up_to_less_than_two_words() -> None:
    """By hand: 3 and 4 of one word are the 5 of a right triangle at power 2; 3 and 4 of two words are 7."""
    impacts = np.array([[1.0], [1.0]], dtype=np.float32)
    assert add_by_word(impacts, [3, 4], [0, 0], 2.0).tolist() == pytest.approx([5])
    assert add_by_word(impacts, [3, 4], [0, 1], 2.0).tolist() == pytest.approx([7])
    assert add_by_word(impacts, [3, 4], [0, 0], 1.0).tolist() == pytest.approx([7])
    assert add_by_word(impacts[:0], [], [], 2.0).tolist() == [0]


@given(ROWS, st.floats(1, 3))
def test_the_sum_by_word_is_that_of_each_word_by_itself(
    rows: list[tuple[int, float, float]], power: float
) -> None:
    impacts = np.array([[impact, impact / 2] for _, _, impact in rows], dtype=np.float32).reshape(-1, 2)
    units, factors = [unit for unit, _, _ in rows], [factor for _, factor, _ in rows]
    slow = [0.0, 0.0]
    for unit in set(units):
        for note in (0, 1):
            adds = [
                (factors[at] * float(impacts[at, note])) ** power for at, of in enumerate(units) if of == unit
            ]
            slow[note] += sum(adds) ** (1 / power)
    assert add_by_word(impacts, factors, units, power).tolist() == pytest.approx(slow, rel=1e-3, abs=1e-4)


def scores(lexicon: Lexicon, notes: list[IndexEntry], text: str, vehicle: Vehicle | None = None) -> list[int]:
    index = SearchIndex.build(notes, lexicon)
    return [hit.id for hit in index.search(Query(text, vehicle=vehicle or Vehicle())).results]


def test_what_is_said_once_in_more_words_counts_once() -> None:
    stall = Concept("stall", "symptom", frozenset(map(phrase_stems, ("quits", "engine quits", "dies"))))
    lexicon = make_lexicon([stall])

    def counts(text: str) -> float:
        told = read(text, (), lexicon, SearchIndex.build([], lexicon).speller, Weights())
        return next(term.factor for term in told.terms if term.key == ("concept", "stall"))

    assert counts("engine quits") == counts("quits") < counts("quits and dies")


def test_a_loss_of_power_steering_is_no_loss_of_drive_power(lexicon: Lexicon) -> None:
    notes = [
        IndexEntry(1, "bulletin", symptom="A sudden loss of power steering may occur on the road."),
        IndexEntry(2, "bulletin", symptom="A sudden loss of power may occur while on the road."),
    ]
    assert scores(lexicon, notes, "lost drive")[:1] == [2]
    assert 1 not in scores(lexicon, notes, "lost drive")


def test_a_note_that_names_the_known_vehicle_is_no_nearer(lexicon: Lexicon) -> None:
    covered = (CoverageLine("Tarn", "Maverly"),)
    notes = [
        IndexEntry(1, "bulletin", symptom="Maverly grille: the Maverly emblem may fade.", coverage=covered),
        IndexEntry(2, "bulletin", symptom="The coolant hose may leak.", coverage=covered),
    ]
    vehicle = Vehicle("Tarn", "Maverly")
    assert scores(lexicon, notes, "hybrid maverly leaves coolant on the floor", vehicle)[:1] == [2]


def test_what_says_nothing_of_a_fault_is_like_no_past_vehicle(lexicon: Lexicon) -> None:
    past = [
        IndexEntry(1, "concern", symptom="radio keeps doing it when cold, squirrel nest"),
        IndexEntry(2, "concern", symptom="wipers quit"),
    ]
    index = SearchIndex.build(past, lexicon)

    def alike(text: str) -> list[int]:
        return [hit.id for hit in index.search(Query(text, kinds=("concern",))).results]

    assert alike("keeps doin it") == []
    assert alike("says squirrel did the same thing again") == []
    assert alike("squirrel") == [1]
    assert alike("wiper quit again on her") == [2]

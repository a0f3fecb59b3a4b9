from __future__ import annotations

from kb.nouns.notes import Grade
from kb.search.index import SearchIndex
from kb.search.query import IndexEntry, Query, Why
from kb.words.lexicon import Lexicon
from tests.kb.search.conftest import ENTRIES


def test_every_reason_names_typed_word_reading_matched_word_and_way(index: SearchIndex) -> None:
    (hit, *_) = index.search(Query("motor dies on the hwy p0300")).results
    assert hit.id == 1
    assert Why("motor dies", "motor dies", "stalls", "stall") in hit.why
    assert Why("hwy", "hwy", "highway", "highway") in hit.why
    assert Why("P0300", "P0301", "p0301", "related code") in hit.why


def test_a_corrected_word_is_listed_and_explains_the_match(index: SearchIndex) -> None:
    answer = index.search(Query("imobilizer"))
    assert [(c.typed, c.read_as) for c in answer.corrections] == [("imobilizer", "immobilizer")]
    assert Why("imobilizer", "immobilizer", "immobilizer", "spelling") in answer.results[0].why


def test_a_phrase_of_the_note_is_shown_as_it_stands_there(lexicon: Lexicon) -> None:
    note = IndexEntry(1, "bulletin", symptom="This may result in a loss of the motive power.")
    (hit,) = SearchIndex.build([note], lexicon).search(Query("wont move")).results
    assert any("motive power" in why.matched for why in hit.why)


def test_a_note_that_holds_all_of_it_is_strong_and_one_that_holds_little_is_weak(lexicon: Lexicon) -> None:
    notes = [
        IndexEntry(1, "bulletin", body="The engine may stall at idle when cold. P0171 is stored."),
        IndexEntry(2, "bulletin", body="The radio may show the wrong time when cold."),
    ]
    answer = SearchIndex.build(notes, lexicon).search(Query("stalls at idle when cold P0171"))
    assert {hit.id: hit.grade for hit in answer.results} == {1: Grade.STRONG, 2: Grade.WEAK}


def test_grades_stay_the_same_while_the_corpus_grows(lexicon: Lexicon) -> None:
    asked = Query("engine stalls on highway, dash goes blank", limit=50)
    index = SearchIndex.build(ENTRIES, lexicon)
    before = {(hit.id, hit.kind): hit.grade for hit in index.search(asked).results}
    for number in range(100, 400):
        index.put(
            IndexEntry(
                number, "bulletin", body="The engine may stall. The dash light may flicker. Cold start."
            )
        )
    after = {(hit.id, hit.kind): hit.grade for hit in index.search(Query(asked.text, limit=400)).results}
    assert before
    assert {key: after[key] for key in before} == before


def test_a_symptom_without_its_words_in_the_note_is_never_strong(index: SearchIndex) -> None:
    for hit in index.search(Query("sunroof shattered while parked with the engine off")).results:
        assert hit.grade is not Grade.STRONG


def test_a_note_that_holds_next_to_nothing_of_what_was_typed_is_no_result(lexicon: Lexicon) -> None:
    long = "transmission slips, airbag lamp on, coolant leaks, wipers quit, horn dead, pedal soft, seat loose"
    notes = [
        IndexEntry(1, "bulletin", body="The left one."),
        IndexEntry(2, "bulletin", body="Coolant may leak; soft pedal."),
    ]
    answer = SearchIndex.build(notes, lexicon).search(Query(f"{long} on the left"))
    assert [hit.id for hit in answer.results] == [2]

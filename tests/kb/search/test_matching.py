from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from kb.nouns.notes import Grade
from kb.nouns.vehicles import CoverageLine, Vehicle
from kb.search.answer import NOTHING_ABOUT
from kb.search.index import SearchIndex
from kb.search.matching import Match
from kb.search.query import IndexEntry, Query, Why
from kb.search.ranking import ABOVE, Level
from kb.words.lexicon import Lexicon
from tests.kb.search.conftest import ENTRIES


def test_every_reason_names_typed_word_reading_matched_word_and_way(index: SearchIndex) -> None:
    (hit, *_) = index.search(Query("motor dies on the hwy p0300")).results
    assert hit.id == 1
    assert Why("motor dies", "motor dies", "stalls", "stall") in hit.why
    assert "hwy" not in {why.typed for why in hit.why}  # where it happens convinces nobody
    assert Why("P0300", "P0301", "p0301", "related code") in hit.why


def test_a_corrected_word_is_listed_and_explains_the_match(index: SearchIndex) -> None:
    answer = index.search(Query("imobilizer"))
    assert [(c.typed, c.read_as) for c in answer.corrections] == [("imobilizer", "immobilizer")]
    assert Why("imobilizer", "immobilizer", "immobilizer", "spelling") in answer.results[0].why


def test_a_phrase_of_the_note_is_shown_as_it_stands_there(lexicon: Lexicon) -> None:
    note = IndexEntry(1, "bulletin", symptom="This may result in a loss of the motive power.")
    (hit,) = SearchIndex.build([note], lexicon).search(Query("wont move")).results
    assert any("motive power" in why.matched for why in hit.why)


CAR, OTHER = CoverageLine("Tarn", "Vell"), CoverageLine("Orsel", "Pellow")
KNOWN = Vehicle("Tarn", "Vell", 2018)


def test_a_note_that_holds_all_of_it_is_strong_and_one_that_holds_little_is_weak(lexicon: Lexicon) -> None:
    notes = [
        IndexEntry(1, "bulletin", symptom="The engine may stall at idle when cold. P0171.", coverage=(CAR,)),
        IndexEntry(2, "bulletin", body="The radio may show the wrong time when cold.", coverage=(CAR,)),
    ]
    asked = Query("stalls at idle when cold P0171", vehicle=KNOWN)
    answer = SearchIndex.build(notes, lexicon).search(asked)
    assert {hit.id: hit.grade for hit in answer.results} == {1: Grade.STRONG, 2: Grade.WEAK}
    assert not answer.message


@pytest.mark.parametrize(
    ("held", "of_best", "grade"),
    [
        (0.2, 0.29, Grade.PARTIAL),
        (0.2, 0.27, Grade.WEAK),
        (0.058, 1.0, Grade.PARTIAL),  # .058 / .2 = .29
        (0.054, 1.0, Grade.WEAK),  # .054 / .2 = .27
    ],
)
@pytest.mark.parametrize("in_full", [False, True])
def test_what_a_note_scores_of_the_best_on_file_makes_the_grade(
    held: float, of_best: float, grade: Grade, in_full: bool
) -> None:
    """One rule for two words and for a page; in a small file the best may be poor."""
    assert _grade(held=held, of_best=of_best, in_full=in_full) is grade


@pytest.mark.parametrize(("above", "grade"), [(26, Grade.PARTIAL), (27, Grade.WEAK)])
def test_a_note_that_others_outdo_is_worth_less(above: int, grade: Grade) -> None:
    """.6 · ln(500 / 27) / ln 500 = .2818; with 28, .2783."""
    assert _grade(of_best=0.6, above=above) is grade


def test_one_word_of_many_is_no_match_unless_a_page_was_told() -> None:
    """.05 / .2 = .25; of a page any note holds a small share."""
    for in_full, grade in ((False, Grade.WEAK), (True, Grade.PARTIAL)):
        assert _grade(share=0.05, in_full=in_full) is grade


def _grade(
    *, held: float = 0.2, of_best: float = 1.0, above: int = 0, share: float = 0.5, in_full: bool = False
) -> Grade:
    match = Match(share, telling=True, in_full=in_full, several=True)
    return match.grade(held=held, of_best=of_best, about=False, above=above, notes=500, for_vehicle=True)


@pytest.mark.parametrize(
    "vehicle", [Vehicle(), Vehicle("Tarn"), Vehicle(year=2018), Vehicle("Orsel", "Pellow")]
)
def test_nothing_is_strong_unless_make_and_model_are_known_and_the_note_is_for_them(
    vehicle: Vehicle, lexicon: Lexicon
) -> None:
    note = IndexEntry(1, "bulletin", symptom="Engine stalls at idle", coverage=(CAR,))
    asked = Query("engine stalls at idle", vehicle=vehicle, include_not_applying=True)
    (hit,) = SearchIndex.build([note], lexicon).search(asked).results
    assert hit.grade is Grade.PARTIAL


def test_what_nothing_is_about_is_said_and_what_is_nearest_stands_beneath(lexicon: Lexicon) -> None:
    notes = [
        IndexEntry(1, "bulletin", symptom="Sunroof rattles over bumps", coverage=(CAR,)),
        IndexEntry(2, "bulletin", symptom="Engine stalls at idle when warm", coverage=(CAR,)),
        IndexEntry(3, "bulletin", symptom="Fuel gauge reads empty", coverage=(OTHER,)),
    ]
    index = SearchIndex.build(notes, lexicon)
    answer = index.search(Query("brake pedal sinks slowly to the carpet", vehicle=KNOWN))
    assert answer.message == NOTHING_ABOUT
    assert {hit.id: hit.grade for hit in answer.results} == {1: Grade.WEAK, 2: Grade.WEAK}
    assert not index.search(Query("engine stalls warm", vehicle=KNOWN)).message


def test_a_note_taken_out_is_no_measure_of_the_others(lexicon: Lexicon) -> None:
    notes = [
        IndexEntry(1, "bulletin", symptom="Sunroof rattles over bumps when cold", coverage=(CAR,)),
        IndexEntry(2, "bulletin", body="The glass may rattle. Look at the radio too.", coverage=(CAR,)),
    ]
    asked, index = Query("sunroof glass rattles over bumps", vehicle=KNOWN), SearchIndex.build(notes, lexicon)
    index.remove(1, "bulletin")
    alone = SearchIndex.build(notes[1:], lexicon).search(asked)
    assert [hit.grade for hit in index.search(asked).results] == [hit.grade for hit in alone.results]


def test_grades_stay_the_same_while_the_file_grows_by_what_is_like_it(lexicon: Lexicon) -> None:
    index, vehicle = SearchIndex.build(ENTRIES, lexicon), Vehicle("Brontes", "F-150 X")
    asked = [
        Query(text, vehicle=vehicle, limit=50)
        for text in ("engine stalls on highway, dash goes blank", "shifts hard when cold", "stalls at idle")
    ]
    before = [{(hit.id, hit.kind): hit.grade for hit in index.search(one).results} for one in asked]
    for copy in range(1, 12):
        for entry in ENTRIES:
            index.put(replace(entry, id=entry.id + 1_000 * copy, coverage=(OTHER,)))
    after = [{(hit.id, hit.kind): hit.grade for hit in index.search(one).results} for one in asked]
    assert any(before)
    assert after == before


@given(st.lists(st.lists(st.integers(0, 9), max_size=40), min_size=1, max_size=4), st.integers(0, 9))
def test_a_level_counts_the_notes_that_score_higher(parts: list[list[int]], score: int) -> None:
    level = Level.of([(np.array(part, np.float32), np.ones(len(part), np.float32)) for part in parts])
    assert level.above(score) == sum(one > score for part in parts for one in part)
    assert level.of_best(score) * max(map(max, filter(None, parts)), default=0) in (pytest.approx(score), 0)
    assert level.notes == sum(map(len, parts))


def test_of_a_large_file_a_level_is_right_within_its_steps() -> None:
    scores = np.random.default_rng(5).random(300_000).astype(np.float32)
    level = Level.of([(scores, np.ones_like(scores))])
    for score in (0.2, 0.9, 0.999):
        assert abs(level.above(score) - int((scores > ABOVE * score).sum())) < 0.02 * len(scores)


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


def test_a_word_to_look_up_is_not_answered_that_nothing_is_about_it(lexicon: Lexicon) -> None:
    body = "The dealer will reprogram the module."
    notes = [IndexEntry(at, "bulletin", title=f"Module {at}", body=body, coverage=(CAR,)) for at in range(6)]
    answer = SearchIndex.build(notes, lexicon).search(Query("reprogram", vehicle=replace(KNOWN, model="")))
    assert answer.results
    assert not answer.message

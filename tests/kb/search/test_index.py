from __future__ import annotations

import random
from dataclasses import replace
from threading import Thread
from typing import Any

import pytest

from kb.nouns.vehicles import Applies, CoverageLine, Vehicle
from kb.search import answer as answering
from kb.search.growing import MIDDLE, SMALL
from kb.search.index import SearchIndex
from kb.search.query import Correction, Hit, IndexEntry, Query, SearchAnswer
from kb.search.reading import Read, read
from kb.words.concepts import trade_concepts
from kb.words.lexicon import Lexicon, make_lexicon
from tests.kb.search.conftest import DASH, ENTRIES, NO_CRANK, PAST, STALLS


def found(answer: SearchAnswer) -> list[tuple[int, str]]:
    return [(hit.id, hit.kind) for hit in answer.results]


def hit_of(answer: SearchAnswer, number: int) -> Hit:
    return next(hit for hit in answer.results if hit.id == number)


def test_shop_talk_with_typos_finds_the_bulletin_written_in_other_words(index: SearchIndex) -> None:
    assert found(index.search(Query("motor dies on teh hwy")))[0] == (1, "bulletin")
    assert found(index.search(Query("dsh goes blanc")))[0] == (3, "bulletin")
    assert found(index.search(Query("nocrank")))[0] == (2, "lesson")


def test_equal_codes_rank_above_related_codes_and_related_above_none(lexicon: Lexicon) -> None:
    notes = [
        IndexEntry(n, "bulletin", title="Rough idle", codes=(code,))
        for n, code in enumerate(["P0301", "P0300", "P0562"], 1)
    ]
    answer = SearchIndex.build(notes, lexicon).search(Query("rough idle", codes=("P0300",)))
    assert [hit.id for hit in answer.results] == [2, 1, 3]
    assert answer.results[0].why[0].through == "code"
    assert "related code" in [why.through for why in answer.results[1].why]


@pytest.mark.parametrize("word", ["housing", "sidewall", "loose", "reverse", "intrusion", "expensive"])
def test_every_word_of_a_note_finds_it(lexicon: Lexicon, word: str) -> None:
    """Their stems have shorter stems themselves, which no note holds."""
    notes = [IndexEntry(1, "bulletin", body=f"Zinc {word} plated"), IndexEntry(2, "bulletin", body="Copper")]
    (hit,) = SearchIndex.build(notes, lexicon).search(Query(f"copperless {word}")).results
    assert (hit.id, hit.met) == (1, (word,))


def test_codes_typed_in_the_text_count_as_codes(index: SearchIndex) -> None:
    assert found(index.search(Query("p0301"))) == [(1, "bulletin")]


def test_notes_that_do_not_apply_are_left_out_unless_asked_for(index: SearchIndex) -> None:
    other = Vehicle("Arges", "Onyx", 2018)
    assert (1, "bulletin") not in found(index.search(Query("engine stalls", vehicle=other)))
    shown = index.search(Query("engine stalls", vehicle=other, include_not_applying=True))
    assert hit_of(shown, 1).applies is Applies.NO


def test_case_spaces_and_hyphens_in_make_and_model_are_folded(index: SearchIndex) -> None:
    for model in ("f150x", "F 150 X", "f-150 x"):
        assert (
            hit_of(index.search(Query("engine stalls", vehicle=Vehicle("BRONTES", model))), 1).applies
            is Applies.YES
        )


def test_holes_in_the_years_are_holes(index: SearchIndex) -> None:
    years = {
        year: found(index.search(Query("engine stalls", vehicle=Vehicle("Brontes", "F-150 X", year))))
        for year in range(2015, 2022)
    }
    assert [year for year, notes in years.items() if (1, "bulletin") in notes] == [2016, 2017, 2019, 2020]


def test_a_note_without_coverage_ranks_below_the_same_note_that_applies(lexicon: Lexicon) -> None:
    covered = replace(DASH, id=10, coverage=(CoverageLine("Brontes", "Comet"),))
    notes = [replace(DASH, id=9, coverage=()), covered]
    answer = SearchIndex.build(notes, lexicon).search(
        Query("dash goes blank", vehicle=Vehicle("Brontes", "Comet"))
    )
    assert [(hit.id, hit.applies) for hit in answer.results] == [(10, Applies.YES), (9, Applies.CANNOT_TELL)]


def test_a_field_left_out_of_a_typed_query_does_not_demote_but_an_unknown_one_on_file_does(
    index: SearchIndex,
) -> None:
    make_only = Vehicle("Arges")
    assert hit_of(index.search(Query("dash blank", vehicle=make_only)), 3).applies is Applies.YES
    assert (
        hit_of(index.search(Query("dash blank", vehicle=make_only, recorded=True)), 3).applies
        is Applies.CANNOT_TELL
    )
    with_engine = Vehicle("Arges", engine="2.4")
    assert (
        hit_of(index.search(Query("dash blank", vehicle=with_engine, recorded=True)), 3).applies
        is Applies.YES
    )


def test_a_saved_note_is_found_by_the_next_search_and_its_old_text_is_not(index: SearchIndex) -> None:
    index.put(replace(STALLS, title="Wipers wobblate", symptom="", body="", codes=()))
    assert found(index.search(Query("wobblate"))) == [(1, "bulletin")]
    assert (1, "bulletin") not in found(index.search(Query("P0301")))
    index.remove(1, "bulletin")
    assert found(index.search(Query("wobblate"))) == []
    assert len(index) == len(ENTRIES) - 1


def test_the_same_id_of_another_kind_is_another_entry(index: SearchIndex) -> None:
    index.put(IndexEntry(1, "lesson", title="Engine stalls when cold"))
    assert {(1, "bulletin"), (1, "lesson")} <= set(found(index.search(Query("engine stalls"))))
    index.remove(1, "lesson")
    assert (1, "bulletin") in found(index.search(Query("engine stalls")))


def test_kinds_narrow_the_search(index: SearchIndex) -> None:
    assert {kind for _, kind in found(index.search(Query("dies on the highway", kinds=("concern",))))} == {
        "concern"
    }


def test_an_index_grown_note_by_note_finds_what_one_built_at_once_finds(lexicon: Lexicon) -> None:
    """The slow obvious twin: every note has one word of its own and must be found by it, and only by it."""
    draw = random.Random(3)
    notes = [IndexEntry(n, "lesson", title=f"brake noise {own_word(n)}") for n in range(SMALL * 3)]
    grown = SearchIndex.build(notes[:50], lexicon)
    for note in notes[50:]:
        grown.put(note)
    for note in draw.sample(notes, 40):
        grown.remove(note.id, "lesson")
        assert found(grown.search(Query(own_word(note.id)))) == []
        grown.put(note)
    for number in draw.sample(range(len(notes)), 60):
        assert found(grown.search(Query(own_word(number)))) == [(number, "lesson")]
    assert len(grown) == len(notes)


def test_parts_are_merged_and_a_bulk_put_replaces(lexicon: Lexicon) -> None:
    index = SearchIndex.build([], lexicon)
    for start in range(0, MIDDLE + SMALL, 64):
        index.put_all(IndexEntry(n, "lesson", title=f"noise {own_word(n)}") for n in range(start, start + 64))
    index.put_all(IndexEntry(n, "lesson", title=f"leak {own_word(n)}") for n in range(SMALL + 1))
    assert len(index) == MIDDLE + SMALL
    assert found(index.search(Query(own_word(5)))) == [(5, "lesson")]
    assert found(index.search(Query(own_word(MIDDLE)))) == [(MIDDLE, "lesson")]


def test_a_lexicon_entry_takes_effect_at_once_and_can_be_taken_back(index: SearchIndex) -> None:
    assert (2, "lesson") not in found(index.search(Query("plays possum")))
    index.use_lexicon(make_lexicon(trade_concepts(), added=[("no_crank", "plays possum")]))
    answer = index.search(Query("plays possum"))
    assert found(answer)[0] == (2, "lesson")
    assert answer.results[0].why[0].through == "no crank"
    index.use_lexicon(make_lexicon(trade_concepts()))
    assert (2, "lesson") not in found(index.search(Query("plays possum")))


def test_what_only_customers_write_is_no_word_to_be_read_as_or_left_at(lexicon: Lexicon) -> None:
    """A customer's "throtle" is not what a technician means, yet the vehicle that had it is found too."""
    note = IndexEntry(1, "bulletin", title="Hesitates at light throttle")
    slips = [IndexEntry(n, "concern", title="jerks at lite throtle") for n in range(2, 9)]
    built = SearchIndex.build([note, *slips], lexicon)
    grown = SearchIndex.build([note], lexicon)
    grown.put_all(slips)
    relexed = SearchIndex.build([note, *slips], lexicon)
    relexed.use_lexicon(make_lexicon(trade_concepts(), added=[("stall", "plays possum")]))
    for index in (built, grown, relexed):
        slip, right = index.search(Query("throtle")), index.search(Query("throttle"))
        assert slip.corrections == (Correction("throtle", "throttle"),)
        assert right.corrections == ()
        assert found(slip)[0] == found(right)[0] == (1, "bulletin")
        assert (2, "concern") in found(slip)


def test_what_is_complained_of_every_day_does_not_hide_the_note_about_it(lexicon: Lexicon) -> None:
    """Rarity is counted among notes: the same scores for notes with and without a thousand such concerns."""
    notes = [STALLS, NO_CRANK, DASH]
    daily = [replace(PAST, id=n, symptom="engine stalls on the highway") for n in range(1_000)]
    alone = SearchIndex.build(notes, lexicon).search(Query("stalls highway relay"))
    among = SearchIndex.build([*daily, *notes], lexicon).search(
        Query("stalls highway relay", kinds=("bulletin", "lesson"))
    )
    assert found(alone) == found(among)
    assert found(among)[0] == (1, "bulletin")
    past = SearchIndex.build(daily, lexicon).search(Query("stalls highway relay"))
    assert len(past.results) == 10


def test_a_slip_becomes_a_word_once_a_note_uses_it(lexicon: Lexicon) -> None:
    index = SearchIndex.build([IndexEntry(1, "lesson", title="Viper alarm"), PAST], lexicon)
    index.put(IndexEntry(2, "concern", title="wiperx came loose"))
    assert index.search(Query("wiperx")).corrections != ()
    index.put(IndexEntry(3, "lesson", title="Wiperx brand blades"))
    assert index.search(Query("wiperx")).corrections == ()


def test_a_word_can_be_searched_as_typed(index: SearchIndex) -> None:
    assert index.search(Query("enigne stalls")).corrections == (Correction("enigne", "engine"),)
    spared = index.search(Query("Enigne stalls", as_typed=("ENIGNE",)))
    assert spared.corrections == ()
    assert found(spared)[0] == (1, "bulletin")
    assert index.search(Query("enigne", as_typed=("enigne",))).results == ()
    assert index.search(Query("enigne")).corrections != ()


def test_equal_notes_come_in_the_order_of_kind_and_id(lexicon: Lexicon) -> None:
    notes = [
        replace(NO_CRANK, id=number, kind=kind) for number in (5, 3, 9) for kind in ("lesson", "bulletin")
    ]
    first = SearchIndex.build(notes, lexicon).search(Query("no crank"))
    again = SearchIndex.build(notes[::-1], lexicon).search(Query("no crank"))
    assert found(first) == found(again) == [(n, kind) for kind in ("bulletin", "lesson") for n in (3, 5, 9)]


def test_the_limit_is_kept_and_ties_at_the_limit_do_not_depend_on_order(lexicon: Lexicon) -> None:
    notes = [replace(NO_CRANK, id=number) for number in range(40)]
    assert found(SearchIndex.build(notes, lexicon).search(Query("no crank", limit=4))) == [
        (n, "lesson") for n in range(4)
    ]
    assert found(SearchIndex.build(notes[::-1], lexicon).search(Query("no crank", limit=4))) == [
        (n, "lesson") for n in range(4)
    ]


def test_readers_see_a_whole_index_while_a_writer_puts(index: SearchIndex) -> None:
    broken: list[BaseException] = []

    def ask() -> None:
        try:
            for _ in range(60):
                assert (1, "bulletin") in found(index.search(Query("engine stalls highway P0301")))
        except BaseException as error:
            broken.append(error)

    readers = [Thread(target=ask) for _ in range(3)]
    for reader in readers:
        reader.start()
    for number in range(100, 160):
        index.put(IndexEntry(number, "lesson", title=f"horn {own_word(number)}"))
    for reader in readers:
        reader.join()
    assert broken == []


def own_word(number: int) -> str:
    return "zq" + "".join(chr(ord("a") + int(digit)) for digit in f"{number:04d}") + "x"


@pytest.mark.parametrize("entries", [0, 1])
def test_an_index_of_nothing_or_one_note_answers(entries: int, lexicon: Lexicon) -> None:
    answer = SearchIndex.build([STALLS][:entries], lexicon).search(Query("stall"))
    assert len(answer.results) == entries
    assert bool(answer.message) is (entries == 0)


def test_a_text_is_read_once_for_notes_and_past_vehicles(
    lexicon: Lexicon, monkeypatch: pytest.MonkeyPatch
) -> None:
    index = SearchIndex.build(
        [
            IndexEntry(1, "bulletin", title="Stalls at idle"),
            IndexEntry(1, "concern", symptom="stalls at idle"),
        ],
        lexicon,
    )
    times: list[str] = []

    def counted(text: str, *rest: Any) -> Read:
        times.append(text)
        return read(text, *rest)

    monkeypatch.setattr(answering, "read", counted)
    for kind in ("concern", "bulletin"):
        assert [hit.kind for hit in index.search(Query("stalls", kinds=(kind,))).results] == [kind]
    assert times == ["stalls"]
    index.put(IndexEntry(2, "bulletin", title="Stalls when hot"))
    assert {hit.id for hit in index.search(Query("stalls", kinds=("bulletin",))).results} == {1, 2}
    assert times == ["stalls", "stalls"]

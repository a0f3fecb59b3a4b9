from __future__ import annotations

import pytest

from kb.nouns.vehicles import Applies, CoverageLine, Vehicle
from kb.search.index import SearchIndex
from kb.search.query import IndexEntry, Query
from kb.words.lexicon import Lexicon


def note(number: int, *lines: CoverageLine) -> IndexEntry:
    """One of several notes that only their vehicles tell apart."""
    return IndexEntry(number, "bulletin", symptom="The engine may stall while driving.", coverage=lines)


@pytest.fixture
def index(lexicon: Lexicon) -> SearchIndex:
    notes = (
        note(1, CoverageLine("Tarn", "Vell", ((2015, 2018),))),
        note(2, CoverageLine("Tarn", "Vell", ((2019, 2021),))),
        note(3, CoverageLine("Tarn", "Vell Hybrid", ((2015, 2018),))),
        note(4, CoverageLine("Norvane", "Oxbow")),
        note(5),
    )
    return SearchIndex.build(notes, lexicon)


@pytest.mark.parametrize(
    ("text", "vehicle"),
    [
        ("17 vell 2.0t stalls", Vehicle("Tarn", "Vell", 2017, "2.0L turbo")),
        ("The contact owns a 2020 Tarn Vell. It stalls", Vehicle("Tarn", "Vell", 2020)),
        ("norvane oxbow stalls", Vehicle("Norvane", "Oxbow")),
    ],
)
def test_a_vehicle_in_the_text_counts_as_if_it_were_filled_in(
    index: SearchIndex, text: str, vehicle: Vehicle
) -> None:
    told = index.search(Query(text))
    filled = index.search(Query("stalls", vehicle=vehicle))
    assert told.read is not None
    assert told.read.vehicle == vehicle
    assert [(hit.id, hit.applies) for hit in told.results] == [
        (hit.id, hit.applies) for hit in filled.results
    ]


def test_another_model_of_the_family_stands_below_what_applies_and_is_there(index: SearchIndex) -> None:
    results = index.search(Query("17 tarn vell stalls")).results
    assert [hit.id for hit in results if hit.applies is Applies.YES] == [1]
    assert [hit.id for hit in results] in ([1, 5, 3], [1, 3, 5])


def test_one_may_say_that_it_is_not_this_vehicle(index: SearchIndex) -> None:
    answer = index.search(Query("17 tarn vell stalls", reads_vehicle=False))
    assert answer.read is None
    assert {hit.id for hit in answer.results} == {1, 2, 3, 4, 5}


def test_a_vehicle_on_record_is_not_read_again(index: SearchIndex) -> None:
    answer = index.search(Query("17 tarn vell stalls", vehicle=Vehicle("Norvane", "Oxbow"), recorded=True))
    assert answer.read is None
    assert 1 not in {hit.id for hit in answer.results}


def test_a_vehicle_alone_is_searched_by_its_name(index: SearchIndex) -> None:
    assert 1 in {hit.id for hit in index.search(Query("2017 tarn vell")).results}


def test_the_maker_of_a_part_is_not_whose_vehicle_it_is(lexicon: Lexicon) -> None:
    lines = [CoverageLine("Cummins", f"Model {figure}") for figure in range(100, 130)]
    index = SearchIndex.build([note(1, CoverageLine("Tarn", "Vell")), note(2, *lines)], lexicon)
    answer = index.search(Query("Cummins stalls while driving"))
    assert answer.read is None
    assert {hit.id for hit in answer.results} == {1, 2}


@pytest.mark.parametrize(
    ("text", "vehicle"),
    [
        ("our 2019 Orsel Pellow stalls", Vehicle("Orsel Coach", "Pellow Type I", 2019)),
        ("2019 Tarn Quarry (QR) stalls", Vehicle("Tarn", "Quarry (QR)", 2019)),
        ("2019 Tarn Quarry stalls", Vehicle("Tarn", "Quarry", 2019)),
        ("2019 Tarn Crest 2500HD stalls", Vehicle("Tarn", "Crest 2500", 2019)),
    ],
)
def test_a_name_on_file_is_read_by_as_much_of_it_as_is_said(
    text: str, vehicle: Vehicle, lexicon: Lexicon
) -> None:
    lines = [CoverageLine("Orsel Coach", "Pellow Type I")]
    lines += [CoverageLine("Tarn", model) for model in ("Quarry (QR)", "Crest 2500", "Crest 1500")]
    index = SearchIndex.build([note(at, line) for at, line in enumerate(lines)], lexicon)
    read = index.search(Query(text)).read
    assert read is not None
    assert read.vehicle == vehicle

"""What is shown as a reason, and what only helps to rank.

Whether a pair convinces is a technician's judgement (common practice, no source).
"""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kb.nouns.vehicles import CoverageLine
from kb.search.index import SearchIndex
from kb.search.query import IndexEntry, Query
from kb.words.concepts import trade_concepts
from kb.words.lexicon import Lexicon, make_lexicon
from kb.words.normalise import stem, words


def shown(lexicon: Lexicon, typed: str, note: str) -> set[tuple[str, str]]:
    """(typed, matched) of the reasons for the only note on file."""
    index = SearchIndex.build([IndexEntry(1, "bulletin", symptom=note)], lexicon)
    return {(why.typed, why.matched) for hit in index.search(Query(typed)).results for why in hit.why}


@pytest.mark.parametrize(
    ("typed", "note", "reason"),
    [
        ("motor dies", "The engine may stall.", ("motor dies", "stall")),
        ("tranny slips", "The transmission may slip.", ("tranny", "transmission")),
        ("wont move", "May result in a loss of the motive power.", ("wont move", "loss of the motive power")),
        ("fuel pmup leaks", "The fuel pump may leak.", ("fuel pmup", "fuel pump")),
        ("peddle squeaks", "The pedal may squeak.", ("peddle", "pedal")),
    ],
)
def test_other_words_for_the_same_are_a_reason(
    lexicon: Lexicon, typed: str, note: str, reason: tuple[str, str]
) -> None:
    assert reason in shown(lexicon, typed, note)


@pytest.mark.parametrize(
    ("typed", "note"),
    [
        ("oil filter is tight to reach", "The drain plug may loosen."),  # other things of one system
        ("lite throttle surge", "The lamp may stay lit. The engine may surge."),  # a word of two senses
        ("exceleration is slow", "Unexpected deceleration of the vehicle."),  # direction never turns
        ("stalled at a light", "The bracket may not have been installed."),
        ("hit a puddle", "The pedal may stick."),
        ("wipers wont move, no movement", "The engine may shut down with a loss of motive power."),
        ("the right one, 35 times", "Right after 35 miles, several times."),  # everyday words and figures
        ("car shakes at the light", "The light may flicker."),
        ("bucks at light load", "The light may stay on."),
        ("the back door wont open", "The rear door may open."),
        ("door wont open inside", "The rear door may open."),
        ("engine restarts rough", "The engine may not restart."),
        ("wiper stalls halfway", "The engine may stall."),
        ("shifts fine, lights ok", "The shift lever light may fail."),
        ("fire extinguisher bracket", "Risk of a fire."),
        ("leak found by smoke test", "Smoke from the engine."),
        ("seat rattles", "The seat belt may not lock."),  # a word that begins the name of another thing
        ("pedal is sticky", "The accelerator pedal may break."),  # of several, and not the one that is meant
        ("tail lamp flickers on the highway", "At highway speed the horn may sound."),  # circumstances
        ("hwy", "At highway speed."),
        ("switch quit working", "This affects the lighting and not the function of the lever."),
        ("engine quits in traffic, restarts", "Oil on the manifold may lead to an engine compartment fire."),
        ("rear brakes drag", "A hose may leak. This does not affect the rear brakes."),
        ("driver operates the boom, steering heavy", "A bolt may fall out during operation."),
        ("box truck shudders in each gear", "Certain trucks may have loose fasteners."),
    ],
)
def test_what_only_goes_along_with_it_is_none(lexicon: Lexicon, typed: str, note: str) -> None:
    assert {pair for pair in shown(lexicon, typed, note) if pair[0] != "surge"} == set()


@pytest.mark.parametrize(
    ("typed", "note", "reason"),
    [
        ("seat belt is stuck, seat rattles", "The seat belt may not lock.", ("seat belt stuck", "seat belt")),
        (
            "seat rattles",
            "The seat belt anchor of the rear seat frame rattles; the seat moves.",
            ("seat", "seat"),
        ),
        ("gas pedal is sticky", "The accelerator pedal may break.", ("gas pedal", "accelerator")),
        ("camera is blank", "The camera display may be blank.", ("camera blank", "camera")),
        ("weld on the bracket", "The weld of the bracket may crack.", ("bracket", "bracket")),
    ],
)
def test_the_same_thing_stays_a_reason(
    lexicon: Lexicon, typed: str, note: str, reason: tuple[str, str]
) -> None:
    assert reason in shown(lexicon, typed, note)


def test_the_name_of_the_vehicle_is_no_reason(lexicon: Lexicon) -> None:
    note = IndexEntry(
        1, "bulletin", symptom="The Vell may roll away.", coverage=(CoverageLine("Tarn", "Vell"),)
    )
    (hit,) = SearchIndex.build([note], lexicon).search(Query("my vell rolls", reads_vehicle=False)).results
    assert "vell" in hit.met
    assert "vell" not in {why.typed for why in hit.why}


def test_a_single_word_convinces_nobody_beside_a_far_better_result(lexicon: Lexicon) -> None:
    notes = [
        IndexEntry(1, "bulletin", symptom="Sunroof glass rattles over bumps when the sunroof is open"),
        IndexEntry(2, "bulletin", symptom="The visor may rub on the sunroof."),
    ]
    results = SearchIndex.build(notes, lexicon).search(Query("sunroof glass rattles over bumps")).results
    assert [bool(hit.why) for hit in results] == [True, False]


def test_what_is_not_about_it_shows_no_reason_beside_a_better_result(lexicon: Lexicon) -> None:
    sunroof = "Sunroof glass rattles over bumps when the sunroof is open"
    notes = [
        IndexEntry(1, "bulletin", symptom=sunroof, coverage=(CoverageLine("Tarn", "Vell"),)),
        IndexEntry(2, "bulletin", symptom="The sunroof glass of the sunroof frame may be tinted."),
        IndexEntry(3, "bulletin", symptom="The visor may rub on the frame.", codes=("P0300",)),
    ]
    asked = Query("sunroof glass rattles over bumps", codes=("P0300",))
    why = {
        hit.id: {one.through for one in hit.why}
        for hit in SearchIndex.build(notes, lexicon).search(asked).results
    }
    assert why[1]
    assert why[2] == set()
    assert why[3] == {"code"}


def test_a_phrase_that_a_lead_added_is_a_reason() -> None:
    lexicon = make_lexicon(trade_concepts(), [("stall", "takes a nap")])
    assert ("takes nap", "stall") in shown(lexicon, "takes a nap", "The engine may stall.")


def test_all_typed_words_that_a_note_holds_are_known_though_few_are_reasons(lexicon: Lexicon) -> None:
    index = SearchIndex.build([IndexEntry(1, "bulletin", symptom="Right after 35 miles it stalls.")], lexicon)
    (hit,) = index.search(Query("stalls right at 35")).results
    assert {"stalls", "35"} <= set(hit.met)
    assert [why.typed for why in hit.why] == ["stalls"]


SOME = "engine stalls hwy tranny light throttle floor mat dies warning lamp oil filter"
SAID = st.lists(st.sampled_from(SOME.split()), min_size=1, max_size=8).map(" ".join)


@given(typed=SAID, note=SAID)
def test_a_reason_names_words_that_were_typed_and_words_that_the_note_holds(
    lexicon: Lexicon, typed: str, note: str
) -> None:
    for said, matched in shown(lexicon, typed, note):
        assert set(words(said)) <= set(words(typed))
        assert set(map(stem, words(matched))) <= set(map(stem, words(note)))

"""Complaints as long as owners write them: read to the end, and paperwork says nothing."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from kb.search.index import SearchIndex
from kb.search.query import IndexEntry, Query
from kb.search.reading import read
from kb.search.typed import read_words, without_paperwork
from kb.search.weights import Weights
from kb.words.concepts import trade_concepts
from kb.words.lexicon import make_lexicon
from kb.words.paperwork import LONG, paperwork

LETTER = (
    "Dealers are notified. Owners will be notified by mail, the manufacturer will contact the dealer about "
    "the failure, and mileage is recorded. If you have questions contact your dealer about the recall."
)
NOTES = [
    IndexEntry(1, "bulletin", "Brake pedal goes to the floor", documents=("Brake fluid may leak.",)),
    IndexEntry(2, "bulletin", "Dealer letter", documents=(LETTER, LETTER + " The label is wrong.")),
    IndexEntry(3, "bulletin", "Wipers stop in rain", documents=("The wiper motor may stop. " + LETTER,)),
]
BEFORE = (
    "TL* The contact leases a vehicle. The contact called the local dealer and made an appointment. The "
    "dealer informed the contact that parts were not yet available. The vehicle was not repaired. There were "
    "no injuries and no police report was filed. The contact was provided a case number by the manufacturer. "
)
BEHIND = "The manufacturer was notified of the failure. The failure mileage was approximately 41,200."
LEXICON = make_lexicon(trade_concepts())
INDEX = SearchIndex.build(NOTES, LEXICON)


def _first(text: str) -> int:
    return INDEX.search(Query(text)).results[0].id


def test_what_is_wrong_is_found_wherever_it_stands_between_the_paperwork() -> None:
    for complaint, note in (("the brake pedal goes to the floor", 1), ("the wipers quit in the rain", 3)):
        told = f"The contact stated that {complaint}. "
        for text in (told + BEFORE * 2 + BEHIND, BEFORE * 2 + told + BEHIND, BEFORE * 4 + BEHIND + told):
            assert _first(text) == note, text


def test_paperwork_alone_is_about_nothing() -> None:
    read_of = read(BEFORE + BEHIND, (), LEXICON, INDEX.speller, Weights())
    assert not [term for term in read_of.terms if term.key[0] == "concept" and term.itself]
    assert not {"dealer", "contact", "manufactur", "mileag"} & {term.key[1] for term in read_of.terms}


def test_in_a_short_text_every_word_is_meant() -> None:
    assert _first("dealer letter") == 2
    text = "dealer letter on mileage"
    assert without_paperwork(text, INDEX.speller) == read_words(text, INDEX.speller)


@given(st.lists(st.sampled_from([*paperwork().words]), min_size=LONG + 1, max_size=80), st.integers(0, 80))
def test_words_of_paperwork_are_not_looked_for_and_the_rest_is(around: list[str], at: int) -> None:
    said = [*around[:at], "steering", *around[at:]]
    typed, _ = read_words(" ".join(said), INDEX.speller)
    told, _ = without_paperwork(" ".join(said), INDEX.speller)
    assert {word.typed for word in told if word.tells} <= {"steering"}
    gone = paperwork().places(said)
    assert {word.unit for word in told} == {word.unit for word in typed} - gone

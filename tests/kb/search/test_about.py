"""Whether a note is about a complaint. All is invented; what a line says of the trade is common practice."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kb.search.index import SearchIndex
from kb.search.query import IndexEntry, Query
from kb.words.concepts import trade_concepts
from kb.words.defect import defect_and_rest
from kb.words.lexicon import make_lexicon

SHIFT = IndexEntry(
    1,
    "bulletin",
    title="Clunk on the 2-1 downshift when stopping",
    symptom="Clunk or slam from the transmission just before a stop.",
    conditions="Transmission warm, coming to a stop, vibration of the seat does not matter.",
    body="Loose wiper arms and a noise of the alternator are not cured by this.",
    modules=("TCM",),
)
WIPER = IndexEntry(
    2,
    "bulletin",
    title="Front wiper inoperative on low speed",
    symptom="Wiper stops on low.",
    modules=("BCM",),
)
STOP_START = IndexEntry(
    3,
    "bulletin",
    title="Stop-start function after battery replacement",
    symptom="See title.",
    modules=("BCM",),
)
RECALL = IndexEntry(
    4,
    "bulletin",
    title="Campaign 1",
    documents=(
        "The fuel pump may leak fuel. Dealers will replace the pump; the engine may stall before it primes.",
    ),
)
NOTES = (SHIFT, WIPER, STOP_START, RECALL)
LEXICON = make_lexicon(trade_concepts())


@pytest.fixture(scope="module")
def index() -> SearchIndex:
    return SearchIndex.build(NOTES, LEXICON)


def about(index: SearchIndex, text: str) -> set[int]:
    return {hit.id for hit in index.search(Query(text=text)).results if hit.about}


@pytest.mark.parametrize(
    ("complaint", "wanted"),
    [
        ("clunks when comin to a stop", {1}),
        ("clunk, feels like the trans", {1}),
        ("rear shock absorber clunks", set()),  # the part of another system takes a shared symptom away
        ("strut was replaced, clunk in the trans", {1}),  # not where the note's own is right beside it
        ("warm, coming to a stop, low speed", set()),  # conditions alone
        ("seat vibrates", set()),  # told only where the conditions stand
        ("alternator noise", set()),  # told only in the body
        ("wipers dont work", {2}),
        ("radio dont work, wipers are new", set()),  # the general symptom is the radio's
        ("horn dead", set()),
        ("auto stop start quit working", {3}),
        ("leaking fuel at the pump", {4}),
        ("engine stalls", set()),  # a recall's remedy is no defect
        ("thump as it rolls to a stop", {1}),  # an event has a symptom as a part has it
        ("thump from the trunk as it rolls to a stop", set()),  # unless something else has it
        ("clunk over potholes", set()),  # where it happens is another system's
        ("clunk in the trans, like over potholes", {1}),  # compared with, it is no place
        ("fuel door, thump as it rolls to a stop", set()),  # nor what was named before
        ("clunk at 80", set()),  # a speed at which wheels are out of balance
        ("clunk, 80 miles since the last one", {1}),  # no speed
        ("clunk when stopping, its the seat sliding", set()),  # what is blamed for it
        ("clunk felt in the seat, trans", {1}),  # in a seat it is only felt
        ("clunk from the seat, coming to a stop", set()),
        ("seat clunks coming to a stop", set()),
        ("coming to a stop, starts and runs", set()),  # no stop-start across a comma
    ],
)
def test_what_a_complaint_is_about(index: SearchIndex, complaint: str, wanted: set[int]) -> None:
    assert about(index, complaint) == wanted


_FELT = {
    phrase
    for concept in LEXICON.concepts.values()
    if concept.kind == "symptom"
    for phrase in concept.phrases | concept.said | concept.heard
}
_QUIET = sorted(
    " ".join(phrase)
    for concept in LEXICON.concepts.values()
    if concept.kind in ("condition", "filler", "vehicle") and concept.reach == "own"
    for phrase in concept.phrases
    if len(phrase) == 1 and phrase[0].isalpha() and phrase not in _FELT
)


@given(st.lists(st.sampled_from(_QUIET), max_size=6))
def test_conditions_and_fillers_alone_are_about_nothing(words: list[str]) -> None:
    assert about(_index(), " ladder ladder ".join(words)) == set()


def _index() -> SearchIndex:
    if not _MADE:
        _MADE.append(SearchIndex.build(NOTES, LEXICON))
    return _MADE[0]


_MADE: list[SearchIndex] = []


def test_ids_asked_for_are_looked_at_alone(index: SearchIndex) -> None:
    found = index.search(Query(text="clunk and wiper dead", among=(2,))).results
    assert [hit.id for hit in found] == [2]


@pytest.mark.parametrize(
    ("text", "defect"),
    [
        ("The pump may leak. Dealers will replace it.", "The pump may leak."),
        ("Remedy: replace the relay.", ""),
        ("The engine may stall in traffic.", "The engine may stall in traffic."),
        (
            "TCM reprogram campaign, to reprogram the TCM. It may slip. Dealers will reprogram it.",
            "TCM reprogram campaign, to reprogram the TCM. It may slip.",
        ),
        ("It may slip. Reprogram the TCM.", "It may slip."),
        ("A bolt may loosen.\nDescription of the Repair\nTighten it.", "A bolt may loosen."),
    ],
)
def test_the_remedy_of_a_document_is_told_apart(text: str, defect: str) -> None:
    head, rest = defect_and_rest(text)
    assert head.strip() == defect
    assert head + rest == text


def test_an_entry_without_anything_is_about_nothing() -> None:
    assert about(SearchIndex.build([IndexEntry(1, "lesson")], LEXICON), "clunk") == set()

from __future__ import annotations

import pytest

from kb.errors import BadInput
from kb.words.concepts import phrase_stems, read_concepts, trade_concepts
from kb.words.lexicon import make_lexicon
from kb.words.negators import NEGATORS
from kb.words.normalise import JOINING, stem


def meanings(lexicon, phrase: str) -> set[str]:
    return set(lexicon.meanings(phrase_stems(phrase)))


def test_the_trade_lexicon_holds_several_hundred_concepts_with_phrases() -> None:
    concepts = trade_concepts()
    assert len(concepts) >= 280
    assert all(concept.phrases for concept in concepts)


@pytest.mark.parametrize(
    ("typed", "concept"),
    [
        ("cuts out", "stall"),
        ("dies", "stall"),
        ("IP", "instrument_panel"),
        ("dash", "instrument_panel"),
        ("CEL", "check_engine"),
        ("MIL", "check_engine"),
        ("no crank", "no_crank"),
        ("WOT", "acceleration"),
        ("CSD", "center_screen"),
        ("tranny", "transmission"),
        ("hwy", "highway"),
        ("after battery swap", "battery_swap"),
    ],
)
def test_shop_talk_means_what_the_trade_means_by_it(typed: str, concept: str) -> None:
    """Common practice, no source; the examples are those of design.md 4 and shop_floor.md 6."""
    assert concept in meanings(make_lexicon(trade_concepts()), typed)


def test_a_lead_can_add_a_phrase_take_it_back_and_make_a_new_concept() -> None:
    added = make_lexicon(trade_concepts(), added=[("stall", "goes to sleep"), ("Ghost Horn", "honks alone")])
    assert meanings(added, "goes to sleep") == {"stall"}
    assert meanings(added, "honks alone") == {"ghost_horn"}
    assert meanings(make_lexicon(trade_concepts()), "goes to sleep") == set()
    removed = make_lexicon(trade_concepts(), removed=[("stall", "dies")])
    assert "stall" not in meanings(removed, "dies")


def test_removing_what_is_not_there_does_nothing() -> None:
    assert make_lexicon(trade_concepts(), removed=[("no such", "phrase"), ("stall", "unheard of")]).concepts


def test_a_phrase_of_small_words_only_is_refused_with_what_to_do() -> None:
    with pytest.raises(BadInput, match="at least one word"):
        make_lexicon(trade_concepts(), added=[("stall", "of the")])


def test_a_table_with_an_unknown_kind_or_neighbour_is_refused() -> None:
    with pytest.raises(BadInput):
        read_concepts({"a": {"kind": "mood", "phrases": ["x"]}})
    with pytest.raises(BadInput):
        read_concepts({"a": {"kind": "part", "phrases": ["x"], "near": ["nowhere"]}})


def test_notes_are_searched_for_the_shortest_phrases_only() -> None:
    (concept,) = read_concepts(
        {"fire": {"kind": "symptom", "phrases": ["fire", "risk of a fire", "catch flame"]}}
    )
    assert concept.shortest == tuple(sorted([phrase_stems("fire"), phrase_stems("catch flame")]))


def test_a_phrase_with_choices_stands_for_every_one_of_them() -> None:
    table = {"kind": "part", "phrases": ["(not) start (right up|)"]}
    (concept,) = read_concepts({"a": table}, {"not": "wont|doesnt"})
    assert concept.phrases == {
        ("wont", "start", "right", "up"),
        ("wont", "start"),
        ("doesnt", "start", "right", "up"),
        ("doesnt", "start"),
    }
    assert concept.words == {"wont", "doesnt", "start", "right", "up"}
    (concept,) = read_concepts({"a": {"kind": "part", "phrases": ["(x|y) z"]}})
    assert concept.phrases == {("x", "z"), ("y", "z")}


def test_phrases_are_found_among_the_words_said_longest_first() -> None:
    lexicon = make_lexicon(read_concepts({"a": {"kind": "part", "phrases": ["x", "x z", "x y", "x z q"]}}))
    assert lexicon.starting_with("x", {"x", "z", "q"}) == [("x", "z", "q"), ("x", "z"), ("x",)]
    assert lexicon.starting_with("z", {"x", "z"}) == []


def test_no_phrase_of_shop_talk_is_one_word_that_says_nothing() -> None:
    """Small words vanish: "not there" was any "not", "once in a while" any "once". Back and right are
    places, and nothing is what a dead vehicle does.
    """
    alone = set(map(stem, JOINING | NEGATORS)) - {"back", "right", "noth"}
    phrases = {one for concept in trade_concepts() for one in concept.phrases | concept.said | concept.heard}
    assert {one[0] for one in phrases if len(one) == 1} & alone == set()

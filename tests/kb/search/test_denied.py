"""What is said not to be so matches nothing; a trade phrase that holds a no is still a complaint.

The examples are our own, in the manner of people of the trade; which words they deny is plain English.
"""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kb.search.denied import heard
from kb.search.index import SearchIndex
from kb.search.query import IndexEntry, Query
from kb.search.typed import read_words
from kb.words.concepts import trade_concepts
from kb.words.lexicon import Lexicon, make_lexicon
from kb.words.negation import clauses
from kb.words.negators import NEGATORS
from kb.words.normalise import SILENT, words
from kb.words.spelling import make_speller

LEXICON = make_lexicon(trade_concepts())
SPELLER = make_speller({}, LEXICON.words)

DENIED = {
    "does not stall, wants idle checked": ("does not stall", {"stall"}),
    "dosnt stall at lights but surges": ("does not stall at lights", {"stall", "lights"}),
    "never over bumps": ("never over bumps", {"bumps"}),
    "clunks without a noise": ("without a noise", {"noise"}),
    "smooth road never does it": ("smooth road never does it", {"smooth", "road"}),
    "codes: none": ("codes none", {"codes"}),
    "surges no codes when hot": ("no codes", {"codes"}),
    "no noise or vibration": ("no noise or vibration", {"noise", "vibration"}),
    "never stalls or dies": ("never stalls or dies", {"stalls", "dies"}),
    "cel never came on": ("cel never came on", {"cel"}),
    "check engine light didn't come on": ("engine light did not come on", {"engine", "light"}),
    "no brake noise": ("no brake noise", {"brake", "noise"}),
    "can't find any leak": ("cannot find any leak", {"leak"}),
    "couldn't see smoke": ("could not see smoke", {"smoke"}),
    "does not shift hard": ("does not shift hard", {"shift", "hard"}),
    "does not smell like gas": ("does not smell like gas", {"smell", "gas"}),
    "isn't leaking": ("is not leaking", {"leaking"}),
    "no longer stalls": ("no longer stalls", {"longer", "stalls"}),
    "no aftermarket alarm": ("no aftermarket alarm", {"aftermarket", "alarm"}),
    "dies without warning": ("without warning", {"warning"}),
    "bucks cold, not when warm": ("not when warm", {"warm"}),
    "bucks cold, not warm": ("not warm", {"warm"}),
}  # fmt: skip


def test_a_text_that_begins_with_holding_says_so_whatever_its_last_word_is() -> None:
    """A no at the end stands before nothing: "holds vacuum" is found to be right in both."""
    for text in ("holds vacuum, smoke", "holds vacuum, smoke no"):
        typed, _ = read_words(text, SPELLER)
        assert [one.fine for one in typed[:2]] == [True, True]


COMPLAINTS = (
    "no crank no start",
    "does not start",
    "doesnt crank",
    "wont go",
    "no communication",
    "won't shift when cold",
    "doesn't idle right",
    "dash lights dont work",
    "no brakes",
    "no horn",
    "no power when hot",
    "no white lights",
    "no start problem when hot",
    "no backup cam pic",
    "cant steer",
    "couldn't duplicate the stall",
    "never tightened",
    "update was not done",
    "not sure why it stalls",
    "no idea why it surges",
    "doesn't always stall",
    "won't quit squealing",
    "never did it before the update",
    "not only stalls",
    "left it without the parking brake",
    "engine never rests at lights",
)


def denied_in(text: str) -> tuple[tuple[str, ...], set[str]]:
    typed, _ = read_words(text, SPELLER)
    told = heard(text, typed, LEXICON)
    return told.denied, {word.typed for word in told.typed if word.denied and word.word not in NEGATORS}


@pytest.mark.parametrize(("text", "expected"), DENIED.items(), ids=DENIED)
def test_what_is_denied_is_said_in_words(text: str, expected: tuple[str, set[str]]) -> None:
    said, gone = denied_in(text)
    assert said == (expected[0],)
    assert gone == expected[1]


@pytest.mark.parametrize("text", COMPLAINTS)
def test_a_no_that_is_the_complaint_itself_denies_nothing(text: str) -> None:
    assert denied_in(text) == ((), set())


SYMPTOMS = st.sampled_from(
    ["stalls", "surges", "shudders", "squeals", "vibrates", "hesitates", "overheats", "leaks"]
)


@given(st.sampled_from(["does not", "doesn't", "dosnt", "never", "is not"]), SYMPTOMS, SYMPTOMS)
def test_a_denial_ends_at_a_comma_and_at_but(no: str, first: str, second: str) -> None:
    for joined in (f"it {no} {first}, it {second}", f"it {no} {first} but it {second}"):
        typed, _ = read_words(joined, SPELLER)
        told = heard(joined, typed, LEXICON).typed
        assert [word.denied for word in told if word.word not in NEGATORS | {"but"}] == [True, False]


@given(st.lists(st.text(max_size=12) | SYMPTOMS, max_size=12).map(" ".join))
def test_without_a_no_nothing_is_denied(text: str) -> None:
    typed, _ = read_words(text, SPELLER)
    if not NEGATORS.intersection(word.word for word in typed):
        assert heard(text, typed, LEXICON).denied == ()


@given(st.text(max_size=60), st.sampled_from([", ", ". ", "; ", " but "]), st.text(max_size=60))
def test_what_stands_before_a_comma_denies_nothing_behind_it(first: str, comma: str, second: str) -> None:
    """Whatever the words: what is denied behind it is what the second part denies by itself."""
    alone = denied_in("ran " + second)[1]
    both = denied_in(f"{first} no{comma}ran {second}")[1]
    assert both <= alone | denied_in(f"{first} no")[1] | set(words(first))


@given(st.text(max_size=200))
def test_every_word_has_its_clause(text: str) -> None:
    assert len(clauses(text)) == len(words(text))


def test_what_is_denied_finds_nothing_and_is_told(lexicon: Lexicon) -> None:
    stall = IndexEntry(
        1, "bulletin", title="Engine stalls at idle", body="The engine may stall at stop lights."
    )
    clunk = IndexEntry(2, "bulletin", title="Clunk on deceleration", body="A clunk from the driveline.")
    index = SearchIndex.build([stall, clunk], lexicon)
    answer = index.search(Query("does NOT stall, driveline clunks"))
    assert [hit.id for hit in answer.results] == [2]
    assert answer.denied == ("does not stall",)
    only = index.search(Query("doesn't stall"))
    assert only.results == ()
    assert only.message.startswith("Nothing in that")


def test_small_words_are_never_denied() -> None:
    assert not SILENT & NEGATORS

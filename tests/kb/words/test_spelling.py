from __future__ import annotations

import time
import tomllib
from importlib import resources

import pytest
from hypothesis import given
from hypothesis import strategies as st
from rapidfuzz.distance import OSA, JaroWinkler

from kb.words.english import english_words
from kb.words.likeness import NEAR_KEYS, likeness
from kb.words.plain import plain_words
from kb.words.spelling import make_speller

COUNTS = {
    "injectors": 300, "smoke": 900, "engine": 5000, "intermittent": 400, "check": 800, "headlamp": 250,
    "cluster": 300, "crank": 200, "no": 4000, "wheel": 2000, "steering": 1500, "transmission": 900,
    "brake": 2500, "stall": 700, "stale": 2, "transmissoin": 1, "leaking": 300, "windshield": 200,
    "horn": 80, "born": 60,
}  # fmt: skip
SPELLER = make_speller(COUNTS, trade=frozenset({"tranny", "chuggle"}))


# Published values: Winkler 1990 (ASA SRMS 354-359) and Damerau 1964 (CACM 7:171-176), check_values §9.1-9.3.
def test_the_distances_underneath_are_the_published_ones() -> None:
    assert JaroWinkler.similarity("MARTHA", "MARHTA") == pytest.approx(0.961, abs=5e-4)
    assert JaroWinkler.similarity("DWAYNE", "DUANE") == pytest.approx(0.840, abs=5e-4)
    assert JaroWinkler.similarity("DIXON", "DICKSONX") == pytest.approx(0.813, abs=5e-4)
    assert [
        OSA.distance("CA", "ABC"),
        OSA.distance("MARTHA", "MARHTA"),
        OSA.distance("kitten", "sitting"),
    ] == [3, 1, 3]


def test_likeness_is_the_mean_of_edit_likeness_and_jaro_winkler() -> None:
    """By hand from the published .961 and .813: two letters exchanged cost half a letter of six, and each of
    the four letters that are too many or others, one of eight.
    """
    assert likeness("MARTHA", "MARHTA") == pytest.approx(0.5 * (1 - 0.5 / 6) + 0.5 * 0.9611, abs=1e-3)
    assert likeness("DIXON", "DICKSONX") == pytest.approx(0.5 * (1 - 4 / 8) + 0.5 * 0.8133, abs=1e-3)


@pytest.mark.parametrize(
    ("typed", "meant"),
    [
        ("injecotrs", "injectors"),  # two letters swapped
        ("smoek", "smoke"),
        ("enginee", "engine"),  # a letter doubled
        ("steerng", "steering"),  # a letter dropped
        ("dteering", "steering"),  # the key beside
        ("intermit", "intermittent"),  # cut short
        ("hdlmp", "headlamp"),  # consonants only
        ("clstr", "cluster"),
        ("engin", "engine"),
    ],
)
def test_mistyped_words_are_read_as_the_word_meant(typed: str, meant: str) -> None:
    best = SPELLER.read(typed)[0]
    assert (best.word, best.by) == (meant, "spelling")
    assert 0.7 < best.likeness < 1


def test_words_run_together_are_parted() -> None:
    assert [reading.word for reading in SPELLER.read("nocrank")] == ["no", "crank"]


def test_words_run_together_are_parted_though_somebody_wrote_them_so_before() -> None:
    assert [one.word for one in SPELLER.extended([], ["nocrank"]).read("nocrank")] == ["no", "crank"]


def test_known_words_and_trade_words_are_left_alone() -> None:
    assert [r.word for r in SPELLER.read("horn")] == ["horn"]
    assert [r.word for r in SPELLER.read("tranny")] == ["tranny"]
    assert SPELLER.read("stale")[0].word == "stale"


def test_a_known_word_far_rarer_than_its_neighbour_is_read_as_both() -> None:
    assert [r.word for r in SPELLER.read("transmissoin")] == ["transmissoin", "transmission"]


def test_a_word_like_nothing_stays_as_typed() -> None:
    assert [(r.word, r.by) for r in SPELLER.read("xqzvk")] == [("xqzvk", "as typed")]


def test_the_usual_word_wins_between_two_equally_alike() -> None:
    speller = make_speller({"brake": 5000, "brace": 3})
    assert speller.read("braqe")[0].word == "brake"


def test_a_word_saved_later_is_known_at_once_and_the_old_speller_is_unchanged() -> None:
    later = SPELLER.extended(["wobblator"])
    assert later.read("wobblater")[0].word == "wobblator"
    assert SPELLER.read("wobblater")[0].word == "wobblater"


def test_neighbouring_keys_go_both_ways() -> None:
    """The layout of a US keyboard: common knowledge."""
    assert {("a", "s"), ("s", "a"), ("q", "a"), ("g", "b"), ("b", "g")} <= NEAR_KEYS
    assert ("a", "l") not in NEAR_KEYS


@given(st.text(max_size=40))
def test_anything_typed_gets_a_reading(word: str) -> None:
    assert all(0 < reading.likeness <= 1 for reading in SPELLER.read(word))
    assert SPELLER.read(word)


# A small shop's notes: the words that a short one was taken for are in them, the short ones are not.
SHOP = make_speller(
    {"help": 40, "spec": 60, "grind": 30, "ground": 20, "main": 50, "rear": 90, "drive": 80, "from": 900}
    | {"keep": 30, "mat": 25, "tach": 20, "relay": 40, "brake": 90, "stop": 80, "leak": 60},
    heard=("sec", "held", "grnd"),
)


@pytest.mark.parametrize("word", ["held", "sec", "min", "mile", "kpa", "maf", "tech", "wipe", "mpg"])
def test_a_common_word_a_unit_or_a_term_of_the_trade_is_never_corrected(word: str) -> None:
    """The words are general knowledge of English and of the trade: common practice, no source."""
    assert [(one.word, one.by) for one in SHOP.read(word)] == [(word, "as typed")]


@pytest.mark.parametrize(
    ("short", "meant"), [("grnd", "ground"), ("rly", "relay"), ("stp", "stop"), ("brks", "brakes")]
)
def test_a_short_form_of_the_trade_is_read_as_its_one_word(short: str, meant: str) -> None:
    assert SHOP.read(short)[0].word == meant
    assert "grind" not in [reading.word for reading in SHOP.read(short)]


@pytest.mark.parametrize(("typed", "meant"), [("brak", "brake"), ("leka", "leak"), ("rellay", "relay")])
def test_a_slip_of_a_short_word_of_the_trade_is_still_mended(typed: str, meant: str) -> None:
    assert SHOP.read(typed)[0].word == meant


ALIKE = """
scared scored, vanish spanish, stalled installed, fear rear, dive drive, judders shudders, juddery judged,
sideswipe sideswiped, couldnt count, curling cycling, caution action, replace replaced, rodent dent
"""


@pytest.mark.parametrize(("typed", "near"), [tuple(pair.split()) for pair in ALIKE.split(",")])
def test_a_word_of_english_is_never_corrected(typed: str, near: str) -> None:
    """However usual a word is that it looks like; nor is a form that no list has of a word that it has."""
    assert [one.word for one in make_speller({near: 9_000}).read(typed)] == [typed]


def test_a_word_that_is_rather_a_slip_of_english_is_no_word_of_the_trade() -> None:
    """Whoever types "drago" means no drag; "drgaon" is no dragging."""
    assert make_speller({"dragging": 50, "drag": 90}).read("drgaon")[0].word == "drgaon"
    assert make_speller({"dragging": 50, "drag": 90}).read("draging")[0].word == "dragging"


BY_EAR = """
the breaks squeal: brakes, my breaks went out: brakes, it breaks down daily: breaks, tire rod end: tie,
parking break stuck: brake, shudder when breaking: braking, it keeps breaking: breaking, gas peddle: pedal,
exceleration is slow: acceleration, to loose power: lose, steering is loose: loose,
then dyes at idle: dies, leak dyes show it: dyes
"""


@pytest.mark.parametrize(("typed", "read"), [tuple(pair.split(": ")) for pair in BY_EAR.strip().split(",")])
def test_a_word_written_by_ear_is_read_by_the_words_beside_it(typed: str, read: str) -> None:
    """How people write: common practice, no source."""
    said = ["", *typed.split(), ""]
    heard = [SHOP.read_between(*three)[0].word for three in zip(said, said[1:], said[2:], strict=False)]
    assert read in heard


def test_a_word_that_is_also_one_without_its_apostrophe_is_as_usual_as_it_is_itself() -> None:
    """The package counts "ant" 5868 times and "an't" 214 times."""
    assert "ant" in english_words().everyday


def test_misspellings_say_what_is_meant_and_none_is_a_word_of_english() -> None:
    told = tomllib.loads(resources.files("kb.words").joinpath("misspelled.toml").read_text(encoding="utf-8"))
    wrong = [one for ones in told["words"].values() for one in ones.split()]
    assert len(wrong) >= 400
    assert [one for one in wrong if english_words().is_usual(one)] == []
    everyone = plain_words().misspelled
    assert not set(everyone.values()) & set(everyone)
    assert not set(everyone) & set(plain_words().short)


def test_the_notes_know_better_what_a_short_word_is() -> None:
    assert make_speller({"sec": 5, "held": 2}).read("sec")[0].by == "as typed"
    assert make_speller({"grnd": 9, "ground": 900}).read("grnd")[0].word == "grnd"


def test_a_short_word_of_the_lexicon_is_itself_first_and_then_what_it_is_short_for() -> None:
    speller = make_speller({"switch": 90, "stall": 9}, frozenset({"sw", "stall"}))
    assert [(reading.word, reading.by) for reading in speller.read("sw")] == [
        ("sw", "as typed"),
        ("switch", "spelling"),
    ]


def test_no_word_that_is_left_alone_is_given_as_a_correction() -> None:
    """The list says what is right, not what is meant: it adds nothing that a slip could be taken for."""
    assert make_speller({"stall": 9}).read("hekd")[0].word == "hekd"


def test_the_plain_words_do_not_contradict_themselves() -> None:
    plain = plain_words()
    assert not plain.right & set(plain.short)
    assert all(word.isalpha() and word.islower() and len(word) >= 2 for word in (*plain.right, *plain.short))
    assert not set(plain.short.values()) & set(plain.short)


def test_a_word_longer_than_any_costs_nothing_to_leave_alone() -> None:
    def taken(word: str) -> float:
        start = time.thread_time()
        assert SPELLER.read(word)
        return time.thread_time() - start

    unknown = min(taken("qzxw" * 5 + letter) for letter in "abcdefgh")
    assert min(taken("s" * (9_000 + more)) for more in range(5)) <= 2 * unknown

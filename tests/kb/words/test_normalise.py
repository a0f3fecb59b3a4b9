from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kb.words.normalise import codes_in, fold, stem, tokens, words
from kb.words.related import related_codes

# Examples printed in M. F. Porter, "An algorithm for suffix stripping", Program 14 (1980) 130-137,
# step by step; the final stems are what the whole algorithm makes of them (from memory).
PORTER = {
    "caresses": "caress", "ponies": "poni", "ties": "ti", "cats": "cat", "feed": "feed", "agreed": "agre",
    "plastered": "plaster", "motoring": "motor", "sing": "sing", "conflated": "conflat", "hopping": "hop",
    "falling": "fall", "hissing": "hiss", "filing": "file", "happy": "happi", "sky": "sky",
    "relational": "relat", "conditional": "condit", "vietnamization": "vietnam", "operator": "oper",
    "triplicate": "triplic", "hopefulness": "hope", "goodness": "good", "revival": "reviv",
    "allowance": "allow", "adjustment": "adjust", "adoption": "adopt", "effective": "effect",
    "probate": "probat", "rate": "rate", "cease": "ceas", "controlling": "control", "roll": "roll",
    "generalizations": "gener", "oscillators": "oscil",
}  # fmt: skip


@pytest.mark.parametrize(("word", "expected"), PORTER.items())
def test_stems_are_those_of_porters_paper(word: str, expected: str) -> None:
    assert stem(word) == expected


def test_three_letters_that_end_in_s_are_no_plural() -> None:
    """ABS is a brake system, AB an airbag; a bus is no BU."""
    assert [stem(word) for word in ("abs", "bus", "gas", "ps", "hoses")] == [
        "abs",
        "bus",
        "gas",
        "ps",
        "hose",
    ]


def test_forms_of_one_word_meet_in_one_stem() -> None:
    assert len({stem(word) for word in ("stall", "stalls", "stalled", "stalling")}) == 1
    assert len({stem(word) for word in ("illuminate", "illuminated", "illumination")}) == 1


def test_case_accents_apostrophes_and_punctuation_do_not_matter() -> None:
    assert words("WON'T start—cut-out, café") == words("wont start cut out cafe")
    assert fold("A/C").split() == ["ac"]


@given(st.text(max_size=200))
def test_folding_twice_changes_nothing(text: str) -> None:
    assert words(fold(text)) == words(text)


@given(st.text(alphabet="abc XYZ'-,.2/", max_size=80))
def test_tokens_point_at_the_text_they_were_read_from(text: str) -> None:
    for token in tokens(text):
        assert token.text in words(text[token.start : token.end])


# Shapes of trouble codes as in check_values §10 (SAE J2012: a letter, 0-3, three hexadecimal digits).
@pytest.mark.parametrize(
    ("text", "codes"),
    [
        ("runs bad p0300, p0171 and U0100-87", ("P0300", "P0171", "U0100-87")),
        ("P 0420 stored", ("P0420",)),
        ("DCT P1C2D03", ("P1C2D-03",)),
        ("P4123 and 2015 and PARK", ()),
        ("p0300 p0300", ("P0300",)),
    ],
)
def test_trouble_codes_are_found_in_text(text: str, codes: tuple[str, ...]) -> None:
    assert codes_in(text) == codes


def test_a_general_misfire_code_meets_the_cylinder_codes_and_not_itself() -> None:
    """Common practice, no source: P0300 is random misfire, P0301 to P0312 one cylinder each."""
    assert {f"P03{cylinder:02d}" for cylinder in range(1, 9)} <= set(related_codes("p0300"))
    assert "P0300" not in related_codes("P0300")
    assert related_codes("P0301")
    assert related_codes("B1234") == ()


def test_who_has_something_is_no_shop_talk_for_hesitating() -> None:
    assert words("She\u2019s sure he's hes at 40") == ["she", "sure", "he", "hes", "at", "40"]

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kb.errors import BadInput
from kb.nouns.notes import CodeKind, NoteCode
from kb.vehicle.codes import (
    Origin,
    TroubleCode,
    is_general,
    note_code,
    parse_code,
    parse_codes,
    printed_codes,
)

codes = st.from_regex(r"[PCBU][0-3][0-9A-F]{3}(-[0-9A-F]{2})?", fullmatch=True)


@pytest.mark.parametrize(
    ("typed", "read"),
    [
        ("P0171", "P0171"),
        ("u0100-87", "U0100-87"),
        ("P0171 00", "P0171-00"),
        (" p0171:00 ", "P0171-00"),
        ("b1a2f17", "B1A2F-17"),
    ],
)
def test_a_code_is_read_in_any_usual_spelling(typed: str, read: str) -> None:
    assert str(parse_code(typed)) == read


@given(st.lists(codes, min_size=1, max_size=6), st.sampled_from([" ", ",", ";", ", ", " ;\n"]))
def test_a_free_list_gives_every_code_once_in_order(listed: list[str], between: str) -> None:
    assert [str(c) for c in parse_codes(between.join(listed).lower())] == list(dict.fromkeys(listed))


@pytest.mark.parametrize(
    ("code", "general"),
    [  # what each code says: SAE J2012, from memory; that many faults set the left ones: common practice
        *(
            (code, True)
            for code in ("P0171", "P0175", "P0300", "P0312", "U0100-87", "u0293", "P0562", "B1325")
        ),
        *((code, False) for code in ("P0170", "P0176", "P0313", "U0300", "U1100", "P0741", "P0087", "B1A04")),
    ],
)
def test_lean_misfire_lost_communication_and_low_voltage_define_nothing(code: str, general: bool) -> None:
    assert is_general(code) is general
    for kind in CodeKind:
        kept = CodeKind.MAY_BE_STORED if general and kind is CodeKind.DEFINING else kind
        assert note_code(code, kind) == NoteCode(code, kept)


def test_a_lone_failure_type_belongs_to_the_code_before_it() -> None:
    assert [str(c) for c in parse_codes("P0171 00 U0100 87, P0300")] == ["P0171-00", "U0100-87", "P0300"]


@pytest.mark.parametrize(
    ("typed", "hint"),
    [
        ("P13", "3 characters, five are needed"),
        ("PO171", "did you mean P0171"),
        ("P4171", "P4171"),
        ("X0171", "X0171"),
        ("P0171-8", "P0171-8"),
        ("P01711", "P01711"),
        ("", "no trouble code"),
    ],
)
def test_what_is_no_code_is_refused_with_what_is_wrong(typed: str, hint: str) -> None:
    with pytest.raises(BadInput, match=hint) as refused:
        parse_code(typed)
    assert "codes" in refused.value.fields


def test_a_pasted_page_is_not_said_again_whole() -> None:
    with pytest.raises(BadInput) as refused:
        parse_code("X" * 10_000)
    assert len(refused.value.message) < 250


# Which ranges are standard: SAE J2012, from memory.
@pytest.mark.parametrize(
    ("code", "origin"),
    [
        ("P0171", Origin.STANDARD),
        ("P2096", Origin.STANDARD),
        ("P3400", Origin.STANDARD),
        ("U0100", Origin.STANDARD),
        ("B0028", Origin.STANDARD),
        ("C0035", Origin.STANDARD),
        ("P1345", Origin.MAKER),
        ("P3399", Origin.MAKER),
        ("B1342", Origin.MAKER),
        ("C2100", Origin.MAKER),
        ("U1000", Origin.MAKER),
        ("U2100", Origin.MAKER),
        ("B3000", Origin.RESERVED),
        ("C3000", Origin.RESERVED),
    ],
)
def test_a_code_says_whose_meaning_it_has(code: str, origin: Origin) -> None:
    assert parse_code(code).origin is origin


def test_codes_in_running_text_are_found_and_part_numbers_are_not() -> None:
    text = "Store P0087 or U128D-00; part 84P0171 and P0171AB, kit B1234-5678, form p0420 stay words."
    assert [parse_code(code) for _, _, code in printed_codes(text)] == [
        TroubleCode("P0087"),
        TroubleCode("U128D", "00"),
    ]

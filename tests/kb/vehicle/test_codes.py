from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kb.errors import BadInput
from kb.nouns.notes import CodeKind, NoteCode
from kb.vehicle.codes import (
    Origin,
    TroubleCode,
    find_codes,
    from_bytes,
    is_general,
    note_code,
    parse_code,
    parse_codes,
    related,
)

codes = st.from_regex(r"[PCBU][0-3][0-9A-F]{3}(-[0-9A-F]{2})?", fullmatch=True)


# Check values 10.7: bit layout of SAE J2012 / ISO 15031-6, results as a general packet library decodes them.
@pytest.mark.parametrize(
    ("sent", "code"), [("0133", "P0133"), ("4123", "C0123"), ("8ABC", "B0ABC"), ("C158", "U0158")]
)
def test_two_bytes_decode_to_the_published_code(sent: str, code: str) -> None:
    assert str(from_bytes(bytes.fromhex(sent))) == code


@given(st.binary(min_size=2, max_size=3))
def test_bytes_agree_with_a_slow_reading_bit_by_bit(data: bytes) -> None:
    bits = "".join(f"{byte:08b}" for byte in data[:2])
    letter = {"00": "P", "01": "C", "10": "B", "11": "U"}[bits[:2]]
    digits = [str(int(bits[2:4], 2)), *(format(int(bits[i : i + 4], 2), "X") for i in (4, 8, 12))]
    suffix = f"-{data[2]:02X}" if len(data) == 3 else ""
    assert str(from_bytes(data)) == f"{letter}{''.join(digits)}{suffix}"


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


@pytest.mark.parametrize(
    ("a", "b", "same"),
    [
        ("P0300", "P0301", True),
        ("P0312", "P0300", True),
        ("P0300", "P0313", False),
        ("P0301", "P0302", False),
        ("P0171", "P0171-00", True),
        ("P0171-11", "P0171-00", False),
        ("P0171", "P0174", False),
    ],
)
def test_random_misfire_goes_with_each_cylinders_own_and_a_missing_failure_type_with_any(
    a: str, b: str, same: bool
) -> None:
    assert related(parse_code(a), parse_code(b)) is same
    assert related(parse_code(b), parse_code(a)) is same


def test_codes_in_running_text_are_found_and_part_numbers_are_not() -> None:
    text = "Store P0087 or U128D-00; part 84P0171 and P0171AB, kit B1234-5678, form p0420 stay words."
    assert list(find_codes(text)) == [TroubleCode("P0087"), TroubleCode("U128D", "00")]

"""Pasted texts in invented layouts against what a person marked in them, and any text at all."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kb.intake.scan.reading import read_scan
from kb.vehicle.vin import check_digit, is_north_american

MARKED = Path(__file__).parents[1] / "fixtures" / "scans_by_hand.txt"


def marked() -> list[tuple[str, str, set[str]]]:
    """(name, text, what it says) of each case."""
    cases = [case.partition("\n") for case in MARKED.read_text("utf-8").split("\n===== ")[1:]]
    parted = [(name, rest.rpartition("\n-----\n")) for name, _, rest in cases]
    return [(name, text, set(wanted.split("\n")) - {""}) for name, (text, _, wanted) in parted]


def said(text: str) -> set[str]:
    return {
        f"{one.field.value} {one.value} {one.module or '-'} {one.status or '-'}{' !' if one.doubtful else ''}"
        for one in read_scan(text)
    }


@pytest.mark.parametrize(
    ("text", "wanted"), [case[1:] for case in marked()], ids=[one[0] for one in marked()]
)
def test_a_text_says_what_a_person_marked(text: str, wanted: set[str]) -> None:
    assert said(text) == wanted


_SIGNS = st.text("ABCDEFGHJKLMNPRSTUVWXYZ0123456789", min_size=12, max_size=12)
VINS = st.tuples(_SIGNS, st.text("0123456789", min_size=4, max_size=4)).map("".join)
"""Without the check digit; the last four are figures (49 CFR 565.15)."""


@given(
    VINS, st.sampled_from(["VIN {}", "vin: {}", "V.I.N. ... {} (door)", '"vin": "{}"', "VIN\n{}"]), st.data()
)
def test_a_vin_is_read_in_any_surrounding_and_one_slip_is_never_silent(
    rest: str, around: str, data: st.DataObject
) -> None:
    vin = rest[:8] + check_digit(rest[:8] + "0" + rest[8:]) + rest[8:]
    read = [one for one in read_scan(around.format(vin)) if one.field.value == "vin"]
    assert [(one.value, one.doubtful) for one in read] == [(vin, ())]
    place = data.draw(st.sampled_from([n for n in range(17) if n != 8]))
    other = data.draw(st.sampled_from("ABCDEFGHJKLMNPRSTUVWXYZ0123456789"))
    slip = vin[:place] + other + vin[place + 1 :]
    for one in read_scan(around.format(slip)):
        assert (
            one.field.value != "vin"
            or one.doubtful
            or check_digit(slip) == slip[8]
            or not is_north_american(slip)
        )


@given(VINS)
def test_letters_that_no_vin_holds_are_settled_by_the_form(rest: str) -> None:
    vin = rest[:8] + check_digit(rest[:8] + "0" + rest[8:]) + rest[8:]
    misread = vin.replace("0", "O").replace("1", "I")
    read = [one for one in read_scan(f"VIN {misread}") if one.field.value == "vin"]
    assert [(one.value, one.doubtful) for one in read] == [(vin, ())]


PIECES = st.sampled_from(
    (
        *(
            "VIN",
            "ECM",
            "Module",
            ":",
            "|",
            "\t",
            "  ",
            "\n",
            "{",
            '"',
            "-----",
            ",",
            "Status",
            "Current codes",
        ),
        *("P0171", "PO3O0-1F", "Cal ID", "CVN", "0447B", "1A2B3C4D", "pending", "Odometer", "84,210 mi"),
        *("Battery", "12.6 V", "1NVAL45C7FR018832"),
    )
)


@given(st.one_of(st.text(max_size=300), st.lists(PIECES, max_size=40).map(" ".join)), st.booleans())
def test_any_text_is_read_and_each_value_names_words_that_stand_in_it(text: str, by_camera: bool) -> None:
    plain = " ".join(text.split())
    for one in read_scan(text, rivals={} if by_camera else None):
        assert " ".join(one.read_from.split()) in plain
        assert all(1 <= n <= len(one.value) for n in one.doubtful)


def test_where_a_camera_read_it_what_looks_alike_is_in_doubt() -> None:
    """A letter between figures in an ID always is; else what the form lets stand there as well."""
    rivals = {
        "A44O7B": {6: "8"},
        "PO171": {1: "R", 2: "0D", 4: "1", 5: "I"},
        "1A2B3C4D": {2: "4", 4: "8R", 8: "O"},
        "4417": {3: "I"},
    }
    text = "ECM\nCal ID: A44O7B\nPO171\nCVN: 1A2B3C4D\nOdometer: 4417 mi"
    read = {one.field.value: one for one in read_scan(text, rivals=rivals)}
    assert read["calibration_id"].doubtful == (4, 6)
    assert (read["code"].value, read["code"].doubtful) == ("P0171", (4,))
    assert read["cvn"].doubtful == (2, 4, 8)
    assert read["odometer"].doubtful == ()
    # 5NVAL45C5LR918830 with its 8 in place 15 read as B: one look-alike makes the check digit right
    slip = read_scan("VIN 5NVAL45C5LR91B830", rivals={})[0]
    assert (slip.value, slip.doubtful) == ("5NVAL45C5LR918830", (14,))


@pytest.mark.parametrize(
    ("rivals", "doubtful"),
    [
        ({4: "O"}, ()),  # no O in a VIN
        ({4: "J"}, (4,)),  # A and J count 1 both (49 CFR 565.15, table III)
        ({14: "H", 15: "B"}, ()),  # figures stand there
        ({14: "0"}, ()),  # eight less, times 5: 40 less
        ({14: "0", 15: "5"}, ()),  # three less, times 4: 52 less
        ({14: "0", 15: "7"}, (14, 15)),  # one less, times 4: 44 less, four times 11
        ({14: "0", 15: "7?"}, (14, 15)),
    ],
)
def test_a_vin_is_in_doubt_only_where_its_check_digit_bears_out_another_one(
    rivals: dict[int, str], doubtful: tuple[int, ...]
) -> None:
    vin = "5NVAL45C5LR918830"
    assert read_scan(f"VIN {vin}", rivals={vin: rivals})[0].doubtful == doubtful


def test_a_row_with_more_cells_than_heads_says_nothing_where_a_camera_read_it() -> None:
    """One head was not seen: the ID of eight figures would be taken for a CVN. Codes tell themselves."""
    text = "Cal ID  CVN\nECM  88966861  73E80FE2\n"
    assert read_scan(text, rivals={}) == ()
    assert [one.value for one in read_scan("Code  Status\nECM  P0171  pending\n", rivals={})] == ["P0171"]
    assert len(read_scan(f"ECU  {text}", rivals={})) == 2


def test_a_file_without_line_ends_is_read_piece_by_piece_and_no_value_is_cut() -> None:
    ids = [f"EN{n:05d}A" for n in range(300)]
    text = ",".join(f'{{"module": "ECM", "calibration_id": "{one}"}}' for one in ids)
    assert [(one.value, one.module) for one in read_scan(f"[{text}]")] == [(one, "ECM") for one in ids]

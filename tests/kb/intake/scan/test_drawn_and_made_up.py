"""Some of the drawn photos and all made-up texts of `tests.bench.read`, whose truth is drawn with them."""

from __future__ import annotations

import io
from random import Random

import numpy as np
import pytest

from kb.desk.bay.seen.reading_scans import SeenFile, read_scans
from kb.intake.scan import letters
from kb.intake.scan.lines_of_pieces import Piece, in_lines
from tests.bench.read import drawn
from tests.bench.read.__main__ import counted_texts
from tests.bench.read.camera import taken
from tests.bench.read.scoring import is_read


def test_texts_in_twelve_layouts_are_read_with_module_and_state() -> None:
    counted = counted_texts(16)
    assert counted.texts == 60
    assert counted.found / counted.there >= 0.95
    assert counted.more <= counted.there / 100


@pytest.mark.parametrize(
    "text",
    [
        "Module: PCM\nCurrent calibration: NV77A\nNew calibration: NV77B",
        "VIN 5NVFB3A23K8000417\nECU   Current ID   Newest ID\nPCM   NV77A   NV77B",
        "PCM\nInstalled calibration ID = NV77A\nLatest available calibration ID = NV77B",
    ],
)
def test_what_a_look_up_offers_is_never_taken_for_what_is_in_the_module(text: str) -> None:
    told = {(one.field.value, one.value, one.module) for one in read_scans(text, []).proposals}
    assert told - {("vin", "5NVFB3A23K8000417", "")} == {
        ("calibration_id", "NV77A", "PCM"),
        ("newest_id", "NV77B", "PCM"),
    }


@pytest.mark.skipif(not letters.can_be_read(), reason="the extra [photo] is not installed")
@pytest.mark.parametrize(("make", "trouble"), [("_calibrations", "glare"), ("_code_report", "several")])
def test_every_value_of_a_drawn_photo_is_read_up_to_its_marks(make: str, trouble: str) -> None:
    draw = Random(f"16 {make}")
    flat = getattr(drawn, make)(draw)
    photo = SeenFile("photo.jpg", io.BytesIO(taken(flat.image, draw, trouble).data))
    proposals = read_scans("", [photo]).proposals
    for field, value in flat.values:
        assert any(one.field == field and is_read(value, one) for one in proposals), (field, value)
    for one in proposals:
        assert any(one.field == field and is_read(value, one) for field, value in flat.values), one


def test_a_text_in_which_nothing_stands_is_told_that_it_is_no_picture() -> None:
    note = SeenFile("notes.txt", io.BytesIO(b"call the customer back on Monday"))
    assert read_scans("", [note]).message.startswith("That is no picture, and nothing was found in its text.")
    assert "closer" in read_scans("call the customer back", []).message


def test_what_two_files_say_alike_is_proposed_once_as_it_was_read_best() -> None:
    def said(label: bytes, screen: bytes) -> set[tuple[str, str, str]]:
        files = [SeenFile("label.txt", io.BytesIO(label)), SeenFile("screen.txt", io.BytesIO(screen))]
        return {(one.field.value, one.value, one.module) for one in read_scans("", files).proposals}

    screen = b"Module: PCM\nCal ID: 4017B\nSoftware no.: 84611-N76"
    both = {("calibration_id", "4017B", "PCM"), ("software_number", "84611-N76", "PCM")}
    assert said(b"Cal ID: 4017B\nSW: 84611-N76", screen) == both
    assert said(b"PCM\nCal ID: 4O17B", screen) == both  # an O among figures is in doubt
    assert said(b"TCM\nCal ID: 4O17B", screen) == {*both, ("calibration_id", "4O17B", "TCM")}


def test_signs_at_which_a_word_was_cut_may_be_anything() -> None:
    boxes = [(0, 70, "H582"), (75, 150, "5909"), (400, 480, "0447B")]
    pieces = [
        Piece(np.array([(a, 0), (b, 0), (b, 30), (a, 30)]), said, ("",) * len(said)) for a, b, said in boxes
    ]
    [line] = in_lines(pieces)
    assert line.words == "H582  5909  0447B"
    assert [n for n, may_be in enumerate(line.rivals) if may_be] == [3, 6]


def test_pieces_of_a_tilted_photo_are_put_on_their_own_lines() -> None:
    """Three rows of cells 400 apart on lines that fall 20 in 100: a third cell stands lower than the
    first of the next.
    """

    def piece(row: int, column: int) -> Piece:
        x, y = 100 + column * 400, 100 + row * 60 + column * 80
        corners = [(x, y), (x + 200, y + 40), (x + 200, y + 70), (x, y + 30)]
        return Piece(np.array(corners, dtype=float), f"{row}{column}", ("", "8" * (row == column)))

    told = in_lines([piece(row, column) for column in range(3) for row in range(3)])
    assert [one.words for one in told] == ["00  01  02", "10  11  12", "20  21  22"]
    assert [one.rivals.index("8") for one in told] == [1, 5, 9]

from __future__ import annotations

import os
from datetime import date
from pathlib import Path

import pytest

from kb.errors import Unreadable
from kb.nouns.lead.notes_wanted import EVERYTHING
from kb.nouns.notes import CodeKind, NoteCode, NoteKind
from kb.nouns.vehicles import CoverageLine
from tests.kb.intake.reading import FIXTURES, read

RECALLS = (FIXTURES / "recall_communications.csv").read_bytes()
REAL = os.environ.get("BEFOREFLASH_TEST_RECALLS", "")
HEADER = '"NHTSA ID","DOCUMENT NAME","MAKE","MODEL","MODEL YEAR","SUMMARY"\r\n'


def recalls(*rows: tuple[str, ...]) -> bytes:
    lines = (",".join(f'"{cell}"' for cell in row) + "\r\n" for row in rows)
    return (HEADER + "".join(lines)).encode()


def test_real_rows_make_one_note_for_every_nhtsa_id() -> None:
    result = read("recall-communications", RECALLS)
    assert [note.number for note in result.notes] == ["21V109", "21V858", "22V473"]
    assert result.notes[0].identity == "recall-communications:21V109"
    assert {note.kind for note in result.notes} == {NoteKind.BULLETIN}
    # Counted by hand in the fixture: 12 + 3 + 4 rows, 4 of them exact repeats.
    assert (result.summary.rows, result.summary.doubles, result.errors) == (19, 4, [])
    assert result.lines == [2, 14, 17]


def test_documents_that_differ_only_in_white_space_are_one_with_all_their_names() -> None:
    steering = read("recall-communications", RECALLS).notes[1]
    assert [d.name for d in steering.documents] == [
        "RCRIT-21V858-7825.pdf, RCONL-21V858-2515.pdf, RCMN-21V858-3217.pdf"
    ]
    assert steering.coverage == (CoverageLine("VOLVO", "VNL", ((2021, 2021),)),)


def test_line_breaks_inside_a_summary_stay_and_the_title_names_the_fault() -> None:
    harness = read("recall-communications", RECALLS).notes[2]
    assert "\n\nDescription of the Defect" in harness.documents[0].text
    assert harness.title == (
        "The engine wiring harness in the affected vehicles may contain a damaged female…"
    )
    assert all(len(n.title) <= 80 for n in read("recall-communications", RECALLS).notes)


def test_years_keep_their_holes_and_9999_asks_no_year() -> None:
    years = [("26V001", "D", "NORVANE", "ALTO", y, "s") for y in ("2019", "2016", "2017")]
    part = ("26V001", "D", "NORVANE", "PUMP", "9999", "s")
    (note,) = read("recall-communications", recalls(*years, part)).notes
    assert note.coverage == (
        CoverageLine("NORVANE", "ALTO", ((2016, 2017), (2019, 2019))),
        CoverageLine("NORVANE", "PUMP"),
    )


def test_rows_of_an_id_may_lie_apart_and_still_make_one_note() -> None:
    a, b = ("26V001", "D", "NORVANE", "ALTO", "2019", "one"), ("26V002", "D", "OSTREL", "B", "2019", "two")
    result = read("recall-communications", recalls(a, b, (*a[:4], "2020", "one"), b))
    assert [n.number for n in result.notes] == ["26V001", "26V002"]
    assert result.notes[0].coverage[0].years == ((2019, 2020),)
    assert result.summary.doubles == 1


def test_bad_rows_are_named_by_line_and_stop_nothing() -> None:
    good = ("26V001", "D", "NORVANE", "ALTO", "2019", "first\nsecond line")
    rows = recalls(good, ("26V001", "D"), ("", *good[1:]), (*good[:4], "20X9", "s"), good)
    result = read("recall-communications", rows)
    assert [(e.line, e.field) for e in result.errors] == [(4, ""), (5, "ID"), (7, "Model Year")]
    assert (len(result.notes), result.summary.rows, result.summary.doubles) == (1, 5, 1)


def test_a_header_that_comes_again_inside_the_file_is_no_row() -> None:
    row = ("26V001", "D", "NORVANE", "ALTO", "2019", "s")
    assert read("recall-communications", recalls(row) + recalls(row)).summary.rows == 2


def test_trouble_codes_of_the_text_become_codes_of_the_note() -> None:
    row = (
        "26V001",
        "D",
        "NORVANE",
        "ALTO",
        "2019",
        "The MIL may come on with P0087 or U128D-00 (part 5P1234).",
    )
    assert read("recall-communications", recalls(row)).notes[0].codes == (
        NoteCode("P0087"),
        NoteCode("U128D-00"),
    )


def test_the_older_bulletin_file_gives_a_note_for_every_item_number() -> None:
    result = read("service-bulletins", (FIXTURES / "service_bulletins.txt").read_bytes())
    first, second = result.notes
    assert (first.number, first.identity) == ("RCL/61", "service-bulletins:33949")
    assert first.coverage == (
        CoverageLine("VOLVO", "245", ((1992, 1992),)),
        CoverageLine("VOLVO", "244", ((1992, 1992),)),
    )
    assert (first.system, first.published_on) == ("suspension: front", date(1992, 10, 1))
    assert second.coverage[0].years == ((1993, 1994),)
    assert second.documents[0].text.endswith("RECALL 94V-194."), "the clerk's mark *TW is no text"


def test_the_current_layout_gives_a_note_for_every_communication() -> None:
    start = "10234567\t\t20240301\tNB-24-011\t20240215\t\tService Bulletin\tNORVANE\tALTO"
    rows = [
        f"{start}\t{year}\t{part}\t\t\tPCM software may set P0171 on a cold start.\n"
        for year in (2019, 2021)
        for part in ("ENGINE", "FUEL SYSTEM")
    ]
    other = "10234568\t\t20240301\t\t2024021X\t\t\tNORVANE\tBRIO\t9999\tBODY\t\t\t\n"
    result = read("manufacturer-communications", "".join([*rows, "short\trow\n", other]).encode())
    first, second = result.notes
    assert (first.number, first.identity) == ("NB-24-011", "manufacturer-communications:10234567")
    assert first.coverage == (CoverageLine("NORVANE", "ALTO", ((2019, 2019), (2021, 2021))),)
    assert (first.codes, first.system, first.published_on) == (
        (NoteCode("P0171", CodeKind.MAY_BE_STORED),),
        "engine; fuel system",
        date(2024, 2, 15),
    )
    assert (second.number, second.published_on, second.documents) == ("10234568", None, ())
    assert second.title == "Body"
    assert [(e.line, e.message[:18]) for e in result.errors] == [(5, "This row has 2 fie")]


@pytest.mark.parametrize("name", ["service-bulletins", "manufacturer-communications"])
def test_the_number_of_fields_tells_the_two_tab_formats_apart(name: str) -> None:
    fields = {"service-bulletins": 14, "manufacturer-communications": 10}[name]
    with pytest.raises(Unreadable, match=f"this one has {fields}"):
        read(name, ("x\t" * (fields - 1) + "x\n").encode())


# Counts published with the two real files: rows, exact repeats, NHTSA IDs; distinct ID + summary over both.
@pytest.mark.skipif(not REAL, reason="a folder with the real recall files")
def test_the_real_recall_files_give_their_published_counts() -> None:
    documents: dict[str, int] = {}
    counts = []
    for path in sorted(Path(REAL).glob("RCL_FROM_*.zip")):
        result = read("recall-communications", path.read_bytes(), wanted=EVERYTHING)
        counts.append((result.summary.rows, result.summary.doubles, result.summary.taken, result.errors))
        for note in result.notes:
            assert note.number not in documents
            documents[note.number] = len(note.documents)
    assert counts == [(216_260, 2_919, 3_584, []), (4_739, 508, 230, [])]
    assert sum(documents.values()) == 18_553

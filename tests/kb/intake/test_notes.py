from __future__ import annotations

from datetime import date

import pytest

from kb.errors import Unreadable
from kb.nouns.notes import NoteKind, NoteState
from kb.nouns.vehicles import CalibrationStep, CoverageLine
from tests.kb.intake.reading import read

FIRST = {
    "kind": "bulletin",
    "number": "NB-24-011",
    "title": "Surge on a light throttle",
    "symptom": "bucks uphill",
    "conditions": "warm, 40-50 mph",
    "body": "Reflash the PCM",
    "system": "engine",
    "codes": "P0171 P0174",
    "published_on": "2024-02-15",
    "make": "Norvane",
    "model": "Alto",
    "years": "2016-2017, 2019",
    "engine": "2.5L",
    "built_from": "2016-02-01",
    "built_to": "2019-08-31",
    "vin_prefix": "5NZ",
    "module": "PCM",
    "calibration_before": "NV1A; NV1B",
    "calibration_after": "NV2A",
    "precautions": "Support unit on\nDoors closed",
    "relearns": "Idle relearn",
    "exact_entries": " Reset_ETC 0\n ABcd ",
    "state": "published",
}
SECOND = {
    "number": "NB-24-011",
    "codes": "P0171",
    "make": "Norvane",
    "model": "Brio",
    "years": "2018",
    "module": "TCM",
    "calibration_before": "NT1",
    "calibration_after": "NT2",
    "precautions": "Doors closed",
}


def notes_file(*rows: dict[str, str]) -> bytes:
    lines = [",".join(FIRST), *(",".join(f'"{row.get(c, "")}"' for c in FIRST) for row in rows)]
    return "\r\n".join(lines).encode()


def test_several_rows_of_a_number_are_one_note_with_all_their_coverage_and_steps() -> None:
    (note,) = read("notes", notes_file(FIRST, SECOND)).notes
    assert (note.kind, note.number, note.title) == (
        NoteKind.BULLETIN,
        "NB-24-011",
        "Surge on a light throttle",
    )
    assert (note.symptom, note.conditions, note.body) == (
        "bucks uphill",
        "warm, 40-50 mph",
        "Reflash the PCM",
    )
    assert (note.system, tuple(note.code_kinds), note.published_on) == (
        "engine",
        ("P0171", "P0174"),
        date(2024, 2, 15),
    )
    assert note.coverage == (
        CoverageLine(
            "Norvane",
            "Alto",
            ((2016, 2017), (2019, 2019)),
            "2.5L",
            date(2016, 2, 1),
            date(2019, 8, 31),
            "5NZ",
        ),
        CoverageLine("Norvane", "Brio", ((2018, 2018),)),
    )
    assert note.steps == (
        CalibrationStep("PCM", ("NV1A", "NV1B"), "NV2A"),
        CalibrationStep("TCM", ("NT1",), "NT2"),
    )
    assert (note.precautions, note.relearns) == (("Support unit on", "Doors closed"), ("Idle relearn",))
    assert note.exact_entries == (" Reset_ETC 0", " ABcd "), "to the letter, spaces and capitals included"
    assert note.identity == "notes:bulletin:nb-24-011"


def test_a_lesson_needs_no_number_and_stays_apart_from_a_bulletin_of_the_same_name() -> None:
    result = read("notes", b"kind,title,state\nlesson,Ground strap,draft\n,Ground strap,\n")
    assert [(n.kind, n.state) for n in result.notes] == [
        (NoteKind.LESSON, NoteState.DRAFT),
        (NoteKind.BULLETIN, NoteState.PUBLISHED),
    ]
    assert len({n.identity for n in result.notes}) == 2


def test_a_second_title_warns_and_the_first_is_kept() -> None:
    result = read("notes", b"number,title\nN1,First\nN2,Other\nN1,Second\n")
    assert [n.title for n in result.notes] == ["Other", "First"]
    assert [(w.line, w.field) for w in result.warnings] == [(4, "title")]


@pytest.mark.parametrize(
    ("header", "cell", "field"),
    [
        ("kind", "advice", "kind"),
        ("state", "secret", "state"),
        ("codes", "P13", "codes"),
        ("years", "20-21", "years"),
        ("built_from", "2019", "built_from"),
        ("published_on", "May", "published_on"),
        ("calibration_after", "NV2A", "module"),
        ("code_kinds", "P0171 sometimes", "code_kinds"),
        ("code_kinds", "PX not part", "code_kinds"),
        ("remedy", "magic", "remedy"),
    ],
)
def test_a_bad_row_is_told_by_line_and_column_and_the_others_are_read(
    header: str, cell: str, field: str
) -> None:
    result = read("notes", f"title,{header}\nWrong,{cell}\nRight,\n".encode())
    assert [(e.line, e.field) for e in result.errors] == [(2, field)]
    assert [n.title for n in result.notes] == ["Right"]


def test_a_note_whose_last_row_is_bad_is_given_out_with_its_good_rows() -> None:
    result = read("notes", b"number,title,years\nN1,First,2016\nN1,First,x\n")
    assert [n.coverage[0].years for n in result.notes] == [((2016, 2016),)]
    assert [e.line for e in result.errors] == [3]


def test_a_row_without_title_and_number_is_no_note() -> None:
    assert read("notes", b"title,body\n,text\n").errors[0].field == "title"


def test_the_column_of_titles_is_required() -> None:
    with pytest.raises(Unreadable, match="title is not there"):
        read("notes", b"number,body\nN1,text\n")

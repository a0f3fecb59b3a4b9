"""Which notes of the government's files are taken, and what is said of the others."""

from __future__ import annotations

import pytest

from kb.nouns.lead.notes_wanted import EVERYTHING, Beside, NotesWanted, NotWanted
from tests.kb.intake.reading import Result, read
from tests.kb.intake.test_government import recalls

ROWS = (
    ("26V001", "D", "NORVANE", "ALTO", "2024", "Dealers will update the TCM software."),
    ("26V002", "D", "OSTREL", "B", "2024", "Dealers will replace the fuel pump."),
    ("26V002", "D", "NORVANE", "BRIO", "2024", "Dealers will replace the fuel pump."),
    ("26V003", "D", "OSTREL TRAILERS", "LONG", "2024", "The axle may crack."),
    ("26V004", "D", "HAULWELL", "H", "2024", "Certain travel trailers may have a loose step."),
    ("26V005", "D", "TARN", "VELL", "2024", "The harness for trailers may corrode. Dealers will replace it."),
    ("26V005", "E", "TARN", "VELL", "2024", "Dealers will replace the trailer harness."),
    ("26E006", "D", "NORVANE", "PUMP", "9999", "The pump may leak."),
    ("26T007", "D", "ROLLA", "TREAD", "9999", "The tread may part."),
    ("26C008", "D", "SITWELL", "SEAT", "9999", "The buckle may open."),
)


def taken(wanted: NotesWanted) -> tuple[list[str], dict[str, int]]:
    result: Result = read("recall-communications", recalls(*ROWS), wanted=wanted)
    left = {why.value: count for why, count in result.summary.not_wanted.items()}
    assert result.summary.taken == len(result.notes)
    return sorted(note.number for note in result.notes), left


def test_only_vehicles_come_in_unless_more_is_asked_for() -> None:
    assert taken(NotesWanted()) == (
        ["26V001", "26V002", "26V005"],
        {"trailers": 2, "equipment": 1, "tires": 1, "child_seats": 1},
    )
    numbers, left = taken(NotesWanted(also=frozenset((Beside.TIRES, Beside.TRAILERS))))
    assert numbers == ["26T007", "26V001", "26V002", "26V003", "26V004", "26V005"]
    assert left == {"equipment": 1, "child_seats": 1}
    assert taken(EVERYTHING) == (sorted({row[0] for row in ROWS}), {})


def test_makes_to_keep_are_understood_as_people_write_them() -> None:
    numbers, left = taken(NotesWanted(makes=("nor-vane",)))
    assert numbers == ["26V001", "26V002"]
    assert left["other_makes"] == 1
    chevrolet = recalls(("26V009", "D", "CHEVROLET", "BOLT", "2024", "The pump may leak."))
    wanted = NotesWanted(makes=("Chevy",))
    assert len(read("recall-communications", chevrolet, wanted=wanted).notes) == 1


def test_software_remedies_alone_may_be_kept() -> None:
    numbers, left = taken(NotesWanted(software_only=True))
    assert (numbers, left["no_software"]) == (["26V001"], 2)


@pytest.mark.parametrize(
    ("component", "make", "year", "why"),
    [
        ("CHILD SEAT: HARNESS", "VOLVO", "9999", NotWanted.CHILD_SEATS),
        ("TIRES:SIDEWALL", "MAKE", "9999", NotWanted.TIRES),
        ("TIRES:PRESSURE MONITORING", "MAKE", "2022", None),
        ("350000 EQUIPMENT:JACKS", "MAKE", "", NotWanted.EQUIPMENT),
        ("353600 EQUIPMENT:AIR CONDITIONER", "VOLVO", "9999", None),
        ("ENGINE", "MAKE", "9999", None),
    ],
)
def test_communications_are_told_by_component_and_model_year(
    component: str, make: str, year: str, why: NotWanted | None
) -> None:
    row = f"10234567\t\t20240301\tN-1\t20240215\t\tOther\t{make}\tM\t{year}\t{component}\t\t\tIt may fail.\n"
    result = read("manufacturer-communications", row.encode())
    assert (list(result.summary.not_wanted), len(result.notes)) == (([why], 0) if why else ([], 1))

"""What shares something with a concern: the advice and the part of the page about recalls go by one rule."""

from __future__ import annotations

import csv
import io

import pytest

from kb.desk.bay.advice.candidates import near_notes
from kb.desk.bay.concern.concern_file import read_concern
from kb.desk.context import RunningShop
from kb.desk.notes import notes
from kb.nouns.vehicles import CoverageLine, Vehicle
from tests.factories import a_note
from tests.kb.desk.bay.test_recalls import found, opened
from tests.kb.desk.imports.importing import LEAD, TECH, take

SAID = (
    "The electronic stability control may be inoperative due to the lack of yaw input as a result of a "
    "software programming error."
)
"""NHTSA recall communications, 23V689, VOLVO VNL 2024: the first sentence."""


@pytest.fixture
def stability(shop: RunningShop) -> RunningShop:
    table = io.StringIO()
    rows = csv.writer(table, quoting=csv.QUOTE_ALL)
    rows.writerow(("NHTSA ID", "DOCUMENT NAME", "MAKE", "MODEL", "MODEL YEAR", "SUMMARY"))
    rows.writerow(("23V689", "RCLRPT-23V689.PDF", "VOLVO", "VNL", "2024", SAID))
    take(shop, "recall-communications", table.getvalue().encode())
    return shop


def test_a_note_for_another_engine_is_not_read_with_it(sqlite_shop: RunningShop) -> None:
    with sqlite_shop.writing(LEAD) as desk:
        for_it = CoverageLine("Norvane", "Tessel", engine="2.0 T")
        note = notes.write_note(desk, a_note(coverage=(for_it,), title="Bucks uphill when warm")).id
    for engine, told in (("2.0 T", [note]), ("1.4", []), ("", [note])):
        car = Vehicle("Norvane", "Tessel", 2019, engine)
        concern = opened(sqlite_shop, car, "bucks uphill when warm")
        with sqlite_shop.reading(TECH) as desk:
            near = near_notes(desk, read_concern(desk, concern))
        assert [one.note for one in near] == told, engine


@pytest.mark.parametrize(
    ("complaint", "about"), [("stability control light", True), ("error message when towing", False)]
)
@pytest.mark.parametrize("make", ["Volvo", "VOLVO TRUCK"])
def test_what_the_advice_says_to_read_is_among_what_shares(
    stability: RunningShop, complaint: str, about: bool, make: str
) -> None:
    """One word of three is told as the nearest note, not as one about the concern."""
    concern = opened(stability, Vehicle(make, "VNL", 2024), complaint)
    with stability.reading(TECH) as desk:
        told = near_notes(desk, read_concern(desk, concern))
    recalls = found(stability, concern).recalls
    assert [(one.number, one.about) for one in told] == [("23V689", about)]
    assert [(one.number, bool(one.shares)) for one in recalls] == [("23V689", about)]

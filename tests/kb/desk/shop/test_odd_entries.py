"""Slips of the set-up: refused where they cannot be meant, said where they can."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import pytest

from kb.desk.bay.concern import concerns, odd_entries
from kb.desk.bay.concern.concern_file import read_concern
from kb.desk.context import RunningShop
from kb.desk.notes import checks, notes
from kb.desk.shop import equipment
from kb.desk.shop.equipment import EquipmentDraft, EquipmentKind
from kb.errors import BadInput
from kb.nouns.people import Actor
from kb.nouns.vehicles import CalibrationStep
from tests.factories import a_concern, a_vehicle, an_update
from tests.kb.desk.shop.test_checks_and_equipment import DRAFT

LEAD = Actor(0, "lead", "lead")


@pytest.mark.parametrize(
    ("change", "field"),
    [
        ({"no_word": DRAFT.yes_word.lower()}, "no_word"),
        ({"minutes": 10_081.0}, "minutes"),
        ({"attached_to": (999,)}, "attached_to"),
    ],
)
def test_a_check_that_cannot_be_meant_is_refused_by_its_field(
    sqlite_shop: RunningShop, change: dict[str, object], field: str
) -> None:
    with pytest.raises(BadInput) as refused, sqlite_shop.writing(LEAD) as desk:
        checks.add_check(desk, replace(DRAFT, **change))  # type: ignore[arg-type]
    assert list(refused.value.fields) == [field]


def test_equal_guesses_are_said_to_tell_nothing() -> None:
    assert checks.tells_nothing(replace(DRAFT, yes_in_10_cured=4, yes_in_10_not=4))
    assert not checks.tells_nothing(DRAFT)


def test_a_look_up_is_not_of_tomorrow(sqlite_shop: RunningShop) -> None:
    with sqlite_shop.writing(LEAD) as desk:
        tomorrow = desk.today + timedelta(days=1)
    draft = EquipmentDraft(EquipmentKind.PASS_THRU_DEVICE, "VCI", validated={"Tarn": tomorrow})
    with pytest.raises(BadInput, match="still to come"), sqlite_shop.writing(LEAD) as desk:
        equipment.add_equipment(desk, draft)


def test_a_make_that_nobody_knows_and_a_bulletin_entered_again_are_said(sqlite_shop: RunningShop) -> None:
    draft = an_update()
    with sqlite_shop.writing(LEAD) as desk:
        note = notes.write_note(desk, draft)
        make = draft.coverage[0].make
        assert odd_entries.unknown_makes(desk, (make.upper(), f"{make}x", "Quorrel")) == (
            f"{make}x is no make on file here; did you mean {make}?",
            "No note or vehicle here is of make Quorrel: check the spelling.",
        )
        again = replace(draft, number=draft.number.lower().replace("-", " "), title="Again")
        assert odd_entries.published_already(desk, again, None) == draft.title
        assert odd_entries.published_already(desk, again, note.id) == ""
        other = (replace(draft.coverage[0], make="Else"),)
        assert odd_entries.published_already(desk, replace(again, coverage=other), None) == ""
        assert (
            odd_entries.notes_called(desk, again.number)
            == odd_entries.notes_called(desk, f"#{note.id}")
            == (note.id,)
        )
        with pytest.raises(BadInput, match="still to come"):
            notes.write_note(desk, replace(draft, published_on=date(2999, 1, 1)))


def test_the_make_of_the_vehicle_being_corrected_proves_nothing(sqlite_shop: RunningShop) -> None:
    with sqlite_shop.writing(LEAD) as desk:
        notes.write_note(desk, an_update())
        typo = concerns.open_concern(desk, a_concern(vehicle=a_vehicle(make="Norvan"))).id
        own = read_concern(desk, typo).vehicle_id
        assert odd_entries.unknown_makes(desk, ("Norvan",)) == ()
        said = odd_entries.unknown_makes(desk, ("Norvan",), but_vehicle=own)
        assert said == ("Norvan is no make on file here; did you mean Norvane?",)


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ("Norvan", "No update on file is of make Norvan; did you mean Norvane?"),
        ("Quorrel", "No update on file is of make Quorrel."),
        ("NOR-VANE", ""),
        ("", ""),
    ],
)
def test_where_no_update_fits_a_make_that_none_is_of_is_said(
    sqlite_shop: RunningShop, typed: str, said: str
) -> None:
    with sqlite_shop.writing(LEAD) as desk:
        assert odd_entries.no_update_of_make(desk, typed) == ""
        notes.write_note(desk, an_update())
        assert odd_entries.no_update_of_make(desk, typed) == said


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ("7,1", "7.1 is on file; did you mean it?"),
        ("nv-1OB", "NV10B is on file; did you mean it?"),
        ("7.1", ""),
        ("71", ""),
        ("7.2", ""),
    ],
)
def test_a_calibration_one_usual_slip_off_is_asked_about(
    sqlite_shop: RunningShop, typed: str, said: str
) -> None:
    steps = (CalibrationStep("PCM", ("7.0",), "7.1"), CalibrationStep("PCM", ("NV10A",), "NV10B"))
    with sqlite_shop.writing(LEAD) as desk:
        notes.write_note(desk, an_update(steps=steps))
        assert odd_entries.like_on_file(desk, "Norvane", "pcm", typed) == said
        assert odd_entries.like_on_file(desk, "Norvane", "TCM", typed) == ""

"""Opening and correcting a concern: what is kept, what is refused, what is frozen."""

from __future__ import annotations

from dataclasses import replace

import pytest

from kb.desk.bay.advice import advice
from kb.desk.bay.concern import concerns, facts, findings, vehicles
from kb.desk.bay.concern.as_it_stands import how_it_stands
from kb.desk.bay.concern.concern_file import read_concern
from kb.desk.bay.handover import concern_list
from kb.desk.context import RunningShop
from kb.desk.notes import notes
from kb.errors import BadInput, Conflict, NotFound
from kb.nouns.concerns import CodesScanned, FindingResult, ReportedCode
from kb.nouns.vehicles import CalibrationReading, CalibrationSource, LookUp, Vehicle
from tests.factories import a_concern, a_note, a_vehicle, actor_of, an_update

pytestmark = pytest.mark.both_databases

VIN = "1M8GDM9AXKP042788"  # published worked example, check digit X (check value from memory)


def test_lines_of_one_repair_order_share_its_vehicle_and_are_named_in_turn(shop: RunningShop) -> None:
    vehicle = a_vehicle(vin=VIN, year=1989)
    with shop.writing(actor_of(shop, "tech")) as desk:
        first = concerns.open_concern(desk, a_concern(vehicle=vehicle))
        second = concerns.open_concern(desk, a_concern(vehicle=vehicle, complaint="radio dead"))
        other = concerns.open_concern(desk, a_concern(vehicle=a_vehicle(), complaint="no VIN here"))
    with shop.reading(actor_of(shop, "tech")) as desk:
        one, two, three = (read_concern(desk, each.id) for each in (first, second, other))
        lines = how_it_stands(desk, first.id).other_lines
    assert [one.ref, two.ref] == ["RO 2087-A", "RO 2087-B"]
    assert one.vehicle_id == two.vehicle_id != three.vehicle_id
    assert [line.id for line in lines] == [second.id]


def test_a_vin_on_file_keeps_its_vehicle_whatever_a_search_filled_in(shop: RunningShop) -> None:
    with shop.writing(actor_of(shop, "tech")) as desk:
        first = concerns.open_concern(desk, a_concern(vehicle=a_vehicle(vin=VIN, year=1989)))
        kept = read_concern(desk, first.id).vehicle
        other = Vehicle(make="Orsel", model="Pellow", year=1990, vin=VIN)
        again = concerns.open_concern(desk, a_concern(ro_number="2099", vehicle=other))
    with shop.reading(actor_of(shop, "tech")) as desk:
        assert read_concern(desk, first.id).vehicle == read_concern(desk, again.id).vehicle == kept
    assert first.warnings == ()
    assert "that stands, not 1990 Orsel Pellow. If" in again.warnings[-1]


def test_everything_wrong_is_said_at_once_and_nothing_is_kept(shop: RunningShop) -> None:
    bad = a_concern(ro_number=" ", complaint="", odometer=-1, usual_gap_days=-4, codes=(ReportedCode("P13"),))
    tech = actor_of(shop, "tech")
    with pytest.raises(BadInput) as refused, shop.writing(tech) as desk:
        concerns.open_concern(desk, bad)
    assert set(refused.value.fields) == {"ro_number", "complaint", "odometer", "usual_gap_days", "codes"}
    with shop.reading(tech) as desk:
        assert concern_list.list_concerns(desk, "") == ()


def test_of_two_corrections_the_second_gets_both_texts(shop: RunningShop) -> None:
    tech = actor_of(shop, "tech")
    with shop.writing(tech) as desk:
        opened = concerns.open_concern(desk, a_concern())
        concerns.change_concern(desk, opened.id, 1, a_concern(complaint="bucks only in third"))
    with pytest.raises(Conflict) as refused, shop.writing(tech) as desk:
        concerns.change_concern(desk, opened.id, 1, a_concern(complaint="bucks only uphill"))
    assert refused.value.details["yours"] == "bucks only uphill"
    assert refused.value.details["theirs"] == "bucks only in third"


def test_a_vehicle_is_found_again_by_the_end_of_its_vin(shop: RunningShop) -> None:
    tech = actor_of(shop, "tech")
    with shop.writing(tech) as desk:
        concerns.open_concern(desk, a_concern(vehicle=a_vehicle(vin=VIN, year=1989)))
    with shop.reading(tech) as desk:
        assert [one.vin for one in vehicles.find_vehicles(desk, "kp04 2788")] == [VIN]
        assert vehicles.find_vehicles(desk, "788") == ()


def test_a_calibration_is_newest_only_by_a_confirmed_reading_and_a_fresh_look_up(shop: RunningShop) -> None:
    lead = actor_of(shop, "lead")
    typed = CalibrationReading("PCM", "NV10B", CalibrationSource.TYPED)
    with shop.writing(lead) as desk:
        notes.write_note(desk, an_update())
        opened = concerns.open_concern(desk, a_concern(calibrations=(typed,)))
        facts.put_look_up(desk, opened.id, LookUp("PCM", desk.today, "Ines", "NV10B"))
        assert how_it_stands(desk, opened.id).calibrations[0].state == "not_read"
        facts.put_calibration(desk, opened.id, replace(typed, confirmed=True))
        view = how_it_stands(desk, opened.id).calibrations[0]
        assert (view.state, view.stale) == ("newest_on_file", False)
        said = advice.give_advice(desk, opened.id)
    assert (said.verdict.value, said.candidates) == ("keep_diagnosing", ())


def test_candidates_are_frozen_when_the_concern_is_opened_and_new_updates_join(shop: RunningShop) -> None:
    lead = actor_of(shop, "lead")
    with shop.writing(lead) as desk:
        first = notes.write_note(desk, an_update())
    with shop.writing(lead) as desk:
        opened = concerns.open_concern(desk, a_concern())
    other = an_update(number="NV-24-115", title="Bucks uphill at light throttle", system="transmission")
    with shop.writing(lead) as desk:
        step = replace(other.steps[0], module="TCM")
        second = notes.write_note(desk, replace(other, steps=(step,)))
    with shop.reading(lead) as desk:
        assert {one.note for one in advice.give_advice(desk, opened.id).candidates} == {first.id, second.id}


def test_a_finding_is_replaced_by_a_second_tap_and_taken_back_by_a_third(shop: RunningShop) -> None:
    tech = actor_of(shop, "tech")
    with shop.writing(tech) as desk:
        opened = concerns.open_concern(desk, a_concern())
        findings.put_finding(desk, opened.id, "smoke_test", FindingResult.YES)
        findings.put_finding(desk, opened.id, "smoke_test", FindingResult.NO)
        findings.clear_finding(desk, opened.id, "smoke_test")
        with pytest.raises(NotFound):
            findings.put_finding(desk, opened.id, "no_such_check", FindingResult.YES)


def test_none_stored_is_not_the_same_as_not_scanned(shop: RunningShop) -> None:
    tech = actor_of(shop, "tech")
    with shop.writing(tech) as desk:
        opened = concerns.open_concern(desk, a_concern())
        assert read_concern(desk, opened.id).codes_scanned is CodesScanned.NOT_SCANNED
        facts.put_codes(desk, opened.id, "", CodesScanned.NONE_STORED)
        assert read_concern(desk, opened.id).codes_scanned is CodesScanned.NONE_STORED
        facts.put_codes(desk, opened.id, "p0171, u0100-87", CodesScanned.NOT_SCANNED)
        view = read_concern(desk, opened.id)
    assert ([one.code for one in view.codes], view.codes_scanned) == (
        ["P0171", "U0100-87"],
        CodesScanned.STORED,
    )


def test_a_lesson_is_never_a_candidate(shop: RunningShop) -> None:
    lead = actor_of(shop, "lead")
    with shop.writing(lead) as desk:
        notes.write_note(desk, a_note(title="bucks and jerks at light throttle going uphill when warm"))
    with shop.writing(lead) as desk:
        opened = concerns.open_concern(desk, a_concern())
        assert advice.give_advice(desk, opened.id).candidates == ()


def test_a_phone_number_can_be_deleted(shop: RunningShop) -> None:
    tech = actor_of(shop, "tech")
    with shop.writing(tech) as desk:
        opened = concerns.open_concern(desk, a_concern(phone="555 0100", vehicle=Vehicle()))
        concerns.forget_phone(desk, opened.id)
        assert read_concern(desk, opened.id).phone == ""

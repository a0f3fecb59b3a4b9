"""What the shop knows already is proposed with where it is from, and nothing of it is taken by itself."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

import pytest

from kb.desk.bay.advice import advice
from kb.desk.bay.concern import concerns, facts, known
from kb.desk.bay.concern.as_it_stands import how_it_stands
from kb.desk.bay.programming import programming
from kb.desk.bay.seen import ids_on_file
from kb.desk.bay.seen.reading_scans import SeenValue, SeenValues
from kb.desk.calls import what_was_heard
from kb.desk.context import Desk, RunningShop
from kb.desk.notes import notes
from kb.intake.scan.found import Seen
from kb.nouns.bay.known import KnownOfVin
from kb.nouns.concerns import (
    FollowUpDraft,
    FollowUpResult,
    ModuleResult,
    ProgrammingEventDraft,
    ReflashResult,
)
from kb.nouns.vehicles import CalibrationReading, CalibrationSource, CalibrationStep, LookUp, Vehicle
from kb.vehicle.vin_prefix import known_of
from tests.factories import a_concern, a_vehicle, actor_of, an_update

pytestmark = pytest.mark.both_databases

VIN = "1M8GDM9AXKP042788"  # published worked example of the check digit
CAR = a_vehicle(vin=VIN, year=1989)


def opened(desk: Desk, vehicle: Vehicle = CAR, **said: object) -> int:
    return concerns.open_concern(desk, a_concern(vehicle=vehicle, **said)).id


def reflashed(desk: Desk, concern: int, on: int) -> None:
    module = ModuleResult(
        "PCM", ReflashResult.COMPLETED, None, "NV10A", "NV10B", "C-NV10B", concern_ids=(concern,)
    )
    day = desk.today - timedelta(days=on)
    programming.record_event(desk, ProgrammingEventDraft((module,), day))


def test_what_we_put_in_is_proposed_until_read_and_a_taken_one_waits_to_be_confirmed(
    shop: RunningShop,
) -> None:
    with shop.writing(actor_of(shop, "lead")) as desk:
        notes.write_note(desk, an_update())
        first = opened(desk, opened_on=desk.today - timedelta(days=60))
        reflashed(desk, first, 28)
        visit = opened(desk, ro_number="2200")
        (one,) = known.known_ids_of(desk, visit)
        assert (
            one.sentence == "NV10B went into the PCM on Oct 3, 2026 (RO 2087-A); still in it by our records."
        )
        assert (one.module, one.calibration_id, one.cvn) == ("PCM", "NV10B", "C-NV10B")
        assert how_it_stands(desk, visit).calibrations == ()
        taken = CalibrationReading("PCM", "NV10B", CalibrationSource.RECORDS, cvn="C-NV10B")
        facts.put_calibration(desk, visit, taken)
        assert known.known_ids_of(desk, visit) == ()
        (view,) = how_it_stands(desk, visit).calibrations
        assert (view.to_confirm, view.state) == (True, "not_read")
        assert advice.give_advice(desk, visit).verdict.value != "reflash"


def test_what_our_records_said_of_the_wrong_vehicle_is_struck_when_its_vin_is_corrected(
    shop: RunningShop,
) -> None:
    with shop.writing(actor_of(shop, "tech")) as desk:
        opened(desk, opened_on=desk.today - timedelta(days=60))
        visit = opened(desk, ro_number="2200")
        for source, module in ((CalibrationSource.RECORDS, "PCM"), (CalibrationSource.READ, "TCM")):
            facts.put_calibration(desk, visit, CalibrationReading(module, "NV10B", source))
        right = a_concern(vehicle=replace(CAR, vin="5GZCZ43D13S812715", year=2003))
        concerns.change_concern(desk, visit, 1, right)
        assert [one.reading.module for one in how_it_stands(desk, visit).calibrations] == ["TCM"]


def test_an_update_by_air_or_another_module_ends_what_we_know(shop: RunningShop) -> None:
    with shop.writing(actor_of(shop, "tech")) as desk:
        first = opened(desk, opened_on=desk.today - timedelta(days=60))
        reflashed(desk, first, 28)
        visit = opened(desk, ro_number="2200")
        facts.put_gate(desk, visit, "module_original", "fault")
        assert known.known_ids_of(desk, visit) == ()
        facts.put_gate(desk, visit, "module_original", "")
        by_air = FollowUpDraft(FollowUpResult.UPDATED_BY_AIR, desk.today - timedelta(days=3))
        what_was_heard.record_follow_up(desk, first, by_air)
        assert known.known_ids_of(desk, visit) == ()


def test_the_newest_id_of_a_like_vehicle_is_told_with_day_and_name_for_90_days(shop: RunningShop) -> None:
    def looked_up(desk: Desk, car: Vehicle, days: int, newest: str, ro: str) -> None:
        concern = opened(desk, car, ro_number=ro)
        facts.put_look_up(desk, concern, LookUp("PCM", desk.today - timedelta(days=days), "Ines", newest))

    with shop.writing(actor_of(shop, "tech")) as desk:
        mine = opened(desk)
        like = replace(CAR, vin="", make=CAR.make.upper())
        looked_up(desk, like, 91, "NV10X", "3001")
        looked_up(desk, replace(like, engine="3.5 L"), 1, "NV99", "3002")
        looked_up(desk, replace(like, year=1990), 1, "NV98", "3003")
        assert known.known_ids_of(desk, mine) == ()
        looked_up(desk, like, 90, "NV10C", "3004")
        looked_up(desk, replace(like, engine=""), 19, "NV10D", "3005")
        (one,) = known.known_ids_of(desk, mine)
        assert one.sentence == (
            "NV10D is the newest for the PCM that Ines looked up on another 1989 Norvane Tessel (RO 3005-A) "
            "on Oct 12, 2026."
        )
        without_vin = opened(desk, like, ro_number="3006")
        assert known.known_ids_of(desk, without_vin) == ()
        facts.put_look_up(desk, mine, LookUp("PCM", desk.today, "", "NV10D"))
        assert known.known_ids_of(desk, mine) == ()


def test_make_model_and_engine_come_from_a_vin_that_begins_alike(shop: RunningShop) -> None:
    with shop.writing(actor_of(shop, "tech")) as desk:
        opened(desk)
        like = "1M8GDM9A0KP000001"
        found = known.known_of_vin(desk, like.lower())
        assert found == KnownOfVin("Norvane", "Tessel", "2.0 L", "1M8GDM9A", 1, 1989)
        assert found.sentence == "1 vehicle here with a VIN that begins 1M8GDM9A: 1989 Norvane Tessel 2.0 L."
        assert known.known_of_vin(desk, VIN) is None
        assert known.known_of_vin(desk, "1ZZGDM9B0KP000001") is None


def test_where_nothing_alike_was_here_the_vin_itself_is_asked(shop: RunningShop) -> None:
    """Government VIN descriptors as the decoder's embedded data hold them; the serial number is ours."""
    with shop.reading(actor_of(shop, "tech")) as desk:
        found = known.known_of_vin(desk, "4S3BNAC62H3004321")
        assert found == KnownOfVin("SUBARU", "Legacy", "2.5L 4-cyl", "", 0, 2017)
        assert found.sentence == "By the VIN itself: 2017 SUBARU Legacy 2.5L 4-cyl."


def test_where_vehicles_differ_nothing_is_said_of_it() -> None:
    def cars(*engines: str, model: str = "Tessel") -> list[Vehicle]:
        return [Vehicle("Norvane", model, 2019, engine, None, VIN) for engine in engines]

    assert known_of(VIN, cars("2.0 L", "2.5 L")) == KnownOfVin("Norvane", "Tessel", "", "1M8GDM9A", 2)
    assert known_of(VIN, cars("2.0 L", "")) == KnownOfVin("Norvane", "Tessel", "2.0 L", "1M8GDM9A", 2)
    mixed = [*cars("2.0 L"), *cars("2.0 L", model="Orrin")]
    assert known_of(VIN, mixed) == KnownOfVin("Norvane", "", "", "1M8GDM9A", 2)
    assert known_of(VIN, [Vehicle("Norvane", vin=VIN), Vehicle("Tarn", vin=VIN)]) is None


def test_an_id_that_a_note_prints_so_is_sure_unless_its_twin_is_on_file_too(shop: RunningShop) -> None:
    def read(desk: Desk, value: str) -> tuple[int, ...]:
        one = SeenValue(Seen.CALIBRATION_ID, value, "PCM", "", value, (4,), CalibrationSource.PHOTO)
        return ids_on_file.settled_by_file(desk, SeenValues((one,))).proposals[0].doubtful

    with shop.writing(actor_of(shop, "lead")) as desk:
        notes.write_note(desk, an_update())  # for NV10A, which becomes NV10B
        assert (read(desk, "NV10A"), read(desk, "NV10B"), read(desk, "NV1OA")) == ((), (), (4,))
        steps = (CalibrationStep("PCM", ("NV1OA",), "NV11"),)
        notes.write_note(desk, an_update(number="NV-24-102", steps=steps))
        assert (read(desk, "NV10A"), read(desk, "NV10B")) == ((4,), ())

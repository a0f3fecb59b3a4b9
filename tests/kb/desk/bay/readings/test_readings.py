"""Readings are added to each other: what counts is the newest, and what was mistyped is struck by name."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest
from alembic import command
from sqlalchemy import text

from kb.desk.bay.advice import advice
from kb.desk.bay.concern import concerns, facts
from kb.desk.bay.concern.as_it_stands import how_it_stands
from kb.desk.bay.concern.concern_file import read_concern
from kb.desk.bay.concern.striking import strike_reading
from kb.desk.bay.programming import programming
from kb.desk.context import Desk, RunningShop
from kb.desk.notes import notes
from kb.errors import BadInput, NotFound
from kb.nouns.bay.readings import by_readout
from kb.nouns.concerns import (
    CodesScanned,
    CodeStatus,
    ModuleResult,
    ProgrammingEventDraft,
    ReflashResult,
    ReportedCode,
)
from kb.nouns.read_values import ReadKind, ReadValue
from kb.nouns.vehicles import CalibrationId, CalibrationReading, CalibrationSource, LookUp, Moment
from kb.records.migrate import alembic_config, migrate
from tests.factories import a_concern, actor_of, an_update

pytestmark = pytest.mark.both_databases

READ = CalibrationSource.READ


def pcm(shown: str, *more: CalibrationId, **said: Any) -> CalibrationReading:
    return CalibrationReading("PCM", shown, READ, cvn=f"C-{shown}", more=more, **said)


def reflash(desk: Desk, concern: int, **said: str) -> int:
    module = ModuleResult("PCM", ReflashResult.COMPLETED, concern_ids=(concern,), **said)  # type: ignore[arg-type]
    return programming.record_event(desk, ProgrammingEventDraft((module,), desk.today))


def words(desk: Desk, concern: int) -> list[str]:
    return [one.words for one in how_it_stands(desk, concern).compared]


def test_what_was_read_before_stays_beside_what_is_read_after(shop: RunningShop) -> None:
    tech = actor_of(shop, "tech")
    with shop.writing(tech) as desk:
        volts = ReadValue(ReadKind.VOLTAGE, "12.4", source=CalibrationSource.PHOTO)
        concern = concerns.open_concern(
            desk, a_concern(calibrations=(pcm("NV10A", hardware_number="HW-7"),), read=(volts,))
        ).id
        facts.put_calibration(desk, concern, pcm("NV10A", CalibrationId("NV20A", "C-NV20A")))
        event = reflash(desk, concern, calibration_after="NV10B", cvn_after="C-NV10A")
        assert words(desk, concern) == ["ID changed, CVN unchanged: read again after a key cycle"]
        facts.put_calibration(desk, concern, pcm("NV10B", CalibrationId("NV20A", "C-NV20A")))
    with shop.reading(tech) as desk:
        file = read_concern(desk, concern)
        assert words(desk, concern) == ["ID changed, CVN changed"]
        (now,) = how_it_stands(desk, concern).calibrations
    shown = [(one.moment.value, [each.calibration_id for each in one.ids]) for one in file.readings]
    assert shown == [
        ("before", ["NV10A"]),
        ("before", ["NV10A", "NV20A"]),
        ("after", ["NV10B"]),
        ("after", ["NV10B", "NV20A"]),
    ]
    assert now.reading.ids == (CalibrationId("NV10B", "C-NV10B"), CalibrationId("NV20A", "C-NV20A"))
    assert now.reading.hardware_number == "HW-7"
    assert [one.event_id for one in file.readings] == [None, None, event, event]
    assert [one.value for one in file.read if one.kind is ReadKind.VOLTAGE] == ["12.4"]


def test_of_several_ids_in_a_module_the_one_that_an_update_replaces_speaks_for_it(shop: RunningShop) -> None:
    with shop.writing(actor_of(shop, "lead")) as desk:
        update = notes.write_note(desk, an_update()).id
        concern = concerns.open_concern(desk, a_concern()).id
        facts.put_calibration(desk, concern, pcm("ZZ01", CalibrationId("NV10A", "77")))
        (view,) = how_it_stands(desk, concern).calibrations
        assert (view.reading.calibration_id, view.reading.cvn) == ("NV10A", "77")
        assert (view.state, view.newer) == ("superseded", ("NV10B",))
        assert [one.note for one in advice.give_advice(desk, concern).candidates] == [update]
        facts.put_look_up(desk, concern, LookUp("PCM", desk.today, "Ines", "NV10B"))
        facts.put_calibration(desk, concern, pcm("ZZ01", CalibrationId("NV10B", "78")))
        (view,) = how_it_stands(desk, concern).calibrations
        assert (view.reading.calibration_id, view.state) == ("NV10B", "newest_on_file")
        assert advice.give_advice(desk, concern).candidates == ()


def test_a_module_that_fell_silent_proves_nothing(shop: RunningShop) -> None:
    with shop.writing(actor_of(shop, "tech")) as desk:
        concern = concerns.open_concern(desk, a_concern(calibrations=(pcm("NV10A"),))).id
        reflash(desk, concern, calibration_after="NV10B", cvn_after="C-NV10B")
        facts.put_not_readable(desk, concern, "PCM", "no answer")
        assert words(desk, concern) == ["not readable: not proven"]
        assert how_it_stands(desk, concern).calibrations[0].reading.calibration_id == "NV10B"


def test_a_struck_id_goes_with_its_cvn_and_the_one_before_counts_again(shop: RunningShop) -> None:
    tech = actor_of(shop, "tech")
    with shop.writing(tech) as desk:
        concern = concerns.open_concern(desk, a_concern(calibrations=(pcm("NV10A"),))).id
        facts.put_calibration(desk, concern, pcm("NV1OA"))
        wrong = next(one for one in read_concern(desk, concern).read if one.value == "NV1OA")
        strike_reading(desk, concern, wrong.id)
        strike_reading(desk, concern, wrong.id)
        with pytest.raises(NotFound):
            strike_reading(desk, concern, wrong.id + 1000)
    with shop.reading(tech) as desk:
        file = read_concern(desk, concern)
        assert [one.calibration_id for one in file.readings] == ["NV10A"]
        assert {one.value: one.struck_by for one in file.read if one.struck_at} == {
            "NV1OA": "tech",
            "C-NV1OA": "tech",
        }
        trail = desk.session.execute(text("SELECT count(*) FROM trail WHERE action = 'struck reading'"))
        assert trail.scalar() == 1


def test_every_scan_is_kept_and_the_codes_are_those_of_the_newest_that_stands(shop: RunningShop) -> None:
    tech = actor_of(shop, "tech")
    stored = ReportedCode("P0171", "PCM", CodeStatus.PENDING)
    with shop.writing(tech) as desk:
        concern = concerns.open_concern(desk, a_concern(codes=(stored,))).id
        facts.put_codes(desk, concern, "", CodesScanned.NONE_STORED)
        assert read_concern(desk, concern).codes == ()
        second = by_readout(read_concern(desk, concern).read)[-1]
        assert [(one.kind, one.value) for one in second] == [(ReadKind.CODES_SCANNED, "none_stored")]
        strike_reading(desk, concern, second[0].id)
        file = read_concern(desk, concern)
        assert (file.codes, file.codes_scanned) == ((stored,), CodesScanned.STORED)
        scan = next(one for one in file.read if one.kind is ReadKind.CODES_SCANNED)
        strike_reading(desk, concern, scan.id)
        file = read_concern(desk, concern)
    assert (file.codes, file.codes_scanned) == ((), CodesScanned.NOT_SCANNED)


def test_codes_corrected_on_the_concern_are_kept_as_read_and_keep_their_modules(shop: RunningShop) -> None:
    with shop.writing(actor_of(shop, "tech")) as desk:
        stored = ReportedCode("P0171", "PCM", CodeStatus.PENDING)
        concern = concerns.open_concern(desk, a_concern(codes=(stored,))).id
        typed = (ReportedCode("P0171"), ReportedCode("P0300"))
        concerns.change_concern(desk, concern, 1, a_concern(codes=typed))
        concerns.change_concern(desk, concern, 2, a_concern(codes=typed, complaint="bucks"))
        file = read_concern(desk, concern)
    assert file.codes == (stored, ReportedCode("P0300"))
    assert len(by_readout(file.read)) == 2


def test_readings_of_before_come_along_as_of_an_unknown_moment_and_go_back(shop: RunningShop) -> None:
    tech = actor_of(shop, "tech")
    with shop.writing(tech) as desk:
        concern = concerns.open_concern(
            desk, a_concern(calibrations=(pcm("NV10A", hardware_number="HW-7"),))
        ).id
        facts.put_calibration(desk, concern, pcm("NV10B"))
    engine = shop.records.engine
    with engine.execution_options(beforeflash_writes=True).begin() as connection:
        command.downgrade(alembic_config(connection), "0026")
    migrate(engine)
    shop.memory.forget()
    with shop.writing(tech) as desk:
        facts.put_calibration(desk, concern, pcm("NV10C"))
        file = read_concern(desk, concern)
    assert [(one.calibration_id, one.cvn, one.moment) for one in file.readings] == [
        ("NV10A", "C-NV10A", Moment.UNKNOWN),
        ("NV10B", "C-NV10B", Moment.UNKNOWN),
        ("NV10C", "C-NV10C", Moment.BEFORE),
    ]
    assert {one.by for one in file.read} == {"tech"}


@pytest.mark.parametrize("long", ["calibration_id", "cvn", "software_number", "module"])
def test_a_number_longer_than_any_is_refused_whichever_way_it_comes(shop: RunningShop, long: str) -> None:
    read = replace(CalibrationReading("PCM", "NV10A", READ), **{long: "9" * 65})
    with shop.writing(actor_of(shop, "tech")) as desk:
        concern = concerns.open_concern(desk, a_concern()).id
        for put in (
            lambda: facts.put_read(desk, concern, [read]),
            lambda: facts.put_calibration(desk, concern, read),
            lambda: concerns.open_concern(desk, a_concern(ro_number="2088", calibrations=(read,))),
        ):
            with pytest.raises(BadInput, match="at most 64 characters"):
                put()
        assert read_concern(desk, concern).read == ()

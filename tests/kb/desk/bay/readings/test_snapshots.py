"""A snapshot is kept with the concern of its VIN, once, and never with another vehicle's."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime, timedelta

import pytest

from kb.desk.bay.concern import concerns, facts, snapshots
from kb.desk.bay.concern.concern_file import read_concern
from kb.desk.context import Desk, RunningShop
from kb.errors import BadInput, Conflict
from kb.nouns.bay.snapshot import ModuleShown, Readiness, Snapshot
from kb.nouns.concerns import CodesScanned, CodeStatus, ReportedCode
from kb.nouns.read_values import ReadKind
from kb.nouns.vehicles import CalibrationId, Moment
from tests.factories import a_concern, a_vehicle, actor_of

pytestmark = pytest.mark.both_databases

VIN = "1M8GDM9AXKP042788"  # published worked example of the check digit
OTHER = "5GZCZ43D13S812715"  # another one


def a_snapshot(desk: Desk, **said: object) -> Snapshot:
    usual = Snapshot(
        VIN,
        desk.now - timedelta(hours=1),
        modules=(
            ModuleShown("pcm", (CalibrationId("NV10A", "1A2B"), CalibrationId("NV20A", "3C4D")), "HW-7"),
            ModuleShown("TCM", not_readable="no answer"),
        ),
        codes=(ReportedCode("p0171", "PCM", CodeStatus.PENDING),),
        readiness={"catalyst": Readiness.NOT_READY},
        voltage=12.6,
        odometer=81_000,
    )
    return replace(usual, **said)  # type: ignore[arg-type]


def opened(desk: Desk, vin: str = VIN, **said: object) -> int:
    return concerns.open_concern(desk, a_concern(vehicle=a_vehicle(vin=vin, year=1989), **said)).id


def test_everything_in_it_is_kept_as_read_once(shop: RunningShop) -> None:
    with shop.writing(actor_of(shop, "tech")) as desk:
        concern = opened(desk)
        snapshot = a_snapshot(desk)
        kept = snapshots.keep_snapshot(desk, concern, snapshot)
        again = snapshots.keep_snapshot(desk, concern, snapshot)
        file = read_concern(desk, concern)
    assert (kept.values, again.values, again.on_file_already) == (11, 0, True)
    (pcm,) = file.readings
    assert (pcm.module, pcm.source, pcm.hardware_number) == ("PCM", "read", "HW-7")
    assert pcm.ids == (CalibrationId("NV10A", "1A2B"), CalibrationId("NV20A", "3C4D"))
    assert (pcm.moment, pcm.read_at) == (Moment.BEFORE, snapshot.taken_at)
    assert file.codes == (ReportedCode("P0171", "PCM", CodeStatus.PENDING),)
    others = {(one.kind, one.module or one.status, one.value) for one in file.read}
    assert {
        (ReadKind.NOT_READABLE, "TCM", "no answer"),
        (ReadKind.READINESS, "catalyst", "not_ready"),
        (ReadKind.VOLTAGE, "", "12.6"),
        (ReadKind.ODOMETER, "", "81000"),
    } <= others


def test_one_of_another_vin_fills_in_nothing_and_names_the_concerns_of_that_vin(shop: RunningShop) -> None:
    tech = actor_of(shop, "tech")
    with shop.writing(tech) as desk:
        concern, right = opened(desk, OTHER), opened(desk, VIN, ro_number="2090")
        nameless = opened(desk, "")
    for at in (concern, nameless):
        with pytest.raises(Conflict) as refused, shop.writing(tech) as desk:
            snapshots.keep_snapshot(desk, at, a_snapshot(desk))
        assert refused.value.details == {"vin": VIN, "concerns": [{"id": right, "ref": "RO 2090-A"}]}
        assert "Nothing was filled in. That VIN is on RO 2090-A" in refused.value.message
        with shop.reading(tech) as desk:
            assert read_concern(desk, at).read == ()


def test_an_older_scan_leaves_the_codes_of_a_newer_one_and_no_scan_leaves_all(shop: RunningShop) -> None:
    with shop.writing(actor_of(shop, "tech")) as desk:
        concern = opened(desk)
        facts.put_codes(desk, concern, "P0300", CodesScanned.STORED)
        snapshots.keep_snapshot(desk, concern, a_snapshot(desk))
        assert [one.code for one in read_concern(desk, concern).codes] == ["P0300"]
        snapshots.keep_snapshot(desk, concern, a_snapshot(desk, codes=None, taken_at=desk.now))
        assert [one.code for one in read_concern(desk, concern).codes] == ["P0300"]
        seen = (ReportedCode("P0300", "PCM", CodeStatus.CURRENT), ReportedCode("P0420"))
        facts.put_read(desk, concern, codes=seen)
        assert read_concern(desk, concern).codes == seen
        none_now = replace(a_snapshot(desk, codes=()), taken_at=desk.now)
        snapshots.keep_snapshot(desk, concern, none_now)
        file = read_concern(desk, concern)
    assert (file.codes, file.codes_scanned) == ((), CodesScanned.NONE_STORED)


def test_what_cannot_be_is_refused_in_a_sentence(shop: RunningShop) -> None:
    tech = actor_of(shop, "tech")
    with shop.writing(tech) as desk:
        concern = opened(desk)
        empty = Snapshot(VIN, desk.now)
        future = a_snapshot(desk, taken_at=datetime(2030, 1, 1, 8))  # noqa: DTZ001  # the shop's time
    wrong = {
        "nothing in the snapshot": empty,
        "lies in the future": future,
        "no whole VIN": replace(empty, vin="042788"),
        "trouble code": replace(empty, codes=(ReportedCode("P99"),)),
        "needs its name": replace(empty, modules=(ModuleShown(" ", (CalibrationId("NV10A"),)),)),
    }
    for words, snapshot in wrong.items():
        with pytest.raises(BadInput, match=words), shop.writing(tech) as desk:
            snapshots.keep_snapshot(desk, concern, snapshot)

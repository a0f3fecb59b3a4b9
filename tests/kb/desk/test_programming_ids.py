"""An ID that somebody typed supports nothing until it is confirmed, and an open road test is no verdict."""

from __future__ import annotations

from datetime import date, timedelta

import pytest

from kb.desk import case, concerns, equipment, observed, programming
from kb.desk.context import Desk, RunningShop
from kb.desk.equipment import EquipmentDraft, EquipmentKind
from kb.errors import BadInput
from kb.nouns.concerns import ModuleResult, ProgrammingEventDraft, ReflashResult, RoadTest
from kb.nouns.outcomes import Standing
from kb.nouns.vehicles import CalibrationSource
from tests.factories import a_concern, actor_of

DAY = date(2026, 7, 1)  # the tests' clock stands at Oct 31, 2026


def opened(desk: Desk) -> int:
    return concerns.open_concern(desk, a_concern(opened_on=DAY - timedelta(days=1))).id


def programmed(concern: int, source: CalibrationSource, *, confirmed: bool = False) -> ProgrammingEventDraft:
    done = ReflashResult.COMPLETED
    module = ModuleResult("PCM", done, None, "NV10A", "NV10B", "", "", (concern,), source, confirmed)
    return ProgrammingEventDraft((module,), DAY)


@pytest.mark.parametrize(
    ("source", "confirmed", "to_confirm"),
    [
        (CalibrationSource.TYPED, False, True),
        (CalibrationSource.TYPED, True, False),
        (CalibrationSource.READ, False, False),
    ],
)
def test_a_typed_id_after_programming_is_to_be_confirmed(
    shop: RunningShop, source: CalibrationSource, confirmed: bool, to_confirm: bool
) -> None:
    with shop.writing(actor_of(shop, "tech")) as desk:
        concern = opened(desk)
        programming.record_event(desk, programmed(concern, source, confirmed=confirmed))
        (module,) = case.read_concern(desk, concern).calibrations
    assert (module.reading.calibration_id, module.to_confirm) == ("NV10B", to_confirm)


def test_a_road_test_left_open_is_kept_as_not_done_and_enters_no_rate(shop: RunningShop) -> None:
    with shop.writing(actor_of(shop, "tech")) as desk:
        concern = opened(desk)
        programming.record_event(desk, programmed(concern, CalibrationSource.READ))
        assert case.read_concern(desk, concern).reflashes[0].road_test == RoadTest.NOT_DONE
        (outcome,) = observed.gather(desk, desk.today)[concern]
    assert outcome.observation.standing is Standing.NOT_KNOWN


def test_a_charger_supports_no_programming(shop: RunningShop) -> None:
    with shop.writing(actor_of(shop, "lead")) as desk:
        charger = equipment.add_equipment(desk, EquipmentDraft(EquipmentKind.CHARGER, "Bay 4"))
        concern = opened(desk)
        draft = programmed(concern, CalibrationSource.READ)
        with pytest.raises(BadInput, match="no battery support unit"):
            programming.record_event(
                desk, ProgrammingEventDraft(draft.modules, DAY, support_unit_id=charger.id)
            )

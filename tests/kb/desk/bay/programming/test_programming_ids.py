"""An ID that somebody typed supports nothing until it is confirmed, and an open road test is no verdict."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import pytest

from kb.desk.bay.concern import concerns, facts
from kb.desk.bay.concern.as_it_stands import how_it_stands
from kb.desk.bay.concern.concern_file import read_concern
from kb.desk.bay.outcomes import observed
from kb.desk.bay.programming import programming, release
from kb.desk.context import Desk, RunningShop
from kb.desk.notes import notes
from kb.desk.shop import equipment
from kb.desk.shop.equipment import EquipmentDraft, EquipmentKind
from kb.errors import BadInput
from kb.nouns.concerns import ModuleResult, ProgrammingEventDraft, ReflashResult, RoadTest
from kb.nouns.outcomes import Standing
from kb.nouns.vehicles import CalibrationSource, CalibrationStep, LookUp
from tests.factories import a_concern, actor_of, an_update

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
        (module,) = how_it_stands(desk, concern).calibrations
    assert (module.reading.calibration_id, module.to_confirm) == ("NV10B", to_confirm)


def test_a_road_test_left_open_is_kept_as_not_done_and_enters_no_rate(shop: RunningShop) -> None:
    with shop.writing(actor_of(shop, "tech")) as desk:
        concern = opened(desk)
        programming.record_event(desk, programmed(concern, CalibrationSource.READ))
        assert read_concern(desk, concern).reflashes[0].road_test == RoadTest.NOT_DONE
        (outcome,) = observed.gather(desk, desk.today)[concern]
    assert outcome.standing is Standing.NOT_KNOWN


def test_a_charger_supports_no_programming(shop: RunningShop) -> None:
    with shop.writing(actor_of(shop, "lead")) as desk:
        charger = equipment.add_equipment(desk, EquipmentDraft(EquipmentKind.CHARGER, "Bay 4"))
        concern = opened(desk)
        draft = programmed(concern, CalibrationSource.READ)
        with pytest.raises(BadInput, match="no battery support unit"):
            programming.record_event(
                desk, ProgrammingEventDraft(draft.modules, DAY, support_unit_id=charger.id)
            )


def after_update(concern: int, update: int, after: str, **said: object) -> ProgrammingEventDraft:
    module = ModuleResult(
        "pcm", ReflashResult.COMPLETED, update, "NV10A", after, "", "", (concern,), CalibrationSource.READ
    )
    return ProgrammingEventDraft((replace(module, **said),), DAY)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("after", "words"),
    [("NV10X", "the ID after is NV10X"), ("nv10a", "the ID after is the same as before")],
)
def test_an_id_that_the_bulletin_does_not_install_is_asked_about_and_taken_once_confirmed(
    shop: RunningShop, after: str, words: str
) -> None:
    with shop.writing(actor_of(shop, "lead")) as desk:
        concern, update = opened(desk), notes.write_note(desk, an_update()).id
        with pytest.raises(BadInput, match=f"PCM: {words}; NV-24-101 installs NV10B") as refused:
            programming.record_event(desk, after_update(concern, update, after))
        assert list(refused.value.fields) == ["modules.0.calibration_confirmed"]
        assert refused.value.details["unlike_bulletin"][0]["new_ids"] == ("NV10B",)
        programming.record_event(desk, after_update(concern, update, after, calibration_confirmed=True))
        (line, *_) = release.release_list(desk, concern).items
        assert words in line.text
        assert line.text in release.release_list(desk, concern).open_lines
        release.settle_release(desk, concern, line.key, "done")
        assert line.text not in release.release_list(desk, concern).open_lines


def test_no_question_is_asked_where_the_id_is_the_bulletins_or_known_to_be_newer(shop: RunningShop) -> None:
    later = (CalibrationStep("PCM", ("NV10B",), "NV10C"),)
    with shop.writing(actor_of(shop, "lead")) as desk:
        concern, update = opened(desk), notes.write_note(desk, an_update()).id
        notes.write_note(desk, an_update(number="NV-25-3", steps=later))
        facts.put_look_up(desk, concern, LookUp("PCM", desk.today, "lead", "NV10D"))
        for after in ("nv 10b", "NV10C", "NV10D", ""):
            programming.record_event(desk, after_update(concern, update, after), done_twice=True)
            assert not [
                one for one in release.release_list(desk, concern).items if one.key.startswith("release-id-")
            ]
        stopped = after_update(concern, update, "NV10X", result=ReflashResult.STOPPED)
        programming.record_event(desk, stopped)  # nothing was installed, so nothing differs


def test_of_several_steps_for_a_module_the_one_of_the_id_before_counts(shop: RunningShop) -> None:
    steps = (CalibrationStep("PCM", ("NV10A",), "NV10B"), CalibrationStep("PCM", ("NV20A",), "NV20B"))
    with shop.writing(actor_of(shop, "lead")) as desk:
        concern, update = opened(desk), notes.write_note(desk, an_update(steps=steps)).id
        with pytest.raises(BadInput, match="installs NV10B"):
            programming.record_event(desk, after_update(concern, update, "NV20B"))
        with pytest.raises(BadInput, match="installs NV10B or NV20B"):
            programming.record_event(desk, after_update(concern, update, "NV3", calibration_before=""))
        programming.record_event(desk, after_update(concern, update, "NV20B", calibration_before="NV20A"))


@pytest.mark.parametrize("field", ["device_id", "computer_id", "support_unit_id", "subscription_id"])
def test_equipment_or_a_subscription_that_the_shop_does_not_have_is_refused_by_its_field(
    shop: RunningShop, field: str
) -> None:
    with shop.writing(actor_of(shop, "tech")) as desk:
        concern = concerns.open_concern(desk, a_concern(opened_on=DAY)).id
        module = ModuleResult("PCM", ReflashResult.NOTHING_NEWER, concern_ids=(concern,))
        for nobodys in (0, 9_999):
            draft = ProgrammingEventDraft((module,), DAY, **{field: nobodys})
            with pytest.raises(BadInput) as refused:
                programming.record_event(desk, draft)
            assert set(refused.value.fields) == {field}

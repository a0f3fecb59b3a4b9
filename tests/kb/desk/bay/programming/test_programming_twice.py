"""The same module, update and day for one vehicle is recorded a second time only when it was done twice."""

from __future__ import annotations

from contextlib import nullcontext
from dataclasses import replace
from datetime import date, timedelta

import pytest

from kb.desk.bay.advice import advice
from kb.desk.bay.concern import concerns
from kb.desk.bay.concern.concern_file import read_concern
from kb.desk.bay.outcomes import observed
from kb.desk.bay.programming import programming, sittings
from kb.desk.context import Desk, RunningShop
from kb.desk.notes import notes
from kb.errors import BadInput, Conflict, NotFound
from kb.nouns.concerns import ModuleResult, ProgrammingEventDraft, ReflashResult, RoadTest
from kb.records.store.outcomes import outcomes as outcome_store
from tests.factories import a_concern, a_vehicle, actor_of, an_update

DAY = date(2026, 7, 1)  # the tests' clock stands at Oct 31, 2026
DONE, STOPPED = ReflashResult.COMPLETED, ReflashResult.STOPPED
VIN = "1M8GDM9AXKP042788"  # the published example of the check digit, 49 CFR 565.15


def opened(desk: Desk, line: str = "A", ro_number: str = "2087") -> int:
    vehicle = a_vehicle(vin=VIN)
    draft = a_concern(ro_number=ro_number, line=line, vehicle=vehicle, opened_on=DAY - timedelta(1))
    return concerns.open_concern(desk, draft).id


def event(
    concern: int, update: int, result: ReflashResult = DONE, module: str = "PCM", day: date = DAY
) -> ProgrammingEventDraft:
    return ProgrammingEventDraft((ModuleResult(module, result, update, concern_ids=(concern,)),), day)


def test_the_same_again_is_refused_with_the_first_one_named_until_it_was_done_twice(
    shop: RunningShop,
) -> None:
    with shop.writing(actor_of(shop, "lead")) as desk:
        concern, update = opened(desk), notes.write_note(desk, an_update()).id
        first = programming.record_event(desk, event(concern, update))
        for same in (event(concern, update, module=" pcm"), event(concern, update, ReflashResult.RECOVERED)):
            with pytest.raises(Conflict, match="PCM with NV-24-101 on Jul 1, 2026 is on record") as refused:
                programming.record_event(desk, same)
        details = refused.value.details
        assert (details["event_id"], details["concerns"]) == (first, [{"id": concern, "ref": "RO 2087-A"}])
        assert len(read_concern(desk, concern).reflashes) == 1
        programming.record_event(desk, event(concern, update), done_twice=True)
        assert len(read_concern(desk, concern).reflashes) == 2


@pytest.mark.parametrize(("after", "again"), [("nv-10b", True), ("NV10C", False), ("", False)])
def test_the_same_id_after_tells_the_same_work_where_the_update_is_left_out(
    shop: RunningShop, after: str, again: bool
) -> None:
    """A form that is opened once more proposes no update: it is in the module already."""
    with shop.writing(actor_of(shop, "lead")) as desk:
        concern, update = opened(desk), notes.write_note(desk, an_update()).id
        done = ModuleResult("PCM", DONE, update, calibration_after="NV10B", concern_ids=(concern,))
        programming.record_event(desk, ProgrammingEventDraft((done,), DAY))
        anew = replace(done, update_id=None, calibration_after=after, calibration_confirmed=True)
        with pytest.raises(Conflict, match="on record already") if again else nullcontext():
            programming.record_event(desk, ProgrammingEventDraft((anew,), DAY))


def test_another_line_of_the_repair_order_is_the_same_vehicle(shop: RunningShop) -> None:
    with shop.writing(actor_of(shop, "lead")) as desk:
        first, second, update = opened(desk), opened(desk, "B"), notes.write_note(desk, an_update()).id
        programming.record_event(desk, event(first, update))
        with pytest.raises(
            Conflict, match=r"for RO 2087-A\. If it was that sitting, count it for this concern"
        ):
            programming.record_event(desk, event(second, update))


def test_another_end_module_update_day_or_vehicle_is_no_repetition(shop: RunningShop) -> None:
    with shop.writing(actor_of(shop, "lead")) as desk:
        concern, update = opened(desk), notes.write_note(desk, an_update()).id
        other = notes.write_note(desk, an_update(number="NV-25-3")).id
        elsewhere = concerns.open_concern(desk, a_concern(ro_number="9", opened_on=DAY)).id
        programming.record_event(desk, event(concern, update, STOPPED))
        advice.lift_stop(desk, concern, "not_recovered", "a new session, the lead says so")
        for different in (
            event(concern, update),
            event(concern, other),
            event(concern, update, module="TCM"),
            event(concern, update, day=DAY + timedelta(1)),
            event(elsewhere, update),
        ):
            programming.record_event(desk, different)
        with pytest.raises(Conflict):
            programming.record_event(desk, event(concern, update, STOPPED))


def test_a_sitting_that_served_two_concerns_is_one_event_counted_for_both(shop: RunningShop) -> None:
    with shop.writing(actor_of(shop, "lead")) as desk:
        first, second, update = opened(desk), opened(desk, "B"), notes.write_note(desk, an_update()).id
        sitting = programming.record_event(desk, event(first, update))
        also = replace(event(second, update), other_work=("fluid service",), road_test=RoadTest.GONE)
        assert sittings.join_sitting(desk, sitting, also) == sitting
        views = [read_concern(desk, one).reflashes for one in (first, second)]
        assert [[one.event_id for one in some] for some in views] == [[sitting], [sitting]]
        assert [[one.road_test for one in some] for some in views] == [["not_done"], ["gone"]]
        told = observed.gather(desk, desk.today)
        assert [told[one][0].other_work for one in (first, second)] == [True, True]
        with pytest.raises(Conflict, match="already"):
            sittings.join_sitting(desk, sitting, also)
        later = a_concern(ro_number="2", vehicle=a_vehicle(vin=VIN), opened_on=DAY + timedelta(days=2))
        with pytest.raises(BadInput, match="before the concern was opened"):
            sittings.join_sitting(desk, sitting, event(concerns.open_concern(desk, later).id, update))
        elsewhere = concerns.open_concern(desk, a_concern(ro_number="9", opened_on=DAY)).id
        with pytest.raises(NotFound):
            sittings.join_sitting(desk, sitting, event(elsewhere, update))


def test_a_sitting_joined_keeps_the_remark_and_refuses_modules_and_updates_it_does_not_have(
    shop: RunningShop,
) -> None:
    with shop.writing(actor_of(shop, "lead")) as desk:
        first, second, update = opened(desk), opened(desk, "B"), notes.write_note(desk, an_update()).id
        other = notes.write_note(desk, an_update(number="NV-25-3")).id
        sitting = programming.record_event(desk, replace(event(first, update), remark="slow the first time"))
        pcm, tcm = event(second, update).modules[0], event(second, update, module="tcm").modules[0]
        with pytest.raises(BadInput, match="no TCM with NV-24-101 on record; it has PCM") as refused:
            sittings.join_sitting(desk, sitting, replace(event(second, update), modules=(pcm, tcm)))
        assert list(refused.value.fields) == ["modules.1.module"]
        with pytest.raises(BadInput, match="no PCM with NV-25-3 on record"):
            sittings.join_sitting(desk, sitting, event(second, other))
        assert not read_concern(desk, second).reflashes
        said = replace(event(second, update), remark="second key tried", who_was_called="the hot line")
        sittings.join_sitting(desk, sitting, said)
        row = outcome_store.event(desk.session, desk.shop.id, sitting)
        assert row is not None
        assert (row.remark, row.who_was_called) == ("slow the first time; second key tried", "the hot line")


def test_one_form_has_one_result_per_module(shop: RunningShop) -> None:
    """design.md section 2: one reflash per module in an event."""
    with shop.writing(actor_of(shop, "lead")) as desk:
        first, second, update = opened(desk), opened(desk, "B"), notes.write_note(desk, an_update()).id
        twice = event(first, update).modules + event(first, update, module=" pcm").modules
        with pytest.raises(BadInput, match="PCM stands here twice"):
            programming.record_event(desk, replace(event(first, update), modules=twice), done_twice=True)
        sitting = programming.record_event(desk, event(first, update))
        again = event(second, update).modules * 2
        with pytest.raises(BadInput, match="PCM stands here twice"):
            sittings.join_sitting(desk, sitting, replace(event(second, update), modules=again))


def test_a_sitting_for_several_concerns_is_after_each_of_them_was_opened(shop: RunningShop) -> None:
    with shop.writing(actor_of(shop, "lead")) as desk:
        first, update = opened(desk), notes.write_note(desk, an_update()).id
        late = a_concern(ro_number="2", vehicle=a_vehicle(vin=VIN), opened_on=DAY + timedelta(days=2))
        second = concerns.open_concern(desk, late).id
        both = replace(event(first, update).modules[0], concern_ids=(first, second))
        with pytest.raises(BadInput, match="Jul 1, 2026 is before the concern was opened"):
            programming.record_event(desk, replace(event(first, update), modules=(both,)))

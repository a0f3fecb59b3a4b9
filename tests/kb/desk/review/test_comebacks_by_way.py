"""What others' work is held against: comebacks of reflashes that have had their time to fail."""

from __future__ import annotations

from datetime import timedelta

from kb.desk.bay.concern import concerns
from kb.desk.bay.programming import programming
from kb.desk.calls import what_was_heard
from kb.desk.context import Desk, RunningShop
from kb.desk.notes import notes
from kb.nouns.concerns import (
    FollowUpDraft,
    FollowUpResult,
    ModuleResult,
    ProgrammingEventDraft,
    ReflashResult,
    RoadTest,
)
from kb.records.store.outcomes.ended_by_way import Ended, ended_by_way
from tests.factories import a_concern, a_vehicle, an_update
from tests.kb.desk.imports.importing import LEAD


def reflashed(desk: Desk, ro_number: str, update: int, days_ago: int) -> int:
    day = desk.today - timedelta(days=days_ago)
    car = a_vehicle(vin="")
    concern = concerns.open_concern(desk, a_concern(ro_number=ro_number, vehicle=car, opened_on=day)).id
    module = ModuleResult(
        "PCM", ReflashResult.COMPLETED, update, "NV10A", "NV10B", "1A2B", concern_ids=(concern,)
    )
    programming.record_event(desk, ProgrammingEventDraft((module,), day))
    programming.record_road_test(desk, concern, RoadTest.GONE)
    return concern


def test_a_reflash_of_last_month_is_not_yet_one_that_held(sqlite_shop: RunningShop) -> None:
    with sqlite_shop.writing(LEAD) as desk:
        update = notes.write_note(desk, an_update()).id
        back = reflashed(desk, "2401", update, days_ago=120)
        seen_on = desk.today - timedelta(days=110)
        what_was_heard.record_follow_up(desk, back, FollowUpDraft(FollowUpResult.CAME_BACK, seen_on))
        reflashed(desk, "2402", update, days_ago=100)
        reflashed(desk, "2403", update, days_ago=30)
    with sqlite_shop.reading(LEAD) as desk:
        long_ago = desk.today - timedelta(days=700)
        by_window = {
            days: ended_by_way(desk.session, desk.shop.id, long_ago, desk.today - timedelta(days=days))
            for days in (90, 20, 115)
        }
    every = {90: 2, 20: 3, 115: 1}
    assert by_window == {days: {"here": Ended(1, 0, reflashes)} for days, reflashes in every.items()}

"""An update that needs several modules programmed for one concern was one try: counted by hand."""

from __future__ import annotations

from datetime import timedelta

import pytest

from kb.desk.bay.concern import concerns
from kb.desk.bay.programming import programming
from kb.desk.calls import call_list, what_was_heard
from kb.desk.context import Desk, RunningShop
from kb.desk.notes import merging_notes, notes
from kb.desk.review import reports, review_tables
from kb.desk.review.reports import ReportFilter
from kb.nouns.concerns import (
    FollowUpDraft,
    FollowUpResult,
    ModuleResult,
    ProgrammingEventDraft,
    ReflashResult,
    RoadTest,
)
from tests.conftest import StandingClock
from tests.factories import a_concern, a_vehicle, an_update
from tests.kb.desk.imports.importing import LEAD

pytestmark = pytest.mark.both_databases

DONE, OTHER = ReflashResult.COMPLETED, ReflashResult.STOPPED


def sitting(desk: Desk, concern: int, modules: dict[str, int], result: ReflashResult = DONE) -> None:
    done = tuple(
        ModuleResult(name, result, update, concern_ids=(concern,)) for name, update in modules.items()
    )
    programming.record_event(desk, ProgrammingEventDraft(done, desk.today, road_test=RoadTest.GONE))


def a_shop(desk: Desk) -> tuple[int, int]:
    """Updates 1 and 2, and a concern of a vehicle known by VIN."""
    for number in ("NV-1", "NV-2"):
        notes.write_note(desk, an_update(number=number))
    return 1, concerns.open_concern(desk, a_concern(vehicle=a_vehicle(year=2005, vin="1G4AH59H45G118341"))).id


def counted(desk: Desk, **asked: object) -> dict[int | None, tuple[int, int, int]]:
    """By update, None for the shop: reflashes, failures, money of comebacks."""
    found = reports.reflash_report(desk, ReportFilter(**asked)).report  # type: ignore[arg-type]
    return {
        row.update: (row.tried, row.failed_at_road_test + row.comebacks, row.comeback_cost)
        for row in (*found.rows, found.shop)
    }


def test_two_modules_of_one_update_are_one_try_whatever_is_asked(
    shop: RunningShop, clock: StandingClock
) -> None:
    with shop.writing(LEAD) as desk:
        update, concern = a_shop(desk)
        sitting(desk, concern, {"PCM": update, "TCM": update})
        assert counted(desk) == {1: (1, 0, 0), None: (1, 0, 0)}
    clock.move(days=20)
    with shop.writing(LEAD) as desk:
        back = FollowUpDraft(FollowUpResult.CAME_BACK, desk.today, cost_minor=30_001)
        what_was_heard.record_follow_up(desk, concern, back)
        expected = {1: (1, 1, 30_001), None: (1, 1, 30_001)}
        assert counted(desk) == expected
        assert counted(desk, as_of=desk.today - timedelta(1)) == {1: (1, 0, 0), None: (1, 0, 0)}
        for module in ("PCM", "tcm"):
            assert counted(desk, module=module) == expected
        assert len(review_tables.vehicles_of_update(desk, update)) == 1


def test_two_updates_or_two_sittings_are_two_tries(shop: RunningShop, clock: StandingClock) -> None:
    with shop.writing(LEAD) as desk:
        _, concern = a_shop(desk)
        sitting(desk, concern, {"PCM": 1, "TCM": 2})
        assert counted(desk) == {1: (1, 0, 0), 2: (1, 0, 0), None: (2, 0, 0)}
    clock.move(days=5)
    with shop.writing(LEAD) as desk:
        sitting(desk, concern, {"PCM": 1, "TCM": 1})
        assert counted(desk) == {1: (2, 0, 0), 2: (1, 0, 0), None: (3, 0, 0)}


def test_a_newer_calibration_in_one_of_the_modules_ends_the_count_of_the_try(
    shop: RunningShop, clock: StandingClock
) -> None:
    with shop.writing(LEAD) as desk:
        _, concern = a_shop(desk)
        sitting(desk, concern, {"PCM": 1, "TCM": 1})
    clock.move(days=30)
    with shop.writing(LEAD) as desk:
        vehicle = a_vehicle(year=2005, vin="1G4AH59H45G118341")
        later = concerns.open_concern(desk, a_concern(ro_number="9", complaint="squeaks", vehicle=vehicle)).id
        sitting(desk, later, {"TCM": 2})
    clock.move(days=70)
    with shop.reading(LEAD) as desk:
        row = next(one for one in reports.reflash_report(desk, ReportFilter()).report.rows if one.update == 1)
        assert (row.tried, row.overdue, row.in_window) == (1, 0, 0)
        assert call_list.due(desk) == ()


def test_merging_two_updates_of_one_sitting_makes_one_try_and_taking_it_back_two(shop: RunningShop) -> None:
    with shop.writing(LEAD) as desk:
        _, concern = a_shop(desk)
        sitting(desk, concern, {"PCM": 1, "TCM": 2})
        merging_notes.merge_notes(desk, 1, 2)
        assert counted(desk) == {1: (1, 0, 0), None: (1, 0, 0)}
    with shop.writing(LEAD) as desk:
        merging_notes.unmerge_note(desk, 2)
        assert counted(desk) == {1: (1, 0, 0), 2: (1, 0, 0), None: (2, 0, 0)}


@pytest.mark.parametrize("stopped", ["PCM", "TCM"])
def test_a_module_that_was_not_installed_stands_for_none(shop: RunningShop, stopped: str) -> None:
    with shop.writing(LEAD) as desk:
        _, concern = a_shop(desk)
        done = tuple(
            ModuleResult(name, OTHER if name == stopped else DONE, 1, concern_ids=(concern,))
            for name in ("PCM", "TCM")
        )
        programming.record_event(
            desk, ProgrammingEventDraft(done, desk.today, road_test=RoadTest.STILL_THERE)
        )
        assert counted(desk) == {1: (1, 1, 0), None: (1, 1, 0)}

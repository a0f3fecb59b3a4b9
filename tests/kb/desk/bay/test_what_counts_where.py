"""Each fact counts once and at its place: money, road tests, other causes, long windows. Counted by hand."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any

import pytest

from kb.desk.bay.concern import closing, concerns
from kb.desk.bay.concern.concern_file import read_concern
from kb.desk.bay.handover import concern_list
from kb.desk.bay.outcomes import counted
from kb.desk.bay.programming import programming
from kb.desk.calls import call_list, morning_calls, what_was_heard
from kb.desk.context import Desk, RunningShop
from kb.desk.notes import notes
from kb.desk.review import reports
from kb.desk.review.reports import ReportFilter
from kb.errors import BadInput, Conflict
from kb.nouns.concerns import (
    Ending,
    FollowUpDraft,
    FollowUpResult,
    ModuleResult,
    ProgrammingEventDraft,
    ReflashResult,
    RoadTest,
)
from kb.nouns.notes import NoteState
from tests.conftest import StandingClock
from tests.factories import a_concern, a_note, actor_of, an_update
from tests.kb.desk.imports.importing import LEAD, history, take

CAME_BACK, FINE = FollowUpResult.CAME_BACK, FollowUpResult.FINE


@pytest.fixture
def desk_of(shop: RunningShop) -> Any:
    return lambda: shop.writing(actor_of(shop, "lead"))


def two_updates(desk: Desk) -> tuple[int, int]:
    first = notes.write_note(desk, an_update()).id
    second = notes.write_note(
        desk, an_update(number="NV-25-7", title="Shift flare", steps=an_update().steps)
    ).id
    return first, second


def reflash(desk: Desk, updates: tuple[int, ...], concern: int | None = None, **said: Any) -> int:
    """A reflash today of one module for each update; a new concern unless one is given."""
    odd = {"other_work": said.pop("other_work", ())}
    number = f"4{concerns_so_far(desk)}"
    concern = concern or concerns.open_concern(desk, a_concern(ro_number=number, **said)).id
    modules = tuple(
        ModuleResult(name, ReflashResult.COMPLETED, update, concern_ids=(concern,))
        for name, update in zip(("PCM", "TCM"), updates, strict=False)
    )
    event = ProgrammingEventDraft(modules, desk.today, road_test=RoadTest.GONE, **odd)
    programming.record_event(desk, event)
    return concern


def concerns_so_far(desk: Desk) -> int:
    return len(concern_list.list_concerns(desk, ""))


def rows(desk: Desk, **asked: Any) -> dict[str, tuple[int, int, int]]:
    """By number of the update: reflashes done, failures, money of comebacks; "" is the shop."""
    found = reports.reflash_report(desk, ReportFilter(**asked))
    told = {found.names[row.update or 0][0]: row for row in found.report.rows} | {"": found.report.shop}
    return {
        name: (row.tried, row.failed_at_road_test + row.comebacks, row.comeback_cost)
        for name, row in told.items()
    }


def hear(desk: Desk, concern: int, result: FollowUpResult, cost: int | None = None, **said: Any) -> None:
    what_was_heard.record_follow_up(desk, concern, FollowUpDraft(result, desk.today, cost_minor=cost, **said))


def test_one_comeback_of_a_visit_with_two_modules_costs_its_money_once(
    desk_of: Any, clock: StandingClock
) -> None:
    with desk_of() as desk:
        concern = reflash(desk, two_updates(desk))
    clock.move(days=10)
    with desk_of() as desk:
        hear(desk, concern, CAME_BACK, 30_001)
        assert rows(desk) == {"NV-24-101": (1, 1, 15_001), "NV-25-7": (1, 1, 15_000), "": (2, 2, 30_001)}


def test_each_of_two_reflashes_of_a_concern_bears_the_comeback_after_it(
    desk_of: Any, clock: StandingClock
) -> None:
    with desk_of() as desk:
        first, second = two_updates(desk)
        concern = reflash(desk, (first,))
    clock.move(days=10)
    with desk_of() as desk:
        hear(desk, concern, CAME_BACK, 30_000)
    clock.move(days=1)
    with desk_of() as desk:
        reflash(desk, (second,), concern)
    clock.move(days=10)
    with desk_of() as desk:
        hear(desk, concern, CAME_BACK, 20_000)
        assert rows(desk) == {"NV-24-101": (1, 1, 30_000), "NV-25-7": (1, 1, 20_000), "": (2, 2, 50_000)}


def test_a_comeback_after_the_window_or_with_other_work_costs_and_is_in_no_rate(
    desk_of: Any, clock: StandingClock
) -> None:
    with desk_of() as desk:
        first, second = two_updates(desk)
        late = reflash(desk, (first,))
        mixed = reflash(desk, (second,), other_work=("plugs",))
    clock.move(days=20)
    with desk_of() as desk:
        hear(desk, mixed, CAME_BACK, 7_000)
    clock.move(days=180)
    with desk_of() as desk:
        hear(desk, late, CAME_BACK, 30_000)
        assert rows(desk) == {
            "NV-24-101": (1, 0, 30_000),
            "NV-25-7": (0, 0, 7_000),
            "": (1, 0, 37_000),
        }
        assert rows(desk, window_days=365)[""] == (1, 1, 37_000)


def test_the_road_test_speaks_of_every_module_of_its_event(desk_of: Any) -> None:
    with desk_of() as desk:
        concern = reflash(desk, two_updates(desk))
        programming.record_road_test(desk, concern, RoadTest.STILL_THERE)
        assert rows(desk)[""] == (2, 2, 0)


def test_closing_with_another_cause_counts_against_the_reflash_until_it_is_opened_again(
    desk_of: Any, clock: StandingClock
) -> None:
    with desk_of() as desk:
        concern = reflash(desk, two_updates(desk)[:1])
    clock.move(days=10)
    with desk_of() as desk:
        closing.close_concern(desk, concern, Ending.OTHER_CAUSE, other_cause="hose")
        assert rows(desk)[""] == (1, 1, 0)
        assert rows(desk, as_of=desk.today - timedelta(1))[""] == (1, 0, 0)
        day = counted.count(desk, desk.today).counts.day.tolist()
        closing.close_concern(desk, concern, Ending.OTHER_CAUSE, other_cause="hose")
        with pytest.raises(Conflict, match="closed already"):
            closing.close_concern(desk, concern, Ending.SENT_TO_DEALER)
        closing.reopen_concern(desk, concern)
        assert (day, rows(desk)[""]) == ([0], (1, 0, 0))


def test_only_an_update_that_was_installed_can_have_cured(desk_of: Any) -> None:
    with desk_of() as desk:
        first, second = two_updates(desk)
        lesson = notes.write_note(desk, a_note()).id
        concern = reflash(desk, (first,))
        for wrong in (second, lesson):
            with pytest.raises(BadInput) as refused:
                closing.close_concern(desk, concern, Ending.CURED_BY_REFLASH, cured_by=wrong)
            assert "cured_by" in refused.value.fields
        stopped = concerns.open_concern(desk, a_concern(ro_number="77")).id
        module = ModuleResult("PCM", ReflashResult.STOPPED, first, concern_ids=(stopped,))
        programming.record_event(desk, ProgrammingEventDraft((module,), desk.today))
        with pytest.raises(BadInput, match="Record the programming event first"):
            closing.close_concern(desk, stopped, Ending.CURED_BY_REFLASH)
        closing.close_concern(desk, concern, Ending.CURED_BY_REFLASH)


def test_no_update_cures_a_concern_for_which_no_programming_is_on_record(desk_of: Any) -> None:
    with desk_of() as desk:
        update = notes.write_note(desk, an_update()).id
        concern = concerns.open_concern(desk, a_concern()).id
        for named in (update, None):
            with pytest.raises(BadInput, match="done elsewhere or on an earlier day") as refused:
                closing.close_concern(desk, concern, Ending.CURED_BY_REFLASH, cured_by=named)
            assert "cured_by" in refused.value.fields
        assert read_concern(desk, concern).state == "open"
        module = ModuleResult("PCM", ReflashResult.COMPLETED, update, concern_ids=(concern,))
        programming.record_event(desk, ProgrammingEventDraft((module,), desk.today))
        closing.close_concern(desk, concern, Ending.CURED_BY_REFLASH, cured_by=update)
        assert read_concern(desk, concern).state == "closed"


def test_no_alarm_is_dated_before_the_comebacks_of_intermittents_that_raised_it(
    sqlite_shop: RunningShop, clock: StandingClock
) -> None:
    """Usual gap 60 days, so the window is 180; fifteen vehicles all come back on day 160."""
    begin = clock().date()
    lead = actor_of(sqlite_shop, "lead")
    good = [
        {"ro_number": f"G{n}", "opened_on": str(begin - timedelta(400 - n)), "update": "NV-24-101"}
        | {"reflashed_on": str(begin - timedelta(400 - n)), "last_seen_on": str(begin - timedelta(200 - n))}
        for n in range(40)
    ]
    take(sqlite_shop, "history", history(*good))
    with sqlite_shop.writing(lead) as desk:
        update = notes.write_note(desk, an_update(number="NV-25-7")).id
        seldom = [reflash(desk, (update,), usual_gap_days=60) for _ in range(15)]
    clock.move(days=160)
    with sqlite_shop.writing(lead) as desk:
        for concern in seldom:
            hear(desk, concern, CAME_BACK)
        told = reports.reflash_report(desk, ReportFilter()).report.rows
        [alarm] = [row.alarm for row in told if row.alarm is not None]
        assert alarm.since == desk.today
        assert "15 of 15" in alarm.sentence
        assert (
            reports.reflash_report(desk, ReportFilter(as_of=desk.today - timedelta(1))).report.rows[1].alarm
            is None
        )


def test_an_odometer_corrected_later_ends_a_window_by_miles_and_the_asking_with_it(
    desk_of: Any, clock: StandingClock
) -> None:
    with desk_of() as desk:
        concern = reflash(desk, two_updates(desk)[:1])
    clock.move(days=40)
    with desk_of() as desk:
        hear(desk, concern, FINE, odometer=54_000)
        [standing] = counted.count(desk, desk.today).counts.standing.tolist()
    clock.move(days=60)
    with desk_of() as desk:
        assert [one.concern_id for one in call_list.due(desk)] == [concern]
        held = read_concern(desk, concern)
        concerns.change_concern(desk, concern, held.version, a_concern(odometer=50_000))
        [after] = counted.count(desk, desk.today).counts.standing.tolist()
        assert (standing, after) == (4, 3)  # free of it so far; then followed to its window
        assert call_list.due(desk) == ()
        assert morning_calls.calls_this_morning(desk).due == 0


@pytest.mark.parametrize("odometer", [49_000, 540_000])
def test_a_reading_that_does_not_fit_the_one_at_the_reflash_is_refused(
    desk_of: Any, clock: StandingClock, odometer: int
) -> None:
    with desk_of() as desk:
        concern = reflash(desk, two_updates(desk)[:1], odometer=50_000)
    clock.move(days=5)
    with desk_of() as desk, pytest.raises(BadInput, match="does not fit the 50,000"):
        hear(desk, concern, FINE, odometer=odometer)


def test_a_call_cannot_be_promised_for_so_late_that_nobody_asks(desk_of: Any) -> None:
    with desk_of() as desk:
        concern = reflash(desk, two_updates(desk)[:1])
        with pytest.raises(BadInput, match="more than a year"):
            call_list.promise_call(desk, concern, date(2062, 1, 1))


def test_drafts_and_retired_updates_keep_their_number_on_the_list_and_the_concern(
    desk_of: Any, clock: StandingClock, shop: RunningShop
) -> None:
    with desk_of() as desk:
        update = notes.write_note(desk, an_update())
        concern = reflash(desk, (update.id,))
        notes.change_note(desk, update.id, update.version, an_update(state=NoteState.RETIRED))
    took = history({"update": "NV-OLD-1", "ro_number": "9", "reflashed_on": "2026-05-01", "last_seen_on": ""})
    take(shop, "history", took)
    clock.move(days=100)
    with desk_of() as desk:
        assert {one.update_number for one in call_list.due(desk)} == {"NV-24-101", "NV-OLD-1"}
        assert read_concern(desk, concern).reflashes[0].update_number == "NV-24-101"


def test_a_vehicle_nobody_ever_saw_is_in_no_rate_though_it_was_updated_again(
    shop: RunningShop, clock: StandingClock
) -> None:
    """Road test "cannot say", and nothing heard but an update by air after the window (design, section 6)."""
    with shop.writing(LEAD) as desk:
        update = notes.write_note(desk, an_update()).id
        concern = reflash(desk, (update,))
        programming.record_road_test(desk, concern, RoadTest.CANNOT_SAY)
    clock.move(days=150)
    with shop.writing(LEAD) as desk:
        hear(desk, concern, FollowUpResult.UPDATED_BY_AIR)
        [row] = reports.reflash_report(desk, ReportFilter()).report.rows
        assert (row.tried, row.followed_to_window, row.cure_rate) == (1, 0, None)
        assert call_list.due(desk) == ()


def test_a_comeback_after_the_miles_is_told_to_count_as_none(desk_of: Any, clock: StandingClock) -> None:
    with desk_of() as desk:
        first, second = two_updates(desk)
        far = reflash(desk, (first,), odometer=42_910)
        near = reflash(desk, (second,), odometer=42_910)
    clock.move(days=20)
    with desk_of() as desk:
        hear(desk, far, CAME_BACK, odometer=46_910)
        hear(desk, near, CAME_BACK, odometer=45_909)
        assert {name: row[:2] for name, row in rows(desk).items() if name} == {
            "NV-24-101": (1, 0),
            "NV-25-7": (1, 1),
        }
        assert [what_was_heard.how_it_counts(desk, one, desk.today) for one in (far, near)] == [
            "after",
            "failed",
        ]

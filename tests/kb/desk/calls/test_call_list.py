"""Who is to be asked, and what one answer changes (design.md section 6: follow-up)."""

from __future__ import annotations

from datetime import date, timedelta

import pytest

from kb.desk.bay.concern import concerns
from kb.desk.bay.programming import programming
from kb.desk.calls import call_list, what_was_heard
from kb.desk.context import RunningShop
from kb.desk.notes import notes
from kb.errors import BadInput
from kb.nouns.concerns import (
    FollowUpDraft,
    FollowUpResult,
    ModuleResult,
    ProgrammingEventDraft,
    ReflashResult,
    RoadTest,
)
from kb.nouns.outcomes import Standing
from tests.conftest import StandingClock
from tests.factories import a_concern, a_vehicle, actor_of, an_update
from tests.kb.desk.calls.closing_the_loop import VIN, done, reasons, reflash, standing
from tests.kb.desk.imports.importing import TECH

__all__ = ["done"]


def hear(shop: RunningShop, result: FollowUpResult, concern: int = 1) -> None:
    with shop.writing(TECH) as desk:
        what_was_heard.record_follow_up(desk, concern, FollowUpDraft(result, desk.today))


def test_a_vehicle_is_asked_on_the_last_day_of_its_window_and_not_before(
    done: RunningShop, clock: StandingClock
) -> None:
    clock.move(days=89)
    assert reasons(done) == []
    clock.move(days=1)
    assert reasons(done) == [(1, "window")]
    hear(done, FollowUpResult.NO_ANSWER)
    assert reasons(done) == [(1, "window")]
    hear(done, FollowUpResult.FINE)
    assert reasons(done) == []
    assert standing(done) == [(Standing.FOLLOWED_TO_WINDOW, 90)]


def test_a_promised_call_comes_on_its_day_and_goes_with_the_answer(
    done: RunningShop, clock: StandingClock
) -> None:
    with done.writing(TECH) as desk:
        call_list.promise_call(desk, 1, desk.today + timedelta(days=30))
    clock.move(days=29)
    assert reasons(done) == []
    clock.move(days=1)
    assert reasons(done) == [(1, "promise")]
    hear(done, FollowUpResult.FINE)
    assert reasons(done) == []
    clock.move(days=60)
    assert reasons(done) == [(1, "window")]


def test_a_vehicle_that_is_here_again_is_asked_while_it_is_here(
    done: RunningShop, clock: StandingClock
) -> None:
    clock.move(days=20)
    with done.writing(TECH) as desk:
        vehicle = a_vehicle(year=2005, vin=VIN)
        other = concerns.open_concern(desk, a_concern(ro_number="9", complaint="squeaks", vehicle=vehicle)).id
    assert reasons(done) == [(1, "visit")]
    hear(done, FollowUpResult.NEW_COMPLAINT)
    assert reasons(done) == []
    assert standing(done) == [(Standing.IN_WINDOW, 0)]
    clock.move(days=70)
    assert reasons(done) == [(1, "window")]
    assert other == 2


def test_nobody_asks_for_a_vehicle_that_was_sold_and_it_counts_to_when_it_was_seen(
    done: RunningShop, clock: StandingClock
) -> None:
    clock.move(days=10)
    hear(done, FollowUpResult.FINE)
    clock.move(days=50)
    hear(done, FollowUpResult.SOLD)
    clock.move(days=100)
    assert reasons(done) == []
    assert standing(done) == [(Standing.ENDED, 10)]


def test_a_later_reflash_on_another_repair_order_ends_the_count_and_the_asking(
    done: RunningShop, clock: StandingClock
) -> None:
    clock.move(days=40)
    with done.writing(TECH) as desk:
        later = reflash(desk, "2", complaint="stalls")
        what_was_heard.record_follow_up(desk, later, FollowUpDraft(FollowUpResult.FINE, desk.today))
    clock.move(days=60)
    assert reasons(done) == []
    assert sorted(standing(done)) == [(Standing.IN_WINDOW, 0), (Standing.ENDED, 40)]


@pytest.mark.parametrize(
    ("days", "miles", "field"),
    [(1, None, "seen_on"), (-1, None, "seen_on"), (0, -4, "odometer")],
)
def test_a_day_or_a_reading_that_cannot_be_is_refused(
    done: RunningShop, days: int, miles: int | None, field: str
) -> None:
    with done.writing(TECH) as desk:
        draft = FollowUpDraft(FollowUpResult.CAME_BACK, desk.today + timedelta(days=days), miles)
        with pytest.raises(BadInput) as refused:
            what_was_heard.record_follow_up(desk, 1, draft)
    assert field in refused.value.fields


def test_a_call_is_promised_for_a_day_to_come(done: RunningShop) -> None:
    with done.writing(TECH) as desk, pytest.raises(BadInput):
        call_list.promise_call(desk, 1, date(2026, 1, 1))


def test_a_promised_call_stands_until_it_is_answered_however_the_vehicle_does(
    done: RunningShop, clock: StandingClock
) -> None:
    clock.move(days=95)
    hear(done, FollowUpResult.FINE)
    with done.writing(TECH) as desk:
        call_list.promise_call(desk, 1, desk.today + timedelta(days=5))
    assert reasons(done) == []
    clock.move(days=6)
    assert reasons(done) == [(1, "promise")]
    hear(done, FollowUpResult.NO_ANSWER)
    assert reasons(done) == [(1, "promise")]
    hear(done, FollowUpResult.CAME_BACK)
    assert reasons(done) == []


def test_who_was_tried_in_vain_comes_after_who_was_not(done: RunningShop, clock: StandingClock) -> None:
    with done.writing(TECH) as desk:
        other = concerns.open_concern(desk, a_concern(ro_number="2", vehicle=a_vehicle(vin=""))).id
        module = ModuleResult("PCM", ReflashResult.COMPLETED, 1, concern_ids=(other,))
        programming.record_event(desk, ProgrammingEventDraft((module,), desk.today, road_test=RoadTest.GONE))
    clock.move(days=90)
    assert [one for one, _ in reasons(done)] == [1, other]
    hear(done, FollowUpResult.NO_ANSWER)
    with done.reading(TECH) as desk:
        found = call_list.due(desk)
        assert [(one.concern_id, one.tried_on) for one in found] == [(other, None), (1, desk.today)]


def test_two_modules_programmed_for_one_concern_are_one_question(
    shop: RunningShop, clock: StandingClock
) -> None:
    with shop.writing(actor_of(shop, "lead")) as desk:
        notes.write_note(desk, an_update())
        concern = concerns.open_concern(desk, a_concern()).id
        modules = tuple(
            ModuleResult(name, ReflashResult.COMPLETED, 1, concern_ids=(concern,)) for name in ("PCM", "TCM")
        )
        programming.record_event(desk, ProgrammingEventDraft(modules, desk.today, road_test=RoadTest.GONE))
    clock.move(days=90)
    assert reasons(shop) == [(concern, "window")]

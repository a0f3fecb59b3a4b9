"""What was heard: that a bad answer is never a cure, and that a slip can be put right or taken back."""

from __future__ import annotations

from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kb.desk.bay.concern import closing, concerns
from kb.desk.bay.concern.concern_file import read_concern
from kb.desk.bay.concern.impossible_answers import Reading, unfitting
from kb.desk.bay.outcomes import counted
from kb.desk.bay.programming import programming
from kb.desk.calls import call_list, morning_calls, what_was_heard
from kb.desk.calls.what_was_heard import FollowUpOnFile
from kb.desk.context import RunningShop
from kb.errors import BadInput, Conflict, NotFound
from kb.nouns.concerns import (
    Duplicated,
    Ending,
    FollowUpDraft,
    FollowUpResult,
    ModuleResult,
    ProgrammingEventDraft,
    ReflashResult,
    RoadTest,
)
from kb.nouns.outcomes import Standing
from tests.conftest import StandingClock
from tests.factories import a_concern, a_vehicle
from tests.kb.desk.calls.closing_the_loop import VIN, done, reasons, standing
from tests.kb.desk.imports.importing import LEAD, TECH, history, take

__all__ = ["done"]
BACK, CAUSE, FINE = FollowUpResult.CAME_BACK, FollowUpResult.OTHER_CAUSE, FollowUpResult.FINE


@pytest.mark.parametrize(("result", "stands"), [(BACK, Standing.COMEBACK), (CAUSE, Standing.OTHER_CAUSE)])
def test_a_bad_answer_after_the_window_is_no_cure_while_nobody_knows_since_when(
    done: RunningShop, clock: StandingClock, result: FollowUpResult, stands: Standing
) -> None:
    clock.move(days=30)
    with done.writing(TECH) as desk:
        what_was_heard.record_follow_up(desk, 1, FollowUpDraft(FINE, desk.today))
    clock.move(days=100)
    with done.writing(TECH) as desk:
        said = FollowUpDraft(result, desk.today, day_known=False)
        heard = what_was_heard.record_follow_up(desk, 1, said)
        assert what_was_heard.read_follow_up(desk, heard) == FollowUpOnFile(1, said, desk.today)
    assert standing(done) == [(stands, 30)]
    with done.writing(TECH) as desk:
        what_was_heard.correct_follow_up(desk, heard, 1, FollowUpDraft(result, desk.today - timedelta(80)))
        assert what_was_heard.how_it_counts(desk, 1, desk.today) == "failed"
    assert standing(done) == [(stands, 50)]
    with done.writing(TECH) as desk:
        with pytest.raises(Conflict, match="meanwhile"):
            what_was_heard.correct_follow_up(desk, heard, 1, FollowUpDraft(result, desk.today))
        what_was_heard.correct_follow_up(desk, heard, 2, FollowUpDraft(result, desk.today - timedelta(10)))
        assert what_was_heard.how_it_counts(desk, 1, desk.today) == "after"
    assert standing(done) == [(Standing.FOLLOWED_TO_WINDOW, 90)]


def test_a_vehicle_with_a_new_complaint_is_neither_comeback_nor_cure(
    done: RunningShop, clock: StandingClock
) -> None:
    clock.move(days=100)
    with done.writing(TECH) as desk:
        what_was_heard.record_follow_up(desk, 1, FollowUpDraft(FollowUpResult.NEW_COMPLAINT, desk.today))
    assert standing(done) == [(Standing.OVERDUE, 0)]
    assert reasons(done) == [(1, "window")]


def test_closing_with_another_cause_long_after_the_window_is_no_cure(
    done: RunningShop, clock: StandingClock
) -> None:
    clock.move(days=120)
    with done.writing(TECH) as desk:
        closing.close_concern(desk, 1, Ending.OTHER_CAUSE, other_cause="cracked hose")
    assert standing(done) == [(Standing.OTHER_CAUSE, 0)]


def test_what_is_taken_back_was_never_said_and_promises_the_call_again(
    done: RunningShop, clock: StandingClock
) -> None:
    with done.writing(TECH) as desk:
        call_list.promise_call(desk, 1, desk.today + timedelta(days=30))
    clock.move(days=30)
    before = standing(done)
    with done.writing(TECH) as desk:
        heard = what_was_heard.record_follow_up(desk, 1, FollowUpDraft(BACK, desk.today))
    assert reasons(done) == []
    with done.writing(TECH) as desk:
        assert what_was_heard.take_back(desk, heard) == 1
    assert (standing(done), reasons(done)) == (before, [(1, "promise")])
    with done.writing(TECH) as desk, pytest.raises(NotFound, match="took it back"):
        what_was_heard.take_back(desk, heard)


def test_a_call_put_right_to_no_answer_is_promised_again(done: RunningShop, clock: StandingClock) -> None:
    with done.writing(TECH) as desk:
        call_list.promise_call(desk, 1, desk.today)
        heard = what_was_heard.record_follow_up(desk, 1, FollowUpDraft(BACK, desk.today))
    before = standing(done)
    with done.reading(TECH) as desk:
        assert morning_calls.calls_this_morning(desk).due == 0
    with done.writing(TECH) as desk:
        what_was_heard.correct_follow_up(desk, heard, 1, FollowUpDraft(FollowUpResult.NO_ANSWER, desk.today))
    assert reasons(done) == [(1, "promise")]
    assert standing(done) != before
    with done.reading(TECH) as desk:
        assert morning_calls.calls_this_morning(desk).due == 1


def test_a_call_settled_twice_is_not_promised_again_by_taking_one_answer_back(done: RunningShop) -> None:
    with done.writing(TECH) as desk:
        call_list.promise_call(desk, 1, desk.today)
        first, second = (
            what_was_heard.record_follow_up(desk, 1, FollowUpDraft(FINE, desk.today)) for _ in range(2)
        )
        what_was_heard.take_back(desk, first)
        assert call_list.due(desk) == ()
        what_was_heard.take_back(desk, second)
        assert [one.why for one in call_list.due(desk)] == ["promise"]


def test_what_counts_is_asked_of_the_last_reflash_before_it(done: RunningShop, clock: StandingClock) -> None:
    """The first failed at road test; the second held to its window and came back after it."""
    with done.writing(TECH) as desk:
        programming.record_road_test(desk, 1, RoadTest.STILL_THERE, Duplicated.YES)
    clock.move(days=2)
    with done.writing(TECH) as desk:
        module = ModuleResult("PCM", ReflashResult.COMPLETED, 1, concern_ids=(1,))
        event = ProgrammingEventDraft((module,), desk.today, road_test=RoadTest.GONE)
        programming.record_event(desk, event)
    clock.move(days=120)
    with done.writing(TECH) as desk:
        what_was_heard.record_follow_up(desk, 1, FollowUpDraft(BACK, desk.today))
        assert what_was_heard.how_it_counts(desk, 1, desk.today) == "after"
        assert what_was_heard.how_it_counts(desk, 1, desk.today - timedelta(121)) == "failed"


def test_what_an_import_said_is_put_right_in_its_file(shop: RunningShop) -> None:
    take(shop, "history", history({"returned_on": "2026-04-01"}))
    with shop.writing(LEAD) as desk:
        for change in (
            lambda: what_was_heard.take_back(desk, 1),
            lambda: what_was_heard.correct_follow_up(desk, 1, 1, FollowUpDraft(FINE, desk.today)),
        ):
            with pytest.raises(Conflict, match="file"):
                change()
        assert counted.count(desk, desk.today).counts.standing.tolist() == [Standing.COMEBACK]


def test_only_a_failure_can_be_of_a_day_that_nobody_knows(done: RunningShop) -> None:
    with done.writing(TECH) as desk, pytest.raises(BadInput) as refused:
        what_was_heard.record_follow_up(desk, 1, FollowUpDraft(FINE, desk.today, day_known=False))
    assert "day_known" in refused.value.fields


def test_a_reading_is_held_against_those_of_other_days(done: RunningShop, clock: StandingClock) -> None:
    clock.move(days=20)
    with done.writing(TECH) as desk:
        what_was_heard.record_follow_up(desk, 1, FollowUpDraft(FINE, desk.today, odometer=90_000))
    clock.move(days=20)
    with done.writing(TECH) as desk:
        for miles in (89_999, 90_000 + 21 * 2_000 + 1):
            with pytest.raises(BadInput) as refused:
                what_was_heard.record_follow_up(desk, 1, FollowUpDraft(FINE, desk.today, odometer=miles))
            assert "90,000" in refused.value.fields["odometer"]
        what_was_heard.record_follow_up(desk, 1, FollowUpDraft(FINE, desk.today, odometer=90_700))


readings = st.builds(
    Reading,
    st.dates(min_value=date(2026, 1, 1), max_value=date(2026, 3, 1)),
    st.integers(0, 60_000),
    st.booleans(),
)


@given(readings, st.lists(readings, max_size=4))
def test_a_reading_fits_when_every_pair_of_days_can_be_driven_forward(
    new: Reading, others: list[Reading]
) -> None:
    def can_be(one: Reading) -> bool:
        days = abs((new.on - one.on).days)
        if days == 0 and one.heard:
            return abs(new.miles - one.miles) <= 2_000
        forward = new.miles - one.miles if new.on >= one.on else one.miles - new.miles
        return 0 <= forward <= 2_000 * (days + 1)

    assert (unfitting(new, others) == "") == all(can_be(one) for one in others)


def test_a_reading_put_right_on_the_order_fits_the_follow_ups_and_says_what_counts_otherwise(
    done: RunningShop, clock: StandingClock
) -> None:
    def put(odometer: int | None) -> tuple[str, ...]:
        with done.writing(TECH) as desk:
            version = read_concern(desk, 1).version
            vehicle = a_vehicle(year=2005, vin=VIN)
            return concerns.change_concern(
                desk, 1, version, a_concern(vehicle=vehicle, odometer=odometer)
            ).warnings

    put(50_000)
    clock.move(days=40)
    with done.writing(TECH) as desk:
        what_was_heard.record_follow_up(desk, 1, FollowUpDraft(BACK, desk.today, odometer=52_500))
    assert standing(done) == [(Standing.COMEBACK, 40)]
    assert "counts as none" in " ".join(put(49_000))
    assert standing(done) == [(Standing.FOLLOWED_TO_WINDOW, 90)]
    assert "counts now" in " ".join(put(50_000))
    with pytest.raises(BadInput, match="52,500"):
        put(52_501)
    assert standing(done) == [(Standing.COMEBACK, 40)]
    put(49_000)
    assert "counts now" in " ".join(put(None))
    with done.reading(TECH) as desk:
        assert read_concern(desk, 1).odometer is None

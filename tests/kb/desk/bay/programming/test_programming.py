"""Programming events, road tests and follow-ups, and the dates that reports count from."""

from __future__ import annotations

from datetime import date, timedelta

import pytest

from kb.desk.bay.concern import closing, concerns
from kb.desk.bay.concern.as_it_stands import how_it_stands
from kb.desk.bay.concern.concern_file import read_concern
from kb.desk.bay.outcomes import observed
from kb.desk.bay.programming import programming
from kb.desk.calls import call_list, what_was_heard
from kb.desk.context import Clock, Desk, RunningShop
from kb.desk.notes import notes
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
from kb.nouns.outcomes import Standing
from tests.factories import a_concern, a_note, actor_of, an_update

DAY = date(2026, 7, 1)  # the tests' clock stands at Oct 31, 2026


def opened_with_update(desk: Desk) -> tuple[int, int]:
    note = notes.write_note(desk, an_update())
    opened = concerns.open_concern(desk, a_concern(opened_on=DAY - timedelta(days=1)))
    return opened.id, note.id


def event(concern: int, update: int | None, result: ReflashResult, day: date = DAY) -> ProgrammingEventDraft:
    module = ModuleResult("pcm", result, update, "NV10A", "NV10B", concern_ids=(concern,))
    return ProgrammingEventDraft((module,), day, road_test=RoadTest.GONE)


def standing(desk: Desk, concern: int) -> list[Standing]:
    return [one.standing for one in observed.gather(desk, desk.today)[concern]]


@pytest.mark.parametrize("result", list(ReflashResult))
def test_only_what_was_installed_is_counted(shop: RunningShop, result: ReflashResult) -> None:
    with shop.writing(actor_of(shop, "lead")) as desk:
        concern, update = opened_with_update(desk)
        programming.record_event(desk, event(concern, update, result))
        counted = concern in observed.gather(desk, desk.today)
        shown = read_concern(desk, concern).reflashes
    assert counted is (result in {ReflashResult.COMPLETED, ReflashResult.RECOVERED})
    assert [one.result for one in shown] == [result]


def test_nothing_newer_offered_is_a_look_up_by_vin(shop: RunningShop) -> None:
    with shop.writing(actor_of(shop, "lead")) as desk:
        concern, update = opened_with_update(desk)
        today = event(concern, update, ReflashResult.NOTHING_NEWER, desk.today)
        programming.record_event(desk, today)
        programming.record_event(desk, event(concern, update, ReflashResult.COMPLETED, desk.today))
        reading = how_it_stands(desk, concern).calibrations[0]
    assert (reading.looked_up_on, reading.stale) == (date(2026, 10, 31), False)


def test_follow_ups_may_come_in_any_order_and_the_first_comeback_counts(shop: RunningShop) -> None:
    days = (30, 10, 20)
    with shop.writing(actor_of(shop, "lead")) as desk:
        concern, update = opened_with_update(desk)
        programming.record_event(desk, event(concern, update, ReflashResult.COMPLETED))
        for after in days:
            seen = FollowUpDraft(FollowUpResult.CAME_BACK, DAY + timedelta(days=after))
            what_was_heard.record_follow_up(desk, concern, seen)
        one = observed.gather(desk, desk.today)[concern][0]
    assert (one.standing, one.day) == (Standing.COMEBACK, 10)


def test_silence_after_the_window_is_due_and_asking_settles_it(shop: RunningShop) -> None:
    with shop.writing(actor_of(shop, "lead")) as desk:
        concern, update = opened_with_update(desk)
        programming.record_event(desk, event(concern, update, ReflashResult.COMPLETED))
        assert standing(desk, concern) == [Standing.OVERDUE]
        assert [one.concern_id for one in call_list.due(desk)] == [concern]
        what_was_heard.record_follow_up(
            desk, concern, FollowUpDraft(FollowUpResult.FINE, DAY + timedelta(days=90))
        )
        assert standing(desk, concern) == [Standing.FOLLOWED_TO_WINDOW]
        assert call_list.due(desk) == ()


@pytest.mark.parametrize("result", [FollowUpResult.CAME_BACK, FollowUpResult.OTHER_CAUSE])
def test_a_failure_reopens_what_was_closed_as_cured(shop: RunningShop, result: FollowUpResult) -> None:
    with shop.writing(actor_of(shop, "lead")) as desk:
        concern, update = opened_with_update(desk)
        programming.record_event(desk, event(concern, update, ReflashResult.COMPLETED))
        closing.close_concern(desk, concern, Ending.CURED_BY_REFLASH)
        what_was_heard.record_follow_up(desk, concern, FollowUpDraft(result, DAY + timedelta(5)))
        assert read_concern(desk, concern).state == "open"


def test_the_comeback_of_the_first_update_is_not_held_against_the_second(shop: RunningShop) -> None:
    """The vehicle comes back and is reflashed again on the same day with another update."""
    back = DAY + timedelta(days=12)
    with shop.writing(actor_of(shop, "lead")) as desk:
        concern, first = opened_with_update(desk)
        programming.record_event(desk, event(concern, first, ReflashResult.COMPLETED))
        what_was_heard.record_follow_up(desk, concern, FollowUpDraft(FollowUpResult.CAME_BACK, back))
    shop.clock = later(shop)
    with shop.writing(actor_of(shop, "lead")) as desk:
        programming.record_event(desk, event(concern, None, ReflashResult.COMPLETED, back))
        assert standing(desk, concern) == [Standing.COMEBACK, Standing.OVERDUE]


def later(shop: RunningShop) -> Clock:
    now = shop.clock() + timedelta(minutes=1)
    return lambda: now


@pytest.mark.parametrize(
    ("seen_on", "word"), [(DAY - timedelta(days=2), "before"), (date(2027, 1, 1), "future")]
)
def test_a_day_that_cannot_be_is_refused_in_a_sentence(shop: RunningShop, seen_on: date, word: str) -> None:
    with shop.writing(actor_of(shop, "lead")) as desk:
        concern, update = opened_with_update(desk)
        programming.record_event(desk, event(concern, update, ReflashResult.COMPLETED))
        with pytest.raises(BadInput, match=word):
            what_was_heard.record_follow_up(desk, concern, FollowUpDraft(FollowUpResult.FINE, seen_on))


def test_an_event_needs_a_concern_and_no_day_to_come(shop: RunningShop) -> None:
    with shop.writing(actor_of(shop, "lead")) as desk:
        concern, update = opened_with_update(desk)
        nobody = ProgrammingEventDraft((ModuleResult("PCM", ReflashResult.COMPLETED, update),), DAY)
        with pytest.raises(BadInput):
            programming.record_event(desk, nobody)
        with pytest.raises(BadInput, match="future"):
            programming.record_event(
                desk, event(concern, update, ReflashResult.COMPLETED, desk.today + timedelta(1))
            )


def test_a_note_that_is_not_on_file_cannot_explain_a_concern(shop: RunningShop) -> None:
    with shop.writing(actor_of(shop, "lead")) as desk:
        concern, _update = opened_with_update(desk)
        with pytest.raises(BadInput, match="no note 9999"):
            closing.close_concern(
                desk, concern, Ending.OTHER_CAUSE, other_cause="split hose", explained_by=9999
            )
        assert read_concern(desk, concern).state == "open"


def test_the_note_that_explained_a_concern_is_part_of_its_answer(shop: RunningShop) -> None:
    with shop.writing(actor_of(shop, "lead")) as desk:
        concern, update = opened_with_update(desk)
        lesson = notes.write_note(desk, a_note()).id

        def close(note: int | None) -> int | None:
            closing.close_concern(
                desk, concern, Ending.OTHER_CAUSE, other_cause="split hose", explained_by=note
            )
            return concerns.on_file(desk, concern).concern.explained_by_note_id

        assert [close(note) for note in (lesson, lesson, None)] == [lesson] * 3
        with pytest.raises(Conflict, match="Open it again"):
            close(update)
        closing.reopen_concern(desk, concern)
        assert close(None) is None

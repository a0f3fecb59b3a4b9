"""A reflashed vehicle is here again: what is asked first, and what each answer makes of its outcome."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from kb.desk.bay.advice import learning
from kb.desk.bay.concern import concerns, facts
from kb.desk.bay.concern.as_it_stands import how_it_stands
from kb.desk.calls import answers_here, call_list, here_again, what_was_heard
from kb.desk.calls.here_again import AskedFirst
from kb.desk.context import RunningShop
from kb.errors import Conflict, NotFound
from kb.nouns.concerns import FollowUpDraft, FollowUpResult, HowHeard, SaidHere
from kb.nouns.outcomes import Standing
from kb.nouns.vehicles import CalibrationReading, CalibrationSource
from tests.conftest import StandingClock
from tests.factories import a_concern, a_vehicle
from tests.kb.desk.calls.closing_the_loop import VIN, done, reasons, standing
from tests.kb.desk.imports.importing import LEAD, TECH

__all__ = ["done"]
pytestmark = pytest.mark.both_databases
Here = Callable[..., int]


@pytest.fixture
def here(done: RunningShop, clock: StandingClock) -> Here:
    """Opens another repair order of the vehicle, 40 days after its reflash."""
    clock.move(days=40)

    def again(complaint: str = "squeaks over bumps, front", number: str = "9", **said: object) -> int:
        draft = a_concern(
            ro_number=number, complaint=complaint, vehicle=a_vehicle(year=2005, vin=VIN), **said
        )
        with done.writing(TECH) as desk:
            return concerns.open_concern(desk, draft).id

    return again


def asked(shop: RunningShop, concern: int) -> tuple[AskedFirst, ...]:
    with shop.reading(TECH) as desk:
        return here_again.asked_first(desk, concern)


def say(shop: RunningShop, concern: int, said: SaidHere) -> int:
    with shop.writing(TECH) as desk:
        return answers_here.answer_here(desk, concern, 1, said)


@pytest.mark.parametrize(
    ("said", "stands"),
    [
        (SaidHere.STILL_FIXED, (Standing.IN_WINDOW, 40)),
        (SaidHere.CAME_BACK, (Standing.COMEBACK, 0)),
        (SaidHere.NOT_ASKED, (Standing.IN_WINDOW, 0)),
        (SaidHere.OLD_ONE, (Standing.COMEBACK, 40)),
        (SaidHere.SOMETHING_NEW, (Standing.IN_WINDOW, 0)),
        (SaidHere.NOT_SURE, (Standing.IN_WINDOW, 0)),
    ],
)
def test_one_tap_counts_as_what_it_says(
    done: RunningShop, here: Here, said: SaidHere, stands: tuple[Standing, int]
) -> None:
    visit = here()
    question = asked(done, visit)[0]
    assert (question.concern_id, question.days, question.alike, question.said) == (1, 40, (), None)
    say(done, visit, said)
    assert standing(done) == [stands]


def test_being_here_for_something_else_is_no_cure_at_any_age_and_weaker_than_having_been_asked(
    done: RunningShop, here: Here, clock: StandingClock
) -> None:
    """On the window's last day "still fixed" makes a cure; having been here does not."""
    clock.move(days=50)
    say(done, here(), SaidHere.NOT_ASKED)
    assert standing(done) == [(Standing.OVERDUE, 0)]
    assert reasons(done) == [(1, "window")]
    with done.reading(TECH) as desk:
        due = call_list.due(desk)[0]
        assert (due.in_shop_on, due.last_seen_on, due.tried_on) == (desk.today, None, None)
        assert all(one.cured_by is None for one in learning.past_concerns(desk))
    say(done, here(number="10"), SaidHere.STILL_FIXED)
    assert standing(done) == [(Standing.FOLLOWED_TO_WINDOW, 90)]


def test_a_promised_call_stands_when_nobody_asked_and_goes_with_an_answer(
    done: RunningShop, here: Here
) -> None:
    visit = here()
    with done.writing(TECH) as desk:
        call_list.promise_call(desk, 1, desk.today)
    say(done, visit, SaidHere.NOT_ASKED)
    assert reasons(done) == [(1, "promise")]
    say(done, here(number="10"), SaidHere.STILL_FIXED)
    assert reasons(done) == []


def test_a_complaint_about_the_same_thing_proposes_itself_and_never_for_the_vehicle_alone(
    done: RunningShop, here: Here
) -> None:
    assert asked(done, here("oil leak at the front cover"))[0].alike == ()
    proposed = asked(done, here("bucking again goin uphill", "10"))[0]
    assert proposed.alike == ("bucking",)
    assert proposed.modules == (("PCM", ""),)


def test_the_old_one_is_linked_counted_unasked_and_lets_the_new_concern_know_what_is_in_the_vehicle(
    done: RunningShop, here: Here
) -> None:
    with done.writing(TECH) as desk:
        facts.put_calibration(desk, 1, CalibrationReading("PCM", "NV10B", CalibrationSource.READ))
    visit = here("bucks again")
    heard = say(done, visit, SaidHere.OLD_ONE)
    assert say(done, visit, SaidHere.OLD_ONE) == heard
    with done.reading(TECH) as desk:
        told = what_was_heard.read_follow_up(desk, heard)
        assert (told.concern_id, told.at_visit, told.draft.heard) == (1, visit, HowHeard.UNASKED)
        assert told.draft.day_known
        view = how_it_stands(desk, visit)
        assert [(one.reading.module, one.reading.calibration_id) for one in view.calibrations] == [
            ("PCM", "NV10B")
        ]
    answer = asked(done, visit)[0]
    assert (answer.said, answer.follow_up_id) == (FollowUpResult.CAME_BACK, heard)


def test_not_sure_asks_on_and_the_next_answer_puts_it_right(done: RunningShop, here: Here) -> None:
    visit = here("bucks again")
    first = say(done, visit, SaidHere.NOT_SURE)
    assert asked(done, visit)[0].unsure
    assert say(done, visit, SaidHere.OLD_ONE) == first
    assert standing(done) == [(Standing.COMEBACK, 40)]


def test_something_new_then_asks_of_the_old_one(done: RunningShop, here: Here) -> None:
    visit = here("bucks again")
    say(done, visit, SaidHere.SOMETHING_NEW)
    question = asked(done, visit)[0]
    assert (question.alike, question.said) == ((), None)
    say(done, visit, SaidHere.STILL_FIXED)
    assert standing(done) == [(Standing.IN_WINDOW, 40)]
    assert asked(done, visit)[0].said is FollowUpResult.FINE


def test_another_answer_of_a_page_that_is_old_is_refused_and_taking_back_asks_again(
    done: RunningShop, here: Here
) -> None:
    visit = here()
    heard = say(done, visit, SaidHere.STILL_FIXED)
    with pytest.raises(Conflict, match="another answer"):
        say(done, visit, SaidHere.CAME_BACK)
    with done.writing(TECH) as desk:
        what_was_heard.take_back(desk, heard)
    assert standing(done) == [(Standing.IN_WINDOW, 0)]
    assert asked(done, visit)[0].said is None


def test_one_question_a_visit_whichever_line_or_call_answers_it(done: RunningShop, here: Here) -> None:
    first, second = here(), here("A/C blows warm")
    say(done, first, SaidHere.STILL_FIXED)
    assert asked(done, second) == ()
    assert asked(done, here("bucks again"))[0].alike == ("bucks",)


def test_what_was_answered_by_a_call_that_day_is_not_asked_again(done: RunningShop, here: Here) -> None:
    visit = here()
    with done.writing(TECH) as desk:
        what_was_heard.record_follow_up(desk, 1, FollowUpDraft(FollowUpResult.FINE, desk.today))
    assert asked(done, visit) == ()


def test_nothing_is_asked_of_another_line_of_the_same_order_nor_of_an_answered_outcome(
    done: RunningShop, here: Here, clock: StandingClock
) -> None:
    clock.move(days=-40)
    line = here(number="1")
    assert asked(done, line) == ()
    with pytest.raises(NotFound, match="nothing to ask"):
        say(done, line, SaidHere.STILL_FIXED)
    clock.move(days=95)
    say(done, here(), SaidHere.STILL_FIXED)
    assert asked(done, here(number="11")) == ()


def test_an_odometer_of_the_new_order_that_cannot_be_stops_no_answer(done: RunningShop, here: Here) -> None:
    with done.writing(LEAD) as desk:
        draft = FollowUpDraft(FollowUpResult.NO_ANSWER, desk.today, odometer=90_000)
        what_was_heard.record_follow_up(desk, 1, draft)
    fits, slip = here(odometer=90_010), here(number="12", odometer=9_001)
    heard = {one: say(done, one, SaidHere.STILL_FIXED) for one in (fits, slip)}
    with done.reading(TECH) as desk:
        read = [what_was_heard.read_follow_up(desk, heard[one]).draft.odometer for one in (fits, slip)]
    assert read == [90_010, None]

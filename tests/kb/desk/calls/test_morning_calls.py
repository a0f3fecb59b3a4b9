"""The calls of a morning, remembered: the same as put together anew, whatever happened in between."""

from __future__ import annotations

from kb.desk.bay.concern import closing, concerns
from kb.desk.calls import call_list, morning_calls
from kb.desk.calls.morning_calls import Morning
from kb.desk.context import Desk, RunningShop
from kb.nouns.concerns import ConcernDraft, Ending
from tests.conftest import StandingClock
from tests.factories import a_concern, a_vehicle
from tests.kb.desk.calls.closing_the_loop import VIN, done, reflash
from tests.kb.desk.imports.importing import TECH
from tests.statements import statements_of

__all__ = ["done"]
PHONE = "555-0123"
OTHER_VIN = "1M8GDM9AXKP042788"


def board(shop: RunningShop) -> Morning:
    with shop.reading(TECH) as desk:
        return morning_calls.calls_this_morning(desk)


def same_as_anew(shop: RunningShop) -> tuple[int, list[str]]:
    """How many are to be asked and the phones of the calls, which are the same once all is forgotten."""
    remembered = board(shop)
    shop.memory.forget()
    assert board(shop) == remembered
    return remembered.due, [one.phone for one in remembered.calls]


def changed(desk: Desk, concern: int, draft: ConcernDraft) -> None:
    concerns.change_concern(desk, concern, concerns.read_concern(desk, concern).version, draft)


def test_what_is_remembered_of_the_morning_is_what_would_be_read(
    done: RunningShop, clock: StandingClock
) -> None:
    with done.writing(TECH) as desk:
        vehicle = a_vehicle(year=2005, vin=VIN)
        changed(desk, 1, a_concern(ro_number="1", vehicle=vehicle, phone=PHONE))
    clock.move(days=89)
    assert same_as_anew(done) == (0, [])
    with done.writing(TECH) as desk:
        here = concerns.open_concern(desk, a_concern(ro_number="2", vehicle=a_vehicle(year=2005, vin=VIN))).id
    assert same_as_anew(done) == (1, [])  # who is here is asked here
    with done.writing(TECH) as desk:
        changed(desk, here, a_concern(ro_number="2", vehicle=a_vehicle(vin=OTHER_VIN)))
    assert same_as_anew(done) == (0, [])
    with done.writing(TECH) as desk:
        changed(desk, here, a_concern(ro_number="2", vehicle=a_vehicle(year=2005, vin=VIN)))
    assert same_as_anew(done) == (1, [])
    with done.writing(TECH) as desk:
        closing.close_concern(desk, here, Ending.NOT_RESOLVED)
    assert same_as_anew(done) == (0, [])
    clock.move(days=1)
    assert same_as_anew(done) == (1, [PHONE])
    with done.writing(TECH) as desk:
        concerns.forget_phone(desk, 1)
    assert same_as_anew(done) == (1, [""])


def test_a_vehicle_that_was_never_reflashed_here_has_no_call_read_again(
    done: RunningShop, clock: StandingClock
) -> None:
    clock.move(days=90)
    before = board(done)
    with done.writing(TECH) as desk:
        concerns.open_concern(desk, a_concern(ro_number="2", vehicle=a_vehicle(vin=OTHER_VIN)))
    with statements_of(done.records.engine) as asked:
        assert board(done) == before
    assert not [one for one in asked if "outcome.ask_on" in one]


def test_a_promised_call_is_kept_however_many_there_are(done: RunningShop, clock: StandingClock) -> None:
    promised = [1]
    for number in ("2", "3", "4"):
        clock.move(days=1)
        with done.writing(TECH) as desk:
            promised.append(reflash(desk, number))
    with done.writing(TECH) as desk:
        for concern in promised:
            call_list.promise_call(desk, concern, desk.today)
    assert {one.concern_id for one in board(done).calls} == set(promised)

"""An update that is in the module already is not advised again: the sentence says since when, and what to do.

The cases were found in a trial at the counter; which of them may be offered again follows from what
shop_floor.md and the design say of a module's chain. Makes, numbers and IDs are invented.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import pytest

from kb.desk.bay.advice import advice
from kb.desk.bay.concern import concerns, facts
from kb.desk.bay.programming import prep, programmed, programming, sittings
from kb.desk.calls import what_was_heard
from kb.desk.context import Desk, RunningShop
from kb.desk.notes import notes
from kb.nouns.advice import Advice, Verdict
from kb.nouns.concerns import (
    FollowUpDraft,
    FollowUpResult,
    ModuleResult,
    ProgrammingEventDraft,
    ReflashResult,
    RoadTest,
)
from kb.nouns.vehicles import CalibrationReading, CalibrationSource, CalibrationStep
from tests.conftest import StandingClock
from tests.factories import a_concern, a_vehicle, actor_of, an_update
from tests.kb.desk.bay.replayed import kept_and_again

VIN = "1M8GDM9AXKP042788"  # the published example of the check digit, 49 CFR 565.15
FIRST, BACK = date(2026, 8, 1), date(2026, 9, 12)  # the tests' clock stands at Oct 31, 2026
U = 1


@pytest.fixture
def trial(shop: RunningShop, clock: StandingClock) -> RunningShop:
    """Note 1 is update NV-24-101; concern 1 of the vehicle was reflashed with it on Aug 1."""
    with shop.writing(actor_of(shop, "lead")) as desk:
        notes.write_note(desk, an_update())
    with shop.writing(actor_of(shop, "tech")) as desk:
        install(desk, opened(desk, "2087", FIRST), FIRST)
    clock.move(minutes=10)
    return shop


def opened(desk: Desk, ro_number: str, on: date, **said: object) -> int:
    draft = a_concern(ro_number=ro_number, vehicle=a_vehicle(vin=VIN), opened_on=on, **said)
    return concerns.open_concern(desk, draft).id


def event(
    concern: int,
    on: date,
    result: ReflashResult = ReflashResult.COMPLETED,
    after: str = "",
    module: str = "PCM",
    update: int | None = U,
) -> ProgrammingEventDraft:
    done = ModuleResult(
        module,
        result,
        update,
        calibration_after=after,
        concern_ids=(concern,),
        calibration_source=CalibrationSource.READ,
        calibration_confirmed=True,
    )
    return ProgrammingEventDraft((done,), on, road_test=RoadTest.GONE)


def install(desk: Desk, concern: int, on: date, **said: object) -> int:
    return programming.record_event(desk, event(concern, on, **said))  # type: ignore[arg-type]  # passed on


def back_again(shop: RunningShop, **said: object) -> int:
    with shop.writing(actor_of(shop, "tech")) as desk:
        return opened(desk, "2140", BACK, **said)


def advised(shop: RunningShop, concern: int) -> Advice:
    with shop.reading(actor_of(shop, "tech")) as desk:
        return advice.give_advice(desk, concern)


def read(shop: RunningShop, concern: int, calibration_id: str) -> None:
    with shop.writing(actor_of(shop, "tech")) as desk:
        facts.put_calibration(
            desk, concern, CalibrationReading("PCM", calibration_id, CalibrationSource.READ)
        )


def offers(said: Advice) -> list[int]:
    return [one.note for one in said.candidates]


def test_a_vehicle_back_with_the_like_concern_is_not_offered_the_update_that_went_in(
    trial: RunningShop,
) -> None:
    said = advised(trial, back_again(trial))
    assert (said.verdict, said.candidates) == (Verdict.KEEP_DIAGNOSING, ())
    assert said.sentence == ("Keep diagnosing: NV-24-101 went in already, and no other update on file fits.")
    assert (
        "NV-24-101 went into the PCM on Aug 1, 2026 (RO 2087-A) and is still in it by our records: it is no "
        "candidate again. If this is the same concern, record there that it came back. "
        "A look-up by VIN shows whether a newer one is out."
    ) in said.notices
    assert said.steps[0].do == "diagnose"


@pytest.mark.parametrize("after", ["NV10B", "NV10X"], ids=["the bulletin's", "a newer one, confirmed"])
def test_it_is_no_candidate_either_where_the_module_is_read_and_holds_what_went_in(
    shop: RunningShop, after: str
) -> None:
    with shop.writing(actor_of(shop, "lead")) as desk:
        notes.write_note(desk, an_update())
        install(desk, opened(desk, "2087", FIRST), FIRST, after=after)
    concern = back_again(shop)
    assert offers(advised(shop, concern)) == []
    read(shop, concern, after)
    assert offers(advised(shop, concern)) == []


def test_an_older_id_read_in_the_module_makes_it_a_candidate_again(trial: RunningShop) -> None:
    concern = back_again(trial)
    read(trial, concern, "NV10A")
    assert offers(advised(trial, concern)) == [U]


@pytest.mark.parametrize("olds", [("NV10A", "NV10B"), ("NV10A",)], ids=["in its chain", "not in its chain"])
@pytest.mark.parametrize("read_again", [True, False])
def test_a_bulletin_that_installs_another_id_since_is_a_candidate_again(
    shop: RunningShop, olds: tuple[str, ...], read_again: bool
) -> None:
    with shop.writing(actor_of(shop, "lead")) as desk:
        note = notes.write_note(desk, an_update())
        install(desk, opened(desk, "2087", FIRST), FIRST, after="NV10B")
        assert offers(advice.give_advice(desk, opened(desk, "2139", BACK))) == []
        newer = replace(note.content, steps=(CalibrationStep("PCM", olds, "NV10C"),))
        notes.change_note(desk, U, note.version, newer, "revised")
    concern = back_again(shop)
    if read_again:
        read(shop, concern, "NV10B")
    assert offers(advised(shop, concern)) == [U]


def test_a_later_calibration_or_an_update_by_air_since_is_asked_of_the_module_first(
    trial: RunningShop,
) -> None:
    with trial.writing(actor_of(trial, "tech")) as desk:
        by_air = FollowUpDraft(FollowUpResult.UPDATED_BY_AIR, FIRST + timedelta(days=9))
        heard = what_was_heard.record_follow_up(desk, 1, by_air)
    concern = back_again(trial)
    assert advised(trial, concern).steps[0].text == "Read the calibration ID of the PCM."
    with trial.writing(actor_of(trial, "tech")) as desk:
        what_was_heard.take_back(desk, heard)
        install(desk, 1, FIRST + timedelta(days=20), after="NV10Z", update=None)
    assert advised(trial, concern).steps[0].text == "Read the calibration ID of the PCM."


@pytest.mark.parametrize("result", [ReflashResult.STOPPED, ReflashResult.NOTHING_NEWER])
def test_what_did_not_go_in_takes_nothing_away(shop: RunningShop, result: ReflashResult) -> None:
    with shop.writing(actor_of(shop, "lead")) as desk:
        notes.write_note(desk, an_update())
        install(desk, opened(desk, "2087", FIRST), FIRST, result=result)
    assert offers(advised(shop, back_again(shop))) == [U]


def test_another_vehicle_and_another_module_take_nothing_away(trial: RunningShop) -> None:
    with trial.writing(actor_of(trial, "lead")) as desk:
        other = notes.write_note(
            desk, an_update(number="NV-24-7", steps=(CalibrationStep("TCM", ("T1",), "T2"),))
        ).id
        elsewhere = concerns.open_concern(desk, a_concern(ro_number="9")).id
    assert set(offers(advised(trial, elsewhere))) == {U, other}
    assert offers(advised(trial, back_again(trial))) == [other]


def test_a_module_called_otherwise_on_the_form_is_still_the_one_of_its_bulletin(shop: RunningShop) -> None:
    with shop.writing(actor_of(shop, "lead")) as desk:
        notes.write_note(desk, an_update())
        install(desk, opened(desk, "2087", FIRST), FIRST, module="ECM")
    assert offers(advised(shop, back_again(shop))) == []


def test_a_replaced_module_never_got_it(trial: RunningShop) -> None:
    concern = back_again(trial)
    with trial.writing(actor_of(trial, "tech")) as desk:
        facts.put_gate(desk, concern, "module_original", "fault")
    assert offers(advised(trial, concern)) == [U]


@pytest.mark.parametrize("how", ["road test", "comeback"])
def test_what_did_not_cure_the_concern_itself_is_not_tried_again_and_the_plan_goes_on(
    trial: RunningShop, how: str
) -> None:
    """Before anything was reflashed the other update stands behind the first; afterwards it leads."""
    with trial.writing(actor_of(trial, "lead")) as desk:
        other = notes.write_note(
            desk, an_update(number="NV-24-7", steps=(CalibrationStep("TCM", ("T1",), "T2"),))
        ).id
        if how == "road test":
            programming.record_road_test(desk, 1, RoadTest.STILL_THERE)
        else:
            what_was_heard.record_follow_up(desk, 1, FollowUpDraft(FollowUpResult.CAME_BACK, BACK))
    said = advised(trial, 1)
    assert offers(said) == [other]
    assert any("Aug 1, 2026 for this concern and did not cure it: not tried again" in n for n in said.notices)


def test_a_decision_frozen_before_is_worked_out_again_number_for_number(
    trial: RunningShop, clock: StandingClock
) -> None:
    with trial.writing(actor_of(trial, "tech")) as desk:
        concern = concerns.open_concern(desk, a_concern(ro_number="9")).id
        taken = advice.decide(desk, concern, "reflash", "customer insists")
        clock.move(hours=1)
        install(desk, concern, desk.today)
        after = advice.decide(desk, concern, "keep_diagnosing")
        assert offers(advice.give_advice(desk, concern)) == []
        for decision, offered in ((taken, [U]), (after, [])):
            frozen, again = kept_and_again(desk, decision)
            assert frozen == again
            assert offers(frozen) == offered


def test_what_went_in_for_another_line_of_this_visit_is_counted_for_this_one_not_installed_twice(
    shop: RunningShop, clock: StandingClock
) -> None:
    with shop.writing(actor_of(shop, "lead")) as desk:
        notes.write_note(desk, an_update())
        first, second = opened(desk, "2087", FIRST), opened(desk, "2087", FIRST, line="B")
        sitting = install(desk, first, FIRST)
    said = advised(shop, second)
    assert offers(said) == [U]
    assert any("for RO 2087-A, after this concern was opened: count that sitting" in n for n in said.notices)
    clock.move(minutes=5)
    with shop.writing(actor_of(shop, "tech")) as desk:
        sittings.join_sitting(desk, sitting, event(second, FIRST))
    assert offers(advised(shop, second)) == []


def test_the_preparation_of_what_was_programmed_stays_and_a_vehicle_back_is_prepared_for_nothing(
    trial: RunningShop,
) -> None:
    back = back_again(trial)
    with trial.reading(actor_of(trial, "tech")) as desk:
        own, none = prep.prep_list(desk, 1).update, prep.prep_list(desk, back).update
        assert (own.note_id if own else None, none) == (U, None)
        assert [one.note_id for one in programmed.programmed_before(desk, back)] == [U]

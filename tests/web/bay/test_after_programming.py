"""What the pages of a concern say and ask first once something was installed, and before.

What is true of an outcome on which day is as the design, section 6, has it.
"""

from __future__ import annotations

from datetime import timedelta

import pytest

from kb.desk.bay.concern import concerns, facts
from kb.desk.bay.concern.concern_file import read_concern
from kb.desk.bay.programming import programming
from kb.desk.calls import what_was_heard
from kb.desk.context import RunningShop
from kb.desk.notes import notes
from kb.nouns.concerns import (
    Duplicated,
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
from tests.web.browsing import Page, Visitor
from tests.web.conftest import SignIn

CONCERN = "/concerns/1"
CLOSE = f"{CONCERN}/close"


def programmed(
    shop: RunningShop, road_test: RoadTest, result: ReflashResult = ReflashResult.COMPLETED, concern: int = 1
) -> None:
    with shop.writing(actor_of(shop, "tech")) as desk:
        module = ModuleResult("PCM", result, 1, concern_ids=(concern,))
        event = ProgrammingEventDraft(
            (module,), desk.today, duplicated_before=Duplicated.YES, road_test=road_test
        )
        programming.record_event(desk, event)


def heard(shop: RunningShop, result: FollowUpResult, day_known: bool = True) -> None:
    with shop.writing(actor_of(shop, "tech")) as desk:
        what_was_heard.record_follow_up(desk, 1, FollowUpDraft(result, desk.today, day_known=day_known))


def close_as_cured(visitor: Visitor, expect: int = 200, **more: str) -> Page:
    return visitor.send(CLOSE, CLOSE, {"ending": "cured_by_reflash", **more}, expect=expect)


def in_sight(page: Page) -> str:
    """The text of the section that holds the next step, which nothing folds."""
    start = page.html.index('<section class="advice"')
    return page.html[start : page.html.index("</section>", start)]


def after_a_save(page: Page) -> str:
    return " ".join(page.text.split())


def test_right_after_programming_the_next_step_is_the_road_test_with_its_results_on_it(
    bay: RunningShop, signed_in: SignIn
) -> None:
    programmed(bay, RoadTest.NOT_DONE)
    tech = signed_in("tech")
    page = tech.see(CONCERN)
    assert "Road test not done yet." in page.text
    assert "Road test" in in_sight(page)
    assert "Keep diagnosing" not in in_sight(page)
    buttons = [one.get("value") for one in page.form(f"{CONCERN}/road-test").buttons]
    assert buttons == ["gone", "still_there", "cannot_say"]
    tech.send(CONCERN, f"{CONCERN}/road-test", {"road_test": "gone"})
    released = tech.see(CONCERN)
    assert "Before it leaves" in in_sight(released)
    assert f"{CONCERN}/release" in in_sight(released)
    with bay.reading(actor_of(bay, "tech")) as desk:
        (done,) = read_concern(desk, 1).reflashes
    assert (done.road_test, done.duplicated_before) == ("gone", "yes")


def test_still_there_at_the_road_test_the_advice_goes_on_in_sight(
    bay: RunningShop, signed_in: SignIn
) -> None:
    programmed(bay, RoadTest.STILL_THERE)
    page = signed_in("tech").see(CONCERN)
    assert "Keep diagnosing" in in_sight(page)
    assert "Road test: still there. The advice below goes on without it." in after_a_save(page)


@pytest.mark.parametrize(
    ("result", "day_known", "said"),
    [
        (FollowUpResult.CAME_BACK, True, "It came back on Nov 30."),
        (FollowUpResult.CAME_BACK, False, "It came back; heard of on Nov 30, nobody knows since when."),
        (FollowUpResult.OTHER_CAUSE, True, "Another cause was found on Nov 30."),
    ],
)
def test_a_comeback_is_said_with_its_day_and_the_advice_goes_on(
    bay: RunningShop,
    signed_in: SignIn,
    clock: StandingClock,
    result: FollowUpResult,
    day_known: bool,
    said: str,
) -> None:
    programmed(bay, RoadTest.GONE)
    clock.move(days=30)
    heard(bay, result, day_known)
    page = signed_in("tech").see(CONCERN)
    assert said in page.text
    assert "goes on only if it is back" not in page.text
    assert "Keep diagnosing" in in_sight(page)


def test_cured_before_the_road_test_is_asked_about_and_says_that_it_waits(
    bay: RunningShop, signed_in: SignIn
) -> None:
    programmed(bay, RoadTest.NOT_DONE)
    tech = signed_in("tech")
    asked = close_as_cured(tech, expect=422)
    assert "The road test is not written down yet. Drive it and write it down first" in asked.text
    assert f"{CONCERN}/road-test" in asked.links
    closed = close_as_cured(tech, sure="yes")
    waits = "It waits: it counts as cured once it is known to be OK at the end of its window, Jan 29, 2027."
    assert waits in after_a_save(closed)
    assert "counts from now on" not in closed.text


def test_a_cure_is_said_only_of_a_vehicle_that_was_ok_at_the_end_of_its_window(
    bay: RunningShop, signed_in: SignIn, clock: StandingClock
) -> None:
    programmed(bay, RoadTest.GONE)
    clock.move(days=90)
    heard(bay, FollowUpResult.FINE)
    closed = close_as_cured(signed_in("tech"))
    assert "It counts as cured: it was OK at the end of its window." in closed.text


def test_a_comeback_after_its_window_takes_no_cure_away(
    bay: RunningShop, signed_in: SignIn, clock: StandingClock
) -> None:
    """A comeback is the same concern on a day within the window (design, section 2)."""
    programmed(bay, RoadTest.GONE)
    clock.move(days=91)
    heard(bay, FollowUpResult.CAME_BACK)
    closed = close_as_cured(signed_in("tech"))
    assert "It was back only after its window, so the reflash stays counted as cured." in closed.text


def test_a_reflash_that_failed_is_closed_as_cured_only_by_somebody_who_is_sure_and_counts_as_it_did(
    bay: RunningShop, signed_in: SignIn
) -> None:
    programmed(bay, RoadTest.STILL_THERE)
    tech = signed_in("tech")
    asked = close_as_cured(tech, expect=422)
    assert "That reflash counts as not cured, whatever the ending." in asked.text
    closed = close_as_cured(tech, sure="yes")
    assert "The reflash stays counted as not cured." in closed.text


@pytest.mark.parametrize("result", [None, ReflashResult.NOTHING_NEWER])
def test_before_anything_was_programmed_nothing_is_settled_for_release_or_followed_up(
    bay: RunningShop, signed_in: SignIn, result: ReflashResult | None
) -> None:
    if result:
        programmed(bay, RoadTest.NOT_DONE, result)
    tech = signed_in("tech")
    page = tech.see(f"{CONCERN}/release")
    assert "nothing to settle before release yet" in page.text
    assert "on the follow-up list" not in page.text
    assert f"{CONCERN}/release" not in [form.action for form in page.forms]
    assert f"{CONCERN}/follow-up" not in tech.see(CONCERN).links


def test_what_stopped_is_settled_for_release_but_stands_on_no_follow_up_list(
    bay: RunningShop, signed_in: SignIn
) -> None:
    programmed(bay, RoadTest.NOT_DONE, ReflashResult.STOPPED)
    page = signed_in("tech").see(f"{CONCERN}/release")
    assert f"{CONCERN}/release" in [form.action for form in page.forms]
    assert "the vehicle is on no follow-up list" in page.text


def test_a_mistyped_make_is_asked_about_when_saved_and_beside_the_advice(
    bay: RunningShop, signed_in: SignIn
) -> None:
    tech = signed_in("tech")
    typed = {"ro_number": "50", "complaint": "stalls when warm", "make": "Norvan", "model": "Tessel"}
    hint = "Norvan is no make on file here; did you mean Norvane?"
    opened = tech.send("/concerns/new", "/concerns/new", typed)
    assert hint in opened.text
    beside = "No update on file is of make Norvan; did you mean Norvane?"
    assert beside in tech.see("/concerns/2").text
    assert hint in tech.send("/concerns/2/edit", "/concerns/2/edit", {"engine": "2.0 L"}).text
    righted = tech.send("/concerns/2/edit", "/concerns/2/edit", {"make": "Norvane"})
    assert "did you mean" not in righted.text
    assert beside not in tech.see("/concerns/2").text


def test_a_comma_in_a_calibration_that_is_not_on_file_is_asked_about(
    bay: RunningShop, signed_in: SignIn
) -> None:
    with bay.writing(actor_of(bay, "lead")) as desk:
        notes.write_note(desk, an_update(number="NV-9", steps=(CalibrationStep("PCM", ("7.0",), "7.1"),)))
        facts.put_calibration(desk, 1, CalibrationReading("PCM", "7,1", CalibrationSource.TYPED))
    assert "newer calibration exists: 7.1 is on file; did you mean it?" in after_a_save(
        signed_in("tech").see(CONCERN)
    )


def test_a_vehicle_that_is_back_leads_to_where_its_comeback_is_recorded(
    bay: RunningShop, signed_in: SignIn, clock: StandingClock
) -> None:
    vin = "1M8GDM9AXKP042788"  # the published example of the check digit, 49 CFR 565.15
    with bay.writing(actor_of(bay, "tech")) as desk:
        car = a_vehicle(vin=vin)
        first = concerns.open_concern(desk, a_concern(ro_number="60", vehicle=car)).id
    programmed(bay, RoadTest.GONE, concern=first)
    clock.move(days=21)
    with bay.writing(actor_of(bay, "tech")) as desk:
        back = concerns.open_concern(desk, a_concern(ro_number="77", vehicle=car)).id
        assert desk.today - timedelta(days=21) == read_concern(desk, first).opened_on
    tech: Visitor = signed_in("tech")
    page = tech.see(f"/concerns/{back}")
    assert "NV-24-101 went into the PCM on Oct 31, 2026 (RO 60-A)" in page.text
    assert f"/concerns/{first}/follow-up" in page.links
    form = tech.see(f"/concerns/{back}/programming").form(f"/concerns/{back}/programming")
    assert form.fields["update_1"] == [""], "what went in already is named only by choice"

"""What the RO print and the customer's paper say, and what they must not leave out."""

from __future__ import annotations

from kb.desk.bay.advice import advice
from kb.desk.bay.concern import closing, concerns, facts
from kb.desk.bay.concern.concern_file import read_concern
from kb.desk.bay.programming import money, programming, release
from kb.desk.calls import what_was_heard
from kb.desk.context import RunningShop
from kb.desk.notes import notes
from kb.nouns.bay.customer_word import AuthorizationDraft
from kb.nouns.concerns import Ending, FollowUpDraft, FollowUpResult, ModuleResult, ProgrammingEventDraft
from kb.nouns.concerns import ReflashResult as Ended
from kb.nouns.vehicles import CalibrationReading, CalibrationSource
from tests.factories import a_concern, actor_of, an_update
from tests.web.conftest import SignIn


def worked_on(bay: RunningShop, *modules: ModuleResult) -> None:
    with bay.writing(actor_of(bay, "tech")) as desk:
        programming.record_event(desk, ProgrammingEventDraft(modules, desk.today))


def test_the_print_says_what_came_back_what_it_was_and_who_passed_what(
    bay: RunningShop, signed_in: SignIn
) -> None:
    with bay.writing(actor_of(bay, "tech")) as desk:
        facts.put_gate(desk, 1, "battery", "fault")
        advice.lift_stop(desk, 1, "battery", "charged it overnight")
        money.authorize(desk, 1, AuthorizationDraft(18_000, "Mr. Tovar", "phone", "charge_stands"))
        money.record_payment(desk, 1, "credited", 9_500, "shop")
        advice.decide(desk, 1, "nothing", "leaving today")
    worked_on(bay, ModuleResult("PCM", Ended.COMPLETED, 1, "NV10A", "NV10B", concern_ids=(1,)))
    with bay.writing(actor_of(bay, "tech")) as desk:
        what_was_heard.record_follow_up(desk, 1, FollowUpDraft(FollowUpResult.CAME_BACK, desk.today))
        closing.close_concern(desk, 1, Ending.OTHER_CAUSE, other_cause="split PCV hose")
    said = " ".join(signed_in("lead").see("/concerns/1/print").text.split())
    for wanted in (
        "Found split PCV hose",
        "same concern came back",
        "Recalls and free coverage not checked for this VIN. Not checked never means clear.",
        "override by Technician, charged it overnight",
        "not as advised: leaving today",
        "road test not done yet",
        "up to $180",
        "credited $95",
    ):
        assert wanted in said, wanted


def test_a_module_that_stopped_is_on_the_concern_until_recovered_and_never_under_we_updated(
    bay: RunningShop, signed_in: SignIn
) -> None:
    stopped = ModuleResult("TCM", Ended.STOPPED, None, error_text="E-0447", concern_ids=(1,))
    worked_on(bay, ModuleResult("PCM", Ended.COMPLETED, 1, "NV10A", "NV10B", concern_ids=(1,)), stopped)
    tech = signed_in("tech")
    page, paper = tech.see("/concerns/1"), tech.see("/concerns/1/paper")
    assert "A module is not recovered. TCM stopped with an error on" in page.text
    assert "E-0447" in page.text
    assert "/concerns/1/failed" in page.links
    updated = paper.html.split("We updated")[1].split("</section>")[0]
    assert "PCM" in updated
    assert "TCM" not in updated
    assert "did not complete" in paper.text
    worked_on(bay, ModuleResult("TCM", Ended.RECOVERED, concern_ids=(1,)))
    assert "not recovered" not in tech.see("/concerns/1").text


def test_a_closed_concern_shows_its_cause_and_nothing_to_tap_but_reopen(
    bay: RunningShop, signed_in: SignIn
) -> None:
    with bay.writing(actor_of(bay, "tech")) as desk:
        closing.close_concern(desk, 1, Ending.OTHER_CAUSE, other_cause="split PCV hose")
    tech = signed_in("tech")
    page = tech.see("/concerns/1")
    actions = {
        form.action for form in page.forms if form.method == "post" and form.action.startswith("/concerns/1/")
    }
    assert "split PCV hose" in page.text
    assert actions == {"/concerns/1/reopen"}
    assert "split PCV hose" in tech.see("/concerns?state=closed").text


def test_a_refused_save_is_answered_at_its_own_form_with_what_was_typed(
    bay: RunningShop, signed_in: SignIn
) -> None:
    typed = {"module": "TCM", "looked_up_on": "2027-01-01", "newest_id": "NV77"}
    page = signed_in("tech").send("/concerns/1", "/concerns/1/look-ups", typed, expect=422)
    form = page.html.split('id="look-up"')[1].split("</details>")[0]
    assert "lies in the future" in form
    assert 'value="NV77"' in form
    assert 'value="TCM"' in form
    assert page.html.count("lies in the future") == 1


def test_programming_without_a_decision_freezes_one_and_asks_why_when_it_was_not_advised(
    bay: RunningShop, signed_in: SignIn
) -> None:
    tech = signed_in("tech")
    typed = {"module_1": "PCM", "result_1": "completed", "duplicated_before": "yes", "road_test": "gone"}
    page = tech.send("/concerns/1/programming", "/concerns/1/programming", typed, expect=422)
    assert "customer insists" in page.text
    tech.send("/concerns/1/programming", "/concerns/1/programming", typed | {"why": ["customer insists"]})
    with bay.reading(actor_of(bay, "tech")) as desk:
        (frozen,) = read_concern(desk, 1).decisions
    assert (frozen.did, frozen.followed, frozen.why_not) == ("reflash", False, "customer insists")


def test_an_open_stop_must_be_overridden_before_programming_is_written_down(
    bay: RunningShop, signed_in: SignIn
) -> None:
    with bay.writing(actor_of(bay, "tech")) as desk:
        facts.put_gate(desk, 1, "battery", "fault")
    tech = signed_in("tech")
    assert "Stop:" in tech.see("/concerns/1/prep").text
    assert "/prep" in str(tech.client.get("/concerns/1/during").url)
    typed = {
        "module_1": "PCM",
        "result_1": "completed",
        "duplicated_before": "yes",
        "why": ["seen it before"],
    }
    tech.send("/concerns/1/programming", "/concerns/1/programming", typed, expect=422)
    typed["override_battery"] = "charged it"
    tech.send("/concerns/1/programming", "/concerns/1/programming", typed)
    assert "override by Technician, charged it" in tech.see("/concerns/1/print").text


def test_unknown_cameras_and_open_relearns_are_said_before_the_vehicle_leaves(
    bay: RunningShop, signed_in: SignIn
) -> None:
    with bay.writing(actor_of(bay, "lead")) as desk:
        other = notes.write_note(desk, an_update(number="NV-9", relearns=("idle relearn, 20 min",)))
    worked_on(bay, ModuleResult("PCM", Ended.COMPLETED, other.id, "NV10A", "NV10B", concern_ids=(1,)))
    tech = signed_in("tech")
    path = "/concerns/1/release"
    relearn = f"release-relearn-{other.id}-1"
    tech.send(path, path, {"item": "release-cameras", "result": "unknown"})
    page = tech.send(path, path, {"item": relearn, "result": "done"})
    still = page.text.split("still open")[1]
    assert "look it up before release" in still
    assert "idle relearn" in page.text
    assert "idle relearn" not in still
    bare = {"item": "release-cameras", "result": "not_required"}
    assert "where the manufacturer says so" in tech.send(path, path, bare, expect=422).text
    page = tech.send(path, path, bare | {"source": "service information, cameras, Nov 30"})
    assert "look it up" not in page.text


def test_what_is_open_when_it_leaves_is_on_the_customers_paper(bay: RunningShop, signed_in: SignIn) -> None:
    worked_on(bay, ModuleResult("PCM", Ended.COMPLETED, 1, "NV10A", "NV10B", concern_ids=(1,)))
    tech = signed_in("tech")
    assert "Still to be done" not in tech.see("/concerns/1/paper").text
    with bay.writing(actor_of(bay, "tech")) as desk:
        release.settle_release(desk, 1, "release-cameras", "required_not_done")
        release.release_vehicle(desk, 1, "glass shop on Monday", customer_told=True)
    paper = tech.see("/concerns/1/paper").text
    assert "Still to be done" in paper
    assert "Camera and radar calibration: required and not done" in paper


def test_nothing_newer_than_a_typed_id_asks_to_confirm_it_first_and_keeps_the_module(
    bay: RunningShop, signed_in: SignIn
) -> None:
    with bay.writing(actor_of(bay, "tech")) as desk:
        facts.put_calibration(desk, 1, CalibrationReading("TCM", "TV77", CalibrationSource.TYPED))
    typed = {"module": "tcm", "nothing_newer": "yes", "looked_up_on": "2026-10-31"}
    page = signed_in("tech").send("/concerns/1", "/concerns/1/look-ups", typed, expect=422)
    form = page.html.split('id="look-up"')[1].split("</details>")[0]
    assert "TCM TV77 is not confirmed: nobody read it from the vehicle" in form
    assert 'value="tcm"' in form


def test_a_past_vehicle_with_the_like_complaint_says_what_it_was(bay: RunningShop, signed_in: SignIn) -> None:
    with bay.writing(actor_of(bay, "tech")) as desk:
        closing.close_concern(desk, 1, Ending.OTHER_CAUSE, other_cause="split PCV hose")
        concerns.open_concern(desk, a_concern(ro_number="61"))
    assert "split PCV hose" in signed_in("tech").see("/concerns/2").text

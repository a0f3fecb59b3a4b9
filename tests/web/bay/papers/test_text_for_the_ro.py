"""What is copied into the shop's own system: what is on file, nothing invented, and what is missing said."""

from __future__ import annotations

from kb.desk.bay.concern import concerns, findings
from kb.desk.bay.papers import ro_lines
from kb.desk.bay.programming import money, prep, programming, release
from kb.desk.context import RunningShop
from kb.desk.notes import notes
from kb.nouns.bay.customer_word import AuthorizationDraft
from kb.nouns.concerns import (
    Duplicated,
    FindingResult,
    ModuleResult,
    ProgrammingEventDraft,
    ReflashResult,
    RoadTest,
)
from kb.nouns.vehicles import CalibrationSource
from tests.factories import a_concern, actor_of, an_update
from tests.web.conftest import SignIn

BARE = """\
RO 77-A
Vehicle: 2019 Norvane Tessel 2.0 L
VIN: not recorded
Odometer: not recorded

CONCERN
Customer states: sputters
Codes: not scanned yet

CAUSE
Cause: not recorded

CORRECTION
Correction: not recorded
"""
WHOLE = """\
RO 2087-A
Vehicle: 2019 Norvane Tessel 2.0 L
VIN: not recorded
Odometer: 79,800 mi

CONCERN
Customer states: bucks and jerks at light throttle going uphill when warm
Before the work: duplicated
Codes: P0171

CAUSE
Read fuel trim warm: NORMAL
Smoke-test the intake: TIGHT
Cause: not recorded

CORRECTION
PCM: Oct 31, 2026, completed, bulletin NV-9, by Technician
Also done: new plugs
PCM ID before: NV10A
PCM ID after: NV10B
PCM reads: ID changed, CVN after not read: not proven
Support voltage: 13.6 V
Done: Relearn: idle relearn, 20 min, Technician
Relearn: drive 10 miles: not recorded
Camera and radar calibration: not required, service information
Road test: gone

CUSTOMER'S OK
Oct 31, 2026 12:00 PM: agreed, up to $180; Senor Tovar, phone
If not cured: credited
"""


def test_of_a_new_concern_it_invents_nothing(bay: RunningShop) -> None:
    with bay.writing(actor_of(bay, "tech")) as desk:
        bare = concerns.open_concern(desk, a_concern(ro_number="77", complaint="sputters")).id
        assert ro_lines.ro_text(desk, bare) == BARE


def test_of_a_finished_one_it_says_all_that_a_repair_order_asks_for(
    bay: RunningShop, signed_in: SignIn
) -> None:
    with bay.writing(actor_of(bay, "lead")) as desk:
        relearns = ("idle relearn, 20 min", "drive 10 miles")
        note = notes.write_note(desk, an_update(number="NV-9", relearns=relearns)).id
    with bay.writing(actor_of(bay, "tech")) as desk:
        findings.put_finding(desk, 1, "smoke_test", FindingResult.NO)
        money.authorize(desk, 1, AuthorizationDraft(18_000, "Señor Tovar", "phone", "credited"))
        prep.tick(desk, 1, "support_voltage", "13.6", note)
        source = {"calibration_source": CalibrationSource.READ}
        done = ModuleResult(
            "PCM", ReflashResult.COMPLETED, note, "NV10A", "NV10B", concern_ids=(1,), **source
        )
        event = ProgrammingEventDraft((done,), desk.today, road_test=RoadTest.GONE, other_work=("new plugs",))
        programming.record_event(desk, event)
        release.settle_release(desk, 1, f"release-relearn-{note}-1", "done")
        release.settle_release(desk, 1, "release-cameras", "not_required", {"source": "service information"})
        assert ro_lines.ro_text(desk, 1, only_ascii=True) == WHOLE
    tech = signed_in("tech")
    page = tech.see("/concerns/1/ro-text")
    assert WHOLE in page.html.replace("&#39;", "'")
    assert "Señor" in page.html
    tech.see("/concerns/1/ro.txt")
    assert tech.answer.text == WHOLE
    printed = " ".join(tech.see("/concerns/1/print").text.split())
    for line in ("Smoke-test the intake TIGHT", "PCM ID after NV10B", "not required, service information"):
        assert line in printed, line


def test_a_failure_that_was_written_down_does_not_deny_what_was_seen_before_the_work(
    bay: RunningShop,
) -> None:
    source = {"calibration_source": CalibrationSource.READ}
    failed = ModuleResult("PCM", ReflashResult.STOPPED, concern_ids=(1,), error_text="E-17 at 62 %")
    done = ModuleResult("PCM", ReflashResult.RECOVERED, None, "NV10A", "NV10B", concern_ids=(1,), **source)
    with bay.writing(actor_of(bay, "tech")) as desk:
        nobody = {"duplicated_before": Duplicated.NOT_TRIED, "road_test": RoadTest.NOT_DONE}
        programming.record_event(desk, ProgrammingEventDraft((failed,), desk.today, **nobody))
        assert "Before the work: not tried" in ro_lines.ro_text(desk, 1)
        programming.record_event(desk, ProgrammingEventDraft((done,), desk.today, road_test=RoadTest.GONE))
        assert "Before the work: duplicated" in ro_lines.ro_text(desk, 1)

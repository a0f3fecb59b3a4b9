"""A shop with 24 closed concerns on which the voltage drop was measured: 12 that its update cured, 12 not."""

from __future__ import annotations

from kb.desk.bay.concern import closing, concerns, facts, findings
from kb.desk.bay.programming import programming
from kb.desk.calls import what_was_heard
from kb.desk.context import RunningShop
from kb.desk.notes import notes
from kb.nouns.concerns import (
    Ending,
    FollowUpDraft,
    FollowUpResult,
    ModuleResult,
    ProgrammingEventDraft,
    ReflashResult,
    RoadTest,
)
from kb.nouns.vehicles import CalibrationReading, CalibrationSource, LookUp
from tests.conftest import StandingClock
from tests.factories import a_concern, actor_of, an_update

EACH = 12


def measured_shop(shop: RunningShop, clock: StandingClock) -> RunningShop:
    """Drops of 0.025 to 0.075 V were cured, of 0.4 to 0.51 V not, save one of 0.3 V that was; one is open."""
    lead, tech = actor_of(shop, "lead"), actor_of(shop, "tech")
    with shop.writing(lead) as desk:
        notes.write_note(desk, an_update())
    with shop.writing(tech) as desk:
        ids = [concerns.open_concern(desk, a_concern(ro_number=str(n))).id for n in range(2 * EACH + 1)]
        *closed, still_open = ids
        cured, others = closed[:EACH], closed[EACH:]
        for n, (one, other) in enumerate(zip(cured, others, strict=True)):
            drop = 0.3 if n == 0 else 0.02 + n / 200
            findings.put_finding(desk, one, "voltage_drop", None, number=drop)
            findings.put_finding(desk, other, "voltage_drop", None, number=0.4 + n / 100)
        facts.put_calibration(desk, still_open, CalibrationReading("PCM", "NV10A", CalibrationSource.READ))
        facts.put_look_up(desk, still_open, LookUp("PCM", desk.today, "tech", "NV10B"))
    clock.move(hours=1)
    with shop.writing(tech) as desk:
        for one in cured:
            module = ModuleResult("PCM", ReflashResult.COMPLETED, 1, concern_ids=(one,))
            programming.record_event(
                desk, ProgrammingEventDraft((module,), desk.today, road_test=RoadTest.GONE)
            )
        for other in others:
            closing.close_concern(desk, other, Ending.OTHER_CAUSE, other_cause="Corroded ground")
    clock.move(days=91)
    with shop.writing(tech) as desk:
        for one in cured:
            what_was_heard.record_follow_up(desk, one, FollowUpDraft(FollowUpResult.FINE, desk.today))
    return shop

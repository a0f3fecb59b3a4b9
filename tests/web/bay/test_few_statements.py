"""A page of a concern asks the database few times, and no more often for all that is on file about it."""

from __future__ import annotations

import pytest

from kb.desk.bay.advice import advice
from kb.desk.bay.concern import concerns, facts, findings, recalls
from kb.desk.bay.programming import money, prep, programming
from kb.desk.calls import what_was_heard
from kb.desk.context import RunningShop
from kb.desk.shop import sign_offs
from kb.nouns.bay.customer_word import AuthorizationDraft
from kb.nouns.concerns import (
    FindingResult,
    FollowUpDraft,
    FollowUpResult,
    ModuleResult,
    ProgrammingEventDraft,
    ReflashResult,
    RoadTest,
)
from kb.nouns.recalls import RecallResult
from kb.nouns.shop.sign_offs import SignOffDraft, WorkKind
from tests.factories import a_concern, a_vehicle, actor_of
from tests.statements import statements_of
from tests.web.browsing import Visitor

MOST = 31
VIN = "1M8GDM9AXKP042788"  # the example that spells out the check digit in 49 CFR 565.15


def worked_on(shop: RunningShop, visits: int, of_each: int) -> int:
    """A concern whose vehicle was here `visits` times, `of_each` thing of every kind on file for the last."""
    for n in range(visits):
        with shop.writing(actor_of(shop, "lead")) as desk:
            said = a_concern(ro_number=f"70{n}", vehicle=a_vehicle(vin=VIN, year=1989), odometer=100)
            concern = concerns.open_concern(desk, said).id
            concerns.open_concern(desk, said)
            advice.decide(desk, concern, "reflash", "a try")
            module = ModuleResult("PCM", ReflashResult.COMPLETED, 1, concern_ids=(concern,))
            work = tuple(f"other work {one}" for one in range(of_each))
            event = ProgrammingEventDraft((module,), desk.today, road_test=RoadTest.GONE, other_work=work)
            programming.record_event(desk, event, done_twice=True)
            what_was_heard.record_follow_up(desk, concern, FollowUpDraft(FollowUpResult.FINE, desk.today))
    with shop.writing(actor_of(shop, "lead")) as desk:
        newcomer = SignOffDraft((WorkKind.UPDATE,), newcomer=True)
        sign_offs.sign_off(desk, desk.actor.user_id, newcomer)
        for n in range(of_each):
            facts.put_gate(desk, concern, ("battery", "communicates")[n], "fault")
            advice.lift_stop(desk, concern, ("battery", "no_communication")[n], "seen to")
            findings.put_finding(desk, concern, ("fuel_trim", "unnamed_code")[n], FindingResult.YES)
            recalls.put_recall(desk, concern, f"21V33{n}", RecallResult.OPEN)
            prep.tick(desk, concern, prep.SYSTEM_24V)
            money.authorize(desk, concern, AuthorizationDraft(100 + n, "the customer", "", "credited"))
            money.record_payment(desk, concern, "billed", 50, "customer")
    return concern


@pytest.mark.parametrize("page", ["", "/prep", "/release", "/programming"])
def test_a_page_of_a_concern_asks_few_times_however_much_is_on_file(bay: RunningShop, page: str) -> None:
    visitor = Visitor(bay).sign_in("lead")
    asked = []
    for visits, of_each in ((1, 1), (4, 2)):
        path = f"/concerns/{worked_on(bay, visits, of_each)}{page}"
        visitor.see(path)  # what is kept between requests is warm
        with statements_of(bay.records.engine) as seen:
            visitor.see(path)
        asked.append(len(seen))
        assert len(seen) <= MOST, "\n".join(seen)
    assert asked[0] == asked[1]

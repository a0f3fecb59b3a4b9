"""The week for the owner: gathered from what is on file, each line leads to its page."""

from __future__ import annotations

from datetime import timedelta

from starlette.testclient import TestClient

from kb.desk.bay.handover import waiting
from kb.desk.calls import call_list
from kb.desk.context import RunningShop
from kb.desk.shop import sign_offs, subscriptions
from kb.desk.shop.subscriptions import SubscriptionDraft, SubscriptionKind
from kb.nouns.bay.waiting import WaitingFor
from kb.nouns.shop.sign_offs import SignOffDraft, WorkKind
from tests.applications import interface_over
from tests.conftest import StandingClock
from tests.factories import MAKE, actor_of, headers_of
from tests.web.browsing import Visitor


def test_the_owner_reads_the_week_and_every_line_leads_somewhere(
    reflashed: RunningShop, clock: StandingClock
) -> None:
    owner = actor_of(reflashed, "owner")
    with reflashed.writing(owner) as desk:
        waiting.wait_for(desk, 1, WaitingFor.PART, "intake hose")
        call_list.promise_call(desk, 4, desk.today + timedelta(2))
    clock.move(days=9)
    with reflashed.writing(owner) as desk:
        year = SubscriptionDraft(
            MAKE, SubscriptionKind.PROGRAMMING, 90_000, desk.today - timedelta(360), desk.today + timedelta(5)
        )
        subscriptions.add_subscription(desk, year)
        draft = SignOffDraft((WorkKind.UPDATE,), (MAKE,), valid_to=desk.today + timedelta(20))
        sign_offs.sign_off(desk, owner.user_id, draft)
    visitor = Visitor(reflashed).sign_in("owner")
    page = visitor.see("/review/week")
    for said in (
        "RO 2087-A: waits for a part (intake hose), 9 days",
        "call promised for",
        "7 days late",
        f"{MAKE}: programming subscription ends",
        "Owner: sign-off for updates of Norvane ends",
    ):
        assert said in page.text, said
    for link in page.leads_to:
        visitor.see(link)
    text = visitor.client.get("/review/week.txt").text
    assert "CALLS DUE" in text
    assert "/review/week" in visitor.see("/review").links
    told = TestClient(interface_over(reflashed)).get(
        "/api/reports/week", headers=headers_of(reflashed, "owner")
    )
    headings = [one["heading"] for one in told.json()["parts"]]
    assert headings[:2] == ["Calls due", "Ends soon"]
    assert "Concerns waiting longest" in headings
    lead = Visitor(reflashed).sign_in("lead")
    lead.see("/review/week", expect=403)
    assert "/review/week" not in lead.see("/review").links
    assert lead.client.get("/review/week.txt").status_code == 403

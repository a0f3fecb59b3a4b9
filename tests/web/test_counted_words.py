"""What a concern closed as cured by its reflash counts as: the same words wherever it is named."""

from __future__ import annotations

import pytest
from starlette.testclient import TestClient

from kb.desk.bay.concern import closing, concerns
from kb.desk.calls import what_was_heard
from kb.desk.context import RunningShop
from kb.nouns.concerns import Ending, FollowUpDraft, FollowUpResult
from tests.conftest import StandingClock
from tests.factories import a_concern, a_vehicle, actor_of, headers_of
from tests.kb.desk.calls.closing_the_loop import VIN, reflash
from tests.kb.desk.imports.importing import LEAD
from tests.web.conftest import SignIn


@pytest.fixture
def closed(bay: RunningShop) -> int:
    """A concern reflashed today and closed as cured, beside concern 1, which is still open."""
    with bay.writing(LEAD) as desk:
        concern = reflash(desk, "44")
        closing.close_concern(desk, concern, Ending.CURED_BY_REFLASH)
    return concern


@pytest.mark.parametrize(
    ("days", "heard", "words"),
    [
        (40, None, "reflashed, waiting, day 40 of 90"),
        (90, None, "reflashed, not heard of"),
        (91, FollowUpResult.FINE, "cured by the reflash"),
    ],
)
def test_lists_pages_papers_and_the_interface_say_the_same(
    bay: RunningShop,
    closed: int,
    clock: StandingClock,
    signed_in: SignIn,
    sqlite_client: TestClient,
    days: int,
    heard: FollowUpResult | None,
    words: str,
) -> None:
    clock.move(days=days)
    with bay.writing(actor_of(bay, "tech")) as desk:
        if heard:
            what_was_heard.record_follow_up(desk, closed, FollowUpDraft(heard, desk.today))
        same_car = a_concern(ro_number="45", vehicle=a_vehicle(year=2005, vin=VIN))
        again = concerns.open_concern(desk, same_car).id
    owner = signed_in("owner")
    searched = "/search?q=bucks+and+jerks+uphill"
    for path in ("/concerns?state=closed", f"/concerns/{closed}", f"/concerns/{again}", searched):
        assert words in owner.see(path).text, path
    assert words in owner.see(f"/concerns/{closed}/print").text
    assert words.removeprefix("reflashed, ").split(" by ")[0] in owner.see("/review/updates/1").text
    headers = headers_of(bay, "tech")
    lines = sqlite_client.get("/api/concerns?state=closed", headers=headers).json()
    found = sqlite_client.get("/api/search?q=bucks+and+jerks+uphill&kind=concern", headers=headers).json()
    whole = sqlite_client.get(f"/api/concerns/{closed}", headers=headers).json()
    past = [one["counted"] for one in found["results"] if one["id"] == closed]
    assert ([one["counted"] for one in lines], past, whole["counted"]) == ([words], [words], words)
    [update] = [
        one["record"]
        for one in sqlite_client.get("/api/search?q=bucks&kind=bulletin", headers=headers).json()["results"]
    ]
    assert update == {
        "cured": float("cured by" in words),
        "tried": int("cured by" in words),
        "waiting": int("waiting" in words),
        "not_heard_of": int("not heard of" in words),
    }

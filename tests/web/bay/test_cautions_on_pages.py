"""What can hurt somebody, on the concern's page, on paper and through the interface."""

from __future__ import annotations

from starlette.testclient import TestClient

from kb.desk.bay.concern import concerns
from kb.desk.context import RunningShop
from kb.desk.notes import notes
from tests.factories import a_concern, actor_of, an_update, headers_of
from tests.web.conftest import SignIn

BRAKES = "Do not drive it: brakes."


def opened(shop: RunningShop, complaint: str) -> None:
    with shop.writing(actor_of(shop, "lead")) as desk:
        notes.write_note(desk, an_update())
    with shop.writing(actor_of(shop, "tech")) as desk:
        concerns.open_concern(desk, a_concern(complaint=complaint))


def test_do_not_drive_stands_above_the_verdict_and_on_both_papers_until_it_is_cleared(
    sqlite_shop: RunningShop, signed_in: SignIn
) -> None:
    opened(sqlite_shop, "bucks light throttle, brak pedle goes to the flor")
    tech = signed_in("tech")
    page = tech.see("/concerns/1")
    assert page.html.index(BRAKES) < page.html.index('id="verdict"')
    assert all(BRAKES in tech.see(f"/concerns/1/{paper}").text for paper in ("print", "paper"))
    refused = tech.send("/concerns/1", "/concerns/1/lift", {"reason": "  "}, expect=422)
    assert "Write what was found and done." in refused.text
    tech.send("/concerns/1", "/concerns/1/lift", {"reason": "bled, pedal firm"})
    cleared = "Cleared to drive by Technician: bled, pedal firm."
    assert cleared in tech.see("/concerns/1").text
    assert cleared in tech.see("/concerns/1/print").text
    assert BRAKES not in tech.see("/concerns/1/paper").text


def test_a_concern_without_danger_shows_no_caution(sqlite_shop: RunningShop, signed_in: SignIn) -> None:
    opened(sqlite_shop, "bucks light throttle uphill, does not overheat, no gas smell")
    page = signed_in("tech").see("/concerns/1")
    assert "Do not drive" not in page.text
    assert "You said: does not overheat" in page.text


def test_the_interface_tells_cautions_and_takes_the_clearing(
    sqlite_shop: RunningShop, sqlite_client: TestClient
) -> None:
    opened(sqlite_shop, "bucks light throttle, cel blinking, gas leaking under it")
    tech = headers_of(sqlite_shop, "tech")
    told = sqlite_client.get("/api/concerns/1/advice", headers=tech).json()["cautions"]
    assert [one["key"] for one in told] == ["do_not_drive", "misfire"]
    assert told[0]["sentence"].startswith("Do not drive or start it: fuel.")
    path = "/api/concerns/1/stops/do_not_drive/lift"
    body = {"reason": "hose replaced, dry"}
    after = sqlite_client.post(path, headers=tech, json=body).json()["cautions"]
    assert [one["cleared_by"] for one in after] == ["tech", ""]
    assert sqlite_client.post(path, headers=tech, json=body).status_code == 422

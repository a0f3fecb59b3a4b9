"""Subscriptions over HTTP: bought, corrected by version, removed, and plans that replace each other."""

from __future__ import annotations

from typing import Any

import pytest
from starlette.testclient import TestClient

from kb.desk.bay.concern import concerns
from kb.desk.context import RunningShop
from kb.desk.notes import notes
from tests.factories import a_concern, actor_of, an_update, headers_of

BOUGHT = {
    "make": "Norvane",
    "kind": "programming",
    "price": 45.5,
    "bought_on": "2026-10-31",
    "ends_on": "2026-10-31",
    "plan": "day",
}
Headers = dict[str, str]


@pytest.fixture
def as_tech(shop: RunningShop) -> Headers:
    return headers_of(shop, "tech")


@pytest.fixture
def as_lead(shop: RunningShop) -> Headers:
    return headers_of(shop, "lead")


def buy(client: TestClient, headers: Headers, **said: Any) -> dict[str, Any]:
    answer = client.post("/api/subscriptions", headers=headers, json=BOUGHT | said)
    assert answer.status_code == 201, answer.text
    found: dict[str, Any] = answer.json()
    return found


def test_a_subscription_is_corrected_whole_and_a_stale_version_is_told_both(
    client: TestClient, as_tech: Headers, as_lead: Headers
) -> None:
    made = buy(client, as_tech)
    path = f"/api/subscriptions/{made['id']}"
    right = BOUGHT | {"price": 54.25, "ends_on": "2026-11-29", "plan": "month", "version": made["version"]}
    assert client.put(path, headers=as_tech, json=right).status_code == 403
    saved = client.put(path, headers=as_lead, json=right)
    assert saved.status_code == 200
    assert saved.json()["content"]["price"] == 54.25
    assert saved.json()["version"] == made["version"] + 1
    assert client.get("/api/subscriptions", headers=as_tech).json() == [saved.json()]
    stale = client.put(path, headers=as_lead, json=right | {"price": 60})
    assert (stale.status_code, stale.json()["error"]["code"]) == (409, "conflict")
    details = stale.json()["error"]["details"]
    assert (details["theirs"]["price"], details["yours"]["price"]) == (54.25, 60)
    assert details["version"] == made["version"] + 1
    wrong = client.put(path, headers=as_lead, json=right | {"version": 2, "ends_on": "2206-11-29"})
    assert wrong.status_code == 422
    assert "Check the year" in wrong.json()["error"]["fields"]["ends_on"]


def test_a_price_left_out_is_refused_and_a_free_plan_is_not(client: TestClient, as_tech: Headers) -> None:
    without = {name: value for name, value in BOUGHT.items() if name != "price"}
    refused = client.post("/api/subscriptions", headers=as_tech, json=without)
    assert refused.status_code == 422
    assert "price" in str(refused.json()["error"]["fields"])
    assert buy(client, as_tech, price=0)["content"]["price"] == 0


def test_one_is_removed_until_a_programming_event_names_it(
    client: TestClient, shop: RunningShop, as_tech: Headers, as_lead: Headers
) -> None:
    with shop.writing(actor_of(shop, "lead")) as desk:
        notes.write_note(desk, an_update())
        opened = concerns.open_concern(desk, a_concern())
    twice, used = buy(client, as_tech), buy(client, as_tech)
    event = {
        "modules": [{"module": "PCM", "result": "completed", "update_id": 1, "concern_ids": [opened.id]}],
        "performed_on": "2026-10-31",
        "subscription_id": used["id"],
    }
    assert client.post("/api/programming-events", headers=as_tech, json=event).status_code < 300
    gone, kept = (f"/api/subscriptions/{one['id']}?version={one['version']}" for one in (twice, used))
    assert client.delete(gone, headers=as_tech).status_code == 403
    assert client.delete(gone.split("?")[0], headers=as_lead).status_code == 422
    assert client.delete(gone.replace("version=1", "version=9"), headers=as_lead).status_code == 409
    assert client.delete(gone, headers=as_lead).status_code == 204
    assert client.delete(gone, headers=as_lead).status_code == 404
    refused = client.delete(kept, headers=as_lead)
    assert refused.status_code == 409
    assert "Correct what is wrong with it instead" in refused.json()["error"]["message"]
    assert refused.json()["error"]["details"]["programmed_on"] == ["2026-10-31"]
    assert [one["id"] for one in client.get("/api/subscriptions", headers=as_tech).json()] == [used["id"]]


def test_programming_under_a_subscription_that_is_gone_is_refused_in_a_sentence(
    client: TestClient, shop: RunningShop, as_tech: Headers, as_lead: Headers
) -> None:
    """Somebody removes it while another's form with it is still open."""
    with shop.writing(actor_of(shop, "lead")) as desk:
        notes.write_note(desk, an_update())
        opened = concerns.open_concern(desk, a_concern())
    made = buy(client, as_tech)
    client.delete(f"/api/subscriptions/{made['id']}?version=1", headers=as_lead)
    event = {
        "modules": [{"module": "PCM", "result": "completed", "update_id": 1, "concern_ids": [opened.id]}],
        "performed_on": "2026-10-31",
        "subscription_id": made["id"],
    }
    refused = client.post("/api/programming-events", headers=as_tech, json=event)
    assert refused.status_code == 422, refused.text
    assert "subscription_id" in refused.json()["error"]["fields"]


def test_a_plan_of_the_same_length_replaces_the_one_before_and_says_so(
    client: TestClient, as_tech: Headers, as_lead: Headers
) -> None:
    offer = {"make": "Norvane", "days": 365, "price": 900, "plan": "year"}
    path = "/api/subscription-plans"
    assert client.post(path, headers=as_tech, json=offer).status_code == 403
    first = client.post(path, headers=as_lead, json=offer)
    assert (first.status_code, first.json()["replaced"]) == (201, None)
    second = client.post(path, headers=as_lead, json=offer | {"price": 1050}).json()
    assert (second["replaced"]["id"], second["replaced"]["content"]["price"]) == (first.json()["id"], 900)
    standing = client.get(path, headers=as_tech).json()
    assert [one["content"]["price"] for one in standing] == [1050]
